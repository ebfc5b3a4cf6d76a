"""Choosing four staves: who qualifies, which sets are shown, and the reasons; full enumeration is the authority."""

import random
from dataclasses import replace
from datetime import date, timedelta
from itertools import combinations

import pytest

from stock.errors import Impossible, Unknown
from stock.wood.choosing import best_containing, choose
from stock.wood.likeness import Ask, Blank, Weights
from stock.wood.likeness_costs import pair
from stock.wood.qualifying import Candidate
from stock.wood.waste import waste

DAY = date(2026, 11, 25)
ASK = Ask(square_mm=46, length_mm=250, species=frozenset({"cherry"}), target_pct=8, on=DAY)
KNOWN = Blank(
    key="1A",
    width_mm=50,
    thickness_mm=50,
    usable_length_mm=294,
    mc_pct=9.0,
    mc_sd_pct=0.2,
    species="cherry",
    tree=1,
    log=2,
    billet=3,
    stick=4,
    along_mm=680,
    part="heart",
    traits=frozenset(),
    ring_deg=10,
    lab=(62, 14, 24),
    lab_surface="planed",
    density_kg_m3=540,
    t_minus_r_pct=3.6,
)


def blank(key, **changed):
    return replace(KNOWN, key=key, **changed)


def ready(one, **known):
    return Candidate(**{"blank": one, "ready": True, "verdict": "dry enough", "last_weighed_on": DAY, **known})


