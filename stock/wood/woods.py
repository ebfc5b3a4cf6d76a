"""Woods, and which of the printed numbers are theirs.

A wood is usually a species; where handbooks print no finer it is a genus, a group or a form of one species.

No wood ever lends a number to another. Where none was printed for this very wood the answer is None; where sources
disagree, or records are few, it is a range without a single value.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache

from stock.errors import Unknown
from stock.wood.values import Value, joined, printed, table, trust

WAY_OUT = "or --species unknown: weights and moisture work without a name."


@dataclass(frozen=True, slots=True)
class Wood:
    """A wood by its one key.

    Attributes:
        key: short id, such as `prunus-serotina`.
        scientific: scientific name, different for every wood; "Acer spp." for a genus. `find` reads it back.
        name: English name for the screen. `find` reads it back.
        wood_class: `hardwood` or `softwood`.
        genus: such as `Prunus`.
        rank: `species`, `genus`, `group` (sold or printed together) or `form` (of one species).
        group: trade group, such as `red oak`; may be empty.
        tell: leaf, bark, fruit or twig that tells the tree apart; may be empty.
        own: the person's own numbers, which come before the printed ones.
    """

    key: str
    scientific: str
    name: str
    wood_class: str
    genus: str
    rank: str
    group: str
    tell: str
    own: tuple[Value, ...] = ()

    def figures(self) -> tuple[Value, ...]:
        """Every number of this wood, the person's own first, then as the sources print them."""
        return self.own + printed(self.key)

    def value(self, property: str) -> Value | None:
        """The most trustworthy number of one property (see `Value.property`), or None: no number."""
        return min((v for v in self.figures() if v.property == property), key=trust, default=None)


def wood(key: str) -> Wood:
    """The wood of a key.

    Raises:
        Unknown: no such key. Code `unknown-species`.
    """
    if found := _woods().get(key):
        return found
    raise Unknown(f'no wood has the key "{key[:60]}"', hint=WAY_OUT, code="unknown-species")


def woods() -> tuple[Wood, ...]:
    """Every wood that ships, by key."""
    return tuple(_woods().values())


def genus_of(one: Wood) -> Wood | None:
    """The wood that stands for the genus, whose numbers may be shown beside this one's under its own name."""
    return next((w for w in woods() if w.rank == "genus" and w.genus == one.genus and w.key != one.key), None)


def with_values(one: Wood, values: Iterable[Value]) -> Wood:
    """The same wood with the person's own numbers added; they come before the printed ones."""
    return replace(one, own=one.own + tuple(values))


def best_basic_specific_gravity(one: Wood) -> Value | None:
    """Basic specific gravity: oven-dry mass over green volume, as a multiple of the density of water.

    Returns:
        The person's own number or the handbook's; else the mean of three or more published records; else a range
        (`value` None) over the few records and the model estimate; None where nothing was printed for this wood.
        Never a relative's.

    Source:
        Wood Handbook FPL-GTR-282 (2021), Table 5-3b; forest inventory; Global Wood Density Database v1 and v2.
    """
    name = "basic_specific_gravity"
    if known := one.value(name):
        return known
    records, model = one.value("basic_density_g_cm3"), one.value("basic_density_model_g_cm3")
    if records and (records.n or 0) >= 3:
        return replace(records, property=name, unit="")
    if not records and model and model.value is not None and model.sd is not None:
        model = replace(model, low=round(model.value - model.sd, 3), high=round(model.value + model.sd, 3))
    parts = [part for part in (records, model) if part]
    return replace(joined(parts), property=name, unit="") if parts else None


def shrinkage(one: Wood, direction: str) -> Value | None:
    """Shrinkage from green to oven-dry, percent of the green size.

    Args:
        one: the wood.
        direction: `radial`, `tangential` or `volumetric`.

    Returns:
        The person's own number or the handbook's; else what other sources print, as a range (`value` None) where they
        are more than half a point apart; None where nothing was printed for this wood. Never a relative's, and never
        a number on another basis. One with `verified` False must be shown so.

    Source:
        Wood Handbook FPL-GTR-190 (2010), Table 4-3; others as each number says.
    """
    known = sorted((v for v in one.figures() if v.property == f"shrinkage_{direction}_pct"), key=trust)
    if not known:
        return None
    best, ends = known[0], [end for value in known for end in value.ends()]
    settled = best.provenance == "own" or best.source.startswith("wood-handbook") or len(known) == 1
    return best if settled or max(ends) - min(ends) <= 0.5 else joined(known)


@cache
def _woods() -> dict[str, Wood]:
    return {
        key: Wood(key, scientific, name, wood_class, genus, rank, group, tell)
        for key, scientific, name, wood_class, genus, rank, group, tell in table("woods.csv")
    }
