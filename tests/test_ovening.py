"""Moisture sections from wet to dry, and meter readings."""

from datetime import date

import pytest
from said import day, g, mm, raw

from stock.book import opening
from stock.book.facts import facts
from stock.book.naming import Names
from stock.book.records import METADATA
from stock.errors import Ambiguous, Doubtful, Impossible, NotNow, Unclear
from stock.survey.pieces import Piece, Pieces
from stock.typed import Typed
from stock.yard.coating import seal
from stock.yard.cutting import cut
from stock.yard.felling import add
from stock.yard.metering import meter
from stock.yard.noting import defect
from stock.yard.oven_results import oven_result
from stock.yard.ovening import oven
from stock.yard.weighing import weigh

ON = day("2026-03-02")
LATER = day("2026-03-04")


@pytest.fixture
def blank(page):
    """1B: a square of 400 mm, as sawn."""
    with page() as p:
        add(p, kind="blank", on=ON, length=mm(400), width=mm(51), thickness=mm(51), tag="a")


def rows(book, table: str) -> list:
    with opening.reading(book) as connection:
        return list(connection.execute(METADATA.tables[table].select().order_by("id")).mappings())


def piece(book, text: str) -> Piece:
    with opening.reading(book) as connection:
        named = Names(connection).piece(text)
        return Pieces(facts(connection, date(2026, 6, 1), [named.id]))[named.id]


def percent(value: float, text: str = "") -> Typed:
    return Typed(value, text or f"{value:g} %")


# Published: trade arithmetic and extension texts; a section 83.4 -> 49.9 g has 67.1 %, 10 -> 6.9 oz 45 % dry basis.
@pytest.mark.parametrize(("wet", "dry", "mc_pct"), [(83.4, 49.9, 67.1), ("10 oz", "6.9 oz", 44.9), (136, 100, 36.0)])
def test_t17_moisture_is_percent_of_the_dry_weight(page, blank, wet, dry, mc_pct):
    with page("oven") as p:
        done = oven(p, piece="a", wet=g(wet), dry=g(dry), on=ON)
    assert done.mc_pct == pytest.approx(mc_pct, abs=0.05)


def test_t17_what_was_measured_is_stored_with_both_ends_and_the_place(book, page, blank):
    with page() as p:
        done = oven(
            p,
            piece="a",
            on=ON,
            wet=g(61.4),
            dry=g(36.9),
            oven_weights=[g(40.1), g(37.0)],
            before=g(842),
            after=g(778),
            length=mm(372),
            position=mm(180),
            end="middle",
            label="S1",
            volume=Typed(72.5, "72.5 cm3"),
            step=g(0.1),
        )
    (section,) = rows(book, "section")
    assert (section["wet_g"], section["position_mm"], section["end"], section["label"]) == (61.4, 180, "middle", "S1")
    assert (section["volume_cm3"], section["step_g"], section["kind"]) == (72.5, 0.1, "slice")
    assert section["typed"]["wet_g"] == "61.4 g"
    assert [(row["mass_g"], row["final"]) for row in rows(book, "oven")] == [(40.1, False), (37, False), (36.9, True)]
    (operation,) = rows(book, "operation")
    assert (operation["kind"], operation["ends_piece"]) == ("section", False)
    assert [(row["role"], row["mass_g"], row["operation_id"]) for row in rows(book, "weighing")] == [
        ("before", 842, operation["id"]),
        ("after", 778, operation["id"]),
    ]
    assert section["operation_id"] == operation["id"]
    assert piece(book, "a").size.length_mm == 372
    # 842 g at 66.40 % are 506.0 g dry, of which 778/842 remain
    assert done.oven_dry_g == pytest.approx(842 / 1.663957 * 778 / 842, rel=0.005)
    assert done.warnings == ()


def test_without_the_weight_of_the_piece_the_section_tells_moisture_only(page, blank):
    with page() as p:
        done = oven(p, piece="a", wet=g(61.4), dry=g(36.9), on=ON)
    assert done.mc_pct == pytest.approx(66.4, abs=0.05)
    assert done.oven_dry_g is None
    assert done.warnings[-1] == "the section tells its own moisture, not yet the dry mass of 1B: weigh 1B now."


def test_a_weight_of_that_day_without_a_role_is_the_piece_that_remains(page, blank):
    with page() as p:
        weigh(p, piece="a", mass=g(842), on=ON)
        done = oven(p, piece="a", wet=g(61.4), dry=g(36.9), on=ON)
    assert done.oven_dry_g == pytest.approx(506.0, rel=0.005)


