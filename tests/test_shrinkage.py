"""Change of size and density: what the handbooks print, asked of stock/wood/shrinkage.py."""

import csv
from math import cos, radians, sin
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.errors import Impossible
from stock.wood.shrinkage import density_kg_m3, shrinkage_at_angle, shrinkage_from_coefficient, size_at

PUBLISHED = Path(__file__).parent / "published"
# Wood Handbook Tables 4-3 (shrinkage) and 13-5 (coefficients), each woods' both sides read: 36 woods. Three of them
# print in Table 13-5 the figures of a sister species, named in the column `prints_figure_of`.
PAIRS = list(csv.DictReader((PUBLISHED / "shrinkage_coefficients.csv").read_text("utf-8").splitlines()))
BY_WOOD = {pair["wood"]: pair for pair in PAIRS}
# Changes of size printed elsewhere, each with its source; D4 is recalled, not read: only its arithmetic is tested.
PRINTED = list(csv.DictReader((PUBLISHED / "shrinkage_worked.csv").read_text("utf-8").splitlines()))

sizes = st.floats(1, 5000)
moistures = st.floats(0, 120)
shrinkages = st.floats(0, 20)


@pytest.mark.parametrize("pair", PAIRS, ids=lambda pair: pair["wood"])
def test_shrinkage_follows_from_the_coefficients(pair):
    """They are printed to 0.00001, which is 0.03 points of shrinkage: within one step of the print."""
    shrinkage_of = BY_WOOD[pair["prints_figure_of"] or pair["wood"]]
    for direction, printed in (("radial", pair["c_radial"]), ("tangential", pair["c_tangential"])):
        found = shrinkage_from_coefficient(float(printed))
        assert found == pytest.approx(float(shrinkage_of[f"shrinkage_{direction}_pct"]), abs=0.03)


def test_all_pairs_are_there_and_only_three_are_a_sisters():
    assert len(PAIRS) == 36
    sisters = {pair["wood"]: pair["prints_figure_of"] for pair in PAIRS if pair["prints_figure_of"]}
    assert sisters == {"ash, green": "ash, white", "birch, sweet": "birch, yellow", "elm, cedar": "elm, winged"}
    for wood in sisters:  # what is printed for them does not give their own shrinkage
        own = float(BY_WOOD[wood]["shrinkage_radial_pct"])
        assert abs(shrinkage_from_coefficient(float(BY_WOOD[wood]["c_radial"])) - own) > 0.25


@pytest.mark.parametrize("line", PRINTED, ids=lambda line: line["id"])
def test_printed_changes_of_size(line):
    """Printed by the quick rule, Wood Handbook eq. 13-2: size x coefficient x points, wherever it starts.

    The coefficient is per point on the size at 10 %, so that the rule is off by so much of the change as the size at
    the start differs from that at 10 %.
    """
    size, rate, start, end = (float(line[name]) for name in ("size", "coefficient", "from_mc_pct", "to_mc_pct"))
    printed, step = float(line["published_change"]), float(line["printed_to"])
    assert size * rate * (end - start) == pytest.approx(printed, abs=0.5 * step)
    found = size_at(size, start, end, shrinkage_from_coefficient(rate)) - size
    assert found * (1 + rate * (start - 10)) == pytest.approx(printed, abs=0.5 * step)


def test_the_quick_rule_and_the_exact_relation_agree_from_10_percent():
    """By construction of the coefficient: it is per point on the size at 10 %."""
    for to_mc_pct in (6, 8, 12, 14):
        quick = 100 * 0.00248 * (to_mc_pct - 10)
        assert size_at(100, 10, to_mc_pct, shrinkage_from_coefficient(0.00248)) - 100 == pytest.approx(quick, abs=1e-9)


def test_d2_by_the_exact_relation():
    """The mesquite board of D2, 5 in from 6 to 9 %: 0.019 in printed (fetched). C 0.00129 is a shrinkage of 3.77 %."""
    assert shrinkage_from_coefficient(0.00129) == pytest.approx(3.77, abs=0.005)
    assert size_at(5, 6, 9, 3.77) - 5 == pytest.approx(0.019, abs=0.0005)


