"""Health effects that have been reported for woods: what sources say, never a prediction.

A wood that is not listed is not thereby harmless.
"""

from functools import cache
from typing import NamedTuple

from stock.wood.values import table
from stock.wood.woods import Wood, woods

NOT_LISTED = "unlisted does not mean harmless"
_MILD = ("+", "?")
_FEW_WORDS = 30  # letters


class Effect(NamedTuple):
    """One line of one source.

    Attributes:
        wood_as_printed: the name the source gives.
        effect: what was reported, parts joined by "; ".
        site: where on the body; potency: + to ++++ as printed; agent: dust, wood, leaves; each may be empty.
        frequency: as printed; may be empty.
        source: an id for `species.source`.
        provenance: `fetched`, or `unverified` for common knowledge that was not looked up.
    """

    wood_as_printed: str
    effect: str
    site: str
    potency: str
    agent: str
    frequency: str
    source: str
    provenance: str

    @property
    def verified(self) -> bool:
        """False for what must be shown with the word "unverified"."""
        return self.provenance != "unverified"


def reported(of: Wood | str) -> tuple[Effect, ...]:
    """The effects listed for a wood or a genus, the strongest first.

    Args:
        of: a wood, or the name of a genus. For a genus, and for a wood known only to its genus or group, whatever is
            listed for any member counts.
    """
    return _reported(_called(of))


def effects(of: Wood | str) -> str:
    """The reported effects in one text, or that none is listed; see `reported`."""
    texts = [_text(effect) for effect in reported(of)]
    told = "reported: " + "; ".join(dict.fromkeys(texts)) if texts else "no effect listed"
    return f"{told}; {NOT_LISTED}"


def briefly(of: Wood | str) -> str:
    """Up to three reported effects in few words, the strongest first, for one line; empty if none is listed."""
    told: dict[str, None] = {}
    for effect in reported(of):
        mark = "" if effect.verified else " (unverified)"
        parts = effect.effect.replace(" reported", "").split("; ")
        told.update((part + mark, None) for part in parts if len(part) <= _FEW_WORDS)
    return ", ".join(list(told)[:3])


def is_poisonous(of: Wood | str) -> bool:
    """Whether a source calls the wood or its sap a direct poison, beyond the mildest degree."""
    return any(
        ("direct poison" in effect.effect or "poison rash" in effect.effect) and effect.potency not in _MILD
        for effect in reported(of)
    )


def _text(effect: Effect) -> str:
    parts = [part.replace("; ", ", ") for part in (effect.effect, effect.site.replace("; ", " and ")) if part]
    text = ", ".join(parts) + (f" ({effect.potency})" if effect.potency else "")
    if agent := effect.agent.replace("; ", " or "):
        text += f", {agent}"
    return text if effect.verified else f"{text} (unverified)"


def _called(of: Wood | str) -> frozenset[str]:
    """The words of the list that stand for this wood."""
    if isinstance(of, Wood):
        if of.rank not in ("genus", "group"):
            return frozenset({of.key, of.genus})
        of = of.genus
    genus = of.strip().capitalize()
    return frozenset({genus} | {wood.key for wood in woods() if wood.genus == genus})


@cache
def _reported(called: frozenset[str]) -> tuple[Effect, ...]:
    found = [effect for applies_to, effect in _listed() if applies_to & called]
    return tuple(sorted(found, key=lambda effect: (-effect.potency.count("+"), not effect.verified)))


@cache
def _listed() -> tuple[tuple[frozenset[str], Effect], ...]:
    return tuple((frozenset(applies_to.split()), Effect(*rest)) for applies_to, *rest in table("effects.csv"))
