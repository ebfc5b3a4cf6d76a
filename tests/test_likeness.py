"""What two blanks cost each other: each term worked by hand, from weights that are our own judgement.

No outside authority prices likeness. What is checked is that the terms are what they say, that they add up exactly, and
that both ways of computing them give the same whole numbers.
"""

import random
from dataclasses import replace
from datetime import date, timedelta
from itertools import combinations

import numpy as np
import pytest

from stock.errors import Impossible
from stock.wood.likeness import Ask, Blank, Likeness, Weights, pair, waste
from stock.wood.matching import FORBIDDEN, best_quads, best_quads_large

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
    assert best_quads(Likeness(beams, tiny).edges(), 1) == [(3 * 4 * 20_000_000, (0, 1, 2, 3))]


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
    assert cost(lab=(59, 14, 28))["colour"] == 10.0  # the length of (3, 0, 4) is 5


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
def test_six_edges_are_three_times_the_terms_and_the_waste(seed):
    blanks = stock(12, seed)
    table = Likeness(blanks, ASK).edges()
    for four in combinations(range(12), 4):
        edges = [table[i][j] for i, j in combinations(four, 2)]
        terms = [pair(blanks[i], blanks[j], ASK) for i, j in combinations(four, 2)]
        assert (max(edges) >= FORBIDDEN) == any(t is None for t in terms)
        if None not in terms:
            parts = [t.values() for t in terms] + [waste(blanks[i], ASK).values() for i in four]
            thousandths = sum(round(1000 * points) for part in parts for points in part)
            assert sum(edges) == 3 * thousandths
            assert sum(sum(part) for part in parts) == pytest.approx(sum(edges) / 3000, abs=1e-6)


@pytest.mark.parametrize("covariance", [None, lambda a, b: 0.01 if a[:3] == b[:3] else 0.0], ids=["none", "sisters"])
def test_numpy_gives_the_same_whole_numbers(covariance):
    blanks = stock(90, 3)
    likeness = Likeness(blanks, ASK, covariance=covariance)
    i = np.arange(90)
    grid = likeness.edge()(i[:, None], i[None, :])
    np.fill_diagonal(grid, FORBIDDEN)
    assert grid.tolist() == likeness.edges()
    assert best_quads_large(likeness.edge(), 90, 20) == best_quads(likeness.edges(), 20)


def test_a_pair_costs_the_same_either_way_round_and_in_any_company():
    blanks = stock(25, 9)
    likeness = Likeness(blanks, ASK)
    for i, j in combinations(range(25), 2):
        there, back = pair(blanks[i], blanks[j], ASK), pair(blanks[j], blanks[i], ASK)
        assert there == back
        assert (there is not None) == likeness.allowed(i, j)
        if there:
            assert likeness.between(i, j) == {name: round(1000 * points) for name, points in there.items()}


@pytest.mark.parametrize("seed", range(25))
def test_real_costs_are_searched_as_full_enumeration_does(seed):
    blanks = stock(random.Random(seed).randrange(4, 20), seed)
    table = Likeness(blanks, replace(ASK, band_pct=1 + seed % 3)).edges()
    every = []
    for four in combinations(range(len(blanks)), 4):
        edges = [table[i][j] for i, j in combinations(four, 2)]
        if max(edges) < FORBIDDEN:
            every.append((sum(edges), four))
    assert best_quads(table, 10) == sorted(every)[:10]


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