def test_t17_a_dry_weight_above_the_wet_one_is_refused_as_typed(book, page, blank):
    with pytest.raises(Impossible) as refused, page() as p:
        oven(p, piece="a", wet=g("36.9 g"), dry=g("61.4 g"), on=ON)
    assert refused.value.message == '1B: a dry weight of "61.4 g" is above the wet one (36.9 g).'
    assert "Swapped?" in refused.value.hint
    assert rows(book, "section") == rows(book, "operation") == []


def test_as_dry_as_wet_is_no_moisture_and_no_error(page, blank):
    with page() as p:
        assert oven(p, piece="a", wet=g(40), dry=g(40), on=ON).mc_pct == 0


def test_nothing_grows_heavier_in_the_oven(page, blank):
    with pytest.raises(Impossible, match="is more than the weight before it"), page() as p:
        oven(p, piece="a", wet=g(61.4), oven_weights=[g("40.1 g"), g("41.0 g")], dry=g(36.9), on=ON)
    with pytest.raises(Impossible, match="more than the weight before"), page() as p:
        oven(p, piece="a", wet=g(61.4), oven_weights=[g(38), g(36.9)], dry=g(37.5), on=ON)
    with page() as p:  # a step of the scales up is their noise
        oven(p, piece="a", wet=g(61.4), oven_weights=[g(36.8)], dry=g(36.9), on=ON)


def test_a_section_that_still_falls_is_said_not_to_be_constant(page, blank):
    with page() as p:
        falling = oven(p, piece="a", wet=g(61.4), oven_weights=[g(40.1), g(37.5)], dry=g(36.9), on=ON, label="x")
        still = oven(p, piece="a", wet=g(61.4), oven_weights=[g(40.1), g(36.9)], dry=g(36.9), on=ON, label="y")
    assert any("still lost 0.6 g at the last weighing: not yet constant" in one for one in falling.warnings)
    assert not any("constant" in one for one in still.warnings)


@pytest.mark.parametrize("bad", [raw(float("nan")), raw(float("inf")), raw(-1.0), raw(0.0)])
@pytest.mark.parametrize("field", ["wet", "dry", "before", "after", "length", "volume", "step"])
def test_weights_and_lengths_that_cannot_be(page, blank, field, bad):
    told = {"wet": g(61.4), "dry": g(36.9), field: bad}
    with pytest.raises(Impossible), page() as p:
        oven(p, piece="a", on=ON, **told)


def test_a_section_is_lighter_and_shorter_than_its_piece(page, blank):
    with pytest.raises(Impossible, match="as heavy as the piece"), page() as p:
        oven(p, piece="a", wet=g(842), dry=g(500), before=g(842), on=ON)
    with pytest.raises(Impossible, match="adds no weight"), page() as p:
        oven(p, piece="a", wet=g(61), dry=g(37), before=g(778), after=g(842), on=ON)
    with pytest.raises(Impossible, match="not shorter than the 400 mm before it"), page() as p:
        oven(p, piece="a", wet=g(61), dry=g(37), length=mm(400), on=ON)
    with pytest.raises(Impossible, match="beyond its top end"), page() as p:
        oven(p, piece="a", wet=g(61), dry=g(37), position=mm(410), on=ON)
    with pytest.raises(Unclear, match="side"), page() as p:
        oven(p, piece="a", wet=g(61), dry=g(37), end="side", on=ON)


def test_a_slice_heavier_than_what_the_piece_lost_is_said(page, blank):
    with page() as p:
        done = oven(p, piece="a", wet=g(83.4), dry=g(50), before=g(842), after=g(800), on=ON)
    assert "the section weighs 83.4 g, but 1B lost only 42 g by it." in done.warnings


@pytest.mark.parametrize(
    ("told", "part"),
    [
        ({"wet": g("37 g"), "dry": g("22 g")}, "steps of 1 g leave"),
        ({"wet": g("10 oz"), "dry": g("70 g")}, "in one unit?"),
        ({"wet": g(61.4), "dry": g(36.9), "position": mm(20)}, "20 mm from an end"),
        ({"wet": g(61.4), "dry": g(36.9), "position": mm(390)}, "10 mm from an end"),
        ({"wet": g(61.4), "dry": g(36.9), "scorched": True}, "kept, and not used"),
    ],
)
def test_t17_what_makes_a_section_less_sure_is_said(page, blank, told, part):
    with page() as p:
        done = oven(p, piece="a", on=ON, **told)
    assert any(part in one for one in done.warnings)


