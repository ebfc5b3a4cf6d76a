"""Several blocks from one stock: which sets to make so that all together gain most.

A set is worth making if it costs less than a block is worth; with a large worth as many blocks as possible are made,
and of those plans the cheapest. Taking the best set again and again is quick and often best; where stock is tight it
takes from the later blocks what they need more.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from stock.errors import Impossible
from stock.wood.choosing import Stock
from stock.wood.chosen import StaveSet
from stock.wood.likeness import Ask, Covariance, Weights
from stock.wood.plan_columns import Planning
from stock.wood.qualifying import Candidate, Rejected, count

WORTH = 400.0  # points: the wood of four staves
_DEAREST = 80_000.0  # points: beyond it costs are no longer searched


@dataclass(frozen=True, slots=True)
class Standing:
    """How far a plan has come.

    Attributes:
        blocks: sets in the best plan so far; gain_points: what they gain.
        most_points: what no plan can gain more than, as far as that is known; None if it is not yet.
    """

    blocks: int
    gain_points: float
    most_points: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Sets that share no blank.

    Attributes:
        sets: the sets, cheapest first; the spare of each is in no set of the plan and of no other set.
        unused: the keys of the blanks that qualify and are in no set.
        wanted: how many blocks were asked for.
        cost_points: what the sets cost together.
        gain_points: what they gain together: for each what a block is worth less what it costs.
        most_points: what no plan can gain more than; None if there was no time to find out.
        gap_points: by how much a better plan could gain more at most, 0 if `proven`.
        proven: that no plan gains more.
        greedy_points: what the plan gains that takes the best set again and again.
        candidates: how many blanks qualify; of: among how many; rejected: as in `Choice`.
    """

    sets: tuple[StaveSet, ...]
    unused: tuple[str, ...]
    wanted: int
    cost_points: float
    gain_points: float
    most_points: float | None
    gap_points: float | None
    proven: bool
    greedy_points: float
    candidates: int
    of: int
    rejected: dict[str, Rejected]


def plan(
    candidates: Iterable[Candidate],
    ask: Ask,
    *,
    blocks: int,
    worth: float = WORTH,
    seconds: float = 5.0,
    weights: Weights | None = None,
    covariance: Covariance | None = None,
    unready: bool = False,
    clock: Callable[[], float] | None = None,
    progress: Callable[[Standing], None] | None = None,
) -> Plan:
    """The sets to make for several blocks.

    Args:
        candidates, ask, weights, covariance, unready: as in `choosing.choose`.
        blocks: how many are wanted; fewer are made if there are no more sets worth making.
        worth: what a block is worth, points; dearer sets are not made.
        seconds: how long the plan may be made better; the first one is always finished.
        clock: gives seconds that pass, as `time.monotonic` does; None if the time is not to be looked at, but that no
            single program may take longer.
        progress: called whenever the plan or the proof has become better.

    Returns:
        The plan. Ended by the clock it may be another the next time, and says by how much it may be off.

    Raises:
        Impossible: blocks below 1, a worth or a time that cannot be, or a blank given twice.
    """
    if blocks < 1:
        raise Impossible(f"{blocks} blocks cannot be asked for", hint="Ask for one or more.")
    if not 0 < worth <= _DEAREST:
        raise Impossible(f"a block cannot be worth {worth:g} points", hint=f"It is above 0, and up to {_DEAREST:g}.")
    if not 0 <= seconds < float("inf"):
        raise Impossible(f"a plan cannot take {seconds:g} seconds")
    stock = Stock(candidates, ask, weights, covariance, unready, large=True)
    begin = clock() if clock else 0.0

    def left() -> float:
        return seconds - (clock() - begin) if clock else seconds

    def told() -> None:
        if progress is not None:
            most = None if planning.bound is None else -planning.bound / 1000
            progress(Standing(len(planning.plan), -planning.value / 1000, most))

    sizes = [len(group.blanks) for group in stock.groups]
    planning = Planning([group.pools for group in stock.groups], sizes, blocks, round(1000 * worth), left, told)
    planning.work()
    return _plan(stock, planning, blocks)


def _plan(stock: Stock, planning: Planning, blocks: int) -> Plan:
    made = sorted(planning.plan, key=lambda column: (column.cost, column.wood, column.four))
    names = [stock.groups[column.wood].names(column.four) for column in made]
    taken: set[str | None] = {key for keys in names for key in keys}
    sets = []
    for column in made:
        one = stock.stave_set(stock.groups[column.wood], column.four, 3 * column.cost, 0, taken)
        sets.append(one)
        taken.add(one.spare)
    used = {key for keys in names for key in keys}
    gain, most = -planning.value, None if planning.bound is None else -planning.bound
    return Plan(
        sets=tuple(sets),
        unused=tuple(b.key for group in stock.groups for b in group.blanks if b.key not in used),
        wanted=blocks,
        cost_points=sum(column.cost for column in made) / 1000,
        gain_points=gain / 1000,
        most_points=None if most is None else max(gain, most) / 1000,
        gap_points=None if most is None else max(0, most - gain) / 1000,
        proven=planning.proven(),
        greedy_points=planning.greedy / 1000,
        candidates=sum(len(group.blanks) for group in stock.groups),
        of=len(stock.candidates),
        rejected=count(stock.failures),
    )
