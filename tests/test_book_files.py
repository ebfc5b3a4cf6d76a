"""Files that are a book, and files that are none: made, recognised, refused with a reason, and never touched then."""

import sqlite3
import stat
import struct
from datetime import UTC, datetime
from pathlib import Path

import pytest
from found import raw
from said import day
from sqlalchemy import select

from stock.book import journal, opening
from stock.book.naming import Names
from stock.book.records import METADATA
from stock.errors import BookTrouble, Exit
from stock.yard.felling import add
from tests.unprivileged import unprivileged

ON = day("2026-05-03")
NOW = datetime(2026, 6, 1, tzinfo=UTC)


@pytest.fixture
def filled(book, page) -> Path:
    """A book with one piece."""
    with page("add") as p:
        add(p, kind="log", on=ON)
    return book


def test_a_new_book_is_for_its_owner_only(book):
    assert stat.S_IMODE(book.stat().st_mode) == 0o600
    assert [path.name for path in book.parent.iterdir()] == [book.name]


def test_the_first_entry_makes_the_book_and_its_folder(tmp_path, hand):
    path = tmp_path / "new" / "shed" / "book.rick"
    with journal.writing(path, hand()) as p:
        add(p, kind="log", on=ON)
    with opening.reading(path) as connection:
        assert Names(connection).piece("1B").kind == "log"


def test_a_book_says_what_it_is(book):
    with raw(book) as connection:
        assert connection.execute("PRAGMA application_id").fetchone() == (0x5249434B,)
        assert connection.execute("PRAGMA user_version").fetchone() == (opening.STEP,)
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("delete",)


def folder(path: Path) -> None:
    path.mkdir()


def empty(path: Path) -> None:
    path.touch()


def text(path: Path) -> None:
    path.write_text("214H 812 g\n" * 500)


def foreign(path: Path) -> None:
    with raw(path) as connection:
        connection.execute("CREATE TABLE recipes (name TEXT)")


def newer(path: Path) -> None:
    opening.make(path, NOW)
    with raw(path) as connection:
        connection.execute("PRAGMA user_version = 99")


def truncated(path: Path) -> None:
    opening.make(path, NOW)
    with path.open("r+b") as file:
        file.truncate(8192)


def a_stub(path: Path) -> None:
    opening.make(path, NOW)
    with path.open("r+b") as file:
        file.truncate(60)


def scribbled(path: Path) -> None:
    opening.make(path, NOW)
    with path.open("r+b") as file:
        file.seek(4096)
        file.write(struct.pack("8s", b"scribble") * 512 * 20)


def missing(path: Path) -> None:
    pass


NO_BOOKS = [
    (folder, "book-trouble", "is a folder, not a book", "both"),
    (empty, "book-trouble", "is an empty file", "both"),
    (text, "book-trouble", "is not a book of rick's", "both"),
    (foreign, "book-trouble", "is not a book of rick's", "both"),
    (newer, "book-newer", "written by a newer rick \\(step 99; this one knows 1\\)", "both"),
    (truncated, "book-damaged", "is damaged", "both"),
    (a_stub, "book-trouble", "is not a book of rick's", "both"),
    (scribbled, "book-damaged", "is damaged", "both"),
    (missing, "no-book", "there is no book at", "reading"),
]


@pytest.mark.parametrize(("spoil", "code", "sentence", "ways"), NO_BOOKS, ids=lambda v: getattr(v, "__name__", ""))
def test_what_is_no_book_is_refused_and_left_alone(tmp_path, hand, spoil, code, sentence, ways):
    path = tmp_path / "thing"
    spoil(path)
    before = path.read_bytes() if path.is_file() else None
    with pytest.raises(BookTrouble, match=sentence) as refused, opening.reading(path) as connection:
        Names(connection).piece("1B")
    acts = [refused.value]
    if ways == "both":
        with pytest.raises(BookTrouble, match=sentence) as refused, journal.writing(path, hand()) as p:
            add(p, kind="log", on=ON)
        acts.append(refused.value)
    for trouble in acts:
        assert (trouble.code, trouble.exit_code, int(Exit.BOOK)) == (code, 5, 5)
        assert str(path) in trouble.message
        assert "\n" not in trouble.message
    assert (path.read_bytes() if path.is_file() else None) == before


def test_a_book_that_another_is_writing_to_is_busy(book, hand, monkeypatch):
    monkeypatch.setattr(opening, "_PATIENCE_MS", 60)
    monkeypatch.setattr(opening, "_QUIET_MS", 30)
    told: list[str] = []
    other = sqlite3.connect(book, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    page = journal.writing(book, hand(), waiting=lambda: told.append("waiting"))
    with pytest.raises(BookTrouble, match="busy: another rick is writing") as refused, page as p:
        add(p, kind="log", on=ON)
    other.close()
    assert (refused.value.code, refused.value.exit_code) == ("book-busy", Exit.BOOK)
    assert told == ["waiting"]


def test_a_reader_sees_one_moment_while_another_writes(filled, page):
    with opening.reading(filled) as connection:
        assert Names(connection).piece("1B").mark == "1B"
    with page("add") as p:
        add(p, kind="log", on=ON)
        with opening.reading(filled) as connection:
            assert connection.execute(select(METADATA.tables["piece"].c.number)).scalars().all() == [1]


@unprivileged
def test_a_read_only_book_can_be_read_but_not_written(filled, hand):
    filled.chmod(0o400)
    with opening.reading(filled) as connection:
        assert Names(connection).piece("1B").mark == "1B"
    with (
        pytest.raises(BookTrouble, match="is read-only; nothing was stored") as refused,
        journal.writing(filled, hand()) as p,
    ):
        add(p, kind="log", on=ON)
    assert refused.value.exit_code == Exit.BOOK


@unprivileged
def test_a_read_only_folder_is_told(filled, hand):
    filled.parent.chmod(0o500)
    try:
        with pytest.raises(BookTrouble, match="nothing was stored"), journal.writing(filled, hand()) as p:
            add(p, kind="log", on=ON)
        with pytest.raises(BookTrouble, match="no book can be made"):
            opening.make(filled.parent / "other.rick", NOW)
    finally:
        filled.parent.chmod(0o700)


@unprivileged
def test_a_book_of_somebody_else_is_told(book):
    book.chmod(0o000)
    with pytest.raises(BookTrouble, match="cannot be read: permission denied"), opening.reading(book):
        pass
