"""The oven-dry mass of a lineage: examples worked by hand.

W1 to W10 are our own arithmetic, each step small enough for paper and a pocket calculator; they stand on no outside
authority. The relations they use are those of the sample-board method (Dry Kiln Operator's Manual AH-188, ch. 6) and of
weighted least squares.
"""

from math import exp, log, sqrt

import pytest

from stock.errors import Impossible, Unknown
from stock.wood.evidence import (
    CHILD_SCATTER_SD,
    Row,
    Slice,
    plateau,
    section,
    shared_error,
    tree_density,
    tree_scatter_sd,
    volume,
    weighed_at_section,
    whole_piece_dry,
)
from stock.wood.ledger import Solution, solve, what_if
from stock.wood.moisture import mc_interval_pct, mc_pct
from stock.wood.operations import decay, resawn, trim_by_length, trim_weighed


def w1(piece="B1", net_g=842.0, moisture="nu"):
    """A section of 61.4 g wet, 36.9 g dry, on a balance good to 0.1 g, of a piece weighed to 1 g when it was cut."""
    return [section(moisture, [Slice(61.4, 36.9, 0.1)]), weighed_at_section(piece, moisture, net_g, 1.0)]


def mass_g(solution: Solution, node) -> float:
    return exp(solution.mean(node))


def sd(solution: Solution, node) -> float:
    return sqrt(solution.variance(node))


def moisture(solution: Solution, node, net_g, mass_var_g2=1.0):
    return mc_interval_pct(net_g, solution.mean(node), solution.variance(node), mass_var_g2)


def test_w1_one_section():
    found = solve(w1())
    assert mc_pct(61.4, 36.9) == pytest.approx(66.3957, abs=0.0001)
    assert found.mean("B1") == pytest.approx(6.226582, abs=5e-7)
    assert mass_g(found, "B1") == pytest.approx(506.0228, abs=0.0001)
    assert found.variance("B1") == pytest.approx(5.89285e-4, abs=1e-9)
    assert sd(found, "B1") == pytest.approx(0.024275, abs=5e-7)
    assert moisture(found, "B1", 590) == pytest.approx((16.5955, 13.02, 20.29), abs=0.005)


def test_w1_the_section_and_the_weighing_share_the_variance():
    measured, weighed = w1()
    assert measured.variance == pytest.approx(5.87875e-4, abs=1e-9)
    assert weighed.variance == pytest.approx(1.4105e-6, abs=1e-10)
    assert solve(w1()).variance("nu") == pytest.approx(measured.variance)


def test_w2_density_only():
    found = solve([tree_density("T", 0.55), volume("B1", "T", 1000)])
    assert mass_g(found, "B1") == pytest.approx(550)
    assert sd(found, "B1") == pytest.approx(0.100623, abs=5e-7)
    median, low, high = moisture(found, "B1", 590)
    assert (median, high) == pytest.approx((7.27, 22.04), abs=0.005)
    assert low == 0  # -5.71, and no wood is drier than dry


def w3():
    return [*w1(), tree_density("T", 0.55), volume("B1", "T", 1000)]


def test_w3_section_and_density():
    found = solve(w3())
    assert found.mean("B1") == pytest.approx(6.231165, abs=1e-6)
    assert mass_g(found, "B1") == pytest.approx(508.35, abs=0.005)
    assert sd(found, "B1") == pytest.approx(0.023598, abs=1e-6)
    assert moisture(found, "B1", 590) == pytest.approx((16.06, 12.60, 19.64), abs=0.005)
    assert found.mean("T") == pytest.approx(-0.654034, abs=1e-6)
    assert exp(found.mean("T")) == pytest.approx(0.5199, abs=0.0001)
    assert sd(found, "T") == pytest.approx(0.0485, abs=0.0001)


def test_w4_a_sister_without_a_section():
    found = solve([*w3(), volume("B2", "T", 950)])
    assert mass_g(found, "B2") == pytest.approx(493.95, abs=0.01)
    assert sd(found, "B2") == pytest.approx(0.07248, abs=1e-5)
    alone = solve([tree_density("T", 0.55), volume("B2", "T", 950)])
    assert sd(alone, "B2") == pytest.approx(0.1006, abs=0.0001)


def w5():
    return [*w1("P", 1725.0), resawn("P", "A", 842, 1725), resawn("P", "B", 836, 1725)]


