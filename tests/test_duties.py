"""What is due to be weighed: by the forecast, within the practice of the trade."""

from dataclasses import replace
from datetime import date, timedelta
from math import exp, log

import pytest
from desk_side import Rick
from due_books import DAYS, DRY_G, EARLY, GREEN_OVER, LATE, SAWN, SHED, drying, due, duties, mass_g, tell
from found import raw

from stock.survey import duties as duties_file
from stock.survey.intervals import FORTNIGHT, MONTH, SEASON, SOONEST_FRESH, WEEK, interval
from stock.survey.prospects import SHARE, STEPS, worth_weighing_g
from stock.wood.steady import Reading


@pytest.fixture
def rick(tmp_path, monkeypatch, capsys) -> Rick:
    return Rick(tmp_path / "book.rick", monkeypatch, capsys)


def after(days: int) -> date:
    return SAWN + timedelta(days=days)


def only(rick: Rick, on: date, within: int = 400) -> duties_file.Due:
    (found,) = duties(rick, on).by(on + timedelta(days=within))
    return found


# By the forecast


def test_a_piece_is_due_when_it_has_lost_a_few_steps_of_its_scales(rick):
    tell(rick, *SHED, *drying("1B"))
    found = only(rick, after(LATE[-1] + 1))
    left = exp(-LATE[-1] / DAYS) - STEPS / (DRY_G * GREEN_OVER)  # the curve itself, not the forecast's law
    truth = -DAYS * log(left) - LATE[-1]
    assert truth * 0.6 <= found.every_days <= truth * 1.4
    assert found.prospect is not None


@pytest.mark.parametrize("ahead", [0, 10, 25])
def test_the_coming_weight_is_told_and_holds_the_curve(rick, ahead):
    """The range of a day holds what the curve gives on it, and its middle lies within two grams of it."""
    tell(rick, *SHED, *drying("1B"))
    found = only(rick, after(LATE[-1] + 1))
    outlook = replace(found, weigh_on=after(LATE[-1] + 1 + ahead)).outlook
    assert outlook is not None
    true_g = mass_g(LATE[-1] + 1 + ahead)
    assert outlook.low_g <= true_g <= outlook.high_g
    assert (outlook.low_g + outlook.high_g) / 2 == pytest.approx(true_g, abs=3)
    assert outlook.high_g - outlook.low_g < 20


def test_the_reason_is_told_in_words(rick):
    tell(rick, *SHED, *drying("1B"))
    (row,) = due(rick, after(LATE[-1] + 60)).values()
    lighter = mass_g(LATE[-1]) - mass_g(LATE[-1] + 60)
    told = float(str(row["why"]).removeprefix("about ").removesuffix(" g lighter by now"))
    assert told == pytest.approx(lighter, abs=3)
    (row,) = due(rick, after(LATE[-1] + 1), "--within", "90").values()
    assert str(row["why"]).endswith("g lighter by then")


@pytest.mark.parametrize(("step", "net", "worth"), [(1.0, 400.0, 4.0), (1.0, 4000.0, 20.0), (28.35, 400.0, 113.4)])
def test_worth_weighing_is_a_few_steps_and_half_a_percent(rick, step, net, worth):
    tell(rick, *SHED, *drying("1B"))
    on = after(LATE[-1] + 1)
    dryness = duties(rick, on).reckoning.of(1)
    assert (STEPS, SHARE) == (4, 0.005)
    assert worth_weighing_g(replace(dryness, readings=(Reading(on, net, step, None),))) == pytest.approx(worth)


def test_coarse_scales_leave_a_piece_longer(rick):
    tell(rick, *SHED, "scales kitchen --step 1g --on 2025-12-02", "scales bench --step 5g --on 2025-12-02")
    fine, coarse = drying("1B"), drying("2C")
    tell(rick, *fine[:2], *(f"{one} --scales kitchen" for one in fine[2:]))
    tell(rick, *coarse[:2], *(f"{one} --scales bench" for one in coarse[2:]))
    on = after(LATE[-1] + 1)
    a, b = sorted(duties(rick, on).by(on + timedelta(days=200)), key=lambda one: one.piece.mark)
    assert a.due_on < b.due_on


@pytest.mark.parametrize(
    ("days", "soonest"), [((3, 6, 9), SOONEST_FRESH), (EARLY, WEEK), ((10, 25, 45, 70), WEEK), (LATE, WEEK)], ids=str
)
def test_the_practice_of_the_trade_is_not_exceeded_absurdly(rick, days, soonest):
    tell(rick, *SHED, *drying("1B", days))
    found = only(rick, after(days[-1] + 1))
    trade = interval(duties(rick, after(days[-1] + 1)).reckoning.of(1))
    assert soonest <= found.every_days <= min(3 * trade.every_days, SEASON)
    assert found.prospect is not None


# By the practice of the trade


