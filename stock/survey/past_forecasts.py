"""Keeping score: the dates that the tool would have given in the past, beside the days on which wood truly got there.

On each day on which a piece was weighed, from the third on, the forecast is made anew from what was known on that day,
what the finished pieces had taught by then included. When the piece truly got there is read off its weighings by its
moisture as known today: a straight line between the weighing before and the one after. A forecast counts once that is
known: the piece got there, or was weighed after its late day and had not. One whose piece was moved, planed or coated
in the meantime, or weighed too seldom then, says nothing and is left out.
"""

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from statistics import median
from typing import Literal

from stock.book.facts import Facts
from stock.survey.courses import Reckoning
from stock.survey.dryings import stays_of
from stock.survey.futures import DRAWS, Arrival, Question, futures, futures_together
from stock.survey.pictured import placed
from stock.wood.drying import AboveAir, Target

FIRST_WEIGH_IN = 3
MANY = 6  # weigh-ins from which a forecast is one of many
FEWEST, FEWEST_PIECES = 10, 3  # forecasts and pieces that are too few to say anything by
KNOWN_WITHIN_PCT = 3.0  # points between the ends of the 80 % range of a moisture content that a score can go by
DAYS_TOGETHER = 20  # of weighing, whose forecasts are made in one go
MOST_DAYS = 60  # between the weighings about the day of getting there
# Any piece that dries gets there once, in a shed as in a house, and falls so fast then that its weighings show the day:
# of blanks whose truth is known to 13 days. Two points above the air it would be to 50, and half the score hearsay.
SCORED = AboveAir(4.0)
Fell = Literal["inside", "sooner", "later"]


@dataclass(frozen=True, slots=True)
class Past:
    """A forecast of the past and what came of it.

    Attributes:
        mark: the piece.
        on: the day as of which it was made.
        weigh_ins: on how many days the piece had been weighed by then.
        early, likely, late: the days it gave for 10, 50 and 90 %; None for never in that place.
        reached: the day on which the piece got there; None if it is overdue.
    """

    mark: str
    on: date
    weigh_ins: int
    early: date | None
    likely: date | None
    late: date | None
    reached: date | None

    @property
    def fell(self) -> Fell:
        """Where the day fell: inside the range from early to late, or outside."""
        if self.reached is None:
            return "later"
        if self.early is None or self.reached < self.early:
            return "sooner"
        return "later" if self.late is not None and self.reached > self.late else "inside"

    @property
    def off_days(self) -> int | None:
        """How many days later than likely it came, negative if sooner; None if either day is not known."""
        return (self.reached - self.likely).days if self.reached and self.likely else None


@dataclass(frozen=True, slots=True)
class Score:
    """How some forecasts fared. `median_off_days` is how far off the likely day was, whichever way; `lean_days` which
    way on the whole, later than told above 0. Both are None, and `told` is False, where there are too few."""

    forecasts: int
    pieces: int
    inside: int
    sooner: int
    later: int
    overdue: int
    median_off_days: float | None
    lean_days: float | None

    @property
    def told(self) -> bool:
        return self.forecasts >= FEWEST and self.pieces >= FEWEST_PIECES


def score_of(pasts: Sequence[Past]) -> Score:
    """Count some forecasts."""
    fell = [one.fell for one in pasts]
    off = [one.off_days for one in pasts if one.off_days is not None]
    return Score(
        forecasts=len(pasts),
        pieces=len({one.mark for one in pasts}),
        inside=fell.count("inside"),
        sooner=fell.count("sooner"),
        later=fell.count("later"),
        overdue=sum(one.reached is None for one in pasts),
        median_off_days=median(map(abs, off)) if len(off) >= FEWEST else None,
        lean_days=median(off) if len(off) >= FEWEST else None,
    )