def test_w5_resawn_halves_share_their_errors():
    found = solve(w5())
    assert mass_g(found, "P") == pytest.approx(1036.69, abs=0.005)
    assert sd(found, "P") == pytest.approx(0.024253, abs=1e-6)
    assert mass_g(found, "A") == pytest.approx(506.02, abs=0.005)
    assert mass_g(found, "B") == pytest.approx(502.42, abs=0.005)
    assert sd(found, "A") == pytest.approx(0.031436, abs=1e-6)
    assert found.covariance("A", "B") / found.variance("A") == pytest.approx(0.5952, abs=0.0001)


def w6(net_g=566.0):
    """In air that keeps wood at 12.5 %, give or take 1.2, and a lag of 0.6, give or take 0.5 points."""
    return [
        *w1(),
        shared_error("air", 1.2, "air", "the air of the shed"),
        plateau("B1", "air", net_g, 12.5, lag_pct=0.6, lag_sd_pct=0.5),
    ]


def test_w6_plateau_and_the_tension_between_two_facts():
    settled = solve(w6()[2:])
    assert mass_g(settled, "B1") == pytest.approx(500.44, abs=0.005)
    assert sd(settled, "B1") == pytest.approx(0.011494, abs=1e-6)
    found = solve(w6())
    assert found.mean("B1") == pytest.approx(6.217523, abs=1e-6)
    assert mass_g(found, "B1") == pytest.approx(501.46, abs=0.005)
    assert sd(found, "B1") == pytest.approx(0.010389, abs=1e-6)
    assert moisture(found, "B1", 566) == pytest.approx((12.87, 11.36, 14.41), abs=0.005)
    tensions = {one.kind: one.residual for one in found.evidence("B1")}
    assert abs(tensions["settled"]) == pytest.approx(0.41, abs=0.005)
    assert tensions["section"] == pytest.approx(tensions["settled"])  # nu too low, x too low: the same quarrel
    assert found.disagreements() == ()


def test_w7_sealer():
    found = solve(w1())
    assert moisture(found, "B1", 860 - 12, 1 + 9) == pytest.approx((67.58, 62.39, 72.94), abs=0.005)
    assert moisture(found, "B1", 860)[0] == pytest.approx(69.95, abs=0.005)  # the wax forgotten


def test_w8_a_trim_measured_twice():
    by_length, by_weight = trim_by_length("B1", "B1t", 400, 360), trim_weighed("B1", "B1t", 590, 533)
    assert (by_length.value, sqrt(by_length.variance)) == pytest.approx((-0.105361, 0.007346), abs=1e-6)
    assert (by_weight.value, sqrt(by_weight.variance)) == pytest.approx((-0.101601, 0.01), abs=1e-6)
    found = solve([*w1(), by_length, by_weight])
    ratio, variance = found.ratio("B1t", "B1")
    assert ratio == pytest.approx(-0.104043, abs=1e-6)
    assert sqrt(variance) == pytest.approx(0.005920, abs=1e-6)
    assert mass_g(found, "B1t") == pytest.approx(456.02, abs=0.005)
    assert sd(found, "B1t") == pytest.approx(0.02499, abs=1e-5)


def test_w9_spalting():
    found = solve([*w1(), decay("B1", "spalted", 6, 3)])
    assert mass_g(found, "spalted") == pytest.approx(475.66, abs=0.005)
    assert sd(found, "spalted") == pytest.approx(0.04010, abs=1e-5)
    assert moisture(found, "spalted", 560) == pytest.approx((17.73, 11.83, 23.95), abs=0.005)
    assert moisture(found, "B1", 560)[0] == pytest.approx(10.67, abs=0.005)  # the decay forgotten


def test_t04_a_trim_does_not_dry_wood():
    """Common practice, no source: 668 g at 70 % is 392.9 g dry; 450 g is 14.5 %, and so is what a trim leaves, 420 g.

    Against the dry mass before the trim the same 420 g would read 6.9 % and be called ready.
    """
    rows = [
        Row((("nu", 1),), log(1.70), 1e-4, "section", "70 % when cut", True),
        weighed_at_section("long", "nu", 668, 1.0),
        trim_weighed("long", "short", 450, 420),
    ]
    found = solve(rows)
    assert mass_g(found, "long") == pytest.approx(392.9, abs=0.05)
    assert mass_g(found, "short") == pytest.approx(366.7, abs=0.05)
    assert mc_pct(450, mass_g(found, "long")) == pytest.approx(14.5, abs=0.05)
    assert mc_pct(420, mass_g(found, "short")) == pytest.approx(14.5, abs=0.05)
    assert mc_pct(420, mass_g(found, "long")) == pytest.approx(6.9, abs=0.05)


