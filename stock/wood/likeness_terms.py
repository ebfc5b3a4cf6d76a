"""The terms of the pair cost by name: what makes two blanks unlike, one thing at a time."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from itertools import combinations
from math import log
from typing import TYPE_CHECKING

from stock.wood.likeness_colour import Colour
from stock.wood.likeness_origin import ORIGINS, Along, Origin
from stock.wood.pair_terms import Gap, Term, Words

if TYPE_CHECKING:
    from stock.wood.likeness import Blank, Weights

# What counts between staves of different letters of a pattern, which only share a glue joint: what opens the joint.
# Looks and origin do not; the moisture band always holds.
OF_A_JOINT = ("moisture", "ring angle", "run-out")


def all_terms(blanks: Sequence[Blank], w: Weights, ring: float) -> Mapping[str, Term]:
    """The terms by the names they have in every explanation.

    Args:
        blanks: the blanks.
        w: the weights.
        ring: points for 45 degrees between the rings of two blanks.
    """
    origin = Origin(blanks, w)
    densities = [None if b.density_kg_m3 is None else 100 * log(b.density_kg_m3) for b in blanks]  # 1 is about 1 %
    return {
        "moisture": Gap([b.mc_pct for b in blanks], w.moisture, w.moisture_unknown),
        "origin": origin,
        "distance along the log": Along(blanks, origin, w),
        "colour": Colour([(b.lab, b.lab_surface) for b in blanks], w.colour, w.colour_unknown),
        "figure": Words([b.traits for b in blanks], lambda a, b: _figure(a, b, w)),
        "part": Words([_part(b) for b in blanks], lambda a, b: _parts(a, b, w)),
        "ring angle": Gap(
            [None if b.ring_deg is None else b.ring_deg % 90 for b in blanks], ring / 45, ring / 2, period=90.0
        ),
        "density": Gap(densities, w.density_per_pct, w.density_unknown, most=w.density_most),
        "run-out": Gap(
            [None if b.run_out is None else 100 / b.run_out for b in blanks], w.run_out_per_pct, 0.0, w.run_out_most
        ),
    }


_FACTS = {
    "moisture": "mc_pct",
    "distance along the log": "along_mm",
    "figure": "traits",
    "part": "part",
    "ring angle": "ring_deg",
    "density": "density_kg_m3",
    "run-out": "run_out",
}


def guessed(term: str, blanks: Sequence[Blank]) -> bool:
    """Whether a term of some blanks stands on something that is not known."""
    if term == "colour":
        return len({b.lab_surface for b in blanks}) > 1 or any(b.lab is None or not b.lab_surface for b in blanks)
    if term == "origin":
        return any((a.tree is None or b.tree is None) and not _one_log(a, b) for a, b in combinations(blanks, 2))
    return term in _FACTS and any(getattr(b, _FACTS[term]) is None for b in blanks)


def _one_log(a: Blank, b: Blank) -> bool:
    return any(getattr(a, kind) is not None and getattr(a, kind) == getattr(b, kind) for kind in ORIGINS[:3])


def _figure(a: frozenset[str] | None, b: frozenset[str] | None, w: Weights) -> float:
    if a is None or b is None:
        return w.figure_unknown
    return 0.0 if a == b else w.figure


def _part(blank: Blank) -> tuple[str | None, tuple[int, ...] | None]:
    """The part, and for a mixed blank which sides are sapwood, however the blank is turned about its length."""
    if blank.part != "mixed" or not blank.sap_faces:
        return blank.part, None
    sides = {"ABCD".find(face) for face in blank.sap_faces} - {-1}
    return blank.part, min(tuple(sorted((side + turn) % 4 for side in sides)) for turn in range(4))


def _parts(a: tuple[str | None, Hashable], b: tuple[str | None, Hashable], w: Weights) -> float:
    """Heart and sap. Two mixed blanks are never free: the line between heart and sap runs differently in each."""
    if a[0] is None or b[0] is None:
        return w.part_unknown
    if a[0] == b[0]:
        return 0.0 if a[0] != "mixed" else w.mixed_alike if a[1] is not None and a[1] == b[1] else w.mixed
    return w.mixed if "mixed" in (a[0], b[0]) else w.heart_sap
