"""The shells of `stock.wood.shells` against the exact series for constant diffusivity, computed apart in `crank`."""

import csv
from itertools import pairwise
from math import exp, log, pi, sin, sqrt
from pathlib import Path

import numpy as np
import pytest
from crank import slab, slab_resisted, square
from hypothesis import given, settings
from hypothesis import strategies as st

from stock.errors import Impossible
from stock.wood.shells import (
    EMISSION_MM_DAY,
    FACES,
    SATURATION,
    SLOWEST,
    STEEPNESS,
    STEEPNESS_SD,
    Weather,
    Wood,
    clock_rate,
    equivalent_square_mm,
    march,
    nodes_to,
    slowest_mode_days,
)

PUBLISHED = Path(__file__).parent / "published"
SERIES = list(csv.DictReader((PUBLISHED / "crank_series.csv").read_text("utf-8").splitlines()))
CONSTANT_D = -STEEPNESS / STEEPNESS_SD  # the z at which the diffusivity does not rise with moisture
NO_RESISTANCE = 1e9
SHELL_ERROR = 0.023  # how far six shells and their steps may be off, as a share of the first excess; measured


def one(value):
    return np.full((1, 1), float(value))


def dried(wood, days, *, side_mm=50.0, emc=0.07, nodes=None, pace=1.0):
    """Mean moisture content on some days, in level air at 20 degC."""
    ends = np.array(nodes_to(max(days)) if nodes is None else nodes)
    weather = Weather(ends, np.full((len(ends) - 1, 1), emc), pace * np.diff(ends)[:, None])
    return np.interp(days, ends, march(wood, np.array([side_mm]), weather).mean[:, 0, 0])


def plain(tau, *, start=0.27, emission=NO_RESISTANCE, z=CONSTANT_D, offset=0.0):
    return Wood(one(start), one(tau), one(z), one(offset), one(emission))


def residuals(tau, fos, emission=NO_RESISTANCE, nodes=None):
    days = [fo * SLOWEST * tau for fo in fos]
    return (dried(plain(tau, emission=emission), days, nodes=nodes) - 0.07) / 0.20


@pytest.mark.parametrize("tau", [85, 150, 400])
def test_shells_dry_as_the_series_says(tau):
    fos = [float(row["fo"]) for row in SERIES]
    assert residuals(tau, fos) == pytest.approx([square(fo) for fo in fos], abs=SHELL_ERROR)


@pytest.mark.parametrize("tau", [30, 85, 400])
def test_shells_with_a_resisting_surface(tau):
    biot, half = 10, 25.0
    fos = [float(row["fo"]) for row in SERIES]
    emission = biot * half / (SLOWEST * tau)  # S = Bi D / l
    exact = [slab_resisted(fo, biot) ** 2 for fo in fos]
    assert residuals(tau, fos, emission) == pytest.approx(exact, abs=SHELL_ERROR)


def test_a_surface_that_lets_little_through_rules_alone():
    """Biot 0.02: all of the piece is as moist as its surface, and the excess falls as exp(-2 S t / l)."""
    emission = 0.02 * 25 / (SLOWEST * 10)
    days = [100, 300, 600]
    found = (dried(plain(10, emission=emission), days) - 0.07) / 0.20
    assert found == pytest.approx([exp(-2 * emission * day / 25) for day in days], rel=0.02)


def test_longer_steps_change_little():
    fos = [0.05, 0.1, 0.2, 0.5, 1.0]
    fine = np.linspace(0, SLOWEST * 85, 8000)
    assert residuals(85, fos) == pytest.approx(residuals(85, fos, nodes=fine), abs=0.008)


def test_a_worked_square():
    """1.3 mm2/day, 50 mm: half of the excess gone after 32.4 days, nine tenths after 183.4; and after one tau."""
    tau = slowest_mode_days(50, 1.3)
    excess = (dried(plain(tau), [32.4, 183.4, tau]) - 0.07) / 0.20
    assert excess == pytest.approx([0.5, 0.1, 0.24269], abs=SHELL_ERROR)


@pytest.mark.parametrize(
    ("temp_c", "rate"),
    [(0, 0.3250), (5, 0.4370), (10, 0.5815), (15, 0.7662), (20, 1), (25, 1.2936), (30, 1.6593)],
)
def test_the_clock(temp_c, rate):
    assert clock_rate(temp_c) == pytest.approx(rate, abs=5.1e-5)


def test_nothing_is_lost_through_a_closed_surface():
    found = march(
        plain(60, start=0.8, z=0.0, emission=1e-12),
        np.array([50.0]),
        Weather(np.array(nodes_to(900)), np.full((len(nodes_to(900)) - 1, 1), 0.1), np.diff(nodes_to(900))[:, None]),
    )
    assert found.mean[:, 0, 0] == pytest.approx(np.full(len(nodes_to(900)), 0.8), rel=1e-9)


