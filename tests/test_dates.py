"""Dates of known precision (trap T13: the past allowed, the future refused, day and month never guessed)."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.dates import When, day_words, from_iso, read, short_day, words
from stock.errors import Impossible, StockError, Unclear

TODAY = date(2026, 11, 25)
DAYS = st.dates(date(1800, 1, 1), TODAY)


def days(text: str, **how) -> tuple[str | None, str]:
    when = read(text, TODAY, **how)
    assert when.text == text
    return when.first and when.first.isoformat(), when.last.isoformat()


@pytest.mark.parametrize(
    ("text", "first", "last", "said"),
    [
        ("2021-05-03", "2021-05-03", "2021-05-03", "3 May 2021"),
        ("2021-5-3", "2021-05-03", "2021-05-03", "3 May 2021"),
        ("2021/05/03", "2021-05-03", "2021-05-03", "3 May 2021"),
        ("3 May 2021", "2021-05-03", "2021-05-03", "3 May 2021"),
        ("3rd of may, 2021", "2021-05-03", "2021-05-03", "3 May 2021"),
        ("May 3, 2021", "2021-05-03", "2021-05-03", "3 May 2021"),
        ("3-May-2021", "2021-05-03", "2021-05-03", "3 May 2021"),
        ("  today ", "2026-11-25", "2026-11-25", "25 November 2026"),
        ("Yesterday", "2026-11-24", "2026-11-24", "24 November 2026"),
        ("2021-05", "2021-05-01", "2021-05-31", "May 2021"),
        ("May 2021", "2021-05-01", "2021-05-31", "May 2021"),
        ("sept. 2021", "2021-09-01", "2021-09-30", "September 2021"),
        ("2024-02", "2024-02-01", "2024-02-29", "February 2024"),
        ("2021", "2021-01-01", "2021-12-31", "2021"),
        ("spring 2021", "2021-03-01", "2021-05-31", "spring 2021"),
        ("Summer of 2021", "2021-06-01", "2021-08-31", "summer 2021"),
        ("autumn 2021", "2021-09-01", "2021-11-30", "autumn 2021"),
        ("fall 2021", "2021-09-01", "2021-11-30", "fall 2021"),
        ("winter 2021", "2021-12-01", "2022-02-28", "winter 2021/22"),
        ("winter 2019/20", "2019-12-01", "2020-02-29", "winter 2019/20"),
        ("winter 2019-2020", "2019-12-01", "2020-02-29", "winter 2019/20"),
        ("before 2021-05-03", None, "2021-05-02", "before 3 May 2021"),
        ("before 2021", None, "2020-12-31", "before 1 January 2021"),
        ("before spring 2021", None, "2021-02-28", "before 1 March 2021"),
        ("before today", None, "2026-11-24", "before 25 November 2026"),
    ],
)
def test_dates_as_people_write_them(text, first, last, said):
    assert days(text) == (first, last)
    assert words(read(text, TODAY)) == said


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("spring 2021", "2021-09-01", "2021-11-30"),
        ("summer 2020", "2020-12-01", "2021-02-28"),
        ("summer 2020/21", "2020-12-01", "2021-02-28"),
        ("autumn 2021", "2021-03-01", "2021-05-31"),
        ("fall 2021", "2021-03-01", "2021-05-31"),
        ("winter 2021", "2021-06-01", "2021-08-31"),
    ],
)
def test_seasons_of_the_south(text, first, last):
    assert days(text, southern=True) == (first, last)


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("2026", "2026-01-01", "2026-11-25"),
        ("2026-11", "2026-11-01", "2026-11-25"),
        ("autumn 2026", "2026-09-01", "2026-11-25"),
        ("before 2030", None, "2026-11-25"),
        ("before winter 2026", None, "2026-11-25"),
    ],
)
def test_a_time_that_has_begun_ends_today(text, first, last):
    assert days(text) == (first, last)


def test_a_time_that_has_begun_keeps_its_name():
    assert words(read("2026", TODAY)) == "2026"
    assert words(read("2026-11", TODAY)) == "November 2026"


def test_the_future_is_refused_with_todays_date():
    with pytest.raises(Impossible) as refusal:
        read("2027-12-01", TODAY)
    assert refusal.value.message == "1 December 2027 has not come yet (today is 25 November 2026)"


@pytest.mark.parametrize("text", ["2026-11-26", "2026-12", "2027", "spring 2027", "9 Dec 2026", "26/11/2026"])
def test_every_kind_of_future_is_refused(text):
    with pytest.raises(Impossible, match="has not come yet"):
        read(text, TODAY, order="day-first")


def test_a_winter_not_yet_come_says_how_to_name_the_one_before():
    with pytest.raises(Impossible, match="winter 2026/27 has not come yet") as refusal:
        read("winter 2026", TODAY)
    assert "write winter 2025" in refusal.value.hint


def test_day_and_month_are_never_guessed():
    with pytest.raises(Unclear) as refusal:
        read("03/04/2021", TODAY)
    assert refusal.value.message == "03/04/2021 is two dates"
    assert refusal.value.hint == "Write 2021-04-03, or give --dates day-first."
    assert days("03/04/2021", order="day-first") == ("2021-04-03", "2021-04-03")
    assert days("03/04/2021", order="month-first") == ("2021-03-04", "2021-03-04")
    assert days("3.4.2021", order="day-first") == ("2021-04-03", "2021-04-03")
    assert days("before 3-4-2021", order="day-first") == (None, "2021-04-02")


@pytest.mark.parametrize(
    ("text", "way_out"),
    [
        ("25/12/2021", "Write 2021-12-25, or give --dates day-first."),
        ("12/25/2021", "Write 2021-12-25, or give --dates month-first."),
        ("05/05/2021", "Write 2021-05-05, or give --dates day-first."),
        ("03/04/21", "Write it like 2021-05-03."),
    ],
)
def test_a_clear_day_in_a_foreign_form_is_refused_with_the_way_to_write_it(text, way_out):
    with pytest.raises(Unclear) as refusal:
        read(text, TODAY)
    assert refusal.value.hint == way_out


@pytest.mark.parametrize(
    "text",
    [
        *(
            "2021-02-30",
            "2023-02-29",
            "2021-13",
            "2021-13-01",
            "2021-00-10",
            "2021-05-00",
            "31 April 2021",
            "32/13/2021",
        ),
        *("1799", "0000", "0000-01-01", "before 1800", "9999", "9999-12", "winter 9999", "before 9999"),
    ],
)
def test_days_that_cannot_be(text):
    with pytest.raises(Impossible):
        read(text, TODAY)


@pytest.mark.parametrize(
    "text",
    [
        *("", " ", "before", "before before 2021", "tomorrow", "20210503", "2021-05-03T10:00", "may", "3 May", "21"),
        *("spring", "spring 21", "winter 2020/22", "spring 2020/21", "early 2021", "2021-W03", "١٩٩٩", "2021-05/03"),
        *("1430 g", "nan", "2021-05-03x", "\x1b2021", "x" * 300),
    ],
)
def test_what_cannot_be_read_is_refused_with_examples(text):
    with pytest.raises(Unclear) as refusal:
        read(text, TODAY)
    assert "2021" in refusal.value.hint
    assert refusal.value.message.isprintable()
    assert len(refusal.value.message) < 120


@given(DAYS)
def test_a_day_is_read_back_from_every_way_of_writing_it(day):
    for text in (day.isoformat(), day_words(day), short_day(day), f"{day:%Y/%m/%d}"):
        assert read(text, TODAY) == When(day, day, text)
    assert read(f"{day.day}/{day.month}/{day.year}", TODAY, order="day-first").first == day
    assert read(f"{day.month}/{day.day}/{day.year}", TODAY, order="month-first").first == day
    if day > date(1800, 1, 1):
        before = read(f"before {day.isoformat()}", TODAY)
        assert before.first is None
        assert before.last == day - timedelta(days=1)
        assert words(before) == f"before {day_words(day)}"


@given(DAYS, st.booleans())
def test_every_day_lies_in_one_season_and_the_months_agree(day, southern):
    names = ("spring", "summer", "autumn", "winter")
    seasons = [
        read(f"{n} {y}", date(2028, 1, 1), southern=southern)
        for n in names
        for y in (day.year, day.year - 1)
        if y >= 1800
    ]
    holding = [when for when in seasons if when.first and when.first <= day <= when.last]
    assert len(holding) == (0 if day < date(1800, 3, 1) else 1)
    month = read(f"{day:%Y-%m}", date(2028, 1, 1))
    assert month.first == day.replace(day=1)
    assert (month.last + timedelta(days=1)).day == 1
    assert words(from_iso(str(month.first), str(month.last))) == words(month)


@given(st.text(alphabet="0123456789-/. springfallbeforewinterMay,", max_size=20))
def test_any_text_is_read_or_refused_and_never_ends_after_today(text):
    when = When(None, TODAY, "")
    refusal = None
    try:
        when = read(text, TODAY, order="day-first")
    except StockError as raised:
        refusal = raised
    assert refusal is None or refusal.message.isprintable()
    assert when.last <= TODAY
    assert when.first is None or date(1800, 1, 1) <= when.first <= when.last


def test_stored_days_come_back_in_words():
    assert words(from_iso("2021-01-01", "2021-12-31")) == "2021"
    assert words(from_iso("2021-05-01", "2021-05-31")) == "May 2021"
    assert words(from_iso("2021-03-01", "2021-05-31", "spring 2021")) == "spring 2021"
    assert words(from_iso("2021-03-02", "2021-03-09")) == "2 March 2021 to 9 March 2021"
    assert words(from_iso(None, "2021-05-02")) == "before 3 May 2021"
    assert short_day(date(2025, 3, 2)) == "2 Mar 2025"


@pytest.mark.parametrize(("first", "last"), [("2021-05-03", "2021-05-02"), ("x", "2021-05-02"), (None, "2021-02-30")])
def test_stored_days_that_cannot_be(first, last):
    with pytest.raises(Impossible):
        from_iso(first, last)
