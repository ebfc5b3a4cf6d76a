"""Keeping score of past forecasts: what counts, what does not, and how it is counted."""

from datetime import date, timedelta

import pytest
from dried_wood import ROUNDS, SHED_AIR, SHOP_AIR, TODAY, air, book, notebook
from hypothesis import given
from hypothesis import strategies as st
from squares import weights

from stock.book import opening
from stock.book.facts import facts
from stock.survey import learning
from stock.survey.courses import Reckoning
from stock.survey.past_forecasts import FEWEST, MOST_DAYS, Past, past_forecasts, score_of
from stock.wood.drying import Air, Below

DAY = date(2025, 6, 1)
OLD = date(2024, 1, 10)


def past(early, likely, late, reached, mark="1B", weigh_ins=4):
    """A forecast by the days from its own day; None for never, or not yet."""
    days = (None if n is None else DAY + timedelta(days=n) for n in (early, likely, late, reached))
    return Past(mark, DAY, weigh_ins, *days)


@pytest.mark.parametrize(
    ("forecast", "fell", "off"),
    [
        ((10, 20, 40, 25), "inside", 5),
        ((10, 20, 40, 10), "inside", -10),
        ((10, 20, 40, 40), "inside", 20),
        ((10, 20, 40, 9), "sooner", -11),
        ((10, 20, 40, 41), "later", 21),
        ((10, 20, 40, None), "later", None),
        ((10, 20, None, 900), "inside", 880),
        ((10, None, None, 900), "inside", None),
        ((None, None, None, 90), "sooner", None),
    ],
)
def test_where_a_day_falls(forecast, fell, off):
    one = past(*forecast)
    assert (one.fell, one.off_days) == (fell, off)


def test_a_count_of_ten():
    pasts = [
        past(10, 20, 40, day, mark)
        for day, mark in zip((5, 12, 18, 20, 22, 25, 30, 38, 50, None), "ABCABCABCA", strict=True)
    ]
    told = score_of(pasts)
    assert (told.forecasts, told.pieces, told.inside, told.sooner, told.later, told.overdue) == (10, 3, 7, 1, 2, 1)
    assert told.told
    assert told.median_off_days is None  # only nine have a day
    told = score_of([*pasts, past(10, 20, 40, 26, "A")])
    assert told.lean_days == 3.5  # -15 -8 -2 0 2 5 6 10 18 30
    assert told.median_off_days == 7.0  # 0 2 2 5 6 8 10 15 18 30


def test_too_few_forecasts_or_pieces_say_nothing():
    assert not score_of([past(10, 20, 40, 20, str(i)) for i in range(FEWEST - 1)]).told
    assert not score_of([past(10, 20, 40, 20, "AB"[i % 2]) for i in range(50)]).told
    assert score_of([]).forecasts == 0


@given(st.lists(st.tuples(*[st.one_of(st.none(), st.integers(0, 900))] * 4), max_size=40))
def test_every_forecast_is_counted_once(days):
    told = score_of([past(*one) for one in days])
    assert told.inside + told.sooner + told.later == told.forecasts == len(days)
    assert told.overdue <= told.later


def remade(path, aim):
    """The forecasts of the past of a whole book."""
    with opening.reading(path) as connection:

        def as_of(day, ids):
            return facts(connection, day, [*ids, *learning.ids_to_read(connection, day)])

        today = Reckoning(facts(connection, TODAY))
        steps = list(past_forecasts(today, as_of, list(today.facts.pieces), aim))
    done = [done for done, _, _ in steps]
    assert done == sorted(set(done))
    assert all(days == done[-1] for _, days, _ in steps)
    return [one for _, _, pasts in steps for one in pasts]


def test_the_day_of_getting_there_is_the_true_one(tmp_path):
    """The weighings tell it to some days; the truth is known to the day."""
    notes = notebook(tmp_path / "notes", [("one", OLD, ROUNDS, (80,))])
    pasts = remade(book(tmp_path, notes), Below(20.0))
    course = weights(430.0, range(400), air(SHED_AIR), start=0.65, tau=80, offset=0.0)
    true = OLD + timedelta(days=next(day for day in range(400) if course[day] / 430.0 <= 1.20))
    assert pasts
    assert {one.weigh_ins for one in pasts} == set(range(3, 3 + len(pasts)))
    for one in pasts:
        assert one.on < true
        assert abs((one.reached - true).days) <= 15


def test_a_piece_moved_on_the_way_counts_from_the_move_on(tmp_path):
    notes = notebook(tmp_path / "notes", [("one", OLD, ROUNDS, (80,))])
    (notes / "moves.csv").write_text(f"piece,on,place\none-1,{OLD + timedelta(days=60)},shop\n")
    shed, shop = air(SHED_AIR), air(SHOP_AIR)
    both = Air((0.0, 59.0, 60.0), (*shed.emc_pct * 2, *shop.emc_pct), (*shed.temp_c * 2, *shop.temp_c))
    course = weights(430.0, ROUNDS, both, start=0.65, tau=80, offset=0.0)
    lines = [f"one-1,{OLD + timedelta(days=day)},{mass_g:.0f}" for day, mass_g in zip(ROUNDS, course, strict=True)]
    (notes / "weighings.csv").write_text("\n".join(["piece,on,mass_g", *lines]) + "\n")
    pasts = remade(book(tmp_path, notes), Below(16.0))
    assert pasts
    assert all(one.on > OLD + timedelta(days=60) for one in pasts)


def test_a_day_between_weighings_far_apart_is_not_known(tmp_path):
    rounds = (0, 12, 26, 40, 40 + MOST_DAYS + 60, 220, 270, 320, 380, 440)
    notes = notebook(tmp_path / "notes", [("one", OLD, rounds, (80,))])
    assert remade(book(tmp_path, notes), Below(20.0)) == []


def test_a_piece_on_its_way_is_not_counted_yet(tmp_path):
    notes = notebook(tmp_path / "notes", [("one", TODAY - timedelta(days=130), ROUNDS[:6], (150,))])
    assert remade(book(tmp_path, notes), Below(16.0)) == []


def test_pieces_used_up_since_still_count(tmp_path):
    notes = notebook(tmp_path / "notes", [("one", OLD, ROUNDS, (80,))])
    (notes / "departures.csv").write_text(f"piece,on,outcome\none-1,{TODAY},used\n")
    assert remade(book(tmp_path, notes), Below(20.0))


def test_days_together_say_what_each_alone_does(tmp_path, monkeypatch):
    path = book(tmp_path, notebook(tmp_path / "notes", [("one", OLD, ROUNDS, (80, 110))]))
    together = remade(path, Below(20.0))
    monkeypatch.setattr("stock.survey.past_forecasts.DAYS_TOGETHER", 1)
    assert together == remade(path, Below(20.0))
    assert len(together) > 4
