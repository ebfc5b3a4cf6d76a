"""The parts of a forecast: errors that weighings share, blunders, draws. `stock.wood.forecast_errors` and others."""

import numpy as np
import pytest
from squares import ROUNDS, SHED, course, drying, weights, width

from stock.wood.drying import Below, Drying
from stock.wood.forecast import forecast
from stock.wood.forecast_batch import batch, by_day
from stock.wood.forecast_draws import draw, normals, recentred
from stock.wood.forecast_errors import Errors, _blunders, _inner
from stock.wood.forecast_fit import fit

# Shared errors


def test_a_shared_error_is_one_error():
    """Three earlier weights carried over a trim that is wrong by 3 %: told that they share 3 %, it believes the rest;
    told nothing, it takes the step for drying."""
    days = ROUNDS[:8]
    true = weights(500, days)
    net = [value * (1.03 if i < 4 else 1) for i, value in enumerate(true)]
    truth = 100 * (true[-1] / 500 - 1)
    step = tuple(0.03 * value * (i < 4) for i, value in enumerate(net))
    told, untold = (
        forecast(Drying(course(net, days, dry_sd=0.05, shared_g=shared), SHED, (Below(15.0),)))
        for shared in ((step,), ())
    )
    assert abs(told.mc_pct.median - truth) < abs(untold.mc_pct.median - truth)
    assert told.mc_pct.low < truth < told.mc_pct.high


def test_a_coat_of_unsure_mass_makes_the_moisture_unsure():
    sure = forecast(drying(8, dry_sd=0.005))
    unsure = forecast(drying(8, dry_sd=0.005, shared_g=((12.0,) * 8,)))
    assert width(unsure.mc_pct) > 1.3 * width(sure.mc_pct)


def test_errors_are_weighed_by_the_inverse_of_their_covariance():
    rng = np.random.default_rng(1)
    shared = rng.normal(size=(2, 5, 3))
    law, scales = rng.uniform(0.5, 2, (2, 5, 3))
    precision = 1 / (law + scales)
    errors = Errors(law, scales, shared, precision, _inner(shared, precision))
    off = rng.normal(size=(5, 4, 3))
    found = errors.weigh(off)
    for piece in range(3):
        covariance = np.diag(1 / precision[:, piece]) + np.einsum("ji,jk->ik", shared[:, :, piece], shared[:, :, piece])
        assert found[:, :, piece] == pytest.approx(np.linalg.solve(covariance, off[:, :, piece]), abs=1e-12)


def test_blunders_weigh_as_in_students_t():
    """Where the law is exact: precision (nu + 1) / (nu v + r^2), nu = 4."""
    off = np.array([[0.0], [1.0], [5.0], [30.0], [300.0]])
    noise = np.full_like(off, 2.0)
    found = 1 / _blunders(np.zeros_like(off), noise, off)
    assert found == pytest.approx(5 / (4 * 2 + off**2), rel=0.04)


def test_a_blunder_is_told_from_what_the_law_may_miss():
    off = np.array([[20.0], [40.0], [200.0]])
    law, noise = np.full_like(off, 20.0**2), np.ones_like(off)
    believed = 1 / (law + _blunders(law, noise, off))
    assert believed[0, 0] == pytest.approx(1 / 401, rel=0.01)
    assert believed[2, 0] < 0.1 / 401


# Draws


def test_the_numbers_drawn_are_even_and_standard():
    z = normals(128, 0)
    assert z.shape == (8, 128)
    assert z.mean(1) == pytest.approx(np.zeros(8), abs=1e-12)
    assert z.std(1) == pytest.approx(np.ones(8))
    assert (z[:, :64] == -z[:, 64:]).all()
    assert np.abs(np.corrcoef(z) - np.eye(8)).max() < 0.25
    assert not (normals(128, 1) == z).all()


def test_weights_sum_to_one_and_none_rules():
    piece = drying(5)
    its = batch([piece], [by_day(piece)], 1277)
    drawn = draw(its, fit(its), 128, 0)
    assert drawn.weight.sum() == pytest.approx(1)
    assert drawn.weight.max() <= 0.2
    assert 15 < drawn.effective[0] < 128


def test_few_good_draws_are_taken_anew_about_the_good_ones():
    """Two weighings of unknown wood: the first Gaussian lies beside the truth."""
    net = weights(300, (0, 20), start=0.5, tau=60, emission=3.0)
    piece = Drying(course(net, (0, 20), ln_dry=None, density_g_cm3=None), SHED, (Below(15.0),))
    its = batch([piece], [by_day(piece)], 1277)
    first = fit(its)
    assert draw(its, first, 128, 0).effective[0] < 10
    poor = draw(its, first, 1024, 0)
    better = draw(its, recentred(first, poor), 1024, 0)
    assert better.effective[0] > 3 * poor.effective[0]
    assert forecast(piece).effective == pytest.approx(better.effective[0])


def test_more_draws_agree_with_few():
    for asked in (drying(3), drying(6), drying(4, ln_dry=None, density_g_cm3=None)):
        few, many = forecast(asked), forecast(asked, draws=4096)
        assert few.mc_pct.median == pytest.approx(many.mc_pct.median, abs=0.15 * width(many.mc_pct))
        assert width(few.mc_pct) == pytest.approx(width(many.mc_pct), rel=0.25)
        here, there = few.reached[0], many.reached[0]
        for day in filter(None, there.days):  # the chances of a day, as a date may lie in a winter that few reach it in
            assert here.p_by(day) == pytest.approx(there.p_by(day), abs=0.06)
