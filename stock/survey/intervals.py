"""How long a piece is left between two weighings: the practice of the trade, and how far a forecast may stray from it.

The interval follows the loss: a week while a piece loses more than 4 % of its weight a month, a fortnight above 1 %, a
month below, a season once it is dry; a reference block monthly. All of it is common practice, no source, and so are the
limits: a forecast may ask for a weighing after half that time or leave the piece three times as long, but never asks
within a week (three days while a piece is fresh) and never leaves it longer than a season. Where a verdict waits for
more weighings, the practice of the trade stands.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from stock.survey.courses import Dryness

WEEK, FORTNIGHT, MONTH, SEASON = 7, 14, 30, 91
FAST_PCT_MONTH, SLOW_PCT_MONTH = 4.0, 1.0  # of its weight in 30 days
FRESH_DAYS, SOONEST_FRESH = 21, 3  # a series this young may be weighed after so few days
LONGER = 3  # times the practice of the trade
FEWEST = 3  # weighings below which the practice of the trade stands
_AT_ONCE = {"re-weigh": "weighed long ago, or moved", "contradictory": "its weights contradict each other"}


@dataclass(frozen=True, slots=True)
class Interval:
    """When a piece is to be weighed next.

    Attributes:
        due_on: by the practice of the trade.
        why: the reason in words.
        every_days: the time between two weighings.
        soonest, latest: between which days a forecast may move it; None if it may not.
    """

    due_on: date
    why: str
    every_days: int
    soonest: date | None = None
    latest: date | None = None

    def moved_to(self, worth_on: date | None) -> date:
        """The day on which the piece is worth weighing, within the limits; None is a day out of sight."""
        if self.soonest is None or self.latest is None:
            return self.due_on
        return min(max(worth_on or self.latest, self.soonest), self.latest)


def interval(dryness: Dryness) -> Interval:
    """When a piece is to be weighed next by the practice of the trade, and how far a forecast may move that."""
    last_on = dryness.last_weighed_on
    if last_on is None:
        return Interval(dryness.on, "never weighed", WEEK)
    if dryness.verdict in _AT_ONCE:
        return Interval(dryness.on, _AT_ONCE[dryness.verdict], MONTH if dryness.verdict == "re-weigh" else WEEK)
    if dryness.piece.role == "reference":
        return _after(last_on, MONTH, "a reference block: monthly")
    if dryness.judgement.ready:
        return _after(last_on, SEASON, "dry: once a season")
    steadiness = dryness.judgement.steadiness
    loss = steadiness.loss_pct_month if steadiness else None
    if steadiness is None or loss is None:
        return _after(last_on, WEEK, "a new series: weekly")
    if loss > FAST_PCT_MONTH:
        days, why = WEEK, "losing fast: weekly"
    elif loss > SLOW_PCT_MONTH:
        days, why = FORTNIGHT, "losing: every two weeks"
    else:
        days, why = MONTH, "gaining: monthly" if steadiness.word == "gaining" else "nearly steady: monthly"
    weighed = sorted({reading.on for reading in dryness.readings})
    if steadiness.word == "gaining" or len(weighed) < FEWEST or dryness.verdict == "cannot tell":
        return _after(last_on, days, why)
    fresh = (last_on - weighed[0]).days < FRESH_DAYS
    soonest = SOONEST_FRESH if fresh else max(days // 2, WEEK)
    return _after(last_on, days, why, soonest, min(LONGER * days, SEASON))


def _after(last_on: date, days: int, why: str, soonest: int = 0, latest: int = 0) -> Interval:
    return Interval(
        last_on + timedelta(days=days),
        why,
        days,
        last_on + timedelta(days=soonest) if soonest else None,
        last_on + timedelta(days=latest) if latest else None,
    )
