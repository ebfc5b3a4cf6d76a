"""No drier than its air: the rest of a bell curve above a floor, held against drawing from it."""

import math
import random
from statistics import NormalDist, fmean, pstdev, quantiles

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.errors import Impossible
from stock.wood.driest import no_drier_than


def test_a_floor_far_below_changes_nothing():
    cut = no_drier_than(590, math.log(506.02), 0.024**2, -20)
    want = [100 * (590 / 506.02 * math.exp(NormalDist().inv_cdf(q) * 0.024) - 1) for q in (0.1, 0.5, 0.9)]
    assert cut.mc_pct == pytest.approx(want, abs=1e-6)
    assert cut.ln_sd == pytest.approx(0.024)


def test_what_is_left_is_what_drawing_leaves():
    dice = random.Random(4)
    middle, sd, floor = math.log(640 / 635), 0.036, 7.0
    draws = [m for _ in range(400_000) if (m := dice.gauss(middle, sd)) >= math.log(1.07)]
    cut = no_drier_than(640, math.log(635), sd**2, floor)
    tenths = quantiles(draws, n=10)
    assert cut.mc_pct[0] == pytest.approx(100 * (math.exp(tenths[0]) - 1), abs=0.1)
    assert cut.mc_pct[1] == pytest.approx(100 * (math.exp(tenths[4]) - 1), abs=0.1)
    assert cut.mc_pct[2] == pytest.approx(100 * (math.exp(tenths[8]) - 1), abs=0.2)
    assert cut.ln_sd == pytest.approx(pstdev(draws), rel=0.03)
    assert fmean(draws) > middle


def test_a_floor_that_nothing_reaches_is_a_contradiction():
    assert no_drier_than(500, math.log(520), 0.005**2, 7.0) is None


@given(
    st.floats(100, 2000), st.floats(-0.2, 0.6), st.floats(0.005, 0.2), st.floats(0, 25)
)  # net mass, ln(1 + M), its sd, floor
def test_nothing_is_told_below_the_floor_and_the_order_holds(net_g, ln_moist, sd, floor_pct):
    cut = no_drier_than(net_g, math.log(net_g) - ln_moist, sd**2, floor_pct)
    if cut is not None:
        low, median, high = cut.mc_pct
        assert floor_pct - 1e-6 <= low <= median <= high
        assert 0 < cut.ln_sd <= sd * (1 + 1e-9)
        assert 0 < cut.left <= 1


@pytest.mark.parametrize("bad", [(0, 6, 0.01, 7), (500, 6, 0, 7), (500, 6, float("nan"), 7), (500, 6, 0.01, -100)])
def test_what_cannot_be_is_refused(bad):
    with pytest.raises(Impossible):
        no_drier_than(*bad)
