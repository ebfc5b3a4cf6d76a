"""The usual year of a place: from its normals, from what was read there, and from its cover where neither tells.

A few readings tell little: the air of one day lies off what is usual by the weather of that day, and the rest of the
year is not in them. So what was read is set against what such a place usually does, by how sure each of the two is;
months that nobody told follow the usual shape of the year, lifted or lowered with those that somebody did. A month that
was read throughout, and a normal, stand as they are.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from math import hypot, sqrt
from typing import NamedTuple

from stock.book.kinds import AirFact
from stock.survey.covers import MID_MONTH, MONTH_DAYS, Habit
from stock.wood.daily_air import day_emc_pct

MONTHS = range(1, 13)
SPELL_DAYS = 5  # how long one spell of weather lasts, so that readings within it tell about the same
SPELLS_A_MONTH, SPELLS_A_YEAR = 5, 72  # at least so many lie in a month and a year that were read throughout
# Standard deviations in points of moisture content; common practice, no source.
TOLD_SD_PCT = 0.8  # of air told throughout: the humidity meters of a shop are good to 3 to 5 % of humidity
SHAPE_SD_PCT = 1.0  # of the mean over the year, where one month is known and only the cover tells the rest
MONTH_SD_PCT = 2.0  # of one month about that shape
YEARS_SD_PCT = 0.6  # of a year to come about the usual one


class Spell(NamedTuple):
    """The air of some days in a row: a day of them, equilibrium moisture content (%), temperature (degC) if told."""

    day: date
    emc_pct: float
    temp_c: float | None
    at_edge: bool = False


@dataclass(frozen=True, slots=True)
class Climate:
    """The usual air of a place over the year: equilibrium moisture content (%) and temperature (degC) by month.

    `assumed` says what was taken for granted because nobody told the air; empty if somebody did. `sd_pct` is how far
    off all of it may be together in a year to come, standard deviation in points; `level_sd_pct` the same without what
    one year differs from another. `months_told` are the months of which something is known.
    """

    emc_pct: Mapping[int, float]
    temp_c: Mapping[int, float]
    assumed: str
    sd_pct: float
    level_sd_pct: float = TOLD_SD_PCT
    months_told: frozenset[int] = frozenset()
    at_edge: bool = False

    def on(self, day: date) -> tuple[float, float]:
        """Equilibrium moisture content and temperature on a day."""
        return between_months(self.emc_pct, day), between_months(self.temp_c, day)


def between_months(normals: Mapping[int, float], on: date) -> float:
    """The normal of a day: a straight line between the middles of the two nearest months that are known."""
    if len(normals) == 1:
        return next(iter(normals.values()))
    at = on.month + (on.day - MID_MONTH) / MONTH_DAYS
    ordered = sorted(normals)
    circle = [ordered[-1] - 12, *ordered, ordered[0] + 12]
    for low, high in pairwise(circle):
        if low <= at <= high:
            share = (at - low) / (high - low)
            a, b = (normals[(month - 1) % 12 + 1] for month in (low, high))
            return a + share * (b - a)
    return normals[ordered[-1]]


def left_open(months: Iterable[int]) -> float:
    """Which part of the year nobody told of: 0 if every month was told, 1 if one was, by the longest gap between."""
    ordered = sorted(set(months))
    gaps = [high - low for low, high in pairwise([*ordered, ordered[0] + 12])]
    return (max(gaps) - 1) / 11


def spells_of(days: Iterable[AirFact]) -> list[Spell]:
    """What was read, gathered into spells of weather; each day weighs the same however often it was read."""
    found: dict[int, list[AirFact]] = defaultdict(list)
    for row in days:
        found[row.on_last.toordinal() // SPELL_DAYS].append(row)
    return [_spell(found[number]) for number in sorted(found)]


def _middle(month: int) -> date:
    return date(2001, month, MID_MONTH)


def _spell(days: Sequence[AirFact]) -> Spell:
    told = [day_emc_pct(row.temp_c, row.rh_pct, row.rh_sd_pct) for row in days]
    mean_c = sum(row.temp_c for row in days) / len(days)
    middle = date.fromordinal(sum(row.on_last.toordinal() for row in days) // len(days))
    return Spell(middle, sum(emc for emc, _ in told) / len(told), mean_c, any(edge for _, edge in told))


def assumed_year(habit: Habit, southern: bool, why: str) -> Climate:
    """What a place of such a cover usually does."""
    emc = {month: habit.at(month, southern)[0] for month in MONTHS}
    temp = {month: habit.at(month, southern)[1] for month in MONTHS}
    words = f"{why}: air taken that keeps wood at {habit.emc_pct:.0f} %, as in {habit.name}"
    return Climate(emc, temp, words, habit.sd_pct, habit.sd_pct)


def year_of_normals(normals: Mapping[int, AirFact], habit: Habit, southern: bool) -> Climate:
    """The usual year where the normals of some months were told; the others follow the shape that the cover gives."""
    told = {month: day_emc_pct(row.temp_c, row.rh_pct) for month, row in normals.items()}
    usual = {month: habit.at(month, southern) for month in MONTHS}
    lift = {month: emc - usual[month][0] for month, (emc, _) in told.items()}
    lift_c = {month: row.temp_c - usual[month][1] for month, row in normals.items()}
    level_sd = hypot(TOLD_SD_PCT, SHAPE_SD_PCT * left_open(told))
    return Climate(
        emc_pct={m: told[m][0] if m in told else usual[m][0] + between_months(lift, _middle(m)) for m in MONTHS},
        temp_c={m: usual[m][1] + between_months(lift_c, _middle(m)) for m in MONTHS},
        assumed="",
        sd_pct=hypot(level_sd, YEARS_SD_PCT),
        level_sd_pct=level_sd,
        months_told=frozenset(told),
        at_edge=any(edge for _, edge in told.values()),
    )


def year_of_spells(
    spells: Sequence[Spell],
    habit: Habit,
    southern: bool,
    *,
    weather_pct: float | None = None,
    instrument_pct: float = TOLD_SD_PCT,
) -> Climate:
    """The usual year as some spells of weather tell it, set against what such a place usually does.

    Args:
        spells: at least one.
        habit: what places of that cover do.
        southern: whether the seasons are those of the south.
        weather_pct: how far one spell may lie off what is usual then, sd in points; None takes the habit's.
        instrument_pct: how far all of them may be off together, sd in points.
    """
    weather = habit.weather_pct if weather_pct is None else weather_pct
    off = [(one, *habit.on(one.day, southern)) for one in spells]
    above = [(one.day.month, one.emc_pct - emc) for one, emc, _ in off]
    warmer = [(one.day.month, one.temp_c - temp_c) for one, _, temp_c in off if one.temp_c is not None]
    noise = weather**2 * max(1 / len(spells) - 1 / SPELLS_A_YEAR, 0.0)
    spread = habit.sd_pct**2
    months = frozenset(month for month, _ in above)
    shape = SHAPE_SD_PCT * left_open(months)
    level_sd = min(sqrt(instrument_pct**2 + noise * spread / (noise + spread) + shape**2), habit.sd_pct)
    emc_lift = _lifts(above, spread / (noise + spread), weather)
    temp_lift = _lifts(warmer, spread / (noise + spread), weather)
    return Climate(
        emc_pct={month: habit.at(month, southern)[0] + emc_lift[month] for month in MONTHS},
        temp_c={month: habit.at(month, southern)[1] + temp_lift[month] for month in MONTHS},
        assumed="",
        sd_pct=min(hypot(level_sd, YEARS_SD_PCT), habit.sd_pct),
        level_sd_pct=level_sd,
        months_told=months,
        at_edge=any(one.at_edge for one in spells),
    )


def _lifts(above: Sequence[tuple[int, float]], share: float, weather: float) -> dict[int, float]:
    """By how much each month lies above its habit: as far as its own spells tell, else as all of them together do."""
    if not above:
        return dict.fromkeys(MONTHS, 0.0)
    by_month: dict[int, list[float]] = defaultdict(list)
    for month, lift in above:
        by_month[month].append(lift)
    level = share * sum(lift for _, lift in above) / len(above)
    lifts = dict.fromkeys(MONTHS, level)
    for month, own in by_month.items():
        noise = weather**2 * max(1 / len(own) - 1 / SPELLS_A_MONTH, 0.0)
        lifts[month] = level + MONTH_SD_PCT**2 / (MONTH_SD_PCT**2 + noise) * (sum(own) / len(own) - level)
    return lifts


def shifted(year: Climate, by_pct: float, level_sd_pct: float, months: frozenset[int]) -> Climate:
    """The same year, drier or damper throughout, as a reference block tells it; `months` are those it was read in."""
    told = year.months_told | months
    level_sd = hypot(level_sd_pct, SHAPE_SD_PCT * left_open(told))
    return Climate(
        emc_pct={month: max(emc + by_pct, 0.0) for month, emc in year.emc_pct.items()},
        temp_c=year.temp_c,
        assumed="",
        sd_pct=hypot(level_sd, YEARS_SD_PCT),
        level_sd_pct=level_sd,
        months_told=told,
        at_edge=year.at_edge,
    )
