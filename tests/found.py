"""What is found on a book afterwards: a piece as it is, the rows of a table, the open defects of a piece."""

import contextlib
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from said import TODAY

from stock.book import opening
from stock.book.facts import facts
from stock.book.naming import Names
from stock.book.records import METADATA
from stock.survey.pieces import Piece, Pieces


def piece(book: Path, text: str) -> Piece:
    """A piece as it is today, by its mark or tag."""
    with opening.reading(book) as connection:
        named = Names(connection).piece(text)
        return Pieces(facts(connection, TODAY, [named.id]))[named.id]


def rows(book: Path, table: str) -> list[Any]:
    """Every row of a table, in the order in which they were stored."""
    with opening.reading(book) as connection:
        return list(connection.execute(METADATA.tables[table].select()).mappings())


def defects(book: Path, text: str) -> list[tuple[str, str | None, float | None, float | None]]:
    """The open defects of a piece: kind, end, distance from the butt end, length."""
    return [(d.kind, d.end, d.from_butt_mm, d.length_mm) for d in piece(book, text).defects]


@contextlib.contextmanager
def raw(book: Path) -> Iterator[sqlite3.Connection]:
    """The file itself, past our own code; what is done to it is kept."""
    with contextlib.closing(sqlite3.connect(book)) as connection, connection:
        connection.execute("PRAGMA foreign_keys = ON")
        yield connection
