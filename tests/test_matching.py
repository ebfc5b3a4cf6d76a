"""The search for the cheapest sets of four, against looking at every set.

Full enumeration by itertools is the authority: it shares no line with the search, and both work in whole numbers, so
costs and sets must be the same to the last digit and the last tie.
"""

import random
from itertools import combinations

import numpy as np
import pytest

from stock.errors import Impossible
from stock.wood.best_sets import FORBIDDEN
from stock.wood.matching import (
    PLAIN_UP_TO,
    Rows,
    best_apart,
    best_quads,
    best_quads_large,
    best_with,
    checked,
    pool,
)
from stock.wood.matching_large import Edges, dense


def table(n, span, holes=0.0, seed=0):
    """Random costs: a small span makes many ties, holes are forbidden pairs."""
    dice = random.Random(seed)
    costs = [[0] * n for _ in range(n)]
    for a, b in combinations(range(n), 2):
        costs[a][b] = costs[b][a] = FORBIDDEN if dice.random() < holes else dice.randrange(span)
    return costs


def every_set(costs, wanted=lambda four: True):
    """All allowed sets, cheapest first, of equal ones the smallest tuple first."""
    found = []
    for four in combinations(range(len(costs)), 4):
        edges = [costs[a][b] for a, b in combinations(four, 2)]
        if max(edges) < FORBIDDEN and wanted(four):
            found.append((sum(edges), four))
    return sorted(found)


def instances(count, most):
    """Random tables of every kind: flat, tied, spread, close to the limit; whole and full of holes."""
    dice = random.Random(count)
    for seed in range(count):
        n = dice.randrange(4, most)
        span = dice.choice([1, 2, 3, 30, 3000, FORBIDDEN])
        yield table(n, span, dice.choice([0, 0, 0.3, 0.7]), seed), dice.choice([1, 3, 10, 40])


def far_apart(listed, four):
    return all(len(set(four) - set(other)) >= 2 for _, other in listed)


def test_a_table_small_enough_to_add_up_by_hand():
    costs = [
        [0, 1, 2, 3, 9],
        [1, 0, 4, 5, 9],
        [2, 4, 0, 6, 9],
        [3, 5, 6, 0, 1],
        [9, 9, 9, 1, 0],
    ]
    # 0123: 1+2+3+4+5+6 = 21; 0134: 1+3+9+5+9+1 = 28; 0124: 1+2+9+4+9+9 = 34
    assert best_quads(costs, 2) == [(21, (0, 1, 2, 3)), (28, (0, 1, 3, 4))]


def test_plain_search_equals_full_enumeration():
    for costs, k in instances(300, 19):
        assert best_quads(costs, k) == every_set(costs)[:k]


def test_numpy_search_equals_full_enumeration():
    for costs, k in instances(250, 19):
        grid = np.array(costs)
        assert best_quads_large(lambda i, j, grid=grid: grid[i, j], len(grid), k) == every_set(costs)[:k]


@pytest.mark.parametrize("nearest", [3, 4, 8])
def test_numpy_search_does_not_depend_on_how_much_it_looks_at_together(monkeypatch, nearest):
    monkeypatch.setattr("stock.wood.matching_large._NEAREST", nearest)
    monkeypatch.setattr("stock.wood.matching_large._CELLS", 40)
    monkeypatch.setattr("stock.wood.matching_large._TRIPLES", 1)
    for costs, k in instances(80, 16):
        assert dense(checked(costs)).best(k) == every_set(costs)[:k]


def test_a_set_found_late_still_wins_by_its_smaller_tuple(monkeypatch):
    """0123 costs 12 with four equal stars of 6; 4567 costs 12 with one star of 3, so that it is found first."""
    costs = [[999] * 8 for _ in range(8)]
    cheap = {(4, 5): 1, (4, 6): 1, (4, 7): 1, (5, 6): 3, (5, 7): 3, (6, 7): 3}
    for two, cost in {**dict.fromkeys(combinations(range(4), 2), 2), **cheap}.items():
        costs[two[0]][two[1]] = costs[two[1]][two[0]] = cost
    monkeypatch.setattr("stock.wood.matching_large._NEAREST", 4)  # the fourth is far, so that three settle a blank
    monkeypatch.setattr("stock.wood.matching_large._TRIPLES", 1)
    for blanks in (Rows(checked(costs)), dense(checked(costs))):
        assert blanks.best(1) == [(12, (0, 1, 2, 3))]


