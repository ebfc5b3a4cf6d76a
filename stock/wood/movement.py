"""How a square stave moves with its moisture: its sides, its corners, and the joint it shares with a neighbour.

Rings run across the end of a stave at an angle to its face A (and C); to B and D they lie at 90 degrees less that.
Along the rings wood shrinks by its tangential figure, across them by its radial one. Where the rings run askew the two
pull the square into a diamond: of its diagonals, the one nearer to the rings shortens more as it dries.

The angle is known without its sign, 0 to 90 degrees, so which way the diamond leans is not: the rings on the wood tell.
All figures are of clear wood that is free to move; knots, crooked grain and glue hold it back or drive it further.
"""

from dataclasses import dataclass
from math import degrees, radians, sin

from stock.errors import Impossible
from stock.wood.shrinkage import shrinkage_at_angle, shrinkage_from_coefficient, size_at
from stock.wood.values import Value
from stock.wood.woods import Wood, shrinkage

MM_PER_IN = 25.4  # International yard and pound agreement of 1959 (definition)
WORST_DEG = 45.0  # where the corners lean most


@dataclass(frozen=True, slots=True)
class Shrinkages:
    """What a wood shrinks by, green to oven-dry, percent of green size.

    Attributes:
        radial_pct: across the rings; None if only the other is known.
        tangential_pct: along the rings.
        source: where the figures come from, as ids for `species.source` or the person's own words.
        verified: False if the figures must be shown with the word "unverified".
        from_coefficients: whether they were worked out from the coefficients of dimensional change that are printed.
    """

    radial_pct: float | None
    tangential_pct: float
    source: str = ""
    verified: bool = True
    from_coefficients: bool = False


def shrinkages(one: Wood, *, largest: bool = False) -> Shrinkages | None:
    """The shrinkage figures of a wood.

    Args:
        one: the wood, with the person's own figures if there are any.
        largest: where sources disagree, the upper end instead of the middle, as for wood that must not come out small.

    Returns:
        Its own figures: as printed, or worked out from its printed coefficients; None if there are none. A relative's
        are never borrowed.
    """
    across, along = shrinkage(one, "radial"), shrinkage(one, "tangential")
    if along is not None:
        radial_pct = None if across is None else _number(across, largest)
        tangential_pct = _number(along, largest)
        sure = along.verified and (across is None or across.verified)
        return Shrinkages(radial_pct, tangential_pct, along.source, sure)
    across, along = one.value("dimensional_change_radial"), one.value("dimensional_change_tangential")
    if across is None or along is None or "doubtful" in (across.provenance, along.provenance):
        return None
    radial_pct, tangential_pct = (shrinkage_from_coefficient(_number(value, largest)) for value in (across, along))
    sure = across.verified and along.verified
    return Shrinkages(radial_pct, tangential_pct, along.source, sure, from_coefficients=True)


def _number(value: Value, largest: bool) -> float:
    number = max(value.ends()) if largest else value.central()
    assert number is not None  # a figure is a number or a range
    return number


@dataclass(frozen=True, slots=True)
class Movement:
    """What becomes of the cross-section of a stave when its moisture changes.

    Attributes:
        width_mm, thickness_mm: change along face A and along face B, mm; negative where it shrinks.
        lean_deg: how far its corners go out of square, degrees.
        lean_mm: the same over the larger side, mm.
        at_most: whether the ring angle is not known and each figure is the most that it can be.
    """

    width_mm: float
    thickness_mm: float
    lean_deg: float
    lean_mm: float
    at_most: bool = False


