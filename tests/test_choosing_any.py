"""Every way of asking for four staves, on random stock: patterns, long blanks, free squares, shared errors; against
looking at every set."""

import random
from dataclasses import replace
from datetime import date
from itertools import combinations

import enumerated
import pytest

from stock.wood import matching, matching_vast, pools, two_kinds
from stock.wood.choosing import best_containing, choose
from stock.wood.likeness import Ask, Blank
from stock.wood.likeness_costs import pair
from stock.wood.qualifying import Candidate
from stock.wood.waste import waste

DAY = date(2026, 11, 25)
ASK = Ask(square_mm=42, length_mm=250, on=DAY)
BY = {"matched": ["part"], "alternating": ["part", "figure", "curl"], "halves": ["part", "figure", "curl"]}


def stock(n, dice):
    """n ready blanks of one wood from three logs, with gaps in what is known."""

    def maybe(value):
        return None if dice.random() < 0.1 else value

    candidates = []
    for number in range(n):
        log = dice.randrange(3)
        blank = Blank(
            key=f"{number}{dice.choice('ABC')}",
            width_mm=dice.choice([47.0, 50.0, 55.0]) + dice.choice([0, 0.3, 1.2]),
            thickness_mm=dice.choice([47.0, 50.0]),
            usable_length_mm=dice.choice([255, 290, 520, 760, 1020, 1500]),
            clear_from_mm=dice.choice([0, 13]),
            mc_pct=dice.gauss(9, 0.7),
            mc_sd_pct=maybe(dice.uniform(0.1, 0.5)),
            species="cherry",
            tree=maybe(log // 2),
            log=log,
            along_mm=maybe(float(dice.randrange(2000))),
            part=dice.choice(["heart", "heart", "sap", "sap", "mixed", None]),
            traits=maybe(frozenset(dice.choice([(), (), ("curl",), ("curl", "spalting")]))),
            ring_deg=maybe(dice.uniform(0, 90)),
            lab=maybe((dice.gauss(62, 3), dice.gauss(14, 1), dice.gauss(24, 2))),
            lab_surface=dice.choice(["planed", "planed", "rough"]),
            density_kg_m3=maybe(dice.gauss(540, 20)),
            run_out=dice.choice([None, 8, 20]),
        )
        candidates.append(Candidate(blank=blank, ready=True, verdict="dry enough", last_weighed_on=DAY))
    return candidates


def question(dice):
    pattern = dice.choice(["matched", "alternating", "halves"])
    return replace(
        ASK,
        pattern=pattern,
        by=dice.choice(BY[pattern]),
        per_blank=dice.choice([1, 1, 2, 3, 4]),
        square_step_mm=dice.choice([None, 0.5, 1.5875]),
        band_pct=dice.choice([1.0, 2.0, 4.0]),
    )


def cousins(a, b):
    """A covariance of errors: sisters by their letter share some."""
    return 0.02 if a[-1] == b[-1] else 0.0


def instances(first, count, most=10):
    for seed in range(first, first + count):
        dice = random.Random(seed)
        candidates, ask = stock(dice.randrange(4, most), dice), question(dice)
        covariance = dice.choice([None, cousins])
        blanks = [c.blank for c in candidates]
        if ask.pattern != "matched":
            blanks = [b for b in blanks if enumerated.kind(b, ask.by) is not None]
            blanks.sort(key=lambda b, by=ask.by: int(enumerated.kind(b, by)))
        yield seed, candidates, ask, covariance, enumerated.of_blanks(blanks, ask, covariance=covariance)


def entry(one):
    """A set as the enumeration has it: its keys in the order in which the search numbers the blanks."""
    letters = {stave.key: stave.letter for stave in one.staves}
    order = sorted(one.keys, key=lambda key: (letters[key], int(key[:-1])))
    return one.thousandths, tuple(order), one.square_mm


def differ(one, other):
    left = list(other)
    for key in one:
        if key in left:
            left.remove(key)
    return len(left)


@pytest.fixture(params=["plain", "numpy", "vast"])
def size(request, monkeypatch):
    """The same small stock, searched as if it were a shed full, hundreds, or thousands."""
    if request.param != "plain":
        monkeypatch.setattr(matching, "PLAIN_UP_TO", 0)
    if request.param == "vast":
        monkeypatch.setattr(pools, "VAST_FROM", 0)
        monkeypatch.setattr(pools, "ASKING_FROM", 0)
        monkeypatch.setattr(matching_vast, "_CORE", 4)
        monkeypatch.setattr(two_kinds, "_CORES", (2,))
    return ["plain", "numpy", "vast"].index(request.param)


def test_the_sets_shown_are_those_of_full_enumeration(size):
    some = 0
    for seed, candidates, ask, covariance, every in instances(250 * size, 250):
        choice = choose(candidates, ask, k=3, covariance=covariance)
        listed = []
        for one in every:
            if len(listed) < 3 and all(differ(one[1], other[1]) >= 2 for other in listed):
                listed.append(one)
        assert [one.thousandths for one in choice.sets] == [cost for cost, *_ in listed], seed
        assert {entry(one) for one in choice.sets} <= set(every), seed
        some += bool(every)
        if every:
            first = choice.sets[0]
            assert first.equally_good == min(20, [cost for cost, *_ in every].count(every[0][0]) - 1), seed
            assert sum(round(1000 * points) for points in first.terms.values()) == first.thousandths, seed
            assert (choice.runner_up is None) == (len(every) == 1), seed
            if choice.runner_up:
                assert entry(choice.runner_up)[0] == every[1][0], seed
                assert choice.lead_points == pytest.approx((every[1][0] - every[0][0]) / 1000), seed
    assert some > 140


def test_the_best_set_with_a_blank_is_that_of_full_enumeration(size):
    some = 0
    for seed, candidates, ask, covariance, every in instances(5000 + 100 * size, 100):
        key = random.Random(seed).choice(candidates).blank.key
        answer = best_containing(candidates, ask, key, covariance=covariance)
        holding = [one for one in every if key in one[1]]
        assert (answer.with_it is None) == (not holding), seed
        if holding:
            assert answer.with_it.thousandths == holding[0][0], seed
            assert entry(answer.with_it) in holding, seed
            assert answer.extra_points == pytest.approx((holding[0][0] - every[0][0]) / 1000), seed
            assert sum(answer.differs.values()) == pytest.approx(answer.extra_points, abs=1e-6), seed
            some += 1
    assert some > 30


def test_staves_say_from_which_part_of_their_blank_they_come():
    for _, candidates, ask, covariance, _ in instances(7000, 100):
        blanks = {c.blank.key: c.blank for c in candidates}
        for one in choose(candidates, ask, covariance=covariance).sets:
            assert "".join(s.letter for s in one.staves) == {"matched": "AAAA", "alternating": "ABAB"}.get(
                ask.pattern, "AABB"
            )
            assert tuple(s.key for s in one.staves) == one.keys
            for stave in one.staves:
                blank = blanks[stave.key]
                assert stave.of == one.keys.count(stave.key)
                begin = stave.from_butt_mm - blank.clear_from_mm
                assert begin == pytest.approx((stave.number - 1) * ask.cut_mm)
                assert begin + ask.cut_mm <= blank.usable_length_mm + 1e-9
                assert one.square_mm + ask.planing_mm <= min(blank.width_mm, blank.thickness_mm) + 1e-6
            for key in set(one.keys):
                numbers = [s.number for s in one.staves if s.key == key]
                assert numbers == list(range(1, len(numbers) + 1))


def test_the_spare_goes_with_all_four_at_the_least_extra_cost(size):
    for seed, candidates, ask, covariance, _ in instances(9000 + 40 * size, 40):
        blanks = {c.blank.key: c.blank for c in candidates}
        for one in choose(candidates, ask, covariance=covariance).sets:
            extra = {}
            for key in blanks.keys() - set(one.keys):
                pairs = [pair(blanks[key], blanks[other], ask, covariance=covariance) for other in one.keys]
                fits = min(blanks[key].width_mm, blanks[key].thickness_mm) - ask.planing_mm >= one.square_mm - 1e-6
                if None not in pairs and fits:
                    lost = waste(blanks[key], ask, square_mm=one.square_mm)
                    extra[key] = round(sum(sum(p.values()) for p in pairs) + sum(lost.values()), 3)
            assert (one.spare is None) == (not extra), seed
            assert not extra or extra[one.spare] == min(extra.values()), seed


def test_the_smallest_excess_is_that_of_full_enumeration():
    some = 0
    for seed, candidates, ask, _, _ in instances(11000, 150, most=8):
        narrow = replace(ask, band_pct=0.01)
        if not choose(candidates, narrow).sets and (miss := choose(candidates, narrow).best_miss):
            wide = replace(ask, band_pct=0.01 + miss.excess_pct)
            assert choose(candidates, wide).sets[0].thousandths == miss.stave_set.thousandths, seed
            assert not choose(candidates, replace(wide, band_pct=wide.band_pct - 1e-6)).sets, seed
            some += 1
        elif not choose(candidates, narrow).sets:
            assert not choose(candidates, replace(ask, band_pct=99.0)).sets, seed
    assert some > 50


def test_four_staves_from_one_blank_are_the_best_match_there_is():
    dice = random.Random(1)
    one = replace(stock(1, dice)[0].blank, key="1A", usable_length_mm=1012.0, width_mm=46, thickness_mm=46)
    four = [replace(one, key=f"{n}A", usable_length_mm=253.0, along_mm=100.0) for n in range(2, 6)]
    ready = [Candidate(blank=b, ready=True, verdict="dry enough", last_weighed_on=DAY) for b in [one, *four]]
    ask = replace(ASK, per_blank=4)
    best = choose(ready, ask, k=1).sets[0]
    assert best.keys == ("1A",) * 4
    assert best.spread_pct == 0.0
    assert [s.from_butt_mm - one.clear_from_mm for s in best.staves] == [0, 253, 506, 759]
    assert set(choose(ready, ASK, k=1).sets[0].keys) != {"1A"}


def test_a_blank_of_neither_kind_is_counted_and_one_not_told_is_nearly_there():
    dice = random.Random(2)
    base = stock(1, dice)[0]
    parts = ["heart", "heart", "sap", "sap", "mixed", None]
    ready = [replace(base, blank=replace(base.blank, key=f"{n}A", part=part)) for n, part in enumerate(parts)]
    choice = choose(ready, replace(ASK, pattern="alternating"))
    assert choice.sets[0].keys == ("0A", "2A", "1A", "3A")
    assert choose(ready, replace(ASK, pattern="halves")).sets[0].keys == ("0A", "1A", "2A", "3A")
    assert choice.kinds == {"heart": 2, "sap": 2}
    assert {name: (r.count, r.alone) for name, r in choice.rejected.items()} == {
        "of neither kind": (1, 1),
        "kind not told": (1, 1),
    }
    assert [(miss.key, miss.shortfall) for miss in choice.near_misses] == [("5A", "not told whether heart or sap")]
    assert choose(ready, ASK).kinds == {}
    assert choose(ready[:3], replace(ASK, pattern="halves")).sets == ()


def test_the_same_sets_serve_both_patterns_of_two_letters():
    for seed in range(30):
        dice = random.Random(seed)
        candidates = stock(9, dice)
        a, b = (choose(candidates, replace(ASK, pattern=p, per_blank=2)) for p in ("alternating", "halves"))
        assert [(s.thousandths, sorted(s.keys)) for s in a.sets] == [(s.thousandths, sorted(s.keys)) for s in b.sets]


def test_a_larger_least_square_keeps_the_small_ones_out():
    for seed, candidates, ask, covariance, every in instances(13000, 60):
        if every and ask.square_step_mm:
            least = replace(ask, square_mm=ask.square_mm + 2 * ask.square_step_mm)
            kept = [one for one in every if one[2] >= least.square_mm - 1e-9]
            found = choose(candidates, least, covariance=covariance).sets
            assert [s.thousandths for s in found[:1]] == [cost for cost, *_ in kept[:1]], seed
            assert all(s.square_mm >= least.square_mm for s in found), seed


def test_the_pair_terms_of_a_set_are_those_of_its_pairs():
    for _, candidates, ask, covariance, _ in instances(15000, 40):
        blanks = {c.blank.key: c.blank for c in candidates}
        for one in choose(candidates, replace(ask, per_blank=1), covariance=covariance).sets:
            pairs = [pair(blanks[a], blanks[b], ask, covariance=covariance) for a, b in combinations(one.keys, 2)]
            for term in ("moisture", "ring angle", "colour"):
                assert one.terms[term] == pytest.approx(sum(p.get(term, 0.0) for p in pairs), abs=1e-6)
