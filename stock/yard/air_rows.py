"""Rows of air against what stands on the book: what is new, what is the same reading, what differs, what is missing."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import NamedTuple

from sqlalchemy import select

from stock.book.journal import Page
from stock.book.naming import NamedPlace
from stock.book.records import METADATA
from stock.dates import When, day_words
from stock.errors import Unclear
from stock.typed import Typed


@dataclass(frozen=True, slots=True)
class AirRow:
    """The air at one time: day, temperature (degC), relative humidity (percent); `month` for a normal, 1 to 12."""

    on: When
    temp: Typed
    rh: Typed
    month: int | None = None
    at_time: str | None = None


class Values(NamedTuple):
    """Temperature (degC) and relative humidity (percent)."""

    temp_c: float
    rh_pct: float


class Stamp(NamedTuple):
    """When the air was read: two rows of one stamp are one reading."""

    first: date | None
    last: date
    at_time: str | None

    @property
    def words(self) -> str:
        return f"{day_words(self.last)}, {self.at_time}" if self.at_time else day_words(self.last)


def new_normals(page: Page, place: NamedPlace, rows: Sequence[AirRow]) -> tuple[list[AirRow], list[str]]:
    """The normals that say something new, and what is to be said of those that they replace."""
    if not rows:
        return [], []
    table = METADATA.tables["air"].c
    query = select(table.month, table.temp_c, table.rh_pct).where(table.place_id == place.id, table.month.is_not(None))
    query = query.order_by(table.on_last, table.day_order, table.entry_id, table.row_no)
    known = {month: Values(temp_c, rh_pct) for month, temp_c, rh_pct in page.connection.execute(query)}
    given: dict[int, Values] = {}
    fresh: list[AirRow] = []
    words: list[str] = []
    for row in rows:
        assert row.month is not None
        values = _values(row)
        if (other := given.setdefault(row.month, values)) != values:
            raise Unclear(
                f"month {row.month} of {place.name} stands twice: {_said(other)}, and {_said(values)}.",
                hint="A month has one normal.",
            )
        before = known.get(row.month)
        if before == values:
            continue
        known[row.month] = values
        fresh.append(row)
        if before is not None:
            words.append(f"month {row.month} was {_said(before)}: the new figures count.")
    return fresh, words


def new_readings(
    page: Page, place: NamedPlace, rows: Sequence[AirRow], *, logger: bool
) -> tuple[list[AirRow], list[Stamp]]:
    """The readings that are not on the book, and the stamps at which another value stands."""
    if not rows:
        return [], []
    table = METADATA.tables["air"].c
    query = select(table.on_first, table.on_last, table.at_time, table.temp_c, table.rh_pct).where(
        table.place_id == place.id,
        table.month.is_(None),
        table.on_last >= min(row.on.last for row in rows),
        table.on_last <= max(row.on.last for row in rows),
    )
    known: dict[Stamp, set[Values]] = {}
    for first, day, at_time, temp_c, rh_pct in page.connection.execute(query):
        known.setdefault(Stamp(first, day, at_time), set()).add(Values(temp_c, rh_pct))
    fresh: list[AirRow] = []
    differing: list[Stamp] = []
    for row in rows:
        stamp, values = Stamp(row.on.first, row.on.last, row.at_time), _values(row)
        there = known.setdefault(stamp, set())
        if values in there:
            continue
        if there and (logger or row.at_time):
            differing.append(stamp)
            continue
        there.add(values)
        fresh.append(row)
    return fresh, differing


def _values(row: AirRow) -> Values:
    return Values(float(row.temp.value), float(row.rh.value))


def _said(values: Values) -> str:
    return f"{values.temp_c:.3g} C, {values.rh_pct:g} %"


def gaps(days: Iterable[date]) -> tuple[tuple[date, date], ...]:
    """The first and last day of each time in which there is no reading, the longest first."""
    day = timedelta(days=1)
    read = sorted(set(days))
    found = [(before + day, after - day) for before, after in pairwise(read) if after - before > day]
    return tuple(sorted(found, key=lambda gap: gap[0] - gap[1]))


def repeats(place: str, repeated: int, put: int) -> list[str]:
    """What is said of rows that stood on the book already."""
    if not repeated:
        return []
    if not put:
        return [f"all of it stands on the book of {place} already: nothing was put."]
    return [f"{repeated} stood there already and {'was' if repeated == 1 else 'were'} not put again."]


def differences(stamps: Sequence[Stamp]) -> list[str]:
    """What is said of times at which another value stands."""
    if not stamps:
        return []
    many = f"{len(stamps)} times have" if len(stamps) > 1 else "one time has"
    first = (
        f"{'the first ' if len(stamps) > 1 else ''}{min(stamps, key=lambda one: (one.last, one.at_time or '')).words}"
    )
    return [f"{many} two values ({first}): what stood first was kept."]


def gap_words(gaps: Sequence[tuple[date, date]]) -> list[str]:
    """What is said of the days without a reading."""
    if not gaps:
        return []
    first, last = gaps[0]
    days = [(end - start).days + 1 for start, end in gaps]
    when = f"on {day_words(first)}" if first == last else f"from {day_words(first)} to {day_words(last)}"
    long = f"{days[0]} day{'s' if days[0] > 1 else ''}"
    if len(gaps) == 1:
        return [f"no readings {when} ({long})."]
    others = "another gap" if len(gaps) == 2 else f"{len(gaps) - 1} other gaps"
    return [f"no readings {when} ({long}), and {others}: {sum(days)} days in all."]
