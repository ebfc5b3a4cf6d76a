"""The exact search for the cheapest sets of four, by numpy: for pools of more than some five hundred blanks.

The star bound and its proof are in `matching`; the answers are the same, to the last digit and the last tie.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache
from itertools import combinations
from typing import TYPE_CHECKING, Any

from stock.wood.best_sets import FAR, FORBIDDEN, Best, Extra, Four, Pool
from stock.wood.matching import Rows, search_round

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from stock.wood.links_large import LargeLinks
    from stock.wood.matching import Edge

    Near = tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]  # centres, their nearest, and the edges

_NEAREST = 8  # partners that are looked at for every blank before any is searched further
_CELLS = 1 << 20  # edges asked for at a time
_TRIPLES = 1 << 17  # sets looked at at a time
_TABLE = 1000  # blanks whose edges are put into one table
_AROUND = 400  # nearest partners of a blank among which a set with it is sought first


def dense(rows: Sequence[Sequence[int]]) -> Edges:
    """A pool for a table of costs that need not be checked."""
    import numpy as np

    table = np.asarray(rows, dtype=np.int64)
    return Edges(lambda i, j: table[i, j], range(len(table)))


class Edges(Pool):
    """A pool in numpy, for an edge cost that is computed where it is asked for.

    Most blanks are settled by the triples among their nearest partners: if the farthest of these lies beyond
    worst / 2 - e1 - e2 (e1, e2 the two shortest edges), no partner outside them can matter. The few others are searched
    as in plain Python, among the blanks within that reach.

    Args:
        edge: see `best_quads_large`.
        nodes: the numbers of the blanks that are searched, ascending.
        extra: what a set costs beyond its edges; see `Best`.
    """

    def __init__(self, edge: Edge, nodes: Sequence[int], extra: Extra | None = None) -> None:
        import numpy as np

        self._edge, self.n, self.extra = edge, len(nodes), extra
        self._all = np.array(nodes, dtype=np.int64)
        self._known: Near | None = None

    def cost(self, i: Any, j: Any) -> Any:
        """The edges of pairs, `FAR` for forbidden ones and for a blank with itself."""
        import numpy as np

        edge = self._edge(i, j)
        return np.where((edge >= FORBIDDEN) | (i == j), FAR, edge)

    def _partners(self, a: int, most: int) -> list[int]:
        """The blanks whose edge to a is no more than this, nearest first."""
        import numpy as np

        row = self.cost(np.int64(a), self._all)
        within = np.flatnonzero(row <= min(most, FAR - 1))
        return [int(b) for b in self._all[within[np.argsort(row[within], kind="stable")]]]

    def _nearest(self, best: Best) -> Near:
        """Every blank that may be the centre of a cheapest star, with its nearest partners; of equally near ones the
        smaller number first."""
        import numpy as np

        if self._known is None:
            m, base = min(_NEAREST, self.n), int(self._all[-1]) + 1
            near = np.empty((self.n, m), np.int64)
            cost = np.empty((self.n, m), np.int64)
            step = max(1, _CELLS // self.n)
            for at in range(0, self.n, step):
                best.pause()
                block = slice(at, at + step)
                ranked = self.cost(self._all[block, None], self._all[None, :]) * base + self._all
                ranked = np.sort(np.partition(ranked, m - 1, axis=1)[:, :m], axis=1)
                cost[block], near[block] = np.divmod(ranked, base)
            self._known = (self._all, near, cost)
        return self._known

    def search(self, best: Best) -> None:
        if self.n >= 4:
            self._settle(*self._nearest(best), best)

    def _settle(self, centres: Any, near: Any, cost: Any, best: Best) -> None:
        import numpy as np

        star, order = self._look_near(centres, near, cost, best)
        reach = 2 * (cost[:, 0] + cost[:, 1] + np.maximum(cost[:, 2], cost[:, -1]))
        for at in order[reach[order] <= best.worst].tolist():
            if reach[at] > best.worst or best.shut(2 * int(star[at]), int(centres[at]), *near[at, :3].tolist()):
                continue
            best.pause()
            self._search_round(int(centres[at]), int(cost[at, :2].sum()), best)

    def _look_near(self, centres: Any, near: Any, cost: Any, best: Best) -> tuple[Any, Any]:
        """Offer the sets of each centre with three of its nearest; the cheapest stars, and their order."""
        import numpy as np

        star = cost[:, :3].sum(axis=1)
        order = np.argsort(star, kind="stable")
        threes = np.array(list(combinations(range(near.shape[1]), 3)))
        step = max(1, _TRIPLES // len(threes))
        for at in range(0, len(order), step):
            a = order[at : at + step]
            if 2 * star[a[0]] > best.worst:
                break
            best.pause()
            self._offer_triples(centres[a], near[a], cost[a], threes, best)
        return star, order

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
        near = self._partners(a, best.worst // 2 - two_nearest)
        if len(near) >= 3:
            names = [a, *near]
            search_round(0, list(range(1, len(names))), self._rows_of(names), names, best)

    def _rows_of(self, names: Sequence[int]) -> Callable[[int], list[int]]:
        """The edges of each of some blanks to the others: in one table, or row by row if that were too large."""
        import numpy as np

        some = np.array(names, dtype=np.int64)
        if len(names) > _TABLE:
            return cache(lambda b: self.cost(some[b], some).tolist())
        rows: list[list[int]] = self.cost(some[:, None], some[None, :]).tolist()
        return rows.__getitem__

    def search_with(self, member: int, best: Best) -> None:
        """First among its nearest partners, and from what that gives as far as need be."""
        from stock.wood.matching_around import Around

        partners = self._partners(member, FAR)
        around = _AROUND
        while True:
            names = sorted([member, *partners[:around]])
            rows = list(map(self._rows_of(names), range(len(names))))
            Rows(rows).search_with(names.index(member), best.renamed(names))
            if around >= len(partners):
                return
            if best.worst < FAR:
                break
            around *= 2
        links, units = self._linked()
        Around(member, links, units, best).search()

    def _linked(self) -> tuple[LargeLinks, Any]:
        """The edges as links, and what each blank costs besides."""
        import numpy as np

        from stock.wood.links_large import LargeLinks

        return LargeLinks(self.cost, self.n), np.zeros(self.n, np.int64)

    def sketch(self) -> list[tuple[int, Four]]:
        """For every blank the cheapest set, by the bounds, that it makes with three of its nearest."""
        import numpy as np

        if self.n < 4:
            return []
        centres, near, cost = self._nearest(Best(1))
        threes = np.array(list(combinations(range(near.shape[1]), 3)))
        total = cost[:, threes].sum(axis=2)
        for x, y in ((0, 1), (0, 2), (1, 2)):
            total = total + self.cost(near[:, threes[:, x]], near[:, threes[:, y]])
        three = total.argmin(axis=1)
        bounds = total[np.arange(len(near)), three]
        sets = np.column_stack([centres, np.take_along_axis(near, threes[three], axis=1)])
        sets = np.unique(np.column_stack([bounds, np.sort(sets, axis=1)])[bounds < FAR], axis=0)
        return [(bound, (a, b, c, d)) for bound, a, b, c, d in sets.tolist()]
