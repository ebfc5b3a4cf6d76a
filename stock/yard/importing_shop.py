"""What a notebook says of the shop itself: settings, scales, places and their air."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from stock.book.csvfiles import Sheet
from stock.book.facts import settings
from stock.book.journal import Page
from stock.book.naming import NamedPlace, Names, fold
from stock.book.records import Place
from stock.book.records.places import COVERS
from stock.dates import Order, When
from stock.errors import StockError, Unclear
from stock.typed import Typed
from stock.yard import cells as c
from stock.yard.airing import HOT_C, AirRow, air_many
from stock.yard.cells import Cells, Reading
from stock.yard.importing_lines import At, Bad
from stock.yard.moving import place
from stock.yard.places import find_or_make
from stock.yard.scaling import UNITS, scales, scales_check
from stock.yard.settling import setting


@dataclass(frozen=True, slots=True)
class SettingLine:
    """A line of settings.csv."""

    at: At
    name: str
    value: str
    on: When


@dataclass(frozen=True, slots=True)
class ScalesLine:
    """A line of scales.csv."""

    at: At
    name: str
    unit: str | None
    step: Typed | None
    capacity: Typed | None


@dataclass(frozen=True, slots=True)
class ScalesCheckLine:
    """A line of scale_checks.csv."""

    at: At
    name: str
    on: When
    true: Typed
    read: Typed


@dataclass(frozen=True, slots=True)
class PlaceLine:
    """A line of places.csv."""

    at: At
    name: str
    cover: str | None
    walk_no: int | None
    note: str


@dataclass(frozen=True, slots=True)
class AirLine:
    """A line of air.csv: a dated reading, or the normal of a month."""

    at: At
    place: str
    row: AirRow


def reading_of(page: Page, sheet: Sheet | None, order: Order | None) -> Reading:
    """How the dates of a folder are read: as told, else as its settings say, else as those of the book do."""
    if order not in (None, "day-first", "month-first"):
        raise Unclear(f'"{order}" is not an order of dates.', hint="Known: day-first, month-first.")
    known = settings(page.connection, page.today)
    for _, texts in sheet.lines if sheet else ():
        known[texts.get("name", "")] = texts.get("value", "")
    said = known.get("dates", "")
    if order is None and said == "day-first":
        order = "day-first"
    if order is None and said == "month-first":
        order = "month-first"
    return Reading(page.today, order, known.get("hemisphere") == "south")


def setting_line(at: At, cells: Cells) -> SettingLine:
    """A line of settings.csv."""
    return SettingLine(at, cells.needed("name"), cells.needed("value"), cells.needed_day("on"))


def scales_line(at: At, cells: Cells) -> ScalesLine:
    """A line of scales.csv."""
    step, capacity = cells.number("step_g", c.MASS), cells.number("capacity_g", c.MASS)
    return ScalesLine(at, cells.needed("scales"), cells.word("unit", UNITS) or None, step, capacity)


def scales_check_line(at: At, cells: Cells) -> ScalesCheckLine:
    """A line of scale_checks.csv."""
    true, shown = cells.needed_number("true_g", c.MASS), cells.needed_number("read_g", c.MASS)
    return ScalesCheckLine(at, cells.needed("scales"), cells.needed_day("on"), true, shown)


def place_line(at: At, cells: Cells) -> PlaceLine:
    """A line of places.csv."""
    cover = cells.word("cover", COVERS) or None
    return PlaceLine(at, cells.needed("place"), cover, cells.whole("walk_no"), cells.text("note"))


def air_line(today: date) -> Callable[[At, Cells], AirLine]:
    """How a line of air.csv is read; a normal has no day of its own."""

    def read(at: At, cells: Cells) -> AirLine:
        on, month = cells.day("on"), cells.whole("month", c.MONTH)
        if (on is None) == (month is None):
            raise Unclear("either on is a date, of a reading, or month is 1 to 12, for what is normal in that month")
        temp, rh = cells.needed_number("temp_c", c.TEMP), cells.needed_number("rh_pct", c.HUMIDITY)
        if 0 < rh.value <= 1:
            raise Unclear(f'rh_pct "{rh.text}": percent is wanted, 45 rather than 0.45')
        when = on or When(today, today, "")
        return AirLine(at, cells.needed("place"), AirRow(when, temp, rh, month, cells.text("at_time") or None))

    return read


def put_places(
    page: Page, lines: Sequence[PlaceLine], used: Iterable[tuple[str, When, At]], bad: Bad
) -> dict[str, NamedPlace]:
    """Put the places of a folder on the book: those described, and those only named in passing.

    Args:
        page: the page that is being written.
        lines: those described.
        used: every place named elsewhere, with its day and line.
        bad: where the lines go that name no place.

    Returns:
        The places by their names as written.
    """
    first: dict[str, When] = {}
    where: dict[str, list[At]] = defaultdict(list)
    for name, on, at in used:
        where[name].append(at)
        if name not in first or on.last < first[name].last:
            first[name] = on
    found: dict[str, NamedPlace] = {}
    for line in lines:
        try:
            on = first.get(line.name, When(page.today, page.today, ""))
            kept = place(page, name=line.name, on=on, cover=line.cover, walk_no=line.walk_no)
            row = page.session.get(Place, kept.id)
            if line.note and row is not None:
                row.typed = {**row.typed, "note": line.note}
        except StockError as trouble:
            bad.add(line.at, trouble)
    for name, on in sorted(first.items(), key=lambda one: one[1].last):
        try:
            found[name] = find_or_make(page, name, on)[0]
        except StockError as trouble:
            for at in where[name]:
                bad.add(at, trouble)
    return found


def put_air(page: Page, lines: Sequence[AirLine], bad: Bad) -> list[str]:
    """Put the air of places; normals that contradict each other are bad lines.

    Returns:
        What the person should know.
    """
    normals: dict[tuple[str, int], AirLine] = {}
    by_place: dict[str, list[AirRow]] = defaultdict(list)
    warnings: list[str] = []
    for line in lines:
        row = line.row
        if row.month is not None:
            key = (fold(line.place), row.month)
            if (other := normals.get(key)) is not None:
                if (other.row.temp.value, other.row.rh.value) != (row.temp.value, row.rh.value):
                    bad.add(line.at, f"month {row.month} of {line.place} stands on {other.at}, with other air")
                continue
            normals[key] = line
        if row.temp.value > HOT_C:
            warnings.append(f'{line.at}: temp_c "{row.temp.text}" is hot for {line.place}; in F?')
        by_place[line.place].append(row)
    for name, rows in by_place.items():
        try:
            done = air_many(page, name, rows, insist=True)
            if done.differing:
                warnings.append(f"air of {done.place}: {done.differing} times have two values; the first was kept.")
        except StockError as trouble:
            bad.add(next(line.at for line in lines if line.place == name), trouble)
    return warnings


def put_scales(
    page: Page, lines: Sequence[ScalesLine], checks: Sequence[ScalesCheckLine], used: Mapping[str, list[At]], bad: Bad
) -> list[str]:
    """Put the scales of a folder on the book; those only named with a weight are made, without a step.

    Returns:
        What the person should know.
    """
    today = When(page.today, page.today, "")
    for line in lines:
        try:
            scales(page, name=line.name, on=today, step=line.step, unit=line.unit, capacity=line.capacity)
        except StockError as trouble:
            bad.add(line.at, trouble)
    for check in checks:
        try:
            scales_check(page, name=check.name, true=check.true, read=check.read, on=check.on, insist=True)
        except StockError as trouble:
            bad.add(check.at, trouble)
    warnings: list[str] = []
    names = Names(page.connection)
    for name, where in used.items():
        try:
            names.scales(name)
        except StockError:
            if not any(character.isalpha() for character in name):
                for at in where:
                    bad.add(at, f'scales "{name}" is no name of scales; is a decimal comma behind mass_g?')
                continue
            scales(page, name=name, on=today)
            warnings.append(f'the scales "{name}" are new on the book, their step is not known: rick scales "{name}".')
    return warnings


def put_settings(page: Page, lines: Sequence[SettingLine], bad: Bad) -> None:
    """Put the settings of a folder on the book."""
    for line in lines:
        try:
            setting(page, name=line.name, value=line.value, on=line.on)
        except StockError as trouble:
            bad.add(line.at, trouble)
