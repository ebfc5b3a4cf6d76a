"""What two blanks cost each other: each term worked by hand, from weights that are our own judgement.

No outside authority prices likeness. What is checked is that the terms are what they say, that they add up exactly, and
that both ways of computing them give the same whole numbers.
"""

import random
from dataclasses import replace
from datetime import date, timedelta
from itertools import combinations
from math import cos, radians, sin

import numpy as np
import pytest

from stock.errors import Impossible, Unclear
from stock.wood import patterns
from stock.wood.best_sets import FAR
from stock.wood.likeness import Ask, Blank, Weights
from stock.wood.likeness_colour import Colour
from stock.wood.likeness_costs import Likeness, pair
from stock.wood.moisture_band import Band
from stock.wood.pools import Pools
from stock.wood.squares import largest_square
from stock.wood.waste import waste

DAY = date(2026, 11, 25)
ASK = Ask(square_mm=46, length_mm=250, on=DAY)
KNOWN = Blank(
    key="1A",
    width_mm=50,
    thickness_mm=50,
    usable_length_mm=294,
    mc_pct=9.0,
    mc_sd_pct=0.2,
    species="prunus-serotina",
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


def cost(ask=ASK, *, a=KNOWN, weights=None, **changed):
    """The terms of KNOWN with a copy of it that is changed in some ways."""
    return pair(a, replace(a, key="2B", **changed), ask, weights)


def stock(n, seed):
    """n blanks of one wood from several trees, with unknowns of every kind."""
    dice = random.Random(seed)

    def maybe(value):
        return None if dice.random() < 0.15 else value

    blanks = []
    for number in range(n):
        log = dice.randrange(1 + n // 6)
        billet = maybe(10 * log + dice.randrange(3))
        blanks.append(
            Blank(
                key=f"{number:04d}",
                width_mm=round(dice.uniform(46, 60), 1),
                thickness_mm=round(dice.uniform(46, 60), 1),
                usable_length_mm=float(dice.randrange(253, 420)),
                mc_pct=maybe(dice.gauss(9, 0.8)),
                mc_sd_pct=maybe(dice.uniform(0.1, 0.6)),
                stable_since=maybe(DAY - timedelta(days=dice.randrange(300))),
                place=maybe(dice.choice(["shop", "shed"])),
                species="acer",
                tree=maybe(log // 2),
                log=maybe(log),
                billet=billet,
                stick=None if billet is None else maybe(10 * billet + dice.randrange(2)),
                along_mm=maybe(float(dice.randrange(2500))),
                part=maybe(dice.choice(["heart", "sap", "mixed"])),
                sap_faces=maybe(dice.choice(["A", "B", "AB", "AC"])),
                traits=maybe(frozenset(dice.choice([(), ("curl",), ("curl", "spalt")]))),
                ring_deg=maybe(dice.uniform(0, 90)),
                lab=maybe((dice.gauss(70, 4), dice.gauss(8, 2), dice.gauss(20, 3))),
                lab_surface=maybe(dice.choice(["planed", "rough"])),
                density_kg_m3=maybe(dice.gauss(600, 50)),
                t_minus_r_pct=4.1,
            )
        )
    return blanks


# waste -------------------------------------------------------------------------------------------------------------


def test_waste_counts_planing_beyond_a_tenth_and_a_quarter_of_the_offcut():
    # 50 x 50 for 46 x 46: 100 (2500 / 2116 - 1) = 18.147 %, 8.147 beyond ten; 294 - 253 = 41 of 250 mm: 16.4 % / 4
    assert waste(KNOWN, ASK) == {"planing": 8.147, "offcut": 4.1}


def test_a_blank_of_just_the_size_wastes_nothing():
    just = replace(KNOWN, width_mm=ASK.side_mm, thickness_mm=46, usable_length_mm=ASK.cut_mm)
    assert waste(just, ASK) == {"planing": 0.0, "offcut": 0.0}


def test_a_long_offcut_counts_like_a_short_one():
    """A quarter of its share whatever its length."""
    twice = replace(KNOWN, usable_length_mm=253 + 2 * 41)
    thrice = replace(KNOWN, usable_length_mm=253 + 20 * 41)
    assert waste(twice, ASK)["offcut"] == pytest.approx(2 * 4.1)
    assert waste(thrice, ASK)["offcut"] == pytest.approx(20 * 4.1)


def test_a_beam_asked_for_a_toothpick_is_still_a_number_that_can_be_searched():
    beams = [replace(KNOWN, key=str(i), width_mm=9e5, thickness_mm=9e5, usable_length_mm=9e6) for i in range(4)]
    tiny = replace(ASK, square_mm=1, length_mm=1)
    assert waste(beams[0], tiny) == {"planing": 10_000.0, "offcut": 10_000.0}
    assert Pools(Likeness(beams, tiny)).at().best(1) == [(3 * 4 * 20_000_000, (0, 1, 2, 3))]


@pytest.mark.parametrize(
    ("staves", "offcut", "along"),
    [
        (1, (1100 - 253) / 250 * 25, 0.0),
        (2, (1100 - 2 * 253) / 250 * 25, 2.53),
        (3, (1100 - 3 * 253) / 250 * 25, 2 * 2.53 + 5.06),
        (4, (1100 - 4 * 253) / 250 * 25, 3 * 2.53 + 2 * 5.06 + 7.59),
    ],
)
def test_a_long_blank_sawn_into_several_staves(staves, offcut, along):
    """1100 mm hold four staves of 250 mm, each with a cut of 3 mm; they lie 253 mm apart along one stick."""
    long = replace(KNOWN, usable_length_mm=1100, part="mixed", ring_deg=None, lab=None)
    assert waste(long, ASK, staves=staves) == {
        "planing": pytest.approx(staves * 8.147),
        "offcut": pytest.approx(offcut),
    }
    own = Likeness([long], replace(ASK, per_blank=4)).units[0]
    assert len(own) == 4
    assert own[staves - 1] == pytest.approx(1000 * (staves * 8.147 + offcut + along), abs=2)


@pytest.mark.parametrize(("length", "most"), [(253, 1), (505.9, 1), (506, 2), (758.9, 2), (1012, 4), (9000, 4)])
def test_a_blank_gives_as_many_staves_as_its_clear_length_holds(length, most):
    long = replace(KNOWN, usable_length_mm=length)
    assert len(Likeness([long], replace(ASK, per_blank=4)).units[0]) == most
    assert len(Likeness([long], replace(ASK, per_blank=3)).units[0]) == min(3, most)
    assert len(Likeness([long], ASK).units[0]) == 1
    assert len(Likeness([long], replace(ASK, per_blank=4, pattern="halves")).units[0]) == min(2, most)


@pytest.mark.parametrize(
    ("side", "square"), [(49, 46), (49.49, 46), (49.5, 46.5), (53.3, 50), (49 + 1.5875, 46 + 1.5), (48.999999999, 46)]
)
def test_the_largest_square_of_a_blank_counts_in_steps_from_the_least(side, square):
    ask = replace(ASK, square_step_mm=0.5)
    assert largest_square(replace(KNOWN, width_mm=side, thickness_mm=80), ask) == square
    assert largest_square(replace(KNOWN, width_mm=side, thickness_mm=80), ASK) == 46


def test_a_set_is_charged_for_what_its_larger_blanks_lose_to_the_square_of_the_smallest():
    sides = (50, 53, 53, 60)  # squares of 47, 50, 50 and 57
    blanks = [replace(KNOWN, key=str(n), width_mm=side, thickness_mm=side) for n, side in enumerate(sides)]
    ask = replace(ASK, square_step_mm=0.5)
    likeness = Likeness(blanks, ask)
    assert likeness.squares.of_set((0, 1, 2, 3)) == 47
    planed = sum(max(0, 100 * (side**2 / 47**2 - 1) - 10) for side in sides)
    assert likeness.terms((0, 1, 2, 3))["planing"] == pytest.approx(1000 * planed, abs=3)


# where they grew ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("origin", "distance", "changed"),
    [
        (0, 0, {}),
        (0, 2.5, {"along_mm": 930}),
        (3, 2.5, {"stick": 5, "along_mm": 930}),
        (3, 0, {"stick": None}),
        (6, 0.01, {"stick": 5, "billet": 6, "along_mm": 681}),
        (6, 0, {"stick": None, "billet": None}),
        (6, 9, {"stick": 5, "billet": 6, "along_mm": 2680}),  # 10 at most, and one log never costs more than another
        (3, 10, {"stick": 5, "along_mm": 2680}),
        (3, 10, {"stick": 5, "along_mm": None}),
        (6, 9, {"stick": 5, "billet": 6, "along_mm": None}),
        (15, 0, {"stick": 5, "billet": 6, "log": 7, "along_mm": 2680}),
        (15, 0, {"stick": 5, "billet": 6, "log": None}),
        (40, 0, {"stick": 5, "billet": 6, "log": 7, "tree": 8}),
        (20, 0, {"stick": None, "billet": None, "log": None, "tree": None}),
        (20, 0, {"stick": 5, "billet": 6, "log": 7, "tree": None}),
    ],
)
def test_origin_and_distance(origin, distance, changed):
    terms = cost(**changed)
    assert terms["origin"] == origin
    assert terms["distance along the log"] == pytest.approx(distance)


def test_two_blanks_of_unknown_origin_are_not_alike():
    stranger = replace(KNOWN, tree=None, log=None, billet=None, stick=None)
    assert cost(a=stranger)["origin"] == 20


# looks -------------------------------------------------------------------------------------------------------------


def test_colour_is_two_points_for_each_unit_between_like_surfaces():
    """Sharma, Wu and Dalal 2005, pair 25: 1.2644 (fetched); tests of the formula itself are in test_colour."""
    first = replace(KNOWN, lab=(60.2574, -34.0099, 36.2677))
    assert cost(a=first, lab=(60.4626, -34.1751, 39.4387))["colour"] == pytest.approx(2 * 1.2644, abs=0.0006)


@pytest.mark.parametrize("changed", [{"lab": None}, {"lab_surface": "rough"}, {"lab_surface": None}])
def test_colour_of_unlike_surfaces_is_not_known(changed):
    assert cost(**changed)["colour"] == 10.0
    assert cost(weights=Weights(colour_unknown=7), **changed)["colour"] == 7.0


def test_two_colours_read_on_no_known_surface_are_not_compared():
    bare = replace(KNOWN, lab_surface=None)
    assert cost(a=bare)["colour"] == 10.0


@pytest.mark.parametrize(
    ("a", "b", "points"),
    [
        (frozenset(), frozenset(), 0),
        (frozenset({"curl"}), frozenset({"curl"}), 0),
        (frozenset({"curl"}), frozenset(), 6),
        (frozenset({"curl"}), frozenset({"curl", "spalt"}), 6),
        (None, frozenset(), 3),
        (None, None, 3),
    ],
)
def test_figure(a, b, points):
    assert cost(a=replace(KNOWN, traits=a), traits=b)["figure"] == points


@pytest.mark.parametrize(
    ("a", "b", "points"),
    [
        (("heart", None), ("heart", None), 0),
        (("sap", None), ("sap", None), 0),
        (("heart", None), ("sap", None), 8),
        (("heart", None), ("mixed", "A"), 4),
        (("sap", None), ("mixed", None), 4),
        (("mixed", "A"), ("mixed", "A"), 2),
        (("mixed", "A"), ("mixed", "C"), 2),  # a square blank can be turned
        (("mixed", "AB"), ("mixed", "DA"), 2),
        (("mixed", "AB"), ("mixed", "AC"), 4),
        (("mixed", "A"), ("mixed", None), 4),
        (("mixed", None), ("mixed", None), 4),
        ((None, None), ("heart", None), 4),
        ((None, None), (None, None), 4),
    ],
)
def test_heart_and_sap_and_mixed_is_never_free(a, b, points):
    one = replace(KNOWN, part=a[0], sap_faces=a[1])
    assert cost(a=one, part=b[0], sap_faces=b[1])["part"] == points


@pytest.mark.parametrize(
    ("a", "b", "share"), [(0, 45, 1), (10, 55, 1), (0, 90, 0), (5, 85, 10 / 45), (20, 29, 9 / 45), (80, 15, 25 / 45)]
)
def test_ring_angle_turns_with_the_square_blank(a, b, share):
    assert cost(a=replace(KNOWN, ring_deg=a), ring_deg=b)["ring angle"] == pytest.approx(4 * share, abs=0.001)


def test_ring_angle_counts_with_the_shrinkage_and_the_swing():
    """4 points at 45 degrees for a difference T - R of 3.6 and a swing of 4 points; unknown woods as 5.7."""
    twice = replace(KNOWN, t_minus_r_pct=7.2, ring_deg=0)
    unknown = replace(KNOWN, t_minus_r_pct=None, ring_deg=0)
    still = replace(ASK, swing_pct=1)
    assert cost(a=twice, ring_deg=45)["ring angle"] == 8.0
    assert cost(a=unknown, ring_deg=45)["ring angle"] == pytest.approx(4 * 5.7 / 3.6, abs=0.001)
    assert cost(still, a=twice, ring_deg=45)["ring angle"] == 2.0
    assert cost(a=twice, ring_deg=None)["ring angle"] == 4.0


def test_density_is_compared_by_percent_and_only_so_far():
    assert cost(density_kg_m3=540 * 1.01)["density"] == pytest.approx(0.2, abs=0.002)
    assert cost(density_kg_m3=900)["density"] == 5.0
    assert cost(density_kg_m3=None)["density"] == 1.0


@pytest.mark.parametrize(
    ("a", "b", "points"), [(10, 10, 0), (10, 20, 2.5), (8, 400, 5.0), (10, None, 0), (None, None, 0)]
)
def test_run_out_counts_where_it_is_known_of_both(a, b, points):
    """1 in 10 is 10 %, 1 in 20 is 5 %: half a point for each percent, 5 at most."""
    assert cost(a=replace(KNOWN, run_out=a), run_out=b)["run-out"] == points


# between the letters of a pattern ----------------------------------------------------------------------------------


def test_between_two_letters_only_what_opens_the_joint_counts():
    ask = replace(ASK, pattern="alternating")
    other = {"part": "sap", "tree": 7, "log": 8, "billet": 9, "stick": 10, "lab": None, "traits": None, "mc_pct": 10.0}
    assert cost(ask, ring_deg=55, run_out=10, **other) == {"moisture": 2.0, "ring angle": 4.0, "run-out": 0.0}
    assert cost(ask, **{**other, "mc_pct": 11.5}) is None  # the band holds across the joint as well
    assert cost(ask)["origin"] == 0  # heart with heart: alike in everything
    assert cost(ask, part="mixed") is None
    assert cost(ask, part=None) is None


@pytest.mark.parametrize(
    ("by", "known", "kind"),
    [
        ("part", {"part": "heart"}, 0),
        ("part", {"part": "sap"}, 1),
        ("part", {"part": "mixed"}, None),
        ("part", {"part": None}, None),
        ("figure", {"traits": frozenset()}, 0),
        ("figure", {"traits": frozenset({"curl"})}, 1),
        ("figure", {"traits": None}, None),
        ("spalting", {"traits": frozenset({"spalting", "curl"})}, 0),
        ("spalting", {"traits": frozenset({"curl"})}, 1),
        ("spalting", {"traits": None}, None),
    ],
)
def test_the_kind_of_a_blank_comes_from_one_thing_that_is_recorded(by, known, kind):
    assert patterns.kind_of(replace(KNOWN, **known), by) == kind


@pytest.mark.parametrize(
    ("pattern", "letters", "ring"),
    [("matched", "AAAA", "AAAA"), ("alternating", "AABB", "ABAB"), ("halves", "AABB", "AABB")],
)
def test_the_ring_reads_as_the_pattern(pattern, letters, ring):
    order = patterns.in_ring(pattern, letters)
    assert "".join(letters[i] for i in order) == ring
    assert sorted(order) == [0, 1, 2, 3]
    assert [i for i in order if letters[i] == "A"] == sorted(i for i in order if letters[i] == "A")


UNKNOWN = [
    ("origin", {"tree": None, "log": None, "billet": None, "stick": None}),
    ("distance along the log", {"along_mm": None}),
    ("colour", {"lab": None}),
    ("figure", {"traits": None}),
    ("part", {"part": None}),
    ("ring angle", {"ring_deg": None}),
    ("density", {"density_kg_m3": None}),
]


@pytest.mark.parametrize(("term", "changed"), UNKNOWN, ids=[term for term, _ in UNKNOWN])
def test_not_knowing_is_never_free_so_that_knowing_can_help(term, changed):
    stranger = replace(KNOWN, **changed)
    assert cost(a=KNOWN)[term] == 0 < cost(**changed)[term]
    assert cost(a=stranger)[term] > 0


# moisture ----------------------------------------------------------------------------------------------------------


def sure(mc_pct, sd=0.0, **changed):
    return replace(KNOWN, mc_pct=mc_pct, mc_sd_pct=sd, **changed)


def test_moisture_is_two_points_for_each_point_of_difference():
    assert cost(a=sure(8.25), mc_pct=9.5)["moisture"] == 2.5


@pytest.mark.parametrize(("mc_pct", "allowed"), [(6.3, True), (10.3, True), (10.301, False), (6.299, False)])
def test_the_band_holds_two_points_exactly(mc_pct, allowed):
    assert (cost(a=sure(8.3), mc_pct=mc_pct) is not None) == allowed


def test_uncertainty_narrows_the_band():
    """1.2816 * sqrt(0.5^2 + 0.5^2) = 0.9062: a difference of 1.0937 is still in, 1.0939 is not."""
    assert cost(a=sure(9, 0.5), mc_pct=9 + 1.0937)
    assert cost(a=sure(9, 0.5), mc_pct=9 + 1.0939) is None
    assert cost(replace(ASK, z=0.0), a=sure(9, 0.5), mc_pct=11)


def test_a_moisture_content_without_an_uncertainty_is_taken_as_a_point_uncertain():
    """1.2816 * sqrt(2) = 1.8124, which leaves 0.1876 for the difference."""
    assert cost(a=sure(9, None), mc_pct=9.18)
    assert cost(a=sure(9, None), mc_pct=9.19) is None


@pytest.mark.parametrize("shared", [-0.2, 0.0, 0.05, 0.2])
def test_whether_the_band_holds_is_the_same_however_it_is_asked(shared):
    """Covariances are asked only where the two uncertainties leave it open, and never change the answer."""
    blanks = stock(60, 4)
    asked = []

    def covariance(a, b):
        asked.append((a, b))
        return shared

    for given in (None, covariance):
        band = Band(blanks, replace(ASK, band_pct=1.0), given)
        allowed = [[band.gap(i, j) <= band.most for j in range(60)] for i in range(60)]
        asked.clear()
        assert [band.row(i, slice(0, 60)) for i in range(60)] == allowed
        assert (0 < len(asked) < 1200) == (given is not None)
        i, j = np.triu_indices(60, 1)
        maybe = band.array()(i, j)
        assert (maybe & band.settle()(i, j)).tolist() == [allowed[a][b] for a, b in zip(i, j, strict=True)]


def test_errors_that_sisters_share_do_not_count():
    a, b = sure(9, 1.0), replace(sure(10.5, 1.0), key="2B")
    assert pair(a, b, ASK) is None
    assert pair(a, b, ASK, covariance=lambda one, other: 0.98 if {one, other} == {"1A", "2B"} else 0.0)
    # var = 2 - 2 * 0.98 = 0.04, sd 0.2: 1.5 + 0.2563 = 1.756
    gap = Likeness([a, b], ASK, covariance=lambda *_: 0.98).gap_pct(0, 1)
    assert gap == pytest.approx(1.5 + 1.2816 * 0.2, abs=1e-9)
    assert Likeness([a, b], ASK, covariance=lambda *_: 1.1).gap_pct(0, 1) == 1.5  # never less than no uncertainty


@pytest.mark.parametrize(
    ("days", "place", "on", "allowed"),
    [(60, "shop", DAY, True), (59, "shop", DAY, False), (60, "shed", DAY, False), (400, "shop", None, False)],
)
def test_lying_stable_together_for_sixty_days_is_as_good_as_the_band(days, place, on, allowed):
    ask = replace(ASK, on=on)
    a = sure(9, 1.5, stable_since=DAY - timedelta(days=90), place="shop")
    terms = cost(ask, a=a, mc_pct=9.5, stable_since=DAY - timedelta(days=days), place=place)
    assert (terms is not None) == allowed


def test_two_blanks_without_a_place_do_not_lie_together():
    a = sure(9, 1.5, stable_since=DAY - timedelta(days=90), place=None)
    assert cost(a=a) is None


def test_unknown_moisture_is_let_in_only_by_lying_together():
    settled = {"stable_since": DAY - timedelta(days=90), "place": 7}
    assert cost(mc_pct=None) is None
    terms = cost(a=replace(KNOWN, **settled), mc_pct=None)
    assert terms is not None
    assert terms["moisture"] == 2.0
    assert cost(replace(ASK, z=0.0), mc_pct=None) is None


# one wood ----------------------------------------------------------------------------------------------------------


def test_blanks_of_two_woods_make_no_pair():
    assert cost(species="prunus-avium") is None
    assert cost(species=None) is None


def test_an_unknown_wood_is_one_wood_within_its_tree():
    nameless = replace(KNOWN, species=None)
    assert cost(a=nameless)
    assert cost(a=nameless, tree=99) is None
    lost = replace(nameless, tree=None, log=None, billet=None, stick=None)
    assert cost(a=lost) is None


# the table for the search ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(6))
def test_links_units_and_extra_are_three_times_the_terms_and_the_waste(seed):
    blanks = stock(12, seed)
    likeness = Likeness(blanks, ASK)
    links, own = likeness.rows(), [costs[0] for costs in likeness.units]
    for four in combinations(range(12), 4):
        bounds = [links[i][j] for i, j in combinations(four, 2)]
        terms = [pair(blanks[i], blanks[j], ASK) for i, j in combinations(four, 2)]
        assert (max(bounds) >= FAR) == any(t is None for t in terms)
        if None not in terms:
            parts = [t.values() for t in terms] + [waste(blanks[i], ASK).values() for i in four]
            thousandths = sum(round(1000 * points) for part in parts for points in part)
            extra = likeness.extra(four)
            assert sum(bounds) + 3 * sum(own[i] for i in four) + extra == 3 * thousandths
            assert extra >= 0
            assert sum(likeness.terms(four).values()) == thousandths


@pytest.mark.parametrize("covariance", [None, lambda a, b: 0.01 if a[:3] == b[:3] else 0.0], ids=["none", "sisters"])
@pytest.mark.parametrize("pattern", ["matched", "halves"])
@pytest.mark.parametrize("step", [None, 0.5])
def test_numpy_gives_the_same_whole_numbers(covariance, pattern, step):
    ask = replace(ASK, square_mm=42, pattern=pattern, by="figure", square_step_mm=step)
    blanks = sorted((b for b in stock(90, 3) if b.traits is not None), key=lambda b: len(b.traits) > 0)
    likeness = Likeness(blanks, ask, covariance=covariance)
    n, first = len(blanks), likeness.split
    assert (first == n) == (pattern == "matched")
    i = np.arange(n)
    grid = likeness.low()(i[:, None], i[None, :])
    across = likeness.low(across=True)(i[:first, None], i[None, first:])
    grid[:first, first:], grid[first:, :first] = across, across.T
    if covariance:
        one, other = np.nonzero(grid < FAR)
        barred = ~likeness.settle()(one, other)
        grid[one[barred], other[barred]] = FAR
    assert grid.tolist() == likeness.rows()
    plain, numpy = (Pools(likeness, large=large).at().best(20) for large in (False, True))
    assert plain == numpy != []


@pytest.mark.parametrize("surfaces", [("planed",), ("planed", "rough", None)])
@pytest.mark.parametrize("hues", [(0, 90), (-180, 180)], ids=["wood", "any"])
def test_the_bound_of_a_colour_difference_is_never_above_it(surfaces, hues):
    dice = random.Random(str(hues))
    for spread in (0.2, 3, 40):
        seen = []
        for _ in range(60):
            hue, chroma = radians(dice.uniform(*hues)), dice.gauss(30, spread) % 100
            lab = (dice.gauss(60, spread) % 100, chroma * cos(hue), chroma * sin(hue))
            seen.append((lab if dice.random() < 0.9 else None, dice.choice(surfaces)))
        colour = Colour(seen, 2.0, 10.0)
        of = colour.array()
        bounds = [colour.row(i, slice(0, 60)) for i in range(60)]
        assert bounds == of(np.arange(60)[:, None], np.arange(60)[None, :]).tolist()
        exact = [[colour.exact(i, j) for j in range(60)] for i in range(60)]
        for i, j in combinations(range(60), 2):
            assert 0 <= bounds[i][j] <= exact[i][j] <= colour.most
        if hues == (0, 90) and spread == 3:  # of use: at least half of the whole
            assert sum(map(sum, bounds)) > 0.5 * sum(map(sum, exact))


@pytest.mark.parametrize("term", ["moisture", "density", "colour"])
def test_what_is_said_of_a_line_is_never_above_the_term(term):
    likeness = Likeness(stock(60, 7), ASK)
    one = likeness._terms[term]
    values, cap = one.on_a_line()
    for i, j in combinations(range(60), 2):
        assert min(cap, abs(values[i] - values[j])) - 2 <= one.exact(i, j)


@pytest.mark.parametrize("seed", range(8))
def test_what_is_said_of_groups_is_never_above_the_origin(seed):
    blanks = stock(40, seed)
    if seed < 4:  # a stock whose logs are each of one known tree, or of none
        tree_of = {b.log: b.tree for b in blanks}
        blanks = [replace(b, tree=tree_of[b.log], stick=None, billet=None) for b in blanks]
    origin = Likeness(blanks, ASK)._terms["origin"]
    groups = origin.groups()
    assert groups or seed >= 4
    for i, j in combinations(range(40), 2):
        said = sum(cost for codes, cost in groups if codes[i] != codes[j] and min(codes[i], codes[j]) >= 0)
        assert said <= origin.exact(i, j)
        if origin.between_trees is not None and min(origin.trees[i], origin.trees[j]) >= 0:
            assert origin.trees[i] == origin.trees[j] or origin.exact(i, j) >= origin.between_trees


def test_a_pair_costs_the_same_either_way_round_and_in_any_company():
    blanks = stock(25, 9)
    likeness = Likeness(blanks, ASK)
    for i, j in combinations(range(25), 2):
        there, back = pair(blanks[i], blanks[j], ASK), pair(blanks[j], blanks[i], ASK)
        assert there == back
        assert (there is not None) == likeness.allowed(i, j)
        if there:
            assert likeness.between(i, j) == {name: round(1000 * points) for name, points in there.items()}


# what cannot be ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), -1.0])
@pytest.mark.parametrize("field", ["width_mm", "usable_length_mm", "mc_pct", "mc_sd_pct", "ring_deg", "density_kg_m3"])
def test_a_blank_that_cannot_be_is_refused(field, bad):
    with pytest.raises(Impossible, match="1A"):
        replace(KNOWN, **{field: bad})


def test_a_colour_that_is_no_number_is_refused():
    with pytest.raises(Impossible, match="colour of 1A"):
        replace(KNOWN, lab=(50, float("nan"), 3))


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), -1.0, 0.0])
@pytest.mark.parametrize("field", ["square_mm", "length_mm"])
def test_a_stave_that_cannot_be_is_refused(field, bad):
    with pytest.raises(Impossible):
        replace(ASK, **{field: bad})


def test_weights_are_numbers_from_zero_up_and_not_beyond_all_measure():
    with pytest.raises(Impossible):
        Weights(colour=-1)
    with pytest.raises(Impossible):
        Weights(ring=float("nan"))
    with pytest.raises(Impossible, match="too large"):
        Likeness([KNOWN, replace(KNOWN, key="2B", lab=(0, 0, 0))], ASK, Weights(colour=1e6))


def test_a_pattern_nobody_knows_is_refused():
    with pytest.raises(Unclear, match="checkers"):
        replace(ASK, pattern="checkers")


@pytest.mark.parametrize("bad", [0, 5, -1, 1.5])
def test_so_many_staves_to_a_blank_cannot_be(bad):
    with pytest.raises(Impossible):
        replace(ASK, per_blank=bad)


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan"), float("inf")])
def test_a_square_does_not_grow_in_such_steps(bad):
    with pytest.raises(Impossible):
        replace(ASK, square_step_mm=bad)


@pytest.mark.parametrize("bad", [0.0, -3.0, float("nan")])
def test_grain_cannot_run_out_so(bad):
    with pytest.raises(Impossible):
        replace(KNOWN, run_out=bad)
