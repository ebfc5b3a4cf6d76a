"""What is left of a block that is turned, split, reversed and turned again: plain geometry of one cross-section.

Four square staves make a block of twice their side. It is turned, split at its joints, every stave is turned half about
on its own axis, and the block is glued and turned again: what was its outside is now its hollow.

In one quarter of the block, with the reversed axis at (0, 0) and the first one at (s, s), the wood that is left is what
lies within the second radius of (0, 0) and within the first radius of (s, s). Geometry, not strength: nothing here says
what a wall will bear.
"""

from dataclasses import dataclass
from math import acos, isfinite, pi, sin, sqrt

from stock.errors import Impossible

_MM_PER_IN = 25.4
FRAGILE_MM = _MM_PER_IN / 8  # a wall below 1/8 in is fragile: practitioners' reports, no published source
KEEP_SQUARE_MM = (19.05, 25.4)  # full square to keep at each end: 3/4 to 1 in, common practice, no source


@dataclass(frozen=True, slots=True)
class ReversedSection:
    """One place along a reversed block, all in mm.

    Attributes:
        side_mm: side of a stave.
        first_cut_mm: depth of the first cut, in from the corner of the block. It is also the radius of the largest
            circle that fits into the hollow.
        first_radius_mm: radius that the first turning leaves.
        second_radius_mm: radius that the second turning leaves.
        wall_mm: of the wall, on the diagonal of a stave; 0 if nothing is left.
        window_mm: width of each of the four windows between the staves, at the outside; 0 if they are shut.
        glue_mm: width of wood that meets at each joint; 0 if none, and then only the ends hold the block.
    """

    side_mm: float
    first_cut_mm: float
    first_radius_mm: float
    second_radius_mm: float
    wall_mm: float
    window_mm: float
    glue_mm: float

    @property
    def falls_apart(self) -> bool:
        """Whether no wood is left here."""
        return self.wall_mm <= 0

    @property
    def fragile(self) -> bool:
        """Whether the wall is below 1/8 in."""
        return self.wall_mm < FRAGILE_MM - 1e-9

    @property
    def only_the_ends_hold(self) -> bool:
        """Whether no glue is left at the joints here."""
        return self.glue_mm <= 0


def reversed_section(side_mm: float, first_cut_mm: float, second_radius_mm: float | None = None) -> ReversedSection:
    """Wall, window and glue of a reversed block where the first cut has a certain depth.

    Args:
        side_mm: side s of a stave, mm.
        first_cut_mm: depth d of the first cut, in from the corner of the block, mm: the corner lies s sqrt(2) from the
            axis.
        second_radius_mm: radius that the second turning leaves, mm, at most s; None for s, the largest full cylinder.

    Returns:
        The cross-section at that place, mm.

    Raises:
        Impossible: a measure that cannot be: a cut that passes the axis, a cylinder larger than the block.

    Source:
        Two circles about opposite corners of a square (elementary geometry): wall r2 - d on the diagonal; they cross at
        the angle phi from it with r2 cos(phi) = (2 s^2 + r2^2 - r1^2) / (2 s sqrt(2)), so that a window is
        2 r2 sin(45 - phi) wide.
    """
    s = _positive(side_mm, "a stave side")
    cut = _positive(first_cut_mm, "a first cut")
    r2 = s if second_radius_mm is None else _positive(second_radius_mm, "a second radius")
    diagonal = s * sqrt(2)
    if cut >= diagonal:
        raise Impossible(
            f"a first cut of {_both(cut)} passes the axis of the block",
            hint=f"From the corner of staves of {_both(s)} it is {_both(diagonal)} to the axis.",
        )
    if r2 > s * (1 + 1e-9):
        raise Impossible(
            f"a diameter of {_both(2 * r2)} is larger than the block",
            hint=f"Four staves of {_both(s)} give a cylinder of {_both(2 * s)} at most.",
        )
    r1 = diagonal - cut
    cosine = (2 * s * s + r2 * r2 - r1 * r1) / (2 * diagonal * r2)
    open_angle = pi / 4 - acos(max(-1.0, min(1.0, cosine)))
    wall = max(0.0, r2 - cut)
    window = 2 * r2 * sin(max(0.0, open_angle)) if wall else sqrt(2) * r2
    inner = s - sqrt(r1 * r1 - s * s) if r1 > s else s
    return ReversedSection(s, cut, r1, r2, wall, _nothing(window, s), max(0.0, r2 - max(0.0, inner)))


def _both(mm: float) -> str:
    return f"{mm:.1f} mm ({mm / _MM_PER_IN:.2f} in)"


def _nothing(mm: float, of_mm: float) -> float:
    """A width that is nothing but the rounding of the machine is none."""
    return mm if mm > 1e-9 * of_mm else 0.0


def _positive(mm: float, what: str) -> float:
    if not (isfinite(mm) and mm > 0):
        raise Impossible(f"{what} of {mm:g} mm cannot be", hint="It is a length above zero.")
    return mm
