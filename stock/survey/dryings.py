"""A piece as a forecast takes it: its course of weighings, and the air about it.

The air follows the storage history: a move changes it on its day. Where nobody told the air of a place, what such a
place does by its cover is assumed, and the assumption is said and widens the dates.
"""

import math
from collections.abc import Sequence
from datetime import date

from stock.book.facts import Facts
from stock.survey.airs import Climate, climate_of
from stock.survey.courses import Reckoning
from stock.survey.piece import Piece
from stock.survey.states import History
from stock.wood import species
from stock.wood.drying import Air, Course
from stock.wood.drying_rates import ln_slower
from stock.wood.forecast import HORIZON_DAYS
from stock.wood.shells import equivalent_square_mm

STEP_DAYS = 10  # between the days for which the air is given
DRIEST_EMC_PCT = 0.5  # no air is drier, whatever an instrument shows


def course_of(reckoning: Reckoning, piece: Piece) -> Course:
    """The present series of weighings of a piece, each made comparable with the piece as it is now."""
    family = reckoning.family(piece.id)
    history: History = family.histories[piece.id]
    now = (piece.id, history.last_state)
    some = [w for w in history.weighings if w.after_event >= history.series_start()]
    evidence = family.without_course
    shares = {now[1]: (0.0, 0.0)}
    for state in {w.state for w in some} - {now[1]}:
        shares[state] = evidence.ratio(now, (piece.id, state))
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
    side_mm = volume_cm3 = None
    if size.width_mm and size.thickness_mm:
        side_mm = equivalent_square_mm(size.width_mm, size.thickness_mm)
        volume_cm3 = size.width_mm * size.thickness_mm * size.length_mm / 1000 if size.length_mm else None
    wood = piece.wood.wood
    gravity = species.best_basic_specific_gravity(wood) if wood else None
    known = evidence.knows(now)
    return Course(
        days=tuple(float(w.on.toordinal()) for w in some),
        net_g=net,
        sd_g=tuple(math.sqrt(w.variance_g2) for w in some),
        side_mm=side_mm,
        volume_cm3=volume_cm3,
        density_g_cm3=gravity.central() if gravity else None,
        ln_dry=(evidence.mean(now), math.sqrt(evidence.variance(now))) if known else None,
        shared_g=tuple(shared),
        ln_slower=ln_slower(wood.scientific.partition(" ")[0] if wood else None),
        coated=bool(piece.coat and piece.coat.where == "all"),
        in_bark=piece.kind in ("tree", "log") or (piece.kind == "billet" and piece.made.bark_on is not False),
    )


def air_of_course(reckoning: Reckoning, piece_id: int, course: Course, place_id: int | None = None) -> tuple[Air, str]:
    """The air about a piece from its first weighing to the horizon of a forecast, and what of it was assumed.

    Args:
        reckoning: the moisture of its family.
        piece_id: the piece.
        course: its weighings, one at least.
        place_id: the place to which it is thought to go on the day of the question; None leaves it where it is.
    """
    facts = reckoning.facts
    first, last = int(min(course.days)), int(max(course.days))
    stays = stays_of(reckoning, piece_id)
    if place_id is not None:
        stays.append((facts.on.toordinal(), place_id))
    climates: dict[int | None, Climate] = {}
    days: list[float] = []
    emc: list[float] = []
    temp: list[float] = []
    changes = {max(start - 1, first) for start, _ in stays if first < start} | {s for s, _ in stays if s > first}
    regular = range(first, last + int(HORIZON_DAYS) + STEP_DAYS, STEP_DAYS)
    for at in sorted(changes.union(regular)):
        place = place_on(stays, at)
        if place not in climates:
            climates[place] = climate_of(facts, place)
        told_emc, told_temp = climates[place].on(date.fromordinal(at))
        days.append(float(at))
        emc.append(max(told_emc, DRIEST_EMC_PCT))
        temp.append(told_temp)
    guesses = sorted({c.assumed for c in climates.values() if c.assumed})
    sd_pct = max(c.sd_pct for c in climates.values())
    return Air(tuple(days), tuple(emc), tuple(temp), sd_pct), "; ".join(guesses)


def stays_of(reckoning: Reckoning, piece_id: int) -> list[tuple[int, int | None]]:
    """(first day, place) of each stay of a piece, the first from ever; a piece never moved lies where its parent does.

    Places are ids, days ordinal numbers; None is nowhere known.
    """
    facts: Facts = reckoning.facts
    stays: list[tuple[int, int | None]] = []
    moves = next((some for one in reckoning.pieces.up(piece_id) if (some := facts.moves.get(one, ()))), ())
    for move in moves:
        if not stays or stays[-1][1] != move.place_id:
            stays.append((move.on_last.toordinal() if stays else 1, move.place_id))
    return stays or [(1, None)]


def place_on(stays: Sequence[tuple[int, int | None]], day: int) -> int | None:
    """The place of a day."""
    return next((place for start, place in reversed(stays) if start <= day), stays[0][1])
