"""When a piece will be dry: its course of weighings, the air of its storage, and what finished pieces have taught."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from stock.errors import StockError
from stock.survey import learning
from stock.survey.courses import Reckoning
from stock.survey.dryings import air_of_course, course_of
from stock.wood.drying import Below, Course, Drying, Forecast, Reached, Target
from stock.wood.drying_rates import Learned
from stock.wood.forecast import HORIZON_DAYS, forecast_many

BAND_PCT = 2.0  # above the target, and still dry enough
DRAWS = 256  # ways each piece may dry that are looked at, of one piece as of many: the answers agree
FINE_DAYS, COARSE_DAYS = 3, 10  # between the days of a curve: in its first half year, and later
FINE_UNTIL = 180


@dataclass(frozen=True, slots=True)
class Arrival:
    """When a target is reached.

    Attributes:
        target: what is to be reached.
        early, likely, late: the days by which it is, with a chance of 10, 50 and 90 %; None for a part that never gets
            there in this place.
        mc_pct: the moisture content that was meant, percent; None for a loss of weight.
        never: the chance that it is not reached in this place within three and a half years.
        stays: of all ways to reach it, the share that stays there for sixty days; None if that was not asked.
        by: the chance that it is reached by the day asked about; None if no day was.
    """

    target: Target
    early: date | None
    likely: date | None
    late: date | None
    mc_pct: float | None
    never: float
    stays: float | None
    by: float | None


@dataclass(frozen=True, slots=True)
class Future:
    """When a piece reaches its target, or why that cannot be said.

    Attributes:
        target: of the target itself.
        enough: of the target and the two points above it that are dry enough; None if that was not asked.
        why: why nothing can be said; empty if something can.
        assumed: what was assumed of the air; empty if it was told.
        forecast: all that the forecast says.
        taught_by: how many finished pieces it rests on; 0 for the belief of a new user.
        of_its_wood: whether those are of its own wood.
    """

    target: Arrival | None = None
    enough: Arrival | None = None
    why: str = ""
    assumed: str = ""
    forecast: Forecast | None = None
    taught_by: int = 0
    of_its_wood: bool = False


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked of the future.

    Attributes:
        aim: what is to be reached; None takes the reckoning's target.
        band: whether to say too when it is dry enough, two points above the reckoning's target.
        place_id: the place to which the pieces are thought to go today; None leaves them where they are.
        by: a day, to be told the chance that it is reached by then.
        curve: whether the course is wanted day by day, from the first weighing as far as is looked ahead.
        even_gone: whether pieces that are no longer on hand are looked at too, as if they were.
        draws: how many ways each may dry are looked at; few are quick, and cut the tails off.
    """

    aim: Target | None = None
    band: bool = True
    place_id: int | None = None
    by: date | None = None
    curve: bool = False
    even_gone: bool = False
    draws: int = DRAWS


def futures(
    reckoning: Reckoning, piece_ids: Sequence[int], asked: Question = Question(), *, learned: Learned | None = None
) -> dict[int, Future]:
    """The futures of some pieces.

    Args:
        reckoning: the moisture of their families, and of those of `learning.ids_to_read`.
        piece_ids: the pieces.
        asked: what is asked; by default when they reach the reckoning's target where they are.
        learned: the belief about their drying; None takes it from the finished pieces among the facts.

    Returns:
        A future for each piece, in order.
    """
    (found,) = futures_together([(reckoning, piece_ids)], asked, learned=learned)
    return found


def futures_together(
    some: Sequence[tuple[Reckoning, Sequence[int]]], asked: Question = Question(), *, learned: Learned | None = None
) -> list[dict[int, Future]]:
    """The futures of pieces as known on several days, their forecasts made in one go: quicker, and the same.

    Args:
        some: reckonings, each with its pieces.
        asked, learned: as in `futures`.

    Returns:
        For each reckoning what `futures` returns.
    """
    made: list[dict[int, _Prepared | Future]] = []
    for reckoning, piece_ids in some:
        belief = learning.learned(reckoning) if learned is None else learned
        made.append({one: _prepared(reckoning, one, asked, belief) for one in piece_ids})
    drawn = [one for pieces in made for one in pieces.values() if isinstance(one, _Prepared)]
    told = iter(_told([one.drying for one in drawn], asked.draws))
    return [
        {
            piece_id: one if isinstance(one, Future) else _future(one, next(told), asked.by)
            for piece_id, one in pieces.items()
        }
        for pieces in made
    ]


@dataclass(frozen=True, slots=True)
class _Prepared:
    """What the forecast of a piece goes by; what was assumed of its air; whether its own wood taught it."""

    drying: Drying
    assumed: str
    of_its_wood: bool


def _prepared(reckoning: Reckoning, piece_id: int, asked: Question, belief: Learned) -> _Prepared | Future:
    """What the forecast of a piece goes by, or why there can be none."""
    piece = reckoning.pieces[piece_id]
    if piece.gone and not asked.even_gone:
        return Future(why=f"it is no longer on hand: {piece.gone}")
    targets = (asked.aim,) if asked.aim is not None else _targets(reckoning.target.mc_pct, asked.band)
    try:
        course = course_of(reckoning, piece)
        if course.why_not:
            return Future(why=course.why_not)
        air, assumed = air_of_course(reckoning, piece_id, course, asked.place_id)
        prior = belief.of(piece.wood.wood.key if piece.wood.wood else None)
        drying = Drying(course, air, targets, _curve_days(course) if asked.curve else (), prior)
    except StockError as wrong:
        return Future(why=wrong.message)
    return _Prepared(drying, assumed, prior.pieces > 0 and prior != belief.shop)


def _future(one: _Prepared, told: Forecast | StockError, by: date | None) -> Future:
    if isinstance(told, StockError):
        return Future(why=told.message)
    target, *enough = (_arrival(reached, by) for reached in told.reached)
    return Future(
        target=target,
        enough=enough[0] if enough else None,
        assumed=one.assumed,
        forecast=told,
        taught_by=one.drying.prior.pieces,
        of_its_wood=one.of_its_wood,
    )


def _told(asked: Sequence[Drying], draws: int) -> list[Forecast | StockError]:
    """The forecasts; of a piece whose numbers are refused, the refusal, and the others are told all the same."""
    try:
        return [*forecast_many(asked, draws=draws)]
    except StockError as wrong:
        if len(asked) == 1:
            return [wrong]
        half = len(asked) // 2
        return [*_told(asked[:half], draws), *_told(asked[half:], draws)]


def _targets(wanted_pct: float, band: bool) -> tuple[Target, ...]:
    return (Below(wanted_pct), Below(wanted_pct + BAND_PCT)) if band else (Below(wanted_pct),)


def _arrival(reached: Reached, by: date | None) -> Arrival:
    days = reached.days
    return Arrival(
        target=reached.target,
        early=_day(days.early),
        likely=_day(days.likely),
        late=_day(days.late),
        mc_pct=reached.mc_pct,
        never=reached.never,
        stays=reached.stays,
        by=None if by is None else reached.p_by(by.toordinal()),
    )


def _day(at: float | None) -> date | None:
    return None if at is None else date.fromordinal(math.ceil(at))


def _curve_days(course: Course) -> tuple[float, ...]:
    """The days of a curve, the first and the last weighing among them."""
    first, last = min(course.days), max(course.days)
    span = int(last - first + HORIZON_DAYS)
    after = (*range(0, min(FINE_UNTIL, span), FINE_DAYS), *range(FINE_UNTIL, span, COARSE_DAYS), int(last - first))
    return tuple(first + one for one in sorted(set(after)))