def test_a_new_series_is_weighed_weekly(rick):
    tell(rick, *SHED, *drying("1B", ()))
    found = only(rick, after(1))
    assert (found.every_days, found.why, found.prospect) == (WEEK, "a new series: weekly", None)


@pytest.mark.parametrize("how", ["no size", "bark"])
def test_where_no_forecast_can_be_made_the_trade_is_followed(rick, how):
    made = {"no size": "add --kind blank --length 330mm", "bark": "add --kind billet --square 51mm --length 330mm"}[how]
    tell(rick, *SHED, f"{made} --place shed --on {SAWN}")
    tell(rick, *(f"weigh 1B {mass_g(one):.0f}g --on {after(one)}" for one in LATE))
    found = only(rick, after(LATE[-1] + 1))
    assert found.prospect is None
    assert found.due_on == after(LATE[-1] + FORTNIGHT)
    assert found.why == "losing: every two weeks"


def test_a_log_is_asked_for_once_it_was_weighed(rick):
    tell(rick, *SHED, "add --kind log --length 660mm --dia 200mm --place shed --on 2026-05-01")
    assert due(rick, date(2026, 5, 20)) == {}
    tell(rick, "weigh 1B 21kg --on 2026-05-02")
    assert due(rick, date(2026, 5, 20))["1B"]["why"] == "a new series: weekly"


def test_a_piece_that_gains_is_not_left_for_a_season(rick):
    gains = [f"weigh 1B {mass}g --on {after(days)}" for mass, days in ((421, 160), (428, 190))]
    tell(rick, *SHED, *drying("1B", (100, 130)), *gains, today=after(190))
    found = only(rick, after(191))
    assert (found.due_on, found.why, found.prospect) == (after(190 + MONTH), "gaining: monthly", None)


def test_old_weights_and_contradictions_are_asked_for_at_once(rick):
    tell(rick, *SHED, *drying("1B"), *drying("2C"), f"weigh 2C 330g --insist --on {after(151)}")
    on = after(LATE[-1] + 95)
    assert due(rick, on)["1B"]["due_on"] == on.isoformat()
    assert due(rick, after(152))["2C"]["why"] == "its weights contradict each other"


def test_dry_stock_is_due_once_a_season_and_a_reference_block_monthly(rick):
    for number, role in ((1, "stock"), (2, "reference")):
        mark = f"{number}{'ABC'[number]}"
        tell(
            rick,
            f"add --kind blank --square 51mm --length 330mm --place house --role {role} --on 2025-10-01",
            *(f"weigh {mark} {400 + i % 2}g --on {date(2026, 1, 1) + timedelta(days=30 * i)}" for i in range(5)),
        )
    tell(rick, "air house --temp 20C --rh 42% --on 2026-01-01", "move --place house --cover heated --on 2025-10-01")
    last = date(2026, 1, 1) + timedelta(days=120)
    one, other = sorted(duties(rick, date(2026, 5, 20)).by(date(2026, 12, 31)), key=lambda d: d.piece.mark)
    assert (one.due_on, one.why) == (last + timedelta(days=SEASON), "dry: once a season")
    assert (other.due_on, other.why) == (last + timedelta(days=MONTH), "a reference block: monthly")


def test_samples_stand_for_their_batch_until_they_are_dry(rick):
    """A sample is a sister on the book as such; pieces are made samples by an import only."""
    tell(
        rick,
        *SHED,
        f"add --kind billet --square 120mm --length 700mm --place shed --on {SAWN}",
        f"saw 1B --blanks 3 --length 330mm --square 51mm --on {SAWN}",
    )
    assert set(due(rick, after(10))) == {"2C", "3D", "4E"}
    with raw(rick.book) as connection:
        connection.execute("UPDATE piece SET role = 'sample' WHERE number = 3")
    assert set(due(rick, after(10))) == {"3D"}


# Many pieces


def test_many_pieces_go_by_the_trade_beyond_a_number(rick, monkeypatch):
    tell(rick, *SHED, *drying("1B"), *drying("2C"), *drying("3D"))
    monkeypatch.setattr(duties_file, "FORETOLD_AT_MOST", 1)
    on = after(LATE[-1] + 60)
    found = duties(rick, on).by(on)
    assert [one.prospect is not None for one in found] == [True, False, False]
    assert found[1].due_on == after(LATE[-1] + FORTNIGHT)


@pytest.mark.parametrize("days", [151, 167, 183, 199])
def test_leaving_out_what_cannot_have_changed_changes_no_answer(rick, monkeypatch, days):
    tell(rick, *SHED, *drying("1B"), *drying("2C", (*LATE, 151)), *drying("3D", EARLY), *drying("4E", LATE[:-1]))
    on = after(days)
    until = on + timedelta(days=6)
    found = {one.piece.mark: one.due_on for one in duties(rick, on).by(until)}
    monkeypatch.setattr(duties_file, "may_be_worth", lambda dryness, by_trade, until: True)
    assert found == {one.piece.mark: one.due_on for one in duties(rick, on).by(until)}
