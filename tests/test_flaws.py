"""What becomes of the defects of a piece when it is crosscut: each goes with the wood it is in."""

import pytest
from found import defects
from said import day, mm

from stock.book.naming import Names
from stock.book.records import Defect
from stock.yard.cutting import cut
from stock.yard.felling import add

FELLED = day("2026-03-10")
ON = day("2026-05-03")


@pytest.fixture
def log(page) -> str:
    """A log of 1 m, 300 mm at the butt and 260 mm at the top: 61.9 litres by Smalian's formula."""
    with page("add") as p:
        return add(p, kind="log", on=FELLED, length=mm(1000), dia_butt=mm(300), dia_top=mm(260)).mark


def note(page, mark: str, **defect) -> None:
    with page("defect") as p:
        p.put(Defect(piece_id=Names(p.connection).piece(mark).id, on_last=ON.last, **defect))


def test_end_checks_stay_with_the_ends_they_are_on(book, page, log):
    note(page, log, kind="end check", end="butt", length_mm=40)
    note(page, log, kind="end check", end="top", length_mm=30)
    with page() as p:
        done = cut(p, piece=log, lengths=[mm(480), mm(260), mm(244)], on=ON)
    assert done.rest_mm == 0
    butt, middle, top = (child.mark for child in done.children)
    assert defects(book, butt) == [("end check", "butt", None, 40)]
    assert defects(book, middle) == []
    assert defects(book, top) == [("end check", "top", None, 30)]


def test_a_check_longer_than_what_is_left_over_reaches_into_the_last_length(book, page, log):
    note(page, log, kind="end check", end="top", length_mm=120)
    with page() as p:
        done = cut(p, piece=log, lengths=[mm(480), mm(440)], on=ON)  # to 928 of 1000 mm
    assert defects(book, done.children[1].mark) == [("end check", "top", None, 48)]
    assert defects(book, done.children[0].mark) == []


def test_a_check_through_the_first_cut_is_in_both_pieces(book, page, log):
    note(page, log, kind="end check", end="both", length_mm=350)
    with page() as p:
        done = cut(p, piece=log, lengths=[mm(300), mm(684)], on=ON)
    assert defects(book, done.children[0].mark) == [("end check", "butt", None, 300)]
    assert defects(book, done.children[1].mark) == [("end check", "both", None, 350)]


def test_a_knot_is_in_the_length_it_lies_in(book, page, log):
    note(page, log, kind="loose knot", from_butt_mm=600, length_mm=40)
    with page() as p:
        done = cut(p, piece=log, lengths=[mm(492), mm(492)], on=ON)
    assert defects(book, done.children[0].mark) == []
    assert defects(book, done.children[1].mark) == [("loose knot", None, 100, 40)]


def test_a_defect_of_no_known_place_goes_to_every_length_and_is_named(book, page, log):
    note(page, log, kind="ring shake")
    with page() as p:
        done = cut(p, piece=log, lengths=[mm(492), mm(492)], on=ON)
    assert "ring shake" in done.warnings[0]
    for child in done.children:
        assert defects(book, child.mark) == [("ring shake", None, None, None)]


def test_the_kept_rest_loses_what_was_cut_off_with_its_butt(book, page, log):
    note(page, log, kind="end check", end="butt", length_mm=40)
    note(page, log, kind="loose knot", from_butt_mm=600)
    with page() as p:
        done = cut(p, piece=log, lengths=[mm(292)], on=ON, keep_rest=True)
    assert defects(book, done.children[0].mark) == [("end check", "butt", None, 40)]
    assert defects(book, log) == [("loose knot", None, 300, None)]
