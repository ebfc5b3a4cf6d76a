"""Single facts as rows of the ledger: their values and spreads by hand, and what is refused.

The arithmetic is our own; W10 continues the worked examples of test_ledger.py.
"""

from math import exp, sqrt

import pytest

from stock.errors import Impossible
from stock.wood.evidence import (
    Row,
    Slice,
    green_volume,
    meter,
    meter_error,
    plateau,
    section,
    section_density,
    shared_error,
    tree_density,
    tree_scatter_sd,
    volume,
    weighed_at_section,
    whole_piece_dry,
)
from stock.wood.ledger import solve
from stock.wood.operations import core_mc_pct, decay, dry_shell_removed, resawn, trim_by_length, trim_weighed, vague


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


def read(pieces, *, set_for_wood=True, settled=True):
    """Each piece read once, 590 g at 16 %, with one meter."""
    rows = [meter(one, "e", 590, 16, set_for_wood=set_for_wood, settled=settled) for one in pieces]
    return solve([meter_error("e", set_for_wood=set_for_wood), *rows])


def test_meter_by_hand():
    """Our own arithmetic: 590 g at 16 % is 508.62 g dry; 2 points of 116 are 1.724 %, 3.5 are 3.017 %."""
    found = read(["B1"])
    assert exp(found.mean("B1")) == pytest.approx(508.62, abs=0.005)
    assert sqrt(found.variance("B1")) == pytest.approx(0.01724, abs=1e-5)
    assert sqrt(read(["B1"], set_for_wood=False).variance("B1")) == pytest.approx(0.03017, abs=1e-5)
    assert sqrt(read(["B1"], settled=False).variance("B1")) == pytest.approx(1.5 * 0.01724, abs=1e-5)
    for reading_pct in (5, 28, float("nan")):
        with pytest.raises(Impossible):
            meter("B1", "e", 590, reading_pct, set_for_wood=True, settled=True)


def test_many_readings_of_one_meter_share_half_of_their_variance():
    """Our own arithmetic: twenty readings of one piece leave 1/2 + 1/40 of the variance of one."""
    often = read(["B1"] * 20).variance("B1")
    assert often == pytest.approx((0.5 + 0.5 / 20) * read(["B1"]).variance("B1"), rel=1e-6)
    two = read(["B1", "B2"])
    assert two.covariance("B1", "B2") == pytest.approx(two.variance("B1") / 2)


def test_pieces_that_settled_in_one_place_share_the_error_of_its_air():
    """Our own arithmetic: 0.8 points of the air and 0.9 of the piece are 1.204 points; of 113 % that is 1.0656 %."""
    rows = [plateau(one, "air", 566, 12) for one in ("B1", "B2")]
    found = solve([shared_error("air", 0.8, "air", "the air"), *rows])
    assert exp(found.mean("B1")) == pytest.approx(566 / 1.13)
    assert sqrt(found.variance("B1")) == pytest.approx(0.010656, abs=1e-6)
    assert found.covariance("B1", "B2") == pytest.approx((0.008 / 1.13) ** 2)


def test_a_size_measured_after_half_of_the_shrinkage():
    """Our own arithmetic: 1000 cm3 after half of 12 % was green 1000 / 0.94; 0.3 of 12 % is 3.83 % of that."""
    assert green_volume(1000, 12, 0, 0) == (1000, 0)
    assert green_volume(1000, 12, 0.5, 0.3) == pytest.approx((1063.830, 0.03830), abs=0.001)
    unknown = green_volume(1000, None, 0.5, 0.3)
    assert unknown == pytest.approx((1000, 0.0700), abs=0.0001)
    with pytest.raises(Impossible):
        green_volume(1000, 120, 0.5, 0.3)


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
        lambda: meter("a", "e", bad, 12, set_for_wood=True, settled=True),
        lambda: plateau("a", "air", bad, 12),
        lambda: shared_error("e", bad if bad != -1 else 0, "k", "w"),
        lambda: green_volume(bad, 12, 0, 0),
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
        lambda: meter("a", "e", 500, 12, set_for_wood=True, settled=True, mass_var_g2=bad),
        lambda: plateau("a", "air", 500, bad),
        lambda: plateau("a", "air", 500, 12, lag_pct=bad),
        lambda: green_volume(500, bad, 0.5, 0.3),
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
