"""What waiting brings: the same question, asked of the blanks as they will be."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

from stock.errors import Impossible
from stock.wood.choosing import Stock
from stock.wood.chosen import StaveSet
from stock.wood.likeness import Ask, Covariance, Weights
from stock.wood.qualifying import Candidate

WORTH_WAITING_POINTS = 5.0  # what a set must cost less to be worth the wait; our judgement, no source


@dataclass(frozen=True, slots=True)
class Later:
    """The answer on a later day.

    Attributes:
        days: from today, 0 for today.
        qualify: how many blanks will qualify; more: how many of them do not today; fewer: how many that do today will
            not, because they will by then be too wet, or to weigh again.
        best: the best set there will be; None if there will be none.
        saved_points: what it will cost less than the best of today; None if there is none today or none then.
        same: whether it is of the same staves as the best of today.
    """

    days: int
    qualify: int
    more: int
    fewer: int
    best: StaveSet | None
    saved_points: float | None
    same: bool


@dataclass(frozen=True, slots=True)
class Waiting:
    """What waiting brings.

    Attributes:
        days: today and each later day, in order.
        wait_days: the first day on which there is a set and today there is none, or one that costs less by more than
            WORTH_WAITING_POINTS; None if there is no reason to wait.
    """

    days: tuple[Later, ...]
    wait_days: int | None


def waiting(
    futures: Mapping[int, Iterable[Candidate]],
    ask: Ask,
    *,
    weights: Weights | None = None,
    covariances: Mapping[int, Covariance] | None = None,
    unready: bool = False,
) -> Waiting:
    """Whether to glue now or to wait.

    Args:
        futures: by days from today, the candidates as they are expected to be; day 0, today, must be among them. Blanks
            keep their keys.
        ask: what is wanted; its day, if it has one, is moved on with the days, so that blanks that lie on in one place
            come to have lain there long enough.
        weights, unready: as in `choosing.choose`.
        covariances: by days, as `covariance` there; a day without one has none.

    Raises:
        Impossible: no day 0, a day below 0, or a blank given twice.
    """
    if 0 not in futures or min(futures) < 0:
        raise Impossible("waiting is counted from today, day 0, on")
    answers = []
    for days in sorted(futures):
        then = ask if ask.on is None else replace(ask, on=ask.on + timedelta(days=days))
        covariance = (covariances or {}).get(days)
        stock = Stock(futures[days], then, weights, covariance, unready)
        keys = {key for key, fails in stock.failures.items() if not fails}
        answers.append((days, keys, next(iter(stock.best(1)), None)))
    _, today, now = answers[0]
    later = tuple(_later(days, keys, best, today, now) for days, keys, best in answers)
    return Waiting(later, next((one.days for one in later if _worth_it(one, now)), None))


def _later(days: int, keys: set[str], best: StaveSet | None, today: set[str], now: StaveSet | None) -> Later:
    saved = None if best is None or now is None else (now.thousandths - best.thousandths) / 1000
    same = best is not None and now is not None and _staves(best) == _staves(now)
    return Later(days, len(keys), len(keys - today), len(today - keys), best, saved, same)


def _staves(one: StaveSet) -> Sequence[str]:
    return sorted(one.keys)


def _worth_it(later: Later, now: StaveSet | None) -> bool:
    if now is None:
        return later.best is not None
    return later.saved_points is not None and later.saved_points > WORTH_WAITING_POINTS
