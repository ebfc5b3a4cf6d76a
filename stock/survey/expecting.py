"""What a piece should weigh on a day, judged from its last weighings.

A guard against slips, not a forecast: a range that drying wood hardly ever leaves. How fast the piece lost lately sets
how much it may have lost since, slowing as it grows older; the air may give back a little; a move or a fresh face make
both wider. The limits are common practice, no source, set so that fewer than one in a hundred true weighings of
simulated 2-inch squares, in a shed and in a shop, is asked about.
"""

from bisect import bisect_right, insort
from dataclasses import dataclass
from datetime import date
from math import log, sqrt
from typing import NamedTuple

from stock.book.facts import Facts
from stock.book.kinds import OperationFact
from stock.survey.airs import air_of
from stock.survey.pieces import Pieces
from stock.survey.slips import grams, is_swap
from stock.survey.states import ENDS_SERIES, History, Weighed

SLACK = 0.005  # of the weight: what no rule explains
MOST_GAIN = 0.02  # a gain above this is asked about
GAIN_A_DAY = 0.0005
SWAP_CHANGE = 0.05  # above this even an expected weight is asked about, if two digits of the last one changed places
SEASON_LOSS, SEASON_LOSS_A_DAY = 0.035, 0.0005  # a steady piece, when drier months come
YOUNG_DAYS = 60
FASTER, FASTER_YOUNG = 1.2, 1.5  # how much faster than lately a piece may lose
GREEN_LOSS = 0.07  # of the weight, times the root of the days: a piece whose pace is not known
MOST_LOSS = 0.6
AGED_DAYS, AGED_LOSS = 365, 0.05  # a piece this old loses at most so much a week
NEW_AIR_LOSS, NEW_AIR_GAIN, NEW_AIR_DAYS = 0.09, 0.05, 30  # shed to house, house to shed
PACE_DAYS = 5  # the shortest time that shows a pace
BEYOND_AIR_PCT = 1.5  # points that wood may lie outside what its air alone would make it
DRIEST_PCT = 3.0  # no air of a place to live in makes wood drier
DRY_SHARE_SD = 0.03  # of the oven-dry mass, where its error is not told

MOST_TAKEN_UP = 1.25  # of its oven-dry mass: a reference block in the dampest place

_QUICKENS = ENDS_SERIES - {"coat on"}


@dataclass(frozen=True, slots=True)
class Expectation:
    """What the scales should show.

    Attributes:
        last_g: what they would show if nothing had changed since the last weighing, g: carried over cuts and coats.
        last_on: the day of the last weighing.
        low_g, high_g: the range, g.
        days: since the last weighing.
        step_g: the coarser step of the two weighings, g.
        tare_g: what of it is neither wood nor water: the coat, and the zero of the scales, g.
    """

    last_g: float
    last_on: date
    low_g: float
    high_g: float
    days: int
    step_g: float
    tare_g: float = 0.0

    def holds(self, mass_g: float) -> bool:
        return self.low_g <= mass_g <= self.high_g

    def doubts(self, mass_g: float) -> bool:
        """Whether a weight is to be asked about: outside the range, or the last one with two digits swapped."""
        swap = is_swap(mass_g, self.last_g) and abs(mass_g / self.last_g - 1) > SWAP_CHANGE
        return swap or not self.holds(mass_g)

    @property
    def words(self) -> str:
        """The range in words, "476-490 g"."""
        return f"{grams(max(self.low_g, 0.0), self.step_g).removesuffix(' g')}-{grams(self.high_g, self.step_g)}"


class _Point(NamedTuple):
    on: date
    events: int
    net_g: float
    step_g: float


class _Carry(NamedTuple):
    """How a weight carries over events: times `ratio`, give or take `slack`."""

    ratio: float
    slack: float


