"""The made-up truth: its solver against exact solutions, its wood against published figures, the tool against it."""

import csv
from collections.abc import Sequence
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
from desk_side import Rick
from truth import BLUNDER_G, SPECIES, Truth, pieces
from truth_air import yard
from truth_book import TODAY, Asked, as_book, as_folder, ask
from truth_rules import exponential, two_equal_weights, year_an_inch
from truth_scores import score
from truth_solver import Drying, Squares, daily_mc, steps

LINEAR = (np.array([0.0, 0.3]), np.array([0.0, 1.0]))  # activity in proportion to moisture, for the exact solutions
SPECIES_KEYS = {
    "black cherry": "prunus-serotina",
    "black walnut": "juglans-nigra",
    "sugar maple": "acer-saccharum",
    "white ash": "fraxinus-americana",
    "northern red oak": "quercus-rubra",
    "yellow-poplar": "liriodendron-tulipifera",
    "American beech": "fagus-grandifolia",
    "white oak": "quercus-alba",
    "shagbark hickory": "carya-ovata",
}


def squares(n: int = 1, **given: float) -> Squares:
    """Squares with a constant diffusivity of 1.3 mm2/day, 50 mm, endless, their surface at once as dry as the air."""
    plain = {"half_mm": 25, "half_length_mm": 1e5, "d_fsp": 1.3, "d_dry": 1, "bend": 0, "d_free": 1, "fsp": 0.3}
    plain |= {"activation_k": 0, "radial": 1, "along": 1, "surface": 1e6, "end": 0, **given}
    return Squares(**{name: np.full(n, float(value)) for name, value in plain.items()})


def left(wood: Squares, days: Sequence[float], cells: tuple[int, int, int], step: float = 0.5) -> list[float]:
    """The share of the water above the air's that is left after so many days."""
    drying = Drying(wood, np.array([0.25]), cells, LINEAR)
    found, at = [], 0.0
    for day in days:
        while at < day - 1e-9:
            drying.step(step, np.array([20.0]), np.array([0.05]))
            at += step
        found.append((drying.mean[0] - 0.05) / 0.2)
    return found


def slab_left(fourier: float, biot: float = np.inf) -> float:
    """The same for a slab of constant diffusivity, by the series for a surface in balance, or with a resistance.

    Crank, The Mathematics of Diffusion (1975), eq. 4.18 and 4.53 (equation numbers from memory).
    """
    n = np.arange(200)
    if np.isinf(biot):
        root = (n + 0.5) * np.pi
        return float((2 / root**2 * np.exp(-(root**2) * fourier)).sum())
    low, high = n * np.pi, (n + 0.5) * np.pi - 1e-12
    for _ in range(60):  # root tan root = biot, by halving
        middle = (low + high) / 2
        above = middle * np.tan(middle) > biot
        low, high = np.where(above, low, middle), np.where(above, middle, high)
    weight = 2 * biot**2 / (low**2 * (low**2 + biot**2 + biot))
    return float((weight * np.exp(-(low**2) * fourier)).sum())


def test_the_series_give_the_value_printed_for_a_slab():
    # Crank (1975): half of the water has gone at a Fourier number of 0.1967 (from memory; any handbook has it).
    assert slab_left(0.1967) == pytest.approx(0.5, abs=1e-4)
    assert slab_left(0.2, 1e7) == pytest.approx(slab_left(0.2), abs=1e-6)


DAYS = (50, 100, 200, 300)


@pytest.mark.parametrize("biot", [np.inf, 10.0, 1.0])
def test_a_square_of_constant_diffusivity_dries_as_the_product_of_two_slabs(biot):
    surface = (
        1e6 if np.isinf(biot) else biot * 1.3 / 25 * 0.3
    )  # mm/day for a unit of activity, of which 0.3 of u is one
    found = left(squares(surface=surface), DAYS, (16, 16, 1), step=0.25)
    assert found == pytest.approx([slab_left(1.3 * day / 625, biot) ** 2 for day in DAYS], abs=0.003)


