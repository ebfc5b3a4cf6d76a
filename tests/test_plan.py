"""Plans of several blocks, against the best of all plans there are."""

import os
import random
import subprocess
import sys
from dataclasses import replace
from functools import cache

import enumerated
import pytest
from test_choosing_any import ASK, DAY, instances, stock

from stock.errors import Impossible
from stock.wood import plan_columns
from stock.wood.choosing import choose
from stock.wood.plan import Standing, plan
from stock.wood.qualifying import Candidate

WORTH = 400_000


def best_value(sets, blocks, worth=WORTH):
    """What the best plan gains, thousandths of a point: every way of taking the sets is looked at."""
    keys = sorted({key for _, four, _ in sets for key in four})
    bit = {key: 1 << at for at, key in enumerate(keys)}
    gains = {}
    for cost, four, _ in sets:
        mask = sum({bit[key] for key in four})
        gains[mask] = max(gains.get(mask, 0), worth - cost)
    by_first = {}
    for mask, gain in gains.items():
        by_first.setdefault(mask & -mask, []).append((mask, gain))

    @cache
    def of(free, left):
        if not free or not left:
            return 0
        first = free & -free
        taken = [gain + of(free & ~mask, left - 1) for mask, gain in by_first.get(first, []) if mask & free == mask]
        return max([of(free & ~first, left), *taken])

    return of((1 << len(keys)) - 1, blocks)


def check(answer, sets, blocks, worth=WORTH):
    """A plan is made of sets that there are, shares no blank, and adds up."""
    known = {tuple(sorted(four)): cost for cost, four, _ in sets}
    used = [key for one in answer.sets for key in set(one.keys)]
    assert len(used) == len(set(used))
    assert not {*used} & {*answer.unused}
    assert len(answer.sets) <= blocks
    assert all(known[tuple(sorted(one.keys))] == one.thousandths < worth for one in answer.sets)
    cost = sum(one.thousandths for one in answer.sets)
    assert answer.cost_points == pytest.approx(cost / 1000)
    assert answer.gain_points == pytest.approx((len(answer.sets) * worth - cost) / 1000)
    spares = [one.spare for one in answer.sets if one.spare]
    assert len(spares) == len(set(spares))
    assert not {*spares} & {*used}


def test_plans_of_every_kind_are_the_best_of_all_and_proven():
    several = better = 0
    for seed, candidates, ask, covariance, every in instances(20_000, 200, most=13):
        blocks = 1 + seed % 4
        answer = plan(candidates, ask, blocks=blocks, worth=700.0, covariance=covariance)
        check(answer, every, blocks, 700_000)
        assert answer.proven, seed
        assert answer.gap_points == 0, seed
        assert answer.gain_points == pytest.approx(best_value(every, blocks, 700_000) / 1000), seed
        assert answer.gain_points >= answer.greedy_points
        several += len(answer.sets) > 1
        better += answer.gain_points > answer.greedy_points
    assert several > 40
    assert better > 4


@pytest.mark.parametrize("worth", [60.0, 150.0, 5000.0])
def test_a_set_dearer_than_a_block_is_worth_is_not_made(worth):
    for seed, candidates, ask, covariance, every in instances(21_000, 25, most=12):
        answer = plan(candidates, ask, blocks=3, worth=worth, covariance=covariance)
        check(answer, every, 3, round(1000 * worth))
        assert answer.gain_points == pytest.approx(best_value(every, 3, round(1000 * worth)) / 1000), seed


def test_one_block_is_the_best_set():
    for _, candidates, ask, covariance, every in instances(22_000, 40):
        answer = plan(candidates, ask, blocks=1, covariance=covariance)
        best = choose(candidates, ask, k=1, covariance=covariance).sets
        assert [s.thousandths for s in answer.sets] == [s.thousandths for s in best if s.thousandths < WORTH]
        assert answer.proven
        assert not every or answer.candidates >= 1


def ready(n, seed):
    return stock(n, random.Random(seed))


