"""air: one reading, a month's normal, a file of either, and the reference block of a place."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from stock import measure
from stock.book.naming import fold
from stock.cli import desk
from stock.cli.about import about, whole
from stock.cli.air_columns import Columns
from stock.cli.air_lines import (
    air_document,
    block_document,
    block_lines,
    file_lines,
    known_document,
    known_lines,
    one_line,
)
from stock.cli.telling import tell, way_to_insist, when
from stock.errors import Misused
from stock.survey.airs import PlaceAir
from stock.wood.air import emc_or_edge
from stock.wood.daily_air import day_emc_pct

if TYPE_CHECKING:
    from stock.book.journal import Page
    from stock.dates import When
    from stock.yard.airing import AirRow

MANY = 5_000  # rows of a file that take a while


@dataclass(frozen=True, slots=True)
class Words:
    """What was typed of one reading; empty if nothing."""

    temp: str
    rh: str
    month: str
    on: str


@dataclass(frozen=True, slots=True)
class File:
    """A file of air, and how it is written."""

    path: Path
    columns: Columns
    encoding: str
    delimiter: str


def store_one(place: str, words: Words, *, insist: bool, note: str, dry_run: bool) -> None:
    """Put one reading, or the normal of a month, on the book."""
    from stock.yard import airing

    here = desk.current()
    day = here.day(words.on)
    with about(place):
        temp, rh = here.temp(words.temp), measure.percent(words.rh) if words.rh else None
        month = whole("--month", words.month)
    if temp is None or rh is None:
        raise Misused(f"{place}: temperature and humidity are wanted.", hint=f'rick air "{place}" --temp 15C --rh 65%')
    row = airing.AirRow(day, temp, rh, month)
    with here.writing("air", note=note, dry_run=dry_run) as page, way_to_insist():
        done = airing.air_many(page, place, [row], insist=insist)
        known = _known(page, done.place, day)
    tell(
        {**air_document(done, [row], [done.emc_pct]), **known_document(known)},
        lambda: [one_line(done, row, when(day)), *known_lines(known)],
        on=day,
        dry_run=dry_run,
        warnings=done.warnings,
        verb="air",
    )


def store_file(place: str, file: File, words: Words, *, insist: bool, note: str, dry_run: bool) -> None:
    """Put what a logger wrote down, or the normals of months, on the book."""
    from stock.cli.air_files import air_rows
    from stock.yard import airing

    if any((words.temp, words.rh, words.month, words.on)):
        raise Misused("a file has its own air and dates.", hint="Give --from alone.")
    here = desk.current()
    with way_to_insist():
        read = air_rows(file.path, place, file.encoding, file.delimiter, columns=file.columns, insist=insist)
    if len(read.rows) > MANY:
        here.say(f"{len(read.rows)} readings; that takes some seconds ...")
    day = here.day(None)
    with here.writing("air", note=note, dry_run=dry_run) as page, way_to_insist():
        done = airing.air_many(page, place, read.rows, logger=read.rows[0].month is None, insist=insist)
        known = _known(page, done.place, day)
    days = _daily_emc(read.rows)
    empty = (f"{read.empty} lines without a reading were left out.",) if read.empty else ()
    tell(
        {**air_document(done, read.rows, days), "lines_without_reading": read.empty, **known_document(known)},
        lambda: [*file_lines(done, read.rows, days), *known_lines(known)],
        on=day,
        dry_run=dry_run,
        warnings=(*done.warnings, *empty),
        verb="air",
    )


def store_block(place: str, piece: str, dry: str, day: "When", *, insist: bool, note: str, dry_run: bool) -> None:
    """Make a piece the reference block of a place."""
    from stock.yard.reference_blocks import reference_block

    here = desk.current()
    with about(piece):
        dry_mass = here.mass(dry)
    with here.writing("air", note=note, dry_run=dry_run) as page, way_to_insist():
        done = reference_block(page, piece=piece, place=place, on=day, dry=dry_mass, insist=insist)
        known = _known(page, done.place, day)
    tell(
        {**block_document(done), **known_document(known)},
        lambda: block_lines(done),
        on=day,
        dry_run=dry_run,
        warnings=done.warnings,
        verb="air",
    )


def _known(page: "Page", place: str, day: "When") -> PlaceAir | None:
    """What all that is on the book, with this entry, says of the air of a place."""
    here = desk.current()
    reckoning, _ = here.reckoning(page, [], max(day.last, here.today))
    place_id = next(one.id for one in reckoning.facts.places.values() if fold(one.name) == fold(place))
    return reckoning.air(place_id)


def _daily_emc(rows: Sequence["AirRow"]) -> list[float]:
    """The moisture at which the air of each day of a file, or of each month, keeps wood."""
    found: dict[object, list[AirRow]] = {}
    for row in rows:
        found.setdefault(row.month or row.on.last, []).append(row)
    return [_of_day(some) for some in found.values()]


def _of_day(rows: Sequence["AirRow"]) -> float:
    temps, rhs = [row.temp.value for row in rows], [row.rh.value for row in rows]
    mean_c, mean_pct = sum(temps) / len(rows), sum(rhs) / len(rows)
    swing = (sum((rh - mean_pct) ** 2 for rh in rhs) / len(rows)) ** 0.5
    return day_emc_pct(mean_c, mean_pct, swing)[0] if len(rows) > 1 else emc_or_edge(mean_c, mean_pct)[0]