def test_t02_two_units_that_make_more_water_than_wood_can_hold_are_refused(page, blank):
    with pytest.raises(Impossible, match="% moisture") as refused, page() as p:
        oven(p, piece="a", wet=g("61.4 oz"), dry=g("36.9 g"), on=ON)
    assert refused.value.hint == "Two different units?"


def test_t17_a_scorched_section_is_kept_and_tells_nothing(book, page, blank):
    with page() as p:
        done = oven(p, piece="a", wet=g(61.4), dry=g(33), before=g(842), scorched=True, on=ON)
    assert (done.mc_pct, done.oven_dry_g, done.dry_g) == (None, None, 33)
    assert rows(book, "section")[0]["scorched"] is True


def test_wax_does_not_go_into_the_oven_unsaid(page, blank):
    with page() as p:
        seal(p, pieces=["a"], on=ON, where="all")
        done = oven(p, piece="a", wet=g(61.4), dry=g(36.9), on=ON)
    assert any("wax can ignite" in one for one in done.warnings)


def test_an_end_check_that_the_section_took_off_is_gone(book, page, blank):
    with page() as p:
        defect(p, piece="a", kind="end check", end="butt", length=mm(20), on=ON)
        done = oven(p, piece="a", wet=g(61.4), dry=g(36.9), length=mm(372), end="butt", on=LATER)
    assert len(done.defects) == 1
    assert piece(book, "a").defects == ()


# --- a section still in the oven


def test_a_section_goes_in_today_and_comes_out_tomorrow(book, page, blank):
    with page() as p:
        put = oven(p, piece="a", wet=g(61.4), before=g(842), on=ON)
    assert (put.label, put.dry_g, put.mc_pct, put.oven_dry_g) == ("1", None, None, None)
    with page() as p:
        oven_result(p, piece="a", dry=None, oven_weights=[g(38.2)], on=day("2026-03-03"))
    with page() as p:
        done = oven_result(p, piece="a", dry=g(36.9), oven_weights=[g(37.0)], on=LATER)
    assert done.mc_pct == pytest.approx(66.4, abs=0.05)
    assert done.oven_dry_g == pytest.approx((842 - 1.15 * 61.4) / (61.4 / 36.9), rel=0.005)  # the slice is gone
    assert [(row["mass_g"], row["final"], row["on_last"].day) for row in rows(book, "oven")] == [
        (38.2, False, 3),
        (37.0, False, 4),
        (36.9, True, 4),
    ]


def test_results_that_cannot_be(page, blank):
    with page() as p:
        oven(p, piece="a", wet=g(61.4), oven_weights=[g(40)], on=ON)
    with pytest.raises(Impossible, match="more than the weight before it"), page() as p:
        oven_result(p, piece="a", dry=g(45), on=LATER)
    with pytest.raises(Impossible, match="above the wet one"), page() as p:
        oven_result(p, piece="a", dry=g(70), on=LATER)
    with pytest.raises(Impossible, match="but it was cut on 2 March 2026"), page() as p:
        oven_result(p, piece="a", dry=g(37), on=day("2026-03-01"))
    with pytest.raises(NotNow, match='no section "S9"'), page() as p:
        oven_result(p, piece="a", dry=g(37), on=LATER, label="S9")
    with page() as p:
        oven_result(p, piece="a", dry=g(37), on=LATER)
    with pytest.raises(NotNow, match="no section is in the oven"), page() as p:
        oven_result(p, piece="a", dry=g(37), on=LATER)
    with pytest.raises(NotNow, match="section 1 is dry already"), page() as p:
        oven_result(p, piece="a", dry=g(37), on=LATER, label="1")


def test_two_sections_in_the_oven_must_be_told_apart(page, blank):
    with page() as p:
        oven(p, piece="a", wet=g(61.4), on=ON, end="butt")
        oven(p, piece="a", wet=g(60.2), on=ON, end="top")
    with pytest.raises(Ambiguous, match="2 sections in the oven: 1, 2"), page() as p:
        oven_result(p, piece="a", dry=g(37), on=LATER)
    with page() as p:
        assert oven_result(p, piece="a", dry=g(36.5), on=LATER, label="2").wet_g == 60.2
    with pytest.raises(Unclear, match='has a section "2" already'), page() as p:
        oven(p, piece="a", wet=g(59), on=ON, label="2")


def test_a_section_that_comes_out_scorched(book, page, blank):
    with page() as p:
        oven(p, piece="a", wet=g(61.4), before=g(842), on=ON)
    with page() as p:
        done = oven_result(p, piece="a", dry=g(33), on=LATER, scorched=True)
    assert done.mc_pct is None
    assert rows(book, "section")[0]["scorched"] is True


