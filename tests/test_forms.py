"""What a finished form takes: sums of the shop, and sizes that are never too small."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.errors import Impossible
from stock.wood import forms
from stock.wood.forms import Allowances

IN = 25.4
SHOP = Allowances(kerf_mm=IN / 8, planing_mm=IN / 8)


def test_four_staves_of_ten_inches_from_one_stick():
    """Four of 10 in, three kerfs of 1/8 in and two trims of 1 in are 42 3/8 in: common practice, no source."""
    found = forms.stick_length(4, 10 * IN, SHOP)
    assert found.mm / IN == pytest.approx(42.375)
    assert found.words(lambda mm: f"{mm / IN:g}") == "40 of 4 staves + 0.375 for 3 kerfs + 2 for two end trims"


def test_four_quarters_of_one_square():
    """For 2 in planed, about 4 1/2 in: common practice, no source. Exactly 2 x 2 1/8 and a kerf: 4 3/8."""
    assert forms.quartered_side_mm(2 * IN, SHOP) / IN == pytest.approx(4.375)


def test_a_stave_is_longer_than_its_form():
    """Finished length and 1 1/2 to 2 in: common practice, no source."""
    found = forms.stave_length(8 * IN, Allowances())
    assert found.mm / IN == pytest.approx(10)
    bare = Allowances(glue_end_mm=0, chucking_mm=0)
    assert forms.stave_length(203, bare).mm == 203
    assert forms.stave_length(203, bare).words(str) == "203 finished"


def test_a_block_is_twice_a_stave():
    assert forms.stave_side_mm(100) == 50
    assert forms.diagonal_mm(2 * IN) / IN == pytest.approx(5.657, abs=0.0005)  # a block of 4 in: 5.66 in
    assert forms.rough_side_mm(2 * IN, SHOP) / IN == 2.125


@given(st.floats(0.5, 3000), st.sampled_from(["in", "ft", "mm", "cm", "m"]))
def test_a_size_to_saw_is_never_smaller_and_less_than_a_step_larger(mm, unit):
    step = IN / 16 if unit in ("in", "ft") else 1
    found = forms.rounded_up_mm(mm, unit)
    assert -1e-5 <= found - mm < step
    assert found / step == pytest.approx(round(found / step))


@given(st.integers(1, 4000), st.sampled_from([("in", IN / 16), ("mm", 1.0)]))
def test_a_size_on_the_step_stays_there(count, unit):
    name, step = unit
    assert forms.rounded_up_mm(count * step, name) == pytest.approx(count * step, abs=1e-9)


def test_one_stave_needs_no_kerf():
    assert forms.stick_length(1, 100, Allowances(trim_mm=0)).mm == 100


@pytest.mark.parametrize("odd", [0, -1, float("nan"), float("inf")])
def test_what_cannot_be_is_refused(odd):
    for call in (
        lambda: forms.stave_side_mm(odd),
        lambda: forms.stave_length(odd, SHOP),
        lambda: forms.stick_length(4, odd, SHOP),
        lambda: forms.rough_side_mm(odd, SHOP),
        lambda: forms.diagonal_mm(odd),
        lambda: forms.stick_length(0, 100, SHOP),
    ):
        with pytest.raises(Impossible):
            call()
    if odd:
        with pytest.raises(Impossible):
            Allowances(kerf_mm=odd)
