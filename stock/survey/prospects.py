"""When a piece will have changed enough to be worth weighing, and what it should weigh then: by its forecast.

Few draws, a short look ahead and the belief of a new user are enough for that: what a piece weighed three times does in
the next weeks hangs on its own weighings. Where many pieces could be asked about, those that cannot have changed enough
at twice their present pace are left out beforehand.
"""

import math
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date

from stock.errors import StockError
from stock.survey.courses import Dryness, Reckoning
from stock.survey.dryings import air_of_course, course_of
from stock.survey.intervals import Interval
from stock.survey.piece import Piece
from stock.wood.drying import Course, Drying, Forecast, Lost, Point, Spread
from stock.wood.forecast import forecast_many

STEPS, SHARE = 4, 0.005  # a change worth weighing: so many steps of the scales, and this share of the weight
FASTER, PACE_DAYS = 2.0, 28  # how much faster than lately a piece may lose; the time over which that is known
DRAWS, LOOK_AHEAD_DAYS = 64, 200


@dataclass(frozen=True, slots=True)
class Outlook:
    """What a piece should weigh on a day: how much lighter than last time, and the range of four chances of five, g."""

    lighter_g: float
    low_g: float
    high_g: float
    step_g: float

    @property
    def lighter_by_step_g(self) -> float:
        """How much lighter, no finer than the scales show."""
        return max(round(self.lighter_g / self.step_g) * self.step_g, 0.0)


@dataclass(frozen=True, slots=True)
class Prospect:
    """The coming weights of a piece.

    Attributes:
        worth_on: the day on which it has likely changed enough; None if that is out of sight.
        last_g: its last weight, net and as the piece is now.
        step_g: of the scales.
        then: net weight, g, on the day of that weighing as fitted, on the day of asking, and on a later one, by day.
    """

    worth_on: date | None
    last_g: float
    step_g: float
    then: tuple[tuple[date, Spread], tuple[date, Spread], tuple[date, Spread]]

    def on(self, day: date, tare_g: float) -> Outlook:
        """What the scales should show on a day from the day of asking on.

        Args:
            day: the day; one later than is known is taken for the last that is.
            tare_g: what they show that is neither wood nor water, g.
        """
        (_, fitted), (first, now), (last, later) = self.then
        span = (last - first).days
        share = min(max((day - first).days / span, 0.0), 1.0) if span else 0.0
        low, likely, high = (a + share * (b - a) for a, b in zip(now[1:4], later[1:4], strict=True))
        lighter = fitted.median - likely
        shown = self.last_g - lighter + tare_g
        return Outlook(lighter, shown + low - likely - self.step_g, shown + high - likely + self.step_g, self.step_g)


def worth_weighing_g(dryness: Dryness) -> float:
    """The change of its weight that makes a piece worth weighing, g."""
    last = dryness.readings[-1]
    return max(STEPS * last.step, SHARE * last.net_g)


def is_foreseeable(reckoning: Reckoning, piece: Piece) -> bool:
    """Whether a forecast can be made of a piece."""
    try:
        return not course_of(reckoning, piece).why_not
    except StockError:
        return False


def may_be_worth(dryness: Dryness, interval: Interval, until: date) -> bool:
    """Whether a piece can have changed enough by a day, at twice its present pace and a step of the scales."""
    if interval.soonest is None or interval.latest is None or interval.soonest > until:
        return False
    if interval.latest <= until:
        return True
    steadiness, last = dryness.judgement.steadiness, dryness.readings[-1]
    month = steadiness.loss_pct_month if steadiness else None
    pace = FASTER * (max(month or 0.0, 0.0) / 100 * last.net_g / 30 + last.step / PACE_DAYS)
    return pace * (until - last.on).days >= worth_weighing_g(dryness)


def prospects(reckoning: Reckoning, wanted: Sequence[tuple[Dryness, date]]) -> dict[int, Prospect]:
    """The prospects of some pieces, by their ids.

    Args:
        reckoning: the moisture of their families.
        wanted: foreseeable pieces, each with the last day that it may be left.
    """
    if not wanted:
        return {}
    dryings: dict[int, Drying] = {}
    for dryness, latest in wanted:
        with suppress(StockError):  # one piece whose numbers are refused goes by the practice of the trade
            dryings[dryness.piece.id] = _drying(reckoning, dryness, latest)
    step_g = {dryness.piece.id: dryness.readings[-1].step for dryness, _ in wanted}
    return {
        piece_id: _prospect(drying.course, forecast, step_g[piece_id])
        for (piece_id, drying), forecast in zip(dryings.items(), _told(list(dryings.values())), strict=True)
        if forecast is not None
    }


def _drying(reckoning: Reckoning, dryness: Dryness, latest: date) -> Drying:
    """What the forecast of a piece that may be left until a day goes by."""
    on = reckoning.facts.on
    course = course_of(reckoning, dryness.piece)
    air, _ = air_of_course(reckoning, dryness.piece.id, course)
    days = (max(course.days), float(on.toordinal()), float(max(on, latest).toordinal()))
    return Drying(course, air, (Lost(worth_weighing_g(dryness)),), days)


def _told(dryings: list[Drying]) -> list[Forecast | None]:
    """The forecasts; None for a piece whose numbers are refused, and the others are told all the same."""
    try:
        return list(forecast_many(dryings, draws=DRAWS, horizon_days=LOOK_AHEAD_DAYS))
    except StockError:
        if len(dryings) == 1:
            return [None]
        half = len(dryings) // 2
        return [*_told(dryings[:half]), *_told(dryings[half:])]


def _prospect(course: Course, told: Forecast, step_g: float) -> Prospect:
    last = max(course.days)
    lately = [mass for day, mass in zip(course.days, course.net_g, strict=True) if day == last]
    likely = told.reached[0].days.likely
    return Prospect(
        worth_on=None if likely is None else date.fromordinal(math.ceil(likely)),
        last_g=sum(lately) / len(lately),
        step_g=step_g,
        then=(_at(told.curve[0]), _at(told.curve[1]), _at(told.curve[2])),
    )


def _at(point: Point) -> tuple[date, Spread]:
    return date.fromordinal(round(point.day)), point.net_g
