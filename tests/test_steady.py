"""Whether weighings show a piece at rest. The rule is common practice made exact, no source; the arithmetic is ours."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.errors import Impossible
from stock.wood.steady import Reading, Steadiness, comparable, settled_g, steady

START = date(2025, 3, 1)


def day(number: int) -> date:
    return START + timedelta(days=number)


def course(*pairs: tuple[int, float], step_g: float | None = 1.0, scales=None) -> list[Reading]:
    return [Reading(day(number), net_g, step_g, scales) for number, net_g in pairs]


def ask(readings, **other) -> Steadiness:
    given_ = {"smallest_mm": 51.0, "coated_all_over": False, "cold_season_unheated": False, "on": day(2000)} | other
    return steady(readings, **given_)


FLAT = course((0, 431), (30, 430), (61, 430))


def test_three_weighings_over_sixty_days():
    found = ask(FLAT)
    assert (found.word, found.days, found.weighings, found.since) == ("steady", 61, 3, day(0))
    assert found.loss_pct_month == pytest.approx(0)
    assert found.why == "3 weighings in 61 days within 0.2 % of each other"


@pytest.mark.parametrize("days", [59, 60])
def test_sixty_days_and_not_a_day_less(days):
    found = ask(course((0, 430), (30, 430), (days, 430)))
    assert found.word == ("steady" if days == 60 else "too few")


@pytest.mark.parametrize(
    "slow", [{"smallest_mm": 64}, {"smallest_mm": None}, {"coated_all_over": True}, {"cold_season_unheated": True}]
)
def test_thick_coated_or_cold_wood_needs_ninety_days(slow):
    assert ask(FLAT, **slow).word == "too few"
    assert "it takes 3 over 90" in ask(FLAT, **slow).why
    assert ask(course((0, 430), (45, 430), (90, 430)), **slow).word == "steady"
    assert ask(FLAT, smallest_mm=63.5).word == "steady"


def test_t06_silence_never_makes_a_piece_steady():
    for readings in (course((0, 430)), course((0, 430), (59, 430)), course((0, 430), (10, 430), (20, 430))):
        assert ask(readings, on=day(900)).word == "too few"
    assert ask(FLAT, on=day(1000)).days == 61


def test_t06_scales_too_coarse_cannot_tell():
    """Steps of one ounce on 430 g: two steps are 13 % of the weight."""
    found = ask(course((0, 430), (30, 430), (61, 430), step_g=28.35))
    assert found.word == "scales too coarse"
    assert "13.2 % of its weight" in found.why


@pytest.mark.parametrize(("step_g", "word"), [(2.15, "steady"), (2.16, "scales too coarse")])
def test_t06_two_steps_of_one_percent_are_the_limit(step_g, word):
    assert ask(course((0, 430), (30, 430), (61, 430), step_g=step_g)).word == word


def test_coarse_scales_still_show_a_loss_larger_than_two_steps():
    assert ask(course((0, 900), (30, 700), (61, 560), step_g=28.35)).word == "losing"


def test_a_step_not_known_counts_as_a_gram():
    assert ask(course((0, 150), (30, 150), (61, 150), step_g=None)).word == "scales too coarse"
    assert ask(course((0, 250), (30, 250), (61, 250), step_g=None)).word == "steady"


def test_t08_other_scales_are_not_compared():
    """Scales that read 3 g high must not make a piece gain."""
    mixed = [*course((0, 430), (30, 430), (61, 430), scales="kitchen"), *course((62, 433), scales="post")]
    assert ask(mixed).word == "too few"
    assert ask(mixed[:-1]).word == "steady"
    back = [*mixed, *course((90, 430), scales="kitchen")]
    assert (ask(back).word, ask(back).weighings) == ("steady", 3)
    unknown_as_one = [*course((0, 430), (30, 430)), *course((61, 430))]
    assert ask(unknown_as_one).word == "steady"


def test_each_half_must_hold():
    """0.5 % of 430 g in 30 days is 2.15 g, and two steps 2 g: a half of 30 days may differ by 2 g, not by 3."""
    assert ask(course((0, 432), (30, 430), (60, 430))).word == "steady"
    first, last = ask(course((0, 433), (30, 430), (60, 430))), ask(course((0, 433), (30, 433), (60, 430)))
    assert (first.word, last.word) == ("losing", "losing")
    assert last.loss_pct_month == pytest.approx(100 * 3 / 430)
    assert last.why == "lost 0.7 % of its weight in 30 days"


def test_an_early_loss_and_a_late_gain_do_not_cancel():
    assert ask(course((0, 436), (30, 430), (60, 436))).word == "gaining"
    assert ask(course((0, 430), (30, 436), (60, 430))).word == "losing"


def test_fine_scales_allow_half_a_percent_and_no_more():
    assert ask(course((0, 434.2), (30, 432.1), (60, 430), step_g=0.1)).word == "steady"
    assert ask(course((0, 434.6), (30, 432.3), (60, 430), step_g=0.1)).word == "losing"


def test_what_it_does_now_counts_not_the_long_quiet_before():
    quiet = [(30 * month, 500) for month in range(12)]
    losing = ask(course(*quiet, (360, 490), (390, 480)))
    assert losing.word == "losing"
    assert losing.days <= 90


def test_since_is_the_start_of_the_unbroken_time():
    readings = course((0, 600), (30, 500), (60, 450), (90, 431), (120, 430), (150, 430), (180, 430), (210, 429))
    assert (ask(readings).word, ask(readings).since) == ("steady", day(90))


def test_two_weighings_of_a_day_count_once():
    twice = course((0, 430), (30, 429), (30, 431), (61, 430))
    assert ask(twice).weighings == 3
    assert [one.net_g for one in comparable(twice, day(99))] == [430, 430, 430]
    assert ask(course((0, 430), (61, 430), (61, 430))).word == "too few"


def test_nothing_later_than_the_day_asked_about_is_looked_at():
    assert ask([*FLAT, *course((80, 380))], on=day(70)).word == "steady"
    assert ask([*FLAT, *course((80, 380))]).word == "losing"
    assert ask(FLAT, on=day(-1)).word == "too few"


def test_two_weighings_show_a_plain_loss_but_no_rest():
    assert ask(course((0, 668), (10, 640))).word == "losing"
    assert ask(course((0, 640), (10, 668))).word == "gaining"
    found = ask(course((0, 640), (1, 639)))
    assert (found.word, found.why) == ("too few", "2 weighings over one day; it takes 3 over 60")


def test_t15_the_monthly_loss_is_of_the_last_month_not_of_the_first_weeks():
    found = ask(course((0, 668), (14, 600), (30, 560), (60, 540), (90, 532)))
    assert found.loss_pct_month == pytest.approx(100 * 8 / 532)
    assert ask(course((0, 668))).loss_pct_month is None


@given(st.lists(st.tuples(st.integers(0, 400), st.floats(100, 900)), min_size=1, max_size=12), st.floats(0.1, 10))
def test_scaling_weights_and_steps_changes_no_word(pairs, factor):
    one = ask(course(*pairs, step_g=0.5))
    other = ask(course(*((number, net_g * factor) for number, net_g in pairs), step_g=0.5 * factor))
    assert (one.word, one.days, one.since) == (other.word, other.days, other.since)


@given(st.lists(st.tuples(st.integers(0, 400), st.floats(100, 900)), min_size=1, max_size=12), st.randoms())
def test_the_order_of_entry_changes_nothing(pairs, random):
    readings = course(*dict(pairs).items())
    shuffled = readings.copy()
    random.shuffle(shuffled)
    assert ask(readings) == ask(shuffled)


@given(st.lists(st.tuples(st.integers(0, 400), st.floats(400, 410)), min_size=1, max_size=12))
def test_steady_always_rests_on_three_weighings_over_sixty_days(pairs):
    found = ask(course(*pairs))
    if found.word == "steady":
        assert found.weighings >= 3
        assert found.days >= 60
        assert abs(found.loss_pct_month) <= 1


@pytest.mark.parametrize("bad", [0, -3, float("nan"), float("inf")])
def test_weighings_that_cannot_be_are_refused(bad):
    with pytest.raises(Impossible):
        Reading(START, bad)
    with pytest.raises(Impossible):
        Reading(START, 430, bad)


def test_settled_weights_need_two_quiet_times_in_a_row():
    once = course((0, 430), (30, 430.5), (60, 430), step_g=0.1)
    twice = [*course((-60, 431.5), (-30, 431), step_g=0.1), *once]
    assert settled_g(once, day(99)) is None
    assert settled_g(twice, day(99)) == pytest.approx((430 + 430.5 + 430) / 3)
    drifting = [*course((-60, 434), (-30, 432), step_g=0.1), *once]
    assert settled_g(drifting, day(99)) is None
    assert settled_g([Reading(one.on, one.net_g, 2.0) for one in twice], day(99)) is None
    assert settled_g([], day(99)) is None
