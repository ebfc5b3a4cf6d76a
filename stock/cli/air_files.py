"""air --from: the air of a place as a logger wrote it down, or the normals of its months, whole or not at all."""

import re
from collections.abc import Mapping
from pathlib import Path

from stock.book import csvfiles
from stock.book.naming import fold
from stock.cli import desk
from stock.cli.about import on_one_line
from stock.cli.weight_files import order_of
from stock.dates import When
from stock.errors import BadLines, StockError, Unclear
from stock.yard.airing import FRACTION_PCT, HOT_C, AirRow
from stock.yard.cells import HUMIDITY, MONTH, TEMP, Cells, Reading

NEEDED = ("temp_c", "rh_pct")
MORE = ("on", "month", "place")
_WITH_TIME = re.compile(
    r"([0-9]{4}-[0-9]{2}-[0-9]{2})[T ]([0-9]{2}:[0-9]{2})(?::[0-9]{2}(?:[.][0-9]+)?)?(?:Z|[+-][0-9:]+)?"
)


def air_rows(path: Path, place: str, encoding: str, delimiter: str, *, insist: bool) -> list[AirRow]:
    """The air of one place from a CSV file: each line a day (and a time of day, as loggers write it) or a month.

    Args:
        path: the file.
        place: the place that is meant; a column `place` may only repeat it.
        encoding, delimiter: of the file.
        insist: whether air hotter than a shed ever is, or as dry as a fraction would be, is taken all the same.

    Raises:
        BadLines: some lines cannot be taken; all of them are named.
        StockError: the file cannot be read, or mixes days and months.
    """
    here = desk.current()
    sheet = csvfiles.read(path, NEEDED, MORE, encoding=encoding, delimiter=delimiter)
    kinds = [column for column in ("on", "month") if column in sheet.columns]
    if len(kinds) != 1:
        has = "both columns on and month" if kinds else "neither a column on nor a column month"
        raise Unclear(f"{sheet.name} has {has}.", hint="A reading has its day, a normal its month.", code="bad-file")
    reading = Reading(here.today, order_of(), here.settings.get("hemisphere") == "south")
    known: dict[str, When] = {}
    rows: list[AirRow] = []
    bad = dict(sheet.bad)
    for number, cells in sheet.lines:
        try:
            rows.append(_row(cells, place, kinds[0], reading, known, insist=insist))
        except StockError as trouble:
            bad[number] = on_one_line(trouble)
    if bad:
        told = [f"line {number}: {text}" for number, text in sorted(bad.items())]
        count = len(sheet.lines) + len(sheet.bad)
        raise BadLines(f"{sheet.name}, {len(bad)} of {count} lines cannot be taken; nothing stored.", told)
    if not rows:
        raise Unclear(f"{sheet.name} has no lines below its header.", hint="Nothing was stored.", code="bad-file")
    here.warn(f"not read: the column {column}" for column in sheet.ignored)
    return rows


def _row(
    cells: Mapping[str, str], place: str, kind: str, reading: Reading, known: dict[str, When], *, insist: bool
) -> AirRow:
    found = _WITH_TIME.fullmatch(cells.get("on", ""))
    line = Cells({**cells, "on": found[1]} if found else cells, reading, known)
    if line.text("place") and fold(line.text("place")) != fold(place):
        raise Unclear(f'it is of "{line.text("place")}", not of {place}')
    temp, rh = line.needed_number("temp_c", TEMP), line.needed_number("rh_pct", HUMIDITY)
    if temp.value > HOT_C and not insist:
        raise Unclear(f'temp_c "{temp.text}": so hot? The column is degC', hint="If it is right: --insist.")
    if 0 < rh.value <= FRACTION_PCT and not insist:
        raise Unclear(f'rh_pct "{rh.text}": a fraction? The column is percent', hint="If it is right: --insist.")
    if kind == "month":
        month = line.whole("month", MONTH)
        if month is None:
            raise Unclear("month is empty")
        return AirRow(When(reading.today, reading.today, "today"), temp, rh, month)
    return AirRow(line.needed_day("on"), temp, rh, at_time=found[2] if found else None)
