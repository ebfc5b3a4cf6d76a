"""How heavy green wood is to lift: the volume as measured times the green density of that very wood, or no number."""

from collections.abc import Sequence

from stock.wood.woods import Wood, best_basic_specific_gravity
from stock.yard.fitting import volume_mm3
from stock.yard.in_hand import Held

_WATER_KG_M3 = 1000.0


def heaviest_kg(some: Sequence[Held]) -> float | None:
    """The mass of the heaviest of some green pieces, kg; None if none of them can be told."""
    return max((mass for one in some if (mass := green_kg(one)) is not None), default=None)


def green_kg(held: Held) -> float | None:
    """The estimated mass of a green piece.

    Args:
        held: the piece.

    Returns:
        The mass, kg; None if its size was not measured, or the figures of its wood are not known. Never a relative's.
    """
    wood = held.piece.wood.wood
    density = green_density_kg_m3(wood) if wood else None
    volume = volume_mm3(held, held.piece.size)
    return None if density is None or volume is None else density * volume / 1e9


def green_density_kg_m3(wood: Wood) -> float | None:
    """The density of a wood as it comes from the tree.

    Args:
        wood: the wood.

    Returns:
        Basic specific gravity x 1000 x (1 + green moisture content / 100), kg/m3; None without both figures.

    Source:
        By the definitions of the two figures: oven-dry mass over green volume, and water over oven-dry mass. The
        figures are the wood's own, each with its source (`rick species`); green moisture is that of the tree, or
        else the mean of heartwood and sapwood where both are printed.
    """
    gravity = best_basic_specific_gravity(wood)
    basic = gravity.central() if gravity else None
    moisture = _green_mc_pct(wood)
    return None if basic is None or moisture is None else basic * _WATER_KG_M3 * (1 + moisture / 100)


def _green_mc_pct(wood: Wood) -> float | None:
    if (tree := wood.value("green_mc_tree_pct")) and (mc := tree.central()) is not None:
        return mc
    parts = [value.central() for name in ("heartwood", "sapwood") if (value := wood.value(f"green_mc_{name}_pct"))]
    known = [mc for mc in parts if mc is not None]
    return sum(known) / 2 if len(known) == 2 else None