def test_the_best_set_with_a_blank_may_hold_it_by_one_long_edge():
    """Only blank 4 has a star below half of 0456 (26), and its edge to 0 is 10; 0123 (27) is met first."""
    costs = [[FORBIDDEN] * 7 for _ in range(7)]
    edges = {(0, 1): 1, (0, 2): 1, (0, 3): 1, (1, 2): 8, (1, 3): 8, (2, 3): 8}
    edges |= {(0, 4): 10, (4, 5): 0, (4, 6): 0, (5, 6): 12, (0, 5): 2, (0, 6): 2}
    for two, cost in edges.items():
        costs[two[0]][two[1]] = costs[two[1]][two[0]] = cost
    assert best_with(costs, 0) == [(26, (0, 4, 5, 6))]
    assert best_with(costs, 0, 2) == [(26, (0, 4, 5, 6)), (27, (0, 1, 2, 3))]


def test_both_searches_agree_with_enumeration_on_a_larger_pool():
    costs = table(48, 300, 0.2, seed=5)
    expected = every_set(costs)[:60]
    assert best_quads(costs, 60) == expected
    assert dense(checked(costs)).best(60) == expected


@pytest.mark.parametrize("make", [Rows, dense], ids=["plain", "numpy"])
def test_sets_with_one_blank_sets_apart_and_counts_equal_full_enumeration(make):
    dice = random.Random(3)
    for costs, k in instances(100, 14):
        blanks = make(checked(costs))
        all_sets = every_set(costs)
        member = dice.randrange(len(costs))
        assert blanks.containing(member, k) == [entry for entry in all_sets if member in entry[1]][:k]
        apart = []
        while len(apart) < 3 and (more := [entry for entry in all_sets if far_apart(apart, entry[1])]):
            apart.append(more[0])
        assert blanks.apart(3) == apart
        for cost, _ in all_sets[:1] + all_sets[-1:]:
            equal = sum(its == cost for its, _ in all_sets)
            assert blanks.equal_to(cost, 7) == min(equal, 7)


def test_a_pool_above_the_limit_goes_to_numpy_and_gives_the_same_answer():
    costs = table(PLAIN_UP_TO + 20, 400, 0.1, seed=8)
    assert isinstance(pool(costs), Edges)
    assert best_quads(costs, 12) == Rows(checked(costs)).best(12)
    assert best_quads(np.array(costs), 12) == best_quads(costs, 12)
    assert best_with(costs, 17, 3) == Rows(checked(costs)).containing(17, 3)


@pytest.mark.parametrize("make", [Rows, dense], ids=["plain", "numpy"])
def test_of_equal_sets_the_smallest_tuples_come_first(make):
    alike = checked([[5] * 60 for _ in range(60)])
    assert make(alike).best(50) == [(30, four) for four in combinations(range(60), 4)][:50]


def test_the_order_of_the_blanks_does_not_matter():
    dice = random.Random(11)
    for costs, k in instances(60, 16):
        order = dice.sample(range(len(costs)), len(costs))
        shuffled = [[costs[a][b] for b in order] for a in order]
        assert [cost for cost, _ in best_quads(shuffled, k)] == [cost for cost, _ in best_quads(costs, k)]
        if costs and (found := best_quads(shuffled, 1)):
            cost, four = found[0]
            assert (cost, tuple(sorted(order[i] for i in four))) in every_set(costs)


def test_one_blank_more_never_makes_the_best_dearer():
    for costs, _ in instances(80, 16):
        fewer = [row[:-1] for row in costs[:-1]]
        if best := best_quads(fewer, 1):
            assert best_quads(costs, 1)[0][0] <= best[0][0]


def test_the_same_waste_on_every_blank_moves_costs_and_changes_no_choice():
    for costs, k in instances(80, 16):
        if max(map(max, costs)) > FORBIDDEN - 1000:
            continue
        dearer = [[w + 70 for w in row] for row in costs]  # 35 a blank on each of its edges: 3 * 35 * 4 = 420 a set
        assert best_quads(dearer, k) == [(cost + 420, four) for cost, four in best_quads(costs, k)]


