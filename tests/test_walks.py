"""Walks with the scales: what is taken along, the days to come, and a pause of the reminders."""

import json
from datetime import date, timedelta
from itertools import pairwise

import pytest
from desk_side import Rick
from due_books import SHED, drying, due, duties, tell
from hypothesis import given
from hypothesis import strategies as st

from stock.marks import mark
from stock.survey import walks
from stock.survey.duties import Due
from stock.survey.intervals import Interval
from stock.survey.piece import Piece
from stock.survey.walks import ALONG_DAYS

DAY = date(2026, 5, 20)


@pytest.fixture
def rick(tmp_path, monkeypatch, capsys) -> Rick:
    return Rick(tmp_path / "book.rick", monkeypatch, capsys)


def weighed(rick: Rick, place: str, *ages: int) -> None:
    """A new blank in a place, weighed so many days before the day; one weighing makes it due after a week."""
    number = len(json.loads(rick("list", "--json").out)) + 1 if rick.book.exists() else 1
    tell(
        rick,
        "book units metric",
        f"add --kind blank --square 51mm --length 330mm --place '{place}' --on 2026-01-01",
        *(f"weigh {mark(number)} {400 + age}g --on {DAY - timedelta(days=age)}" for age in ages),
    )


# Taken along


@pytest.mark.parametrize(
    ("place", "age", "along"),
    [
        ("shed / rack 2", 4, True),  # due in 3 days, with half its week gone
        ("shed / rack 2", 3, False),  # weighed too lately
        ("shed / rack 9", 4, True),  # in the shed anyway
        ("shop", 4, False),  # nobody goes there
    ],
)
def test_what_is_nearly_due_is_taken_along_where_one_goes_anyway(rick, place, age, along):
    weighed(rick, "shed / rack 2", 8)
    weighed(rick, place, age)
    found = due(rick, DAY)
    assert found["1B"]["taken_along"] is False
    assert ("2C" in found) is along
    if along:
        assert found["2C"]["taken_along"] is True
        assert found["2C"]["days_late"] == 0
        assert "along" in rick("due", today=DAY).out


def test_nothing_is_taken_along_if_nobody_goes(rick):
    weighed(rick, "shed / rack 2", 5)
    assert due(rick, DAY) == {}


def test_the_walk_goes_by_the_numbers_of_the_places(rick):
    for place in ("shop", "attic", "shed / rack 2", "shed / rack 1"):
        weighed(rick, place, 9)
    tell(rick, "move --place shed --walk 1 --on 2026-01-01", "move --place shop --walk 2 --on 2026-01-01")
    assert [one["place"] for one in due(rick, DAY).values()] == ["shed / rack 1", "shed / rack 2", "shop", "attic"]


# When nothing is due


def test_if_nothing_is_due_the_next_day_is_told(rick):
    weighed(rick, "shed / rack 2", 2)
    weighed(rick, "shop", 2)
    said = rick("due", today=DAY)
    assert said.out == "Nothing is due. Next: 2 pieces on 25 May 2026, in 5 days (shed / rack 2, shop).\n"
    assert rick("due", "--json", today=DAY).json == []
    assert rick("due", "--csv", today=DAY).out.count("\n") == 1


def test_an_empty_book_has_nothing_to_weigh(rick):
    tell(rick, "book units metric")
    assert rick("due", today=DAY).out == "Nothing is due, and nothing on hand is to be weighed.\n"


# The days to come


def _due(number: int, in_days: int, every_days: int) -> Due:
    on = DAY + timedelta(days=in_days)
    piece = Piece(**{**dict.fromkeys(Piece.__dataclass_fields__), "id": number})
    return Due(piece, DAY, on, max(on, DAY), Interval(on, "", every_days), every_days, None, None, None)


