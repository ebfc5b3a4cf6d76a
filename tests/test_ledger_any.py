"""What must hold for every lineage: another way to the same answer, and what may not change it."""

from fractions import Fraction
from math import exp, log, sqrt
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stock.wood.evidence import (
    Row,
    Slice,
    section,
    tree_density,
    volume,
    weighed_at_section,
    whole_piece_dry,
)
from stock.wood.ledger import Solution, solve
from stock.wood.operations import decay, resawn, trim_by_length, trim_weighed, vague


def w1(piece="B1", net_g=842.0, moisture="nu"):
    """A section of 61.4 g wet, 36.9 g dry, on a balance good to 0.1 g, of a piece weighed to 1 g when it was cut."""
    return [section(moisture, [Slice(61.4, 36.9, 0.1)]), weighed_at_section(piece, moisture, net_g, 1.0)]


def mass_g(solution: Solution, node) -> float:
    return exp(solution.mean(node))


def lineage(seed: int, scale: float = 1.0) -> list[Row]:
    """A tree, billets, blanks sawn from them, trims, sections: as a season's work leaves them behind."""
    draw = Random(seed)
    rows = [tree_density("tree", draw.uniform(0.4, 0.7))]
    for b in range(draw.randint(1, 3)):
        billet = ("billet", b)
        rows.append(volume(billet, "tree", draw.uniform(4000, 8000) * scale, 0.06))
        if draw.random() < 0.6:
            dry_g, wet = draw.uniform(20, 60), draw.uniform(1.4, 1.9)
            rows.append(section(("nu", b), [Slice(dry_g * wet, dry_g, 0.1)]))
            rows.append(weighed_at_section(billet, ("nu", b), draw.uniform(4000, 9000) * scale, scale**2))
        for k in range(draw.randint(1, 4)):
            blank = ("blank", b, k)
            rows.append(resawn(billet, (blank, 0), draw.uniform(700, 1000) * scale, 6000 * scale))
            rows.append(volume((blank, 0), "tree", draw.uniform(800, 1200) * scale))
            if draw.random() < 0.5:
                after = draw.uniform(0.7, 0.95)
                rows.append(trim_weighed((blank, 0), (blank, 1), 800 * scale, 800 * after * scale))
                rows.append(trim_by_length((blank, 0), (blank, 1), 400, 400 * (after + 0.01)))
    return rows


@settings(deadline=None)
@given(st.integers(0, 10**6))
def test_against_a_dense_solution(seed):
    """numpy's least squares and inverse, on the same equations: another way to the same answer."""
    rows = lineage(seed)
    found = solve(rows)
    at = {node: i for i, node in enumerate(found.nodes)}
    a, y = np.zeros((len(rows), len(at))), np.zeros(len(rows))
    for i, row in enumerate(rows):
        for node, factor in row.terms:
            a[i, at[node]] = factor / sqrt(row.variance)
        y[i] = row.value / sqrt(row.variance)
    x = np.linalg.lstsq(a, y, rcond=None)[0]
    inverse = np.linalg.inv(a.T @ a)
    some = Random(seed).sample(found.nodes, min(6, len(at)))
    assert [found.mean(node) for node in found.nodes] == pytest.approx(x.tolist(), abs=1e-9)
    for one in some:
        for two in some:
            assert found.covariance(one, two) == pytest.approx(inverse[at[one], at[two]], rel=1e-8, abs=1e-12)
    leave_out = Random(seed).randrange(len(rows))
    others = solve([row for i, row in enumerate(rows) if i != leave_out])
    row = rows[leave_out]
    if all(others.knows(node) for node, _ in row.terms):
        miss = row.value - sum(f * others.mean(node) for node, f in row.terms)
        spread = sum(f * g * others.covariance(m, n) for m, f in row.terms for n, g in row.terms)
        tension = next(residual for one, residual in found.disagreements(-1) if one is row)
        assert tension == pytest.approx(miss / sqrt(row.variance + spread), rel=1e-5, abs=1e-7)


@settings(deadline=None)
@given(st.integers(0, 10**6), st.floats(0.1, 10))
def test_scaling_all_masses_and_volumes_scales_the_dry_masses_alone(seed, factor):
    one, other = solve(lineage(seed)), solve(lineage(seed, factor))
    for node in one.nodes:
        shift = log(factor) if node != "tree" and node[0] != "nu" else 0
        assert other.mean(node) - one.mean(node) == pytest.approx(shift, abs=1e-9)
        assert other.variance(node) == pytest.approx(one.variance(node))