def test_woods_are_planned_together():
    two = [
        replace(c, blank=replace(c.blank, species="plum" if at % 2 else "cherry")) for at, c in enumerate(ready(24, 5))
    ]
    answer = plan(two, ASK, blocks=4, worth=1000.0)
    woods = {c.blank.key: c.blank.species for c in two}
    assert all(len({woods[key] for key in one.keys}) == 1 for one in answer.sets)
    sets = []
    for wood in ("plum", "cherry"):
        sets += enumerated.of_blanks([c.blank for c in two if c.blank.species == wood], ASK)
    check(answer, sets, 4, 1_000_000)
    assert answer.proven
    assert {woods[one.keys[0]] for one in answer.sets} == {"plum", "cherry"}


def test_the_answer_says_how_far_it_came_when_the_time_runs_out():
    """A clock that jumps past the end leaves the first plan, and no proof."""
    ticks = iter(range(0, 10**6, 100))
    answer = plan(ready(30, 3), ASK, blocks=5, seconds=5, clock=lambda: float(next(ticks)))
    assert answer.gain_points == answer.greedy_points > 0
    assert not answer.proven
    assert answer.gap_points is None or answer.gap_points > 0


def test_a_gap_that_cannot_be_closed_in_the_time_is_told(monkeypatch):
    monkeypatch.setattr(plan_columns, "_LISTED", 1)
    some = 0
    for seed in range(12):
        candidates = ready(13, seed)
        full = best_value(enumerated.of_blanks([c.blank for c in candidates], ASK), 3, 900_000)
        answer = plan(candidates, ASK, blocks=3, worth=900.0)
        assert answer.gain_points <= full / 1000 <= answer.most_points + 1e-9
        assert answer.proven == (answer.gap_points == 0)
        some += not answer.proven
    assert some


def test_progress_is_told_and_only_gets_better():
    told: list[Standing] = []
    answer = plan(ready(26, 8), ASK, blocks=5, progress=told.append)
    assert told
    gains = [one.gain_points for one in told]
    assert gains == sorted(gains)
    bounds = [one.most_points for one in told if one.most_points is not None]
    assert bounds == sorted(bounds, reverse=True)
    assert (told[-1].blocks, told[-1].gain_points) == (len(answer.sets), answer.gain_points)
    assert told[-1].most_points == answer.most_points


def test_the_same_stock_in_any_order_gives_the_same_plan():
    candidates = ready(24, 4)
    first = plan(candidates, ASK, blocks=4)
    assert plan(random.Random(1).sample(candidates, 24), ASK, blocks=4) == first


@pytest.mark.parametrize("n", range(4))
def test_fewer_than_four_make_no_plan(n):
    answer = plan(ready(4, 1)[:n], ASK, blocks=3)
    assert (answer.sets, answer.gain_points, answer.proven, len(answer.unused)) == ((), 0.0, True, n)


def test_what_keeps_blanks_out_is_told_as_of_a_choice():
    held = [replace(c, reserved_for="tall vase") for c in ready(5, 2)]
    answer = plan([*held[:2], *ready(5, 2)[2:]], ASK, blocks=2)
    assert answer.rejected["reserved"].count == 2
    assert (answer.candidates, answer.of) == (3, 5)


@pytest.mark.parametrize(
    "bad",
    [
        {"blocks": 0},
        {"blocks": -2},
        {"blocks": 2, "worth": 0.0},
        {"blocks": 2, "worth": float("nan")},
        {"blocks": 2, "worth": float("inf")},
        {"blocks": 2, "seconds": -1.0},
        {"blocks": 2, "seconds": float("nan")},
    ],
)
def test_what_cannot_be_planned_is_refused(bad):
    with pytest.raises(Impossible):
        plan(ready(6, 1), ASK, **bad)


def test_the_solver_writes_nothing_to_standard_output():
    script = (
        "import random, sys; sys.path.insert(0, 'tests')\n"
        "from test_choosing_any import ASK, stock\n"
        "from stock.wood.plan import plan\n"
        "print(len(plan(stock(16, random.Random(1)), ASK, blocks=2).sets))\n"
    )
    here = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
    done = subprocess.run([sys.executable, "-c", script], cwd=here, capture_output=True, text=True, check=True)
    assert done.stdout == "1\n"
    assert "HiGHS" not in done.stderr


def test_a_candidate_stays_as_it_was():
    candidates = ready(12, 6)
    before = list(candidates)
    plan(candidates, ASK, blocks=2)
    assert candidates == before
    assert all(isinstance(c, Candidate) and c.last_weighed_on == DAY for c in candidates)
