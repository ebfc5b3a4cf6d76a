"""The exact search for the cheapest sets with one given blank, by numpy.

With m in every set the other three are sought. Let f_x be the edge of x to m and g_xy that of two others. Fold the f
into the g: H_xy = 2 g_xy + f_x + f_y. Twice the cost of a set {m, a, b, c} is then the sum of the three sides of its
triangle a, b, c. Take a at the corner of the two shorter sides, H_ab <= H_ac <= H_bc. So a set no dearer than `worst`
has H_ab <= 2 worst / 3, and H_ab + 2 H_ac <= 2 worst: those pairs are listed for every a, and what triangles they make
is looked at.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import combinations
from typing import Any

from stock.wood.best_sets import FAR, Best
from stock.wood.links_large import LargeLinks, nearest

_NONE = 4 * FAR
_NEAREST = 8  # shortest sides at every blank whose triangles are looked at first


class Around:
    """The sets with one blank.

    Args:
        member: the blank.
        links: what each two blanks cost each other.
        units: what each blank costs by itself, on each of its three edges.
        best: where the sets are offered.
    """

    def __init__(self, member: int, links: LargeLinks, units: Any, best: Best) -> None:
        import numpy as np

        self._member, self._links, self._units, self._best = member, links, units, best
        to_member = links.link(np.int64(member), np.arange(links.n)) + units + units[member]
        self._to_member = np.where(to_member < FAR, to_member, FAR)
        self._own = np.where(self._to_member < FAR, 2 * units + self._to_member, FAR)

    def search(self) -> None:
        """Offer every set with the blank that could still join; quick only where some are known already."""
        as_shortest = self._pairs(self._own, lambda: 2 * self._best.worst // 3)
        near, sides = nearest(as_shortest, self._links.n, _NEAREST, _NONE)
        self._look_near(near, sides)
        self._look_on(sides[:, 0])

    def _sides(self, i: Any, j: Any) -> Any:
        return 2 * self._links.link(i, j) + self._own[i] + self._own[j]

    def _pairs(self, own: Any, limit: Callable[[], int]) -> Iterator[tuple[Any, Any, Any]]:
        for i, j, link in self._links.pairs(own, 2, self._own, limit):
            self._best.pause()
            yield i, j, 2 * link + self._own[i] + self._own[j]

    def _look_near(self, near: Any, sides: Any) -> None:
        """The triangles of the shortest sides: most often the best set is among them."""
        import numpy as np

        a = np.flatnonzero(sides[:, 1] < _NONE)
        for x, y in combinations(range(_NEAREST), 2):
            some = a[sides[a, x] + 2 * sides[a, y] <= 2 * self._best.worst]
            self._offer(some, near[some, x], near[some, y], sides[some, x] + sides[some, y])

    def _offer(self, a: Any, b: Any, c: Any, two_sides: Any) -> None:
        """Offer the sets of triangles of which two sides are known."""
        import numpy as np

        cost = (two_sides + self._sides(b, c)) // 2
        for at in np.flatnonzero(cost <= min(self._best.worst, FAR - 1)).tolist():
            self._best.offer(int(cost[at]), self._member, int(a[at]), int(b[at]), int(c[at]))

    def _look_on(self, shortest: Any) -> None:
        """All triangles with a at the corner of their two shorter sides."""
        import numpy as np

        worst = self._best.worst
        own = np.full(self._links.n, FAR)
        centres = np.flatnonzero(3 * shortest <= 2 * worst)
        own[centres] = self._own[centres] + (shortest[centres] + 1) // 2
        for i, j, side in self._pairs(own, lambda: worst):
            order = np.lexsort((j, side, i))
            i, j, side = i[order], j[order], side[order]
            for some in np.split(np.arange(len(i)), np.flatnonzero(np.diff(i)) + 1):
                if len(some) > 1 and side[some[0]] + 2 * side[some[1]] <= 2 * self._best.worst:
                    self._best.pause()
                    self._corner(i[some[0]], j[some], side[some])

    def _corner(self, a: Any, near: Any, sides: Any) -> None:
        import numpy as np

        x, y = np.nonzero(np.triu(sides[:, None] + 2 * sides[None, :] <= 2 * self._best.worst, 1))
        self._offer(np.full(len(x), a), near[x], near[y], sides[x] + sides[y])