@given(st.lists(st.tuples(st.integers(-40, 60), st.sampled_from([3, 7, 10, 14, 30, 44, 91])), min_size=1, max_size=12))
def test_every_walk_is_needed_and_no_piece_is_late_or_weighed_twice_over(some):
    pieces = [_due(i, *one) for i, one in enumerate(some)]
    last = DAY + timedelta(days=60)
    visits = walks._visits(pieces, DAY, last)
    days = [day for day, _ in visits]
    assert days == sorted(set(days))
    assert all(DAY <= day <= last for day in days)
    for one in pieces:
        mine = [day for day, taken in visits if one.piece.id in {t.piece.id for t in taken}]
        wanted = max(one.due_on, DAY)
        for day in mine:
            early = (wanted - day).days
            assert 0 <= early <= min(ALONG_DAYS, one.every_days // 2)
            wanted = day + timedelta(days=one.every_days)
        assert wanted > last  # none is left out
    assert all(taken for _, taken in visits)


def test_pieces_weighed_on_different_days_fall_into_step(rick):
    weighed(rick, "shed / rack 2", 6)
    weighed(rick, "shed / rack 2", 2)
    found = walks.ahead(duties(rick, DAY), 28)
    marks = [[one.piece.mark for one in walk.pieces] for walk in found]
    assert marks == [["1B"], ["1B", "2C"], ["1B", "2C"], ["1B", "2C"], ["1B", "2C"]]
    assert {(b.on - a.on).days for a, b in pairwise(found[1:])} == {7}


# A pause


def test_a_pause_silences_the_reminders_and_says_how_to_see_them(rick):
    weighed(rick, "shed / rack 2", 9)
    weighed(rick, "shop", 9)
    said = rick("book", "set", "pause", "2027-03-01", today=DAY)
    assert said.out == "pause: 2027-03-01; to end it sooner: rick book set pause off\n"
    assert rick("due", today=DAY).out.splitlines() == [
        "Paused until 1 March 2027; 2 would be due; to see them: rick due --anyway",
        "To end the pause: rick book set pause off",
    ]
    quiet = rick("due", "--json", today=DAY)
    assert quiet.json == []
    assert "2 would be due" in quiet.err
    assert rick("due", "--csv", today=DAY).out.count("\n") == 1
    assert set(due(rick, DAY, "--anyway")) == {"1B", "2C"}
    assert "pause: 2027-03-01" in rick("book", "set", today=DAY).out


def test_a_pause_ends_on_its_day_or_when_it_is_put_off(rick):
    weighed(rick, "shed / rack 2", 9)
    tell(rick, "book set pause 2026-05-28", today=DAY)
    assert due(rick, date(2026, 5, 27)) == {}
    assert set(due(rick, date(2026, 5, 28))) == {"1B"}
    tell(rick, "book set pause off", today=DAY)
    assert set(due(rick, DAY)) == {"1B"}


def test_no_walk_of_a_calendar_falls_into_a_pause(rick):
    weighed(rick, "shed / rack 2", 9)
    first = date(2026, 6, 3)
    assert {walk.on for walk in walks.ahead(duties(rick, DAY), 20, first)} == {first}


def test_t06_silence_proves_nothing(rick):
    """A pause changes what is asked for, never what is known: no piece becomes stable through it."""
    tell(rick, *SHED, *drying("1B"))
    late = date(2026, 8, 25)
    silent = rick("dry", "1B", "--json", today=late).json[0]
    tell(rick, "book set pause 2026-12-01", today=DAY)
    paused = rick("dry", "1B", "--json", today=late).json[0]
    assert paused == silent
    assert paused["verdict"] == "re-weigh"
    assert rick("ready", "--json", today=late).json["ready"] == []
    assert due(rick, late, "--anyway")["1B"]["due_on"] == late.isoformat()


# On the screen


def test_hidden_weights_are_nowhere(rick):
    tell(rick, *SHED, *drying("1B"))
    on = date(2026, 6, 20)
    shown, hidden = rick("due", today=on).out, rick("due", "--hide", today=on).out
    assert "410 g" in shown
    assert "about" in shown
    assert "expect" in shown
    assert "410" not in hidden
    assert "expect" not in hidden


def test_weights_are_told_in_the_unit_of_the_book(rick):
    tell(rick, *SHED, *drying("1B"), "book units --mass oz")
    assert " oz lighter by now" in rick("due", today=date(2026, 6, 20)).out


def test_a_narrow_screen_is_kept_to(rick, monkeypatch):
    tell(rick, *SHED, *drying("1B"))
    monkeypatch.setattr("stock.cli.printing.screen_width", lambda: 80)
    lines = rick("due", today=date(2026, 6, 20)).out.splitlines()
    assert max(len(line) for line in lines) <= 80
    assert lines[-1].endswith(" g lighter")


def test_more_days_than_a_calendar_has_are_refused(rick):
    tell(rick, "book units metric")
    assert rick("due", "--within", "9999999999").code == 2
    assert rick("due", "--within", "3660").code == 0
