"""The solver of the made-up truth (`truth_solver`) against exact solutions (`crank`), another solver and arithmetic."""

from collections.abc import Sequence

import numpy as np
import pytest
from crank import slab, square
from truth_solver import CELLS, Drying, Squares, daily_mc, steps

from stock.wood.air import emc_pct

LINEAR = (np.array([0.0, 0.3]), np.array([0.0, 1.0]))  # activity in proportion to moisture, for the exact solutions


def squares(n: int = 1, **given: float) -> Squares:
    """Squares with a constant diffusivity of 1.3 mm2/day, 50 mm, endless, their surface at once as dry as the air."""
    plain = {"half_mm": 25, "half_length_mm": 1e5, "d_fsp": 1.3, "d_dry": 1, "bend": 0, "d_free": 1, "fsp": 0.3}
    plain |= {"activation_k": 0, "radial": 1, "along": 1, "surface": 1e6, "end": 0, **given}
    return Squares(**{name: np.full(n, float(value)) for name, value in plain.items()})


def left(wood: Squares, days: Sequence[float], cells: tuple[int, int, int], step: float = 0.5) -> list[float]:
    """The share of the water above the air's that is left after so many days."""
    drying = Drying(wood, np.array([0.25]), cells, LINEAR)
    found, at = [], 0.0
    for day in days:
        while at < day - 1e-9:
            drying.step(step, np.array([20.0]), np.array([0.05]))
            at += step
        found.append((drying.mean[0] - 0.05) / 0.2)
    return found


DAYS = (50, 100, 200, 300)


@pytest.mark.parametrize("biot", [np.inf, 10.0, 1.0])
def test_a_square_of_constant_diffusivity_dries_as_the_product_of_two_slabs(biot):
    surface = (
        1e6 if np.isinf(biot) else biot * 1.3 / 25 * 0.3
    )  # mm/day for a unit of activity, of which 0.3 of u is one
    found = left(squares(surface=surface), DAYS, (16, 16, 1), step=0.25)
    assert found == pytest.approx([square(1.3 * day / 625, biot) for day in DAYS], abs=0.003)


@pytest.mark.parametrize(
    ("biot", "exact"),
    [(np.inf, (0.46355, 0.30114, 0.13550, 0.06150)), (10.0, (0.58059, 0.40321, 0.20715, 0.10768))],
)
def test_the_grid_in_use_in_three_dimensions(biot, exact):
    """A square of 1 mm2/day and 400 mm, its ends closed, after 50, 100, 200 and 300 days (`test_crank`)."""
    wood = squares(d_fsp=1, surface=min(1e6, biot / 25 * 0.3), half_length_mm=200)
    assert left(wood, DAYS, CELLS) == pytest.approx(exact, abs=0.006)


def test_open_ends_are_a_third_slab_that_dries_ten_times_as_fast_along_the_grain():
    found = left(squares(half_length_mm=150, along=10, end=1), DAYS, (16, 16, 16), step=0.5)
    exact = [square(1.3 * day / 625) * slab(13 * day / 150**2) for day in DAYS]
    assert found == pytest.approx(exact, abs=0.004)
    assert found[2] < left(squares(half_length_mm=150, along=10, end=0.03, surface=1), DAYS, (8, 8, 6))[2]


def test_across_and_along_the_rings_are_two_slabs_of_their_own():
    # Mean diffusivity 1.3, across over along 1.5: 1.56 and 1.04 mm2/day.
    found = left(squares(radial=1.5), DAYS, (16, 16, 1))
    exact = [slab(1.56 * day / 625) * slab(1.04 * day / 625) for day in DAYS]
    assert found == pytest.approx(exact, abs=0.004)


def test_a_finer_grid_comes_nearer_by_the_square():
    exact = square(1.3 * 100 / 625)
    coarse, fine = (left(squares(), (100,), (n, n, 1), step=0.1)[0] - exact for n in (6, 12))
    assert 0 < 2.5 * fine < coarse < 0.01


