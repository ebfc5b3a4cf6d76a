"""The search behind a plan: sets by column generation, and the proof that no plan gains more.

A plan makes at most m sets of different blanks; a set of cost c gains R - c, R being what a block is worth. Give every
blank a price from 0 up. A plan's sets then cost, prices included, at least the cheapest priced set each, and hand back
no more than all prices together:

    sum of (c - R)  >=  m min(0, cheapest priced set - R) - sum of all prices

for any prices. The prices that make this bound best are those of the linear program over all sets, and it need not
know all sets: a price acts on a blank like more waste, so the search for the cheapest set, unchanged, says whether any
set is missing. When none is, the bound is as good as it gets.

A plan that uses some set S costs at least the bound plus what S, priced, costs more than the cheapest. So a plan better
than the best known can only use sets within that gap; all of them are listed, by the same search, and a whole-number
program over the list settles it. All of the bound is reckoned in whole numbers; the programs are only trusted to choose
good prices, and to search the list.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from math import floor

from stock.wood.best_sets import FAR, Four, Halted, Pool
from stock.wood.plan_master import Column, Master, chosen
from stock.wood.pools import Pools

_GREEDY = 50  # sets listed at a time, of which those are taken that share no blank
_A_ROUND = 100  # sets added to the program at a time, at least
_PROGRAM = 6000  # sets of a first whole-number program
_LISTED = 60_000  # sets that may be listed to close the gap


class Planning:
    """A plan in the making.

    Args:
        woods: the pools of each wood.
        sizes: how many blanks each has.
        blocks: how many sets are wanted at most.
        worth: what a block is worth, thousandths of a point.
        left: how many seconds are left.
        told: called when the plan or its bound has become better.

    Attributes:
        plan: the sets of the best plan so far; greedy: what the first one gains.
        bound: what the sum of cost less worth of no plan can fall below, thousandths of a point; None if not known.
    """

    def __init__(
        self,
        woods: Sequence[Pools],
        sizes: Sequence[int],
        blocks: int,
        worth: int,
        left: Callable[[], float],
        told: Callable[[], None],
    ) -> None:
        self._woods, self._blocks, self._worth, self._left, self._told = woods, blocks, worth, left, told
        self._starts = [sum(sizes[:at]) for at in range(len(sizes))]
        self._sizes, self._n = sizes, sum(sizes)
        self.plan: list[Column] = []
        self.greedy = 0
        self.bound: int | None = None

    @property
    def value(self) -> int:
        """The sum of cost less worth of the plan."""
        return self._value(self.plan)

    def _value(self, columns: Iterable[Column]) -> int:
        return sum(column.cost - self._worth for column in columns)

    def proven(self) -> bool:
        return self.bound is not None and self.value <= self.bound

    def work(self) -> None:
        """Make the plan as good as it can be in the time."""
        self.plan = self._greedy()
        self.greedy = -self.value
        self._told()
        if not self.plan:
            self.bound = 0
            return
        try:
            self._improve()
        except Halted:
            return

    def _greedy(self) -> list[Column]:
        """The best set, then the best of what is left, and so on."""
        plan: list[Column] = []
        used = [0] * self._n
        while len(plan) < self._blocks:
            found = self._found(used, _GREEDY, self._worth, halt=False)
            for column in found:
                if len(plan) < self._blocks and not any(used[i] for i in column.blanks):
                    plan.append(column)
                    for i in column.blanks:
                        used[i] = FAR
            if not found:
                break
        return plan

    def _improve(self) -> None:
        master = Master(self._n, self._blocks, self._worth)
        columns: dict[tuple[int, Four], Column] = {}
        free = [0] * self._n
        new = [*self.plan, *self._found(free, _A_ROUND, self._worth), *self._sketched(free, self._worth)]
        while True:
            fresh = {(c.wood, c.four): c for c in new if (c.wood, c.four) not in columns}
            columns.update(fresh)
            master.add(list(fresh.values()))
            prices, block = master.prices()
            whole = [floor(1000 * price + 1e-6) for price in prices]
            below = floor(self._worth - 1000 * block) - 4  # four prices are rounded down
            new = self._sketched(whole, below)
            if not new:
                new = self._found(whole, max(_A_ROUND, self._n), below)
                cheapest = min([self._priced(c, whole) for c in new], default=below)
                bound = self._blocks * min(0, cheapest - self._worth) - sum(whole)
                if self.bound is None or bound > self.bound:
                    self.bound = min(bound, self.value)
                    self._told()
            if not new or self.proven():
                break
            if self._left() <= 0:
                return
        if not self.proven():
            self._choose(list(columns.values()), whole)
        if not self.proven():
            self._close(whole, bound, cheapest)

    def _choose(self, columns: list[Column], prices: Sequence[int]) -> None:
        """The best plan of the most promising sets known."""
        columns.sort(key=lambda column: (self._priced(column, prices), column.wood, column.four))
        self._take(chosen(columns[:_PROGRAM], self._n, self._blocks, self._worth, self._left() / 3)[0])

    def _close(self, prices: Sequence[int], bound: int, cheapest: int) -> None:
        """List every set that a better plan could use, and choose among them."""
        below = self._worth + self.value - bound + min(0, cheapest - self._worth)
        listed = self._found(prices, _LISTED, below)
        if len(listed) >= _LISTED:
            return
        taken, least = chosen([*listed, *self.plan], self._n, self._blocks, self._worth, self._left())
        self._take(taken)
        if least is not None:
            self.bound = min(self.value, max(bound, least))
            self._told()

    def _take(self, plan: list[Column]) -> None:
        if self._value(plan) < self.value:
            self.plan = plan
            self._told()

    def _priced(self, column: Column, prices: Sequence[int]) -> int:
        return column.cost + sum(prices[i] for i in column.blanks)

    def _found(self, prices: Sequence[int], k: int, below: int, *, halt: bool = True) -> list[Column]:
        """The k cheapest sets, prices included, of those that cost less than `below`."""
        stop = (lambda: self._left() <= 0) if halt else None
        found = []
        for wood, pool in self._pools(prices):
            entries = pool.best(k, below=min(3 * below, FAR), halt=stop) if below > 0 else []
            found += [(cost, wood, four) for cost, four in entries]
        return [self._column(cost // 3, wood, four, prices) for cost, wood, four in sorted(found)[:k]]

    def _sketched(self, prices: Sequence[int], below: int) -> list[Column]:
        """Various sets that cost less than `below`, prices included."""
        found = []
        for wood, pool in self._pools(prices):
            for bound, four in pool.sketch():
                if bound < 3 * below:
                    cost = bound + (pool.extra(four) if pool.extra else 0)
                    if cost < 3 * below:
                        found.append(self._column(cost // 3, wood, four, prices))
        return found

    def _pools(self, prices: Sequence[int]) -> Iterable[tuple[int, Pool]]:
        for wood, (pools, start, size) in enumerate(zip(self._woods, self._starts, self._sizes, strict=True)):
            yield wood, pools.at(prices[start : start + size])

    def _column(self, priced: int, wood: int, four: Four, prices: Sequence[int]) -> Column:
        blanks = tuple(self._starts[wood] + i for i in dict.fromkeys(four))
        return Column(priced - sum(prices[i] for i in blanks), blanks, wood, four)
