"""Everything out of the book and back: a folder of CSV files to read, and `book.json`, which holds every row.

A folder is made beside its place and put there by one renaming, so that a broken export is never taken for a whole
one. A book is put back from `book.json` as it was, row ids included; into a book that holds something, never.
"""

import contextlib
import json
import os
import shutil
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Column, Connection, Table, func, select, update
from sqlmodel import JSON, AutoString

from stock.book import opening
from stock.book.csvfiles import write
from stock.book.layout import FILES
from stock.book.notebook import sheets
from stock.book.records import FACTS, METADATA
from stock.errors import BookTrouble, NotNow, StockError, Unclear

WHOLE = "book.json"
FORMAT = "rickyard-book"
MOST_BYTES = 1024 * 1024 * 1024
_OWN_TABLES = ("book", "series", "entry", "change")
TABLES = (*_OWN_TABLES, *(str(kind.__tablename__) for kind in FACTS))
_KINDS: dict[type, type] = {AutoString: str, JSON: dict}  # the others tell it themselves

Rows = Mapping[str, Sequence[Mapping[str, Any]]]


@dataclass(frozen=True, slots=True)
class Exported:
    """An export: the folder, the lines of each CSV file, the rows of each table in `book.json`."""

    folder: Path
    files: Mapping[str, int]
    rows: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Restored:
    """A book put back from `book.json`: its path and the rows of each table."""

    path: Path
    rows: Mapping[str, int]


def everything(connection: Connection) -> dict[str, list[dict[str, Any]]]:
    """Every row of every table, in the order of their keys: two books are equal if these are."""
    found: dict[str, list[dict[str, Any]]] = {}
    for name in TABLES:
        table = METADATA.tables[name]
        rows = connection.execute(select(table).order_by(*table.primary_key.columns)).mappings()
        found[name] = [dict(row) for row in rows]
    return found


def is_empty(connection: Connection) -> bool:
    """Whether nothing was ever written in the book, not even something taken back since."""
    return not connection.execute(select(func.count()).select_from(METADATA.tables["entry"])).scalar_one()


def export(path: Path, folder: Path, *, force: bool = False) -> Exported:
    """Write the whole book as a folder of CSV files and `book.json`.

    Args:
        path: the book.
        folder: where to; made if it is not there.
        force: whether a folder that holds something is taken; files of our names in it are replaced, others kept.

    Raises:
        BookTrouble: the book cannot be read.
        StockError: the folder holds something, is a file, or cannot be written; it is as it was then.
    """
    target = folder.absolute()
    _check_target(target, force)
    with opening.reading(path) as connection:
        tables = everything(connection)
    beside = (target if target.exists() else target.parent) / f".{target.name}.{os.getpid()}.new"
    with _told(folder):
        target.parent.mkdir(parents=True, exist_ok=True)
        beside.mkdir(mode=0o700)
        try:
            files = {name: write(beside / name, columns, lines) for name, columns, lines in sheets(tables)}
            _write_json(beside / WHOLE, tables)
            _put_in_place(beside, target)
        finally:
            shutil.rmtree(beside, ignore_errors=True)
    return Exported(folder, files, {name: len(rows) for name, rows in tables.items()})


def restore_json(path: Path, folder: Path, *, dry_run: bool = False) -> Restored:
    """Put a book back from the `book.json` of an export.

    Args:
        path: the book; made if it is not there, else it must be one in which nothing was ever written.
        folder: the folder of the export.
        dry_run: whether everything is tried and nothing kept.

    Raises:
        NotNow: the book holds something.
        BookTrouble: a book that cannot be opened, or an export by a newer step.
        StockError: `book.json` is missing, damaged or not ours; nothing is stored then.
    """
    rows = _read_json(folder / WHOLE)
    counts = {name: len(of) for name, of in rows.items()}
    if path.exists():
        _fill(path, rows, dry_run)
        return Restored(path, counts)
    beside = path.with_name(f".{path.name}.{os.getpid()}.restored")
    try:
        opening.make(beside, datetime.fromtimestamp(0))
        _fill(beside, rows, dry_run)
        if not dry_run:
            if path.exists():
                raise NotNow(f"a book has come to {path} meanwhile; nothing was stored.", hint="Try again.")
            beside.rename(path)
    finally:
        beside.unlink(missing_ok=True)
    return Restored(path, counts)


def _check_target(target: Path, force: bool) -> None:
    try:
        if target.exists() and not target.is_dir():
            raise _refused(f"{target} is a file, not a folder.", "Name a folder; it is made if it is not there.")
        inside = sorted(entry.name for entry in target.iterdir()) if target.exists() else []
        if inside and not force:
            some = ", ".join(inside[:3]) + (" ..." if len(inside) > 3 else "")
            raise _refused(
                f"the folder {target} holds something already ({some}).",
                "Name a new folder, or give --force to replace the files of an earlier export.",
            )
        if wrong := next((name for name in (*FILES, WHOLE) if (target / name).is_dir()), None):
            raise _refused(f"{target / wrong} is a folder; a file must go there.", "Name another folder.")
    except OSError as trouble:
        raise _no_folder(target, trouble) from None


@contextlib.contextmanager
def _told(folder: Path) -> Iterator[None]:
    try:
        yield
    except OSError as trouble:
        raise _no_folder(folder, trouble) from None