def truly_nonlinear(n: int) -> Squares:
    more = {"d_fsp": 4, "d_dry": 0.05, "bend": 0.7, "d_free": 4, "activation_k": 4500, "radial": 1.4}
    return squares(n, **more, along=10, half_length_mm=160, surface=1.2, end=0.05)


def test_no_water_is_lost_but_through_the_surface():
    rng = np.random.default_rng(5)
    drying = Drying(truly_nonlinear(3), np.array([0.9, 0.6, 0.2]))
    begun = drying.mean
    for _, step in steps(200):
        drying.step(step, rng.normal(8, 8, 3), rng.uniform(0.08, 0.16, 3))
    assert drying.mean + drying.lost == pytest.approx(begun, abs=1e-12)
    assert np.all(drying.mean < begun)


def test_wood_in_balance_stays_as_it_is():
    drying = Drying(truly_nonlinear(1), np.array([0.12]))
    for _, step in steps(50):
        drying.step(step, np.array([15.0]), np.array([0.12]))
    assert np.allclose(drying.u, 0.12, atol=1e-12)


def test_the_grid_in_use_is_fine_enough():
    """Against one of twice as many cells each way and steps of a quarter of a day: within 0.6 points while it dries."""
    days = 240
    temp_c, emc = np.full((1, days), 12.0), np.full((1, days), 0.13)
    used = 100 * daily_mc(truly_nonlinear(1), np.array([0.8]), temp_c, emc)[0]
    drying = Drying(truly_nonlinear(1), np.array([0.8]), (16, 16, 12))
    finer = [80.0]
    for quarter in range(4 * days):
        drying.step(0.25, temp_c[:, 0], emc[:, 0])
        if quarter % 4 == 3:
            finer.append(100 * drying.mean[0])
    assert np.abs(used - finer).max() < 0.6
    assert np.abs(used - finer)[120:].max() < 0.4


def test_a_wet_surface_dries_at_a_constant_rate():
    """By hand: two pairs of faces on 25 mm, 0.05 mm/day for a unit of activity, air of which it takes away 0.5."""
    drying = Drying(squares(d_fsp=500, surface=0.05), np.array([0.9]), (8, 8, 1), LINEAR)
    lost = []
    for _ in range(20):
        before = drying.mean[0]
        drying.step(1, np.array([20.0]), np.array([0.15]))
        lost.append(before - drying.mean[0])
    assert lost == pytest.approx([2 * 0.05 * 0.5 / 25] * 20, rel=0.01)


def test_cold_slows_it_down_and_frost_stops_the_free_water():
    # Arrhenius with 4500 K, 0 against 20 degC: exp(-4500 (1/273.15 - 1/293.15)) = 0.3250, arithmetic.
    drying = Drying(squares(activation_k=4500, d_free=4), np.array([0.9]))
    at = {c: drying.diffusivity(np.array([0.2, 0.9]), np.array([c])) for c in (20.0, 0.0, -2.0)}
    assert at[0.0] / at[20.0] == pytest.approx([0.3250, 0.3250], abs=1e-4)
    assert at[20.0][1] / at[20.0][0] == pytest.approx(4)
    assert at[-2.0][1] / at[-2.0][0] == pytest.approx(1.3)


@pytest.mark.parametrize(
    ("temp_c", "rh_pct", "emc"),
    [(21.1, 25, 5.36), (21.1, 60, 10.97), (21.1, 65, 11.96), (20, 50, 9.27), (20, 80, 16.04)],
)
def test_the_one_equation_it_shares_with_the_tool(temp_c, rh_pct, emc):
    """The handbook's sorption equation, worked apart; a printed table has 5.3 at 25 % and 11.1 at 60 % for 21 degC."""
    assert emc_pct(temp_c, rh_pct) == pytest.approx(emc, abs=0.0051)