def test_open_ends_are_a_third_slab_that_dries_ten_times_as_fast_along_the_grain():
    found = left(squares(half_length_mm=150, along=10, end=1), DAYS, (16, 16, 16), step=0.5)
    exact = [slab_left(1.3 * day / 625) ** 2 * slab_left(13 * day / 150**2) for day in DAYS]
    assert found == pytest.approx(exact, abs=0.004)
    assert found[2] < left(squares(half_length_mm=150, along=10, end=0.03, surface=1), DAYS, (8, 8, 6))[2]


def test_across_and_along_the_rings_are_two_slabs_of_their_own():
    # Mean diffusivity 1.3, across over along 1.5: 1.56 and 1.04 mm2/day.
    found = left(squares(radial=1.5), DAYS, (16, 16, 1))
    exact = [slab_left(1.56 * day / 625) * slab_left(1.04 * day / 625) for day in DAYS]
    assert found == pytest.approx(exact, abs=0.004)


def test_a_finer_grid_comes_nearer_by_the_square():
    exact = slab_left(1.3 * 100 / 625) ** 2
    coarse, fine = (left(squares(), (100,), (n, n, 1), step=0.1)[0] - exact for n in (6, 12))
    assert 0 < 2.5 * fine < coarse < 0.01


def truly_nonlinear(n: int) -> Squares:
    more = {"d_fsp": 4, "d_dry": 0.05, "bend": 0.7, "d_free": 4, "activation_k": 4500, "radial": 1.4}
    return squares(n, **more, along=10, half_length_mm=160, surface=1.2, end=0.05)


def test_no_water_is_lost_but_through_the_surface():
    rng = np.random.default_rng(5)
    drying = Drying(truly_nonlinear(3), np.array([0.9, 0.6, 0.2]))
    begun = drying.mean
    for _, step in steps(200):
        drying.step(step, rng.normal(8, 8, 3), rng.uniform(0.08, 0.16, 3))
    assert drying.mean + drying.lost == pytest.approx(begun, abs=1e-12)
    assert np.all(drying.mean < begun)


def test_wood_in_balance_stays_as_it_is():
    drying = Drying(truly_nonlinear(1), np.array([0.12]))
    for _, step in steps(50):
        drying.step(step, np.array([15.0]), np.array([0.12]))
    assert np.allclose(drying.u, 0.12, atol=1e-12)


def test_the_grid_in_use_is_fine_enough():
    """Against one of twice as many cells each way and steps of a quarter of a day: within 0.6 points while it dries."""
    days = 240
    temp_c, emc = np.full((1, days), 12.0), np.full((1, days), 0.13)
    used = 100 * daily_mc(truly_nonlinear(1), np.array([0.8]), temp_c, emc)[0]
    drying = Drying(truly_nonlinear(1), np.array([0.8]), (16, 16, 12))
    finer = [80.0]
    for quarter in range(4 * days):
        drying.step(0.25, temp_c[:, 0], emc[:, 0])
        if quarter % 4 == 3:
            finer.append(100 * drying.mean[0])
    assert np.abs(used - finer).max() < 0.6
    assert np.abs(used - finer)[120:].max() < 0.4


def test_a_wet_surface_dries_at_a_constant_rate():
    """By hand: two pairs of faces on 25 mm, 0.05 mm/day for a unit of activity, air of which it takes away 0.5."""
    drying = Drying(squares(d_fsp=500, surface=0.05), np.array([0.9]), (8, 8, 1), LINEAR)
    lost = []
    for _ in range(20):
        before = drying.mean[0]
        drying.step(1, np.array([20.0]), np.array([0.15]))
        lost.append(before - drying.mean[0])
    assert lost == pytest.approx([2 * 0.05 * 0.5 / 25] * 20, rel=0.01)


