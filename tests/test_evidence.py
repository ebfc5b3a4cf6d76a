"""Single facts as rows of the ledger: their values and spreads by hand, and what is refused.

The arithmetic is our own; W10 continues the worked examples of test_ledger.py.
"""

from math import exp, sqrt

import pytest

from stock.errors import Impossible
from stock.wood.evidence import (
    Row,
    Slice,
    core_mc_pct,
    decay,
    dry_shell_removed,
    meter,
    plateau,
    resawn,
    section,
    section_density,
    tree_density,
    tree_scatter_sd,
    trim_by_length,
    trim_weighed,
    vague,
    volume,
    weighed_at_section,
    whole_piece_dry,
)
from stock.wood.ledger import solve


def w1(piece="B1", net_g=842.0, moisture="nu"):
    """A section of 61.4 g wet, 36.9 g dry, on a balance good to 0.1 g, of a piece weighed to 1 g when it was cut."""
    return [section(moisture, [Slice(61.4, 36.9, 0.1)]), weighed_at_section(piece, moisture, net_g, 1.0)]


def test_w10_turning_away_a_dry_shell():
    assert core_mc_pct(20, 12, 0.8) == pytest.approx(23.306, abs=0.001)
    naive = trim_weighed("B1", "core", 600, 400)
    right = dry_shell_removed("B1", "core", 600, 400, mc_pct=20, emc_pct=12, kept=0.8)
    overstated = naive.value - right.value
    assert exp(overstated) - 1 == pytest.approx(0.0276, abs=0.0001)
    assert sqrt(right.variance) == pytest.approx(sqrt(0.01**2 + (overstated / 2) ** 2))
    whole = dry_shell_removed("B1", "core", 600, 400, mc_pct=20, emc_pct=12, kept=1)
    assert (whole.value, whole.variance) == pytest.approx((naive.value, naive.variance))


@pytest.mark.parametrize(("kept", "factor"), [(1, 1), (0.8, 1.4133), (0.6, 1.8181)])
def test_the_core_of_a_drying_square(kept, factor):
    """Our own arithmetic on [sin(pi f / 2) / f] squared."""
    assert core_mc_pct(22, 12, kept) == pytest.approx(12 + 10 * factor, abs=0.001)


def test_a_reference_block_is_known_to_a_thousandth():
    row = whole_piece_dry("block", 250, 0.1)
    assert exp(row.value) == pytest.approx(250)
    assert sqrt(row.variance) == pytest.approx(sqrt((0.1 / 250) ** 2 + 0.001**2))


def test_meter_by_hand():
    """Our own arithmetic: 590 g at 16 % is 508.62 g dry; 2 points of 116 are 1.724 %."""
    row = meter("B1", 590, 16, 2)
    assert exp(row.value) == pytest.approx(508.62, abs=0.005)
    assert sqrt(row.variance) == pytest.approx(0.01724, abs=1e-5)
    for reading_pct in (5, 28, float("nan")):
        with pytest.raises(Impossible):
            meter("B1", 590, reading_pct, 2)


def test_sections_of_two_ends_average_and_of_one_end_do_not():
    one = section("nu", [Slice(61.4, 36.9, 0.01, "butt")])
    both = section("nu", [Slice(61.4, 36.9, 0.01, "butt"), Slice(61.4, 36.9, 0.01, "top")])
    same = section("nu", [Slice(61.4, 36.9, 0.01, "butt"), Slice(61.4, 36.9, 0.01, "butt")])
    assert both.variance == pytest.approx(one.variance / 2)
    assert same.variance == pytest.approx(one.variance, rel=0.01)
    mixed = section("nu", [Slice(17, 10, 0.01, "butt"), Slice(15, 10, 0.01, "butt"), Slice(18, 10, 0.01, "top")])
    assert exp(mixed.value) == pytest.approx(1.70)  # the butt end 60 %, the top 80 %: each end counts alike


def test_a_weighing_days_away_counts_less_and_beyond_three_days_not_at_all():
    variances = [weighed_at_section("B1", "nu", 842, 1.0, days_apart=days).variance for days in (0, 1, 2, 3)]
    assert [sqrt(v - variances[0]) for v in variances] == pytest.approx([0, 0.015, 0.030, 0.045])
    with pytest.raises(Impossible, match="4 days"):
        weighed_at_section("B1", "nu", 842, 1.0, days_apart=4)