def test_four_of_a_kind_among_strangers_are_found():
    costs = table(200, 1000, seed=4)
    planted = (17, 60, 111, 183)
    for a, b in combinations(planted, 2):
        costs[a][b] = costs[b][a] = 1
    assert best_quads(costs, 1) == [(6, planted)]


@pytest.mark.parametrize("n", range(4))
def test_fewer_than_four_blanks_make_no_set(n):
    assert best_quads(table(n, 10), 5) == []
    assert best_apart(table(n, 10), 5) == []


def test_no_set_where_pairs_are_forbidden():
    costs = [[FORBIDDEN] * 6 for _ in range(6)]
    for a, b in ((0, 1), (1, 2), (0, 2), (3, 4), (4, 5)):
        costs[a][b] = costs[b][a] = 1
    assert best_quads(costs, 3) == []
    assert best_with(costs, 0) == []


def test_the_limit_is_2_to_the_28_exactly():
    dear = [[FORBIDDEN - 1] * 4 for _ in range(4)]
    assert best_quads(dear, 1) == [(6 * (FORBIDDEN - 1), (0, 1, 2, 3))]
    dear[0][3] = dear[3][0] = FORBIDDEN
    assert best_quads(dear, 1) == []


def test_the_diagonal_is_ignored_whatever_stands_there():
    costs = table(6, 50, seed=2)
    plain = best_quads(costs, 4)
    for i, odd in enumerate((-5, float("nan"), None, "x", FORBIDDEN, 3.5)):
        costs[i][i] = odd
    assert best_quads(costs, 4) == plain


def test_numpy_integers_and_arrays_are_read_as_lists_are():
    costs = table(12, 90, 0.2, seed=6)
    assert best_quads(np.array(costs, dtype=np.int32), 9) == best_quads(costs, 9)
    assert best_quads([list(np.array(row)) for row in costs], 9) == best_quads(costs, 9)
    assert all(type(cost) is int for cost, _ in best_quads(np.array(costs), 9))


def test_the_costs_that_were_given_are_not_touched():
    costs = table(7, 50, 0.2, seed=9)
    before = [list(row) for row in costs]
    best_quads(costs, 3)
    assert costs == before


def spoilt(cost, back=None):
    costs = table(5, 50, seed=1)
    costs[1][3], costs[3][1] = cost, cost if back is None else back
    return costs


@pytest.mark.parametrize(
    ("costs", "says"),
    [
        (spoilt(-1), "below nothing"),
        (spoilt(float("nan")), "not a whole number"),
        (spoilt(float("inf")), "not a whole number"),
        (spoilt(2.5), "not a whole number"),
        (spoilt("7"), "not a whole number"),
        (spoilt(None), "not a whole number"),
        (spoilt(7, 8), "one way"),
        (spoilt(7, FORBIDDEN), "one way"),
        ([[0, 1], [1]], "square"),
        ([[0, 1, 2], [1, 0, 2]], "square"),
    ],
)
def test_costs_that_cannot_be_are_refused(costs, says):
    with pytest.raises(Impossible, match=says):
        best_quads(costs, 1)


def test_two_numbers_above_the_limit_are_one_forbidden_pair():
    assert best_quads(spoilt(FORBIDDEN, 10 * FORBIDDEN), 9) == best_quads(spoilt(FORBIDDEN), 9)


@pytest.mark.parametrize("k", [0, -3])
@pytest.mark.parametrize("ask", [best_quads, best_apart, lambda costs, k: best_with(costs, 0, k)])
def test_fewer_than_one_set_cannot_be_asked_for(ask, k):
    for costs in (table(6, 9), []):
        with pytest.raises(Impossible):
            ask(costs, k)


@pytest.mark.parametrize("member", [-1, 6])
def test_a_blank_that_is_not_there_is_refused(member):
    with pytest.raises(Impossible):
        best_with(table(6, 9), member)


def test_the_star_bound_itself():
    """Each edge lies in two stars, so the cheapest of four stars costs at most half of the set; it can be just half."""
    for costs, _ in instances(40, 9):
        for cost, four in every_set(costs):
            stars = [sum(costs[a][b] for b in four if b != a) for a in four]
            assert sum(stars) == 2 * cost
            assert 2 * min(stars) <= cost
    flat = [[7] * 4 for _ in range(4)]
    assert 2 * sum(flat[0][1:]) == best_quads(flat, 1)[0][0] == 42
