"""The air of a place: a reading, the normals of twelve months, or what a logger wrote down."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import isfinite

from stock.book.journal import Page
from stock.book.records import Air
from stock.dates import When
from stock.errors import Doubtful, Impossible
from stock.typed import Typed
from stock.wood.air import emc_or_edge
from stock.yard.air_rows import AirRow, differences, gap_words, gaps, new_normals, new_readings, repeats
from stock.yard.places import find_or_make
from stock.yard.values import dated, percent, said, texts

__all__ = ["AirRow", "Aired", "air", "air_many"]

TEMP_C = (-60.0, 80.0)  # colder and warmer air is a slip of the unit
HOT_C = 45.0
FRACTION_PCT = 1.0  # humidity up to here is a fraction of 1 typed for percent


@dataclass(frozen=True, slots=True)
class Aired:
    """Air that is on the book now.

    Attributes:
        place: its name; new_places: what of it was made.
        count: how many readings or normals were put.
        temp_c, rh_pct, emc_pct: of the last of them: degC, percent, and the moisture at which it keeps wood, percent.
        warnings: what the person should know.
        repeated: how many stood on the book already, or twice in the file, and were not put again.
        differing: how many stand there with other values: what stood first was kept.
        gaps: the days between which a logger wrote nothing, first and last, longest first.
    """

    place: str
    new_places: tuple[str, ...]
    count: int
    temp_c: float
    rh_pct: float
    emc_pct: float
    warnings: tuple[str, ...]
    repeated: int = 0
    differing: int = 0
    gaps: tuple[tuple[date, date], ...] = ()


def air(
    page: Page, *, place: str, on: When, temp: Typed, rh: Typed, month: int | None = None, insist: bool = False
) -> Aired:
    """Put the air of a place on the book.

    Args:
        page: the page that is being written.
        place: its name; a new one is made, and said.
        on: the day of a reading.
        temp: temperature, degC.
        rh: relative humidity, percent.
        month: 1 to 12 for what is normal there in that month of any year; None for a reading.
        insist: whether doubtful air is taken all the same.

    Raises:
        Impossible: a temperature, humidity or month that cannot be.
        Doubtful: hotter than 45 C, or a humidity that looks like a fraction.
    """
    return air_many(page, place, [AirRow(on, temp, rh, month)], insist=insist)


def air_many(page: Page, place: str, rows: Sequence[AirRow], *, logger: bool = False, insist: bool = False) -> Aired:
    """Put many readings of one place on the book, as from a logger, or its twelve months.

    What stands on the book already is not put again: the same values at the same time are the same reading, so that a
    logger's file may be brought in again when it has grown. Of two values at one time of a logger, or of one clock
    time, the first is kept. Of two normals of a month the newer counts.

    Args:
        page: the page that is being written.
        place: its name; a new one is made, and said.
        rows: the readings, at least one.
        logger: whether a logger wrote them.
        insist: whether doubtful air is taken all the same.

    Raises:
        Impossible, Doubtful: as `air`, for the first row that cannot be.
        Unclear: two normals of one month among the rows, with other values.
    """
    if not rows:
        raise Impossible(f"no air of {place} was given.", hint="One reading at least: temperature and humidity.")
    for row in rows:
        _check(place, row, insist)
    found, made = find_or_make(page, place, min(rows, key=lambda row: row.on.last).on)
    normals, replaced = new_normals(page, found, [row for row in rows if row.month is not None])
    readings = [row for row in rows if row.month is None]
    fresh, differing = new_readings(page, found, readings, logger=logger)
    put = [*normals, *fresh]
    page.put_all([_row(found.id, row, logger=logger) for row in put])
    last = max(rows, key=lambda row: (row.on.last, row.at_time or ""))
    emc, at_edge = emc_or_edge(last.temp.value, last.rh.value)
    missing = gaps(row.on.last for row in readings) if logger else ()
    repeated = len(rows) - len(put) - len(differing)
    warnings = [f"{name} is new on the book." for name in made]
    if at_edge:
        warnings.append(f"{last.temp.value:.0f} C is beyond the handbook's table: its edge is taken.")
    warnings += [*replaced, *repeats(found.name, repeated, len(put)), *differences(differing), *gap_words(missing)]
    return Aired(
        place=found.name,
        new_places=made,
        count=len(put),
        temp_c=last.temp.value,
        rh_pct=last.rh.value,
        emc_pct=emc,
        warnings=tuple(warnings),
        repeated=repeated,
        differing=len(differing),
        gaps=missing,
    )


def _row(place_id: int, row: AirRow, *, logger: bool) -> Air:
    typed = texts(temp_c=row.temp, rh_pct=row.rh)
    if logger:  # what a number says of itself is not kept a second time, sixty thousand times over
        plain = {"temp_c": f"{row.temp.value:g}", "rh_pct": f"{row.rh.value:g}"}
        typed = {field: text for field, text in typed.items() if text != plain[field]}
    return Air(
        place_id=place_id,
        source="normals" if row.month is not None else "logger" if logger else "reading",
        month=row.month,
        at_time=row.at_time,
        temp_c=row.temp.value,
        rh_pct=row.rh.value,
        typed=typed,
        **dated(row.on),
    )


def _check(place: str, row: AirRow, insist: bool) -> None:
    temp_c = float(row.temp.value)
    if not (isfinite(temp_c) and TEMP_C[0] <= temp_c <= TEMP_C[1]):
        raise Impossible(
            f'{place}: air of "{said(row.temp)}" ({temp_c:.0f} C) cannot be.', hint="Is the unit right, F or C?"
        )
    rh_pct = percent("a humidity", row.rh, place)
    if row.month is not None and not 1 <= row.month <= 12:
        raise Impossible(f"{place}: there is no month {row.month}.", hint="Months are 1 to 12.")
    if insist:
        return
    if temp_c > HOT_C:
        raise Doubtful(f'{place}: "{said(row.temp)}" is {temp_c:.0f} C.', hint="Meant in F? Look again, or insist.")
    if rh_pct <= FRACTION_PCT:
        hint = "45 %, not 0.45? Look again, or insist."
        raise Doubtful(f'{place}: a humidity of "{said(row.rh)}" would be {rh_pct:g} %.', hint=hint)