def test_a_section_is_also_a_sample_of_the_trees_density():
    found = solve([tree_density("T", 0.55), section_density("T", 36.9, 70.97)])
    assert exp(found.mean("T")) == pytest.approx(0.5284, abs=0.0001)  # 344.8 of 483.2 at 0.5199, the rest at 0.55
    assert found.variance("T") == pytest.approx(1 / (1 / 0.085**2 + 1 / (0.05**2 + 0.02**2)))


def test_rows_in_other_words():
    row = w1()[0].said("section of 2 March 2025")
    assert solve([row, w1()[1]]).evidence("B1")[0].words == "section of 2 March 2025"
    assert w1()[0].words == "1 moisture section, 66 % when cut"


NAN, INF = float("nan"), float("inf")


@pytest.mark.parametrize("bad", [NAN, INF, -1.0, 0.0])
def test_quantities_that_cannot_be_are_refused(bad):
    for call in (
        lambda: section("nu", [Slice(bad, 36.9, 0.1)]),
        lambda: section("nu", [Slice(61.4, bad, 0.1)]),
        lambda: section("nu", [Slice(61.4, 36.9, bad)]),
        lambda: weighed_at_section("a", "nu", bad, 1),
        lambda: weighed_at_section("a", "nu", 842, bad),
        lambda: whole_piece_dry("a", bad, 0.1),
        lambda: meter("a", bad, 12, 2),
        lambda: plateau("a", bad, 12, 1, 1, 1),
        lambda: tree_density("t", bad),
        lambda: volume("a", "t", bad),
        lambda: section_density("t", bad, 70),
        lambda: section_density("t", 40, bad),
        lambda: trim_weighed("a", "b", bad, 1),
        lambda: trim_weighed("a", "b", 1, bad),
        lambda: trim_by_length("a", "b", bad, 1),
        lambda: resawn("a", "b", bad, 1),
        lambda: decay("a", "b", bad - 1),
        lambda: core_mc_pct(20, 12, bad),
        lambda: Row((("a", 1),), 6.2, bad, "k", "w", True),
        lambda: Row((("a", 0),), 6.2, 1, "k", "w", True),
        lambda: Row((), 6.2, 1, "k", "w", True),
    ):
        with pytest.raises(Impossible):
            call()


@pytest.mark.parametrize("bad", [NAN, INF])
def test_spreads_and_moistures_that_are_no_numbers_are_refused(bad):
    for call in (
        lambda: weighed_at_section("a", "nu", 842, 1, days_apart=bad),
        lambda: weighed_at_section("a", "nu", 842, 1, scatter_sd=bad),
        lambda: whole_piece_dry("a", 400, bad),
        lambda: meter("a", 500, 12, bad),
        lambda: plateau("a", 500, bad, 1, 1, 1),
        lambda: plateau("a", 500, 12, 1, bad, 1),
        lambda: tree_density("t", 0.5, bad),
        lambda: volume("a", "t", 70, bad),
        lambda: trim_weighed("a", "b", 2, 1, bad),
        lambda: trim_by_length("a", "b", 2, 1, bad),
        lambda: decay("a", "b", 6, bad),
        lambda: vague("a", "b", bad),
        lambda: core_mc_pct(bad, 12, 0.8),
        lambda: tree_scatter_sd(bad),
        lambda: Row((("a", 1),), bad, 1, "k", "w", True),
        lambda: Row((("a", bad),), 6.2, 1, "k", "w", True),
    ):
        with pytest.raises(Impossible):
            call()


def test_a_trim_or_a_child_is_never_heavier_than_what_it_came_from():
    for call in (
        lambda: trim_weighed("a", "b", 500, 501),
        lambda: trim_by_length("a", "b", 300, 301),
        lambda: resawn("a", "b", 600, 500),
        lambda: section("nu", [Slice(36.9, 61.4, 0.1)]),
        lambda: section("nu", []),
        lambda: decay("a", "b", 100),
        lambda: trim_weighed("a", "a", 500, 400),
    ):
        with pytest.raises(Impossible):
            call()
