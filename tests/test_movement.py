"""How a square stave moves: the handbook's figures, a strain turned by hand, and a square deformed on paper."""

from math import acos, cos, degrees, hypot, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.errors import Impossible
from stock.wood import species
from stock.wood.movement import Side, mismatch, movement, shrinkages
from stock.wood.species import Value

CHERRY = (3.7, 7.1)  # radial, tangential: Wood Handbook FPL-GTR-190 (2010), Table 4-3 (fetched)
BEECH = (5.5, 11.9)  # the same (fetched)
MAPLE = (4.8, 9.9)  # sugar maple: recalled, and confirmed by its coefficients in Table 13-5 (fetched)
COEFFICIENTS = {CHERRY: (0.00126, 0.00248), BEECH: (0.00190, 0.00431)}  # Table 13-5 (fetched)

angles = st.floats(0, 90)
moistures = st.floats(0, 40)


def deformed(side, start, end, radial, tangential, ring_deg):
    """A square deformed for good: two edges stretched along and across the rings, not by small strains."""

    def share(mc_pct, shrinkage_pct):
        return 1 - shrinkage_pct / 100 * (30 - min(mc_pct, 30)) / 30

    along = share(end, tangential) / share(start, tangential)
    across = share(end, radial) / share(start, radial)
    c, s = cos(radians(ring_deg)), sin(radians(ring_deg))

    def stretched(x, y):
        t, r = along * (x * c + y * s), across * (-x * s + y * c)
        return t * c - r * s, t * s + r * c

    a, b = stretched(side, 0), stretched(0, side)
    square = degrees(acos((a[0] * b[0] + a[1] * b[1]) / (hypot(*a) * hypot(*b))))
    return hypot(*a) - side, hypot(*b) - side, square - 90


@pytest.mark.parametrize("wood", [CHERRY, BEECH])
@pytest.mark.parametrize(("start", "end"), [(6, 14), (14, 6), (8, 11), (12, 7)])
def test_flat_and_quarter_faces_move_as_the_handbook_says(wood, start, end):
    """Wood Handbook eq. 13-2: change = size x C x (end - start), C of Table 13-5, for 6 to 14 % (fetched).

    C is per point on the size at 10 %: four points off that it is 2 % of itself off.
    """
    c_radial, c_tangential = COEFFICIENTS[wood]
    found = movement(50.8, 50.8, start, end, *wood, ring_deg=0)
    assert found.width_mm == pytest.approx(50.8 * c_tangential * (end - start), rel=0.025)
    assert found.thickness_mm == pytest.approx(50.8 * c_radial * (end - start), rel=0.025)
    turned = movement(50.8, 50.8, start, end, *wood, ring_deg=90)
    assert (turned.width_mm, turned.thickness_mm) == pytest.approx((found.thickness_mm, found.width_mm))


def test_a_two_inch_square_with_rings_corner_to_corner_by_hand():
    """Cherry, green to oven-dry: strains -0.071 along and -0.037 across the rings.

    By hand: both sides shrink by the mean, 0.054 x 50.8 = 2.743 mm; the shear is 0.071 - 0.037 = 0.034, which is 1.948
    degrees and 0.034 x 50.8 = 1.727 mm over the side.
    """
    found = movement(50.8, 50.8, 30, 0, *CHERRY, ring_deg=45)
    assert found.width_mm == found.thickness_mm == pytest.approx(-2.7432)
    assert found.lean_deg == pytest.approx(1.948, abs=0.0005)
    assert found.lean_mm == pytest.approx(1.7272)


def test_the_diagonals_of_that_square_by_hand():
    """Its diagonals lie along and across the rings: they shrink by 7.1 and by 3.7 %, and that is what leans it.

    Small strains leave out what is of the order of their product, 0.071 x 0.037 / 2 = 0.0013 of the size.
    """
    found = movement(50.8, 50.8, 30, 0, *CHERRY, ring_deg=45)
    side = 50.8 + found.width_mm
    lean = radians(found.lean_deg)
    short, long = 2 * side * sin((radians(90) - lean) / 2), 2 * side * cos((radians(90) - lean) / 2)
    assert short == pytest.approx(50.8 * 2**0.5 * (1 - 0.071), rel=0.0013)
    assert long == pytest.approx(50.8 * 2**0.5 * (1 - 0.037), rel=0.0013)


@given(angles, moistures, moistures, st.floats(2, 8), st.floats(0, 6))
def test_small_strains_stay_near_a_square_deformed_for_good(ring_deg, start, end, radial, more):
    tangential = radial + more
    found = movement(100, 100, start, end, radial, tangential, ring_deg)
    width, thickness, lean = deformed(100, start, end, radial, tangential, ring_deg)
    assert found.width_mm == pytest.approx(width, abs=0.25)
    assert found.thickness_mm == pytest.approx(thickness, abs=0.25)
    assert found.lean_deg == pytest.approx(abs(lean), abs=0.35)


def test_how_far_small_strains_are_off_at_their_worst():
    """As the docstring says: beech, green to oven-dry, 45 degrees."""
    found = movement(100, 100, 30, 0, *BEECH, ring_deg=45)
    width, _, lean = deformed(100, 30, 0, *BEECH, 45)
    assert found.width_mm - width == pytest.approx(-0.06, abs=0.01)
    assert found.lean_deg == pytest.approx(3.7, abs=0.1)
    assert abs(lean) - found.lean_deg == pytest.approx(0.35, abs=0.05)


