"""What to weigh next, in the order of one walk through the places."""

from dataclasses import dataclass
from datetime import date, timedelta

from stock.survey.courses import Dryness, Reckoning
from stock.survey.expecting import Expectation, expect
from stock.survey.filters import Filter
from stock.survey.holdings import on_hand
from stock.survey.pieces import Piece

WEIGHED_KINDS = ("blank", "billet")
WEEK, FORTNIGHT, MONTH, SEASON = 7, 14, 30, 91
FAST_PCT_MONTH, SLOW_PCT_MONTH = 4.0, 1.0  # of its weight in 30 days


@dataclass(frozen=True, slots=True)
class Due:
    """A piece to weigh: when its weighing was due, why, and what it should weigh now."""

    piece: Piece
    due_on: date
    days_late: int
    why: str
    last_on: date | None
    last_g: float | None
    expected: Expectation | None


def due(reckoning: Reckoning, wanted: Filter, within_days: int = 0) -> list[Due]:
    """The pieces whose weighing is due by a day, place by place as one walks.

    The interval follows the loss: a week while a piece loses more than 4 % of its weight a month, a fortnight above
    1 %, a month below, a season once it is dry (common practice, no source). In a batch sawn from one piece of which
    some are samples, only the samples are asked for until they are dry.

    Args:
        reckoning: the moisture of the whole book.
        wanted: which pieces.
        within_days: how many days ahead to look.
    """
    on = reckoning.facts.on
    found: list[Due] = []
    for piece in on_hand(reckoning, wanted):
        if piece.kind not in WEIGHED_KINDS or _stands_behind_sample(reckoning, piece):
            continue
        dryness = reckoning.of(piece.id)
        due_on, why = _next_weighing(dryness)
        if due_on <= on + timedelta(days=within_days):
            expected = expect(reckoning.facts, piece.id, on, oven_dry_g=dryness.oven_dry_g)
            found.append(
                Due(piece, due_on, max((on - due_on).days, 0), why, dryness.last_weighed_on, dryness.mass_g, expected)
            )
    return sorted(found, key=lambda d: (*_walk(reckoning, d.piece), d.piece.made.series, d.piece.made.number))


def _stands_behind_sample(reckoning: Reckoning, piece: Piece) -> bool:
    if piece.role != "stock" or piece.made.parent_id is None:
        return False
    sisters = reckoning.facts.children.get(piece.made.parent_id, ())
    samples = [reckoning.pieces[i] for i in sisters if reckoning.pieces[i].role == "sample"]
    drying = [s for s in samples if s.on_hand and not reckoning.of(s.id).judgement.ready]
    return bool(drying)


def _next_weighing(dryness: Dryness) -> tuple[date, str]:
    if dryness.last_weighed_on is None:
        return dryness.on, "never weighed"
    steadiness = dryness.judgement.steadiness
    loss = steadiness.loss_pct_month if steadiness else None
    if dryness.verdict == "re-weigh":
        return dryness.on, "weighed long ago, or moved since"
    if dryness.verdict == "contradictory":
        return dryness.on, "its weights contradict each other"
    if dryness.judgement.ready:
        days, why = SEASON, "dry: once a season"
    elif loss is None:
        days, why = WEEK, "a new series: weekly"
    elif loss > FAST_PCT_MONTH:
        days, why = WEEK, "losing fast: weekly"
    elif loss > SLOW_PCT_MONTH:
        days, why = FORTNIGHT, "losing: every two weeks"
    else:
        days, why = MONTH, "nearly steady: monthly"
    return dryness.last_weighed_on + timedelta(days=days), why


def _walk(reckoning: Reckoning, piece: Piece) -> tuple[int, str]:
    """The place's turn in the walk; pieces of no known place come last."""
    place_id, turn = piece.place_id, None
    while place_id is not None and turn is None:
        place = reckoning.facts.places.get(place_id)
        if place is None:
            break
        turn, place_id = place.walk_no, place.parent_id
    return (turn if turn is not None else (9_998 if piece.place else 9_999)), piece.place or ""