def test_green_to_oven_dry_is_the_shrinkage():
    """Black cherry, tangential 7.1 % (Wood Handbook Table 4-3, fetched)."""
    assert size_at(100, 60, 0, 7.1) == pytest.approx(92.9)
    assert size_at(92.9, 0, 30, 7.1) == pytest.approx(100)
    assert size_at(100, 30, 15, 7.1) == pytest.approx(96.45)


def test_above_fibre_saturation_nothing_moves():
    assert size_at(50.8, 95, 31, 9.9) == 50.8


@given(sizes, moistures, moistures, moistures, shrinkages)
def test_there_and_back_by_any_way(size_mm, one, two, three, shrinkage_pct):
    straight = size_at(size_mm, one, three, shrinkage_pct)
    assert size_at(size_at(size_mm, one, two, shrinkage_pct), two, three, shrinkage_pct) == pytest.approx(straight)


@given(sizes, moistures, moistures, shrinkages, st.floats(0.1, 10))
def test_twice_the_piece_moves_twice_as_far(size_mm, one, two, shrinkage_pct, factor):
    assert size_at(size_mm * factor, one, two, shrinkage_pct) == pytest.approx(
        factor * size_at(size_mm, one, two, shrinkage_pct)
    )


def test_ring_angle_mixes_the_two_shrinkages():
    assert shrinkage_at_angle(3.7, 7.1, 0) == pytest.approx(7.1)
    assert shrinkage_at_angle(3.7, 7.1, 90) == pytest.approx(3.7)
    assert shrinkage_at_angle(3.7, 7.1, 45) == pytest.approx(5.4)
    assert shrinkage_at_angle(3.7, 7.1, 30) == shrinkage_at_angle(3.7, 7.1, -30) == shrinkage_at_angle(3.7, 7.1, 150)


@given(st.floats(2, 8), st.floats(4, 12), st.floats(0, 90))
def test_ring_angle_against_the_geometry_of_a_deformed_line(radial_pct, tangential_pct, ring_deg):
    """An independent way: shrink the plane along and across the rings and measure a line across the face.

    The mix is the small-strain limit; for wood the second-order term stays under 0.2 percentage points.
    """
    x = cos(radians(ring_deg)) * (1 - tangential_pct / 100)
    y = sin(radians(ring_deg)) * (1 - radial_pct / 100)
    exact = 100 * (1 - (x * x + y * y) ** 0.5)
    assert shrinkage_at_angle(radial_pct, tangential_pct, ring_deg) == pytest.approx(exact, abs=0.2)


def test_e1_density_of_wood_with_its_water():
    """University of Missouri forestry pages after Wood Handbook ch. 4 (fetched): G 0.40 at 12 % is 448 kg/m3."""
    assert density_kg_m3(0.40, 12) == pytest.approx(448)
    assert density_kg_m3(0.40, 12) * 62.43 / 1000 == pytest.approx(27.968, abs=0.001)  # lb/ft3, water at 62.43


@pytest.mark.parametrize(
    ("size_mm", "one", "two", "shrinkage_pct"),
    [(0, 10, 8, 7), (-5, 10, 8, 7), (50, -1, 8, 7), (50, 10, -8, 7), (50, 10, 8, -1), (50, 10, 8, 50)]
    + [tuple(float("nan") if i == at else value for i, value in enumerate((50, 10, 8, 7))) for at in range(4)]
    + [tuple(float("inf") if i == at else value for i, value in enumerate((50, 10, 8, 7))) for at in range(4)],
)
def test_what_cannot_be_is_refused(size_mm, one, two, shrinkage_pct):
    with pytest.raises(Impossible):
        size_at(size_mm, one, two, shrinkage_pct)


def test_other_impossible_values_are_refused():
    nan = float("nan")
    for call in (
        lambda: shrinkage_from_coefficient(nan),
        lambda: shrinkage_from_coefficient(-0.001),
        lambda: shrinkage_from_coefficient(7.1),  # a shrinkage given for a coefficient
        lambda: shrinkage_at_angle(3, 7, nan),
        lambda: shrinkage_at_angle(nan, 7, 0),
        lambda: density_kg_m3(nan, 10),
        lambda: density_kg_m3(600, 10),
        lambda: density_kg_m3(0.6, -1),
    ):
        with pytest.raises(Impossible):
            call()
