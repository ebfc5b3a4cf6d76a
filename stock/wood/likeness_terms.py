"""The terms of the pair cost: one number, one colour, one place in the tree, one word at a time.

Each term gives the same whole thousandths of a point in two ways: `row(i, part)` for blank i against a slice of the
others, in plain Python, and `array()`, a function of two arrays of numbers, for large pools.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from itertools import combinations
from math import dist, log
from typing import TYPE_CHECKING, Any, Protocol

if TYPE_CHECKING:
    from stock.wood.likeness import Blank, Weights

Array = Any  # a numpy array; numpy is imported only where a large pool needs it
OfPairs = Callable[[Array, Array], Array]

ORIGINS = ("stick", "billet", "log", "tree")


class Term(Protocol):
    """What one pair cost term can do; `most` is the greatest it can be, thousandths of a point."""

    @property
    def most(self) -> int: ...

    def row(self, i: int, part: slice) -> list[int]: ...

    def array(self) -> OfPairs: ...


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
        "colour": Colour(blanks, w),
        "figure": Words([b.traits for b in blanks], lambda a, b: _figure(a, b, w)),
        "part": Words([_part(b) for b in blanks], lambda a, b: _parts(a, b, w)),
        "ring angle": Gap(
            [None if b.ring_deg is None else b.ring_deg % 90 for b in blanks], ring / 45, ring / 2, period=90.0
        ),
        "density": Gap(densities, w.density_per_pct, w.density_unknown, most=w.density_most),
    }


_FACTS = {
    "moisture": "mc_pct",
    "distance along the log": "along_mm",
    "figure": "traits",
    "part": "part",
    "ring angle": "ring_deg",
    "density": "density_kg_m3",
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


class Gap:
    """Points in proportion to the difference of a number, which is rounded once, to what is worth 1/1000 point.

    Args:
        values: the number of each blank, None if not known.
        scale: points for each unit of difference.
        unknown: points if either is not known.
        most: points are never more than this; None for no limit.
        period: numbers this far apart are the same, and all lie from 0 to below it. Ring angles have a period of 90
            degrees, for a square blank may be turned by a quarter.
    """

    def __init__(
        self,
        values: Sequence[float | None],
        scale: float,
        unknown: float,
        most: float | None = None,
        period: float | None = None,
    ) -> None:
        self._unknown = round(1000 * unknown)
        self._period = None if period is None else round(1000 * scale * period)
        self._values = [None if v is None else round(1000 * scale * v) for v in values]
        known = [v for v in self._values if v is not None]
        span = max(known, default=0) - min(known, default=0) if self._period is None else self._period // 2
        self._limit = span if most is None else round(1000 * most)
        self.most = max(self._limit, self._unknown)

    def row(self, i: int, part: slice) -> list[int]:
        x, unknown, limit, period = self._values[i], self._unknown, self._limit, self._period
        others = self._values[part]
        if x is None:
            return [unknown] * len(others)
        if period is None:
            return [unknown if y is None else gap if (gap := abs(x - y)) < limit else limit for y in others]
        return [unknown if y is None else gap if (gap := abs(x - y)) <= limit else abs(period - gap) for y in others]

    def array(self) -> OfPairs:
        import numpy as np

        values = np.array([v or 0 for v in self._values], dtype=np.int64)
        known = np.array([v is not None for v in self._values])

        def of(i: Array, j: Array) -> Array:
            gap = np.abs(values[i] - values[j])
            if self._period is None:
                gap = np.minimum(gap, self._limit)
            else:
                gap = np.where(gap <= self._limit, gap, np.abs(self._period - gap))
            return np.where(known[i] & known[j], gap, self._unknown)

        return of


class Colour:
    """The distance of two colours, CIE76: the length of their difference in L*a*b*.

    Only like surfaces are compared, fresh-planed with fresh-planed; anything else counts as not known. The channels are
    rounded once, to what is worth 1/1000 point; the root of a whole number is never half-way between two others, so
    every way of computing it rounds alike.
    Source: CIE 015, Colorimetry: the 1976 L*a*b* colour difference.
    """

    def __init__(self, blanks: Sequence[Blank], w: Weights) -> None:
        scale, self._unknown = 1000 * w.colour, round(1000 * w.colour_unknown)
        seen = [b.lab if b.lab_surface else None for b in blanks]
        self._labs = [(0, 0, 0) if lab is None else tuple(round(scale * x) for x in lab) for lab in seen]
        self._surfaces = numbered([b.lab_surface if lab else None for b, lab in zip(blanks, seen, strict=True)])
        spans = [max(channel) - min(channel) for channel in zip(*self._labs, strict=True)]
        self.most = max(self._unknown, round(dist(spans, [0] * len(spans))))

    def row(self, i: int, part: slice) -> list[int]:
        here, own, unknown = self._labs[i], self._surfaces[i], self._unknown
        others = zip(self._labs[part], self._surfaces[part], strict=True)
        return [round(dist(here, lab)) if surface == own else unknown for lab, surface in others]

    def array(self) -> OfPairs:
        import numpy as np

        labs = np.array(self._labs, dtype=float).reshape(-1, 3)
        surfaces = np.array(self._surfaces, dtype=np.int64)

        def of(i: Array, j: Array) -> Array:
            squares = (labs[i, 0] - labs[j, 0]) ** 2 + (labs[i, 1] - labs[j, 1]) ** 2 + (labs[i, 2] - labs[j, 2]) ** 2
            return np.where(surfaces[i] == surfaces[j], np.rint(np.sqrt(squares)).astype(np.int64), self._unknown)

        return of


class Origin:
    """How far apart two blanks grew: one stick, one billet, one log, one tree, or not even that."""

    def __init__(self, blanks: Sequence[Blank], w: Weights) -> None:
        self._ids = [numbered([getattr(b, kind) for b in blanks]) for kind in ORIGINS]
        points = (w.same_stick, w.same_billet, w.same_log, w.other_log, w.other_tree, w.origin_unknown)
        self._points = [round(1000 * p) for p in points]
        self.most = max(self._points)
        self._last: tuple[int, slice, list[int]] = (-1, slice(0), [])  # the distance along the log asks again

    def row(self, i: int, part: slice) -> list[int]:
        if self._last[:2] != (i, part):
            self._last = (i, part, self._row(i, part))
        return self._last[2]

    def _row(self, i: int, part: slice) -> list[int]:
        stick, billet, log_, tree = (ids[i] for ids in self._ids)
        same_stick, same_billet, same_log, same_tree, other, unknown = self._points
        return [
            same_stick
            if s == stick
            else same_billet
            if b == billet
            else same_log
            if x == log_
            else same_tree
            if t == tree
            else unknown
            if t < 0 or tree < 0
            else other
            for s, b, x, t in zip(*(ids[part] for ids in self._ids), strict=True)
        ]

    def array(self) -> OfPairs:
        import numpy as np

        ids = [np.array(known, dtype=np.int64) for known in self._ids]

        def of(i: Array, j: Array) -> Array:
            cost = np.where((ids[3][i] < 0) | (ids[3][j] < 0), self._points[5], self._points[4])
            for level in (3, 2, 1, 0):
                cost = np.where(ids[level][i] == ids[level][j], self._points[level], cost)
            return cost

        return of


class Along:
    """The distance of two blanks along their log.

    Never so much that one log costs more than another log of the tree would; a place along the log that is not known
    costs the most.
    """

    def __init__(self, blanks: Sequence[Blank], origin: Origin, w: Weights) -> None:
        self._origin, self._gap = origin, Gap([b.along_mm for b in blanks], w.along_per_mm, w.along_most, w.along_most)
        self._room, self.most = round(1000 * w.other_log), self._gap.most

    def row(self, i: int, part: slice) -> list[int]:
        room = self._room
        levels, gaps = self._origin.row(i, part), self._gap.row(i, part)
        return [
            0 if lv >= room else gap if lv + gap < room else room - lv for lv, gap in zip(levels, gaps, strict=True)
        ]

    def array(self) -> OfPairs:
        import numpy as np

        level, gap = self._origin.array(), self._gap.array()
        return lambda i, j: np.maximum(0, np.minimum(gap(i, j), self._room - level(i, j)))


class Words:
    """Points by what two words, or sets of words, are to each other; few of them are different."""

    def __init__(self, words: Sequence[Hashable], points: Callable[[Any, Any], float]) -> None:
        different = list(dict.fromkeys(words))
        self._table = [[round(1000 * points(a, b)) for b in different] for a in different]
        self._numbers = [different.index(word) for word in words]
        self.most = max((max(row) for row in self._table), default=0)

    def row(self, i: int, part: slice) -> list[int]:
        table = self._table[self._numbers[i]]
        return [table[number] for number in self._numbers[part]]

    def array(self) -> OfPairs:
        import numpy as np

        table, numbers = np.array(self._table, dtype=np.int64), np.array(self._numbers, dtype=np.int64)
        return lambda i, j: table[numbers[i], numbers[j]]


def numbered(words: Sequence[Hashable]) -> list[int]:
    """Equal words get equal numbers from 0 up; every None a number of its own below 0, so that it equals nothing."""
    numbers: dict[Hashable, int] = {}
    return [-1 - i if word is None else numbers.setdefault(word, len(numbers)) for i, word in enumerate(words)]


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
