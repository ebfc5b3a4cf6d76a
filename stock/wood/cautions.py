"""The usual caution at the moment of the act: one line, and where to read more.

A caution never judges a piece, never blocks a record, and gives way to the maker's manual, local codes and licensed
practice. The texts are data (cautions.csv), each with its basis; here is only when which one is said.
"""

from collections.abc import Callable, Collection
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

from stock.wood.effects import briefly, effects, is_poisonous
from stock.wood.values import source, table
from stock.wood.woods import Wood

__all__ = ["ACTS", "HEAVY_KG", "effects", "for_act", "more"]

HEAVY_KG = 25.0  # common practice, no source
UNDER_LOAD_DAYS = 30  # a storm tree is taken to be under load no longer than this
_KG_PER_LB = 0.45359237  # exact

# Genera under plant-health quarantines somewhere: ash borer, oak wilt, thousand cankers, elm disease, laurel wilt.
_QUARANTINED = {
    "Fraxinus": "ash",
    "Quercus": "oak",
    "Juglans": "walnut",
    "Ulmus": "elm",
    "Laurus": "laurel",
    "Persea": "laurel",
    "Sassafras": "laurel",
    "Umbellularia": "laurel",
}
_UNSOUND = ("check", "shake", "split", "bark", "punk", "decay", "rot", "loose", "honeycomb", "collapse", "repair")
_SOFT = ("punk", "spalt", "decay", "rot")
_METAL = ("metal", "nail", "wire", "screw", "stone", "glass")
_HOLES = ("insect", "frass", "worm", "borer", "beetle", "gallery", "galleries")
_OLD_PAINT_OR_SPRAY = ("painted", "old house", "road", "highway", "orchard", "factory", "industr", "railway")


@dataclass(frozen=True, slots=True)
class _Facts:
    wood: Wood | None
    how: str
    days_since_fall: int | None
    mass_kg: float | None
    kinds: tuple[str, ...]
    site: str
    coat: str
    dry: bool | None
    indoors: bool

    def has(self, *words: str) -> bool:
        """Whether one of the kinds begins with, or has in it, one of the words."""
        return any(word in kind for kind in self.kinds for word in words)

    def done_by(self, *words: str) -> bool:
        return any(word in self.how for word in words)

    @property
    def poisonous(self) -> bool:
        return self.wood is not None and is_poisonous(self.wood)

    @property
    def quarantined(self) -> bool:
        return self.wood is not None and self.wood.genus in _QUARANTINED


class _Row(NamedTuple):
    act: str
    when: str
    text: str
    more: str
    basis: str


_WHEN: dict[str, Callable[[_Facts], bool]] = {
    "always": lambda facts: True,
    "heavy": lambda facts: facts.mass_kg is not None and facts.mass_kg > HEAVY_KG,
    "storm": lambda facts: (
        facts.done_by("storm", "wind")
        and facts.days_since_fall is not None
        and 0 <= facts.days_since_fall <= UNDER_LOAD_DAYS
    ),
    "site": lambda facts: any(word in facts.site for word in _OLD_PAINT_OR_SPRAY),
    "poison": lambda facts: facts.poisonous,
    "burn poison": lambda facts: facts.poisonous and facts.done_by("firewood", "burn"),
    "poison goods": lambda facts: facts.poisonous and facts.done_by("used", "given", "sold"),
    "no name": lambda facts: facts.wood is None,
    "horses": lambda facts: facts.wood is not None and facts.wood.key in ("juglans-nigra", "juglans"),
    "listed": lambda facts: facts.wood is not None and bool(briefly(facts.wood)),
    "dust": lambda facts: facts.wood is None or not briefly(facts.wood),
    "quarantine": lambda facts: facts.quarantined,
    "other wood": lambda facts: not facts.quarantined,
    "indoors": lambda facts: facts.indoors,
    "pinch": lambda facts: facts.dry is True,
    "round": lambda facts: facts.dry is not True,
    "soft": lambda facts: facts.has(*_SOFT),
    "wax": lambda facts: not facts.coat or ("wax" in facts.coat and "emulsion" not in facts.coat),
    "coated": lambda facts: bool(facts.coat),
    "microwave": lambda facts: facts.done_by("microwave"),
    "spirit": lambda facts: facts.done_by("alcohol", "spirit", "solvent", "resin"),
    "steam": lambda facts: facts.done_by("steam", "boil"),
    "spalt": lambda facts: facts.done_by("spalt") or facts.has("spalt", "mould", "mold"),
    "other": lambda facts: not facts.done_by("steam", "boil", "spalt", "bark"),
    "unsound": lambda facts: facts.has(*_UNSOUND),
    "metal": lambda facts: facts.has(*_METAL),
    "frass": lambda facts: facts.has(*_HOLES),
    "galleries": lambda facts: facts.quarantined and facts.has(*_HOLES),
    "temporary": lambda facts: facts.done_by("paper", "end"),
}


