"""What is written for people to read, and that it is read back as what it was."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.errors import Impossible, Unclear
from stock.measure import length, mass, square, temp
from stock.writing import (
    G_PER_OZ,
    MM_PER_IN,
    both_lengths,
    both_masses,
    both_squares,
    write_length,
    write_mass,
    write_square,
    write_temp,
)


@pytest.mark.parametrize(
    ("mm", "unit", "written"),
    [
        (54, "mm", "54 mm"),
        (53.975, "mm", "54 mm"),
        (53.975, "cm", "5.4 cm"),
        (2100, "m", "2.1 m"),
        (53.975, "in", "2 1/8 in"),
        (52.4, "in", "2 1/16 in"),
        (50.8, "in", "2 in"),
        (12.7, "in", "1/2 in"),
        (1879.6, "in", "74 in"),
        (1879.6, "ft", "6 ft 2 in"),
        (1828.8, "ft", "6 ft"),
        (304.7, "ft", "1 ft"),
        (152.4, "ft", "6 in"),
        (0, "mm", "0 mm"),
        (0, "in", "0 in"),
        (0.06, "mm", "0.06 mm"),
        (0.5, "in", "0.02 in"),
        (-53.975, "in", "-2 1/8 in"),
    ],
)
def test_lengths(mm, unit, written):
    assert write_length(mm, unit) == written


@pytest.mark.parametrize(
    ("g", "unit", "written"),
    [
        (408, "g", "408 g"),
        (499.7, "g", "499.7 g"),
        (499.66, "g", "499.7 g"),
        (1430, "kg", "1.43 kg"),
        (499.7, "oz", "1 lb 1 5/8 oz"),
        (499.7, "lb", "1 lb 1 5/8 oz"),
        (453.59237, "lb", "1 lb"),
        (453.5, "oz", "1 lb"),
        (226.796185, "lb", "8 oz"),
        (11, "oz", "3/8 oz"),
        (0, "oz", "0 oz"),
        (0.5, "oz", "0.02 oz"),
        (-11, "oz", "-3/8 oz"),
    ],
)
def test_weights(g, unit, written):
    assert write_mass(g, unit) == written


@pytest.mark.parametrize(
    ("c", "unit", "written"),
    [(21, "C", "21 C"), (21.06, "C", "21.1 C"), (190 / 9, "F", "70 F"), (-40, "F", "-40 F"), (-0.01, "C", "0 C")],
)
def test_temperatures(c, unit, written):
    assert write_temp(c, unit) == written


def test_both_systems():
    assert both_lengths(54) == "54 mm (2 1/8 in)"
    assert both_lengths(53.975, "in") == "2 1/8 in (54 mm)"
    assert both_lengths(1879.6, "ft") == "6 ft 2 in (1880 mm)"
    assert both_masses(499.7) == "499.7 g (1 lb 1 5/8 oz)"
    assert both_masses(499.7, "lb") == "1 lb 1 5/8 oz (499.7 g)"
    assert both_squares(52, 50) == "52 x 50 mm (2 1/16 x 1 15/16 in)"
    assert both_squares(52, 50, "in") == "2 1/16 x 1 15/16 in (52 x 50 mm)"


def test_squares():
    assert write_square(51, 51) == "51 x 51 mm"
    assert write_square(50.8, 47.625, "in") == "2 x 1 7/8 in"
    assert write_square(50.8, 47.625, "ft") == "2 x 1 7/8 in"


@pytest.mark.parametrize("write", [write_length, write_mass, write_temp])
@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_never_written(write, number):
    with pytest.raises(Impossible):
        write(number)


@pytest.mark.parametrize("write", [write_length, write_mass, write_temp])
def test_a_unit_of_another_kind_is_refused(write):
    with pytest.raises(Unclear):
        write(1.0, "furlong")


# The step of each writing, in mm or g; reading what was written is off by half of it at most.
LENGTH_STEPS = {"mm": 1, "cm": 1, "m": 1, "in": MM_PER_IN / 16, "ft": MM_PER_IN / 16}
MASS_STEPS = {"g": 0.1, "kg": 1, "oz": G_PER_OZ / 8, "lb": G_PER_OZ / 8}


@given(st.floats(0.001, 199_000), st.sampled_from(sorted(LENGTH_STEPS)))
def test_a_written_length_is_read_back(mm, unit):
    written = write_length(mm, unit)
    again = length(written).value
    assert again == pytest.approx(mm, abs=LENGTH_STEPS[unit] / 2 + 1e-6)
    assert write_length(again, unit) == written


@given(st.floats(0.001, 9_000_000), st.sampled_from(sorted(MASS_STEPS)))
def test_a_written_weight_is_read_back(g, unit):
    written = write_mass(g, unit)
    again = mass(written).value
    assert again == pytest.approx(g, abs=MASS_STEPS[unit] / 2 + 1e-6)
    assert write_mass(again, unit) == written


@given(st.floats(-59, 299), st.sampled_from(["C", "F"]))
def test_a_written_temperature_is_read_back(c, unit):
    written = write_temp(c, unit)
    again = temp(written).value
    assert again == pytest.approx(c, abs=0.05 + 1e-9)
    assert write_temp(again, unit) == written


@given(st.floats(1, 500), st.floats(1, 500), st.sampled_from(["mm", "cm", "in"]))
def test_a_written_square_is_read_back(width, thickness, unit):
    read = square(write_square(width, thickness, unit))
    assert [size.value for size in read] == pytest.approx([width, thickness], abs=LENGTH_STEPS[unit] / 2 + 1e-6)
