"""`book.json`: every row of every table, complete, so that a book can be put back from it as it was.

`{"format": "rickyard-book", "step": 1, "tables": {name: [row, ...]}}`: a row is an object with one member a column;
dates are ISO 8601. Every row stands on a line of its own.
"""

import contextlib
import json
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from sqlalchemy import Column, Connection, Table, select
from sqlmodel import JSON, AutoString

from stock.book import opening
from stock.book.records import FACTS, METADATA
from stock.errors import BookTrouble, StockError, Unclear

FILE = "book.json"
FORMAT = "rickyard-book"
MOST_BYTES = 1024 * 1024 * 1024
TABLES = ("book", "series", "entry", "change", *(str(kind.__tablename__) for kind in FACTS))
_KINDS: dict[type, type] = {AutoString: str, JSON: dict}  # the other columns tell it themselves

Rows = Mapping[str, Sequence[Mapping[str, Any]]]


def everything(connection: Connection) -> dict[str, list[dict[str, Any]]]:
    """Every row of every table, in the order of their keys: two books are equal if these are."""
    found: dict[str, list[dict[str, Any]]] = {}
    for name in TABLES:
        table = METADATA.tables[name]
        rows = connection.execute(select(table).order_by(*table.primary_key.columns)).mappings()
        found[name] = [dict(row) for row in rows]
    return found


def write_whole(path: Path, tables: Rows) -> None:
    """Write every row, one a line, so that two exports can be compared by eye."""
    with path.open("w", encoding="utf-8", newline="\n") as file:
        file.write(f'{{"format": "{FORMAT}", "step": {opening.STEP}, "tables": {{')
        for number, (name, rows) in enumerate(tables.items()):
            file.write(f'{"," if number else ""}\n"{name}": [')
            for row_number, row in enumerate(rows):
                text = json.dumps(row, ensure_ascii=False, allow_nan=False, default=date.isoformat)
                file.write(f"{',' if row_number else ''}\n {text}")
            file.write("]")
        file.write("\n}}\n")


def read_whole(path: Path) -> dict[str, list[dict[str, Any]]]:
    """Every row, as it goes into the tables.

    Raises:
        BookTrouble: it was written by a newer step.
        StockError: it is missing, damaged or not ours.
    """
    document = _document(path)
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise refused(f"{path} is not the export of a book.", f'It must say "format": "{FORMAT}".')
    step, tables = document.get("step"), document.get("tables")
    if isinstance(step, int) and step > opening.STEP:
        raise BookTrouble(
            f"{path} was written by a newer rick (step {step}; this one knows {opening.STEP}).",
            hint="Nothing was stored. Install the newer version.",
            code="book-newer",
        )
    if step != opening.STEP or not isinstance(tables, dict) or sorted(tables) != sorted(TABLES):
        raise refused(f"{path} lacks tables of a book, or has others.", "It was changed after the export.")
    return {
        name: [_decoded(path, METADATA.tables[name], n, row) for n, row in enumerate(tables[name], 1)]
        for name in TABLES
    }


def _document(path: Path) -> object:
    def refuse(text: str) -> float:
        raise ValueError(f"{text} is not a number")

    try:
        with path.open("rb") as file:
            raw = file.read(MOST_BYTES + 1)
        if len(raw) > MOST_BYTES:
            raise refused(f"{path} is larger than {MOST_BYTES >> 20} MB.", "Such a book is not expected.")
        return json.loads(raw.decode("utf-8-sig"), parse_constant=refuse)
    except OSError as trouble:
        reason = (trouble.strerror or str(trouble)).lower()
        raise refused(f"{path} cannot be read: {reason}.", "Name the folder of an export.") from None
    except (ValueError, RecursionError) as trouble:
        raise refused(
            f"{path} is damaged: {trouble}.", "Nothing was stored. Export again if the book is there."
        ) from None


def _decoded(path: Path, table: Table, number: int, row: object) -> dict[str, Any]:
    if not isinstance(row, dict) or set(row) != set(table.c.keys()):
        raise refused(f"{path}: row {number} of {table.name} has not the columns of a book.", "It was changed.")
    return {name: _value(path, table, number, table.c[name], row[name]) for name in row}


def _value(path: Path, table: Table, number: int, column: Column[Any], value: Any) -> object:
    if value is None:
        return None
    wanted = _KINDS.get(column.type.__class__) or column.type.python_type
    with contextlib.suppress(ValueError, TypeError, OverflowError):
        if wanted is date:
            return date.fromisoformat(value)
        if wanted is float and type(value) is int:
            return float(value)
        if type(value) is wanted:
            return value
    raise refused(
        f'{path}: row {number} of {table.name}: "{str(value)[:40]}" does not belong in {column.name}.',
        "It was changed after the export; nothing was stored.",
    )


def refused(message: str, hint: str) -> StockError:
    """The refusal of a file or folder."""
    return Unclear(message, hint=hint, code="bad-file")