@settings(deadline=None)
@given(st.integers(0, 10**6), st.floats(0.2, 1.2), st.floats(1, 5000))
def test_one_more_fact_never_widens_an_answer(seed, moist, net_g):
    rows = lineage(seed)
    before = solve(rows)
    extra = [
        section("another nu", [Slice(40 * (1 + moist), 40, 0.1)]),
        weighed_at_section(("billet", 0), "another nu", net_g, 1.0),
    ]
    after = solve([*rows, *extra])
    assert all(after.variance(node) <= before.variance(node) * (1 + 1e-9) for node in before.nodes)


@settings(deadline=None)
@given(st.integers(0, 10**6))
def test_the_shares_of_the_evidence_sum_to_one(seed):
    found = solve(lineage(seed))
    for node in found.nodes:
        shares = [one.share for one in found.evidence(node)]
        assert sum(shares) == pytest.approx(1)
        assert shares == sorted(shares, reverse=True)
        assert shares[-1] >= 0


@settings(deadline=None)
@given(st.integers(0, 10**6))
def test_the_order_of_the_facts_does_not_matter(seed):
    rows = lineage(seed)
    one, other = solve(rows), solve(Random(seed).sample(rows, len(rows)))
    for node in one.nodes:
        assert other.mean(node) == pytest.approx(one.mean(node), abs=1e-10)
        assert other.variance(node) == pytest.approx(one.variance(node), rel=1e-9)


@given(st.lists(st.floats(50, 900), min_size=1, max_size=8), st.floats(0, 200))
def test_children_and_sawdust_sum_to_the_parent(children_g, kerf_g):
    total_g = sum(children_g) + kerf_g
    found = solve([*w1("P", total_g), *(resawn("P", i, child_g, total_g) for i, child_g in enumerate(children_g))])
    together = sum(mass_g(found, i) for i in range(len(children_g)))
    assert together == pytest.approx(mass_g(found, "P") * (1 - kerf_g / total_g))


def test_very_sure_and_very_vague_facts_side_by_side():
    """A block dried whole to a thousandth, soaked, spalted and cut since: no precision is lost between them."""
    rows = [whole_piece_dry("a", 5000, 0.001), vague("a", "b", 0.5), decay("b", "c"), trim_weighed("c", "d", 3000, 10)]
    found = solve(rows)
    assert found.variance("a") == pytest.approx(0.001**2, rel=1e-4)
    assert found.variance("d") == pytest.approx(sum(row.variance for row in rows), rel=1e-12)
    assert found.mean("d") == pytest.approx(sum(row.value for row in rows), rel=1e-12)


def test_against_exact_fractions_where_facts_are_a_million_times_surer_than_others():
    """Gauss's elimination in rational numbers, on a net of forty unknowns with spreads from 0.000001 to 1."""
    draw = Random(3)
    rows = [Row((("n0", 1),), 8.5, 1e-9, "k", "w", True), Row((("n0", 1),), 8.5001, 1e-2, "k", "w", True)]
    for i in range(1, 40):
        for other in (f"n{draw.randrange(i)}", "hub"):
            variance = 10 ** draw.uniform(-12, 0)
            rows.append(Row(((f"n{i}", 1), (other, -1)), draw.uniform(-2, 2), variance, "k", "w"))
    found = solve(rows)
    at = {node: i for i, node in enumerate(found.nodes)}
    table = [[Fraction(0)] * (len(at) + 1) for _ in at]  # the normal equations, their right side last
    for row in rows:
        for node, factor in row.terms:
            table[at[node]][-1] += Fraction(factor) * Fraction(row.value) / Fraction(row.variance)
            for other, by in row.terms:
                table[at[node]][at[other]] += Fraction(factor) * Fraction(by) / Fraction(row.variance)
    for i in range(len(at)):
        for k in set(range(len(at))) - {i}:
            share = table[k][i] / table[i][i]
            if share:
                table[k] = [a - share * b for a, b in zip(table[k], table[i], strict=True)]
    for node, i in at.items():
        assert found.mean(node) == pytest.approx(float(table[i][-1] / table[i][i]), abs=1e-12)


@settings(deadline=None)
@given(st.integers(0, 10**6))
def test_the_shares_are_those_of_the_spread_vectors(seed):
    """A row's part in the variance of a node by the two spread vectors: another way to the same sum."""
    found = solve(lineage(seed))
    factor = found._factor
    for node in found.nodes:
        spread = factor.spread({found._places[node]: 1.0})
        by_words = sorted(
            factor.product(spread, factor.spread(found._placed(row.terms))) ** 2 / (row.variance * found.variance(node))
            for row in found.rows
        )
        told = sorted(one.share for one in found.evidence(node))
        assert told == pytest.approx(by_words[-len(told) :], abs=1e-9)
