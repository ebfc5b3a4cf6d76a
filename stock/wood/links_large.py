"""The links of a large pool, by numpy: cheap bounds first, and the links themselves only for what they leave."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from stock.wood.best_sets import FAR

if TYPE_CHECKING:
    from stock.wood.pair_terms import OfPairs

_CELLS = 1 << 18  # pairs looked at at a time
_TOGETHER = 1 << 15  # pairs that are priced at a time
_ROUNDED = 2  # thousandths of a point by which a line may overstate what a pair costs
_EXACT = 2**23  # whole numbers up to here are exact in single precision, sums of two as well


@dataclass(frozen=True, slots=True)
class Lines:
    """What can be said of all pairs at little cost, thousandths of a point.

    Attributes:
        lines: a number for each blank and a cap: no pair costs less than the smaller of the cap and the difference of
            its two numbers, less 2 for rounding; the lines add up.
        groups: a number for each blank and a cost: two blanks whose numbers differ, neither of them below 0, cost at
            least so much; the groups add up, and to the lines.
        trees: a number for each blank's tree, below 0 if it is not known.
        between_trees: what two blanks of two known trees cost at least in all; None if nothing can be said.
    """

    lines: Sequence[tuple[Sequence[float], float]]
    groups: Sequence[tuple[Sequence[int], int]]
    trees: Sequence[int]
    between_trees: int | None


class LargeLinks:
    """Links by numpy, for as many blanks as there may be; see `Links`.

    A pair is looked at in two steps. The lines and the groups cost a few operations on rows of numbers; where even
    two trees cost too much, only the blanks of one tree are set against each other. What is left pays for its link.

    Args:
        link: link(i, j) gives the links of two arrays of numbers that broadcast, `FAR` where two may not share a block
            and for a blank with itself.
        n: how many blanks there are.
        lines: what can be said at little cost, in thirds of the unit of the links.
        settle: settle(i, j) says of two arrays of the same length whether pairs may share a block whose link does not
            rule it out; it is asked last of all. None if all may.
    """

    def __init__(self, link: OfPairs, n: int, lines: Lines | None = None, settle: OfPairs | None = None) -> None:
        import numpy as np

        self.link, self.n, self._settle = link, n, settle
        self._all = np.arange(n)
        said = lines or Lines((), (), [-1 - i for i in range(n)], None)
        self._lines = [(3 * np.array(values, dtype=np.float32), 3 * cap) for values, cap in said.lines]
        self._groups = [(np.array(codes, dtype=np.int32), 3 * cost) for codes, cost in said.groups if cost]
        self._slack = 3 * _ROUNDED * len(self._lines)
        self._trees = np.array(said.trees, dtype=np.int64)
        self._between_trees = said.between_trees

    def row(self, i: int) -> list[int]:
        import numpy as np

        listed: list[int] = self.link(np.int64(i), self._all).tolist()
        return listed

    def within(
        self, own: Sequence[int], times: int, other: Sequence[int], limit: Callable[[], int]
    ) -> Iterator[tuple[int, list[tuple[int, int]]]]:
        import numpy as np

        firsts, seconds = np.array(own, dtype=np.int64), np.array(other, dtype=np.int64)
        for i, j, link in self.pairs(firsts, times, seconds, limit):
            cost = times * link + seconds[j]
            order = np.lexsort((j, cost, i))
            i, entries = i[order], list(zip(cost[order].tolist(), j[order].tolist(), strict=True))
            starts = np.flatnonzero(np.diff(i, prepend=-1)).tolist()
            for start, end in pairwise([*starts, len(i)]):
                yield int(i[start]), entries[start:end]

    def pairs(self, own: Any, times: int, other: Any, limit: Callable[[], int]) -> Iterator[tuple[Any, Any, Any]]:
        """The same as arrays, first, second and link, in blocks; all pairs of one first blank are in one block."""
        import numpy as np

        if not self.n:
            return
        top, least, cheapest = min(limit(), FAR - 1), int(own.min()), int(other.min())
        rows, columns = np.flatnonzero(own + cheapest <= top), np.flatnonzero(other + least <= top)
        waiting: list[tuple[Any, Any]] = []
        for i, j in self._blocks(rows, columns, own, times, top - cheapest):
            step = max(1, _CELLS // len(j))
            for at in range(0, len(i), step):
                top = min(limit(), FAR - 1)
                some = i[at : at + step]
                some = some[own[some] + cheapest <= top]
                if not len(some):
                    continue
                r, c = self._close(some, j, own, times, other, top)
                waiting.append((some[r], j[c]))
                if sum(len(first) for first, _ in waiting) >= _TOGETHER:
                    yield self._priced(waiting, own, times, other, top)
                    waiting = []
        if waiting:
            yield self._priced(waiting, own, times, other, min(limit(), FAR - 1))

    def _priced(self, waiting: Sequence[tuple[Any, Any]], own: Any, times: int, other: Any, top: int) -> Any:
        import numpy as np

        first, second = (np.concatenate(some) for some in zip(*waiting, strict=True))
        link = self.link(first, second)
        kept = np.flatnonzero((link < FAR) & (own[first] + times * link + other[second] <= top))
        if self._settle is not None:
            kept = kept[self._settle(first[kept], second[kept])]
        return first[kept], second[kept], link[kept]

    def _close(self, i: Any, j: Any, own: Any, times: int, other: Any, top: int) -> tuple[Any, Any]:
        """Which of the pairs are not ruled out by the lines and the groups."""
        import numpy as np

        top += times * self._slack
        kind = np.float32 if top < _EXACT else np.float64
        bound = np.minimum(own[i], 2 * top).astype(kind)[:, None] + np.minimum(other[j], 2 * top).astype(kind)[None, :]
        gap = np.empty_like(bound)
        for values, cap in self._lines:
            np.subtract(values[i][:, None], values[j][None, :], out=gap)
            np.abs(gap, out=gap)
            if times * cap < top:
                np.minimum(gap, cap, out=gap)
            if times != 1:
                gap *= times
            bound += gap
        for codes, cost in self._groups:
            one, two = codes[i], codes[j]
            if one[0] != one[-1] or one[0] != two[0] or (two != two[0]).any():
                differ = one[:, None] != two[None, :]
                differ[one < 0] = False
                differ[:, two < 0] = False
                np.multiply(differ, times * cost, out=gap)
                bound += gap
        rows, columns = np.nonzero(bound <= top)
        return rows, columns

    def _blocks(self, rows: Any, columns: Any, own: Any, times: int, room: int) -> Iterator[tuple[Any, Any]]:
        """Blanks to be set against each other: all against all, cheapest first, where there is room for what two trees
        cost; the others tree by tree."""
        import numpy as np

        if not len(columns):
            return
        apart = 0 if self._between_trees is None else 3 * times * self._between_trees
        anywhere = (own[rows] + apart <= room) | (self._trees[rows] < 0) | (self._between_trees is None)
        if anywhere.any():
            some = rows[anywhere]
            yield some[np.argsort(own[some], kind="stable")], columns
        rows = rows[~anywhere]
        unknown, columns = columns[self._trees[columns] < 0], columns[self._trees[columns] >= 0]
        rows, columns = (some[np.argsort(self._trees[some], kind="stable")] for some in (rows, columns))
        grown = self._trees[columns]
        for some in np.split(rows, np.flatnonzero(np.diff(self._trees[rows])) + 1):
            if len(some):
                begin, end = (np.searchsorted(grown, self._trees[some[0]], side=side) for side in ("left", "right"))
                beside = np.concatenate([columns[begin:end], unknown])
                if len(beside):
                    yield some, beside


def nearest(blocks: Iterable[tuple[Any, Any, Any]], n: int, m: int, none: int) -> tuple[Any, Any]:
    """The m partners that cost each blank least; of equal ones the smaller number first.

    Args:
        blocks: arrays of first blanks, second ones and costs, all pairs of one first blank in one block.
        n: how many blanks there are.
        m: how many partners are kept.
        none: the cost where a blank has no more of them.

    Returns:
        The partners, and their costs, each of shape (n, m).
    """
    import numpy as np

    near, costs = np.zeros((n, m), np.int64), np.full((n, m), none, np.int64)
    for i, j, cost in blocks:
        order = np.lexsort((j, cost, i))
        i, j, cost = i[order], j[order], cost[order]
        rank = np.arange(len(i)) - np.searchsorted(i, i)
        kept = rank < m
        near[i[kept], rank[kept]], costs[i[kept], rank[kept]] = j[kept], cost[kept]
    return near, costs
