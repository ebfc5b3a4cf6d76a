"""What the air of a place does to wood: from a reading, from months, from a logger, from a reference block."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from stock.book.facts import Facts
from stock.book.kinds import AirFact, MoveFact, OvenFact, PieceFact, PlaceFact, SectionFact, SizeFact, WeighingFact
from stock.survey.airs import PlaceAir, air_of, climate_of
from stock.survey.climates import between_months, left_open
from stock.survey.covers import HABITS
from stock.wood.air import emc_pct

SHED, RACK, SHOP, BARN = 1, 2, 3, 4
PLACES = {
    SHED: PlaceFact(SHED, "shed", "shed", None, None, "unheated"),
    RACK: PlaceFact(RACK, "shed / rack 2", "shed / rack 2", SHED, None, None),
    SHOP: PlaceFact(SHOP, "shop", "shop", None, None, "heated"),
    BARN: PlaceFact(BARN, "barn", "barn", None, None, None),
}
ON = date(2026, 6, 1)


def normal(place: int, month: int, rh_pct: float, temp_c: float = 15.0) -> AirFact:
    return AirFact(place, "normals", month, temp_c, rh_pct, ON)


def read(place: int, day: date, rh_pct: float, temp_c: float = 15.0, readings: int = 1, swing: float = 0.0) -> AirFact:
    return AirFact(place, "logger" if readings > 1 else "reading", None, temp_c, rh_pct, day, readings, swing)


def logged(place: int, first: date, days: int, rh_pct: float, temp_c: float = 15.0) -> list[AirFact]:
    return [read(place, first + timedelta(days=at), rh_pct, temp_c, 144) for at in range(days)]


def book(*rows: AirFact, on: date = ON, references: Facts | None = None, **settings: str) -> Facts:
    by_place: dict[int, list[AirFact]] = {}
    for row in rows:
        by_place.setdefault(row.place_id, []).append(row)
    return Facts(on=on, pieces={}, children={}, places=PLACES, air=by_place, references=references, settings=settings)


def told(facts: Facts, place: int, on: date = ON) -> PlaceAir:
    found = air_of(facts, place, on)
    assert found is not None
    return found


def block(
    *weights: tuple[date, float],
    dry_g: float = 100.0,
    dried_on: date = date(2024, 1, 1),
    moves: tuple[tuple[date, int], ...] = ((date(2024, 1, 2), SHED),),
    step_g: float = 0.1,
) -> Facts:
    """12N: a reference block of 51 x 51 x 25 mm."""
    piece = PieceFact(9, "", 12, "offcut", None, None, None, None, None, "reference", "", dried_on, dried_on, "")
    section = dict.fromkeys(SectionFact._fields)
    section |= {"id": 5, "piece_id": 9, "label": "1", "kind": "whole", "wet_g": 150.0, "step_g": step_g}
    section |= {"scorched": False, "on_first": dried_on, "on_last": dried_on, "on_text": ""}
    section = {name: section[name] for name in SectionFact._fields}
    size = dict.fromkeys(SizeFact._fields)
    size |= {"piece_id": 9, "length_mm": 25.0, "width_mm": 51.0, "thickness_mm": 51.0, "wood_state": "dry"}
    size |= {"on_last": dried_on}
    weighings = []
    for at, (day, mass_g) in enumerate(weights, 1):
        row = dict.fromkeys(WeighingFact._fields)
        row |= {"id": at, "piece_id": 9, "mass_g": mass_g, "step_g": step_g, "state": "clean", "role": "none"}
        row |= {"on_first": day, "on_last": day, "day_order": 0, "entry_id": at, "row_no": 1, "insisted": False}
        weighings.append(WeighingFact(**{name: row[name] for name in WeighingFact._fields}))
    return Facts(
        on=ON,
        pieces={9: piece},
        children={},
        sizes={9: [SizeFact(**size)]},
        sections={9: [SectionFact(**section)]},
        ovens={5: [OvenFact(5, dry_g, step_g, True, dried_on)]},
        moves={9: [MoveFact(9, place, False, day) for day, place in moves]},
        weighings={9: weighings},
    )


# -- one reading ------------------------------------------------------------------------------------------------------


def test_one_reading_is_the_air_of_its_day_and_no_more_than_a_hint_of_the_year():
    found = told(book(read(SHED, ON, 45.0)), SHED)
    assert found.emc_pct == pytest.approx(emc_pct(15, 45))  # 8.6 %: a dry noon
    assert found.mean_pct > 10  # an unheated shed is not so dry over a season
    assert found.sd_pct > 1.5
    assert found.high_pct - found.low_pct > 3
    assert found.low_pct <= found.emc_pct <= found.high_pct
    assert found.told_by == "one reading of 1 June 2026 and what an unheated place usually does"


def test_a_reading_in_a_heated_place_in_winter_tells_of_a_damper_summer():
    winter = date(2026, 2, 1)
    found = told(book(read(SHOP, winter, 32.0, 20.0), on=winter), SHOP, winter)
    assert found.emc_pct == pytest.approx(emc_pct(20, 32))  # 6.6 %
    assert found.high_pct == pytest.approx(found.emc_pct + 4, abs=0.7)  # heated rooms: about 6 to 10 % over the year
    assert found.low_pct == pytest.approx(found.emc_pct, abs=0.5)


def test_in_the_south_the_seasons_are_turned_round():
    winter = date(2026, 8, 1)
    found = told(book(read(SHOP, winter, 32.0, 20.0), on=winter, hemisphere="south"), SHOP, winter)
    assert found.high_pct == pytest.approx(found.emc_pct + 4, abs=0.7)


def test_where_no_cover_is_known_the_year_is_wider_still():
    found = told(book(read(BARN, ON, 65.0)), BARN)
    assert found.high_pct - found.low_pct >= 4
    assert found.sd_pct > told(book(read(SHED, ON, 65.0)), SHED).sd_pct
    assert found.told_by.endswith("what a roofed place in between usually does")


@pytest.mark.parametrize("place", [SHED, SHOP, BARN])
def test_to_know_more_never_leaves_one_less_sure(place):
    few = [read(place, ON - timedelta(days=40 * at), 65.0) for at in range(3)]
    steps = [
        book(),
        book(few[0]),
        book(*few),
        book(*logged(place, date(2026, 3, 1), 90, 65.0)),
        book(*logged(place, date(2025, 12, 1), 180, 65.0)),
        book(*logged(place, date(2025, 6, 1), 365, 65.0)),
    ]
    sds = [climate_of(facts, place).sd_pct for facts in steps]
    assert sds == sorted(sds, reverse=True)
    assert sds[0] >= 2
    assert sds[-1] == pytest.approx(1.0, abs=0.03)
    days = [told(facts, place).sd_pct for facts in steps[1:]]
    assert days == sorted(days, reverse=True)
    assert days[-1] == pytest.approx(0.8, abs=0.02)


def test_an_old_reading_tells_of_the_season_it_was_read_in():
    facts = book(read(SHOP, date(2026, 2, 1), 32.0, 20.0), on=date(2026, 8, 1))
    found = told(facts, SHOP, date(2026, 8, 1))
    assert found.emc_pct == pytest.approx(emc_pct(20, 32) + 4, abs=0.8)


def test_nothing_read_later_is_used():
    facts = book(read(SHED, ON, 45.0), read(SHED, ON - timedelta(days=200), 80.0))
    before = told(facts, SHED, ON - timedelta(days=100))
    assert before.told_by.startswith("one reading of 13 November 2025")
    assert air_of(facts, SHED, ON - timedelta(days=300)) is None


# -- months -----------------------------------------------------------------------------------------------------------


def test_twelve_normals_stand_as_they_are():
    rows = [normal(SHED, month, 60.0 + month) for month in range(1, 13)]
    year = climate_of(book(*rows), SHED)
    assert year.sd_pct == pytest.approx(1.0)
    assert not year.assumed
    for row in rows:
        assert row.month is not None
        assert year.on(date(2026, row.month, 15))[0] == pytest.approx(emc_pct(15, row.rh_pct))
    found = told(book(*rows), SHED)
    assert (found.sd_pct, found.told_by) == (pytest.approx(0.8), "its monthly air")
    assert found.low_pct == pytest.approx(emc_pct(15, 61))
    assert found.high_pct == pytest.approx(emc_pct(15, 72))
    assert told(book(*rows), SHED, date(1999, 1, 15)).emc_pct == pytest.approx(emc_pct(15, 61))  # they have no year


def test_normals_of_a_few_months_follow_the_shape_of_the_cover():
    rows = [normal(SHOP, month, 32.0, 20.0) for month in (1, 2, 3)]
    year = climate_of(book(*rows), SHOP)
    assert year.emc_pct[2] == pytest.approx(emc_pct(20, 32))
    assert year.emc_pct[8] == pytest.approx(emc_pct(20, 32) + 3.6, abs=0.5)
    assert 1.0 < year.sd_pct < climate_of(book(read(SHOP, ON, 40.0, 20.0)), SHOP).sd_pct
    found = told(book(*rows), SHOP)
    assert found.told_by == "what is normal in 3 months and what a heated place usually does"
    assert told(book(normal(SHOP, 1, 32.0)), SHOP).told_by.startswith("what is normal in one month and")


def test_the_newest_normal_of_a_month_counts():
    rows = [normal(SHED, month, 70.0) for month in range(1, 13)] + [normal(SHED, 6, 60.0)]
    facts = book(*rows)
    assert climate_of(facts, SHED).emc_pct[6] == pytest.approx(emc_pct(15, 60))
    assert told(facts, SHED, date(2026, 6, 15)).emc_pct == pytest.approx(emc_pct(15, 60), abs=0.1)


def test_how_much_of_the_year_is_left_open():
    assert left_open(range(1, 13)) == 0
    assert left_open([5]) == 1
    assert left_open([1, 7]) == pytest.approx(5 / 11)
    assert left_open([11, 12, 1]) == pytest.approx(9 / 11)


def test_between_two_months_the_normal_is_a_straight_line():
    assert between_months({1: 14.0, 7: 8.0}, date(2026, 4, 15)) == pytest.approx(11, abs=0.05)
    assert between_months({1: 14.0, 7: 8.0}, date(2026, 10, 15)) == pytest.approx(11, abs=0.05)
    assert between_months({3: 12.0}, date(2026, 10, 15)) == 12.0


# -- a logger ---------------------------------------------------------------------------------------------------------


def test_a_year_of_a_logger_is_told_by_itself():
    damp, dry = logged(SHED, date(2025, 6, 1), 183, 80.0), logged(SHED, date(2025, 12, 1), 183, 60.0)
    facts = book(*damp, *dry)
    year = climate_of(facts, SHED)
    assert year.emc_pct[9] == pytest.approx(emc_pct(15, 80), abs=0.06)
    assert year.emc_pct[3] == pytest.approx(emc_pct(15, 60), abs=0.06)
    found = told(facts, SHED)
    assert found.mean_pct == pytest.approx(emc_pct(15, 60), abs=0.06)
    assert (found.low_pct, found.high_pct) == (
        pytest.approx(emc_pct(15, 60), abs=0.06),
        pytest.approx(emc_pct(15, 80), abs=0.06),
    )
    assert found.told_by == f"{366 * 144} readings of 1 June 2025 to 1 June 2026"


def test_days_weigh_evenly_however_often_they_were_read():
    """April: one half read once a day, the other every ten minutes."""
    rows = [read(SHED, date(2026, 4, at), 60.0) for at in range(1, 16)]
    rows += [read(SHED, date(2026, 4, at), 80.0, readings=144) for at in range(16, 31)]
    facts = book(*rows, on=date(2026, 4, 30))
    half = (emc_pct(15, 60) + emc_pct(15, 80)) / 2
    assert climate_of(facts, SHED).emc_pct[4] == pytest.approx(half, abs=0.15)


def test_gaps_are_filled_with_what_is_usual_there():
    year = [row for row in logged(SHED, date(2025, 5, 1), 396, 70.0) if row.on_last.month != 4]
    found = told(book(*year), SHED)
    assert found.mean_pct == pytest.approx(emc_pct(15, 70), abs=0.5)
    assert 0.8 < found.sd_pct < 0.9


def test_air_colder_than_the_table_takes_its_edge_and_says_so():
    rows = [normal(SHED, month, 80.0, -15.0 if month == 1 else 10.0) for month in range(1, 13)]
    assert told(book(*rows), SHED).at_edge
    assert climate_of(book(*rows), SHED).emc_pct[1] == pytest.approx(emc_pct(-1.2, 80))
    assert not told(book(*(normal(SHED, month, 80.0, 10.0) for month in range(1, 13))), SHED).at_edge


# -- nothing told -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("place", "cover"), [(SHED, "unheated"), (RACK, "unheated"), (SHOP, "heated"), (BARN, None)])
def test_without_air_the_assumption_is_said_and_widens(place, cover):
    year = climate_of(book(), place)
    habit = HABITS[cover]
    assert f"air taken that keeps wood at {habit.emc_pct:.0f} %, as in {habit.name}" in year.assumed
    assert year.sd_pct == habit.sd_pct >= 2
    assert sum(year.emc_pct.values()) / 12 == pytest.approx(habit.emc_pct, abs=0.01)
    assert air_of(book(), place, ON) is None


def test_a_rack_has_the_air_of_its_shed():
    facts = book(read(SHED, ON, 65.0))
    assert air_of(facts, RACK, ON) == air_of(facts, SHED, ON)
    assert air_of(facts, SHOP, ON) is None
    assert air_of(facts, None, ON) is None


# -- a reference block ------------------------------------------------------------------------------------------------

SUMMER = [(date(2026, 1, 1) + timedelta(days=30 * at), 112.0) for at in range(6)]


def test_a_block_of_100_g_dry_that_weighs_112_g_reads_12_percent():
    found = told(book(references=block(*SUMMER)), SHED)
    assert found.emc_pct == pytest.approx(12.0)
    assert found.mean_pct == pytest.approx(12.0, abs=0.2)
    assert found.sd_pct == pytest.approx(0.5, abs=0.1)
    assert found.told_by == "its reference block 12N and what an unheated place usually does"
    assert climate_of(book(references=block(*SUMMER)), SHED).sd_pct < 1.0


def test_one_weighing_of_a_block_tells_less_than_several():
    one, many = (told(book(references=block(*SUMMER[-some:])), SHED) for some in (1, 6))
    assert one.sd_pct > many.sd_pct
    assert one.sd_pct < told(book(read(SHED, ON, 65.0)), SHED).sd_pct


def test_kitchen_scales_are_too_coarse_for_a_light_block():
    light = block(*((day, 56.0) for day, _ in SUMMER), dry_g=50.0, step_g=1.0)
    fine = block(*((day, 56.0) for day, _ in SUMMER), dry_g=50.0, step_g=0.1)
    assert told(book(references=light), SHED).sd_pct > 1.5
    assert told(book(references=fine), SHED).sd_pct < 0.7


def test_a_block_moves_the_monthly_air_and_keeps_its_shape():
    """The humidity meter read 8 % of humidity too high, so that its air seems more than a point too damp."""
    rows = [normal(SHED, month, 70.0 + 5 * (month in (11, 12, 1, 2))) for month in range(1, 13)]
    plain = climate_of(book(*rows), SHED)
    days = [date(2026, month, 20) for month in (1, 2, 3, 4, 5)]
    true = [(day, 100 + plain.on(day - timedelta(days=15))[0] - 1.5) for day in days]
    facts = book(*rows, references=block(*true))
    year = climate_of(facts, SHED)
    for month in range(1, 13):
        assert year.emc_pct[month] == pytest.approx(plain.emc_pct[month] - 1.5, abs=0.15)
    assert year.temp_c == plain.temp_c
    found = told(facts, SHED)
    assert found.sd_pct == pytest.approx(0.5, abs=0.1)
    assert found.mean_pct == pytest.approx(told(book(*rows), SHED).mean_pct - 1.5, abs=0.15)
    assert found.told_by == "its reference block 12N and its monthly air"


def test_a_block_counts_only_after_its_weeks_in_a_place():
    fresh = block((date(2026, 5, 12), 104.0), dried_on=date(2026, 5, 1), moves=((date(2026, 5, 1), SHED),))
    assert air_of(book(references=fresh), SHED, ON) is None
    moved = block((date(2026, 5, 12), 112.0), (date(2026, 5, 29), 108.0), moves=((ON, RACK), (date(2026, 5, 1), SHOP)))
    moved = replace(moved, moves={9: sorted(moved.moves[9], key=lambda one: one.on_last)})
    assert told(book(references=moved), SHOP).emc_pct == pytest.approx(8.0)
    assert air_of(book(references=moved), SHED, ON) is None


def test_a_block_tells_of_what_lies_in_its_place_and_not_against_nearer_air():
    facts = book(references=block(*SUMMER))
    assert told(facts, RACK).emc_pct == pytest.approx(12.0)
    nearer = book(read(RACK, ON, 50.0), references=block(*SUMMER))
    assert "block" not in told(nearer, RACK).told_by
    around = book(
        *(normal(SHED, month, 70.0) for month in range(1, 13)),
        references=block(*SUMMER, moves=((date(2024, 1, 2), RACK),)),
    )
    assert told(around, RACK).told_by == "its reference block 12N and its monthly air"
    assert told(around, SHED).told_by == "its monthly air"


def test_a_weight_that_no_air_explains_is_not_believed():
    for mass_g in (99.0, 145.0):
        assert air_of(book(references=block((ON, mass_g))), SHED, ON) is None
