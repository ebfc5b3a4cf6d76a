"""The air of a place on a day, and the moisture content at which it keeps wood."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import cast

from stock.book.facts import Facts
from stock.book.kinds import AirFact
from stock.wood.air import emc_or_edge
from stock.wood.case import Cover

TOLD_YEAR_SD_PCT, ASSUMED_YEAR_SD_PCT = 1.0, 2.0  # of the usual air of a place, told or guessed by its cover
TOLD_SD_PCT = 0.8  # of the air told for a place over a season: common practice, no source
RECENT_DAYS = 45  # how old a reading may be and still tell of the air of a day
YEAR_DAYS = 366
MONTH_DAYS = 30.4


@dataclass(frozen=True, slots=True)
class PlaceAir:
    """What the air of a place does to wood.

    `emc_pct` is that of the day; `low_pct` and `high_pct` span the year; `mean_pct` is over the past ninety days;
    `told_by` says what is known; `at_edge` that some air was beyond the handbook's table and its edge was taken;
    `sd_pct` is how far off `mean_pct` may be, standard deviation in points.
    """

    emc_pct: float
    low_pct: float
    high_pct: float
    mean_pct: float
    told_by: str
    at_edge: bool
    sd_pct: float = TOLD_SD_PCT


def cover_of(facts: Facts, place_id: int | None) -> Cover | None:
    """Open, roofed, unheated or heated: of the place, or of the place it lies in."""
    while place_id is not None and (place := facts.places.get(place_id)) is not None:
        if place.cover:
            return cast(Cover, place.cover)  # the book's CHECK allows no other word
        place_id = place.parent_id
    return None


def air_of(facts: Facts, place_id: int | None, on: date) -> PlaceAir | None:
    """The air of a place, or of the nearest place it lies in that has any; None if nobody told.

    Args:
        facts: the facts.
        place_id: the place, or None.
        on: the day.
    """
    while place_id is not None:
        rows = facts.air.get(place_id, ())
        if rows:
            return _told(rows, on)
        place = facts.places.get(place_id)
        place_id = place.parent_id if place else None
    return None


def _told(rows: Sequence[AirFact], on: date) -> PlaceAir | None:
    months = {row.month: row for row in rows if row.month is not None}
    readings = [row for row in rows if row.month is None and row.on_last <= on]
    edge = False
    emc: dict[AirFact, float] = {}
    for row in [*months.values(), *readings]:
        emc[row], at_edge = emc_or_edge(row.temp_c, row.rh_pct)
        edge = edge or at_edge
    recent = [emc[row] for row in readings if (on - row.on_last).days <= RECENT_DAYS]
    year = [emc[row] for row in readings if (on - row.on_last).days <= YEAR_DAYS]
    season = [emc[row] for row in readings if (on - row.on_last).days <= 90]
    if not readings and not months:
        return None
    if months:
        normal = _between_months({m: emc[row] for m, row in months.items()}, on)
        past = [
            _between_months({m: emc[row] for m, row in months.items()}, _back(on, days)) for days in (0, 30, 60, 90)
        ]
        now = sum(recent) / len(recent) if recent else normal
        spread = [emc[row] for row in months.values()] + recent
        mean = sum(season) / len(season) if len(season) >= 3 else sum(past) / len(past)
        told_by = "its recorded air" if recent else "its monthly air"
        return PlaceAir(now, min(spread), max(spread), mean, told_by, edge)
    now = sum(recent) / len(recent) if recent else emc[readings[-1]]
    spread = year or [emc[readings[-1]]]
    mean = sum(season) / len(season) if season else sum(spread) / len(spread)
    told_by = "its recorded air" if recent else f"air last recorded on {readings[-1].on_last.isoformat()}"
    return PlaceAir(now, min(spread), max(spread), mean, told_by, edge)


def _back(on: date, days: int) -> date:
    return date.fromordinal(on.toordinal() - days)


def _between_months(normals: dict[int, float], on: date) -> float:
    """The normal of a day: a straight line between the middles of the two nearest months that are known."""
    if len(normals) == 1:
        return next(iter(normals.values()))
    at = on.month + (on.day - 15) / MONTH_DAYS
    ordered = sorted(normals)
    circle = [ordered[-1] - 12, *ordered, ordered[0] + 12]
    for low, high in pairwise(circle):
        if low <= at <= high:
            share = (at - low) / (high - low)
            a, b = (normals[(month - 1) % 12 + 1] for month in (low, high))
            return a + share * (b - a)
    return normals[ordered[-1]]


@dataclass(frozen=True, slots=True)
class Climate:
    """The usual air of a place over the year: equilibrium moisture content (%) and temperature (degC) by month.

    `assumed` says what was taken for granted because nobody told the air; empty if somebody did. `sd_pct` is how far
    off all of it may be together, standard deviation in points.
    """

    emc_pct: dict[int, float]
    temp_c: dict[int, float]
    assumed: str
    sd_pct: float

    def on(self, day: date) -> tuple[float, float]:
        """Equilibrium moisture content and temperature on a day."""
        return _between_months(self.emc_pct, day), _between_months(self.temp_c, day)


# What a place of a cover usually does where nobody told: equilibrium moisture content (%) and temperature (degC).
USUAL = {"heated": (8.0, 20.0), "unheated": (14.0, 10.0), "roofed": (14.0, 10.0), "open": (15.0, 10.0)}
USUAL_UNKNOWN = (12.0, 14.0)  # common practice, no source, as those above


def climate_of(facts: Facts, place_id: int | None) -> Climate:
    """The usual air of a place, from its normals, else from its readings by month, else by its cover."""
    cover = cover_of(facts, place_id)
    here = facts.places.get(place_id) if place_id is not None else None
    nobody = f"the air of {here.name} was not told" if here else "where it lies was not told"
    while place_id is not None:
        if rows := facts.air.get(place_id, ()):
            return _usual([row for row in rows if row.month is not None] or rows)
        place = facts.places.get(place_id)
        place_id = place.parent_id if place else None
    emc, temp = USUAL.get(cover or "", USUAL_UNKNOWN)
    kind = f"{cover} place" if cover else "roofed place in between"
    words = f"{nobody}: air taken that keeps wood at {emc:.0f} %, as in a {kind}"
    return Climate({1: emc}, {1: temp}, words, ASSUMED_YEAR_SD_PCT)


def _usual(rows: Sequence[AirFact]) -> Climate:
    by_month: dict[int, list[AirFact]] = {}
    for row in rows:
        by_month.setdefault(row.month or row.on_last.month, []).append(row)
    emc = {m: sum(emc_or_edge(r.temp_c, r.rh_pct)[0] for r in some) / len(some) for m, some in by_month.items()}
    temp = {m: sum(r.temp_c for r in some) / len(some) for m, some in by_month.items()}
    return Climate(emc, temp, "", TOLD_YEAR_SD_PCT)
