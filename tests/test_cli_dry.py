"""`rick dry` on pieces that dry: dates, chances, pictures, what finished pieces teach, how well dates were kept."""

import json
import sqlite3
from datetime import date, timedelta
from pathlib import Path

import pytest
from desk_side import Rick
from dried_wood import ROUNDS, TODAY, book, notebook
from stocked import BLANK, copied, refused

from stock.errors import Exit

NEW = date(2026, 1, 10)  # when the young pieces were sawn
OLD = date(2024, 1, 10)


@pytest.fixture(scope="module")
def made(tmp_path_factory) -> Path:
    """Three trees of finished squares, one of young ones: book."""
    folder = tmp_path_factory.mktemp("dried")
    old = [(f"old {i}", OLD + timedelta(days=9 * i), ROUNDS, (60, 75, 90, 110)) for i in range(3)]
    return book(folder, notebook(folder / "notes", [*old, ("new", NEW, ROUNDS[:7], (80, 120))]))


@pytest.fixture
def rick(made, monkeypatch, capsys) -> Rick:
    return Rick(made, monkeypatch, capsys)


@pytest.fixture
def small(tmp_path, monkeypatch, capsys) -> Rick:
    """A book of one blank."""
    return Rick(copied(BLANK, tmp_path / "small.rick"), monkeypatch, capsys)


def plot(said) -> list[str]:
    """The rows of the picture, from its top row to its axis."""
    end = next(i for i, line in enumerate(said.out.splitlines()) if line.lstrip().startswith("+"))
    return [line for line in said.out.splitlines()[: end + 1] if " |" in line or line.lstrip().startswith("+")]


# Dates


def test_a_date_has_an_early_a_likely_and_a_late_day(rick):
    said = rick.done("dry", "new-1", "--target", "16%")
    (line,) = [one for one in said.lines if one.startswith("16 %: likely ")]
    assert ", early " in line
    assert ", late " in line
    (told,) = rick.done("dry", "new-1", "--target", "16%", "--json").json
    days = [told["forecast"][name] for name in ("early", "likely", "late")]
    assert days == sorted(days)
    assert told["forecast_pct"] == 16.0
    assert told["never"] < 0.1


def test_the_date_is_when_it_happens(rick):
    """The square goes on drying by its law for another year: the day it comes to 16 % lies in the range."""
    from dried_wood import SHED_AIR, air
    from squares import weights

    days = range(700)
    course = weights(430.0, days, air(SHED_AIR), start=0.65, tau=80, offset=0.0)
    reached = NEW + timedelta(days=next(day for day in days if course[day] / 430.0 <= 1.16))
    (told,) = rick.done("dry", "new-1", "--target", "16%", "--json", "--on", "2026-04-01").json
    assert told["last_weighed_on"] < reached.isoformat()
    assert told["forecast"]["early"] <= reached.isoformat() <= told["forecast"]["late"]


def test_the_chance_of_a_day_agrees_with_the_dates(rick):
    (told,) = rick.done("dry", "new-2", "--target", "16%", "--json").json
    chances = []
    for name, least, most in (("likely", 0.5, 0.6), ("late", 0.9, 1.0)):
        day = told["forecast"][name]
        (asked,) = rick.done("dry", "new-2", "--target", "16%", "--by", day, "--json").json
        assert (asked["by"], least - 0.01 <= asked["chance_by"] <= most) == (day, True)
        chances.append(asked["chance_by"])
    assert chances == sorted(chances)
    said = rick.done("dry", "new-2", "--target", "16%", "--by", told["forecast"]["likely"])
    assert any(f"16 %: a chance of {100 * chances[0]:.0f} %" in line for line in said.lines)


def test_a_shed_that_keeps_wood_damper_says_not_in_this_place(rick):
    said = rick.done("dry", "new-1", "--target", "8%")
    assert "8 %: not in this place, as far as three and a half years show" in said.out
    (told,) = rick.done("dry", "new-1", "--target", "8%", "--json").json
    assert told["forecast"] == {"early": None, "likely": None, "late": None}
    assert told["never"] > 0.95
    (shop,) = rick.done("dry", "new-1", "--target", "10%", "--in", "shop", "--json").json
    assert shop["forecast"]["likely"]