def test_cold_slows_it_down_and_frost_stops_the_free_water():
    # Arrhenius with 4500 K, 0 against 20 degC: exp(-4500 (1/273.15 - 1/293.15)) = 0.3250, arithmetic.
    drying = Drying(squares(activation_k=4500, d_free=4), np.array([0.9]))
    at = {c: drying.diffusivity(np.array([0.2, 0.9]), np.array([c])) for c in (20.0, 0.0, -2.0)}
    assert at[0.0] / at[20.0] == pytest.approx([0.3250, 0.3250], abs=1e-4)
    assert at[20.0][1] / at[20.0][0] == pytest.approx(4)
    assert at[-2.0][1] / at[-2.0][0] == pytest.approx(1.3)


@pytest.fixture(scope="module")
def stock() -> list[Truth]:
    return pieces(120, 11, weigh_ins=5, years=0.3)


def test_the_woods_have_their_published_density_and_green_moisture():
    # Wood Handbook FPL-GTR-282 (2021) Table 5-3b; forest inventory reference species.
    with Path(__file__).with_name("published").joinpath("species_handbook.csv").open(encoding="utf-8") as file:
        known = {(row["key"], row["property"]): float(row["value"]) for row in csv.DictReader(file)}
    assert SPECIES_KEYS.keys() == SPECIES.keys()
    for name, key in SPECIES_KEYS.items():
        density, moisture = known[key, "basic_specific_gravity"], known[key, "green_mc_tree_pct"]
        assert SPECIES[name][:2] == (density, moisture)


def test_the_same_seed_is_the_same_wood_however_much_of_it_is_asked_for(stock):
    few = pieces(7, 11, weigh_ins=3, years=0.3)
    for one, same in zip(few, stock[:7], strict=True):
        assert (one.tag, one.section, one.oven_dry_g) == (same.tag, same.section, same.oven_dry_g)
        assert one.weighings == same.weighings[:3]
    assert pieces(7, 12, weigh_ins=3, years=0.3)[0].oven_dry_g != few[0].oven_dry_g


def test_what_is_written_down_scatters_about_the_truth_as_it_should(stock):
    noise, ratio, beside = [], [], []
    for one in stock:
        noise += [g - one.oven_dry_g * (1 + one.true_mc_pct(on) / 100) - one.coat_g for on, g in one.weighings]
        assert all(mass_g % one.yard.step_g == 0 for _, mass_g in one.weighings)
        assert 45 <= one.true_mc_pct(one.made_on) <= 110
        gravity = 1000 * one.oven_dry_g / (one.square_mm**2 * one.length_mm)
        ratio.append(gravity / SPECIES[one.species][0])
        if one.section:
            beside.append(100 * (one.section.wet_g / one.section.dry_g - 1) - one.true_mc_pct(one.made_on))
    slips = np.abs(noise) > BLUNDER_G - 5
    assert 0.002 < slips.mean() < 0.04
    assert 0.6 < np.std(np.array(noise)[~slips]) < 1.3
    assert 0.06 < np.std(np.log(ratio)) < 0.15
    assert 2.5 < np.std(beside) < 5
    assert {one.sealed for one in stock} == {one.section is None for one in stock} == {True, False}
    assert {len(one.places) for one in stock} == {1, 2}


def test_the_noted_air_of_a_yard_is_near_its_true_one():
    off = []
    for number in range(8):
        for name, air in yard(number, np.random.default_rng((7, number))).places.items():
            assert len(air.normals) == 12
            assert (5 < air.told_emc_pct < 12) if "shop" in name else (10 < air.told_emc_pct < 18)
            off.append(air.told_emc_pct - air.emc_pct.mean())
    assert abs(np.mean(off)) < 0.5
    assert 0.2 < np.std(off) < 1.2


def test_every_blank_dries_towards_its_air_and_knows_when(stock):
    for one in stock:
        assert one.daily_mc_pct[-1] < one.daily_mc_pct[0]
        middle = (one.daily_mc_pct[0] + one.daily_mc_pct[-1]) / 2
        on = one.first_at(middle, one.made_on)
        assert on
        assert one.true_mc_pct(on) <= middle < one.true_mc_pct(on - timedelta(days=1))
        assert one.first_at(1.0, one.made_on) is None


