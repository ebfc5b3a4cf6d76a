"""What to weigh next, in the order of one walk through the places."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from stock.survey.courses import Dryness, Reckoning
from stock.survey.expecting import Expectation, expect
from stock.survey.filters import Filter
from stock.survey.holdings import on_hand
from stock.survey.intervals import SEASON, Interval, interval
from stock.survey.piece import Piece
from stock.survey.prospects import Outlook, Prospect, is_foreseeable, may_be_worth, prospects

__all__ = ["SEASON", "Due", "Duties", "due", "outermost_place"]

WEIGHED_KINDS = ("blank", "billet")
FORETOLD_AT_MOST = 300  # pieces, so that asking takes a second more; the others go by the practice of the trade


@dataclass(frozen=True, slots=True)
class Due:
    """A piece to weigh.

    Attributes:
        piece: the piece.
        on: the day of asking.
        due_on: when its weighing is due.
        weigh_on: when it can be weighed: then, or on the day of asking if that is over or it is taken along.
        by_trade: what the practice of the trade says of it.
        every_days: how long it is left between two weighings.
        last_on, last_g: its last weighing.
        expected: what it can weigh on the day of asking, as a guard against slips.
        prospect: its coming weights; None where no forecast was made.
        along: not due yet, and taken along as its place is visited anyway.
    """

    piece: Piece
    on: date
    due_on: date
    weigh_on: date
    by_trade: Interval
    every_days: int
    last_on: date | None
    last_g: float | None
    expected: Expectation | None
    prospect: Prospect | None = None
    along: bool = False

    @property
    def days_late(self) -> int:
        return max((self.on - self.due_on).days, 0)

    @property
    def outlook(self) -> Outlook | None:
        """What it should weigh on `weigh_on`."""
        return self.prospect.on(self.weigh_on, self.expected.tare_g) if self.prospect and self.expected else None

    @property
    def why(self) -> str:
        """The reason in words."""
        outlook = self.outlook
        if outlook is None:
            return self.by_trade.why
        grams = outlook.lighter_by_step_g
        return f"{f'about {grams:g} g' if grams else 'hardly'} lighter {self.by_when}"

    @property
    def by_when(self) -> str:
        return "by now" if self.weigh_on == self.on else "by then"


class Duties:
    """What of a book is to be weighed again and again, each piece looked at once.

    In a batch sawn from one piece of which some are samples, only the samples are asked for until they are dry. Logs
    are asked for once somebody has weighed them.

    Args:
        reckoning: the moisture of the whole book.
        wanted: which pieces.
        foretell: whether forecasts say when a piece will have changed enough to be worth weighing; otherwise the
            practice of the trade does alone (`intervals`).
    """

    def __init__(self, reckoning: Reckoning, wanted: Filter, *, foretell: bool = False) -> None:
        self.reckoning = reckoning
        sampled: dict[int, bool] = {}
        asked = (piece for piece in on_hand(reckoning, wanted) if _is_asked_for(reckoning, piece, sampled))
        states = [reckoning.of(piece.id) for piece in asked]
        self._asked = {dryness.piece.id: (dryness, interval(dryness)) for dryness in states}
        self._open = {
            one
            for one, (dryness, by_trade) in self._asked.items()
            if foretell and by_trade.latest and is_foreseeable(reckoning, dryness.piece)
        }
        self._told: dict[int, Prospect] = {}

    @property
    def on(self) -> date:
        """The day of asking."""
        return self.reckoning.facts.on

    def by(self, until: date) -> list[Due]:
        """The pieces whose weighing is due by a day, place by place as one walks."""
        near = {one for one in self._open if may_be_worth(*self._asked[one], until)}
        self._foretell(near - set(self._told))
        found: list[Due] = []
        for one, (dryness, by_trade) in self._asked.items():
            prospect = self._told.get(one)
            due_on = by_trade.moved_to(prospect.worth_on) if prospect else by_trade.due_on
            if due_on <= until and (one in near or one not in self._open):
                found.append(_due(self.reckoning, dryness, by_trade, due_on, prospect))
        return sorted(found, key=lambda due: _turn(self.reckoning, due.piece))

    def _foretell(self, some: Iterable[int]) -> None:
        """Make forecasts; if that would be too many, of the pieces longest due."""
        longest = sorted(some, key=lambda one: (self._asked[one][1].due_on, one))
        asked = [self._asked[one] for one in longest[: FORETOLD_AT_MOST - len(self._told)]]
        self._told |= prospects(self.reckoning, [(one, of.latest or of.due_on) for one, of in asked])


def due(reckoning: Reckoning, wanted: Filter, within_days: int = 0) -> list[Due]:
    """The pieces whose weighing is due within some days by the practice of the trade, place by place as one walks."""
    return Duties(reckoning, wanted).by(reckoning.facts.on + timedelta(days=within_days))


def outermost_place(reckoning: Reckoning, piece: Piece) -> int | None:
    """The place that a rack lies in, outermost: what is visited as one; None if no place is known."""
    place_id = piece.place_id
    while place_id is not None and (place := reckoning.facts.places.get(place_id)) and place.parent_id is not None:
        place_id = place.parent_id
    return place_id


def _is_asked_for(reckoning: Reckoning, piece: Piece, sampled: dict[int, bool]) -> bool:
    if piece.role == "reference":
        return True
    weighed = piece.kind == "log" and bool(reckoning.facts.weighings.get(piece.id))
    return (piece.kind in WEIGHED_KINDS or weighed) and not _stands_behind_sample(reckoning, piece, sampled)


def _stands_behind_sample(reckoning: Reckoning, piece: Piece, sampled: dict[int, bool]) -> bool:
    """Whether a sister of a piece is a sample still drying; `sampled` keeps that by parent."""
    parent_id = piece.made.parent_id
    if piece.role != "stock" or parent_id is None:
        return False
    if parent_id not in sampled:
        sisters = (reckoning.pieces[i] for i in reckoning.facts.children.get(parent_id, ()))
        sampled[parent_id] = any(
            s.role == "sample" and s.on_hand and not reckoning.of(s.id).judgement.ready for s in sisters
        )
    return sampled[parent_id]


def _due(reckoning: Reckoning, dryness: Dryness, by_trade: Interval, due_on: date, prospect: Prospect | None) -> Due:
    on, last_on = dryness.on, dryness.last_weighed_on
    return Due(
        piece=dryness.piece,
        on=on,
        due_on=due_on,
        weigh_on=max(due_on, on),
        by_trade=by_trade,
        every_days=(due_on - last_on).days if prospect and last_on else by_trade.every_days,
        last_on=last_on,
        last_g=dryness.mass_g,
        expected=expect(
            reckoning.facts, dryness.piece.id, on, oven_dry_g=dryness.oven_dry_g, oven_dry_sd_g=dryness.oven_dry_sd_g
        ),
        prospect=prospect,
    )


def _turn(reckoning: Reckoning, piece: Piece) -> tuple[int, str, str, int]:
    return *_walk(reckoning, piece), piece.made.series, piece.made.number


def _walk(reckoning: Reckoning, piece: Piece) -> tuple[int, str]:
    """The place's turn in the walk; pieces of no known place come last."""
    place_id, turn = piece.place_id, None
    while place_id is not None and turn is None:
        place = reckoning.facts.places.get(place_id)
        if place is None:
            break
        turn, place_id = place.walk_no, place.parent_id
    return (turn if turn is not None else (9_998 if piece.place else 9_999)), piece.place or ""
