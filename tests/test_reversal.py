"""Wall and window of a reversed block: worked figures, and every square of a fine grid."""

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.errors import Impossible
from stock.wood.reversal import FRAGILE_MM, reversed_section

IN = 25.4
# side, first cut, first diameter, wall, window, in: worked with another program, elementary geometry, no source
WORKED = [
    (1.00, 0.600, 1.628, 0.400, 0.372),
    (1.00, 0.750, 1.328, 0.250, 0.677),
    (1.00, 0.875, 1.078, 0.125, 0.948),
    (1.50, 0.900, 2.443, 0.600, 0.558),
    (2.00, 1.000, 3.657, 1.000, 0.343),
    (2.00, 1.500, 2.657, 0.500, 1.354),
]


@pytest.mark.parametrize(("side", "cut", "diameter", "wall", "window"), WORKED)
def test_worked_figures(side, cut, diameter, wall, window):
    found = reversed_section(side * IN, cut * IN)
    told = (2 * found.first_radius_mm, found.wall_mm, found.window_mm)
    assert tuple(mm / IN for mm in told) == pytest.approx((diameter, wall, window), abs=0.0006)
    assert found.only_the_ends_hold


def test_the_staves_just_touch_where_the_first_turning_leaves_twice_the_side():
    """First diameter 2 s: cut (sqrt 2 - 1) s = 0.414 s, wall 0.586 s, no window, no glue."""
    found = reversed_section(25.4, (sqrt(2) - 1) * 25.4)
    assert found.wall_mm / IN == pytest.approx(0.586, abs=0.0005)
    assert found.window_mm == 0
    assert found.glue_mm == pytest.approx(0, abs=1e-6)
    assert reversed_section(25.4, 0.42 * 25.4).window_mm > 0
    assert reversed_section(25.4, 0.40 * 25.4).glue_mm > 0


def on_a_grid(side, cut, second, n=900):
    """Wall, window and glue by looking at every point of one quarter of the block: is there wood?"""
    r1 = side * sqrt(2) - cut
    points = [side * (k + 0.5) / n for k in range(n)]

    def is_wood(u, v):
        """Outside the hollow, which is what the first turning left as its outside; inside the second turning."""
        return (side - u) ** 2 + (side - v) ** 2 <= r1 * r1 and u * u + v * v <= second * second

    step = side / n
    wall = sqrt(2) * step * sum(is_wood(p, p) for p in points)
    glue = step * sum(is_wood(p, 0) for p in points)
    nearest = min((v for u in points for v in points if is_wood(u, v)), default=side)
    return wall, 2 * nearest, glue


@pytest.mark.parametrize(
    ("side", "cut", "second"),
    [(1, 0.3, 1), (1, 0.6, 1), (1, 0.75, 1), (1, 0.9, 1), (1, 0.35, 0.8), (1, 0.5, 0.9), (2, 1.0, 2), (1, 0.2, 0.6)],
)
def test_equal_to_looking_at_every_point(side, cut, second):
    found = reversed_section(side, cut, second)
    wall, window, glue = on_a_grid(side, cut, second)
    assert found.wall_mm == pytest.approx(wall, abs=0.004 * side)
    assert found.window_mm == pytest.approx(window, abs=0.007 * side)
    assert found.glue_mm == pytest.approx(glue, abs=0.004 * side)


@given(st.floats(5, 100), st.floats(0.05, 0.99), st.floats(0.05, 1), st.floats(0.1, 10))
def test_twice_the_block_is_twice_everything(side, cut, second, factor):
    one = reversed_section(side, cut * side, second * side)
    other = reversed_section(factor * side, factor * cut * side, factor * second * side)
    for name in ("first_radius_mm", "wall_mm", "window_mm", "glue_mm"):
        assert getattr(other, name) == pytest.approx(factor * getattr(one, name), abs=1e-6 * factor * side)


@given(st.floats(0.05, 1.3), st.floats(0.05, 1.3), st.floats(0.1, 1))
def test_a_deeper_cut_leaves_less(one, other, second):
    less, more = (reversed_section(50, 50 * cut, 50 * second) for cut in sorted((one, other)))
    assert less.wall_mm >= more.wall_mm
    assert less.glue_mm >= more.glue_mm
    assert less.window_mm <= more.window_mm + 1e-9
    assert not (less.window_mm and less.glue_mm)  # a joint that is open is not glued


def test_below_an_eighth_of_an_inch_is_fragile():
    assert not reversed_section(25.4, 25.4 - FRAGILE_MM).fragile
    assert reversed_section(25.4, 25.4 - FRAGILE_MM + 0.01).fragile
    assert FRAGILE_MM == 3.175


def test_nothing_is_left_of_a_cut_as_deep_as_the_side():
    found = reversed_section(25.4, 25.4)
    assert found.falls_apart
    assert found.fragile
    assert found.wall_mm == 0
    assert reversed_section(25.4, 20, 15).falls_apart


@pytest.mark.parametrize(
    "measures", [(0, 1), (-5, 1), (50, 0), (50, -1), (50, 71), (50, 20, 51), (50, 20, 0), (50, 20, -3)]
)
def test_what_cannot_be_is_refused(measures):
    with pytest.raises(Impossible):
        reversed_section(*measures)


@pytest.mark.parametrize("at", range(3))
@pytest.mark.parametrize("odd", [float("nan"), float("inf")])
def test_what_is_no_number_is_refused(at, odd):
    with pytest.raises(Impossible):
        reversed_section(*[odd if i == at else value for i, value in enumerate((50, 20, 50))])
