"""Colour differences and L*a*b*, asked against what is published and against another library."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from skimage.color import deltaE_ciede2000, rgb2lab

from stock.errors import Impossible
from stock.wood.colour import ciede2000, ciede2000_many, lab_of_light, lab_of_linear, lab_of_srgb, linear_of_srgb

# Sharma, Wu and Dalal, Color Research & Application 30(1), 2005, Table 1: 34 pairs, printed to 0.0001, so that rounding
# alone allows 0.00005. Fetched.
_FILE = Path(__file__).parent / "published" / "ciede2000_pairs.csv"
PAIRS = list(csv.DictReader(_FILE.read_text(encoding="utf-8").splitlines()))
CHANNEL = st.floats(-128, 128)
COLOUR = st.tuples(st.floats(0, 100), CHANNEL, CHANNEL)
NEAR = st.tuples(*[st.floats(-3, 3)] * 3)


def of_row(row, side):
    return tuple(float(row[f"{channel}{side}"]) for channel in "Lab")


def test_all_published_pairs_are_there():
    assert len(PAIRS) == 34


@pytest.mark.parametrize("row", PAIRS, ids=lambda row: row["pair"])
def test_every_published_pair(row):
    published = float(row["dE00_published"])
    assert ciede2000(of_row(row, 1), of_row(row, 2)) == pytest.approx(published, abs=5.01e-5)
    assert ciede2000(of_row(row, 2), of_row(row, 1)) == pytest.approx(published, abs=5.01e-5)


def test_arrays_give_what_single_pairs_give():
    one, other = (np.array([of_row(row, side) for row in PAIRS]) for side in (1, 2))
    single = [[ciede2000(tuple(a), tuple(b)) for b in other.tolist()] for a in one.tolist()]
    many = ciede2000_many(one[:, None], other[None])
    assert many.shape == (34, 34)
    assert many == pytest.approx(np.array(single), abs=1e-9)


@given(COLOUR, COLOUR)
def test_any_two_colours_as_scikit_image_has_them(one, other):
    found = ciede2000(one, other)
    assert found == pytest.approx(float(deltaE_ciede2000(one, other)), abs=1e-9)
    assert found == pytest.approx(float(ciede2000_many(one, other)), abs=1e-9)


@given(COLOUR, NEAR)
def test_near_colours_as_scikit_image_has_them(one, step):
    other = tuple(channel + more for channel, more in zip(one, step, strict=True))
    assert ciede2000(one, other) == pytest.approx(float(deltaE_ciede2000(one, other)), abs=1e-7)


@given(COLOUR, COLOUR)
def test_a_difference_is_the_same_both_ways_and_nothing_for_equals(one, other):
    assert ciede2000(one, one) == 0
    assert ciede2000(one, other) == pytest.approx(ciede2000(other, one), abs=1e-9)
    assert ciede2000(one, other) >= 0


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf, 1e300])
def test_a_channel_that_is_no_number_is_refused(bad):
    good = (50.0, 0.0, 0.0)
    for channel in range(3):
        colour = tuple(bad if at == channel else 0.0 for at in range(3))
        for pair in ((colour, good), (good, colour)):
            with pytest.raises(Impossible):
                ciede2000(*pair)
            with pytest.raises(Impossible):
                ciede2000_many(*pair)


def test_colours_of_two_channels_are_refused():
    with pytest.raises(Impossible, match="three channels"):
        ciede2000_many(np.zeros((4, 2)), np.zeros((4, 2)))


# L*a*b*. scikit-image has the matrix to one digit more and the white of ASTM E308: 0.02 apart at most.


@settings(max_examples=300)
@given(st.tuples(*[st.floats(0, 1)] * 3))
def test_any_value_of_a_picture_as_scikit_image_has_it(rgb):
    assert lab_of_srgb(rgb) == pytest.approx(rgb2lab(rgb), abs=0.03)


def test_white_grey_and_black_have_no_colour():
    """CIE 15:2004: white is L* 100; a luminance of 18.42 % is L* 50."""
    assert lab_of_srgb([1, 1, 1]) == pytest.approx([100, 0, 0], abs=1e-9)
    assert lab_of_srgb([0, 0, 0]) == pytest.approx([0, 0, 0], abs=1e-9)
    assert lab_of_linear([0.184187] * 3) == pytest.approx([50, 0, 0], abs=1e-3)
    assert lab_of_light([0.184187] * 3) == pytest.approx((50, 0, 0), abs=1e-3)


def test_the_two_pieces_of_each_curve_meet():
    """IEC 61966-2-1 at 0.04045 and CIE 15 at (6/29)**3: the standards' own rounding leaves less than this."""
    assert linear_of_srgb(0.04045) == pytest.approx(float(linear_of_srgb(0.0404501)), abs=1e-6)
    below, above = lab_of_linear([(6 / 29) ** 3 - 1e-9] * 3), lab_of_linear([(6 / 29) ** 3 + 1e-9] * 3)
    assert below == pytest.approx(above, abs=1e-4)
