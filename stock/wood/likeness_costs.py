"""What the blanks of one wood cost each other, pair by pair and set by set."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import combinations
from typing import TYPE_CHECKING, Any

from stock.errors import Impossible
from stock.wood import patterns
from stock.wood.best_sets import FAR, FORBIDDEN, Extra, Four
from stock.wood.likeness import (
    HIGH_T_MINUS_R_PCT,
    USUAL_SWING_PCT,
    USUAL_T_MINUS_R_PCT,
    Ask,
    Blank,
    Covariance,
    Weights,
)
from stock.wood.likeness_origin import Origin
from stock.wood.likeness_terms import OF_A_JOINT, all_terms
from stock.wood.moisture_band import Band
from stock.wood.pair_terms import OfPairs, Term
from stock.wood.squares import Squares
from stock.wood.waste import unit, units

if TYPE_CHECKING:
    from stock.wood.links_large import Lines


def pair(
    a: Blank, b: Blank, ask: Ask, weights: Weights | None = None, covariance: Covariance | None = None
) -> dict[str, float] | None:
    """What makes two blanks unlike, in points, term by term; None if they may not share a block.

    They may not if they are not of one wood, if one is of neither kind of the pattern, or if the moisture band does not
    hold: see `Band`. Of blanks of two kinds only what opens a glue joint counts.
    """
    kinds = [patterns.kind_of(one, ask.by) if ask.two_kinds else 0 for one in (a, b)]
    if None in kinds or a.wood != b.wood:
        return None
    both = Likeness([a, b] if kinds != [1, 0] else [b, a], ask, weights, covariance)
    return {name: value / 1000 for name, value in both.between(0, 1).items()} if both.allowed(0, 1) else None


class Likeness:
    """Some blanks of one wood, and what they cost each other.

    All tables for the search are in thirds of a thousandth of a point: a blank's own cost is counted on each of its
    three edges, so that the six edges of a set sum to three times its cost in thousandths.

    Args:
        blanks: the blanks; if the pattern has two kinds those of the first kind come first.
        ask: what is wanted.
        weights: how much each term counts.
        covariance: of the errors of the moisture contents of two blanks; None for 0, which is the careful side.

    Attributes:
        split: how many blanks are of the first kind; all of them if the pattern has but one.
        units: for each blank what it costs by itself when it gives 1, 2, 3, 4 staves, as many as it can; thousandths of
            a point.
        extra: what a set costs beyond its units and the bounds of its pairs, in thirds of a thousandth, `FAR` if it is
            not allowed; None if the bounds are exact.
    """

    def __init__(
        self, blanks: Sequence[Blank], ask: Ask, weights: Weights | None = None, covariance: Covariance | None = None
    ) -> None:
        self.blanks, self.ask, self._w = blanks, ask, weights or Weights()
        self.split = len(blanks)
        if ask.two_kinds:
            self.split = [patterns.kind_of(blank, ask.by) for blank in blanks].count(0)
        self.squares = Squares(blanks, ask, self._w)
        self.units = [units(blank, ask, self._w, self.squares.mm(i)) for i, blank in enumerate(blanks)]
        self._band = Band(blanks, ask, covariance)
        self._terms = all_terms(blanks, self._w, self._ring())
        self._of_joint = {name: term for name, term in self._terms.items() if name in OF_A_JOINT}
        dearest = max((max(costs) for costs in self.units), default=0) + 6 * self.squares.most
        if 3 * sum(term.most for term in self._terms.values()) + 2 * dearest >= FORBIDDEN:
            raise Impossible("the costs are too large to be searched", hint="Use smaller weights.")
        bounded = self._band.bounded or any(term.bounded for term in self._terms.values())
        self.extra: Extra | None = self._extra if bounded or self.squares.most else None
        self._reckoned: dict[tuple[int, int], int] = {}
        self._settle: OfPairs | None = None

    def _ring(self) -> float:
        """Points for 45 degrees: the joint opens with the wood's T - R and with the swing of its moisture."""
        known = {HIGH_T_MINUS_R_PCT if b.t_minus_r_pct is None else b.t_minus_r_pct for b in self.blanks}
        share = max(known, default=0.0) / USUAL_T_MINUS_R_PCT
        return self._w.ring * share * self.ask.swing_pct / USUAL_SWING_PCT

    def gap_pct(self, i: int, j: int) -> float:
        """How wide a moisture band two blanks need, points; see `Band`."""
        return self._band.gap(i, j)

    def allowed(self, i: int, j: int) -> bool:
        return self._band.allowed(i, j)

    def of_pair(self, i: int, j: int) -> Mapping[str, Term]:
        """The terms that count between two blanks."""
        return self._terms if (i < self.split) == (j < self.split) else self._of_joint

    def between(self, i: int, j: int) -> dict[str, int]:
        """The terms of a pair, thousandths of a point, whether it is allowed or not."""
        return {name: term.exact(i, j) for name, term in self.of_pair(i, j).items()}

    def terms(self, four: Four) -> dict[str, int]:
        """What a set costs at its square, term by term, thousandths of a point."""
        total = dict.fromkeys(("planing", "offcut", *self._terms), 0)
        square = self.squares.of_set(four)
        parts = [unit(self.blanks[i], self.ask, self._w, staves, square) for i, staves in Counter(four).items()]
        parts += [self.between(i, j) for i, j in combinations(four, 2) if i != j]
        for part in parts:
            for name, points in part.items():
                total[name] += points
        return total

    def joining(self, i: int, four: Four, square_mm: float) -> int | None:
        """What a blank costs that joins a set, thousandths of a point: by itself at that square, and with each of the
        four; None if it does not go with all."""
        if self.squares.mm(i) < square_mm or not all(self.allowed(i, j) for j in {*four}):
            return None
        own = sum(unit(self.blanks[i], self.ask, self._w, 1, square_mm).values())
        return own + sum(sum(self.between(i, j).values()) for j in four)

    def _extra(self, four: Four) -> int:
        total = self.squares.extra(four) if self.squares.most else 0
        for i, j in combinations(four, 2):
            if i != j:
                total += self._extra_of_pair(i, j)
        return total

    def _extra_of_pair(self, i: int, j: int) -> int:
        extra = self._reckoned.get((i, j))
        if extra is None:
            extra = FAR
            if not self._band.bounded or self.allowed(i, j):
                bounded, one = (term for term in self.of_pair(i, j).values() if term.bounded), slice(j, j + 1)
                extra = 3 * sum(term.exact(i, j) - term.row(i, one)[0] for term in bounded)
            self._reckoned[i, j] = extra
        return extra

    def rows(self) -> list[list[int]]:
        """For each two blanks the lower bound of what they cost each other, `FAR` where they may not share a block and
        on the diagonal. Plain Python."""
        n, half = len(self.blanks), list[list[int]]()
        everything, of_joint = (
            [term for term in terms.values() if term.most] for terms in (self._terms, self._of_joint)
        )
        for i in range(n):
            if i < self.split:
                points = _sums(everything, i, slice(0, i))
            else:
                points = _sums(of_joint, i, slice(0, self.split)) + _sums(everything, i, slice(self.split, i))
            more = self.squares.row(i, slice(0, i)) if self.squares.most else [0] * i
            allowed = self._band.row(i, slice(0, i))
            half.append([3 * p + m if fits else FAR for p, m, fits in zip(points, more, allowed, strict=True)])
        return [[*row, FAR, *[later[i] for later in half[i + 1 :]]] for i, row in enumerate(half)]

    def low(self, *, across: bool = False) -> OfPairs:
        """The same table, computed by numpy where it is asked for: the same whole numbers, but that a pair may not be
        `FAR` though `settle` says that it is not allowed.

        Args:
            across: for two blanks of different kinds; otherwise for two of one kind.
        """
        import numpy as np

        band = self._band.array()
        arrays = [term.array() for term in (self._of_joint if across else self._terms).values() if term.most]
        more = self.squares.array() if self.squares.most else None

        def cost(i: Any, j: Any) -> Any:
            points = 3 * sum((array(i, j) for array in arrays), start=np.zeros((), np.int64))
            if more is not None:
                points = points + more(i, j)
            return np.where(band(i, j) & (i != j), points, FAR)

        return cost

    def settle(self) -> OfPairs | None:
        """Whether pairs that are not `FAR` may share a block, for two arrays of the same length; None if all may."""
        if self._band.bounded and self._settle is None:
            self._settle = self._band.settle()
        return self._settle

    def lines(self) -> Lines:
        """What can be said of all pairs of one kind at little cost, for the large pools."""
        from stock.wood.links_large import Lines

        origin = self._terms["origin"]
        assert isinstance(origin, Origin)
        on_lines = [line for term in self._terms.values() if term.most and (line := term.on_a_line()) is not None]
        return Lines(on_lines, origin.groups(), origin.trees, origin.between_trees)


def _sums(terms: Sequence[Term], i: int, part: slice) -> list[int]:
    """The terms of blank i with each of some others before it, added up."""
    rows = [[0] * (part.stop - part.start), *(term.row(i, part) for term in terms)]
    return list(map(sum, zip(*rows, strict=True)))
