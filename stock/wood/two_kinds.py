"""Sets of two blanks of one kind and two of another, for the patterns of two letters.

Such a set is two *halves*: two blanks of the first kind, or one that gives two staves, and the same of the second. It
costs its two halves and the links between them, which are from 0 up. All halves of either kind are sorted by their
cost; each of the first is joined with those of the second, cheapest first, until even without the links the two cost
more than the k-th best set so far. To the cost of a first half counts the least its blanks can be linked for to any
half of the other kind. Nothing is passed over but what this bound rules out, so the answer is exact; halves of equal
cost are met in the order of their tuples, and every blank of the first kind has a smaller number than one of the
second, so that of equal sets the smallest tuple wins.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Collection, Iterator, Sequence
from functools import cached_property
from heapq import nsmallest

from stock.wood.best_sets import FAR, Best, Extra, Four, Pool
from stock.wood.links import Links

_CORES = (60, 600)  # least wasteful blanks of either kind that are searched first
_FEW = 8  # one in so many
Half = tuple[int, int, int]  # what it costs, and its two staves


class _Seconds:
    """The halves of the second kind, and those of them that a half of the first may be joined with."""

    def __init__(self, halves: list[Half], split: int) -> None:
        self.halves, self._split = halves, split

    @cached_property
    def _of_blank(self) -> dict[int, list[Half]]:
        found: dict[int, list[Half]] = {}
        for half in self.halves:
            found.setdefault(half[1] - self._split, []).append(half)
        return found

    def within(self, most: int, links: Sequence[int]) -> Sequence[Half]:
        """The halves, cheapest first, that cost no more than this, and perhaps others; without those that must not be
        joined if they are most of them."""
        allowed = [c for c, link in enumerate(links) if link < FAR]
        many = bisect_right(self.halves, (most, FAR, FAR))
        if _FEW * sum(len(self._of_blank.get(c, ())) for c in allowed) > many:
            return self.halves
        found = [half for c in allowed for half in self._of_blank.get(c, ()) if links[half[2] - self._split] < FAR]
        return sorted(found)


class TwoKinds(Pool):
    """A pool of blanks of two kinds.

    Args:
        links: what each two blanks of one kind cost each other.
        across: the links of a blank of the first kind to all those of the second, in their order; `FAR` where two may
            not share a block.
        units: what each blank costs by itself when it gives 1 or 2 staves, as far as it can.
        split: how many blanks are of the first kind; those have the smaller numbers.
        extra: what a set costs beyond its units and links; see `Best`.
    """

    def __init__(
        self,
        links: Links,
        across: Callable[[int], list[int]],
        units: Sequence[Sequence[int]],
        split: int,
        extra: Extra | None = None,
    ) -> None:
        self._links, self._across, self._split, self.extra, self.n = links, across, split, extra, len(units)
        self._units = units
        self._rows: dict[int, list[int]] = {}
        self._least: dict[int, int] = {}
        self._twice = [i - split for i in range(split, self.n) if len(units[i]) > 1]

    def search(self, best: Best) -> None:
        costs = [self._units[i][0] for i in range(self.n)]
        for kinds in self._cores(costs):
            self._join(kinds, kinds, best)

    def search_with(self, member: int, best: Best) -> None:
        beside = zip(self._units, self._links.row(member), strict=True)
        costs = [costs[0] + link for costs, link in beside]
        costs[member] = -1
        for kinds in self._cores(costs):
            self._join([[member] if member in kind else kind for kind in kinds], kinds, best)

    def _cores(self, costs: Sequence[int]) -> Iterator[list[Collection[int]]]:
        """Some of either kind, those that cost least, then more, then all: so that when most pairs are looked at there
        is a `worst` that rules them out."""
        kinds = range(self._split), range(self._split, self.n)
        for core in _CORES:
            if core < max(map(len, kinds)):
                yield [set(nsmallest(core, kind, key=costs.__getitem__)) for kind in kinds]
        yield list(kinds)

    def _halves(self, own: Collection[int], kind: Collection[int], less: int, best: Best) -> list[Half]:
        """The halves of a kind that may belong to a set, cheapest first: one stave from `own` and one from `kind`.

        Args:
            own, kind: blanks of one kind, the first among the second.
            less: what a half of the other kind costs at least.
            best: the sets so far.
        """
        costs = [self._units[i][0] for i in range(self.n)]
        firsts, seconds = ([cost if i in some else FAR for i, cost in enumerate(costs)] for some in (own, kind))
        halves = {
            (costs[i] + cost, min(i, j), max(i, j))
            for i, near in self._links.within(firsts, 1, seconds, lambda: min(best.worst, FAR - 1) - less)
            for cost, j in near
        }
        halves.update((self._units[i][1], i, i) for i in own if len(self._units[i]) > 1)
        return sorted(halves)

    def _least_half(self, kind: Collection[int]) -> int:
        """What a half costs at least."""
        ones = sorted(self._units[i][0] for i in kind)[:2]
        twos = (self._units[i][1] for i in kind if len(self._units[i]) > 1)
        return min(sum(ones) if len(ones) > 1 else FAR, min(twos, default=FAR))

    def _row(self, a: int) -> list[int]:
        row = self._rows.get(a)
        if row is None:
            row = self._rows[a] = self._across(a)
        return row

    def _least_across(self, a: int) -> int:
        """The least that a stave of a can be linked for to two staves of the other kind."""
        least = self._least.get(a)
        if least is None:
            row = self._row(a)
            ones = nsmallest(2, row)
            twice = min((2 * row[b] for b in self._twice), default=FAR)
            least = self._least[a] = min(FAR, sum(ones) if len(ones) > 1 else FAR, twice)
        return least

    def _join(self, own: Sequence[Collection[int]], kinds: Sequence[Collection[int]], best: Best) -> None:
        """Every set of a half of either kind, each with a stave from `own` of its kind, that could join `best`."""
        if best.worst >= FAR:  # nothing rules pairs out but that their blanks go with none of the other kind
            own, kinds = ([{a for a in some[0] if self._least_across(a) < FAR}, some[1]] for some in (own, kinds))
        fewer = int(len(own[1]) < len(own[0]))
        few = self._halves(own[fewer], kinds[fewer], self._least_half(kinds[1 - fewer]), best)
        many = self._halves(own[1 - fewer], kinds[1 - fewer], few[0][0], best) if few else []
        if not many:
            return
        firsts, seconds = (few, many) if fewer == 0 else (many, few)
        q, c, d = seconds[0]
        all_seconds = _Seconds(seconds, self._split)
        for p, a, b in firsts:
            if best.shut(p + q, a, b, c, d):
                break
            low = p + self._least_across(a) + self._least_across(b)
            if low < FAR and not best.shut(low + q, a, b, c, d):
                best.pause()
                self._join_one((low, a, b), p, all_seconds, best)

    def _join_one(self, first: Half, p: int, seconds: _Seconds, best: Best) -> None:
        """Every set of one half of the first kind, which costs p and with its links at least `low`."""
        low, a, b = first
        split = self._split
        links = [x + y for x, y in zip(self._row(a), self._row(b), strict=True)]
        for q, c, d in seconds.within(best.worst - low, links):
            if low + q >= best.worst and best.shut(low + q, a, b, c, d):
                break
            cost = p + q + links[c - split] + links[d - split]
            if cost <= best.worst:
                best.offer(cost, a, b, c, d)

    def sketch(self) -> list[tuple[int, Four]]:
        """For the cheapest half of every blank the half of the other kind that goes best with it, of the cheapest half
        of every blank there."""
        kinds = range(self._split), range(self._split, self.n)
        halves = [self._cheapest(self._halves(kind, kind, 0, Best(1))) for kind in kinds]
        found: dict[Half, tuple[int, Four]] = {}
        for one in halves[0]:
            p, a, b = one
            links = [x + y for x, y in zip(self._row(a), self._row(b), strict=True)]
            for other in halves[1]:
                q, c, d = other
                entry = (p + q + links[c - self._split] + links[d - self._split], (a, b, c, d))
                for half in (one, other):
                    found[half] = min(entry, found.get(half, entry))
        return sorted({entry for entry in found.values() if entry[0] < FAR})

    def _cheapest(self, halves: list[Half]) -> list[Half]:
        cheapest: dict[int, Half] = {}
        for half in reversed(halves):
            cheapest[half[1]] = cheapest[half[2]] = half
        return sorted(set(cheapest.values()))
