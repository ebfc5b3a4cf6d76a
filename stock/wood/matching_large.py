"""The exact search for the cheapest sets of four, by numpy: for pools of more than some five hundred blanks.

The star bound and its proof are in `matching`; the answers are the same, to the last digit and the last tie.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from itertools import combinations
from typing import TYPE_CHECKING, Any

from stock.wood.matching import FAR, FORBIDDEN, Best, Pool, search_round

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from stock.wood.matching import Edge

_NEAREST = 8  # partners that are looked at for every blank before any is searched further
_CELLS = 1 << 20  # edges asked for at a time
_TRIPLES = 1 << 17  # sets looked at at a time


def dense(rows: Sequence[Sequence[int]]) -> Edges:
    """A pool for a table of costs that need not be checked."""
    import numpy as np

    table = np.asarray(rows, dtype=np.int64)
    return Edges(lambda i, j: table[i, j], len(table))


class Edges(Pool):
    """A pool in numpy, for an edge cost that is computed where it is asked for.

    Most blanks are settled by the triples among their nearest partners: if the farthest of these lies beyond
    worst / 2 - e1 - e2 (e1, e2 the two shortest edges), no partner outside them can matter. The few others are searched
    as in plain Python, among the blanks within that reach.
    """

    def __init__(self, edge: Edge, n: int) -> None:
        import numpy as np

        self._edge, self.n = edge, n
        self._all = np.arange(n)

    def cost(self, i: NDArray[np.int64], j: NDArray[np.int64]) -> NDArray[np.int64]:
        """The edges of pairs, `FAR` for forbidden ones and for a blank with itself."""
        import numpy as np

        edge = self._edge(i, j)
        return np.where((edge >= FORBIDDEN) | (i == j), FAR, edge)

    def row(self, a: int) -> list[int]:
        listed: list[int] = self.cost(self._all[a], self._all).tolist()
        return listed

    @cached_property
    def _nearest(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """The nearest partners of every blank and their edges; of equal ones the smaller number first."""
        import numpy as np

        m = min(_NEAREST, self.n)
        near = np.empty((self.n, m), np.int64)
        cost = np.empty((self.n, m), np.int64)
        step = max(1, _CELLS // self.n)
        for at in range(0, self.n, step):
            block = slice(at, at + step)
            ranked = self.cost(self._all[block, None], self._all[None, :]) * self.n + self._all
            ranked = np.sort(np.partition(ranked, m - 1, axis=1)[:, :m], axis=1)
            cost[block], near[block] = np.divmod(ranked, self.n)
        return near, cost

    def search(self, best: Best) -> None:
        import numpy as np

        near, cost = self._nearest
        star = cost[:, :3].sum(axis=1)
        order = np.argsort(star, kind="stable")
        threes = np.array(list(combinations(range(near.shape[1]), 3)))
        step = max(1, _TRIPLES // len(threes))
        for at in range(0, self.n, step):
            a = order[at : at + step]
            if 2 * star[a[0]] > best.worst:
                break
            self._offer_triples(a, near[a], cost[a], threes, best)
        reach = 2 * (cost[:, 0] + cost[:, 1] + np.maximum(cost[:, 2], cost[:, -1]))
        for centre in order[reach[order] <= best.worst].tolist():
            if reach[centre] <= best.worst and not best.shut(2 * int(star[centre]), centre, *near[centre, :3].tolist()):
                self._search_round(centre, int(cost[centre, :2].sum()), best)

    def _offer_triples(self, a: Any, near: Any, cost: Any, threes: Any, best: Best) -> None:
        """Offer the sets of each blank of `a` with three of its nearest, dropping hopeless ones edge by edge."""
        import numpy as np

        star = cost[:, threes].sum(axis=2)
        at, three = np.nonzero(2 * star <= best.worst)
        sets = np.column_stack([a[at], near[at[:, None], threes[three]]])
        total = star[at, three]
        for x, y in ((1, 2), (1, 3), (2, 3)):
            total = total + self.cost(sets[:, x], sets[:, y])
            sets, total = sets[total <= best.worst], total[total <= best.worst]
        sets.sort(axis=1)
        order = np.lexsort((*sets.T[::-1], total))
        for some in range(0, len(order), 1024):
            part = order[some : some + 1024]
            if total[part[0]] > best.worst:
                break
            for four, its in zip(sets[part].tolist(), total[part].tolist(), strict=True):
                best.offer(its, *four)

    def _search_round(self, a: int, two_nearest: int, best: Best) -> None:
        """Search one blank out to its full reach, on the table of those within it."""
        import numpy as np

        row = self.cost(self._all[a], self._all)
        within = np.flatnonzero((2 * (row + two_nearest) <= best.worst) | (self._all == a))
        if len(within) < 4:
            return
        rows = self.cost(within[:, None], within[None, :]).tolist()
        centre = int(np.searchsorted(within, a))
        near = sorted(range(len(within)), key=rows[centre].__getitem__)
        search_round(centre, near, rows.__getitem__, within.tolist(), best)
