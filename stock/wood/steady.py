"""Whether a piece has stopped changing weight, in a way that can be checked by hand.

The rule: at least three weighings on the same scales, over at least 60 days (90 for a piece thicker than 2 1/2 in,
coated all over, or lying unheated in the cold half of the year). The weighings of each half of that time lie within
0.5 % of the weight for each 30 days, or within two steps of the scales if that is more. Two halves, because an early
loss and a late gain would otherwise hide each other. If two steps are more than 1 % of the weight, these scales cannot
tell. The rule is common practice made exact, no source.

The shortest such time that ends with the last weighing is looked at: what the piece does now counts. A silence proves
nothing: days without weighings after the last one are never part of it.
"""

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from math import isfinite
from typing import Literal

from stock.errors import Impossible

Word = Literal["steady", "losing", "gaining", "too few", "scales too coarse"]

MONTH_DAYS = 30
FEWEST = 3
SPAN_DAYS, LONG_SPAN_DAYS = 60, 90
THICK_MM = 63.5  # 2 1/2 in
DRIFT = 0.005  # share of the weight in a month that still counts as no change
COARSE = 0.01  # two steps above this share of the weight show nothing
UNKNOWN_STEP_G = 1.0


@dataclass(frozen=True, slots=True)
class Reading:
    """One weighing, made comparable with the others of its piece.

    Attributes:
        on: the day.
        net_g: net mass, g: without coat, and carried over trims to the piece as it is now.
        step_g: step of the scales or of the digits typed, g; None if neither is known.
        scales: which scales; all unknown ones (None) count as one.
    """

    on: date
    net_g: float
    step_g: float | None = None
    scales: Hashable | None = None

    def __post_init__(self) -> None:
        for value_g in (self.net_g, self.step):
            if not (isfinite(value_g) and value_g > 0):
                raise Impossible(f"a weighing of {value_g:g} g on {self.on} cannot be", hint="Weigh again.")

    @property
    def step(self) -> float:
        """The step in g, taking 1 g where it is not known."""
        return UNKNOWN_STEP_G if self.step_g is None else self.step_g


@dataclass(frozen=True, slots=True)
class Steadiness:
    """What the weighings show.

    Attributes:
        word: "steady"; "losing" or "gaining" if the change is more than the rule allows, which two weighings can show;
            "too few" weighings or days; "scales too coarse".
        days: days between the first and last weighing looked at.
        weighings: how many of them, one a day.
        loss_pct_month: weight lost in 30 days, percent of the last weight, over the last month or so; negative is a
            gain; None for a single weighing.
        since: the first day of the unbroken time of steadiness; None if not steady.
        why: the finding in words, with its numbers.
    """

    word: Word
    days: int
    weighings: int
    loss_pct_month: float | None
    since: date | None
    why: str


def comparable(readings: Iterable[Reading], on: date) -> list[Reading]:
    """The weighings up to a day on the scales of the last one, one a day (the mean), in order of date."""
    course = sorted((one for one in readings if one.on <= on), key=lambda one: one.on)
    days: dict[date, list[Reading]] = {}
    for one in course:
        if one.scales == course[-1].scales:
            days.setdefault(one.on, []).append(one)
    return [Reading(day, _mean_g(same), max(one.step for one in same), same[-1].scales) for day, same in days.items()]


def steady(
    readings: Iterable[Reading],
    *,
    smallest_mm: float | None,
    coated_all_over: bool,
    cold_season_unheated: bool,
    on: date,
) -> Steadiness:
    """Judge whether a piece still changes weight.

    Args:
        readings: its weighings, in any order; those after `on` are not looked at.
        smallest_mm: smallest side of the piece, mm; None, not known, counts as thick.
        coated_all_over: waxed or sealed on all faces, so that a loss is too slow to notice soon.
        cold_season_unheated: lying where nothing is heated, in the cold half of the year.
        on: the day of asking.

    Returns:
        The word, and what it rests on.

    Source:
        Common practice made exact, no source; see the head of this file.
    """
    slow = smallest_mm is None or smallest_mm > THICK_MM or coated_all_over or cold_season_unheated
    needed = LONG_SPAN_DAYS if slow else SPAN_DAYS
    course = comparable(readings, on)
    if len(course) < 2:
        return Steadiness(
            "too few", 0, len(course), None, None, f"{_times(len(course))} on these scales shows no change"
        )
    rate = loss_pct_month(course)
    coarse = 200 * course[-1].step / course[-1].net_g
    window = _shortest(course, needed)
    moved = next((half for half in reversed(_halves(window)) if _moves(half)), None) if window else _recent(course)
    if moved and _moves(moved):
        return _changing(moved, window or moved, rate)
    looked = window or course
    days, count = _days(looked), len(looked)
    if coarse > 100 * COARSE:
        why = f"two steps of these scales are {coarse:.1f} % of its weight: no change smaller than that would show"
        return Steadiness("scales too coarse", days, count, rate, None, why)
    if not window:
        why = f"{_times(count)} over {_span(days)}; it takes {FEWEST} over {needed}"
        return Steadiness("too few", days, count, rate, None, why)
    since = _since(course, needed)
    why = f"{_times(count)} in {days} days within {100 * _range(looked) / looked[-1].net_g:.1f} % of each other"
    return Steadiness("steady", days, count, rate, since, why)