def test_a_target_above_the_air_and_one_of_grams_a_month(rick):
    (air,) = rick.done("dry", "new-2", "--target", "emc+2", "--json").json
    assert air["forecast_pct"] == pytest.approx(15.1, abs=0.4)  # 12 degC, 70 %: the handbook's table has 13.3
    (loss,) = rick.done("dry", "new-2", "--target", "2 g/month", "--json").json
    assert loss["forecast_pct"] is None
    assert loss["forecast"]["likely"]
    ounce = rick.done("dry", "new-2", "--target", "0.0705 oz a month", "--json").json[0]
    assert ounce["forecast"]["likely"] == loss["forecast"]["likely"]
    said = rick.done("dry", "new-2", "--target", "2 g/month")
    assert "losing less than 2 g in 30 days: " in said.out
    assert "does not prove that it is dry" in said.out


def test_one_weighing_is_that_of_any_such_square(small):
    small.done("add", "--kind", "blank", "--square", "51mm", "--length", "330mm", "--tag", "lone", "--on", "2026-04-01")
    small.done("weigh", "lone", "900g", "--on", "2026-05-01")
    said = small.done("dry", "lone", "--target", "20%")
    assert "few weighings: that is what such a square does" in said.out


@pytest.mark.parametrize(
    ("add", "weigh", "why"),
    [
        (("--kind", "log", "--dia", "200mm", "--length", "1m"), "30kg", "a log or a half in its bark"),
        (("--kind", "blank", "--length", "330mm"), "800g", "its square is not known"),
        (("--kind", "blank", "--square", "51mm"), "800g", "nothing tells its oven-dry mass"),
        (("--kind", "blank", "--square", "51mm", "--length", "330mm"), "", "it was never weighed"),
    ],
    ids=["log", "no square", "no dry mass", "never weighed"],
)
def test_what_cannot_be_said_has_its_reason(small, add, weigh, why):
    small.done("add", *add, "--tag", "odd", "--on", "2026-05-01")
    if weigh:
        small.done("weigh", "odd", weigh, "--on", "2026-05-01")
    said = small.done("dry", "odd")
    assert f"cannot say when it will be dry: {why}" in said.out
    (told,) = small.done("dry", "odd", "--json").json
    assert told["forecast"] is None
    assert why in told["forecast_why"]


def test_a_piece_that_is_gone_has_no_date(small):
    small.done("out", "1B", "--as", "firewood", "--on", "2026-05-20")
    (told,) = small.done("dry", "1B", "--json").json
    assert told["forecast"] is None
    assert "no longer on hand" in told["forecast_why"]


# Odd weighings


@pytest.mark.parametrize(
    "weighings",
    [
        [],
        ["2026-05-02 470g"],
        ["2026-05-02 470g", "2026-05-02 471g", "2026-05-02 469g"],
        ["2026-05-02 470g", "2026-05-10 480g", "2026-05-20 500g", "2026-05-30 530g"],
        [f"2026-{2 + i // 28:02d}-{1 + i % 28:02d} {600 - i}g" for i in range(4, 100)],
        ["2026-05-02 470g", "2026-05-30 200g"],
    ],
    ids=["two", "three", "one day", "rising", "hundred", "below its dry mass"],
)
def test_odd_weighings_never_crash(small, weighings):
    with sqlite3.connect(small.book) as raw:
        count = raw.execute("select count(*) from weighing").fetchone()[0]
    for line in weighings:
        day, mass = line.split()
        small.done("weigh", "1B", mass, "--on", day, "--insist")
    with sqlite3.connect(small.book) as raw:
        assert raw.execute("select count(*) from weighing").fetchone()[0] == count + len(weighings)
    said = small.done("dry", "1B")
    assert len([line for line in said.lines if "%" in line]) > 3
    small.done("dry", "1B", "--json", "--by", "2027-01-01")


def test_wood_that_gets_wetter_gets_no_date_where_it_lies(small):
    small.done("air", "shed", "--temp", "15C", "--rh", "60%")
    for day, mass in (("2026-05-05", "470g"), ("2026-05-12", "485g"), ("2026-05-20", "505g"), ("2026-05-30", "530g")):
        small.done("weigh", "1B", mass, "--on", day, "--insist")
    said = small.done("dry", "1B")
    assert "getting wetter" in said.out
    assert "cannot say when it will be dry: it is getting wetter" in said.out


# The picture


def test_the_picture_is_of_one_piece_and_can_be_left_out(rick):
    said = rick.done("dry", "new-1")
    assert "o weighed" in said.out
    assert 8 <= len(plot(said)) <= 13
    assert "o weighed" not in rick.done("dry", "new-1", "new-2").out
    assert "o weighed" not in rick.done("dry", "new-1", "--no-chart").out
    assert "o weighed" not in rick.done("dry", "new-1", "--json").out