class Course:
    """The weighings of one piece in order, ready to be asked what comes next, and to be added to.

    Args:
        facts: the facts of the piece, of its whole family.
        piece_id: the piece.
    """

    def __init__(self, facts: Facts, piece_id: int) -> None:
        self._facts = facts
        self._piece_id = piece_id
        self._history = History(facts, piece_id)
        self._points = [_point(weighed) for weighed in self._history.weighings]
        self._new_air = _days_of_new_air(facts, piece_id)

    def add(self, on: date, mass_g: float, step_g: float, scales_id: int | None = None) -> None:
        """Take in a clean weight that is about to be written."""
        net_g = mass_g - self._tare_g(on, step_g, scales_id)
        insort(self._points, _Point(on, self._history.events_by(on), max(net_g, 0.1), step_g), key=_when)

    def expect(
        self,
        on: date,
        *,
        oven_dry_g: float | None = None,
        oven_dry_sd_g: float | None = None,
        step_g: float | None = None,
        scales_id: int | None = None,
    ) -> Expectation | None:
        """What the piece should weigh on a day, or None if no weighing before tells it.

        Args:
            on: the day.
            oven_dry_g, oven_dry_sd_g: oven-dry mass of the piece as it is on that day, if known, and its sd, g.
            step_g: step of the scales it will be put on, g.
            scales_id: those scales, so that their zero is reckoned with.
        """
        present = self._history.events_by(on)
        after = bisect_right(self._points, (on, present), key=_when)
        last = self._points[after - 1] if after else None
        carry = self._carry(last.events, present) if last else None
        if last is None or carry is None:
            return None
        days = (on - last.on).days
        step = max(step_g or 0.0, last.step_g)
        base = last.net_g * carry.ratio
        loss, gain = self._may_change(after - 1, on, present)
        low = base * (1 - loss - carry.slack) - 2 * step
        high = base * (1 + gain + carry.slack) + 2 * step
        if oven_dry_g is not None:
            sd_g = DRY_SHARE_SD * oven_dry_g if oven_dry_sd_g is None else oven_dry_sd_g
            low, high = self._within_air(low, high, base, days, step, on, oven_dry_g, sd_g)
            if self._facts.pieces[self._piece_id].role == "reference":  # bone dry from the oven, it takes up a lot
                low, high = min(low, oven_dry_g - 2 * step), max(high, MOST_TAKEN_UP * oven_dry_g)
        tare = self._tare_g(on, step, scales_id)
        return Expectation(base + tare, last.on, max(low, 0.0) + tare, high + tare, days, step, tare)

    def _tare_g(self, on: date, step_g: float, scales_id: int | None) -> float:
        coat = self._history.coats[self._history.events_by(on)]
        return coat.mass_g + zero_g(self._facts, scales_id, on, step_g)

    def _carry(self, first: int, until: int) -> _Carry | None:
        """How a weight taken after `first` events compares with the piece after `until`; None if nothing tells."""
        ratio, slack = 1.0, 0.0
        for event in self._history.events[first:until]:
            over = self._over(event)
            if over is None:
                return None
            ratio, slack = ratio * over.ratio, slack + over.slack
        return _Carry(ratio, slack)

    def _over(self, event: OperationFact) -> _Carry | None:
        before, after = (self._history.tied(event.id, role) for role in ("before", "after"))
        weighed = before is not None and after is not None
        if event.kind in ("coat on", "coat off"):
            return _Carry(1.0, SLACK if weighed else 0.03)
        if event.kind not in ("trim", "section", "plane", "turn", "bark off"):
            return None
        if before is not None and after is not None:
            return _Carry(after.net_g / before.net_g, SLACK)
        if lengths := self._history.lengths(event):
            return _Carry(lengths[1] / lengths[0], 0.03)
        kept = self._history.kept(event)
        return _Carry(kept, 0.05) if kept else None

    def _may_change(self, at: int, on: date, present: int) -> tuple[float, float]:
        """The largest shares of its weight that a piece may have lost and gained since a weighing."""
        last = self._points[at]
        days = (on - last.on).days
        moved = any(last.on <= day <= on for day in self._new_air)
        fresh = moved or self._pace_ends(last.events, present)
        pace = self._pace(at)
        loss = self._most_loss(pace, days, last.on, fresh)
        losing = pace is not None and pace * days > 2 * SLACK
        gain = SLACK if losing else min(MOST_GAIN, SLACK + GAIN_A_DAY * days)
        if moved:
            gain += NEW_AIR_GAIN * min(1.0, sqrt(days / (2 * NEW_AIR_DAYS)))
        return min(loss + SLACK, MOST_LOSS), gain

    def _most_loss(self, pace: float | None, days: int, last_on: date, fresh: bool) -> float:
        age = (last_on - self._since(last_on)).days
        if pace is None:
            born = self._facts.pieces[self._piece_id].on_last
            aged = (last_on - born).days >= AGED_DAYS and not fresh
            return AGED_LOSS * max(1.0, sqrt(days / 7)) if aged else GREEN_LOSS * sqrt(days)
        # A pace seen at some age falls to a quarter when the age doubles, so that the loss to come has an end.
        faster = FASTER if age >= YOUNG_DAYS else FASTER_YOUNG
        old = max(age, YOUNG_DAYS)
        lost = faster * max(pace, 0.0) * days * old / (old + days)
        steady = min(SEASON_LOSS, SEASON_LOSS_A_DAY * days)
        if not fresh:
            return lost + steady
        new_air = NEW_AIR_LOSS * min(1.0, sqrt(days / NEW_AIR_DAYS))
        return max(lost + steady + new_air, GREEN_LOSS * sqrt(days) if pace > GAIN_A_DAY else 0.0)

    def _pace(self, at: int) -> float | None:
        """The share of its weight that a piece lost a day, just before a weighing; None if that was not seen."""
        last = self._points[at]
        since = self._since(last.on)
        for earlier in reversed(self._points[max(at - 12, 0) : at]):
            if earlier.on < since or self._pace_ends(earlier.events, last.events):
                return None
            carry = self._carry(earlier.events, last.events)
            if carry is None:
                return None
            if (span := (last.on - earlier.on).days) >= PACE_DAYS:
                return log(earlier.net_g * carry.ratio / last.net_g) / span
        return None

    def _pace_ends(self, first: int, until: int) -> bool:
        """Whether the wood may lose faster than before: not so under a coat, which only slows it."""
        return any(event.kind in _QUICKENS for event in self._history.events[first:until])

    def _since(self, day: date) -> date:
        """From when a piece has been drying as it did on a day: since it was made, or came into new air."""
        born = self._facts.pieces[self._piece_id].on_last
        return max([born, *(moved for moved in self._new_air if moved <= day)])

    def _within_air(
        self, low: float, high: float, base: float, days: int, step: float, on: date, dry_g: float, sd_g: float
    ) -> tuple[float, float]:
        """Narrow a range by what the air of the place can do to wood of a known oven-dry mass."""
        air = air_of(self._facts, Pieces(self._facts)[self._piece_id].place_id, on)
        driest = air.low_pct - BEYOND_AIR_PCT if air else DRIEST_PCT
        floor = (dry_g - sd_g) * (1 + max(driest, DRIEST_PCT) / 100)
        low = max(low, min(floor, base * (1 - SLACK)) - 2 * step)
        if air is None:
            return low, high
        ceiling = (dry_g + sd_g) * (1 + (air.high_pct + BEYOND_AIR_PCT) / 100)
        damp = min(ceiling, base * (1 + SLACK + GAIN_A_DAY * days)) + 2 * step
        return low, max(high, damp)


