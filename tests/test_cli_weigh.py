"""rick weigh on one line: what is said, what is doubted, what is refused, and that nothing is half-done."""

from pathlib import Path

import pytest
from desk_side import Rick
from found import rows
from stocked import BLANK, SISTERS, copied, refused

from stock.cli.record_weights import pairs
from stock.errors import StockError


@pytest.fixture
def rick(tmp_path: Path, monkeypatch, capsys) -> Rick:
    return Rick(tmp_path / "own" / "book.rick", monkeypatch, capsys)


@pytest.fixture
def blank(rick) -> str:
    copied(BLANK, rick.book)
    return "1B"


@pytest.fixture
def sisters(rick) -> tuple[str, str]:
    copied(SISTERS, rick.book)
    return "2C", "3D"


def weighings(rick: Rick) -> list[tuple]:
    return [(row["mass_g"], row["on_text"]) for row in rows(rick.book, "weighing") if row["role"] == "none"]


MINE = ("weigh", "oven", "meter", "scales", "defect", "figure", "move", "air", "out")


@pytest.mark.parametrize("command", MINE)
def test_the_help_ends_with_worked_examples_and_fits_a_terminal(rick, command):
    lines = rick.done(command, "--help").out.rstrip().splitlines()
    at = lines.index("Examples:")
    assert 2 <= len(lines) - at <= 4
    assert all(line.startswith(f"  rick {command} ") for line in lines[at + 1 :])
    assert all(len(line) <= 80 for line in lines)
    assert {"--on", "--note", "--dry-run", "--json"} <= {word for line in lines for word in line.split()}


# One weighing


def test_what_is_said_after_a_weighing(rick, blank):
    said = rick.done("weigh", "1B", "1", "lb", "5/8", "oz")
    lines = said.out.splitlines()
    assert lines[0] == "1B  471.3 g (1 lb 5/8 oz)  black cherry heartwood, shed / rack 2"
    assert lines[1] == "gained 1.3 g (0.05 oz) in 30 days" or lines[1].startswith("no change in 30 days")
    assert lines[2].startswith("moisture 30 % (")
    assert "of dry mass" in lines[2]
    assert len(lines) <= 6
    assert all(len(line) <= 80 for line in said.lines)


def test_a_loss_is_told_in_a_persons_words_with_its_pace(rick, blank):
    lines = rick.done("weigh", "1B", "455g").out.splitlines()
    assert lines[1] == "lost 15 g (1/2 oz) in 30 days, half as fast as before"
    assert lines[-1].startswith("next weighing about ")


def test_the_date_is_said_when_it_is_not_today(rick, blank):
    assert rick.done("weigh", "1B", "455g", "--on", "2026-05-30").out.splitlines()[1].startswith("on 30 May 2026: lost")


def test_a_weight_since_a_trim_is_held_against_the_weight_as_it_would_be(rick, blank):
    rick.done("trim", "1B", "--before", "460g", "--after", "400g", "--length", "260mm", "--on", "2026-05-20")
    assert rick.done("weigh", "1B", "396g").out.splitlines()[1].startswith("lost 4 g")


def test_the_typed_text_and_the_tag_are_kept(rick, blank):
    rick.done("weigh", "plum 3", "1", "lb", "1/2", "oz", "--note", "[x] [/y] :wood: <script> =cmd()")
    row = rows(rick.book, "weighing")[-1]
    entry = rows(rick.book, "entry")[-1]
    assert row["typed"] == {"mass_g": "1 lb 1/2 oz"}
    assert row["mass_g"] == pytest.approx(16.5 * 28.349523125)  # 1 oz = 28.349523125 g, exact (definition)
    assert entry["note"] == "[x] [/y] :wood: <script> =cmd()"
    assert entry["verb"] == "weigh"


def test_brackets_in_a_tag_are_shown_as_they_stand(rick):
    rick.done("add", "--kind", "blank", "--square", "51mm", "--length", "330mm", "--tag", "[red] [/x] :oak: =1+1")
    said = rick.done("weigh", "[red] [/x] :oak: =1+1", "600g", "--json")
    assert said.json[0]["tag"] == "[red] [/x] :oak: =1+1"