def test_the_words_are_the_same_without_the_picture(rick):
    drawn = rick.done("dry", "new-1").lines
    plain = rick.done("dry", "new-1", "--no-chart").lines
    assert [line for line in drawn if line in plain] == plain


def test_every_line_of_the_picture_is_plain_and_narrow(rick):
    for line in plot(rick.done("dry", "new-2", "--target", "16%")):
        assert line.isascii()
        assert len(line) <= 80


def test_a_picture_by_weight_is_in_the_units_of_the_book(small):
    small.done("add", "--kind", "blank", "--square", "51mm", "--tag", "no length", "--on", "2026-04-01")
    small.done("weigh", "no length", "850g", "--on", "2026-04-01")
    small.done("weigh", "no length", "700g", "--on", "2026-05-01")
    assert any(" g |" in line for line in plot(small.done("dry", "no length")))
    small.done("book", "units", "inch")
    assert any(" oz |" in line for line in plot(small.done("dry", "no length")))


def test_it_says_when_twenty_percent_was_passed(rick):
    """As the simulation had it, to a few days."""
    from dried_wood import SHED_AIR, air
    from squares import weights

    course = weights(430.0, range(400), air(SHED_AIR), start=0.65, tau=60, offset=0.0)
    passed = OLD + timedelta(days=next(day for day in range(400) if course[day] / 430.0 <= 1.20))
    (line,) = [one for one in rick.done("dry", "old 0-1").lines if one.startswith("20 % passed about ")]
    from stock import dates

    told = dates.read(line.removeprefix("20 % passed about "), TODAY).last
    assert abs((told - passed).days) <= 12


def test_a_gain_in_damp_months_is_no_mistake(small):
    """In August 55 % humidity keeps wood near 10 %, in January 80 % near 16 %; it gained 2.2 % of its dry mass."""
    size = ("--square", "51mm", "--length", "330mm")
    small.done("add", "--kind", "blank", *size, "--place", "attic", "--tag", "rafters", "--on", "2025-01-10")
    oven = ("--before", "668g", "--wet", "60.2g", "--dry", "36.0g", "--after", "605g", "--length", "300mm")
    small.done("oven", "rafters", *oven, "--on", "2025-01-10")
    for month, rh in enumerate((80, 78, 72, 65, 60, 55, 55, 55, 65, 75, 80, 82), start=1):
        small.done("air", "attic", "--month", str(month), "--temp", "12C", "--rh", f"{rh}%")
    weights = {"2025-03-01": 500, "2025-05-01": 430, "2025-07-10": 412, "2025-08-10": 410, "2026-01-15": 418}
    for day, mass_g in weights.items():
        small.done("weigh", "rafters", f"{mass_g}g", "--on", day, "--insist")
    words = "8 g up since 10 August 2025 is damp winter air, not a mistake"
    assert words in small.done("dry", "rafters", "--on", "2026-01-20").out
    assert words not in small.done("dry", "rafters", "--on", "2026-01-14").out
    small.done("book", "set", "hemisphere", "south")
    small.done("weigh", "rafters", "450g", "--on", "2026-02-10", "--insist")  # more than damp air can do
    assert "not a mistake" not in small.done("dry", "rafters", "--on", "2026-02-11").out


# Learning


def test_finished_pieces_teach_and_it_is_said(rick):
    said = rick.done("dry", "new-1", "--target", "16%")
    assert "by 12 finished pieces of this book" in said.out
    (told,) = rick.done("dry", "new-1", "--target", "16%", "--json").json
    assert told["finished_pieces"] == 12


def test_nothing_is_learnt_from_what_was_not_known_yet(rick):
    (told,) = rick.done("dry", "old 0-1", "--target", "16%", "--on", "2024-04-01", "--json").json
    assert told["finished_pieces"] == 0


def test_one_piece_learns_what_all_do(rick):
    everyone = {one["tag"]: one for one in rick.done("dry", "--json").json}
    (alone,) = rick.done("dry", "new-2", "--json").json
    assert alone["finished_pieces"] == everyone["new-2"]["finished_pieces"] == 12


# Keeping score