def test_t08_an_offset_of_the_scales_is_worth_three_quarters_of_a_point():
    """Common practice, no source: 3 g on 400 g."""
    dry = solve([whole_piece_dry("B1", 400, 0.1)])
    read_high = moisture(dry, "B1", 443, 0.01)[0]
    assert read_high - moisture(dry, "B1", 440, 0.01)[0] == pytest.approx(0.75, abs=0.001)


def test_one_section_serves_its_piece_the_children_and_others_of_the_tree():
    scatter = tree_scatter_sd(66.3957)
    assert scatter == pytest.approx(0.12 * 0.663957 / 1.663957, abs=1e-6)
    found = solve(
        [
            *w1("own"),
            weighed_at_section("child", "nu", 400, 1.0, scatter_sd=CHILD_SCATTER_SD),
            weighed_at_section("cousin", "nu", 900, 1.0, scatter_sd=scatter),
        ]
    )
    assert sd(found, "own") < sd(found, "child") < sd(found, "cousin")
    assert mass_g(found, "cousin") == pytest.approx(900 / 1.663957)
    assert found.covariance("own", "cousin") == pytest.approx(found.variance("nu"))  # the section's error is shared


def test_two_sections_months_apart_sharpen_each_other_through_the_dry_mass():
    later = [section("nu2", [Slice(30, 25, 0.01)]), weighed_at_section("B1", "nu2", 610, 1.0)]
    found = solve([*w1(), *later])
    assert sd(found, "B1") < min(sd(solve(w1()), "B1"), sd(solve(later), "B1"))


def test_without_an_absolute_fact_nothing_is_known_but_ratios_are_exact():
    rows = [trim_weighed("a", "b", 600, 500), resawn("b", "c", 240, 500), *w1("elsewhere")]
    found = solve(rows)
    assert [found.knows(node) for node in ("a", "b", "c", "elsewhere", "never heard of")] == [False] * 3 + [True, False]
    assert found.ratio("c", "a") == pytest.approx((log(500 / 600) + log(240 / 500), 0.01**2 + 0.02**2))
    assert found.ratio("a", "c")[0] == pytest.approx(-found.ratio("c", "a")[0])
    assert found.ratio("b", "b") == (0, 0)
    assert found.evidence("a") == ()
    for ask in (found.mean, found.variance, lambda node: found.covariance("elsewhere", node)):
        with pytest.raises(Unknown, match="nothing tells"):
            ask("a")
    for new, old in (("a", "elsewhere"), ("elsewhere", "a"), ("a", "never heard of"), ("never heard of", "a")):
        with pytest.raises(Unknown, match="how"):
            found.ratio(new, old)


def test_ratio_of_two_known_pieces_of_different_trees():
    found = solve([*w1("B1"), *w1("B2", 421.0, "nu of another")])
    assert found.covariance("B1", "B2") == 0
    assert found.ratio("B2", "B1") == pytest.approx((log(0.5), found.variance("B1") + found.variance("B2")))


def test_a_ratio_is_sharper_than_the_masses():
    found = solve(w5())
    assert found.ratio("A", "B")[1] == pytest.approx(2 * 0.02**2)
    assert found.ratio("A", "P")[1] == pytest.approx(0.02**2)


def test_nothing_in_nothing_out():
    found = solve([])
    assert found.nodes == ()
    assert not found.knows("B1")
    assert found.disagreements() == ()


def test_two_facts_that_cannot_both_be_true_are_both_named():
    named = solve(w6(700)).disagreements()
    assert {row.kind for row, _ in named} == {"section", "weighed with a section", "settled", "air"}
    assert abs(named[0][1]) == pytest.approx(
        abs(log(700 / 1.131) - log(842 / 1.663957)) / sqrt(5.89285e-4 + 1.32118e-4), rel=1e-4
    )


def test_a_fact_alone_quarrels_with_nobody():
    assert all(one.residual == 0 for one in solve([*w1(), trim_weighed("B1", "t", 600, 300)]).evidence("t"))


def test_what_one_more_section_would_bring():
    more = [section("nu2", [Slice(40, 35, 0.01)]), weighed_at_section("B1", "nu2", 590, 1.0)]
    assert what_if(w1(), more, "B1") == solve([*w1(), *more]).variance("B1") < solve(w1()).variance("B1")
    assert what_if([], more, "B1") == solve(more).variance("B1")
    with pytest.raises(Unknown):
        what_if([trim_weighed("a", "b", 2, 1)], [], "a")


def test_rows_called_absolute_that_pin_nothing_down_are_refused():
    with pytest.raises(Impossible, match="undetermined"):
        solve([Row((("a", 1), ("b", -1)), 0, 1, "k", "w", True)])