def test_json_is_one_document(rick, blank):
    (one,) = rick.done("weigh", "1B", "455g", "--json").json
    assert one["mark"] == "1B"
    assert one["mass_g"] == 455.0
    assert one["on"] == "2026-06-01"
    assert (one["previous_mass_g"], one["previous_on"]) == (470.0, "2026-05-02")
    assert one["expected_low_g"] < 455 < one["expected_high_g"]
    assert one["mc_low_pct"] < one["mc_pct"] < one["mc_high_pct"]
    assert one["stored"] is True
    assert one["insisted"] is False


def test_a_dry_run_stores_nothing(rick, blank):
    before = rick.entries()
    said = rick.done("weigh", "1B", "455g", "--dry-run")
    assert "lost 15 g" in said.out
    assert said.err == "Dry run: nothing was stored.\n"
    assert rick.entries() == before


def test_the_state_and_the_step_are_kept(rick, blank):
    rick.done("weigh", "1B", "480g", "--state", "rain", "--step", "5g")
    row = rows(rick.book, "weighing")[-1]
    assert (row["state"], row["step_g"]) == ("rain", 5.0)


def test_lifting_is_cautioned_once(rick):
    rick.done("add", "--kind", "log", "--dia", "400mm", "--length", "600mm")
    rick.done("add", "--kind", "log", "--dia", "400mm", "--length", "600mm")
    said = rick.done("weigh", "1B", "70kg", "2C", "70kg")
    caution = "Caution: about 70 kg (154 lb): two people or a hoist, and a clear way before it is lifted."
    assert " ".join(said.err.split()) == caution


# Several on a line


def test_several_are_one_entry_and_one_line_each(rick, sisters):
    before = rick.entries()
    said = rick.done("weigh", "2C", "399", "3D", "439", "g")
    assert rick.entries() == before + 1
    lines = said.out.splitlines()
    assert lines[0].split() == ["mark", "weight", "since", "the", "last", "moisture", "verdict"]
    assert [line.split()[:3] for line in lines[1:]] == [["2C", "399", "g"], ["3D", "439", "g"]]
    assert "lost 1 g" in lines[1]


def test_one_that_is_refused_refuses_all(rick, sisters):
    said = refused(rick, "weigh", "2C", "399g", "99H", "400g")
    assert said.code == 3
    assert "the mark for 99 is 99H" not in said.err
    assert "no piece 99H is on the book" in said.err


@pytest.mark.parametrize(
    ("words", "read"),
    [
        ("214H 408g 215J 483g", [("214H", 408.0), ("215J", 483.0)]),
        ("214H 1 lb 1 oz 215J 2 lb", [("214H", 17 * 28.349523125), ("215J", 32 * 28.349523125)]),
        ("420G 420g 6G 6 g", [("420G", 420.0), ("6G", 6.0)]),
        ("214H 408 215J 483", [("214H", 408.0), ("215J", 483.0)]),
        ("214H 1.43 kg", [("214H", 1430.0)]),
        ("K-7 408,5", [("K-7", 408.5)]),
    ],
)
def test_pairs_of_a_mark_and_the_longest_weight(words, read):
    found = [(piece, mass.value) for piece, mass in pairs(words.split(), "g")]
    assert found == [(piece, pytest.approx(grams)) for piece, grams in read]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("214H", "214H has no weight"),
        ("214H 408g 215J", "215J has no weight"),
        ("214H 4o8", '214H: "4o8": a letter O for a zero'),
        ("214H 70 F", '214H: "70 F" is a temperature, not a weight'),
        ("214H 1-8.5", '214H: "1-8.5": 1 lb 8.5 oz (695 g), or a slip for 1.85'),
    ],
)
def test_pairs_refused_name_the_piece_and_the_words(words, told):
    with pytest.raises(StockError, match=r".") as trouble:
        pairs(words.split(), "g")
    assert told in trouble.value.message


# Units


