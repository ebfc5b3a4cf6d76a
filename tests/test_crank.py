"""The exact series of drying by constant diffusivity (`crank`): long times against short, and published figures.

The worked figures of drying by different laws are computed by those laws here: none of them is in the tool.
"""

import csv
from itertools import pairwise
from math import exp, inf, log, pi
from pathlib import Path

import numpy as np
import pytest
from crank import fo_at, slab, slab_early, slab_resisted, square

from stock.wood.shells import SLOWEST, slowest_mode_days

PUBLISHED = Path(__file__).parent / "published"
SERIES = list(csv.DictReader((PUBLISHED / "crank_series.csv").read_text("utf-8").splitlines()))
TIMES = list(csv.DictReader((PUBLISHED / "crank_times.csv").read_text("utf-8").splitlines()))


@pytest.mark.parametrize("row", SERIES, ids=lambda row: f"Fo {row['fo']}")
def test_the_series_agree_with_each_other_and_with_the_table(row):
    fo = float(row["fo"])
    assert slab(fo) == pytest.approx(slab_early(fo), abs=1e-9)
    assert slab(fo) == pytest.approx(float(row["slab"]), abs=5.1e-7)
    assert square(fo) == pytest.approx(float(row["square"]), abs=5.1e-7)
    assert slab_resisted(fo, 10) == pytest.approx(float(row["slab_biot_10"]), abs=5.1e-7)


@pytest.mark.parametrize("row", TIMES, ids=lambda row: f"{row['shape']} {row['residual']}")
def test_the_times_to_a_share(row):
    fo = fo_at(float(row["residual"]), {"slab": slab, "square": square}[row["shape"]])
    assert fo == pytest.approx(float(row["fo"]), abs=0.51 * float(row["printed_to"]))


def test_other_figures_of_the_series():
    assert slab(pi / 16) == pytest.approx(0.50048, abs=1e-5)  # the square-root law: half at pi / 16
    assert fo_at(0.5, slab) / fo_at(0.5, square) == pytest.approx(2.92, abs=0.005)  # a square beside a wide plank
    assert fo_at(0.1, slab) / fo_at(0.1, square) == pytest.approx(2.22, abs=0.005)
    assert square(1 / SLOWEST) == pytest.approx(0.24269, abs=5e-6)  # after one tau
    ends = 10 * (50 / 400) ** 2  # open ends of a 400 mm piece, ten times as fast along the grain
    assert 1 + ends / 2 == pytest.approx(1.078, abs=5e-4)
    assert square(0.2) * slab(0.2 * ends) == pytest.approx(0.197, abs=5e-4)


@pytest.mark.parametrize(("of", "rate", "share"), [(slab, 2.46740, 0.81057), (square, 4.93480, 0.65702)])
def test_the_slowest_mode(of, rate, share):
    """Its rate, times l^2 / D, and its share at the beginning: pi^2 / 4 and 8 / pi^2 of a slab, of a square both twice
    over, by sum and product."""
    late = [of(fo) for fo in (3.0, 4.0)]
    assert log(late[0] / late[1]) == pytest.approx(rate, abs=5.1e-6)
    assert late[0] * exp(3 * log(late[0] / late[1])) == pytest.approx(share, abs=5.1e-6)
    assert pytest.approx(4.93480, abs=5e-6) == SLOWEST


@pytest.mark.parametrize(
    ("biot", "residuals"),
    [(inf, (0.46355, 0.30114, 0.13550, 0.06150)), (10, (0.58059, 0.40321, 0.20715, 0.10768))],
)
def test_a_square_of_50_mm_and_1_mm2_a_day(biot, residuals):
    """After 50, 100, 200 and 300 days; what a solver is held against."""
    found = [square(day / 625, biot) for day in (50, 100, 200, 300)]
    assert found == pytest.approx(residuals, abs=5.1e-6)


def test_a_few_modes_do_for_a_square():
    """Modes of two slabs multiplied, near-equal rates merged into five lumps: after one tau 0.24259, not 0.24269."""
    odd = 2 * np.arange(40) + 1
    share = 8 / (odd**2 * pi**2)
    share[-1] += 1 - share.sum()
    shares, rates = np.outer(share, share).ravel(), np.add.outer(odd**2, odd**2).ravel() / 2
    edges = (0, 2, 10, 30, 120, inf)
    lumps = [(rates > low) & (rates <= high) for low, high in pairwise(edges)]
    weight = np.array([shares[one].sum() for one in lumps])
    rate = [exp((shares[one] * np.log(rates[one])).sum() / shares[one].sum()) for one in lumps]
    assert weight.sum() == pytest.approx(1)
    assert (weight * np.exp(-np.array(rate))).sum() == pytest.approx(0.24259, abs=5e-6)


def test_one_pair_of_weights_two_laws_two_dates():
    """The excess falls from 0.33 to 0.18 in 40 days. When is it 0.03? By an exponential 118 days later, by a rate that
    falls with the square of the excess 440: two weights do not tell a date."""
    tau = 40 / log(0.33 / 0.18)
    assert (tau, tau * log(6)) == (pytest.approx(65.99, abs=0.005), pytest.approx(118.2, abs=0.05))
    tau = 40 / (0.15 * (1 / 0.18 - 1 / 0.33))
    assert (tau, 0.15 * tau * (1 / 0.03 - 1 / 0.18)) == (pytest.approx(105.6, abs=0.05), pytest.approx(440, abs=0.5))


def test_a_worked_time_of_drying():
    """1.3 mm2/day, 50 mm: tau 97.42 days; half of the excess gone after 32.4 days, nine tenths after 183.4."""
    assert slowest_mode_days(50, 1.3) == pytest.approx(97.42, abs=0.005)
    half, tenth = (fo_at(share, square) * 625 / 1.3 for share in (0.5, 0.1))
    assert (half, tenth) == (pytest.approx(32.4, abs=0.05), pytest.approx(183.4, abs=0.05))
