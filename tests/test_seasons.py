"""Gains and losses that the seasons explain, and those that they do not: the verdicts in balance and getting wetter."""

from datetime import date, timedelta

from stock.wood.readiness import Case, Judgement, judge
from stock.wood.steady import Reading

START = date(2025, 3, 1)


def day(number: int) -> date:
    return START + timedelta(days=number)


def course(*pairs: tuple[int, float], step_g: float | None = 1.0, scales=None) -> tuple[Reading, ...]:
    return tuple(Reading(day(number), net_g, step_g, scales) for number, net_g in pairs)


GAINING = course((0, 425), (30, 430), (61, 436))

SHOP = {"place_cover": "heated", "emc_pct": 8.0, "emc_low_pct": 6.0, "emc_high_pct": 10.0}
SHED = {"place_cover": "unheated", "emc_pct": 14.0, "emc_low_pct": 12.0, "emc_high_pct": 16.0}


def ask(readings, **other) -> Judgement:
    given_ = {"on": day(70), "target_pct": 8.0, "smallest_mm": 51.0} | other
    return judge(Case(readings, **given_))


def test_t09_a_gain_inside_the_swing_of_the_place_is_in_balance():
    found = ask(GAINING, mc=(9.5, 8.8, 10.3), **SHOP)
    assert (found.verdict, found.ready, found.needs) == ("in balance", True, "")
    assert found.why.startswith(
        "gained 1.4 % of its weight in 31 days; its place swings between 6 and 10 % in a year; 9.5"
    )


def test_t09_a_gain_beyond_the_swing_is_getting_wetter():
    rain = course((0, 430), (30, 430), (61, 465))
    found = ask(rain, mc=(17, 16, 18), **SHOP)
    assert (found.verdict, found.ready) == ("getting wetter", False)
    assert "more than its place explains (6 and 10 %)" in found.why
    assert ask(rain, **SHOP).verdict == "getting wetter"


def test_t09_a_shop_in_july_is_not_empty():
    """A year of monthly weighings in a heated shop, 6 % in January and 10.5 % in July, dry mass 400 g."""
    moist = [9, 8, 7, 6, 6, 6.5, 7, 7.5, 8.5, 9.5, 10.5]  # October to July
    readings = course(*((30 * month, 400 * (1 + mc / 100)) for month, mc in enumerate(moist)))
    july = {"on": day(305), "emc_pct": 10.5, "emc_low_pct": 6.0, "emc_high_pct": 10.5, "place_cover": "heated"}
    for mc in ((10.5, 9.7, 11.3), None):
        found = ask(readings, mc=mc, **july)
        assert (found.verdict, found.ready) == ("in balance", True)


def test_t09_where_no_air_is_recorded_only_a_slow_gain_at_the_target_is_in_balance():
    assert ask(course((0, 430), (30, 431), (60, 435)), mc=(9.8, 9, 10.6)).verdict == "in balance"
    assert ask(course((0, 430), (30, 430), (60, 435)), mc=(9.8, 9, 10.6)).verdict == "getting wetter"
    assert ask(course((0, 430), (30, 431), (60, 435)), mc=(12, 11, 13)).verdict == "getting wetter"
    assert ask(course((0, 430), (30, 431), (60, 435))).verdict == "getting wetter"


def test_a_loss_is_the_season_only_if_it_was_as_light_before():
    winter_before = course((0, 425), (30, 426), (90, 436), (150, 440))
    autumn = course((180, 437), (210, 431))
    shop = {**SHOP, "mc": (8, 7.2, 8.8), "on": day(215)}
    assert ask(winter_before + autumn, **shop).verdict == "in balance"
    assert ask(course((90, 436), (150, 440)) + autumn, **shop).verdict == "drying"


def test_wood_on_its_way_to_a_damper_place_is_getting_wetter_though_still_near_the_target():
    assert ask(GAINING, mc=(9.5, 8.8, 10.2), **SHED).verdict == "getting wetter"


def test_a_waxed_piece_is_not_explained_by_the_air():
    readings = course((0, 420), (45, 425), (95, 431))
    assert ask(readings, on=day(99), mc=(9, 8, 10), waxed_all_over=True, **SHOP).verdict == "getting wetter"


def test_a_loss_from_above_the_swing_is_drying_though_it_was_once_as_light():
    """Back from a damp shed: at 13 % it was wetter than this shop ever makes it."""
    out_and_back = course((0, 428), (30, 428), (90, 446), (120, 448), (150, 440), (180, 432))
    assert ask(out_and_back, mc=(9, 8.2, 9.8), on=day(181), **SHOP).verdict == "drying"


def test_bone_dry_wood_may_take_up_what_the_shop_gives_it():
    assert ask(course((0, 415), (30, 425), (61, 433)), mc=(8.2, 7.4, 9), **SHOP).verdict == "in balance"
    assert ask(course((0, 405), (30, 410), (61, 415)), mc=(4, 3.2, 4.8), **SHOP).verdict == "drier than target"
