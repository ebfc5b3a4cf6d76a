"""Scales of a step and a zero of their own: what is noise, what is reckoned off, and from when."""

from datetime import date

import pytest
from desk_side import Rick
from found import rows
from said import day, g, mm
from stocked import copied, refused

from stock.book import opening
from stock.book.facts import facts
from stock.book.naming import Names
from stock.survey.courses import Reckoning
from stock.yard.felling import add
from stock.yard.ovening import oven
from stock.yard.scaling import scales, scales_check
from stock.yard.weighing import weigh

MADE = day("2025-01-10")


@pytest.fixture
def blank(page) -> str:
    """1B: a blank of 400 g oven-dry."""
    with page() as p:
        mark = add(p, kind="blank", on=MADE, length=mm(330), width=mm(51), thickness=mm(51)).mark
        oven(p, piece=mark, on=MADE, wet=g("80.0 g"), dry=g("50.0 g"), before=g("720.0 g"), after=g("640.0 g"))
        scales(p, name="kitchen", on=MADE, step=g(1))
        scales(p, name="bench", on=MADE, step=g(1))
    return mark


def mc_pct(book, mark: str, on: date) -> float:
    with opening.reading(book) as connection:
        piece_id = Names(connection).piece(mark).id
        known = Reckoning(facts(connection, on, [piece_id])).of(piece_id).mc_pct
    assert known is not None
    return known


def weighed(page, mark: str, on: str, mass_g: float, name: str) -> None:
    with page() as p:
        weigh(p, piece=mark, mass=g(mass_g), on=day(on), scales=name, insist=True)


def test_t08_three_grams_on_400_are_three_quarters_of_a_point(book, page, blank):
    """Trade arithmetic: 3 / 400 = 0.75 % of the dry mass."""
    weighed(page, blank, "2026-01-10", 436, "kitchen")
    plain = mc_pct(book, blank, date(2026, 1, 10))
    with page() as p:
        scales_check(p, name="kitchen", true=g(500), read=g(503), on=day("2026-01-09"))
    assert plain - mc_pct(book, blank, date(2026, 1, 10)) == pytest.approx(0.75, abs=0.02)
    assert [row["mass_g"] for row in rows(book, "weighing")][-1] == 436  # as it was read


def test_t08_a_check_holds_from_its_day_on_and_never_before(book, page, blank):
    weighed(page, blank, "2026-01-10", 436, "kitchen")
    before = mc_pct(book, blank, date(2026, 1, 20))
    with page() as p:
        scales_check(p, name="kitchen", true=g(500), read=g(503), on=day("2026-01-11"))
    assert mc_pct(book, blank, date(2026, 1, 20)) == before
    weighed(page, blank, "2026-02-10", 439, "kitchen")
    assert mc_pct(book, blank, date(2026, 2, 10)) == pytest.approx(before, abs=0.02)


def test_t08_within_one_step_it_is_noise(book, page, blank):
    weighed(page, blank, "2026-01-10", 436, "kitchen")
    before = mc_pct(book, blank, date(2026, 1, 10))
    with page() as p:
        done = scales_check(p, name="kitchen", true=g(500), read=g(501), on=day("2026-01-09"))
    assert (done.within_step, done.words) == (True, "within one step: taken as right")
    assert mc_pct(book, blank, date(2026, 1, 10)) == before


def test_a_later_check_that_is_right_ends_the_offset(book, page, blank):
    with page() as p:
        scales_check(p, name="kitchen", true=g(500), read=g(503), on=day("2026-01-01"))
        scales_check(p, name="kitchen", true=g(500), read=g(500), on=day("2026-02-01"))
    weighed(page, blank, "2026-01-10", 439, "kitchen")
    weighed(page, blank, "2026-02-10", 436, "kitchen")
    assert mc_pct(book, blank, date(2026, 1, 20)) == pytest.approx(mc_pct(book, blank, date(2026, 2, 20)), abs=0.02)