def test_the_middle_is_the_last_to_dry():
    """Late, the slowest mode alone is left: the excess of the innermost share f of the width is (sin(pi f / 2) / f)^2
    times the mean."""
    nodes = np.array(nodes_to(700))
    weather = Weather(nodes, np.full((len(nodes) - 1, 1), 0.07), np.diff(nodes)[:, None])
    found = march(plain(85), np.array([50.0]), weather)
    assert (found.middle >= found.mean - 1e-12).all()
    late = np.searchsorted(nodes, 250)
    inner = (sin(pi * FACES[1] / 2) / FACES[1]) ** 2
    assert (found.middle[late] - 0.07) / (found.mean[late] - 0.07) == pytest.approx(one(inner), rel=0.05)


@settings(max_examples=60, deadline=None)
@given(
    start=st.floats(0.05, 1.5),
    tau=st.floats(2, 2000),
    z=st.floats(-4, 4),
    offset=st.floats(-0.03, 0.03),
    ln_emission=st.floats(-3, 3),
    emc=st.floats(0.03, 0.2),
    pace=st.floats(0.01, 3),
)
def test_wood_stays_between_its_start_and_its_air(start, tau, z, offset, ln_emission, emc, pace):
    wood = plain(tau, start=start, z=z, offset=offset, emission=EMISSION_MM_DAY * exp(ln_emission))
    days = nodes_to(1277)
    found = dried(wood, days, emc=emc, pace=pace)
    rest = max(emc + offset, 0.001)
    assert found.min() >= min(start, rest) - 1e-9
    assert found.max() <= max(start, rest) + 1e-9
    steps = np.diff(found) if start > rest else -np.diff(found)
    assert (steps <= 1e-9).all()


def test_wood_ends_where_its_air_keeps_it():
    assert dried(plain(20, start=0.5, z=0, offset=0.01), [3000])[0] == pytest.approx(0.08, abs=1e-4)


def test_size_and_time_go_together():
    """Twice the side, four times as slow inside, twice as slow at the surface: the same course, by Biot and Fourier."""
    days = [10, 40, 160]
    small = dried(plain(40, z=0, start=0.6, emission=1.0), days, side_mm=40, nodes=np.arange(0, 161, 1.0))
    big = dried(
        plain(160, z=0, start=0.6, emission=0.5),
        [4 * day for day in days],
        side_mm=80,
        nodes=np.arange(0, 641, 4.0),
    )
    assert big == pytest.approx(small, rel=1e-9)


def test_warmth_is_time():
    """A month at 30 degC is 1.6593 months at 20."""
    nodes = np.arange(0, 61, 2.0)
    warm = dried(plain(80, z=0, start=0.6, emission=1.0), [60], nodes=nodes, pace=clock_rate(30))
    long = dried(plain(80, z=0, start=0.6, emission=1.0), [60 * clock_rate(30)], nodes=nodes * clock_rate(30))
    assert warm == pytest.approx(long, rel=1e-12)


def test_a_change_of_pace_begins_with_its_day():
    nodes = np.array(nodes_to(200))
    weather = Weather(nodes, np.full((len(nodes) - 1, 1), 0.1), np.diff(nodes)[:, None])
    wood = plain(85, start=0.7, z=0, emission=1.0)
    as_was = march(wood, np.array([50.0]), weather).mean
    faster = march(wood, np.array([50.0]), weather, one(1.5), np.array([40.0])).mean
    before = nodes <= 40
    assert (faster[before] == as_was[before]).all()
    assert (faster[~before] < as_was[~before]).all()


def test_a_rectangle_dries_as_a_square_of_the_same_slowest_mode():
    assert equivalent_square_mm(50, 50) == pytest.approx(50)
    assert equivalent_square_mm(60, 40) == equivalent_square_mm(40, 60) == pytest.approx(47.07, abs=0.01)
    assert equivalent_square_mm(40_000, 40) == pytest.approx(40 * sqrt(2), rel=1e-5)
    a, l, w = equivalent_square_mm(60, 40), 30.0, 20.0  # noqa: E741
    late = [slab(t / l**2) * slab(t / w**2) for t in (2000, 3000)]  # D = 1
    assert log(late[0] / late[1]) == pytest.approx(1000 / slowest_mode_days(a, 1), rel=1e-6)


def test_the_shells_fill_the_square():
    assert FACES[0] == 0
    assert FACES[-1] == 1
    assert sum(out**2 - inner**2 for inner, out in pairwise(FACES)) == pytest.approx(1)
    assert 0.25 <= SATURATION <= 0.32


def test_the_steps_of_a_march():
    nodes = nodes_to(1277)
    assert nodes[0] == 0
    assert nodes[-2] < 1277 <= nodes[-1]
    assert {b - a for a, b in pairwise(nodes)} == {2, 4, 10}
    assert {60.0, 240.0} <= set(nodes)
    assert nodes_to(0) == [0, 2]


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), 0, -1])
def test_sizes_that_cannot_be(bad):
    with pytest.raises(Impossible):
        slowest_mode_days(bad, 1)
    with pytest.raises(Impossible):
        slowest_mode_days(50, bad)
    with pytest.raises(Impossible):
        equivalent_square_mm(50, bad)


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), -300])
def test_temperatures_that_cannot_be(bad):
    with pytest.raises(Impossible):
        clock_rate(bad)
