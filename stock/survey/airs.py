"""The air of a place on a day, and the moisture content at which it keeps wood.

What tells it: the normals of months, single readings, a logger, the weighings of a reference block; where they leave
off, what a place of such a cover usually does. A reference block is wood itself: the course that humidity readings give
is lifted or lowered by what the block showed on its days, which takes out the error of the humidity meter.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from math import hypot, sqrt

from stock.book.facts import Facts
from stock.book.kinds import AirFact
from stock.dates import day_words
from stock.survey.climates import (
    SPELL_DAYS,
    TOLD_SD_PCT,
    Climate,
    Spell,
    assumed_year,
    left_open,
    shifted,
    spells_of,
    year_of_normals,
    year_of_spells,
)
from stock.survey.covers import Habit, cover_of, habit_of, is_southern
from stock.survey.reference_blocks import BlockReading, reference_blocks
from stock.wood.reference_blocks import OWN_SD_PCT, level_sd_pct

__all__ = ["Climate", "PlaceAir", "air_of", "climate_of", "cover_of"]

RECENT_DAYS = 45  # how old a reading may be and still tell of the air of a day
SEASON_DAYS = 90  # over which wood in balance has followed the air
BLOCK_DAYS = 30  # of whose air a weighing of a reference block tells


@dataclass(frozen=True, slots=True)
class PlaceAir:
    """What the air of a place does to wood.

    `emc_pct` is that of the day; `low_pct` and `high_pct` span the usual year by its months, and that day; `mean_pct`
    is over the past ninety days; `told_by` says what is known; `at_edge` that some air was beyond the handbook's table
    and its edge was taken; `sd_pct` is how far off `mean_pct` may be, standard deviation in points.
    """

    emc_pct: float
    low_pct: float
    high_pct: float
    mean_pct: float
    told_by: str
    at_edge: bool
    sd_pct: float


def air_of(facts: Facts, place_id: int | None, on: date) -> PlaceAir | None:
    """The air of a place, or of the nearest place it lies in that has any; None if nobody told.

    Args:
        facts: the facts.
        place_id: the place, or None.
        on: the day; nothing that was read after it is used.
    """
    course = _airs(facts).course(place_id, on)
    return course.on_day(on) if course else None


def climate_of(facts: Facts, place_id: int | None) -> Climate:
    """The usual air of a place, from what was told of it, else by its cover."""
    course = _airs(facts).course(place_id, facts.on)
    if course is not None:
        return course.year
    here = facts.places.get(place_id) if place_id is not None else None
    nobody = f"the air of {here.name} was not told" if here else "where it lies was not told"
    return assumed_year(habit_of(facts, place_id), is_southern(facts), nobody)


@dataclass(frozen=True, slots=True)
class _Sources:
    """What tells the air of a place: normals by month, the days that were read, the weighings of reference blocks."""

    normals: Mapping[int, AirFact]
    days: Sequence[AirFact]
    blocks: Sequence[BlockReading]
    habit: Habit
    southern: bool


@dataclass(frozen=True, slots=True)
class _Course:
    """The air of a place through the years.

    `spells` is the equilibrium moisture content (%) of the spells of weather that were read, by their number; `year`
    what is usual in between. `told_sd_pct` is how far off those spells may be together, sd in points.
    """

    year: Climate
    spells: Mapping[int, float]
    told_sd_pct: float
    widened_pct: float
    told_by: str
    at_edge: bool

    def between(self, first: date, last: date) -> tuple[float, float]:
        """The mean over some days, and which part of them was read."""
        numbers = _numbers(first, last)
        read = [self.spells[number] for number in numbers if number in self.spells]
        usual = [self.year.on(_day(number))[0] for number in numbers if number not in self.spells]
        return (sum(read) + sum(usual)) / len(numbers), len(read) / len(numbers)

    def on_day(self, on: date) -> PlaceAir:
        recent = _numbers(on - timedelta(days=RECENT_DAYS), on)
        read = [self.spells[number] for number in recent if number in self.spells]
        now = sum(read) / len(read) if read else self.year.on(on)[0]
        mean, covered = self.between(on - timedelta(days=SEASON_DAYS - 1), on)
        left_open = max(self.year.level_sd_pct**2 - self.told_sd_pct**2, 0.0)
        months = self.year.emc_pct.values()
        return PlaceAir(
            emc_pct=now,
            low_pct=max(min(now, *months) - self.widened_pct, 0.0),
            high_pct=max(now, *months) + self.widened_pct,
            mean_pct=mean,
            told_by=self.told_by,
            at_edge=self.at_edge,
            sd_pct=sqrt(self.told_sd_pct**2 + (1 - covered) * left_open),
        )


@lru_cache(maxsize=2)
def _airs(facts: Facts) -> "_Airs":
    return _Airs(facts)


class _Airs:
    """The air of every place of some facts, each worked out once a day that is asked for."""

    def __init__(self, facts: Facts) -> None:
        self._facts = facts
        self._blocks: dict[int, list[BlockReading]] = defaultdict(list)
        for block in reference_blocks(facts):
            for reading in block.readings:
                self._blocks[reading.place_id].append(reading)
        self._courses: dict[tuple[int, int | None, date], _Course] = {}

    def course(self, place_id: int | None, on: date) -> _Course | None:
        """The air that tells of a place on a day: its own, else that of the nearest place around it."""
        air_id = block_id = None
        for one in self._outwards(place_id):
            if air_id is None and block_id is None and any(b.on <= on for b in self._blocks.get(one, ())):
                block_id = one
            if air_id is None and any(
                row.month is not None or row.on_last <= on for row in self._facts.air.get(one, ())
            ):
                air_id = one
        here = air_id if air_id is not None else block_id
        if here is None:
            return None
        if (here, block_id, on) not in self._courses:
            self._courses[here, block_id, on] = _worked_out(self._sources(here, air_id, block_id, on))
        return self._courses[here, block_id, on]

    def _outwards(self, place_id: int | None) -> Iterator[int]:
        while place_id is not None:
            yield place_id
            place = self._facts.places.get(place_id)
            place_id = place.parent_id if place else None

    def _sources(self, here: int, air_id: int | None, block_id: int | None, on: date) -> _Sources:
        rows = self._facts.air.get(air_id, ()) if air_id is not None else ()
        blocks = self._blocks.get(block_id, ()) if block_id is not None else ()
        return _Sources(
            normals={row.month: row for row in rows if row.month is not None},
            days=[row for row in rows if row.month is None and row.on_last <= on],
            blocks=[reading for reading in blocks if reading.on <= on],
            habit=habit_of(self._facts, here),
            southern=is_southern(self._facts),
        )


def _worked_out(told: _Sources) -> _Course:
    """The course of the air of a place from all that tells it."""
    spells = spells_of(told.days)
    read = {_number(one.day): one.emc_pct for one in spells}
    if not told.normals and not spells:
        return _by_blocks_alone(told)
    year = (
        year_of_normals(told.normals, told.habit, told.southern)
        if told.normals
        else year_of_spells(spells, told.habit, told.southern)
    )
    edge = year.at_edge or any(one.at_edge for one in spells)
    course = _Course(year, read, TOLD_SD_PCT, _widened(year, told.habit), _words(told, year), edge)
    return _lifted(course, told) if told.blocks else course


def _lifted(course: _Course, told: _Sources) -> _Course:
    """A course that humidity readings gave, moved to where the reference blocks stood on their days."""
    off = [one.emc_pct - course.between(one.on - timedelta(days=BLOCK_DAYS), one.on)[0] for one in told.blocks]
    by_pct = sum(off) / len(off)
    sd_pct = _blocks_sd_pct(told.blocks)
    year = shifted(course.year, by_pct, sd_pct, frozenset(one.on.month for one in told.blocks))
    spells = {number: max(emc_pct + by_pct, 0.0) for number, emc_pct in course.spells.items()}
    return _Course(year, spells, sd_pct, _widened(year, told.habit), _words(told, year), course.at_edge)


def _by_blocks_alone(told: _Sources) -> _Course:
    """The course of a place of whose air only its reference blocks tell."""
    spells = [Spell(one.on, one.emc_pct, None) for one in told.blocks]
    weather = sum(one.sd_pct for one in told.blocks) / len(told.blocks)
    own = hypot(OWN_SD_PCT, sum(one.dry_sd_pct for one in told.blocks) / len(told.blocks))
    year = year_of_spells(spells, told.habit, told.southern, weather_pct=weather, instrument_pct=own)
    read: dict[int, list[float]] = defaultdict(list)
    for one in told.blocks:
        for number in _numbers(one.on - timedelta(days=BLOCK_DAYS), one.on):
            read[number].append(one.emc_pct)
    means = {number: sum(some) / len(some) for number, some in read.items()}
    return _Course(year, means, _blocks_sd_pct(told.blocks), _widened(year, told.habit), _words(told, year), False)


def _blocks_sd_pct(blocks: Sequence[BlockReading]) -> float:
    return level_sd_pct([one.sd_pct for one in blocks], sum(one.dry_sd_pct for one in blocks) / len(blocks))


def _widened(year: Climate, habit: Habit) -> float:
    """How much further than its months show the air may swing, where not even a cover tells when it is dampest."""
    return habit.half_swing_pct * left_open(year.months_told) if habit.dampest_month is None else 0.0


def _words(told: _Sources, year: Climate) -> str:
    """What tells the air of a place, in words."""
    said: list[str] = []
    if marks := list(dict.fromkeys(one.mark for one in told.blocks)):
        said.append(f"its reference block{'s' if len(marks) > 1 else ''} {', '.join(marks)}")
    if told.normals:
        count = len(told.normals)
        few = "one month" if count == 1 else f"{count} months"
        said.append("its monthly air" if count == 12 else f"what is normal in {few}")
    if told.days:
        count = sum(row.readings for row in told.days)
        first, last = told.days[0].on_last, told.days[-1].on_last
        when = day_words(last) if first == last else f"{day_words(first)} to {day_words(last)}"
        said.append(f"{'one reading' if count == 1 else f'{count} readings'} of {when}")
    if len(year.months_told) < 12:
        said.append(f"what {told.habit.name} usually does")
    return " and ".join(said) if len(said) < 3 else f"{', '.join(said[:-1])} and {said[-1]}"


def _number(day: date) -> int:
    return day.toordinal() // SPELL_DAYS


def _numbers(first: date, last: date) -> range:
    return range(_number(first), _number(last) + 1)


def _day(number: int) -> date:
    return date.fromordinal(number * SPELL_DAYS + SPELL_DAYS // 2)