def test_t03_a_bare_number_without_a_unit_is_asked_or_refused(rick):
    rick.done("add", "--kind", "blank", "--square", "51mm", "--length", "330mm")
    said = refused(rick, "weigh", "1B", "600")
    assert said.err.startswith('rick: 1B: "600" has no unit.\n  Write 600 g, 600 kg, 600 oz or 600 lb')
    on_a_terminal = rick.done("weigh", "1B", "600", answers=["stone", "g"])
    assert on_a_terminal.asked == 2
    assert weighings(rick) == [(600.0, "today")]
    assert [(row["name"], row["value"]) for row in rows(rick.book, "setting")] == [("unit.mass", "g")]


@pytest.mark.parametrize(
    ("typed", "grams"),
    [  # 1 lb = 453.59237 g, 1 oz = 28.349523125 g, exact (definition)
        (["1", "lb", "4¼", "oz"], 453.59237 + 4.25 * 28.349523125),
        (["1", "lb", "4-1/4", "oz"], 453.59237 + 4.25 * 28.349523125),
        (["20", "1/4", "oz"], 20.25 * 28.349523125),
        (["1.25", "lb"], 1.25 * 453.59237),
        (["0,57kg"], 570.0),
    ],
)
def test_t03_fractions_as_people_write_them(rick, typed, grams):
    rick.done("add", "--kind", "blank", "--square", "51mm", "--length", "330mm")
    rick.done("weigh", "1B", *typed)
    assert rows(rick.book, "weighing")[-1]["mass_g"] == pytest.approx(grams)
    assert rows(rick.book, "weighing")[-1]["typed"]["mass_g"] == " ".join(typed)


def test_a_bare_number_takes_the_unit_of_the_scales(rick, blank):
    rick.done("scales", "postal", "--step", "0.1oz", "--unit", "oz")
    rick.done("weigh", "1B", "16.4", "--scales", "Postal")
    row = rows(rick.book, "weighing")[-1]
    assert row["mass_g"] == pytest.approx(16.4 * 28.349523125)
    assert row["step_g"] == pytest.approx(2.8349523125)


def test_t02_ounces_read_as_grams_are_doubted_and_the_unit_is_named(rick, blank):
    said = refused(rick, "weigh", "1B", "16.5")
    assert "1B: 16.5 g would be" in said.err
    assert "The unit: 16.5 oz (468 g)?" in said.err


def test_t02_pounds_and_ounces_are_not_decimal_pounds(rick, blank):
    said = refused(rick, "weigh", "1B", "1.8lb")
    assert '"1.8lb" (816 g)' in said.err
    assert refused(rick, "weigh", "1B", "1-8.5").err.count("1 lb 8.5 oz") == 2


# Doubt


def test_t05_a_swapped_digit_is_asked_about_with_its_causes_in_order(rick, sisters):
    said = refused(rick, "weigh", "2C", "490g")
    assert said.code == 3
    sentence, causes, way_out = said.err.splitlines()
    assert "2C: 490 g would be 90 g more than on 10 April 2026; expected " in sentence
    assert causes.startswith("  Last digits swapped (409g)?")
    assert way_out == "  Weigh again, or keep it: --insist."


def test_t05_who_insists_is_recorded(rick, sisters):
    rick.done("weigh", "2C", "490g", "--insist")
    row = rows(rick.book, "weighing")[-1]
    assert row["insisted"] == 1
    assert row["doubt"].startswith("2C: 490 g would be 90 g more")
    assert rick.done("weigh", "3D", "439g", "--json").json[0]["insisted"] is False


def test_t07_the_neighbour_that_should_weigh_this_is_named(rick, sisters):
    assert "Its neighbour 3D (" in refused(rick, "weigh", "2C", "440g").err


def test_t07_two_crossing_jumps_on_one_line_suggest_a_swap(rick, sisters):
    said = refused(rick, "weigh", "2C", "440g", "3D", "400g")
    assert "  2C (440 g) and 3D (400 g) look swapped: each weighs what the other should." in said.err.splitlines()
    assert any(line.startswith("  Also 3D: 400 g would be") for line in said.err.splitlines())


def test_t07_a_swap_that_is_insisted_on_is_warned_of(rick, sisters):
    said = rick.done("weigh", "2C", "440g", "3D", "400g", "--insist")
    assert "2C (440 g) and 3D (400 g) look swapped: each weighs what the other should." in said.err