def past_forecasts(
    today: Reckoning,
    as_of: Callable[[date, Sequence[int]], Facts],
    piece_ids: Sequence[int],
    aim: Target = SCORED,
) -> Iterator[tuple[int, int, list[Past]]]:
    """Remake the forecasts of some pieces, some days at a time.

    Args:
        today: the moisture of these pieces as known now.
        as_of: the facts as known on a day, of the families of some pieces and of those to learn from.
        piece_ids: the pieces.
        aim: what was to be reached, a moisture content.

    Yields:
        After some days each: how many days are done, how many there are, and the forecasts of those that count.
    """
    courses = _known_courses(today, piece_ids)
    asked: dict[date, list[int]] = defaultdict(list)
    for one, course in courses.items():
        for on, _ in course[FIRST_WEIGH_IN - 1 : -1]:
            asked[on].append(one)
    days = sorted(asked)
    for start in range(0, len(days), DAYS_TOGETHER):
        some = days[start : start + DAYS_TOGETHER]
        reckonings = [Reckoning(as_of(on, asked[on])) for on in some]
        wanted = [[one for one in asked[on] if one in then.pieces] for on, then in zip(some, reckonings, strict=True)]
        told = futures_together(list(zip(reckonings, wanted, strict=True)), Question(aim=aim, draws=DRAWS))
        pasts = [
            _past(today, one, courses[one], on, future.target)
            for on, futures_then in zip(some, told, strict=True)
            for one, future in futures_then.items()
            if future.target
        ]
        yield start + len(some), len(days), [past for past in pasts if past]


def _known_courses(today: Reckoning, piece_ids: Sequence[int]) -> dict[int, list[tuple[date, float]]]:
    """(day, moisture content as known today, percent) of the present series of some pieces, one weighing a day.

    Their oven-dry mass is that of a forecast made today, which looks at the whole course and at the air besides the
    sections: of a piece that has dried, it is known far better so. Pieces of which no more is known than to three
    points are left out: they would be counted as late, or early, for their section's sake.
    """
    found: dict[int, list[tuple[date, float]]] = {}
    asked = Question(band=False, even_gone=True, draws=DRAWS)
    told = futures(today, [one for one in piece_ids if _weighed_enough(today, one)], asked)
    for one, future in told.items():
        forecast = future.forecast
        if forecast is None or forecast.mc_pct is None or forecast.mc_pct.high - forecast.mc_pct.low > KNOWN_WITHIN_PCT:
            continue
        dryness = today.of(one)
        by_day = {w.on: w.mc_pct for w in placed(today, dryness, forecast) if w.on >= dryness.readings[0].on}
        found[one] = sorted((on, mc) for on, mc in by_day.items() if mc is not None)
    return found


def _weighed_enough(today: Reckoning, piece_id: int) -> bool:
    """Whether a piece was weighed after a forecast that could be made of it, in its present series."""
    history = today.family(piece_id).histories[piece_id]
    return len({w.on for w in history.weighings if w.after_event >= history.series_start()}) > FIRST_WEIGH_IN


def _past(
    today: Reckoning, piece_id: int, course: Sequence[tuple[date, float]], on: date, told: Arrival
) -> Past | None:
    """What came of a forecast; None if nothing is known of that yet, or it cannot be compared."""
    if told.mc_pct is None:
        return None
    moved = next((start for start, _ in stays_of(today, piece_id) if start > on.toordinal()), date.max.toordinal())
    here = [(day, mc) for day, mc in course if day >= on and day.toordinal() < moved]
    if len(here) < 2 or here[0][1] <= told.mc_pct:
        return None
    reached = None
    for (day, mc), (next_day, next_mc) in pairwise(here):
        if next_mc <= told.mc_pct:
            if (next_day - day).days > MOST_DAYS:
                return None
            share = (mc - told.mc_pct) / (mc - next_mc)
            reached = date.fromordinal(round(day.toordinal() + share * (next_day - day).days))
            break
    if reached is None and (told.late is None or here[-1][0] <= told.late):
        return None
    weigh_ins = sum(day <= on for day, _ in course)
    return Past(today.pieces[piece_id].mark, on, weigh_ins, told.early, told.likely, told.late, reached)
