"""When a piece will be dry: its course of weighings and the air of its storage, told to the forecast.

The air follows the storage history: a move changes it on its day. Where nobody told the air of a place, what such a
place does by its cover is assumed, and the assumption is said and widens the dates.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from stock.book.facts import Facts
from stock.survey.airs import Climate, climate_of
from stock.survey.courses import Reckoning
from stock.survey.piece import Piece
from stock.survey.states import History
from stock.wood import species
from stock.wood.drying import AboveAir, Air, Below, Course, Drying, Forecast, Reached, Target
from stock.wood.forecast import HORIZON_DAYS, forecast_many
from stock.wood.shells import equivalent_square_mm

STEP_DAYS = 10  # between the days for which the air is given
BAND_PCT = 2.0  # above the target, and still dry enough


@dataclass(frozen=True, slots=True)
class Arrival:
    """When a moisture content is reached.

    Attributes:
        early, likely, late: the days by which it is, with a chance of 10, 50 and 90 %; None for a part that never gets
            there in this place.
        mc_pct: the moisture content that was meant.
        never: the chance that it is not reached in this place within three and a half years.
    """

    early: date | None
    likely: date | None
    late: date | None
    mc_pct: float | None
    never: float


@dataclass(frozen=True, slots=True)
class Future:
    """When a piece reaches its target, or why that cannot be said.

    Attributes:
        target: of the target itself.
        enough: of the target and the two points above it that are dry enough; None if the target is told by its air.
        why: why nothing can be said; empty if something can.
        assumed: what was assumed of the air; empty if it was told.
        forecast: all that the forecast says.
    """

    target: Arrival | None = None
    enough: Arrival | None = None
    why: str = ""
    assumed: str = ""
    forecast: Forecast | None = None


def futures(
    reckoning: Reckoning,
    piece_ids: Sequence[int],
    *,
    above_air: float | None = None,
    place_id: int | None = None,
    band: bool = True,
) -> dict[int, Future]:
    """The futures of some pieces.

    Args:
        reckoning: the moisture of their families.
        piece_ids: the pieces.
        above_air: a target of so many points above what the air keeps wood at; None takes the reckoning's target.
        band: whether to say too when it is dry enough, two points above the target.
        place_id: the place to which they are thought to go today; None leaves them where they are.

    Returns:
        A future for each piece.
    """
    wanted = reckoning.target.mc_pct
    targets: tuple[Target, ...] = (
        (Below(wanted), Below(wanted + BAND_PCT)) if above_air is None else (AboveAir(above_air),)
    )
    asked: list[int] = []
    dryings: list[Drying] = []
    assumed: dict[int, str] = {}
    found: dict[int, Future] = {}
    for piece_id in piece_ids:
        piece = reckoning.pieces[piece_id]
        course = _course(reckoning, piece)
        if course.why_not:
            found[piece_id] = Future(why=course.why_not)
            continue
        air, assumed[piece_id] = _air(reckoning.facts, piece_id, course, place_id)
        asked.append(piece_id)
        dryings.append(Drying(course, air, targets))
    for piece_id, told in zip(asked, forecast_many(dryings), strict=True):
        found[piece_id] = _future(told, assumed[piece_id])
    return found


def _future(told: Forecast, assumed: str) -> Future:
    if told.why or not told.reached:
        return Future(why=told.why, assumed=assumed, forecast=told)
    target, *enough = (_arrival(one) for one in told.reached)
    return Future(target, enough[0] if enough else None, assumed=assumed, forecast=told)


def _arrival(reached: Reached) -> Arrival:
    days = reached.days
    return Arrival(_day(days.early), _day(days.likely), _day(days.late), reached.mc_pct, reached.never)


def _day(at: float | None) -> date | None:
    return None if at is None else date.fromordinal(math.ceil(at))


def _course(reckoning: Reckoning, piece: Piece) -> Course:
    """The present series of weighings of a piece, each made comparable with the piece as it is now."""
    family = reckoning.family(piece.id)
    history: History = family.histories[piece.id]
    now = (piece.id, history.last_state)
    some = [w for w in history.weighings if w.after_event >= history.series_start()]
    shares = {now[1]: (0.0, 0.0)}
    for state in {w.state for w in some} - {now[1]}:
        shares[state] = family.solution.ratio(now, (piece.id, state))
    net = tuple(w.net_g * math.exp(shares[w.state][0]) for w in some)
    shared = [
        tuple(mass * math.sqrt(variance) if w.state == state else 0.0 for w, mass in zip(some, net, strict=True))
        for state, (_, variance) in shares.items()
        if variance > 0
    ]
    coat = history.coats[-1].sd_g
    if coat:
        shared.append(tuple(coat for _ in some))
    size = piece.size
    square = size.width_mm and size.thickness_mm
    volume = size.width_mm * size.thickness_mm * size.length_mm / 1000 if square and size.length_mm else None  # type: ignore[operator]
    wood = piece.wood.wood
    gravity = species.best_basic_specific_gravity(wood) if wood else None
    evidence = family.without_course
    known = evidence.knows(now)
    return Course(
        days=tuple(float(w.on.toordinal()) for w in some),
        net_g=net,
        sd_g=tuple(math.sqrt(w.variance_g2) for w in some),
        side_mm=equivalent_square_mm(size.width_mm, size.thickness_mm) if square else None,  # type: ignore[arg-type]
        volume_cm3=volume,
        density_g_cm3=gravity.central() if gravity else None,
        ln_dry=(evidence.mean(now), math.sqrt(evidence.variance(now))) if known else None,
        shared_g=tuple(shared),
        coated=bool(piece.coat and piece.coat.where == "all"),
        in_bark=piece.kind in ("tree", "log") or (piece.kind == "billet" and piece.made.bark_on is not False),
    )


def _air(facts: Facts, piece_id: int, course: Course, place_id: int | None) -> tuple[Air, str]:
    """The air about a piece from its first weighing to the horizon, and what of it was assumed."""
    first, last = int(min(course.days)), int(max(course.days))
    stays = _stays(facts, piece_id, place_id)
    climates: dict[int | None, Climate] = {}
    days: list[float] = []
    emc: list[float] = []
    temp: list[float] = []
    changes = {max(start - 1, first) for start, _ in stays if first < start} | {s for s, _ in stays if s > first}
    regular = range(first, last + int(HORIZON_DAYS) + STEP_DAYS, STEP_DAYS)
    for at in sorted(changes.union(regular)):
        place = next((p for start, p in reversed(stays) if start <= at), stays[0][1])
        if place not in climates:
            climates[place] = climate_of(facts, place)
        told_emc, told_temp = climates[place].on(date.fromordinal(at))
        days.append(float(at))
        emc.append(told_emc)
        temp.append(told_temp)
    guesses = sorted({c.assumed for c in climates.values() if c.assumed})
    sd_pct = max(c.sd_pct for c in climates.values())
    return Air(tuple(days), tuple(emc), tuple(temp), sd_pct), "; ".join(guesses)


def _stays(facts: Facts, piece_id: int, place_id: int | None) -> list[tuple[int, int | None]]:
    """(first day, place) of each stay, the first from ever; a thought move is made on the day of the question."""
    stays: list[tuple[int, int | None]] = []
    for move in facts.moves.get(piece_id, ()):
        if not stays or stays[-1][1] != move.place_id:
            stays.append((move.on_last.toordinal() if stays else 1, move.place_id))
    stays = stays or [(1, None)]
    return [*stays, (facts.on.toordinal(), place_id)] if place_id is not None else stays