def test_a_result_is_added_although_the_piece_was_cut_up_since(page, blank):
    with page() as p:
        oven(p, piece="a", wet=g(61.4), before=g(842), on=ON)
        cut(p, piece="a", lengths=[mm(180), mm(180)], on=day("2026-03-03"))
    with page() as p:
        assert oven_result(p, piece="1B", dry=g(36.9), on=LATER).mc_pct == pytest.approx(66.4, abs=0.05)


# --- whole pieces, sheets, order


def test_a_reference_block_dried_whole_stays_on_hand_and_a_blank_does_not(book, page, blank):
    with page() as p:
        add(p, kind="offcut", on=ON, role="reference", tag="ref")
        ref = oven(p, piece="ref", wet=g(120), dry=g(100), whole=True, on=ON)
        oven(p, piece="a", wet=g(842), dry=g(506), whole=True, on=ON)
    assert ref.oven_dry_g == pytest.approx(100, rel=0.001)
    assert piece(book, "ref").on_hand
    assert not piece(book, "1B").on_hand
    with pytest.raises(Unclear, match="dried whole"), page() as p:
        oven(p, piece="ref", wet=g(120), dry=g(100), whole=True, after=g(10), on=ON)


def test_t13_a_section_before_its_piece_is_asked_about(page, blank):
    with pytest.raises(Doubtful, match="made on 2 March 2026"), page() as p:
        oven(p, piece="a", wet=g(61.4), dry=g(36.9), on=day("2026-02-01"))


# --- meters


def test_a_meter_reading_within_its_range(book, page, blank):
    with page() as p:
        done = meter(p, piece="a", reading=percent(12.5), wood=Typed(18.0, "18 C"), meter="pin", on=ON)
    assert (done.reading_pct, done.beyond, done.wood_c, done.warnings) == (12.5, "", 18, ())
    (row,) = rows(book, "meter_reading")
    assert (row["reading_pct"], row["wood_c"], row["meter"]) == (12.5, 18, "pin")
    assert row["typed"] == {"reading_pct": "12.5 %", "wood_c": "18 C"}


# Wood Handbook FPL-GTR-190 (2010), p. 13-2: resistance meters read from about 6 to 30 %.
@pytest.mark.parametrize(
    ("shown", "beyond", "limit"), [(30.5, "above", 30), (60, "above", 30), (5.5, "below", 6), (0, "below", 6)]
)
def test_beyond_its_range_a_meter_gives_no_number(book, page, blank, shown, beyond, limit):
    with page() as p:
        done = meter(p, piece="a", reading=percent(shown), on=ON)
        plain = meter(p, piece="a", beyond=beyond, on=ON)
    for one in (done, plain):
        assert (one.reading_pct, one.beyond, one.limit_pct) == (None, beyond, limit)
    assert rows(book, "meter_reading")[0]["typed"] == {"reading_pct": f"{shown:g} %"}


@pytest.mark.parametrize("edge", [6, 30])
def test_the_ends_of_the_range_are_within(page, blank, edge):
    with page() as p:
        assert meter(p, piece="a", reading=percent(edge), on=ON).reading_pct == edge


def test_readings_that_cannot_be(page, blank):
    for bad in (float("nan"), float("inf"), -1.0, 2000.0):
        with pytest.raises(Impossible), page() as p:
            meter(p, piece="a", reading=percent(bad, "odd"), on=ON)
    with pytest.raises(Impossible, match="200 C") as refused, page() as p:
        meter(p, piece="a", reading=percent(12), wood=Typed(200.0, "200 C"), on=ON)
    assert "F or C" in refused.value.hint


def test_readings_that_say_nothing_or_two_things(page, blank):
    with pytest.raises(Unclear, match="nothing says"), page() as p:
        meter(p, piece="a", on=ON)
    with pytest.raises(Unclear, match="is not above"), page() as p:
        meter(p, piece="a", reading=percent(12), beyond="above", on=ON)
    with pytest.raises(Unclear, match="beside"), page() as p:
        meter(p, piece="a", beyond="beside", on=ON)


def test_no_temperature_is_said_to_be_twenty_degrees(page, blank):
    with page() as p:
        assert "20 C" in meter(p, piece="a", reading=percent(12), on=ON).warnings[0]
        assert meter(p, piece="a", reading=percent(12), already_corrected=True, on=ON).warnings == ()
        cold = meter(p, piece="a", reading=percent(12), wood=Typed(-20.0, "-20 C"), on=ON)
    assert "room temperature" in cold.warnings[0]