def test_t19_a_weight_below_the_oven_dry_mass_is_doubted(rick, blank):
    said = refused(rick, "weigh", "1B", "350g")
    assert "less than its oven-dry mass of 363 g" in said.err


def test_t20_the_same_weight_again_that_day_is_kept_and_said(rick, blank):
    rick.done("weigh", "1B", "455g")
    said = rick.done("weigh", "1B", "455g")
    assert "no change since earlier that day" in said.out
    assert "weighed that day already (455 g); both are kept" in said.err
    assert "1B: 440 g, but 455 g was weighed that day already" in refused(rick, "weigh", "1B", "440g").err


def test_t16_a_sheet_typed_days_later_has_the_date_of_its_walk(rick, blank):
    rick.done("weigh", "1B", "462g", "--on", "2026-05-20")
    assert weighings(rick)[-1] == (462.0, "2026-05-20")
    (one,) = rick.done("weigh", "1B", "455g", "--on", "yesterday", "--json").json
    assert one["on"] == "2026-05-31"


# Bad input


@pytest.mark.parametrize(
    ("words", "code", "typed"),
    [
        (["nan"], 3, "nan"),
        (["NaN g"], 3, "NaN g"),
        (["inf"], 3, "inf"),
        (["infinity", "kg"], 3, "infinity kg"),
        (["-5g"], 3, "-5g"),
        (["-5", "g"], 3, "-5 g"),
        (["-.5kg"], 3, "-.5kg"),
        (["0g"], 3, "0g"),
        (["1e3 g"], 3, "1e3 g"),
        (["1,250 g"], 3, "1,250 g"),
        (["99999 kg"], 3, "99999 kg"),
        (["4o8"], 3, "4o8"),
        (["12 fl oz"], 3, "12 fl oz"),
        (["half"], 3, "half"),
        (["470g", "--on", "2027-12-01"], 3, "1 December 2027"),
        (["470g", "--on", "2026-02-30"], 3, "2026-02-30"),
        (["470g", "--on", "03/04/2026"], 3, "03/04/2026"),
        (["470g", "--on", "2025-06-01"], 3, "1 June 2025"),
        (["470g", "--scales", "nobody's"], 3, "nobody's"),
        (["470g", "--state", "soggy"], 3, "soggy"),
        (["470g", "--step", "-1g"], 3, "-1g"),
        (["470g", "--scale", "kitchen"], 2, "--scale"),
        (["470g", "-x"], 2, "-x"),
    ],
    ids=str,
)
def test_bad_input_is_refused_in_one_sentence(rick, blank, words, code, typed):
    said = refused(rick, "weigh", "1B", *words)
    assert said.code == code
    assert typed in said.err.splitlines()[0]


def test_t13_a_date_before_the_piece_was_made_may_be_insisted_on(rick, blank):
    said = refused(rick, "weigh", "1B", "470g", "--on", "2025-06-01")
    assert said.err.splitlines()[1:] == ["  Mend the date that is wrong, or insist on it: --insist."]
    assert rick.done("weigh", "1B", "470g", "--on", "2025-06-01", "--insist", "--json").json[0]["on"] == "2025-06-01"


@pytest.mark.parametrize(
    ("piece", "told"),
    [
        ("99H", "no piece 99H is on the book."),
        ("1C", "no piece 1C; the mark for 1 is 1B."),
        ("plum 4", 'no piece "plum 4"'),
        ("1", '"1"'),
        ("", "no piece was named."),
    ],
)
def test_an_unknown_piece_is_refused_with_what_is_near(rick, blank, piece, told):
    assert told in refused(rick, "weigh", piece, "470g").err


def test_a_piece_that_was_cut_up_names_its_children(rick, sisters):
    said = refused(rick, "weigh", "1B", "3kg")
    assert "1B was sawn up on 2 January 2024" in said.err
    assert "Its pieces: 2C, 3D." in said.err


def test_without_a_book_nothing_is_made(rick):
    assert rick("weigh", "1B", "470g").code in (3, 5)
    assert not rick.book.exists()
