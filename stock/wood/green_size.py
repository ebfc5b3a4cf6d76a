"""The size to saw wet wood, so that a square of the finished size is left when it has dried and is planed true.

Where the rings run askew a square dries to a diamond, and the square that can be planed from a diamond is smaller than
its sides. Of two figures alone, the tangential shrinkage T and the radial R, the square loses

    (T + R) / 2 + (T - R) / 2 x the larger of |cos 2a| and |sin 2a|        a: angle of the rings to a face

so it loses the full tangential figure both where its rings lie flat and where they run from corner to corner.
"""

from dataclasses import dataclass
from math import cos, radians, sin

from stock.errors import Impossible
from stock.wood.movement import Movement, movement
from stock.wood.shrinkage import FIBRE_SATURATION_PCT, size_at


@dataclass(frozen=True, slots=True)
class GreenSize:
    """A square to saw, mm.

    Attributes:
        dry_mm: the side that must be left, dry and before planing.
        square_mm: the side to saw.
        shrinkage_pct: what was counted, percent of green size, green to oven-dry.
        drying: what becomes of the sawn square; None where only one shrinkage is known.
    """

    dry_mm: float
    square_mm: float
    shrinkage_pct: float
    drying: Movement | None


def green_size(
    dry_mm: float,
    finish_mc_pct: float,
    tangential_pct: float,
    radial_pct: float | None = None,
    ring_deg: float | None = None,
    *,
    ring_plus_minus_deg: float = 0.0,
    now_mc_pct: float = FIBRE_SATURATION_PCT,
) -> GreenSize:
    """The square to saw at one moisture content for a square wanted at another.

    Args:
        dry_mm: the side wanted when dry, with what planing takes off, mm.
        finish_mc_pct: the moisture content at which it is to have it, percent of oven-dry mass.
        tangential_pct, radial_pct: shrinkage, percent of green size, green to oven-dry; None if not known.
        ring_deg: angle of the rings to a face, 0 to 90 degrees; None if not known.
        ring_plus_minus_deg: how far off it may be: the most that any angle within would take is counted.
        now_mc_pct: moisture content as it is sawn; from 30 up wood has its green size.

    Returns:
        The side to saw, exact; with the larger shrinkage, the tangential one, where the rings or R are not known.

    Raises:
        Impossible: a size, moisture content, shrinkage or angle that cannot be.

    Source:
        Wood Handbook FPL-GTR-282 (2021), ch. 4, for the shrinkage; the square inside the diamond by the rotation of a
        plane strain, worked to first order (elementary geometry). A brute-force search over turned squares agrees
        within 0.2 % for beech from green to oven-dry.

    Range:
        Clear wood. Bow, twist and reaction wood take more; along the grain normal wood shrinks 0.1 to 0.3 %, which is
        left out.
    """
    if ring_deg is not None and not 0 <= ring_deg <= 90:
        raise Impossible(f"a ring angle of {ring_deg:g} degrees cannot be", hint="0 is flat-sawn, 90 quarter-sawn.")
    percent = _of_square(tangential_pct, radial_pct, ring_deg, ring_plus_minus_deg)
    square = size_at(dry_mm, finish_mc_pct, now_mc_pct, percent)
    drying = None
    if radial_pct is not None:
        drying = movement(square, square, now_mc_pct, finish_mc_pct, radial_pct, tangential_pct, ring_deg)
    return GreenSize(dry_mm, square, percent, drying)


def _of_square(tangential_pct: float, radial_pct: float | None, ring_deg: float | None, give_deg: float) -> float:
    if radial_pct is None:
        return tangential_pct
    if ring_deg is None:
        return max(tangential_pct, radial_pct)
    within = [d for d in (0.0, 45.0, 90.0) if abs(d - ring_deg) <= give_deg]  # where it is most
    angles = [radians(2 * d) for d in (ring_deg - give_deg, ring_deg, ring_deg + give_deg, *within)]
    askew = max(max(abs(cos(twice)), abs(sin(twice))) for twice in angles)
    return (tangential_pct + radial_pct) / 2 + abs(tangential_pct - radial_pct) / 2 * askew