def _put_in_place(beside: Path, target: Path) -> None:
    if not target.exists():
        beside.rename(target)
        return
    for name in (*FILES, WHOLE):
        (beside / name).replace(target / name)


def _write_json(path: Path, tables: Rows) -> None:
    """One row a line, so that two exports can be compared by eye."""
    with path.open("w", encoding="utf-8", newline="\n") as file:
        file.write(f'{{"format": "{FORMAT}", "step": {opening.STEP}, "tables": {{')
        for number, (name, rows) in enumerate(tables.items()):
            file.write(f'{"," if number else ""}\n"{name}": [')
            for row_number, row in enumerate(rows):
                text = json.dumps(row, ensure_ascii=False, allow_nan=False, default=date.isoformat)
                file.write(f"{',' if row_number else ''}\n {text}")
            file.write("]")
        file.write("\n}}\n")


def _read_json(path: Path) -> dict[str, list[dict[str, Any]]]:
    document = _document(path)
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise _refused(f"{path} is not the export of a book.", f'It must say "format": "{FORMAT}".')
    step, tables = document.get("step"), document.get("tables")
    if isinstance(step, int) and step > opening.STEP:
        raise BookTrouble(
            f"{path} was written by a newer rick (step {step}; this one knows {opening.STEP}).",
            hint="Nothing was stored. Install the newer version.",
            code="book-newer",
        )
    if step != opening.STEP or not isinstance(tables, dict) or sorted(tables) != sorted(TABLES):
        raise _refused(f"{path} lacks tables of a book, or has others.", "It was changed after the export.")
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
            raise _refused(f"{path} is larger than {MOST_BYTES >> 20} MB.", "Such a book is not expected.")
        return json.loads(raw.decode("utf-8-sig"), parse_constant=refuse)
    except OSError as trouble:
        reason = (trouble.strerror or str(trouble)).lower()
        raise _refused(f"{path} cannot be read: {reason}.", "Name the folder of an export.") from None
    except (ValueError, RecursionError) as trouble:
        raise _refused(
            f"{path} is damaged: {trouble}.", "Nothing was stored. Export again if the book is there."
        ) from None


def _decoded(path: Path, table: Table, number: int, row: object) -> dict[str, Any]:
    if not isinstance(row, dict) or set(row) != set(table.c.keys()):
        raise _refused(f"{path}: row {number} of {table.name} has not the columns of a book.", "It was changed.")
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
    raise _refused(
        f'{path}: row {number} of {table.name}: "{str(value)[:40]}" does not belong in {column.name}.',
        "It was changed after the export; nothing was stored.",
    )


def _fill(path: Path, rows: Rows, dry_run: bool) -> None:
    try:
        with opening.writing(path) as connection:
            if not is_empty(connection):
                raise NotNow(
                    f"the book at {path} holds something; a whole book goes into an empty one.",
                    hint=f"Name a new book with --book, or take {WHOLE} out of the folder to add its CSV files.",
                )
            for name in ("series", "book"):
                connection.execute(METADATA.tables[name].delete())
            _insert(connection, rows)
            if dry_run:
                whole = connection.get_transaction()
                assert whole is not None
                whole.rollback()
    except StockError as trouble:
        if isinstance(trouble, NotNow | BookTrouble):
            raise
        raise _refused(f"{WHOLE} is damaged: {trouble.message}", "Nothing was stored.") from trouble


def _insert(connection: Connection, rows: Rows) -> None:
    """Insert the tables so that what a row refers to is there; what refers to later rows is set at the end."""
    placed: set[str] = set()
    held_back: list[Column[Any]] = []
    for table in _in_order():
        later = [column for column in table.c if column.nullable and _targets(column) - placed]
        blank = dict.fromkeys(column.name for column in later)
        if rows[table.name]:
            connection.execute(table.insert(), [{**row, **blank} for row in rows[table.name]])
        held_back += later
        placed.add(table.name)
    for column in held_back:
        table = column.table
        for row in rows[table.name]:
            if row[column.name] is not None:
                values = {column.name: row[column.name]}
                connection.execute(update(table).where(table.c.id == row["id"]).values(values))


def _in_order() -> Iterator[Table]:
    """The tables, each after those that its rows cannot do without, and where it can be after all it refers to."""
    waiting = [METADATA.tables[name] for name in TABLES]
    placed: set[str] = set()

    def missing(table: Table) -> tuple[int, int]:
        targets = [(column, _targets(column) - placed - {table.name}) for column in table.c]
        return sum(len(t) for c, t in targets if not c.nullable), sum(len(t) for _, t in targets)

    while waiting:
        table = min(waiting, key=missing)
        waiting.remove(table)
        placed.add(table.name)
        yield table


def _targets(column: Column[Any]) -> set[str]:
    return {key.column.table.name for key in column.foreign_keys}


def _refused(message: str, hint: str) -> StockError:
    return Unclear(message, hint=hint, code="bad-file")


def _no_folder(folder: Path, trouble: OSError) -> StockError:
    reason = (trouble.strerror or str(trouble)).lower()
    return _refused(f"nothing can be written to {folder}: {reason}.", "Name another folder.")
