"""Finding, making and opening the book: one SQLite file that is a document of ours.

The file's header says that it is a book (application id) and of which step (user version), so a foreign, newer or
empty file is refused before a single query. Journal mode is SQLite's rollback journal: an idle book is one file that
can be copied. Readers take no lock but while they read; a writer begins IMMEDIATE, waits for another writer, says so
after two seconds and gives up after thirty.
"""

import contextlib
import os
import sqlite3
import uuid
from collections.abc import Callable, Iterator, Mapping
from datetime import datetime
from functools import lru_cache
from pathlib import Path

from sqlalchemy import Connection, Engine, event
from sqlalchemy.exc import DBAPIError, IntegrityError, StatementError
from sqlalchemy.pool import NullPool
from sqlmodel import create_engine

from stock import __version__
from stock.book.records import METADATA, BookRow, Series
from stock.errors import BookTrouble, Impossible

APPLICATION_ID = 0x5249434B  # "RICK"
STEP = 1  # the schema step this code knows
FILE_NAME = "book.rick"
_HEADER = b"SQLite format 3\x00"
_PATIENCE_MS, _QUIET_MS = 30_000, 2_000


def where(given: str | None, environment: Mapping[str, str]) -> Path:
    """The path of the book: as given, else RICK_BOOK, else the platform's data folder.

    Args:
        given: the value of `--book`, or None.
        environment: the process's environment.

    Returns:
        The path, with `~` expanded; nothing is opened or made.
    """
    text = given or environment.get("RICK_BOOK") or ""
    if text:
        return Path(text).expanduser()
    from platformdirs import user_data_path

    return user_data_path("rickyard", appauthor=False) / FILE_NAME


def look(path: Path) -> None:
    """Refuse what is not a book of ours that this code can read.

    Raises:
        BookTrouble: missing, a folder, empty, not SQLite, another program's, newer, or not readable.
    """
    try:
        if path.is_dir():
            raise BookTrouble(f"{path} is a folder, not a book.", hint=f"Name a file in it: {path / FILE_NAME}")
        with path.open("rb") as file:
            head = file.read(100)
    except FileNotFoundError:
        raise BookTrouble(
            f"there is no book at {path} yet.",
            hint="The first entry makes it: rick fell --help. To see one first: rick demo.",
            code="no-book",
        ) from None
    except OSError as trouble:
        raise BookTrouble(f"the book at {path} cannot be read: {_reason(trouble)}.") from None
    if not head:
        raise BookTrouble(f"{path} is an empty file, not a book.", hint="Remove it, or name another with --book.")
    if len(head) < 100 or not head.startswith(_HEADER) or int.from_bytes(head[68:72], "big") != APPLICATION_ID:
        raise BookTrouble(
            f"{path} is not a book of rick's; nothing was touched.", hint="Name the book with --book or RICK_BOOK."
        )
    step = int.from_bytes(head[60:64], "big")
    if step > STEP:
        raise BookTrouble(
            f"the book at {path} was written by a newer rick (step {step}; this one knows {STEP}).",
            hint="Nothing was touched. Install the newer version.",
            code="book-newer",
        )


