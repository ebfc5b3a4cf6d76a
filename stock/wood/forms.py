"""What a finished form takes: the square and length of its staves, the stick that gives them, the square to saw.

Four staves of side s make a block of 2 s; the largest full cylinder that a reversed block gives has the radius s. The
allowances are common practice, no source, and each is an argument: every shop has its own.
"""

from collections.abc import Callable
from dataclasses import dataclass, fields
from math import ceil, isfinite, sqrt

from stock.errors import Impossible

STAVES = 4
_STEPS_MM = {"in": 25.4 / 16, "ft": 25.4 / 16}  # the book's unit -> what a size to saw is rounded up to; else whole mm
_SLACK = 1e-6  # of a step: a size that is on the step but for the rounding of the machine


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowances:
    """What a finished form needs beyond its own size, mm. Common practice, no source.

    Attributes:
        glue_end_mm: full square kept at each end, to hold the block: 3/4 to 1 in.
        chucking_mm: for holding and parting, both ends together: 1/2 in.
        planing_mm: off each side of a dry rough square, both faces together: 1/8 in.
        kerf_mm: of each saw cut: 1/8 in.
        trim_mm: off each end of a stick: 1 in.
    """

    glue_end_mm: float = 19.05
    chucking_mm: float = 12.7
    planing_mm: float = 3.0
    kerf_mm: float = 3.0
    trim_mm: float = 25.4

    def __post_init__(self) -> None:
        for one in fields(self):
            value = getattr(self, one.name)
            if not (isfinite(value) and value >= 0):
                raise Impossible(f"an allowance of {value:g} mm cannot be", hint="It is a length from zero up.")


@dataclass(frozen=True, slots=True)
class Total:
    """A size as the sum of its parts, mm."""

    parts: tuple[tuple[str, float], ...]

    @property
    def mm(self) -> float:
        return sum(mm for _, mm in self.parts)

    def words(self, write: Callable[[float], str]) -> str:
        """`8 in finished + 1 1/2 in for two glue ends`, each measure written by `write`, which is given mm."""
        return " + ".join(f"{write(mm)} {what}" for what, mm in self.parts if mm)


def stave_side_mm(diameter_mm: float) -> float:
    """The side of the finished stave for a form of a diameter, mm: half of it, nothing to spare.

    Raises:
        Impossible: a diameter that cannot be.
    """
    return _size(diameter_mm, "a finished diameter") / 2


def diagonal_mm(side_mm: float) -> float:
    """From corner to corner of the block that four staves make, mm: the diameter that must clear the lathe's bed."""
    return 2 * sqrt(2) * _size(side_mm, "a stave side")


def stave_length(finished_mm: float, allow: Allowances) -> Total:
    """The length of a stave for a finished length.

    Raises:
        Impossible: a length that cannot be.
    """
    return Total(
        (
            ("finished", _size(finished_mm, "a finished length")),
            ("for two glue ends", 2 * allow.glue_end_mm),
            ("for chucking and parting", allow.chucking_mm),
        )
    )


def stick_length(staves: int, stave_mm: float, allow: Allowances) -> Total:
    """The length of a stick that gives staves in line, the best match there is.

    Raises:
        Impossible: no stave, or a length that cannot be.
    """
    if staves < 1:
        raise Impossible(f"{staves} staves cannot be cut", hint="One or more.")
    cuts = staves - 1
    return Total(
        (
            (f"of {staves} stave{'s' if cuts else ''}", staves * _size(stave_mm, "a stave length")),
            (f"for {cuts} kerf{'s' if cuts > 1 else ''}", cuts * allow.kerf_mm),
            ("for two end trims", 2 * allow.trim_mm),
        )
    )


def rough_side_mm(side_mm: float, allow: Allowances) -> float:
    """The side of the dry square before planing, mm."""
    return _size(side_mm, "a stave side") + allow.planing_mm


def quartered_side_mm(side_mm: float, allow: Allowances) -> float:
    """The side of one dry square, free of pith, that is ripped twice into four staves, mm."""
    return 2 * rough_side_mm(side_mm, allow) + allow.kerf_mm


def rounded_up_mm(mm: float, unit: str) -> float:
    """A size to saw, never smaller than needed, mm.

    Args:
        mm: what is needed.
        unit: the person's own unit: in and ft round up to 1/16 in, all others to whole mm.
    """
    step = _STEPS_MM.get(unit, 1.0)
    return ceil(mm / step - _SLACK) * step


def _size(mm: float, what: str) -> float:
    if not (isfinite(mm) and mm > 0):
        raise Impossible(f"{what} of {mm:g} mm cannot be", hint="It is a length above zero.")
    return mm
