"""The book: one transaction an entry, whole or not at all; marks never used twice; the journal of every verb."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from found import raw
from said import day, g, mm
from sqlalchemy import select
from sqlmodel import Session

from stock.book import journal, opening
from stock.book.records import FACTS, METADATA, Entry, Piece, Weighing
from stock.errors import Impossible
from stock.typed import Typed
from stock.yard.coating import seal, treat
from stock.yard.cutting import cut
from stock.yard.felling import add, fell, opinion, put_tag
from stock.yard.lengthways import BlankPlan, saw, split
from stock.yard.settling import setting
from stock.yard.shaping import plane, trim

ON = day("2026-05-03")


def dump(path: Path) -> list[str]:
    with raw(path) as connection:
        return list(connection.iterdump())


def count(path: Path, table: str) -> int:
    with raw(path) as connection:
        return int(connection.execute(f"SELECT count(*) FROM {table}").fetchone()[0])


@pytest.fixture
def blank(page) -> str:
    with page("add") as p:
        return add(p, kind="blank", on=ON, length=mm(330), width=mm(52), thickness=mm(51)).mark


# One entry, one transaction


def test_a_refused_entry_leaves_no_trace(book, page, blank):
    def half_an_entry() -> None:
        with page("cut") as p:
            cut(p, piece=blank, lengths=[mm(100)], on=ON)
            add(p, kind="log", on=ON, tag="half done")
            cut(p, piece="half done", lengths=[Typed(-1.0, "-1 mm")], on=ON)

    before = dump(book)
    with pytest.raises(Impossible, match="-1 mm"):
        half_an_entry()
    assert dump(book) == before


def test_an_error_of_ours_leaves_no_trace_either(book, page):
    def broken() -> None:
        with page() as p:
            add(p, kind="log", on=ON)
            raise ZeroDivisionError

    before = dump(book)
    with pytest.raises(ZeroDivisionError):
        broken()
    assert dump(book) == before


def test_a_dry_run_stores_nothing_and_says_what_it_would_have(book, page):
    before = dump(book)
    with page("fell", dry_run=True) as p:
        tree = fell(p, species="", on=ON, tag="the ash")
        (log,) = cut(p, piece="the ash", lengths=[mm(400)], on=ON).children
    assert (tree.mark, log.mark) == ("T1B", "1B")
    assert dump(book) == before


def test_numbers_are_not_used_up_by_what_was_not_stored(book, page):
    def last() -> dict[str, int]:
        with raw(book) as connection:
            return dict(connection.execute("SELECT series, last_number FROM series").fetchall())

    def refused() -> None:
        with page() as p:
            add(p, kind="log", on=ON)
            p.put(Weighing(piece_id=1, mass_g=-5.0, on_last=ON.last))

    with page(dry_run=True) as p:
        add(p, kind="log", on=ON)
    with pytest.raises(Impossible):
        refused()
    assert last() == {"": 0, "T": 0, "B": 0}
    with page() as p:
        add(p, kind="log", on=ON)
        fell(p, species="", on=ON)
    assert last() == {"": 1, "T": 1, "B": 0}


def test_t10_a_number_is_not_given_again_when_its_piece_is_taken_out_of_the_book(book, page, blank):
    with raw(book) as connection:
        connection.execute("DELETE FROM size")
        connection.execute("DELETE FROM piece")
    with page() as p:
        assert add(p, kind="log", on=ON).mark == "2C"


def test_a_value_that_only_the_book_refuses_is_told_in_one_sentence(book, page, blank):
    with pytest.raises(Impossible, match="the book does not take this"), page() as p:
        p.put(Weighing(piece_id=1, mass_g=float("inf"), on_last=ON.last))
    with pytest.raises(Impossible, match="the book does not take this"), page() as p:
        p.put(Weighing(piece_id=4711, mass_g=3.0, on_last=ON.last))


# The journal

VERBS: dict[str, Callable[..., object]] = {
    "fell": lambda p: fell(p, species="black cherry", on=day("spring 2024"), tag="new tree"),
    "add": lambda p: add(p, kind="log", on=ON, place="shed / rack 2", tag="added"),
    "tag": lambda p: put_tag(p, piece="1B", text="renamed", on=ON),
    "species": lambda p: opinion(p, piece="1B", species="Prunus avium", on=ON),
    "cut": lambda p: cut(p, piece="2C", lengths=[mm("13in"), mm(300)], on=ON, keep_rest=True),
    "split": lambda p: split(p, piece="2C", on=ON),
    "saw": lambda p: saw(p, piece="2C", blanks=[BlankPlan(width=mm(50), thickness=mm(50), mass=g(700))], on=ON),
    "trim": lambda p: trim(p, piece="1B", on=ON, before=g(500), after=g(450), length=mm(300)),
    "plane": lambda p: plane(p, piece="1B", on=ON, width=mm(50)),
    "treat": lambda p: treat(p, piece="1B", on=ON, how="soak"),
    "seal": lambda p: seal(p, pieces=["1B", "2C"], on=ON),
    "set": lambda p: setting(p, name="target", value="8", on=ON),
}


@pytest.mark.parametrize("verb", VERBS)
def test_every_verb_writes_one_entry_that_its_rows_can_be_checked_against(book, page, blank, verb):
    with page("add") as p:
        add(p, kind="log", on=ON, length=mm(1000), dia_butt=mm(300))
    with page(verb, note="as I saw it") as p:
        VERBS[verb](p)
    assert count(book, "entry") == 3
    with opening.reading(book) as connection, Session(connection) as session:
        entry = session.get(Entry, 3)
        assert entry is not None
        assert (entry.verb, entry.typed, entry.note) == (verb, f"rick {verb}", "as I saw it")
        assert entry.at_utc == "2026-06-01T12:00:00+00:00"
        rows = [row for record in FACTS for row in session.scalars(select(record).where(entry_of(record) == 3))]
        rows.sort(key=lambda row: row.row_no)
        assert [row.row_no for row in rows] == list(range(1, len(rows) + 1))
        assert rows
        assert journal.digest(rows) == entry.digest, "what is read back is not what was written"
        assert len(entry.digest) == 64


def entry_of(record: type) -> object:
    return METADATA.tables[str(record.__tablename__)].c.entry_id


def test_a_byte_that_changes_silently_changes_the_digest(book, blank):
    with raw(book) as connection:
        connection.execute("UPDATE size SET length_mm = 331")
    with opening.reading(book) as connection, Session(connection) as session:
        rows = [row for record in FACTS for row in session.scalars(select(record).where(entry_of(record) == 1))]
        entry = session.get(Entry, 1)
        assert entry is not None
        assert journal.digest(sorted(rows, key=lambda row: row.row_no)) != entry.digest


def test_a_page_with_nothing_on_it_leaves_no_entry(book, page):
    with page():
        pass
    assert count(book, "entry") == 0


def test_what_is_altered_is_kept_as_it_was(book, page, blank):
    with page("correct") as p:
        piece = p.session.get(Piece, 1)
        p.alter(piece, origin="the club", on_last=date(2026, 5, 4))
    with raw(book) as connection:
        (change,) = connection.execute("SELECT table_name, piece_id, before, after FROM change").fetchall()
        (uid,) = connection.execute("SELECT row_entry_uid FROM change").fetchone()
        assert uid == connection.execute("SELECT uid FROM entry WHERE id = 1").fetchone()[0]
    assert change[0] == "piece"
    assert change[2] == '{"origin": "", "on_last": "2026-05-03"}'
    assert change[3] == '{"origin": "the club", "on_last": "2026-05-04"}'
