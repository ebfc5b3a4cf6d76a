"""weigh --from: a CSV file of weighings, such as a sheet typed up after the walk, whole or not at all."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from stock import dates, measure
from stock.book import csvfiles
from stock.cli import desk
from stock.cli.about import on_one_line
from stock.cli.telling import wrapped
from stock.dates import day_words
from stock.errors import StockError, Unclear
from stock.quantity import MASS, own_unit
from stock.typed import Typed

if TYPE_CHECKING:
    from stock.dates import Order
    from stock.yard.sheet import WeighLine

COLUMNS = ("piece", "on", "mass")
MORE = ("unit", "scales", "note")
ORDERS: tuple["Order", ...] = ("day-first", "month-first")


def weigh_file(
    name: str, scales: str, encoding: str, delimiter: str, *, insist: bool, note: str, dry_run: bool
) -> None:
    """Put a file of weighings on the book.

    Args:
        name: the file.
        scales: the scales of lines that name none.
        encoding, delimiter: of the file.
        insist: whether doubtful weights are marked as insisted on.
        note, dry_run: as for every verb.

    Raises:
        BadLines: some lines cannot be taken; all of them are named.
        StockError: the file cannot be read.
    """
    from stock.yard.sheet import weigh_many

    here = desk.current()
    sheet = csvfiles.read(Path(name).expanduser(), COLUMNS, MORE, encoding=encoding, delimiter=delimiter)
    lines: list[WeighLine] = []
    unread = dict(sheet.bad)
    reader = Reader(scales)
    for number, cells in sheet.lines:
        try:
            lines.append(reader.line(number, cells))
        except StockError as trouble:
            unread[number] = on_one_line(trouble)
    if not lines and not unread:
        raise Unclear(f"{sheet.name} has no lines below its header.", hint="Nothing was stored.", code="bad-file")
    with here.writing("weigh", note=note, dry_run=dry_run) as page:
        done = weigh_many(page, lines, insist, unread=unread, source=sheet.name)
    here.warn([f"not read: the column {column}" for column in sheet.ignored])
    here.warn(wrapped(warning) for warning in done.warnings)
    last = max(line.on.last for line in lines)
    document = {
        "count": done.count,
        "pieces": list(done.marks),
        "last_on": last,
        "doubtful": done.doubtful,
        "repeated": done.repeated,
        "warnings": list(done.warnings),
    }
    told = [f"{done.count} weighings of {len(done.marks)} pieces, the last of {day_words(last)}"]
    if done.doubtful:
        told.append(f"{done.doubtful} unlike what was expected: kept; look at them above")
    told.append("Next: rick ready, or rick due for what is left to weigh")
    here.tell(document, lambda: told)


def order_of() -> "Order | None":
    """The order of day and month in dates with slashes: as given on the line, else as set in the book.

    Raises:
        Unclear: not such an order.
    """
    asked = desk.current().settings.get("dates")
    if asked is None:
        return None
    found = next((order for order in ORDERS if order == asked.strip().lower()), None)
    if found is None:
        raise Unclear(f'"{asked}" is no order of dates.', hint=f"Known: {', '.join(ORDERS)}.")
    return found


class Reader:
    """Reads the lines of one file; what was read once, a date, a weight, scales, is not read again.

    Args:
        scales: the scales of lines that name none.

    Raises:
        Unclear: not such an order.
    """

    def __init__(self, scales: str) -> None:
        self._here = desk.current()
        self._scales = scales
        self._order = order_of()
        self._southern = self._here.settings.get("hemisphere") == "south"
        self._days: dict[str, dates.When] = {}
        self._masses: dict[tuple[str, str, str], Typed] = {}
        self._units: dict[str, str | None] = {"": self._here.unit("mass")}

    def line(self, number: int, cells: Mapping[str, str]) -> "WeighLine":
        """One line.

        Raises:
            StockError: a cell that is empty or cannot be read.
        """
        from stock.yard.sheet import WeighLine

        for column in COLUMNS:
            if not cells[column]:
                raise Unclear(f"{column} is empty")
        scales = cells.get("scales", "") or self._scales
        written = (cells["mass"], cells.get("unit", ""), scales)
        if written not in self._masses:
            self._masses[written] = self._mass(*written)
        on = self._day(cells["on"])
        return WeighLine(number, cells["piece"], self._masses[written], on, scales, cells.get("note", ""))

    def _mass(self, text: str, unit: str, scales: str) -> Typed:
        if not unit:
            if scales not in self._units:
                self._units[scales] = self._here.unit_of_scales(scales) or self._here.unit("mass")
            return measure.mass(text, self._units[scales])
        if not any(sign.isalpha() for sign in text):
            return measure.mass(f"{text} {unit}")
        own = own_unit(text, MASS)
        if own and own != own_unit(f"1 {unit}", MASS):
            raise Unclear(f'"{text}" has a unit of its own, and the column unit says {unit}')
        return measure.mass(text)

    def _day(self, text: str) -> dates.When:
        if text not in self._days:
            self._days[text] = dates.read(text, self._here.today, order=self._order, southern=self._southern)
        return self._days[text]
