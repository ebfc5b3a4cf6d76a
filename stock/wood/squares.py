"""The square of a stave when it is not fixed: as large as the four allow.

Every set is taken at the largest square, counted in steps from the least that will do, that all its blanks can give:
after milling a set has the section of its smallest member. So a set is charged for what its other blanks lose to that
square, and the best set is the cheapest when each is taken at its own square. It is not the thickest: the four
thickest blanks of a stock come from anywhere, and nobody would glue them. Who wants none below a size asks for that as
the least square.

Nothing but planing depends on the square, and it falls as the square grows, so a set is never cheaper at a smaller
one. In the search each blank counts with what it loses at its own largest square, and each pair with what both lose
more at the smaller of their two: a lower bound, for a set's square is no larger, and a third of it falls to each of a
blank's three pairs. What a set loses more is reckoned when it is met.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import floor
from typing import TYPE_CHECKING, Any

from stock.wood.waste import planing

if TYPE_CHECKING:
    from stock.wood.best_sets import Four
    from stock.wood.likeness import Ask, Blank, Weights
    from stock.wood.pair_terms import OfPairs

_BARELY = 1e-6


def largest_square(blank: Blank, ask: Ask) -> float:
    """The square that a blank can give, mm: that of the ask, or as many steps above it as its smaller side allows."""
    if ask.square_step_mm is None:
        return ask.square_mm
    room = min(blank.width_mm, blank.thickness_mm) - ask.side_mm
    return ask.square_mm + ask.square_step_mm * max(0, floor(room / ask.square_step_mm + _BARELY))


class Squares:
    """The squares that some blanks can give, and what they lose more to smaller ones, thousandths of a point."""

    def __init__(self, blanks: Sequence[Blank], ask: Ask, w: Weights) -> None:
        own = [largest_square(blank, ask) for blank in blanks] if ask.square_step_mm else [ask.square_mm] * len(blanks)
        self._mm = sorted(set(own)) or [ask.square_mm]
        at_mm = {square: at for at, square in enumerate(self._mm)}
        self.of = [at_mm[square] for square in own]
        self._more = [
            [planing(blank, self._mm[s], w) - planing(blank, self._mm[at], w) for s in range(at)] + [0]
            for blank, at in zip(blanks, self.of, strict=True)
        ]
        self.most = max((more[0] for more in self._more), default=0)

    def mm(self, i: int) -> float:
        """The largest square of one blank."""
        return self._mm[self.of[i]]

    def of_set(self, members: Sequence[int]) -> float:
        """The square of a set, mm."""
        return self._mm[min(self.of[i] for i in members)]

    def row(self, i: int, part: slice) -> list[int]:
        """What blank i and each of the others lose more at the smaller of their squares."""
        at, own = self.of[i], self._more[i]
        return [
            more[at] if other >= at else own[other] for other, more in zip(self.of[part], self._more[part], strict=True)
        ]

    def array(self) -> OfPairs:
        """The same for two arrays of numbers."""
        import numpy as np

        of = np.array(self.of, dtype=np.int64)
        table = np.zeros((len(of), len(self._mm)), dtype=np.int64)
        for i, more in enumerate(self._more):
            table[i, : len(more)] = more

        def cost(i: Any, j: Any) -> Any:
            smaller = np.minimum(of[i], of[j])
            return table[i, smaller] + table[j, smaller]

        return cost

    def extra(self, four: Four) -> int:
        """What the staves of a set lose beyond what its blanks and pairs count, three times thousandths."""
        least = min(self.of[i] for i in four)
        total = 0
        for x, i in enumerate(four):
            total += 3 * self._more[i][least]
            for j in four[:x]:
                if i != j:
                    smaller = min(self.of[i], self.of[j])
                    total -= self._more[i][smaller] + self._more[j][smaller]
        return total