def expect(
    facts: Facts,
    piece_id: int,
    on: date,
    *,
    oven_dry_g: float | None = None,
    oven_dry_sd_g: float | None = None,
    step_g: float | None = None,
    scales_id: int | None = None,
) -> Expectation | None:
    """What one piece should weigh on a day: `Course.expect` of its weighings."""
    return Course(facts, piece_id).expect(
        on, oven_dry_g=oven_dry_g, oven_dry_sd_g=oven_dry_sd_g, step_g=step_g, scales_id=scales_id
    )


def zero_g(facts: Facts, scales_id: int | None, on: date, step_g: float) -> float:
    """By how much scales read high on a day by their last check, g; within one step it is noise, and 0."""
    checks = facts.scales_checks.get(scales_id, ()) if scales_id is not None else ()
    known = [check for check in checks if check.on_last <= on]
    off = known[-1].read_g - known[-1].true_g if known else 0.0
    return off if abs(off) > step_g * (1 + 1e-9) else 0.0


def _when(point: _Point) -> tuple[date, int]:
    return point.on, point.events


def _point(weighed: Weighed) -> _Point:
    return _Point(weighed.on, weighed.after_event, weighed.net_g, weighed.step_g)


def _days_of_new_air(facts: Facts, piece_id: int) -> list[date]:
    """The days on which a piece came from one place into another, racks of one place being one place."""
    days: list[date] = []
    here: int | None = None
    for move in facts.moves.get(piece_id, ()):
        whole = _whole_place(facts, move.place_id)
        if here is not None and whole != here:
            days.append(move.on_last)
        here = whole
    return days


def _whole_place(facts: Facts, place_id: int) -> int:
    while (place := facts.places.get(place_id)) is not None and place.parent_id is not None:
        place_id = place.parent_id
    return place_id
