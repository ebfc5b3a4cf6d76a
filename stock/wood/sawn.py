"""Sets in which a long blank gives several staves: the best match there is.

A blank that is sawn into c staves is a *unit* of size c. It costs what it costs by itself, in one piece, and it is
linked to another unit of size d as often as their staves meet: c x d times. A set is units of different blanks whose
sizes sum to four: 1+1+1+1, which is the search of `matching`, and 2+1+1, 2+2, 3+1 and 4, which have three members at
most and are simply looked through, cheapest first, as far as the k-th best set so far allows. As there, `worst` only
falls and nothing is passed over but what a lower bound rules out, so the answer is exact.
"""

from __future__ import annotations

from collections.abc import Sequence

from stock.wood.best_sets import FAR, Best, Extra, Four, Pool
from stock.wood.links import Links


class Sawn(Pool):
    """A pool whose blanks may give up to four staves each.

    Args:
        singles: the pool of the same blanks, one stave from each.
        links: what each two of them cost each other, in the unit of their edges.
        units: what each blank costs by itself when it gives 1, 2, 3, 4 staves, as far as it can, in the same unit.
        extra: what a set costs beyond its units and links; see `Best`.
    """

    def __init__(self, singles: Pool, links: Links, units: Sequence[Sequence[int]], extra: Extra | None = None) -> None:
        self._singles, self._links, self.extra, self.n = singles, links, extra, len(units)
        self._one, self._two, self._three, self._four = (
            [costs[staves] if staves < len(costs) else FAR for costs in units] for staves in range(4)
        )

    def search(self, best: Best) -> None:
        for i, cost in enumerate(self._four):
            if cost < FAR:
                best.offer(cost, i, i, i, i)
        self._singles.search(best)
        self._three_and_one(self._three, self._one, best)
        self._two_and_two(self._two, self._two, best)
        self._two_and_singles(best)

    def search_with(self, member: int, best: Best) -> None:
        if self._four[member] < FAR:
            best.offer(self._four[member], *[member] * 4)
        one, two, three = (_only(member, costs) for costs in (self._one, self._two, self._three))
        self._three_and_one(three, self._one, best)
        self._three_and_one(self._three, one, best)
        self._two_and_two(two, self._two, best)
        self._two_with(member, best)
        self._two_beside(member, best)
        self._singles.search_with(member, best)

    def _three_and_one(self, three: Sequence[int], one: Sequence[int], best: Best) -> None:
        for i, near in self._links.within(three, 3, one, lambda: best.worst):
            best.pause()
            for cost, j in near:
                if best.shut(three[i] + cost, i, i, i, j):
                    break
                best.offer(three[i] + cost, i, i, i, j)

    def _two_and_two(self, two: Sequence[int], other: Sequence[int], best: Best) -> None:
        for i, near in self._links.within(two, 4, other, lambda: best.worst):
            best.pause()
            for cost, j in near:
                if best.shut(two[i] + cost, i, i, j, j):
                    break
                best.offer(two[i] + cost, i, i, j, j)

    def _two_and_singles(self, best: Best) -> None:
        """2+1+1: each blank that gives two, with every two singles that are near enough to it together."""
        least = min(self._one, default=0)
        for i, near in self._links.within(self._two, 2, self._one, lambda: min(best.worst, FAR - 1) - least):
            best.pause()
            own = self._two[i]
            for x, (f_j, j) in enumerate(near[:-1]):
                f_k, k = near[x + 1]
                if best.shut(own + f_j + f_k, i, i, j, k):
                    break
                row = self._links.row(j)
                for f_k, k in near[x + 1 :]:
                    bound = own + f_j + f_k
                    if best.shut(bound, i, i, j, k):
                        break
                    if bound + row[k] <= best.worst:
                        best.offer(bound + row[k], i, i, j, k)

    def _two_with(self, member: int, best: Best) -> None:
        """2+1+1 where the member gives the two: two singles, each with what it costs beside the member."""
        own = self._two[member]
        if own >= FAR:
            return
        beside = [min(FAR, 2 * link + cost) for link, cost in zip(self._links.row(member), self._one, strict=True)]
        for j, near in self._links.within(beside, 1, beside, lambda: min(best.worst, FAR - 1) - own):
            best.pause()
            for cost, k in near:
                if best.shut(own + beside[j] + cost, member, member, j, k):
                    break
                best.offer(own + beside[j] + cost, member, member, j, k)

    def _two_beside(self, member: int, best: Best) -> None:
        """2+1+1 where the member is one of the singles: another gives two, each beside the member."""
        row, own = self._links.row(member), self._one[member]
        two = [min(FAR, cost + 2 * link + own) for cost, link in zip(self._two, row, strict=True)]
        one = [min(FAR, cost + link) for cost, link in zip(self._one, row, strict=True)]
        for i, near in self._links.within(two, 2, one, lambda: best.worst):
            best.pause()
            for cost, k in near:
                if best.shut(two[i] + cost, i, i, member, k):
                    break
                best.offer(two[i] + cost, i, i, member, k)

    def sketch(self) -> list[tuple[int, Four]]:
        """What the singles give, and for each blank that gives several staves the units that go best with it."""
        found = set(self._singles.sketch())
        for i in range(self.n):
            if self._two[i] >= FAR:
                continue
            row = self._links.row(i)
            found.add((self._four[i], (i, i, i, i)))
            beside = sorted((2 * link + one, j) for j, (link, one) in enumerate(zip(row, self._one, strict=True)))[:4]
            for x, (f_j, j) in enumerate(beside):
                found.add((self._three[i] + f_j + row[j], _four(i, i, i, j)))
                links = self._links.row(j)
                found.update((self._two[i] + f_j + f_k + links[k], _four(i, i, j, k)) for f_k, k in beside[x + 1 :])
            cost, j = min((4 * link + two, j) for j, (link, two) in enumerate(zip(row, self._two, strict=True)))
            found.add((self._two[i] + cost, _four(i, i, j, j)))
        return sorted(entry for entry in found if entry[0] < FAR)


def _four(*members: int) -> Four:
    a, b, c, d = sorted(members)
    return a, b, c, d


def _only(member: int, costs: Sequence[int]) -> list[int]:
    """The same costs, for one blank alone."""
    return [cost if i == member else FAR for i, cost in enumerate(costs)]
