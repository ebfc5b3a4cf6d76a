"""One verb, one transaction, one entry in the journal.

A `Page` is the only way rows get into the book. What an entry adds is its own record (each row names its entry and its
number in it); what it alters or removes is kept in `change`, before and after, so that every entry can be taken back.
The entry's digest covers the rows it added, so that bytes that change silently can be found.
"""

import contextlib
import hashlib
import json
import uuid
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any, TypeVar

from sqlalchemy import Connection, select, update
from sqlmodel import Session

from stock.book import opening
from stock.book.records import METADATA, Change, Entry, Fact, Piece, Series
from stock.errors import NotNow
from stock.marks import mark

F = TypeVar("F", bound=Fact)


@dataclass(frozen=True, slots=True)
class Hand:
    """Who writes: the verb, what was typed, the note, the moment and the day it is."""

    verb: str
    typed: str
    now: datetime
    today: date
    note: str = ""
    dry_run: bool = False


class Page:
    """The rows of one entry, while it is being written."""

    def __init__(self, session: Session, entry: Entry, hand: Hand) -> None:
        self.session = session
        self.hand = hand
        self._entry = entry
        self._added: list[Fact] = []
        self._changes = 0

    @property
    def connection(self) -> Connection:
        """The connection of this transaction: what it reads includes what the page has put."""
        self.session.flush()
        return self.session.connection()

    @property
    def today(self) -> date:
        return self.hand.today

    def put(self, row: F) -> int:
        """Add a fact and give its id. Facts are stored in the order in which they are put."""
        self.put_all([row])
        assert row.id is not None
        return row.id

    def put_all(self, rows: list[F]) -> None:
        """Add many facts of one table."""
        for row in rows:
            assert self._entry.id is not None
            row.entry_id = self._entry.id
            row.row_no = len(self._added) + 1
            self._added.append(row)
        self.session.add_all(rows)
        self.session.flush()

    def alter(self, row: Fact, **values: Any) -> None:
        """Change fields of an earlier fact, keeping what they were."""
        before = {name: _plain(getattr(row, name)) for name in values}
        for name, value in values.items():
            setattr(row, name, value)
        self._changes += 1
        origin = self.session.get(Entry, row.entry_id)
        assert origin is not None
        assert self._entry.id is not None
        self.session.add(row)
        self.session.add(
            Change(
                entry_id=self._entry.id,
                table_name=str(row.__tablename__),
                row_entry_uid=origin.uid,
                row_no=row.row_no,
                piece_id=getattr(row, "piece_id", None),
                before=before,
                after={name: _plain(value) for name, value in values.items()},
            )
        )
        self.session.flush()

    def next_number(self, series: str) -> int:
        """The next running number of a series of marks; never given twice, not even after an undo."""
        self.session.flush()
        table = METADATA.tables["series"]
        row = self.session.connection().execute(select(table).where(table.c.series == series)).one()
        number = int(row.last_number) + 1
        if row.limit_number is not None and number > row.limit_number:
            raise NotNow(
                f"this copy of the book has used up its marks (up to {mark(row.limit_number, series)}).",
                hint="Lend it more from the main copy.",
            )
        self.session.connection().execute(update(table).where(table.c.series == series).values(last_number=number))
        return number

    def close(self) -> None:
        """Seal the entry with the digest of its rows."""
        self.session.flush()
        self._entry.digest = digest(self._added)
        self.session.add(self._entry)
        self.session.flush()

    @property
    def touched(self) -> frozenset[int]:
        """The ids of the pieces that this entry says something of."""
        return frozenset(i for row in self._added if (i := getattr(row, "piece_id", None)) is not None)

    @property
    def is_empty(self) -> bool:
        return not self._added and not self._changes


def digest(rows: list[Fact]) -> str:
    """The SHA-256 of rows, by content, in their order."""
    total = hashlib.sha256()
    for row in rows:
        content = {name: _plain(value) for name, value in row.model_dump().items() if name != "id"}
        total.update(json.dumps([row.__tablename__, content], sort_keys=True, ensure_ascii=True).encode())
    return total.hexdigest()


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, date) else value


@contextlib.contextmanager
def writing(path: Path, hand: Hand, waiting: Callable[[], None] | None = None) -> Iterator[Page]:
    """A page of the book: all of it is stored at the end, or nothing of it.

    Args:
        path: the book; made if there is none and this is not a dry run.
        hand: the verb and its circumstances.
        waiting: called once if another writer keeps us waiting.

    Raises:
        StockError: whatever the verb refuses; nothing is stored then.
        BookTrouble: the book cannot be opened or written.
    """
    new = not path.exists()
    if new:
        opening.make(path, hand.now)
    stored = False
    try:
        with opening.writing(path, waiting) as connection, Session(connection, expire_on_commit=False) as session:
            page = Page(session, _begin(session, connection, hand), hand)
            yield page
            page.close()
            whole = connection.get_transaction()
            assert whole is not None
            if hand.dry_run or page.is_empty:
                whole.rollback()
            else:
                whole.commit()
                stored = True
    finally:
        if new and not stored:
            _take_away_if_empty(path)


def _begin(session: Session, connection: Connection, hand: Hand) -> Entry:
    entry = Entry(
        uid=uuid.uuid4().hex,
        copy_uid=connection.execute(select(METADATA.tables["book"].c.copy_uid)).scalar_one(),
        at_utc=hand.now.isoformat(timespec="seconds"),
        verb=hand.verb,
        typed=hand.typed,
        note=hand.note,
    )
    session.add(entry)
    session.flush()
    return entry


def _take_away_if_empty(path: Path) -> None:
    """A refused or tried first entry leaves no book behind, unless somebody else has written in it meanwhile."""
    with opening.reading(path) as connection:
        empty = connection.execute(select(METADATA.tables["entry"].c.id).limit(1)).first() is None
    if empty:
        path.unlink()


def new_piece(page: Page, series: str, **fields: Any) -> Piece:
    """A piece with the next mark of its series, put on the page."""
    piece = Piece(series=series, number=page.next_number(series), **fields)
    page.put(piece)
    return piece


__all__ = ["Hand", "Page", "Series", "digest", "new_piece", "writing"]
