"""Which columns of a logger's file hold the day, the temperature and the humidity, and in which unit."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from stock.book import csvfiles
from stock.book.csvfiles import Sheet
from stock.errors import StockError, Unclear

ON, TEMP, RH, MONTH, PLACE = "on", "temp_c", "rh_pct", "month", "place"
UNITS = ("C", "F")
_UNIT = re.compile(r"(?:^|[\W_])(?:deg_?)?(c|f|celsius|fahrenheit)(?=\W*$)")
_LIKELY = {
    "--on-column": re.compile(r"date|time|stamp"),
    "--temp-column": re.compile(r"temp|°"),
    "--rh-column": re.compile(r"hum|rh"),
}
_OTHER = {";": "semicolons", "\t": "tabs", "|": "bars"}


@dataclass(frozen=True, slots=True)
class Columns:
    """The columns of a file by what they hold; empty is the usual name, or no such column.

    `unit` is C or F as given; empty takes the unit that stands in the column's name.
    """

    on: str = ""
    time: str = ""
    temp: str = ""
    rh: str = ""
    unit: str = ""

    @property
    def given(self) -> bool:
        return any((self.on, self.time, self.temp, self.rh, self.unit))


@dataclass(frozen=True, slots=True)
class Found:
    """The columns of a file that was read: their names there, and the unit of the temperature.

    `own_units` tells whether the cells may carry a unit, as a logger writes them; not so under our own names.
    """

    day: str
    time: str
    temp: str
    rh: str
    unit: str
    by_month: bool
    own_units: bool


def read(path: Path, asked: Columns, encoding: str, delimiter: str) -> tuple[Sheet, Found]:
    """The lines of a file of air, and which of its columns are what.

    Args:
        path: the file.
        asked: its columns, as far as they are not the usual ones.
        encoding, delimiter: of the file.

    Raises:
        StockError: the file cannot be read, lacks a column, mixes days and months, or no unit is known.
    """
    day, time, temp, rh = (_folded(name) for name in (asked.on, asked.time, asked.temp or TEMP, asked.rh or RH))
    needed = [name for name in (day, time, temp, rh) if name]
    more = [PLACE] if day else [ON, MONTH, PLACE]
    try:
        sheet = csvfiles.read(path, needed, more, encoding=encoding, delimiter=delimiter)
    except StockError as trouble:
        raise _with_way(trouble, path, encoding, delimiter) from None
    if not day:
        kinds = [column for column in (ON, MONTH) if column in sheet.columns]
        if len(kinds) != 1:
            has = "both columns on and month" if kinds else "neither a column on nor a column month"
            hint = "A reading has its day, a normal its month. Another name: --on-column NAME."
            raise Unclear(f"{sheet.name} has {has}.", hint=hint, code="bad-file")
        day = kinds[0]
    own = bool(asked.temp or asked.rh or asked.unit)
    unit = _unit(sheet, temp, asked.unit)
    return sheet, Found(day, time, temp, rh, unit, by_month=day == MONTH and not asked.on, own_units=own)


def _unit(sheet: Sheet, column: str, asked: str) -> str:
    """The unit of the temperatures: as given, as the column's name has it, or as the cells themselves do."""
    given = asked.strip().upper()
    if given and given not in UNITS:
        raise Unclear(f'"{asked}" is no unit of temperature.', hint="Known: C, F.")
    named = _UNIT.search(column)
    by_name = named[1][0].upper() if named else ""
    if given and by_name and given != by_name:
        raise Unclear(
            f"{sheet.name}: the column {column} says {by_name}, and --temp-unit says {given}.", hint="Leave one out."
        )
    if given or by_name:
        return given or by_name
    filled = (cells[column] for _, cells in sheet.lines if any(sign.isdigit() for sign in cells[column]))
    if of_cells := re.search(r"[cf]$", next(filled, ""), re.IGNORECASE):
        return of_cells[0].upper()
    raise Unclear(f"{sheet.name}: nothing says in which unit the column {column} is.", hint="Give --temp-unit C, or F.")


def _with_way(trouble: StockError, path: Path, encoding: str, delimiter: str) -> StockError:
    """The refusal of a file without our columns, with the options that name its own."""
    if "lacks the column" not in trouble.message:
        return trouble
    columns = csvfiles.read(path, (), encoding=encoding, delimiter=delimiter).columns
    if len(columns) == 1 and (mark := next((sign for sign in _OTHER if sign in columns[0]), "")):
        parts = [_folded(part.strip(' "')) for part in columns[0].split(mark)]
        word = "tab" if mark == "\t" else f'"{mark}"'
        return Unclear(
            f"{path.name} is written with {_OTHER[mark]}, not commas.",
            hint=f"Give --delimiter {word} {_options(parts)}",
            code="bad-file",
        )
    hint = f"Say which is which: {_options(columns)}"
    return Unclear(trouble.message, hint=hint, code="bad-file")


def _options(columns: Sequence[str]) -> str:
    """The options that name the columns of a file, each with the likeliest column."""
    left = list(columns)
    said: list[str] = []
    for option, likely in _LIKELY.items():
        found = next((name for name in left if likely.search(name)), "")
        if found:
            left.remove(found)
        said.append(f'{option} "{found}"' if found else f"{option} NAME")
    return " ".join(said)


def _folded(text: str) -> str:
    """The name of a column as files are read: without case, spaces and dashes as underscores."""
    return re.sub(r"[\s_\-]+", "_", text.strip().casefold())