def test_two_scales_of_different_zero_tell_the_same_of_one_piece(book, page, blank):
    with page() as p:
        scales_check(p, name="kitchen", true=g(500), read=g(503), on=day("2026-01-01"))
        scales_check(p, name="bench", true=g(500), read=g(495), on=day("2026-01-01"))
    told = []
    for on, mass_g, name in (
        ("2026-01-10", 439, "kitchen"),
        ("2026-01-20", 431, "bench"),
        ("2026-01-30", 439, "kitchen"),
    ):
        weighed(page, blank, on, mass_g, name)
        told.append(mc_pct(book, blank, day(on).last))
    assert told == [pytest.approx(9, abs=0.2)] * 3
    with opening.reading(book) as connection:
        known = facts(connection, date(2026, 2, 1))
    readings = Reckoning(known).of(next(iter(known.weighings))).readings
    assert [one.net_g for one in readings][-3:] == [436, 436, 436]


@pytest.mark.parametrize(
    ("unit", "step", "true", "read"), [("oz", "1/8 oz", "18 oz", "18 1/8 oz"), ("kg", "5 g", "2 kg", "2.005 kg")]
)
def test_one_step_in_the_units_of_the_scales_is_noise_too(page, unit, step, true, read):
    with page() as p:
        scales(p, name="shop", on=MADE, step=g(step), unit=unit)
        assert scales_check(p, name="shop", true=g(true), read=g(read), on=MADE).within_step


# -- as it is typed ---------------------------------------------------------------------------------------------------

STOCK = (
    "book units metric",
    "scales kitchen --step 1g --capacity 5kg",
    "scales postal --unit oz --step '1/8 oz'",
    "scales kitchen --check 500g --reads 503g --on 2026-05-01",
    "add --kind blank --square 51mm --length 330mm --on 2026-01-02",
)


@pytest.fixture
def rick(tmp_path, monkeypatch, capsys) -> Rick:
    return Rick(copied(STOCK, tmp_path / "own" / "book.rick"), monkeypatch, capsys)


def test_the_scales_of_a_shop_are_listed_with_their_checks(rick):
    said = rick.done("scales")
    assert said.out.splitlines()[1].split() == ["kitchen", "g", "1", "g", "5000", "g", "1", "May", "2026", "3", "g"]
    assert said.out.splitlines()[2].split() == ["postal", "oz", "1/8", "oz", "-", "never", "-"]
    assert all(len(line) <= 80 for line in said.lines)
    first, second = rick.done("scales", "--json").json
    assert (first["checked_on"], first["offset_g"], first["step_g"]) == ("2026-05-01", 3, 1)
    assert second["step_g"] == pytest.approx(28.349523125 / 8)


def test_a_check_says_what_it_found(rick):
    said = rick.done("scales", "kitchen", "--check", "500g", "--reads", "497g")
    assert said.out.splitlines()[0] == "kitchen: 497g for 500g: reads 3 g low: reckoned with from this day on"
    said = rick.done("scales", "postal", "--check", "18 oz", "--reads", "18 1/8 oz")
    assert "within one step: taken as right" in said.out


def test_a_weight_beyond_what_the_scales_carry_is_asked_about(rick):
    assert "more than these scales carry (5000 g)" in refused(rick, "weigh", "1B", "5.4kg", "--scales", "kitchen").err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["kitchen", "--check", "500g"], "a check takes the weight and its reading"),
        (["kitchen", "--check", "500g", "--reads", "nan g"], "nan"),
        (["kitchen", "--check", "0g", "--reads", "1g"], "0g"),
        (["kitchen", "--check", "500g", "--reads", "50g"], "-90 % off"),
        (["kitchen", "--unit", "stone"], "stone"),
        (["kitchen", "--step", "-1g"], "-1g"),
        (["--step", "1g"], "the scales have no name"),
        (["attic", "--check", "500g", "--reads", "500g"], 'no scales "attic"'),
    ],
)
def test_bad_input_of_scales(rick, words, told):
    assert told in refused(rick, "scales", *words).err