@given(angles, moistures, moistures)
def test_square_rings_never_lean_and_nothing_exceeds_what_is_said_of_unknown_rings(ring_deg, start, end):
    most = movement(50, 40, start, end, *CHERRY)
    found = movement(50, 40, start, end, *CHERRY, ring_deg)
    assert most.at_most
    assert not found.at_most
    for name in ("width_mm", "thickness_mm", "lean_deg", "lean_mm"):
        assert abs(getattr(found, name)) <= abs(getattr(most, name)) + 1e-9
    for square in (0, 90):
        assert movement(50, 40, start, end, *CHERRY, square).lean_deg == pytest.approx(0, abs=1e-9)
    assert found.lean_mm == pytest.approx(radians(found.lean_deg) * 50)


@pytest.mark.parametrize(("wood", "expected"), [(CHERRY, 0.0023), (MAPLE, 0.0034), (BEECH, 0.0043)])
def test_flat_against_quarter_opens_by_t_less_r(wood, expected):
    """Two inches, one point, from green size: 2 x (T - R) / 100 / 30 in, by hand from Table 4-3."""
    flat, quarter = (Side(mc_pct=30, radial_pct=wood[0], tangential_pct=wood[1], ring_deg=a) for a in (0, 90))
    found = mismatch(50.8, flat, quarter, 29)
    assert found.inches == pytest.approx(expected, abs=0.00005)
    assert found.mm == pytest.approx(25.4 * expected, abs=0.0013)


def test_two_points_of_moisture_open_a_joint_of_flat_cherry():
    """Two inches at 8 and 10 % that both settle at 8 %: 2 x C_T x 2 = 0.0099 in by Table 13-5 (fetched)."""
    dry, wet = (Side(mc_pct=m, radial_pct=3.7, tangential_pct=7.1, ring_deg=0) for m in (8, 10))
    found = mismatch(50.8, dry, wet, 8)
    assert found.inches == pytest.approx(2 * 0.00248 * 2, abs=0.00005)
    assert found.words == "0.25 mm (0.010 in)"


@given(angles, angles, st.floats(4, 16), st.floats(4, 16), st.floats(4, 16))
def test_a_mismatch_is_the_difference_of_two_movements(a, b, one, other, end):
    sides = [Side(mc_pct=m, radial_pct=3.7, tangential_pct=7.1, ring_deg=d) for m, d in ((one, a), (other, b))]
    moves = [movement(50, 50, side.mc_pct, end, 3.7, 7.1, side.ring_deg).width_mm for side in sides]
    assert mismatch(50, *sides, end).mm == pytest.approx(abs(moves[0] - moves[1]))
    assert mismatch(50, *sides[::-1], end).mm == mismatch(50, *sides, end).mm
    unknown = Side(mc_pct=one, radial_pct=3.7, tangential_pct=7.1)
    most = mismatch(50, unknown, sides[1], end)
    assert most.at_most
    assert most.words.endswith("at most")
    assert most.mm >= mismatch(50, *sides, end).mm - 1e-9


def test_figures_of_woods():
    cherry = shrinkages(species.find("black cherry"))
    assert (cherry.radial_pct, cherry.tangential_pct, cherry.verified) == (*CHERRY, True)
    assert shrinkages(species.find("northern red oak")).verified is False  # recalled, and shown so
    assert shrinkages(species.find("common hawthorn")) is None
    assert shrinkages(species.find("orchard apple")) is None  # its genus has figures: none is borrowed


def test_a_wood_with_coefficients_alone():
    """Apple: 0.00205 and 0.00376 in Table 13-5 (fetched), which is 5.9 and 10.5 % by the footnote of that table."""
    apple = shrinkages(species.find("Malus spp."))
    assert apple.from_coefficients
    assert (apple.radial_pct, apple.tangential_pct) == pytest.approx((5.9, 10.5), abs=0.05)
    assert shrinkages(species.find("California black oak")) is None  # which wood is meant there is in doubt


def test_where_sources_disagree_the_middle_or_the_upper_end():
    pear = species.find("common pear")
    middle, most = shrinkages(pear), shrinkages(pear, largest=True)
    assert (middle.tangential_pct, most.tangential_pct) == pytest.approx((10.15, 11.3))
    assert not middle.verified


def test_the_persons_own_figure_comes_first():
    own = Value("shrinkage_tangential_pct", 8.4, "%", source="my kiln book")
    pear = shrinkages(species.with_values(species.find("common hawthorn"), [own]))
    assert (pear.tangential_pct, pear.radial_pct, pear.source) == (8.4, None, "my kiln book")


def test_what_cannot_be_is_refused():
    nan = float("nan")
    for odd in (
        lambda: movement(0, 50, 12, 8, *CHERRY),
        lambda: movement(50, nan, 12, 8, *CHERRY, 10),
        lambda: movement(50, 50, nan, 8, *CHERRY),
        lambda: movement(50, 50, 12, -1, *CHERRY),
        lambda: movement(50, 50, 12, 8, nan, 7, 10),
        lambda: movement(50, 50, 12, 8, 3, 60, 10),
        lambda: movement(50, 50, 12, 8, *CHERRY, 91),
        lambda: movement(50, 50, 12, 8, *CHERRY, nan),
        lambda: mismatch(nan, *[Side(mc_pct=8, radial_pct=3, tangential_pct=7)] * 2, 6),
        lambda: mismatch(50, *[Side(mc_pct=8, radial_pct=3, tangential_pct=7, ring_deg=-1)] * 2, 6),
        lambda: mismatch(50, *[Side(mc_pct=-8, radial_pct=3, tangential_pct=7, ring_deg=1)] * 2, 6),
    ):
        with pytest.raises(Impossible):
            odd()