def stock(n, seed, species=("cherry",)):
    """n ready blanks that differ in every way."""
    dice = random.Random(seed)
    made = []
    for number in range(1, n + 1):
        log = dice.randrange(3)
        wood = dice.choice(species)
        one = blank(
            f"{number}X",
            width_mm=dice.uniform(49, 58),
            usable_length_mm=dice.uniform(253, 400),
            mc_pct=dice.gauss(9, 0.7),
            species=wood,
            tree=(wood, log // 2),
            log=(wood, log),
            billet=None,
            stick=None,
            along_mm=dice.uniform(0, 2000),
            part=dice.choice(["heart", "sap", "mixed", None]),
            ring_deg=dice.uniform(0, 90),
            lab=(dice.gauss(62, 3), 14, 24),
        )
        made.append(ready(one))
    return made


def thousandths(points):
    return sum(round(1000 * value) for value in points.values())


def every_set(candidates, ask=ASK, weights=None):
    """Every set that may be made: its cost in thousandths and its keys, cheapest first."""
    blanks = [c.blank for c in candidates]
    pairs = {(a.key, b.key): pair(a, b, ask, weights) for a, b in combinations(blanks, 2)}
    priced = {keys: terms and thousandths(terms) for keys, terms in pairs.items()}
    wasted = {one.key: thousandths(waste(one, ask, weights)) for one in blanks}
    sets = []
    for keys in combinations(wasted, 4):
        costs = [priced[two] for two in combinations(keys, 2)]
        if None not in costs:
            sets.append((sum(costs) + sum(wasted[key] for key in keys), frozenset(keys)))
    return sorted(sets, key=lambda entry: entry[0])


# the sets ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(25))
def test_the_sets_shown_are_those_of_full_enumeration(seed):
    candidates = stock(random.Random(seed).randrange(4, 14), seed, ("cherry", "plum")[: 1 + seed % 2])
    ask = replace(ASK, species=None)
    every = every_set(candidates, ask)
    choice = choose(candidates, ask, k=4)
    assert choice.proven_best
    listed = []
    while len(listed) < 4 and (more := [e for e in every if all(len(e[1] - keys) >= 2 for _, keys in listed)]):
        listed.append(more[0])
    assert [(s.thousandths, frozenset(s.keys)) for s in choice.sets] == listed
    for one in choice.sets:
        assert one.equally_good == sum(cost == one.thousandths for cost, _ in every) - 1


@pytest.mark.parametrize("seed", range(10))
def test_the_terms_add_up_to_the_cost_to_the_thousandth(seed):
    for one in choose(stock(30, seed), ASK, k=5).sets:
        assert sum(round(1000 * points) for points in one.terms.values()) == one.thousandths
        assert one.cost_points == pytest.approx(one.thousandths / 1000, abs=1e-9)
        assert list(one.terms.values()) == sorted(one.terms.values(), reverse=True)


def test_the_order_of_the_blanks_does_not_matter():
    candidates = stock(40, 1)
    expected = choose(candidates, ASK)
    for seed in range(4):
        assert choose(random.Random(seed).sample(candidates, 40), ASK) == expected


def test_one_blank_more_never_makes_the_best_dearer():
    candidates = stock(24, 5)
    costs = []
    for n in range(4, 25):
        found = choose(candidates[:n], ASK, k=1).sets
        costs.append(found[0].thousandths if found else float("inf"))
    assert costs == sorted(costs, reverse=True)
    assert len(set(costs)) > 3


def test_alike_blanks_cost_only_their_waste_and_others_are_as_good():
    alike = [ready(blank(f"{n}A")) for n in range(1, 8)]
    first, *_ = choose(alike, ASK).sets
    assert first.keys == ("1A", "2A", "3A", "4A")
    assert first.thousandths == 4 * (8147 + 4100)
    assert first.equally_good == 20  # 34 others, counted no further


def test_marks_are_ordered_by_number_and_not_as_text():
    alike = [ready(blank(key)) for key in ("214H", "99X", "7B", "100C", "20D")]
    assert set(choose(alike, ASK, k=1).sets[0].keys) == {"7B", "20D", "99X", "100C"}


def test_staves_are_listed_from_the_butt_log_by_log():
    places = {"1A": ("x", 900), "2A": ("y", 100), "3A": ("x", 300), "4A": ("y", None)}
    four = [ready(blank(key, log=log, billet=None, stick=None, along_mm=mm)) for key, (log, mm) in places.items()]
    assert choose(four, ASK).sets[0].keys == ("3A", "1A", "2A", "4A")


def test_a_large_pool_is_searched_by_numpy_with_the_same_result(monkeypatch):
    candidates = stock(60, 2)
    plain = choose(candidates, ASK, k=4)
    monkeypatch.setattr("stock.wood.matching.PLAIN_UP_TO", 10)
    assert choose(candidates, ASK, k=4) == plain
    key = candidates[7].blank.key
    numpy = best_containing(candidates, ASK, key)
    monkeypatch.undo()
    assert best_containing(candidates, ASK, key) == numpy


# woods -------------------------------------------------------------------------------------------------------------


def test_any_wood_means_one_wood_at_a_time():
    mixed = [ready(blank(f"{n}A", species="plum" if n % 2 else "cherry")) for n in range(1, 8)]
    any_wood = choose(mixed, replace(ASK, species=None), k=5)
    assert any_wood.candidates == 7
    assert [set(s.keys) for s in any_wood.sets] == [{"1A", "3A", "5A", "7A"}]
    assert choose(mixed[:6], replace(ASK, species=None)).sets == ()


def test_several_woods_asked_for_are_not_mixed_either():
    mixed = [ready(blank(f"{n}A", species="plum" if n % 2 else "cherry")) for n in range(1, 7)]
    assert choose(mixed, replace(ASK, species=frozenset({"cherry", "plum"}))).sets == ()


def test_an_unknown_wood_can_be_matched_within_one_tree():
    ask = replace(ASK, species=None)
    assert choose([ready(blank(f"{n}A", species=None)) for n in range(1, 5)], ask).sets
    assert not choose([ready(blank(f"{n}A", species=None, tree=n)) for n in range(1, 5)], ask).sets


# who qualifies -----------------------------------------------------------------------------------------------------

FAILING = {
    "other species": ready(blank("1A", species="plum")),
    "reserved": ready(blank("1A"), reserved_for="tall vase"),
    "barred by a defect": ready(blank("1A"), barred=("ring shake",)),
    "too thin": ready(blank("1A", thickness_mm=48.9)),
    "too short": ready(blank("1A", usable_length_mm=252.9)),
    "not weighed": ready(blank("1A", mc_pct=None), ready=False, verdict="not judged", last_weighed_on=None),
    "to weigh again": ready(blank("1A"), ready=False, verdict="re-weigh"),
    "too wet": ready(blank("1A", mc_pct=12), ready=False, verdict="stable, too wet"),
    "not ready": ready(blank("1A"), ready=False, verdict="getting wetter"),
}


@pytest.mark.parametrize("reason", FAILING)
def test_each_check_has_its_name_and_is_counted_alone(reason):
    choice = choose([FAILING[reason], *(ready(blank(f"{n}A")) for n in range(2, 6))], ASK)
    assert {name: (r.count, r.alone) for name, r in choice.rejected.items()} == {reason: (1, 1)}
    assert (choice.candidates, choice.of) == (4, 5)
    assert "1A" not in choice.sets[0].keys


@pytest.mark.parametrize("verdict", ["drying", "stable, too wet"])
def test_wet_blanks_are_called_too_wet(verdict):
    wet = ready(blank("1A", mc_pct=14), ready=False, verdict=verdict)
    assert list(choose([wet], ASK).rejected) == ["too wet"]


@pytest.mark.parametrize(
    "verdict", ["contradictory", "cannot tell", "getting wetter", "stable, moisture unknown", "a word of its own"]
)
def test_other_verdicts_are_not_ready(verdict):
    assert list(choose([ready(KNOWN, ready=False, verdict=verdict)], ASK).rejected) == ["not ready"]


@pytest.mark.parametrize("verdict", ["dry enough", "in balance", "drier than target"])
def test_what_is_ready_qualifies_by_that_and_by_no_second_limit(verdict):
    assert choose([ready(blank("1A", mc_pct=13), verdict=verdict)], ASK).candidates == 1


def test_a_size_that_just_suffices_qualifies():
    just = ready(blank("1A", width_mm=ASK.side_mm, thickness_mm=49.0, usable_length_mm=253.0))
    assert choose([just], ASK).candidates == 1


def test_all_failed_checks_count_and_those_failed_alone_are_told_apart():
    both = ready(blank("1A", usable_length_mm=100, mc_pct=20), ready=False, verdict="drying")
    short = ready(blank("2A", usable_length_mm=240))
    choice = choose([both, short], ASK)
    assert {name: (r.count, r.alone) for name, r in choice.rejected.items()} == {"too short": (2, 1), "too wet": (1, 0)}


def test_unready_blanks_of_known_moisture_can_be_let_in():
    wet = [ready(blank(f"{n}A", mc_pct=12), ready=False, verdict="drying") for n in range(1, 5)]
    unknown = ready(blank("9A", mc_pct=None), ready=False, verdict="not judged", last_weighed_on=None)
    assert choose([*wet, unknown], ASK).candidates == 0
    choice = choose([*wet, unknown], ASK, unready=True)
    assert choice.candidates == 4
    assert list(choice.rejected) == ["not weighed"]
    assert "1A is not ready: drying" in choice.sets[0].warnings


# near misses -------------------------------------------------------------------------------------------------------


def test_near_misses_say_by_how_much_and_what_would_admit_them():
    short = ready(blank("1A", usable_length_mm=240))
    thin = ready(blank("2A", width_mm=47.25))
    wet = ready(blank("3A", mc_pct=12), ready=False, verdict="stable, too wet")
    unweighed = ready(blank("4A", mc_pct=None), ready=False, verdict="not judged", last_weighed_on=None)
    near = {miss.key: miss for miss in choose([short, thin, wet, unweighed], ASK).near_misses}
    assert list(near) == ["4A", "2A", "1A", "3A"]  # by how much of the allowed shortfall they use up
    assert near["1A"].shortfall == "13.0 mm too short; 237.0 mm would admit it"
    assert (near["1A"].amount, near["1A"].unit, near["1A"].would_admit) == (13.0, "mm", 237.0)
    assert near["2A"].shortfall == "1.8 mm too thin; 44.2 mm would admit it"
    assert near["3A"].shortfall == "12 %, 2.0 points too wet"
    assert near["4A"].shortfall == "never weighed"


def test_what_is_said_to_admit_a_blank_admits_it():
    for mm in (239.96, 240.049, 251.0):
        short = ready(blank("1A", usable_length_mm=mm))
        (miss,) = choose([short], ASK).near_misses
        assert choose([short], replace(ASK, length_mm=miss.would_admit)).candidates == 1


def test_far_misses_and_double_misses_are_not_near():
    far = [
        ready(blank("1A", usable_length_mm=200)),
        ready(blank("2A", width_mm=40)),
        ready(blank("3A", mc_pct=30), ready=False, verdict="drying"),
        ready(blank("4A", mc_pct=None), ready=False, verdict="drying"),
        ready(blank("5A", usable_length_mm=240, width_mm=48)),
        ready(blank("6A"), barred=("punk",)),
        ready(blank("7A"), reserved_for="tall vase"),
        ready(blank("8A", species="plum")),
    ]
    assert choose(far, ASK).near_misses == ()


@pytest.mark.parametrize("n", range(4))
def test_fewer_than_four_make_no_set_and_it_is_said_how_many_qualify(n):
    choice = choose([*(ready(blank(f"{i}A")) for i in range(n)), ready(blank("9A", usable_length_mm=240))], ASK)
    assert (choice.sets, choice.candidates, choice.best_miss) == ((), n, None)
    assert [miss.key for miss in choice.near_misses] == ["9A"]


# moisture ----------------------------------------------------------------------------------------------------------


def at(*contents, sd=0.0, **changed):
    return [ready(blank(f"{n}A", mc_pct=mc, mc_sd_pct=sd, **changed)) for n, mc in enumerate(contents, 1)]


def test_four_outside_the_band_give_the_set_with_the_smallest_excess():
    choice = choose(at(6.0, 7.0, 8.5, 9.0, 12.0, 6.5), ASK)
    assert [set(s.keys) for s in choice.sets] == []
    # 6.0 6.5 7.0 8.5 spread 2.5; 6.5 7.0 8.5 9.0 spread 2.5 as well; half a point beyond the band of 2
    assert choice.best_miss.excess_pct == pytest.approx(0.5)
    assert choice.best_miss.stave_set.spread_pct == pytest.approx(2.5)


@pytest.mark.parametrize("seed", range(12))
def test_the_smallest_excess_is_that_of_full_enumeration(seed):
    dice = random.Random(seed)
    candidates = [
        ready(blank(f"{n}A", mc_pct=dice.uniform(5, 14), mc_sd_pct=dice.uniform(0, 2.5), ring_deg=dice.uniform(0, 90)))
        for n in range(8)
    ]
    ask = replace(ASK, band_pct=0.1)

    def gap(a, b):
        return abs(a.mc_pct - b.mc_pct) + ask.z * (a.mc_sd_pct**2 + b.mc_sd_pct**2) ** 0.5

    sets = list(combinations([c.blank for c in candidates], 4))
    needed = min(max(gap(a, b) for a, b in combinations(four, 2)) for four in sets)
    miss = choose(candidates, ask).best_miss
    assert miss.excess_pct == pytest.approx(needed - 0.1)
    wide = replace(ask, band_pct=needed)
    assert miss.stave_set.thousandths == min(cost for cost, _ in every_set(candidates, wide))


def test_four_of_unknown_moisture_have_no_nearest_band():
    choice = choose(at(None, None, None, None), ASK)
    assert (choice.candidates, choice.sets, choice.best_miss) == (4, (), None)


@pytest.mark.parametrize(
    ("last", "matched", "warned"),
    [(10.5, True, False), (11.0, True, False), (11.5, True, True), (12.0, True, True), (12.5, False, True)],
)
def test_a_spread_above_two_points_is_warned_of_and_above_three_not_called_matched(last, matched, warned):
    settled = {"stable_since": DAY - timedelta(days=100), "place": "shop"}
    (one,) = choose(at(9.0, 9.0, 9.0, last, sd=1.0, **settled), ASK).sets
    assert one.spread_pct == pytest.approx(last - 9)
    assert one.matched == matched
    assert bool(one.warnings) == warned
    if not matched:
        assert "not to be called matched" in one.warnings[0]


def test_a_wider_band_is_warned_of_in_the_same_way():
    (one,) = choose(at(6, 8, 9, 9.5), replace(ASK, band_pct=5)).sets
    assert not one.matched


def test_a_moisture_that_is_not_known_is_named():
    settled = {"stable_since": DAY - timedelta(days=100), "place": "shop"}
    (one,) = choose(at(9.0, None, 9.0, 9.0, **settled), ASK).sets
    assert one.warnings == ("moisture of 2A not known; matched only by lying stable in one place",)
    assert "moisture" in one.guessed


def test_the_covariance_of_the_ledger_is_asked_by_key():
    four = at(9, 9, 9, 10.5, sd=1.0)
    assert not choose(four, ASK).sets
    asked = set()

    def covariance(a, b):
        asked.add(frozenset((a, b)))
        return 0.98

    assert choose(four, ASK, covariance=covariance).sets
    assert asked == {frozenset(two) for two in combinations(["1A", "2A", "3A", "4A"], 2)}


# the spare, guesses, alarms ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(8))
def test_the_spare_goes_with_all_four_at_the_least_extra_cost(seed):
    candidates = stock(14, seed)
    blanks = {c.blank.key: c.blank for c in candidates}
    for one in choose(candidates, ASK).sets:
        extra = {}
        for key in blanks.keys() - set(one.keys):
            pairs = [pair(blanks[key], blanks[other], ASK) for other in one.keys]
            if None not in pairs:
                extra[key] = round(sum(sum(p.values()) for p in pairs) + sum(waste(blanks[key], ASK).values()), 3)
        assert one.spare == (min(extra, key=extra.get) if extra else None)


def test_there_may_be_no_spare():
    four = [ready(blank(f"{n}A")) for n in range(1, 5)]
    assert choose(four, ASK).sets[0].spare is None
    assert choose([*four, ready(blank("9A", mc_pct=14))], ASK).sets[0].spare is None


@pytest.mark.parametrize(
    ("term", "changed"),
    [
        ("colour", {"lab": None}),
        ("colour", {"lab_surface": "rough"}),
        ("figure", {"traits": None}),
        ("part", {"part": None}),
        ("ring angle", {"ring_deg": None}),
        ("density", {"density_kg_m3": None}),
        ("distance along the log", {"along_mm": None}),
        ("origin", {"tree": None, "log": None, "billet": None, "stick": None}),
    ],
)
def test_a_term_that_stands_on_a_guess_is_named(term, changed):
    four = [ready(blank(f"{n}A")) for n in range(1, 4)]
    assert choose([*four, ready(blank("4A"))], ASK).sets[0].guessed == ()
    assert choose([*four, ready(blank("4A", **changed))], ASK).sets[0].guessed == (term,)


def test_an_unknown_tree_is_no_guess_between_sisters_of_one_billet():
    four = [ready(blank(f"{n}A", tree=None, log=None)) for n in range(1, 5)]
    assert choose(four, ASK).sets[0].guessed == ()


@pytest.mark.parametrize(("density", "word"), [(650, "denser"), (440, "lighter"), (600, ""), (480, "")])
def test_a_density_that_does_not_fit_its_tree_raises_the_alarm(density, word):
    four = [ready(blank(f"{n}A")) for n in range(1, 4)] + [ready(blank("4A", density_kg_m3=density))]
    warnings = choose(four, ASK).sets[0].warnings
    assert bool(warnings) == bool(word)
    if word:
        assert word in warnings[0]
        assert warnings[0].startswith("4A is")


def test_two_blanks_do_not_tell_which_of_them_is_odd():
    rest = [ready(blank(f"{n}A", density_kg_m3=None)) for n in range(1, 3)]
    assert choose([*rest, ready(blank("3A")), ready(blank("4A", density_kg_m3=700))], ASK).sets[0].warnings == ()


# why not that one --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(10))
def test_why_not_gives_the_best_set_with_it_and_what_that_costs_more(seed):
    candidates = stock(12, seed)
    every = every_set(candidates)
    for key in ("3X", "8X"):
        answer = best_containing(candidates, ASK, key)
        holding = [entry for entry in every if key in entry[1]]
        assert answer.failed == ()
        if not holding:
            assert answer.with_it is None
            continue
        assert (answer.with_it.thousandths, frozenset(answer.with_it.keys)) == holding[0]
        assert answer.with_it.equally_good == sum(cost == holding[0][0] for cost, _ in holding) - 1
        assert answer.best.thousandths == every[0][0]
        assert answer.extra_points == pytest.approx((holding[0][0] - every[0][0]) / 1000)
        assert sum(answer.differs.values()) == pytest.approx(answer.extra_points, abs=1e-6)


def test_why_not_a_blank_that_fails_what_no_day_will_mend():
    short = ready(blank("9A", usable_length_mm=100))
    answer = best_containing([*(ready(blank(f"{n}A")) for n in range(1, 5)), short], ASK, "9A")
    assert [f.reason for f in answer.failed] == ["too short"]
    assert answer.with_it is None
    assert set(answer.best.keys) == {"1A", "2A", "3A", "4A"}


def test_why_not_a_reserved_blank_says_what_set_it_would_make():
    held = ready(blank("9A", part="sap"), reserved_for="tall vase")
    answer = best_containing([*(ready(blank(f"{n}A")) for n in range(1, 5)), held], ASK, "9A")
    assert [f.text for f in answer.failed] == ["held for tall vase"]
    assert "9A" in answer.with_it.keys
    assert answer.differs == {"part": 24.0}
    assert answer.extra_points == 24.0


def test_why_not_an_unready_blank_of_unknown_moisture_is_no_crash():
    unknown = ready(blank("9A", mc_pct=None), ready=False, verdict="cannot tell")
    answer = best_containing([*(ready(blank(f"{n}A")) for n in range(1, 5)), unknown], ASK, "9A")
    assert answer.with_it is None
    assert answer.extra_points is None


# what cannot be ----------------------------------------------------------------------------------------------------


def test_a_blank_given_twice_is_refused():
    with pytest.raises(Impossible):
        choose([ready(KNOWN), ready(KNOWN)], ASK)


@pytest.mark.parametrize("n", [0, 2, 6])
def test_no_sets_at_all_cannot_be_asked_for(n):
    with pytest.raises(Impossible):
        choose([ready(blank(f"{i}A")) for i in range(n)], ASK, k=0)


def test_why_not_a_blank_that_is_not_there():
    with pytest.raises(Unknown, match="7Z"):
        best_containing([ready(KNOWN)], ASK, "7Z")


def test_weights_are_the_askers_own():
    candidates = stock(16, 3)
    weights = Weights(colour=0, colour_unknown=0, offcut=3)
    assert (
        choose(candidates, ASK, weights=weights, k=1).sets[0].thousandths == every_set(candidates, ASK, weights)[0][0]
    )