def loss_pct_month(course: Sequence[Reading]) -> float | None:
    """Weight lost in 30 days, percent of the last weight, over about the last month; None if that cannot be told.

    `course` as `comparable` gives it. The time looked at is the shortest that ends with the last weighing and reaches
    back 28 days, or all there is. It describes what was, and is no forecast: a green piece slows down as it dries.
    """
    if len(course) < 2:
        return None
    recent = _recent(course)
    lost_g = recent[0].net_g - recent[-1].net_g
    return 100 * lost_g / recent[-1].net_g * MONTH_DAYS / _days(recent)


def settled_g(readings: Iterable[Reading], on: date) -> float | None:
    """The weight a piece has settled at, by the stricter rule that makes it evidence of the oven-dry mass.

    Within 0.5 % of the weight over at least 60 days, twice in a row, on scales whose two steps are less than that. What
    wood so settled still holds above its air, 1.0 +- 1.2 points, was measured on simulated squares
    (`evidence.PLATEAU_LAG_PCT`). Not for a piece coated all over, nor across a move to other air.

    Args:
        readings: its weighings in one place; those after `on` are not looked at.
        on: the day of asking.

    Returns:
        Mean net mass over the last of the two times, g; None if it has not settled.
    """
    course = comparable(readings, on)
    last = _shortest(course, SPAN_DAYS)
    before = _shortest(course[: len(course) - len(last) + 1], SPAN_DAYS) if last else None
    if not last or not before:
        return None
    limit_g = DRIFT * last[-1].net_g
    if 2 * max(one.step for one in last + before) > limit_g or max(_range(last), _range(before)) > limit_g:
        return None
    return _mean_g(last)


def _shortest(course: list[Reading], needed: int) -> list[Reading] | None:
    """The shortest end of the course with enough weighings over enough days, or None."""
    for first in range(len(course) - FEWEST, -1, -1):
        if (course[-1].on - course[first].on).days >= needed:
            return course[first:]
    return None


def _recent(course: Sequence[Reading]) -> Sequence[Reading]:
    """The shortest end of the course that reaches back four weeks, or all of it."""
    for first in range(len(course) - 2, -1, -1):
        if (course[-1].on - course[first].on).days >= 28:
            return course[first:]
    return course


def _halves(window: Sequence[Reading]) -> tuple[Sequence[Reading], Sequence[Reading]]:
    """A window cut at the inner weighing nearest to the middle of its time; that weighing belongs to both halves."""
    middle = min(range(1, len(window) - 1), key=lambda i: abs((window[i].on - window[0].on).days * 2 - _days(window)))
    return window[: middle + 1], window[middle:]


def _moves(part: Sequence[Reading]) -> bool:
    """Whether the weighings differ by more than the drift allowed and more than two steps."""
    drift_g = DRIFT * part[-1].net_g * _days(part) / MONTH_DAYS
    return _range(part) > max(drift_g, 2 * max(one.step for one in part)) * (1 + 1e-9)


def _changing(part: Sequence[Reading], looked: Sequence[Reading], rate: float | None) -> Steadiness:
    """The verdict on weighings that move: down if the last one lies further from the top of them than the bottom."""
    last_g = part[-1].net_g
    top_g, bottom_g = max(one.net_g for one in part), min(one.net_g for one in part)
    down_g, up_g = top_g - last_g, last_g - bottom_g
    word: Word = "losing" if down_g >= up_g else "gaining"
    verb = "lost" if word == "losing" else "gained"
    share = down_g / top_g if word == "losing" else up_g / bottom_g
    why = f"{verb} {100 * share:.1f} % of its weight in {_span(_days(part))}"
    return Steadiness(word, _days(looked), len(looked), rate, None, why)


def _since(course: list[Reading], needed: int) -> date:
    """Going back from the last weighing: the first day of the earliest window that still was steady."""
    since = course[-1].on
    for last in range(len(course), 0, -1):
        window = _shortest(course[:last], needed)
        if not window or any(_moves(half) for half in _halves(window)):
            break
        since = window[0].on
    return since


def _mean_g(part: Sequence[Reading]) -> float:
    return sum(one.net_g for one in part) / len(part)


def _range(part: Sequence[Reading]) -> float:
    return max(one.net_g for one in part) - min(one.net_g for one in part)


def _days(part: Sequence[Reading]) -> int:
    return (part[-1].on - part[0].on).days


def _span(days: int) -> str:
    return "one day" if days == 1 else f"{days} days"


def _times(count: int) -> str:
    return "one weighing" if count == 1 else f"{count} weighings"
