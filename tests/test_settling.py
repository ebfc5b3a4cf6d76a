"""Settings: kept from a day on, and only such as can be read again."""

import pytest
from found import rows
from said import day

from stock.book import opening
from stock.book.facts import settings
from stock.errors import Impossible, Unclear
from stock.survey.targets import target_of
from stock.yard.settling import SETTINGS, setting

ON = day("2026-05-03")


@pytest.mark.parametrize(
    ("name", "typed", "kept"),
    [
        ("unit.length", "IN", "in"),
        ("unit.mass", "g", "g"),
        ("unit.temp", "f", "F"),
        ("target", "8", "8"),
        ("target", " 8.5 % ", "8.5"),
        ("target", "room 21 45", "room 21 45"),
        ("target", "Room 21 C, 45 %", "room 21 45"),
        ("target", "room 68F 45%", "room 20 45"),
        ("target", "heated house", "heated house"),
        ("band", "2", "2"),
        ("dates", "day-first", "day-first"),
        ("hemisphere", "South", "south"),
        ("pause", "2027-03-01", "2027-03-01"),
        ("pause", "1 March 2027", "2027-03-01"),
        ("pause", "March 2027", "2027-03-01"),
        ("pause", "Off", "off"),
    ],
)
def test_a_setting_is_kept_in_one_way(page, name, typed, kept):
    with page() as p:
        assert setting(p, name=name, value=typed, on=ON).value == kept


def test_every_setting_is_tested():
    units = {"unit.length", "unit.mass", "unit.temp"}
    assert set(SETTINGS) == {*units, "target", "band", "dates", "hemisphere", "pause"}


@pytest.mark.parametrize("typed", ["8", "11 %", "damp coast", "room 21 C 45 %"])
def test_a_target_that_is_kept_can_be_read(page, typed):
    with page() as p:
        kept = setting(p, name="target", value=typed, on=ON).value
    assert 5 < target_of({"target": kept}).mc_pct < 12


def test_a_setting_holds_from_its_day_on(book, page):
    with page() as p:
        first = setting(p, name="target", value="8", on=day("2026-02-01"))
        second = setting(p, name="target", value="10", on=day("2026-04-01"))
    assert (first.was, second.was) == ("", "8")
    with opening.reading(book) as connection:
        assert [
            settings(connection, day(d).last).get("target") for d in ("2026-01-01", "2026-03-01", "2026-05-01")
        ] == [
            None,
            "8",
            "10",
        ]


@pytest.mark.parametrize(
    ("name", "value", "refusal"),
    [
        ("colour", "red", Unclear),
        ("unit.length", "furlong", Unclear),
        ("unit.mass", "", Unclear),
        ("target", "dry", Unclear),
        ("target", "nan", Unclear),
        ("target", "inf %", Unclear),
        ("target", "80", Impossible),
        ("target", "-8", Unclear),
        ("target", "room 21 145", Impossible),
        ("target", "room 68 45", Unclear),
        ("target", "room nan 45", Unclear),
        ("band", "0", Impossible),
        ("dates", "year-first", Unclear),
        ("hemisphere", "east", Unclear),
        ("pause", "2026-05-03", Impossible),
        ("pause", "yesterday", Unclear),
        ("pause", "today", Unclear),
        ("pause", "before 2027", Unclear),
        ("pause", "3/5/2027", Unclear),
        ("pause", "2072-03-01", Impossible),
        ("pause", "2027-02-30", Impossible),
        ("pause", "nan", Unclear),
    ],
)
def test_what_cannot_be_set_is_refused(book, page, name, value, refusal):
    with pytest.raises(refusal), page() as p:
        setting(p, name=name, value=value, on=ON)
    assert rows(book, "setting") == []


def test_a_pause_is_read_in_the_order_of_the_books_dates(page):
    with page() as p:
        assert setting(p, name="pause", value="3/5/2027", on=ON, date_order="day-first").value == "2027-05-03"
        assert setting(p, name="pause", value="3/5/2027", on=ON, date_order="month-first").value == "2027-03-05"