def test_the_score_counts_what_came_of_the_dates(rick):
    told = rick.done("dry", "--score", "--json").json
    assert told["forecasts"] >= 25
    assert told["pieces"] >= 8
    assert told["inside"] + told["sooner"] + told["later"] == told["forecasts"]
    assert told["inside"] >= 0.7 * told["forecasts"]
    assert told["few_weighings"]["forecasts"] + told["many_weighings"]["forecasts"] == told["forecasts"]
    for past in told["past"]:
        assert past["weighings"] >= 3
        if past["fell"] == "inside":
            assert past["early"] <= past["reached"]
    said = rick.done("dry", "--score")
    assert f"of {told['forecasts']} forecasts for {told['pieces']} pieces, {told['inside']} fell inside" in said.out


def test_a_past_forecast_is_the_one_that_was_given_that_day(rick):
    """Nothing later is used: the same dates as `--on` that day gives, with as many draws."""
    told = rick.done("dry", "--score", "--target", "17%", "--json").json
    assert len(told["past"]) > 10
    for past in told["past"][::4]:
        (then,) = rick.done("dry", past["mark"], "--target", "17%", "--on", past["on"], "--json").json
        assert {name: past[name] for name in ("early", "likely", "late")} == then["forecast"]


def test_few_forecasts_say_nothing(small):
    assert "too few to say" in small.done("dry", "--score").out
    told = small.done("dry", "--score", "--json").json
    assert (told["forecasts"], told["enough_to_say"], told["median_off_days"]) == (0, False, None)


# Bad input


@pytest.mark.parametrize(
    "words",
    [
        ("--target", "150%"),
        ("--target", "0%"),
        ("--target", "nan"),
        ("--target", "room x 45"),
        ("--target", "emc+"),
        ("--target", "emc+90"),
        ("--target", "emcee"),
        ("--target", "0 g/month"),
        ("--target", "-2 g/month"),
        ("--target", "/month"),
        ("--in", "attic"),
        ("--by", "2026-05-01"),
        ("--by", "2035-01-01"),
        ("--by", "soon"),
        ("--score", "--target", "2 g/month"),
    ],
    ids=" ".join,
)
def test_what_cannot_be_asked_is_refused_in_a_sentence(small, words):
    refused(small, "dry", "1B", *words)


@pytest.mark.parametrize(
    "words",
    [
        ("--in", "shop"),
        ("--by", "2027-01-01"),
        ("--target", "emc+2"),
        ("--target", "2 g/month"),
        ("new-1", "--species", "cherry"),
        ("new-1", "--place", "shed"),
    ],
    ids=" ".join,
)
def test_no_option_is_passed_over_in_silence(rick, words):
    assert rick("dry", *words).code == Exit.USAGE


def test_the_score_goes_by_the_filter(rick):
    whole, cherry = (
        {one["mark"] for one in rick.done("dry", "--score", *words, "--json").json["past"]}
        for words in ((), ("--species", "cherry"))
    )
    fits = {one["mark"] for one in rick.done("dry", "--species", "cherry", "--json").json}
    assert cherry == whole & fits
    assert 0 < len(cherry) < len(whole)
    assert rick.done("dry", "--score", "--place", "shop", "--json").json["forecasts"] == 0


def test_weights_that_contradict_each_other_give_no_date_and_no_negative_water(small):
    small.done("oven", "1B", "--wet", "61.4g", "--dry", "36.9g", "--before", "842g", "--insist")
    small.done("weigh", "1B", "300g", "--insist")
    said = small.done("dry", "1B")
    assert "cannot say when it will be dry: its weights contradict each other" in " ".join(said.out.split())
    assert "would narrow" not in said.out
    (told,) = small.done("dry", "1B", "--json").json
    assert told["verdict"] == "contradictory"
    assert told["mc_low_pct"] == told["mc_pct"] == told["mc_high_pct"] == 0


def test_a_day_to_come_may_be_a_month_or_a_season(rick):
    for text, day in (("2027-03", "2027-03-31"), ("spring 2027", "2027-05-31"), ("1 March 2027", "2027-03-01")):
        (told,) = rick.done("dry", "new-1", "--by", text, "--json").json
        assert told["by"] == day


def test_an_empty_book_is_answered(tmp_path, monkeypatch, capsys):
    rick = Rick(tmp_path / "book.rick", monkeypatch, capsys)
    rick.done("book", "units", "metric")
    assert rick.done("dry").out == "Nothing on hand.\n"
    assert "too few to say" in rick.done("dry", "--score").out
    assert json.loads(rick.done("dry", "--json").out) == []
