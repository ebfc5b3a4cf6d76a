"""What waiting brings: each later day is a choice of its own; the reasons are worked by hand."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from stock.errors import Impossible
from stock.wood.choosing import choose
from stock.wood.likeness import Ask, Blank
from stock.wood.qualifying import Candidate
from stock.wood.waiting import waiting

DAY = date(2026, 11, 25)
ASK = Ask(square_mm=46, length_mm=250, target_pct=8, on=DAY)


def at(contents, *, wet_above=10.0, **known):
    """A blank of each moisture content, wet above a limit."""
    found = []
    for number, mc in enumerate(contents, 1):
        blank = Blank(
            key=f"{number}A",
            width_mm=50,
            thickness_mm=50,
            usable_length_mm=260,
            mc_pct=mc,
            mc_sd_pct=0.0,
            species="cherry",
            tree=1,
            part="heart",
            **known,
        )
        ready = mc <= wet_above
        verdict = "dry enough" if ready else "stable, too wet"
        found.append(Candidate(blank=blank, ready=ready, verdict=verdict, last_weighed_on=DAY))
    return found


def test_the_same_four_stay_best_and_there_is_no_reason_to_wait():
    futures = {0: at([8, 8, 8, 8, 12]), 30: at([8, 8, 8, 8, 10]), 60: at([8, 8, 8, 8, 9])}
    answer = waiting(futures, ASK)
    assert [(d.days, d.qualify, d.more, d.fewer, d.same) for d in answer.days] == [
        (0, 4, 0, 0, True),
        (30, 5, 1, 0, True),
        (60, 5, 1, 0, True),
    ]
    assert [d.saved_points for d in answer.days] == [0, 0, 0]
    assert answer.wait_days is None


def test_a_set_where_there_is_none_today_is_a_reason():
    answer = waiting({0: at([8, 8, 8, 12]), 30: at([8, 8, 8, 11]), 60: at([8, 8, 8, 9.5])}, ASK)
    assert [d.best is None for d in answer.days] == [True, True, False]
    assert answer.wait_days == 60
    assert answer.days[2].saved_points is None
    assert not answer.days[2].same


@pytest.mark.parametrize(("last", "reason"), [(9.0, None), (8.34, 30)])
def test_a_cheaper_set_is_a_reason_when_it_saves_more_than_five_points(last, reason):
    """One blank 1 point wetter than three costs 3 pairs of 2 points each; at 9.0 still 6, at 8.34 only 2.04."""
    answer = waiting({0: at([8, 8, 8, 9.2]), 30: at([8, 8, 8, last])}, ASK)
    assert answer.days[1].saved_points == pytest.approx(6 * (9.2 - last), abs=0.003)
    assert answer.wait_days == reason
    assert answer.days[1].same


def test_blanks_may_come_to_fail_by_waiting():
    answer = waiting({0: at([8, 8, 8, 8, 8]), 30: at([8, 8, 8, 8, 11])}, ASK)
    assert (answer.days[1].qualify, answer.days[1].fewer, answer.days[1].more) == (4, 1, 0)


def test_the_day_moves_on_so_that_blanks_come_to_have_lain_together_long_enough():
    settled = {"stable_since": DAY - timedelta(days=40), "place": "shop"}
    unsure = [replace(c, blank=replace(c.blank, mc_sd_pct=3.0)) for c in at([8, 8, 8, 8], **settled)]
    answer = waiting({0: unsure, 19: unsure, 20: unsure}, ASK)
    assert [d.best is None for d in answer.days] == [True, True, False]
    assert answer.wait_days == 20
    assert waiting({0: unsure, 20: unsure}, replace(ASK, on=None)).wait_days is None


def test_each_day_is_the_choice_of_that_day():
    futures = {0: at([8, 8.5, 9, 9.5, 9.9]), 90: at([7, 7.1, 7.2, 8.5, 7.3])}
    covariances = {90: lambda a, b: 0.0}
    answer = waiting(futures, replace(ASK, on=None), covariances=covariances)
    for one in answer.days:
        assert one.best == choose(futures[one.days], replace(ASK, on=None)).sets[0]


def test_no_set_ever_is_no_reason_to_wait():
    answer = waiting({0: at([8, 8, 8]), 120: at([8, 8, 8])}, ASK)
    assert answer.wait_days is None
    assert all(d.best is None and d.saved_points is None for d in answer.days)


@pytest.mark.parametrize("futures", [{}, {30: []}, {0: [], -3: []}])
def test_waiting_is_counted_from_today(futures):
    with pytest.raises(Impossible):
        waiting(futures, ASK)
