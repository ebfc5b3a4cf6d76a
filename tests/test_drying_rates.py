"""What finished pieces of one's own do to the belief about new ones: `stock.wood.drying_rates`."""

from math import exp, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.wood.drying import NEW_USER
from stock.wood.drying_rates import FEWEST, FEWEST_OF_A_WOOD, WORTH, Finished, Learned, learn, ln_slower


def after(truth, error_sd, believed):
    """What a fit finds of a piece whose weighings alone would have told `truth` +- `error_sd`: (mean, sd)."""
    mean, sd = believed
    variance = 1 / (1 / sd**2 + 1 / error_sd**2)
    return variance * (mean / sd**2 + truth / error_sd**2), sqrt(variance)


def finished(ln_tau, wood=None, ln_emission=0.0, error_sd=0.2):
    return Finished(
        wood,
        after(ln_tau, error_sd, (NEW_USER.ln_tau, NEW_USER.ln_tau_sd)),
        after(ln_emission, error_sd, (NEW_USER.ln_emission, NEW_USER.ln_emission_sd)),
    )


def test_fewer_than_ten_change_nothing():
    assert learn([]) == Learned(NEW_USER)
    assert learn([finished(3.0, "oak")] * (FEWEST - 1)).of("oak") == NEW_USER


def test_the_belief_counts_as_five_pieces():
    """Ten pieces of ten woods, each exactly known: weights 10 and 5, by hand."""
    told = learn([finished(4.0, f"wood {i}", 0.6, error_sd=1e-4) for i in range(10)]).shop
    assert told.ln_tau == pytest.approx((WORTH * NEW_USER.ln_tau + 10 * 4.0) / (WORTH + 10), abs=1e-6)
    assert told.ln_emission == pytest.approx(10 * 0.6 / (WORTH + 10), abs=1e-6)
    assert told.pieces == 10
    mean = told.ln_tau
    variance = (WORTH * (NEW_USER.ln_tau_sd**2 + (NEW_USER.ln_tau - mean) ** 2) + 10 * (4.0 - mean) ** 2) / (WORTH + 10)
    assert told.ln_tau_sd == pytest.approx(sqrt(variance), abs=1e-5)


def test_many_pieces_of_one_wood_are_no_new_news():
    alike = learn([finished(4.0, "oak")] * 30)
    mixed = learn([finished(4.0, f"wood {i}") for i in range(30)])
    assert abs(alike.shop.ln_tau - NEW_USER.ln_tau) < 0.5 * abs(mixed.shop.ln_tau - NEW_USER.ln_tau)
    assert alike.of("oak").ln_tau == pytest.approx(4.0, abs=0.1)


def test_a_wood_of_five_has_a_belief_of_its_own():
    pieces = [finished(4.9, "oak")] * FEWEST_OF_A_WOOD + [finished(4.0, f"wood {i}") for i in range(12)]
    told = learn(pieces)
    assert set(told.woods) == {"oak"}
    assert told.of("oak").ln_tau > told.shop.ln_tau + 0.2
    assert told.of("wood 3") == told.of(None) == told.shop
    assert told.of("oak").ln_emission == told.shop.ln_emission


@pytest.mark.parametrize("truth", [3.0, 4.0, 5.5])
def test_rough_pieces_teach_less_and_none_teaches_too_much(truth):
    """A step goes towards the truth, the farther the better the pieces are known, and never past it."""
    gone = [
        abs(learn([finished(truth, f"wood {i}", error_sd=sd) for i in range(20)]).shop.ln_tau - NEW_USER.ln_tau)
        for sd in (2.0, 0.45, 0.2, 0.01)
    ]
    assert gone == sorted(gone)
    assert 0 < gone[0] < gone[-1] < abs(truth - NEW_USER.ln_tau)


def test_pieces_that_tell_nothing_leave_the_belief_as_it_is():
    told = learn([finished(3.0, f"wood {i}", error_sd=1e6) for i in range(50)]).shop
    assert (told.ln_tau, told.ln_tau_sd) == pytest.approx((NEW_USER.ln_tau, NEW_USER.ln_tau_sd))
    assert (told.ln_emission, told.ln_emission_sd) == pytest.approx((NEW_USER.ln_emission, NEW_USER.ln_emission_sd))
    assert told.pieces == 50


def test_the_order_of_pieces_does_not_matter():
    pieces = [finished(3.5 + 0.1 * i, f"wood {i % 3}", 0.1 * i) for i in range(15)]
    there, back = learn(pieces), learn(pieces[::-1])
    assert there.shop.ln_tau == pytest.approx(back.shop.ln_tau)
    assert there.shop.ln_tau_sd == pytest.approx(back.shop.ln_tau_sd)
    assert there.woods.keys() == back.woods.keys() == {"wood 0", "wood 1", "wood 2"}


def test_a_hundred_pieces_are_believed():
    rng = np.random.default_rng(3)
    pieces = [finished(3.7 + 0.35 * rng.normal() + 0.15 * rng.normal(), f"wood {i % 40}", 0.8) for i in range(100)]
    told = learn(pieces).shop
    assert told.ln_tau == pytest.approx(3.8, abs=0.1)
    assert told.ln_tau_sd == pytest.approx(0.40, abs=0.1)
    assert told.ln_emission == pytest.approx(0.75, abs=0.1)
    assert told.ln_emission_sd < 0.4


@given(
    st.lists(
        st.tuples(st.floats(1, 8), st.sampled_from(["oak", "ash", None]), st.floats(-3, 3), st.floats(0.001, 10)),
        max_size=40,
    )
)
def test_the_belief_stays_a_belief(told):
    learned = learn([finished(*one) for one in told])
    for prior in (learned.shop, *learned.woods.values()):
        assert 1 <= prior.ln_tau <= 8
        assert 0 < prior.ln_tau_sd < 5
        assert 0 < prior.ln_emission_sd < 5
        assert (prior.misfit, prior.pace_sd) == (NEW_USER.misfit, NEW_USER.pace_sd)


def test_oaks_are_slow_and_nothing_else_is_thought_to_be():
    """Between what a table of the trade and what sawyers tell make of it, 15 and 65 %; see the table's own comment."""
    assert 1.15 < exp(ln_slower("Quercus")) < 1.65
    assert ln_slower("Fagus") == ln_slower("") == ln_slower(None) == 0