def make(path: Path, now: datetime) -> None:
    """Make an empty book, whole or not at all, readable by its owner only. An existing file is left alone."""
    beside = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        os.close(os.open(beside, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
        try:
            engine = _engine(beside)
            with told(path), engine.begin() as connection:
                connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
                connection.exec_driver_sql(f"PRAGMA user_version = {STEP}")
                METADATA.create_all(connection)
                _first_rows(connection, now)
            engine.dispose()
            if not path.exists():
                beside.rename(path)
        finally:
            beside.unlink(missing_ok=True)
    except OSError as trouble:
        raise BookTrouble(
            f"no book can be made at {path}: {_reason(trouble)}.", hint="Name another place with --book or RICK_BOOK."
        ) from None


def _first_rows(connection: Connection, now: datetime) -> None:
    uid = uuid.uuid4().hex
    connection.execute(
        METADATA.tables[BookRow.__tablename__].insert(),
        {
            "id": 1,
            "uid": uid,
            "copy_uid": uid,
            "step": STEP,
            "made_by": f"rick {__version__}",
            "made_at": now.isoformat(timespec="seconds"),
        },
    )
    series = METADATA.tables[Series.__tablename__]
    connection.execute(series.insert(), [{"series": name, "last_number": 0} for name in ("", "T", "B")])


@lru_cache(maxsize=16)
def _engine(path: Path) -> Engine:
    """The engine of a book, one a process, so that a query is compiled once; it holds no connection open."""

    def connect() -> sqlite3.Connection:
        uri = path.absolute().as_uri() + "?mode=rw"
        connection = sqlite3.connect(uri, uri=True, timeout=_PATIENCE_MS / 1000, isolation_level=None)
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA synchronous = FULL")
        return connection

    engine = create_engine("sqlite://", creator=connect, poolclass=NullPool)
    event.listen(engine, "begin", _begin)
    return engine


def _begin(connection: Connection) -> None:
    if connection.get_execution_options().get("writer"):
        return  # begun by hand in `begin_writing`, which waits and tells
    connection.exec_driver_sql("BEGIN")


@contextlib.contextmanager
def reading(path: Path) -> Iterator[Connection]:
    """A connection that sees one moment of the book. Read all, leave, then print.

    Raises:
        BookTrouble: as `look`, or the book is damaged or busy.
    """
    look(path)
    engine = _engine(path)
    with told(path), engine.connect() as connection, connection.begin():
        yield connection


@contextlib.contextmanager
def writing(path: Path, waiting: Callable[[], None] | None = None) -> Iterator[Connection]:
    """A connection inside one IMMEDIATE transaction; committed by the caller, rolled back on any error.

    Args:
        path: the book.
        waiting: called once if another writer has kept us waiting for two seconds.
    """
    look(path)
    engine = _engine(path).execution_options(writer=True)
    with told(path), engine.connect() as connection, connection.begin():
        _wait_for_turn(connection, waiting)
        yield connection


def _wait_for_turn(connection: Connection, waiting: Callable[[], None] | None) -> None:
    connection.exec_driver_sql(f"PRAGMA busy_timeout = {_QUIET_MS}")
    try:
        connection.exec_driver_sql("BEGIN IMMEDIATE")
    except DBAPIError as trouble:
        if "locked" not in str(trouble.orig):
            raise
        if waiting:
            waiting()
        connection.exec_driver_sql(f"PRAGMA busy_timeout = {_PATIENCE_MS - _QUIET_MS}")
        connection.exec_driver_sql("BEGIN IMMEDIATE")


@contextlib.contextmanager
def told(path: Path) -> Iterator[None]:
    """Turn what SQLite says into a sentence that names the book, where the person can do something about it."""
    try:
        yield
    except IntegrityError as trouble:
        raise Impossible(
            f"the book does not take this: {trouble.orig}.", hint="Nothing was stored. A value is out of its range."
        ) from trouble
    except DBAPIError as trouble:
        raise _trouble(path, str(trouble.orig)) from trouble
    except StatementError as trouble:
        raise _trouble(path, f"malformed value: {trouble.orig}") from trouble
    except sqlite3.DatabaseError as trouble:
        raise _trouble(path, str(trouble)) from trouble


def _trouble(path: Path, said: str) -> Exception:
    if "locked" in said or "busy" in said:
        return BookTrouble(
            f"the book at {path} is busy: another rick is writing.", hint="Try again in a moment.", code="book-busy"
        )
    if "readonly" in said:
        return BookTrouble(f"the book at {path} is read-only; nothing was stored.", hint="Change its permissions.")
    if "full" in said:
        return BookTrouble(f"the disk of {path} is full; nothing was stored.", hint="Make room and try again.")
    if "unable to open" in said:
        return BookTrouble(
            f"the book at {path} cannot be opened for writing; nothing was stored.",
            hint="Its folder must be writable, for the journal that protects it.",
        )
    if "malformed" in said or "not a database" in said or "disk I/O" in said or "no such" in said:
        return BookTrouble(
            f"the book at {path} is damaged ({said}); nothing was stored.",
            hint="Put back a copy of the file, or export what can still be read: rick book export DIR.",
            code="book-damaged",
        )
    return BookTrouble(f"the book at {path} did not answer as it should: {said}.")


def _reason(trouble: OSError) -> str:
    return (trouble.strerror or str(trouble)).lower()