def test_a_score_counts_what_is_held_and_what_a_miss_costs():
    found = score([0, 0, 0, 0], [5, 5, 5, 5], [10, 10, 10, 10], [5, 9, 12, -1], list("abcd"))
    assert (found.coverage, found.below, found.above) == (0.5, 0.25, 0.25)
    assert found.interval_score == pytest.approx(10 + 10 * (2 + 1) / 4)
    assert found.coverage_sd == pytest.approx(0.25)  # sqrt(0.5 x 0.5 / 4), four draws by themselves
    assert score([0] * 4, [5] * 4, [10] * 4, [5, 9, 12, -1], list("aabb")).coverage_sd == pytest.approx(0.5**1.5)


def test_the_rules_of_thumb_are_those_of_the_trade(stock):
    one = stock[0]
    assert (year_an_inch(one) - one.made_on).days == pytest.approx(365 * one.square_mm / 25.4, abs=2)
    called = two_equal_weights(one, np.random.default_rng(1))
    assert called is None or (called - one.made_on).days % 30 == 0
    # 33 points above the air, 18 after 40 days: a single exponential is at 3 after 118.2 more (arithmetic by hand).
    early, likely, late = exponential([0, 40], [43, 28], 10, 13, np.random.default_rng(1)) or (0, 0, 0)
    assert early == late == likely == pytest.approx(158.2, abs=0.1)
    assert exponential([0, 40], [28, 43], 10, 13, np.random.default_rng(1)) is None
    early, likely, late = exponential([0, 20, 40], [43, 36, 28], 10, 13, np.random.default_rng(1)) or (0, 0, 0)
    assert early < likely < late


def test_the_notebook_of_made_up_blanks_goes_through_the_whole_tool(tmp_path, monkeypatch, capsys):
    some = pieces(10, 12, weigh_ins=5, years=0.3, sections=(2, 0))
    rick = Rick(tmp_path / "book.rick", monkeypatch, capsys)
    said = rick("book", "import", str(as_folder(some, tmp_path / "notebook")), today=TODAY)
    assert said.code == 0, said.err
    for one in some:
        found = rick("dry", one.tag, "--json", today=TODAY).json[0]
        assert (found["mass_g"], found["last_weighed_on"]) == (one.weighings[-1][1], one.weighings[-1][0].isoformat())
        if one.section:
            assert found["oven_dry_g"] == pytest.approx(one.oven_dry_g, rel=0.12)
        assert (found["mc_pct"] is None) == (one.tree != some[0].tree)


@pytest.fixture(scope="module")
def answers(tmp_path_factory) -> list[Asked]:
    """A hundred blanks, two of five with a section, as the tool knows them after five weighings."""
    truths = pieces(100, 13, weigh_ins=5, sections=(2,), years=0.25)
    book = as_book(truths, tmp_path_factory.mktemp("truth"))
    return list(ask(book, truths, 5))


@pytest.mark.parametrize("own", [True, False], ids=["a section of its own", "of sisters"])
def test_the_interval_of_moisture_holds_the_truth_as_often_as_it_says(answers, own):
    """80 of 100 are meant. The bounds are wide, as 40 blanks of 20 trees tell a share to 8 in 100 at best."""
    some = [one for one in answers if (one.truth.section is not None) == own]
    assert len(some) == (40 if own else 60)
    found = score(
        [one.dryness.mc_low_pct for one in some],
        [one.dryness.mc_pct for one in some],
        [one.dryness.mc_high_pct for one in some],
        [one.true_pct for one in some],
        [one.truth.tree for one in some],
    )
    assert 0.6 <= found.coverage <= 1.0
    assert found.rms < (4.5 if own else 13)
    assert found.half_width < (7 if own else 15)
