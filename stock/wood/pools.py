"""The pool that answers for some blanks of one wood: in plain Python for a shed full, by numpy for more."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from stock.wood import matching
from stock.wood.best_sets import FAR, Pool
from stock.wood.likeness_costs import Likeness
from stock.wood.links import Table
from stock.wood.matching import Rows
from stock.wood.sawn import Sawn
from stock.wood.two_kinds import TwoKinds

if TYPE_CHECKING:
    from stock.wood.links_large import LargeLinks
    from stock.wood.pair_terms import OfPairs

VAST_FROM = 2000  # blanks; below, all their links fit into one table
ASKING_FROM = 700  # blanks, if their errors are shared


class Pools:
    """The blanks of one wood, and the pool that searches them, at any price.

    Args:
        likeness: what the blanks cost each other.
        large: whether numpy is used; None for as many blanks as make it worth while. The answers are the same.
    """

    def __init__(self, likeness: Likeness, *, large: bool | None = None) -> None:
        self._likeness = likeness
        self._large = len(likeness.blanks) > matching.PLAIN_UP_TO if large is None else large

    @property
    def _vast(self) -> bool:
        """Whether not even all pairs are looked at; sooner where it must be asked of pairs whether they may be."""
        return len(self._likeness.blanks) >= (VAST_FROM if self._likeness.settle() is None else ASKING_FROM)

    @cached_property
    def _table(self) -> Table:
        return Table(self._likeness.rows())

    @cached_property
    def _links(self) -> LargeLinks:
        """The links of blanks of one kind, by numpy."""
        import numpy as np

        from stock.wood.links_large import LargeLinks

        n, link, settle = len(self._likeness.blanks), self._likeness.low(), self._likeness.settle()
        if self._vast:
            return LargeLinks(link, n, self._likeness.lines(), settle)
        each = np.arange(n)
        table = link(each[:, None], each[None, :])
        if settle is not None:
            i, j = np.nonzero(np.triu(table < FAR))
            barred = ~settle(i, j)
            table[i[barred], j[barred]] = table[j[barred], i[barred]] = FAR
        return LargeLinks(lambda i, j: table[i, j], n)

    def at(self, prices: Sequence[int] | None = None) -> Pool:
        """The pool.

        Args:
            prices: for each blank what it costs besides, whatever the number of staves it gives, thousandths of a
                point; `FAR` for one that may not be used. None for nothing.

        Returns:
            The pool, for the pattern and the staves to a blank that are asked for.
        """
        alike = self._likeness
        units = alike.units
        if prices is not None:
            units = [
                [cost + price for cost in costs] if price < FAR else [FAR]
                for costs, price in zip(units, prices, strict=True)
            ]
        thrice = [[min(FAR, 3 * cost) for cost in costs] for costs in units]
        if alike.ask.two_kinds:
            return TwoKinds(
                self._table if not self._large else self._links, self._across, thrice, alike.split, alike.extra
            )
        singles = self._singles([costs[0] for costs in units])
        if all(len(costs) < 2 for costs in units):
            return singles
        return Sawn(singles, self._links if self._large else self._table, thrice, alike.extra)

    def _singles(self, units: Sequence[int]) -> Pool:
        extra = self._likeness.extra
        if not self._large:
            return Rows(self._table.edges(units), extra)
        from stock.wood.matching_large import Edges
        from stock.wood.matching_vast import Vast

        if self._vast:
            return Vast(self._links, units, extra)
        import numpy as np

        own, link = np.array(units, dtype=np.int64), self._links.link
        return Edges(lambda i, j: link(i, j) + own[i] + own[j], range(len(units)), extra)

    def row(self, i: int) -> list[int]:
        """The links of a blank to all others, of its kind or the other."""
        if not self._large:
            return self._table.row(i)
        row, split = self._links.row(i), self._likeness.split
        if i < split:
            return [*row[:split], *(self._across(i) if split < len(row) else ())]
        return [*self._one_across(i, 0, split), *row[split:]]

    def _across(self, a: int) -> list[int]:
        """The links of a blank of the first kind to those of the second."""
        split = self._likeness.split
        if not self._large:
            return self._table.row(a)[split:]
        return self._one_across(a, split, len(self._likeness.blanks))

    def _one_across(self, i: int, start: int, end: int) -> list[int]:
        """The links of a blank to those of the other kind, which have the numbers from start to end."""
        import numpy as np

        others = np.arange(start, end)
        links = self._low_across(np.int64(i), others)
        if (settle := self._likeness.settle()) is not None:
            near = others[links < FAR]
            links[near[~settle(np.full(len(near), i), near)] - start] = FAR
        listed: list[int] = links.tolist()
        return listed

    @cached_property
    def _low_across(self) -> OfPairs:
        return self._likeness.low(across=True)
