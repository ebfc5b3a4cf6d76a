"""air --from: the air of a place as a logger wrote it down, or the normals of its months, whole or not at all."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median

from stock.book.csvfiles import Sheet
from stock.book.naming import fold
from stock.cli import desk
from stock.cli.about import on_one_line
from stock.cli.air_columns import MONTH, PLACE, Columns, Found, read
from stock.cli.air_stamps import refuse_two_ways, stamp
from stock.cli.weight_files import order_of
from stock.dates import When
from stock.errors import BadLines, Doubtful, StockError, Unclear
from stock.typed import Typed
from stock.yard.airing import FRACTION_PCT, HOT_C, AirRow
from stock.yard.cells import HUMIDITY, TEMP, Cells, Range, Reading
from stock.yard.cells import MONTH as A_MONTH

TEMP_F = Range(-76, 176, "the air is -76 to 176 degF")
SHOWN = 50  # how many bad lines are told of
NOTHING = frozenset(("", "-", "--", "---", "n/a", "na", "#n/a", "null", "none", "err", "error", "missing"))
FEW = 24  # too few readings to doubt a whole column
COLD_C = -5.0  # the middle of a column of degF that was degC would lie below
_COMMA = re.compile(r"([+-]?[0-9]{1,3}),([0-9]+)")
_OWN_UNIT = re.compile(r"\s*(?:°|º|deg\s*)?(?P<unit>[CF])$", re.IGNORECASE)
_OWN_PERCENT = re.compile(r"\s*%\s*(?:RH)?$", re.IGNORECASE)


@dataclass
class Read:
    """The readings of a file, and how many of its lines hold none."""

    rows: list[AirRow] = field(default_factory=list)
    empty: int = 0


def air_rows(
    path: Path, place: str, encoding: str, delimiter: str, *, columns: Columns | None = None, insist: bool
) -> Read:
    """The air of one place from a CSV file: each line a day (and a time of day, as loggers write it) or a month.

    Args:
        path: the file.
        place: the place that is meant; a column `place` may only repeat it.
        encoding, delimiter: of the file.
        columns: its columns, if they are not on (or month), temp_c and rh_pct.
        insist: whether air hotter than a shed ever is, or as dry as a fraction would be, is taken all the same, and
            lines that lack one of the two values are left out.

    Raises:
        BadLines: some lines cannot be taken; they are named.
        Doubtful: a whole column looks like another thing than it should hold.
        StockError: the file cannot be read, or mixes days and months.
    """
    here = desk.current()
    sheet, found = read(path, columns or Columns(), encoding, delimiter)
    reader = _Reader(sheet, found, place, insist=insist)
    told = Read()
    bad = dict(sheet.bad)
    for line in sheet.lines:
        if reader.is_empty(line.cells):
            told.empty += 1
            continue
        try:
            told.rows.append(reader.row(line.cells))
        except StockError as trouble:
            bad[line.number] = on_one_line(trouble)
    if not insist:
        _doubt_columns(sheet, found, reader)
    if bad:
        raise _bad_lines(sheet, bad)
    if not told.rows:
        what = "no reading in its lines" if told.empty else "no lines below its header"
        raise Unclear(f"{sheet.name} has {what}.", hint="Nothing was stored.", code="bad-file")
    here.warn(f"not read: the column {column}" for column in sheet.ignored)
    return told


def _bad_lines(sheet: Sheet, bad: Mapping[int, str]) -> BadLines:
    lines = [f"line {number}: {text}" for number, text in sorted(bad.items())]
    if len(lines) > SHOWN:
        lines = [*lines[:SHOWN], f"and {len(lines) - SHOWN} more lines"]
    count = len(sheet.lines) + len(sheet.bad)
    return BadLines(f"{sheet.name}, {len(bad)} of {count} lines cannot be taken; nothing stored.", lines)


def _doubt_columns(sheet: Sheet, found: Found, reader: "_Reader") -> None:
    """Refuse a file of which a whole column is likely another thing: fractions, swapped columns, another unit."""
    if len(reader.temps_c) < FEW:
        return
    temp_c, rh_pct = median(reader.temps_c), median(reader.rhs_pct)
    about = f"{sheet.name}: half of the column"
    if rh_pct <= FRACTION_PCT:
        hint = "In the spreadsheet: multiply it by 100."
        raise Unclear(f"{about} {found.rh} is below {rh_pct:.2g}: fractions, not percent.", hint=hint)
    if temp_c > HOT_C:
        hint = "Swapped with the humidity, or in F (--temp-unit F)? If it is right: --insist."
        raise Doubtful(f"{about} {found.temp} is above {temp_c:.0f} C.", hint=hint)
    if found.unit == "F" and temp_c < COLD_C:
        hint = "In C (--temp-unit C)? If it is right: --insist."
        raise Doubtful(f"{about} {found.temp} is below {temp_c:.0f} C, read as F.", hint=hint)


class _Reader:
    """Reads the lines of one file; a day that was read once is not read again."""

    def __init__(self, sheet: Sheet, found: Found, place: str, *, insist: bool) -> None:
        here = desk.current()
        self._found, self._place, self._insist = found, place, insist
        order = order_of()
        if order is None and not found.by_month:
            refuse_two_ways(sheet.name, ((line.number, line.cells[found.day]) for line in sheet.lines))
        self._reading = Reading(here.today, order, here.settings.get("hemisphere") == "south")
        self._days: dict[str, When] = {}
        self.temps_c: list[float] = []
        self.rhs_pct: list[float] = []

    def is_empty(self, cells: Mapping[str, str]) -> bool:
        """Whether a line holds a time and no reading, as loggers leave gaps; or only half of one, if insisted on."""
        lacks = [cells[name].casefold() in NOTHING for name in (self._found.temp, self._found.rh)]
        return bool(cells[self._found.day]) and (all(lacks) or (self._insist and any(lacks)))

    def row(self, cells: Mapping[str, str]) -> AirRow:
        """One line.

        Raises:
            StockError: a cell that is empty or cannot be read.
        """
        found = self._found
        day, time = cells[found.day], ""
        if not found.by_month:
            day, time = stamp(day, cells[found.time] if found.time else "", self._reading.order)
        plain = {
            **cells,
            found.day: day,
            found.temp: self._temp(cells[found.temp]),
            found.rh: self._rh(cells[found.rh]),
        }
        line = Cells(plain, self._reading, self._days)
        if line.text(PLACE) and fold(line.text(PLACE)) != fold(self._place):
            raise Unclear(f'it is of "{line.text(PLACE)}", not of {self._place}')
        temp, rh = self._air(line, cells)
        if found.by_month:
            month = line.whole(MONTH, A_MONTH)
            if month is None:
                raise Unclear("month is empty")
            return AirRow(When(self._reading.today, self._reading.today, "today"), temp, rh, month)
        return AirRow(line.needed_day(found.day), temp, rh, at_time=time or None)

    def _air(self, line: Cells, cells: Mapping[str, str]) -> tuple[Typed, Typed]:
        found = self._found
        temp = line.needed_number(found.temp, TEMP_F if found.unit == "F" else TEMP)
        if found.unit == "F":
            temp = Typed((temp.value - 32) / 1.8, f"{cells[found.temp]} F", (temp.plus_minus or 0.0) / 1.8)
        rh = line.needed_number(found.rh, HUMIDITY)
        self.temps_c.append(temp.value)
        self.rhs_pct.append(rh.value)
        if temp.value > HOT_C and not self._insist:
            unit = "degF" if found.unit == "F" else "degC"
            raise Unclear(f'{found.temp} "{cells[found.temp]}": so hot? The column is {unit}', hint=_IF_RIGHT)
        if rh.value <= FRACTION_PCT and not self._insist:
            raise Unclear(f'{found.rh} "{rh.text}": a fraction? The column is percent', hint=_IF_RIGHT)
        return temp, rh

    def _temp(self, text: str) -> str:
        own = _OWN_UNIT.search(text) if self._found.own_units else None
        if own and any(sign.isdigit() for sign in text):
            if self._found.unit and own["unit"].upper() != self._found.unit:
                raise Unclear(f'{self._found.temp} "{text}" has a unit of its own; the column is {self._found.unit}')
            text = text[: own.start()]
        return _decimal(text)

    def _rh(self, text: str) -> str:
        return _decimal(_OWN_PERCENT.sub("", text) if self._found.own_units else text)


_IF_RIGHT = "If it is right: --insist."


def _decimal(text: str) -> str:
    """A number with its decimal comma as a point: no air has thousands of degrees or percents."""
    found = _COMMA.fullmatch(text)
    return f"{found[1]}.{found[2]}" if found else text
