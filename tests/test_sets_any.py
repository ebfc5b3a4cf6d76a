"""Sets of every kind on random tables, against looking at every set: patterns, long blanks, bounds, large pools.

The tables are of every sort: flat, tied, spread, whole and full of holes. Costs are whole numbers, so costs and sets
must be the same to the last digit and the last tie.
"""

import random
from itertools import combinations

import enumerated
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stock.wood import matching_large, matching_vast, two_kinds
from stock.wood.best_sets import FAR, differing
from stock.wood.links import Table
from stock.wood.links_large import LargeLinks, Lines
from stock.wood.matching import Rows
from stock.wood.matching_large import Edges
from stock.wood.matching_vast import Vast
from stock.wood.sawn import Sawn
from stock.wood.two_kinds import TwoKinds


class Instance:
    """A table of links, what each blank costs by itself, and what sets cost besides."""

    def __init__(self, seed, most=11):
        dice = random.Random(seed)
        n = self.n = dice.randrange(4, most) if dice.random() < 0.9 else dice.randrange(4)
        span = dice.choice([1, 2, 3, 30, 3000, 10**6])
        holes = dice.choice([0, 0, 0, 0.2, 0.5])
        self.links = [[FAR] * n for _ in range(n)]
        for a, b in combinations(range(n), 2):
            self.links[a][b] = self.links[b][a] = FAR if dice.random() < holes else dice.randrange(span)
        lengths = [dice.choice([1, 1, 2, 3, 4]) for _ in range(n)]
        self.units = [[3 * dice.randrange(span) for _ in range(staves)] for staves in lengths]
        self.split = dice.randrange(n // 3, n - n // 3 + 1)
        self.k = dice.choice([1, 3, 10, 40])
        self.member = dice.randrange(n) if n else None
        self.extra = None
        if dice.random() < 0.5:
            besides = [0, 0, span // 3, span, span, FAR]
            self.extra = lambda four: besides[random.Random(hash((seed, four))).randrange(6)]

    @property
    def kinds(self):
        return [int(i >= self.split) for i in range(self.n)]

    def every(self, **how):
        return enumerated.of_table(self.links, self.units, extra=self.extra, **how)

    def array(self):
        return np.array(self.links, dtype=np.int64).reshape(self.n, self.n)

    def thin(self):
        """A third of what each blank costs as a single stave: on each of its three edges."""
        return [costs[0] // 3 for costs in self.units]

    def large(self):
        table = self.array()
        return LargeLinks(lambda i, j: table[i, j], self.n)

    def rows(self):
        return Rows(Table(self.links).edges(self.thin()), self.extra)

    def edges(self):
        table, own = self.array(), np.array(self.thin(), dtype=np.int64)
        return Edges(lambda i, j: table[i, j] + own[i] + own[j], range(self.n), self.extra)

    def vast(self, lines=None):
        table = self.array()
        return Vast(LargeLinks(lambda i, j: table[i, j], self.n, lines), self.thin(), self.extra)

    def pools(self, of, numpy):
        links = self.large() if numpy else Table(self.links)
        if of == "singles":
            return self.edges() if numpy else self.rows()
        if of == "sawn":
            return Sawn(self.edges() if numpy else self.rows(), links, self.units, self.extra)
        across = lambda a: self.links[a][self.split :]  # noqa: E731
        return TwoKinds(links, across, self.units, self.split, self.extra)

    def how(self, of):
        return {"singles": {"apiece": 1}, "sawn": {}, "two kinds": {"kinds": self.kinds, "apiece": 2}}[of]


OF = ["singles", "sawn", "two kinds"]


@pytest.fixture
def small_steps(monkeypatch):
    """Everything that is looked at in portions is looked at in tiny ones, so that small tables meet every branch."""
    monkeypatch.setattr(matching_large, "_NEAREST", 4)
    monkeypatch.setattr(matching_large, "_TRIPLES", 1)
    monkeypatch.setattr(matching_large, "_AROUND", 4)
    monkeypatch.setattr(matching_vast, "_NEAREST", 4)
    monkeypatch.setattr(matching_vast, "_CORE", 5)
    monkeypatch.setattr("stock.wood.matching_around._NEAREST", 3)
    monkeypatch.setattr("stock.wood.links_large._CELLS", 8)
    monkeypatch.setattr("stock.wood.links_large._TOGETHER", 4)
    monkeypatch.setattr(two_kinds, "_CORES", (2, 3))


@pytest.mark.parametrize("numpy", [False, True], ids=["plain", "numpy"])
@pytest.mark.parametrize("of", OF)
def test_500_random_pools_and_more_give_the_sets_of_full_enumeration(of, numpy, small_steps):
    some = 0
    for seed in range(720):
        one = Instance(seed)
        expected = one.every(**one.how(of))
        assert one.pools(of, numpy).best(one.k) == expected[: one.k], seed
        some += bool(expected)
    assert some > 500


@pytest.mark.parametrize("numpy", [False, True], ids=["plain", "numpy"])
@pytest.mark.parametrize("of", OF)
def test_sets_with_one_blank_sets_apart_and_counts_are_those_of_full_enumeration(of, numpy, small_steps):
    for seed in range(1000, 1170):
        one = Instance(seed, 9)
        expected, pool = one.every(**one.how(of)), one.pools(of, numpy)
        if one.n:
            with_it = [entry for entry in expected if one.member in entry[1]]
            assert pool.containing(one.member, one.k) == with_it[: one.k], seed
        apart = []
        while len(apart) < 3 and (more := [e for e in expected if all(differing(e[1], o) >= 2 for _, o in apart)]):
            apart.append(more[0])
        assert pool.apart(3) == apart, seed
        for cost, _ in expected[:1]:
            assert pool.equal_to(cost, 7) == min(7, sum(its == cost for its, _ in expected)), seed


def lines_of(one, dice):
    """True statements about a table: lower bounds in thirds, some of them by tree."""
    n = one.n
    trees = [dice.choice([-1 - i, 0, 1, 2]) for i in range(n)]
    least = min((min(row) for row in one.links if row), default=0)
    between = dice.choice([None, dice.randrange(1, 400)])
    values = [dice.randrange(500) for _ in range(n)]
    cap = dice.choice([60, 10**6])
    groups = [([dice.randrange(-1, 3) for _ in range(n)], dice.randrange(200)) for _ in range(dice.randrange(3))]
    for i, j in combinations(range(n), 2):
        bound = 3 * min(cap, abs(values[i] - values[j]))
        if between is not None and trees[i] >= 0 and trees[j] >= 0 and trees[i] != trees[j]:
            bound = max(bound, 3 * between)
        for codes, cost in groups:
            if codes[i] != codes[j] and min(codes[i], codes[j]) >= 0:
                bound += 3 * cost
        if one.links[i][j] < FAR:
            one.links[i][j] = one.links[j][i] = max(one.links[i][j], bound + least % 3)
    return Lines([([float(v) for v in values], float(cap))], groups, trees, between)


def test_500_pools_searched_tree_by_tree_give_the_sets_of_full_enumeration(small_steps):
    for seed in range(500):
        one = Instance(seed, 14)
        pool = one.vast(lines_of(one, random.Random(seed)))
        expected = one.every(apiece=1)
        assert pool.best(one.k) == expected[: one.k], seed
        if seed % 5 == 0 and one.n:
            with_it = [entry for entry in expected if one.member in entry[1]]
            assert pool.containing(one.member, one.k) == with_it[: one.k], seed
            assert pool.best(1) + pool.best(one.k) == expected[:1] + expected[: one.k], seed


@pytest.mark.parametrize("of", OF)
def test_what_lies_within_a_limit_is_the_same_by_numpy(of, small_steps):
    for seed in range(150):
        one, dice = Instance(seed), random.Random(seed)
        lines = lines_of(one, dice)
        table = one.array()
        times, limit = dice.choice([1, 2, 3, 4]), dice.choice([0, 5, 500, 10**6, FAR])
        own = [dice.choice([FAR, costs[0]]) for costs in one.units]
        other = [dice.choice([FAR, costs[-1]]) for costs in one.units]
        asked = (own, times, other, lambda limit=limit: limit)
        plain = dict(Table(one.links).within(*asked))
        assert dict(LargeLinks(lambda i, j, t=table: t[i, j], one.n, lines).within(*asked)) == plain
        for i, near in plain.items():
            assert near == sorted(near)
            assert all(own[i] + cost <= limit and cost == times * one.links[i][j] + other[j] for cost, j in near)


@pytest.mark.parametrize("of", OF)
def test_sketches_are_sets_and_their_bounds_are_right(of):
    for seed in range(120):
        one = Instance(seed)
        bounds = {four: cost for cost, four in enumerated.of_table(one.links, one.units, **one.how(of))}
        sketch = one.pools(of, True).sketch()
        assert all(bounds[four] == cost for cost, four in sketch), seed
        assert sketch or not bounds or one.n < 20


@st.composite
def tied(draw):
    """Links of a few values and many holes: the best sets are nearly all equal."""
    n = draw(st.integers(2, 8))
    value = st.sampled_from([0, 0, 1, FAR])
    links = [[FAR] * n for _ in range(n)]
    for a, b in combinations(range(n), 2):
        links[a][b] = links[b][a] = draw(value)
    units = draw(st.lists(st.lists(st.sampled_from([0, 3]), min_size=1, max_size=4), min_size=n, max_size=n))
    return links, units, draw(st.integers(0, n)), draw(st.integers(1, 12))


@settings(max_examples=150, deadline=None)
@given(tied(), st.sampled_from(OF), st.booleans())
def test_ties_and_forbidden_pairs(case, of, numpy):
    one = Instance(0)
    one.links, one.units, one.split, one.k = case
    one.n, one.extra = len(one.units), None
    assert one.pools(of, numpy).best(one.k) == one.every(**one.how(of))[: one.k]


def test_identical_blanks_are_answered_at_once_and_by_the_smallest_tuples():
    n = 300
    alike = [[6] * n for _ in range(n)]
    for i in range(n):
        alike[i][i] = FAR
    one = Instance(0)
    one.links, one.units, one.n, one.split, one.extra = alike, [[9] * 4] * n, n, n // 2, None
    assert one.pools("singles", False).best(2) == [(72, (0, 1, 2, 3)), (72, (0, 1, 2, 4))]
    assert one.pools("sawn", False).best(2) == [(9, (0, 0, 0, 0)), (9, (1, 1, 1, 1))]
    assert one.pools("two kinds", False).best(2) == [(42, (0, 0, 150, 150)), (42, (0, 0, 151, 151))]
    one.units = [[9]] * n
    assert one.pools("two kinds", False).best(2) == [(72, (0, 1, 150, 151)), (72, (0, 1, 150, 152))]


def test_a_search_can_be_halted():
    from stock.wood.best_sets import Halted

    one = Instance(3)
    one.n, one.links = 8, [[FAR if i == j else 5 for j in range(8)] for i in range(8)]
    one.units, one.split, one.extra = [[3, 3]] * 8, 4, None
    for of in OF:
        for numpy in (False, True):
            with pytest.raises(Halted):
                one.pools(of, numpy).best(2, halt=lambda: True)
