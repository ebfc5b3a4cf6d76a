"""The exact search in pools of thousands, where not even every pair can be looked at.

The least wasteful blanks are searched first, for a first `worst`. From that the star bound rules out most of what is
left before it is priced: a blank whose waste alone is too much, a pair whose edge is longer than worst / 6 as the
shortest of a cheapest star, or longer than worst / 2 - e1 - e2 as any of it. What cheap bounds leave of the pairs gives
each centre its nearest partners, and from there all goes as in `matching_large`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from stock.wood.best_sets import FAR, Best, Extra
from stock.wood.links_large import LargeLinks, nearest
from stock.wood.matching_large import _NEAREST, Edges

if TYPE_CHECKING:
    from stock.wood.matching_large import Near

_CORE = 500  # least wasteful blanks that are searched first


class Vast(Edges):
    """A pool in numpy that looks only at pairs that could matter.

    Args:
        links: what each two blanks cost each other.
        units: what each blank costs by itself, on each of its three edges.
        extra: what a set costs beyond its edges; see `Best`.
    """

    def __init__(self, links: LargeLinks, units: Sequence[int], extra: Extra | None = None) -> None:
        import numpy as np

        self._links, self._units = links, np.array(units, dtype=np.int64)
        super().__init__(self._of_pairs, range(len(units)), extra)
        first = np.argsort(self._units, kind="stable")[:_CORE]
        self._core = Edges(self._of_pairs, np.sort(first).tolist())
        self._searched_up_to = -1

    def _of_pairs(self, i: Any, j: Any) -> Any:
        return self._links.link(i, j) + self._units[i] + self._units[j]

    def _nearest(self, best: Best) -> Near:
        self._core.search(best)
        if best.worst >= FAR and self._known is None:
            self._known, self._searched_up_to = super()._nearest(best), FAR
        if self._known is None or best.worst > self._searched_up_to:
            self._known, self._searched_up_to = self._near_enough(best), best.worst
        return self._known

    def _near_enough(self, best: Best) -> Near:
        """The blanks that may be centres of a cheapest star, with their nearest partners as far as these may belong to
        it; `FAR` beyond."""
        import numpy as np

        units, few = self._units, min(_NEAREST, self.n)
        three = int(np.partition(units, 2)[:3].sum())
        own = np.where(3 * (units + three) <= best.worst, units, FAR)
        near, edges = self._closest(own, few, own, best.worst // 6, best)
        first = best.worst
        self._look_near(self._all, near, edges, best)
        worst = best.worst
        own = np.where(3 * (units + three) <= worst, units, FAR)
        shortest, second = edges[:, 0], np.minimum(edges[:, 1], first // 6 + 1)
        centres = np.flatnonzero((6 * shortest <= worst) & (own < FAR))
        held = np.full(self.n, FAR)
        held[centres] = own[centres] + (shortest + second)[centres]
        near, edges = self._closest(held, few, own, worst // 2, best)
        return centres, near[centres], edges[centres]

    def _closest(self, own: Any, m: int, other: Any, limit: int, best: Best) -> tuple[Any, Any]:
        """The m nearest partners of each blank within a limit, and their edges; `FAR` where there are no more."""

        def edges() -> Iterator[tuple[Any, Any, Any]]:
            for i, j, link in self._links.pairs(own, 1, other, lambda: limit):
                best.pause()
                yield i, j, link + self._units[i] + self._units[j]

        return nearest(edges(), self.n, m, FAR)

    def _partners(self, a: int, most: int) -> list[int]:
        import numpy as np

        own = np.full(self.n, FAR)
        own[a] = self._units[a]
        limit = min(most, FAR - 1)
        found = list(self._links.pairs(own, 1, self._units, lambda: limit))
        if not found:
            return []
        _, j, link = found[0]
        listed: list[int] = j[np.lexsort((j, link + self._units[j]))].tolist()
        return listed

    def _linked(self) -> tuple[LargeLinks, Any]:
        return self._links, self._units
