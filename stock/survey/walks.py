"""Walks with the scales: who goes to a place for one piece weighs the others there that are nearly due as well.

A place is visited as a whole, with all that lies in it: the racks of a shed are one visit.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from stock.survey.duties import Due, Duties, outermost_place

ALONG_DAYS = 6  # how long before it is due a piece is taken along, but never before half its interval
LOOKS_AHEAD = (7, 31, 92, 366)  # days, until something is found


@dataclass(frozen=True, slots=True)
class Walk:
    """One visit to a place: its day, the place (id and name; None and "" if it was never told), what to weigh there."""

    on: date
    place_id: int | None
    place: str
    pieces: tuple[Due, ...]


def now(duties: Duties, within_days: int = 0) -> list[Due]:
    """What to weigh on a walk today: what is due, and what will be soon in the places that are visited anyway.

    Args:
        duties: what of a book is to be weighed, foretold.
        within_days: how many days ahead a piece counts as due.
    """
    until = duties.on + timedelta(days=within_days)
    near = [(outermost_place(duties.reckoning, one.piece), one) for one in duties.by(until + timedelta(ALONG_DAYS))]
    visited = {place for place, one in near if one.due_on <= until}
    found: list[Due] = []
    for place, one in near:
        if one.due_on <= until:
            found.append(one)
        elif place in visited and one.due_on <= until + timedelta(days=_early(one)):
            found.append(replace(one, weigh_on=duties.on, along=True))
    return found


def next_due(duties: Duties) -> list[Due]:
    """What falls due first, all on one day; nothing if nothing is ever to be weighed."""
    for days in LOOKS_AHEAD:
        if found := duties.by(duties.on + timedelta(days=days)):
            first = min(one.due_on for one in found)
            return [one for one in found if one.due_on == first]
    return []


def ahead(duties: Duties, days: int, first_on: date | None = None) -> list[Walk]:
    """The walks of the coming days, each piece again after its interval as if every walk were done.

    Args:
        duties: what of a book is to be weighed, foretold.
        days: how many days ahead.
        first_on: no walk before this day; None for the day of asking.
    """
    last_on = duties.on + timedelta(days=days)
    places: dict[int | None, list[Due]] = defaultdict(list)
    for one in duties.by(last_on + timedelta(days=ALONG_DAYS)):
        places[outermost_place(duties.reckoning, one.piece)].append(one)
    found: list[Walk] = []
    for place_id, pieces in places.items():
        known = duties.reckoning.facts.places.get(place_id) if place_id is not None else None
        for day, some in _visits(pieces, max(duties.on, first_on or duties.on), last_on):
            found.append(Walk(day, place_id, known.name if known else "", tuple(some)))
    return sorted(found, key=lambda walk: walk.on)


def _visits(pieces: Sequence[Due], first_on: date, last_on: date) -> list[tuple[date, list[Due]]]:
    """The days on which a place is visited until a day, and what is weighed on each.

    What a piece should weigh is known of its next weighing only.
    """
    left = {one.piece.id: one.prospect for one in pieces}
    due_on = {one.piece.id: one.due_on for one in pieces}
    found: list[tuple[date, list[Due]]] = []
    while due_on and (day := max(min(due_on.values()), first_on)) <= last_on:
        some = [one for one in pieces if due_on[one.piece.id] <= day + timedelta(days=_early(one))]
        found.append((day, [replace(one, weigh_on=day, prospect=left.pop(one.piece.id, None)) for one in some]))
        due_on |= {one.piece.id: day + timedelta(days=one.every_days) for one in some}
    return found


def _early(one: Due) -> int:
    """How many days before it is due a piece is taken along."""
    return min(ALONG_DAYS, one.every_days // 2)


def paused_until(settings: Mapping[str, str], on: date) -> date | None:
    """The day on which reminders begin again; None if they are not paused on a day."""
    value = settings.get("pause", "off")
    until = None if value == "off" else date.fromisoformat(value)
    return until if until and on < until else None
