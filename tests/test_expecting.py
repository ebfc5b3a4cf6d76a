"""What a piece should weigh, and what to suspect when it does not: pure arithmetic on a few weighings."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.book.facts import Facts
from stock.book.kinds import (
    AirFact,
    MoveFact,
    OperationFact,
    PieceFact,
    PlaceFact,
    ScalesCheckFact,
    SizeFact,
    WeighingFact,
)
from stock.survey.doubting import Reading, by_size, crossings, doubt, doubts, sisters
from stock.survey.expecting import Course, Expectation, expect, zero_g
from stock.survey.slips import grams, is_swap, slips

MADE = date(2025, 3, 2)
OZ, LB = 28.349523125, 453.59237  # exact: international yard and pound agreement of 1959


def fill(row, **known):
    """A fact with what a test says of it; the rest is empty."""
    return row(**{name: known.get(name) for name in row._fields})


def piece(number: int = 1, made: date = MADE, **more) -> PieceFact:
    return fill(
        PieceFact, id=number, series="", number=number, kind="blank", role="stock", on_first=made, on_last=made, **more
    )


def weighing(on: date, mass_g: float, piece_id: int = 1, row_no: int = 1, **more) -> WeighingFact:
    told = {"step_g": 1.0, "state": "clean", "role": "none", "insisted": False, "entry_id": 1, "day_order": 0} | more
    return fill(
        WeighingFact, id=row_no, row_no=row_no, piece_id=piece_id, on_first=on, on_last=on, mass_g=mass_g, **told
    )


def book(*weighings: WeighingFact, **more) -> Facts:
    """The facts of piece 1 (and others, if told), weighed so."""
    by_piece: dict[int, list[WeighingFact]] = {}
    for one in weighings:
        by_piece.setdefault(one.piece_id, []).append(one)
    told = {"pieces": {1: piece()}, "children": {}} | more
    return Facts(on=date(2027, 1, 1), weighings=by_piece, **told)


def monthly(*masses_g: float, first: date = date(2026, 1, 1), days: int = 30, piece_id: int = 1) -> list[WeighingFact]:
    return [
        weighing(first + timedelta(days=days * i), mass_g, piece_id, row_no=100 * piece_id + i)
        for i, mass_g in enumerate(masses_g)
    ]


AGED = book(*monthly(455, 453, 452))  # last on 2 March 2026
SOON = date(2026, 4, 1)


def aged(on: date = SOON, **how) -> Expectation:
    found = expect(AGED, 1, on, **how)
    assert found is not None
    return found


def test_a_piece_never_weighed_is_not_expected_to_weigh_anything():
    assert expect(book(), 1, SOON) is None
    assert expect(AGED, 1, date(2025, 12, 31)) is None  # before its first weighing


def test_a_steady_piece_is_expected_where_it_was():
    found = aged()
    assert (found.last_g, found.last_on, found.days, found.step_g) == (452, date(2026, 3, 2), 30, 1)
    assert found.low_g < 449
    assert found.holds(452)
    assert found.holds(450)
    assert found.low_g > 452 * 0.97
    assert found.high_g < 452 * 1.02 + 2.1


# Common practice, no source: more than 2 % of gain, or more than 5 % of change in a week, is asked about.
@pytest.mark.parametrize("mass_g", [425, 464, 430, 500, 45.2, 4520])
def test_t05_a_typing_error_is_doubted(mass_g):
    assert aged().doubts(mass_g)


def test_t05_452_typed_as_425():
    assert is_swap(425, 452)
    assert doubts(aged(), 425, text="425")[0] == "Last digits swapped (452)?"
    once = book(weighing(date(2026, 3, 2), 452))  # weighed once: its pace is not known, so the range is wide
    wide = expect(once, 1, SOON)
    assert wide is not None
    assert wide.holds(425)
    assert wide.doubts(425)


@pytest.mark.parametrize(
    ("typed", "cause"),
    [
        ("542", "First digits swapped (452)?"),
        ("42", "A digit missing (4_2)?"),
        ("4552", "A digit typed twice (452)?"),
        ("4512", "A digit too many (452)?"),
        ("45.2", "The point misplaced (452)?"),
        ("4520", "A digit too many (452)?"),
    ],
)
def test_t05_digits_swapped_missing_or_extra(typed, cause):
    assert cause in doubts(aged(), float(typed), text=typed)


# The factors of trap T2: 28.35, 16, 2.205 and 1000. The piece weighs 452 g = 15.94 oz = 0.996 lb.
@pytest.mark.parametrize(
    ("typed", "read_g", "meant"),
    [
        ("15.9", 15.9, "15.9 oz (451 g)"),  # typed in oz, read as g: 28.35 times too light
        ("452 oz", 452 * OZ, "452 g (452 g)"),  # 28.35 times too heavy
        ("15.9 lb", 15.9 * LB, "15.9 oz (451 g)"),  # 16 times too heavy
        ("0.995 oz", 0.995 * OZ, "0.995 lb (451 g)"),  # 16 times too light
        ("0.995 kg", 995.0, "0.995 lb (451 g)"),  # 2.205 times too heavy
        ("0.452 lb", 0.452 * LB, "0.452 kg (452 g)"),  # 2.205 times too light
        ("0.452", 0.452, "0.452 kg (452 g)"),  # 1000 times too light
        ("452 kg", 452_000.0, "452 g (452 g)"),  # 1000 times too heavy
    ],
)
def test_t02_a_wrong_unit_is_named(typed, read_g, meant):
    assert f"The unit: {meant}?" in doubts(aged(), read_g, text=typed)


def test_t02_pounds_and_ounces_and_decimal_pounds():
    heavy = expect(book(*monthly(684, 682, 681)), 1, SOON)
    assert heavy is not None
    read_g = 1.8 * LB
    assert round(read_g, 1) == 816.5
    assert "Pounds and ounces: 1 lb 8 oz (680 g)?" in doubts(heavy, read_g, text="1.8 lb")
    decimal = expect(book(*monthly(820, 818, 817)), 1, SOON)
    assert decimal is not None
    assert round(LB + 8 * OZ, 1) == 680.4
    assert "Decimal pounds: 1.8 lb (816 g)?" in doubts(decimal, LB + 8 * OZ, text="1 lb 8 oz")


def test_fractions_keep_their_fraction():
    assert ("last digits swapped", "last digits swapped (41 3/8 oz)", pytest.approx(41.375 * OZ)) in list(
        slips("14 3/8 oz", 14.375 * OZ)
    )
    assert all("½" not in slip.words for slip in slips("2½ lb", 2.5 * LB))


@given(st.integers(100, 9999), st.data())
def test_every_swap_of_neighbours_is_found(true_g, data):
    digits = str(true_g)
    at = data.draw(st.integers(0, len(digits) - 2))
    typed = digits[:at] + digits[at + 1] + digits[at] + digits[at + 2 :]
    if typed[0] != "0" and typed != digits:
        assert any(slip.mass_g == pytest.approx(true_g) for slip in slips(typed, float(typed)))
        assert is_swap(float(typed), true_g)


@given(st.integers(100, 9999), st.data())
def test_every_lost_and_every_extra_digit_is_found(true_g, data):
    digits = str(true_g)
    at = data.draw(st.integers(0, len(digits) - 1))
    fewer = digits[:at] + digits[at + 1 :]
    more = digits[:at] + data.draw(st.sampled_from("0123456789")) + digits[at:]
    for typed in (fewer, more):
        if typed[0] != "0":
            assert any(slip.mass_g == pytest.approx(true_g) for slip in slips(typed, float(typed)))


def test_t07_a_neighbour_that_should_weigh_this_is_named():
    family = book(
        *monthly(490, 486, 483, piece_id=1),
        *monthly(445, 441, 438, piece_id=2),
        pieces={1: piece(1, parent_id=9), 2: piece(2, parent_id=9), 9: piece(9)},
        children={9: [1, 2]},
    )
    beside = sisters(family, 1, SOON)
    assert [mark for mark, _ in beside] == ["2C"]
    expected = expect(family, 1, SOON)
    assert expected is not None
    causes = doubts(expected, 438, text="438", neighbours=beside)
    assert causes[0] == "Last digits swapped (483)?"
    assert causes[1].startswith("Its neighbour 2C (")


def test_t07_two_crossing_jumps_in_a_session_suggest_a_swap():
    a = Expectation(483, MADE, 476, 490, 30, 1)
    b = Expectation(443, MADE, 436, 448, 30, 1)
    assert crossings([("1B", a, 443), ("2C", b, 483)]) == (
        "1B (443 g) and 2C (483 g) look swapped: each weighs what the other should.",
    )
    assert crossings([("1B", a, 443), ("2C", b, 500)]) == ()
    assert crossings([("1B", a, 430), ("2C", b, 483)]) == ()


def check(on: date, read_g: float) -> ScalesCheckFact:
    return ScalesCheckFact(scales_id=7, true_g=500.0, read_g=read_g, on_last=on)


def test_t08_scales_that_read_high_are_reckoned_with_and_within_a_step_it_is_noise():
    day = date(2026, 3, 20)
    high = book(*monthly(455, 453, 452), scales_checks={7: [check(day, 503.0)]})
    assert zero_g(high, 7, SOON, 1.0) == 3
    assert zero_g(high, 7, date(2026, 3, 19), 1.0) == 0  # not known before its day
    assert zero_g(high, None, SOON, 1.0) == 0
    there = expect(high, 1, SOON, scales_id=7)
    assert there is not None
    assert there.last_g == aged().last_g + 3
    assert there.high_g == pytest.approx(aged().high_g + 3)
    noise = book(*monthly(455, 453, 452), scales_checks={7: [check(day, 501.0)]})
    assert zero_g(noise, 7, SOON, 1.0) == 0


def test_t08_a_coarse_scale_widens_the_range_by_two_of_its_steps():
    ounce = aged(step_g=OZ)
    assert ounce.step_g == OZ
    assert ounce.high_g == pytest.approx(aged().high_g + 2 * (OZ - 1))
    assert ounce.low_g == pytest.approx(aged().low_g - 2 * (OZ - 1))


def test_the_pace_sets_how_much_may_be_lost_and_it_slows():
    drying = book(*monthly(700, 640, 600, days=14, first=MADE))
    soon, later = (expect(drying, 1, MADE + timedelta(days=28 + days)) for days in (14, 140))
    assert soon is not None
    assert later is not None
    assert soon.holds(570)
    assert not soon.holds(470)
    assert soon.high_g < 600 * 1.01 + 2  # wood that loses fast does not gain
    straight = 600 - 140 * (640 - 600) / 14  # a straight line would have it at 200 g
    assert later.low_g > straight
    assert later.holds(470)


@given(st.integers(1, 400), st.integers(1, 400), st.floats(0.9, 1.0))
def test_more_time_never_narrows_the_range(first, more, left):
    course = Course(book(*monthly(500, 500 * left, 500 * left**1.5)), 1)
    soon = course.expect(date(2026, 3, 2) + timedelta(days=first))
    later = course.expect(date(2026, 3, 2) + timedelta(days=first + more))
    assert soon is not None
    assert later is not None
    assert later.low_g <= soon.low_g + 1e-9


def test_a_first_weight_of_green_wood_says_little():
    green = expect(book(weighing(MADE, 842)), 1, MADE + timedelta(days=30))
    assert green is not None
    assert green.holds(590)
    assert not green.holds(420)
    old = book(weighing(date(2026, 3, 2), 842), pieces={1: piece(made=date(2020, 1, 1))})
    week = expect(old, 1, date(2026, 3, 9))
    assert week is not None
    assert not week.holds(842 * 0.94)  # an aged piece loses no 6 % in a week


PLACES = {
    1: fill(PlaceFact, id=1, name="shed", folded="shed"),
    2: fill(PlaceFact, id=2, name="shop", folded="shop"),
    3: fill(PlaceFact, id=3, name="shed / rack 2", folded="shed / rack 2", parent_id=1),
}


def moves(*to: tuple[date, int]) -> dict[int, list[MoveFact]]:
    return {1: [MoveFact(piece_id=1, place_id=place, seen_only=False, on_last=on) for on, place in to]}


def test_a_move_into_other_air_widens_the_range_and_one_to_another_rack_does_not():
    day = date(2026, 3, 10)
    other = book(*monthly(455, 453, 452), places=PLACES, moves=moves((MADE, 1), (day, 2)))
    rack = book(*monthly(455, 453, 452), places=PLACES, moves=moves((MADE, 1), (day, 3)))
    shop, shed = expect(other, 1, SOON), expect(rack, 1, SOON)
    assert shop is not None
    assert shop.holds(425)
    assert shop.holds(465)
    assert shed == aged()


def trim(on: date, kind: str = "trim") -> OperationFact:
    return fill(
        OperationFact,
        id=50,
        entry_id=1,
        row_no=50,
        day_order=0,
        piece_id=1,
        kind=kind,
        ends_piece=False,
        on_first=on,
        on_last=on,
    )


def test_t04_a_weighed_trim_carries_the_range_over_and_is_no_loss():
    day = date(2026, 3, 10)
    cut = [
        weighing(day, 452, row_no=900, role="before", operation_id=50),
        weighing(day, 400, row_no=901, role="after", operation_id=50),
    ]
    found = expect(book(*monthly(455, 453, 452), *cut, operations={1: [trim(day)]}), 1, SOON)
    assert found is not None
    assert found.last_g == 400
    assert not found.doubts(399)
    assert found.doubts(452)


def test_a_trim_by_length_alone_carries_it_over_more_roughly_and_without_lengths_not_at_all():
    day = date(2026, 3, 10)
    sizes = [
        fill(SizeFact, piece_id=1, length_mm=330.0, on_last=MADE),
        fill(SizeFact, piece_id=1, operation_id=50, length_mm=297.0, on_last=day),
    ]
    weighed = monthly(455, 453, 452)
    found = expect(book(*weighed, operations={1: [trim(day)]}, sizes={1: sizes}), 1, SOON)
    assert found is not None
    assert found.last_g == pytest.approx(452 * 297 / 330)
    assert found.high_g - found.low_g > aged().high_g - aged().low_g
    assert expect(book(*weighed, operations={1: [trim(day)]}), 1, SOON) is None
    assert expect(book(*weighed, operations={1: [trim(day, "soak")]}), 1, SOON) is None


def test_t01_a_coat_is_not_wood_and_does_not_count_as_a_gain():
    day = date(2026, 3, 10)
    coat = [
        weighing(day, 452, row_no=900, role="before", operation_id=50),
        weighing(day, 470, row_no=901, role="after", operation_id=50),
    ]
    found = expect(book(*monthly(455, 453, 452), *coat, operations={1: [trim(day, "coat on")]}), 1, SOON)
    assert found is not None
    assert found.tare_g == 18
    assert found.holds(470)
    assert found.doubts(452)


def test_t22_rain_and_dirt_tell_no_pace_and_are_let_be_heavy():
    wet = book(*monthly(455, 453, 452), weighing(date(2026, 3, 15), 480, row_no=900, state="rain"))
    found = expect(wet, 1, SOON)
    assert found == aged()
    assert doubt(Reading("1B", 480, "480", state="rain"), aged()) is None
    assert doubt(Reading("1B", 480, "480"), aged()) is not None
    assert doubt(Reading("1B", 900, "900", state="dirty"), aged()) is not None
    assert doubt(Reading("1B", 425, "425", state="dirty"), aged()) is not None


def test_t09_what_the_air_gives_back_in_a_damp_season_is_expected():
    # Air of 9.2 % in summer and 13.1 % in winter: such wood gains 3.6 % of its weight and is not wet.
    air = [
        AirFact(place_id=1, source="normals", month=month, temp_c=21.0, rh_pct=rh, on_last=MADE)
        for month, rh in ((1, 70.0), (7, 50.0))
    ]
    summer = monthly(438, 437, 437, first=date(2026, 6, 1))
    facts = book(*summer, places=PLACES, moves=moves((MADE, 1)), air={1: air})
    winter = date(2027, 1, 1)
    alone, known = expect(facts, 1, winter), expect(facts, 1, winter, oven_dry_g=400, oven_dry_sd_g=4)
    assert alone is not None
    assert known is not None
    assert not alone.holds(452)
    assert known.holds(452)
    assert not known.holds(470)  # 17.5 %: beyond what that air can do


def test_the_driest_air_of_a_place_is_a_floor_for_wood_of_known_dry_mass():
    air = [
        AirFact(place_id=1, source="normals", month=month, temp_c=21.0, rh_pct=70.0, on_last=MADE)
        for month in range(1, 13)
    ]
    drying = book(*monthly(640, 560, 480, first=date(2025, 4, 1)), places=PLACES, moves=moves((MADE, 1)), air={1: air})
    day = date(2025, 8, 1)
    alone, known = expect(drying, 1, day), expect(drying, 1, day, oven_dry_g=400, oven_dry_sd_g=0)
    assert alone is not None
    assert known is not None
    # EMC at 21 C and 70 %: 13.1 (Wood Handbook, table 4-2, 70 F), less 1.5 points, less two steps
    assert known.low_g == pytest.approx(400 * (1 + (13.1 - 1.5) / 100) - 2, abs=0.5)
    assert alone.low_g < known.low_g


def test_t19_a_weight_below_the_oven_dry_mass_is_doubted():
    found = doubt(Reading("1B", 395, "395"), aged(oven_dry_g=400), oven_dry_g=400)
    assert found is not None
    assert "less than its oven-dry mass of 400 g" in found.sentence
    assert "Cut since, and not noted?" in found.causes
    assert found.causes[-1] == "Or is its oven-dry mass wrong?"
    first = doubt(Reading("1B", 395, "395"), None, oven_dry_g=400)
    assert first is not None
    assert doubt(Reading("1B", 410, "410"), None, oven_dry_g=400) is None


def test_t02_a_first_weight_is_held_against_the_size():
    # A 2 by 2 by 10 in stave, 655.5 cm3: common practice, from the trade.
    size = fill(SizeFact, piece_id=1, length_mm=254.0, width_mm=50.8, thickness_mm=50.8, on_last=MADE)
    limits = by_size(book(sizes={1: [size]}), 1)
    assert limits is not None
    assert limits[0] == pytest.approx(65.55, abs=0.1)
    found = doubt(Reading("1B", 17.6, "17.6"), None, limits_g=limits)
    assert found is not None
    assert "too light for wood of its size" in found.sentence
    assert any("17.6 oz (499 g)" in cause for cause in found.causes)
    assert doubt(Reading("1B", 308, "308"), None, limits_g=limits) is None  # cherry, oven-dry
    assert doubt(Reading("1B", 712, "712"), None, limits_g=limits) is None  # apple, green
    assert by_size(book(), 1) is None


def test_t06_nothing_is_made_up_for_the_time_without_weighings():
    facts = book(*monthly(455, 453, 452))
    course = Course(facts, 1)
    before = course.expect(date(2027, 1, 1))
    assert before is not None
    assert before.last_on == date(2026, 3, 2)
    assert course.expect(date(2027, 1, 1)) == before
    assert len(facts.weighings[1]) == 3


def test_a_course_that_is_added_to_in_any_order_is_the_same():
    whole = Course(book(*monthly(455, 453, 452)), 1)
    grown = Course(book(weighing(date(2026, 1, 31), 453)), 1)
    grown.add(date(2026, 3, 2), 452, 1.0)
    grown.add(date(2026, 1, 1), 455, 1.0)
    assert grown.expect(SOON) == whole.expect(SOON)


def test_weights_in_words():
    assert [grams(408.2, 1.0), grams(36.94, 0.1), grams(61.4), grams(0.456, 0.01)] == [
        "408 g",
        "36.9 g",
        "61.4 g",
        "0.46 g",
    ]
    assert aged().words == f"{aged().low_g:.0f}-{aged().high_g:.0f} g"
