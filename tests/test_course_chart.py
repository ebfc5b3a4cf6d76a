"""The picture of a course: golden pictures of courses of our own, and what holds of any."""

from datetime import date
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.cli.course_chart import LEAST_WIDTH, ROWS, Height, Picture, draw

FIRST = date(2025, 3, 2).toordinal()


def falling(days: int, step: int = 5, *, spread: float = 0.06) -> list[Height]:
    """A curve from 60 % to 12 %, and its range."""
    found = []
    for day in range(0, days + 1, step):
        middle = 12 + 48 * 0.985**day
        found.append(Height(FIRST + day, middle * (1 - spread), middle, middle * (1 + spread)))
    return found


def at(curve: list[Height], *days: int) -> list[tuple[float, float]]:
    return [(p.day, p.middle) for p in curve if p.day - FIRST in days]


CURVE = falling(700)
DRYING = Picture(
    weighed=at(CURVE, 0, 20, 45, 80, 120),
    unit="%",
    curve=CURVE,
    last_day=FIRST + 120,
    until=FIRST + 400,
    target=14.0,
    target_words="target 14 %",
    dates=(FIRST + 170, FIRST + 210, FIRST + 330),
)


def test_a_course_on_its_way():
    assert draw(DRYING) == [
        "65 % |'",
        "60   |o'",
        "55   |,--",
        "50   |  ,-'",
        "45   |   ,o-'",
        "40   |     ,--'",
        "35   |       ,o--'",
        "30   |          ,---'",
        "25   |             ,-o---'",
        "20   |                 ,,---o::::''",
        "15   |...........................::::(::::::X:::::::::::::::::....).............",
        "10   |                                            ,,,,,,,,,,,,::::::::::::::::::",
        "     +-----------+----------+----------+-----------+----------+---------+-------",
        "                 May 2025   Jul 2025   Sep 2025    Nov 2025   Jan 2026  Mar 2026",
        "o weighed   - fitted   : forecast   ' , four of five lie between   . target 14 %",
        "( early   X likely   ) late",
    ]


def test_a_course_of_one_weighing_is_all_forecast():
    lines = draw(Picture(at(CURVE, 0), "%", CURVE, FIRST, FIRST + 300, 14.0, "target 14 %", (None, FIRST + 210, None)))
    picture = "\n".join(lines)
    assert picture.count("o") == 1 + sum(line.count("o") for line in lines[-2:])
    assert ":::" in picture
    assert "fitted" not in picture


def test_weights_where_nothing_tells_the_moisture():
    weighed = [(FIRST + 10 * i, 600 - 8 * i) for i in range(6)]
    lines = draw(Picture(weighed, "g"))
    assert lines[0].startswith("600 g |o")
    assert lines[-1] == "o weighed"


@pytest.mark.parametrize("height", [0.0, 14.0, 500.0])
def test_weighings_of_one_day_and_of_one_weight(height):
    lines = draw(Picture([(FIRST, height)] * 3, "%"))
    assert sum(line.count("o") for line in lines[:-1]) == 1
    assert "2 Mar 2025" in lines[-2]


def test_ten_years():
    weighed = [(FIRST + 365 * i, 60 * 0.8**i) for i in range(11)]
    lines = draw(Picture(weighed, "%"))
    assert "2026" in lines[-2]
    assert "2034" in lines[-2]
    assert sum(line.count("o") for line in lines[:-1]) == 11


def test_nothing_weighed_is_no_picture():
    assert draw(Picture([], "%", CURVE, FIRST)) == []
    assert draw(Picture([(FIRST, float("nan"))], "%")) == []
    assert draw(Picture([(FIRST, 12.0)], "%", [Height(FIRST, 1.0, float("inf"), 2.0)], FIRST)) == []


def test_a_target_that_is_no_height_marks_its_dates_on_the_axis():
    lines = draw(Picture(DRYING.weighed, "%", CURVE, FIRST + 120, FIRST + 400, dates=DRYING.dates))
    axis = next(line for line in lines if "+" in line)
    assert [sign for sign in axis if sign in "(X)"] == ["(", "X", ")"]


def test_the_signs_lie_where_they_belong():
    """Read off the picture: each weighing within half a row and half a column of its place, the dates on the target."""
    lines = draw(DRYING)
    left = lines[0].index("|") + 1
    columns = 80 - left
    span = 400 / (columns - 1)
    step = 5
    labels = {row: int(line[:left].strip(" |%")) for row, line in enumerate(lines[:ROWS]) if line[:left].strip(" |%")}
    found = [(column, row) for row, line in enumerate(lines[:ROWS]) for column, c in enumerate(line[left:]) if c == "o"]
    assert len(found) == len(DRYING.weighed)
    for (column, row), (day, height) in zip(sorted(found), DRYING.weighed, strict=True):
        assert abs(column * span - (day - FIRST)) <= span / 2 + 1e-9
        assert abs(labels[row] - height) <= step / 2
    for sign, day in zip("(X)", DRYING.dates, strict=True):
        ((row, column),) = [(r, line.index(sign) - left) for r, line in enumerate(lines[:ROWS]) if sign in line[left:]]
        assert abs(column * span - (day - FIRST)) <= span / 2 + 1e-9
        assert abs(labels[row] - 14) <= step / 2


heights = st.floats(0, 2000)
days = st.integers(0, 8000)
curves = st.lists(st.tuples(days, heights, heights, heights), max_size=40).map(
    lambda some: [Height(FIRST + day, *sorted(spread)) for day, *spread in sorted(some)]
)


@given(
    st.lists(st.tuples(days, heights), max_size=30),
    curves,
    st.one_of(st.none(), days),
    st.one_of(st.none(), heights),
    st.tuples(*[st.one_of(st.none(), days)] * 3),
    st.integers(1, 200),
    st.sampled_from(["%", "g", "kg", "oz"]),
)
def test_any_course_fits_and_is_plain(weighed, curve, until, target, dates, width, unit):
    picture = Picture(
        [(FIRST + day, height) for day, height in weighed],
        unit,
        curve,
        FIRST + 100,
        None if until is None else FIRST + until,
        target,
        "target 8 %",
        tuple(None if day is None else FIRST + day for day in dates),
    )
    lines = draw(picture, width)
    assert bool(lines) == bool(weighed)
    assert len(lines) <= ROWS + 9  # a narrow legend takes more lines
    for line in lines:
        assert len(line) <= max(width, LEAST_WIDTH)
        assert line.isascii()
        assert line.isprintable()
        assert line == line.rstrip()
    if lines and width >= 80:
        assert len(lines) <= ROWS + 4
        assert any("o" in line for line in lines[:ROWS])


@given(st.lists(st.floats(0, 200), min_size=2, max_size=20))
def test_a_heavier_weighing_is_never_drawn_lower(values):
    lines = draw(Picture([(FIRST + 50 * i, value) for i, value in enumerate(values)], "%"))
    left = lines[0].index("|") + 1
    rows = {
        line_column: row for row, line in enumerate(lines[:-3]) for line_column, c in enumerate(line[left:]) if c == "o"
    }
    drawn = [rows[column] for column in sorted(rows)]
    assert len(drawn) == len(values)
    for (a, row_a), (b, row_b) in pairwise(zip(values, drawn, strict=True)):
        assert a <= b or row_a <= row_b
        assert a >= b or row_a >= row_b