def for_act(
    act: str,
    *,
    wood: Wood | None = None,
    how: str = "",
    days_since_fall: int | None = None,
    mass_kg: float | None = None,
    kinds: Collection[str] = (),
    site: str = "",
    coat: str = "",
    dry: bool | None = None,
    indoors: bool = False,
) -> tuple[str, ...]:
    """The cautions to print at the moment of an act, each one line that begins with "Caution: ".

    Args:
        act: one of `ACTS`; any other act, such as "weigh", can only have the caution about lifting.
        wood: the wood, or None if its kind is unknown.
        how: how it came down, the treatment, the joint, the way of drying, or the outcome, in words.
        days_since_fall: whole days since the tree came down; None if not known.
        mass_kg: estimated or weighed mass of what is to be lifted, kg.
        kinds: kinds of defects or figure, in words.
        site: where the tree stood, in words.
        coat: the kind of coat, in words; empty if bare or not known.
        dry: whether the wood to be sawn is dried; None if not known.
        indoors: whether the wood is being moved into a heated place.

    Returns:
        The cautions in the order to be said; empty if there is none.
    """
    facts = _Facts(
        wood,
        how.casefold(),
        days_since_fall,
        mass_kg,
        tuple(sorted(kind.casefold() for kind in kinds)),
        site.casefold(),
        coat.casefold(),
        dry,
        indoors,
    )
    said = [row for row in (*_by_act().get(act, ()), *_by_act()["any"]) if _WHEN[row.when](facts)]
    return tuple("Caution: " + _filled(row.text, facts) for row in said)


def more(act: str) -> str:
    """All that may be said of an act, with the grounds, as paragraphs for its help; empty if there is nothing."""
    paragraphs = []
    for row in _by_act().get(act, ()):
        text = row.text.format(name="the wood", genus="this", effects="effects", kinds="defects", kg="", lb="")
        if row.when == "poison":
            text = f"if {text}"
        basis = row.basis if " " in row.basis else source(row.basis)
        paragraphs.append(f"{text[0].upper()}{text[1:]} {row.more}".rstrip() + f" [{basis.rstrip('.')}]")
    if not paragraphs:
        return ""
    last = "The maker's manual, local codes and licensed practice come first; nothing here judges a piece."
    return "\n\n".join([*paragraphs, last])


def _filled(text: str, facts: _Facts) -> str:
    wood, mass_kg = facts.wood, facts.mass_kg or 0.0
    return text.format(
        name=wood.name.partition(" (")[0] if wood else "",
        genus=_QUARANTINED.get(wood.genus, "") if wood else "",
        effects=briefly(wood) if wood else "",
        kinds=", ".join(kind for kind in facts.kinds if any(word in kind for word in _UNSOUND)),
        kg=round(mass_kg),
        lb=round(mass_kg / _KG_PER_LB),
    )


@cache
def _by_act() -> dict[str, tuple[_Row, ...]]:
    rows: dict[str, tuple[_Row, ...]] = {}
    for row in (_Row(*fields) for fields in table("cautions.csv")):
        rows[row.act] = (*rows.get(row.act, ()), row)
    return rows


ACTS = (
    "fell",
    "move-between-regions",
    "move",
    "cut",
    "split",
    "saw",
    "trim",
    "plane",
    "seal",
    "oven",
    "treat",
    "defect",
    "figure",
    "match",
    "glue",
    "reverse",
    "finish",
    "out",
    "labels",
)
