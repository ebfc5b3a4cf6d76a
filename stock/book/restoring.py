"""A book put back from `book.json` as it was, row ids included; never into one that holds something."""

import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Column, Connection, Table, func, select, update

from stock.book import opening, whole
from stock.book.records import METADATA
from stock.book.whole import TABLES, Rows, read_whole, refused
from stock.errors import BookTrouble, NotNow, StockError


@dataclass(frozen=True, slots=True)
class Restored:
    """A book put back from `book.json`: its path and the rows of each table."""

    path: Path
    rows: Mapping[str, int]


def is_empty(connection: Connection) -> bool:
    """Whether nothing was ever written in the book, not even something taken back since."""
    return not connection.execute(select(func.count()).select_from(METADATA.tables["entry"])).scalar_one()


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
    rows = read_whole(folder / whole.FILE)
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


def _fill(path: Path, rows: Rows, dry_run: bool) -> None:
    try:
        with opening.writing(path) as connection:
            if not is_empty(connection):
                raise NotNow(
                    f"the book at {path} holds something; a whole book goes into an empty one.",
                    hint=f"Name a new book with --book, or take {whole.FILE} out of the folder to add its CSV files.",
                )
            for name in ("series", "book"):
                connection.execute(METADATA.tables[name].delete())
            _insert(connection, rows)
            if dry_run:
                transaction = connection.get_transaction()
                assert transaction is not None
                transaction.rollback()
    except StockError as trouble:
        if isinstance(trouble, NotNow | BookTrouble):
            raise
        raise refused(f"{whole.FILE} is damaged: {trouble.message}", "Nothing was stored.") from trouble


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