def movement(
    width_mm: float,
    thickness_mm: float,
    from_mc_pct: float,
    to_mc_pct: float,
    radial_pct: float,
    tangential_pct: float,
    ring_deg: float | None = None,
) -> Movement:
    """How a stave changes from one moisture content to another.

    Args:
        width_mm, thickness_mm: its sides along face A and along face B, mm, at the first moisture content.
        from_mc_pct, to_mc_pct: moisture contents, percent of oven-dry mass.
        radial_pct, tangential_pct: shrinkage of the wood, percent of green size, green to oven-dry.
        ring_deg: angle of the rings to face A, 0 to 90 degrees; None if not known.

    Returns:
        The changes, mm, and the lean of its corners.

    Raises:
        Impossible: a size, moisture content, shrinkage or angle that cannot be.

    Source:
        Wood Handbook FPL-GTR-282 (2021), ch. 4, for the two principal shrinkages; between them the rotation of a plane
        strain (any text on strength of materials): e_x = e_t cos2 a + e_r sin2 a, and the shear (e_t - e_r) sin 2a,
        which is the lean.

    Range:
        Small strains: for beech from green to oven-dry at 45 degrees, about the largest there are, a side is 0.06 % of
        its length off, and the lean 0.35 degrees short of 4.0.
    """
    if ring_deg is None:
        along = size_at(width_mm, from_mc_pct, to_mc_pct, max(radial_pct, tangential_pct)) - width_mm
        other = along / width_mm * thickness_mm
    else:
        along = _change(width_mm, from_mc_pct, to_mc_pct, shrinkage_at_angle(radial_pct, tangential_pct, ring_deg))
        across_deg = 90 - _angle(ring_deg)
        other = _change(
            thickness_mm, from_mc_pct, to_mc_pct, shrinkage_at_angle(radial_pct, tangential_pct, across_deg)
        )
    angle = WORST_DEG if ring_deg is None else ring_deg
    strain = _change(1, from_mc_pct, to_mc_pct, tangential_pct) - _change(1, from_mc_pct, to_mc_pct, radial_pct)
    lean = abs(strain * sin(2 * radians(angle)))
    return Movement(along, other, degrees(lean), lean * max(width_mm, thickness_mm), at_most=ring_deg is None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One of the two staves at a joint.

    Attributes:
        mc_pct: its moisture content when it is glued, percent of oven-dry mass.
        radial_pct, tangential_pct: shrinkage of its wood, percent of green size, green to oven-dry.
        ring_deg: angle of its rings to the joint, 0 (flat) to 90 (quarter); None if not known.
    """

    mc_pct: float
    radial_pct: float
    tangential_pct: float
    ring_deg: float | None = None


@dataclass(frozen=True, slots=True)
class Mismatch:
    """By how much the two faces of a joint come to differ in width, mm; `at_most` where an angle is not known."""

    mm: float
    at_most: bool = False

    @property
    def inches(self) -> float:
        """The same, in."""
        return self.mm / MM_PER_IN

    @property
    def words(self) -> str:
        """`0.06 mm (0.002 in)`, to 0.01 mm and 0.001 in."""
        return f"{self.mm:.2f} mm ({self.inches:.3f} in)" + (" at most" if self.at_most else "")


def mismatch(side_mm: float, one: Side, other: Side, to_mc_pct: float) -> Mismatch:
    """By how much two faces that are glued together, equally wide, would come to differ if they were free.

    Args:
        side_mm: the side of the staves when glued, mm.
        one, other: the two staves.
        to_mc_pct: the moisture content that both settle at, percent of oven-dry mass.

    Returns:
        The difference of their free changes, mm. Turning both staves half about leaves it as it is: the opposite faces
        of a stave have the same ring angle.

    Raises:
        Impossible: a size, moisture content, shrinkage or angle that cannot be.

    Source:
        Wood Handbook FPL-GTR-282 (2021), ch. 4, and the rotation of a plane strain: see `movement`.
    """
    a, b = _reach(side_mm, one, to_mc_pct), _reach(side_mm, other, to_mc_pct)
    furthest = max(abs(x - y) for x in a for y in b)
    return Mismatch(furthest, at_most=one.ring_deg is None or other.ring_deg is None)


def _reach(side_mm: float, one: Side, to_mc_pct: float) -> tuple[float, ...]:
    """The change of a face, mm; where the ring angle is not known, the ends of what it can be."""
    percents = [one.radial_pct, one.tangential_pct]
    if one.ring_deg is not None:
        percents = [shrinkage_at_angle(one.radial_pct, one.tangential_pct, _angle(one.ring_deg))]
    return tuple(_change(side_mm, one.mc_pct, to_mc_pct, percent) for percent in percents)


def _change(size_mm: float, from_mc_pct: float, to_mc_pct: float, shrinkage_pct: float) -> float:
    return size_at(size_mm, from_mc_pct, to_mc_pct, shrinkage_pct) - size_mm


def _angle(ring_deg: float) -> float:
    if not 0 <= ring_deg <= 90:
        raise Impossible(f"a ring angle of {ring_deg:g} degrees cannot be", hint="0 is flat-sawn, 90 quarter-sawn.")
    return ring_deg
