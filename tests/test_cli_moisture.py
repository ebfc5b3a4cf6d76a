"""rick oven, meter and scales: what the oven says, what a meter says, and what a check weight says."""

from pathlib import Path

import pytest
from desk_side import Rick
from found import piece, rows
from stocked import BLANK, copied, refused

BARE = (
    "book units metric",
    "add --kind blank --species 'black cherry' --square 51mm --length 330mm --tag 'plum 3' --on 2026-02-02",
)


@pytest.fixture
def rick(tmp_path: Path, monkeypatch, capsys) -> Rick:
    """A book with a blank that was never weighed."""
    return Rick(copied(BARE, tmp_path / "own" / "book.rick"), monkeypatch, capsys)


@pytest.fixture
def known(rick) -> Rick:
    """A book with a blank whose section is on record."""
    copied(BLANK, rick.book)
    return rick


# The oven


def test_a_section_and_what_follows_from_it(rick):
    said = rick.done("oven", "1B", "--before", "668g", "--wet", "60.2g", "--dry", "36.0g", "--after", "605g",
                     "--length", "300mm", "--end", "top", "--on", "2026-05-30")  # fmt: skip
    lines = said.out.splitlines()
    assert lines[0].startswith("1B  section 1: 60.2 to 36 g is 67.2 % (")
    assert lines[0].endswith(") of dry mass")
    assert lines[1].startswith("oven-dry mass of 1B: 363 g (3")
    assert lines[2].startswith("moisture of 1B 67 % (")
    assert lines[3] == "Seal the fresh end, then weigh: rick weigh 1B 605g"
    assert len(lines) <= 6
    assert all(len(line) <= 80 for line in said.lines)
    assert piece(rick.book, "1B").size.length_mm == 300.0
    assert [(row["role"], row["mass_g"]) for row in rows(rick.book, "weighing")] == [
        ("before", 668.0),
        ("after", 605.0),
    ]


def test_the_caution_comes_once_and_before_the_result(rick):
    said = rick.done("oven", "1B", "--wet", "60.2g", "--dry", "36.0g")
    assert said.err.startswith(
        "Caution: bare wood, 101-105 C, attended, not a food oven; smoke alarm and water\n  at hand."
    )
    assert said.err.count("Caution:") == 1
    assert "More: rick oven --help" in said.err
    assert "Caution" not in rick.done("oven", "1B", "--wet", "60.2g", "--dry", "36.0g", "--json").out


def test_unknown_and_poisonous_wood_and_wax_are_cautioned(rick):
    rick.done("add", "--kind", "blank", "--square", "51mm", "--length", "330mm")
    rick.done("add", "--kind", "blank", "--square", "51mm", "--length", "330mm", "--species", "common yew")
    assert "heat no wood whose kind is unknown" in rick.done("oven", "2C", "--wet", "60g", "--dry", "40g").err
    assert (
        "common yew is reported poisonous: do not heat it"
        in rick.done("oven", "3D", "--wet", "60g", "--dry", "40g").err
    )
    rick.done("seal", "1B", "--coat", "wax", "--all")
    told = " ".join(rick.done("oven", "1B", "--wet", "60g", "--dry", "40g").err.split())
    assert "this piece is coated: wax drips and can burn; cut the slice from bare wood." in told


def test_t17_ten_ounces_to_six_point_nine_are_45_percent_on_the_dry_basis(rick):
    """10 oz -> 6.9 oz: 45 % dry basis, 31 % wet (arithmetic; common practice, no source)."""
    said = rick.done("oven", "1B", "--wet", "10 oz", "--dry", "6.9 oz", "--json")
    assert said.json["section_mc_pct"] == pytest.approx(100 * 3.1 / 6.9)
    assert said.json["section_mc_low_pct"] < 100 * 3.1 / 6.9 < said.json["section_mc_high_pct"]
    assert " % (" in rick.done("oven", "1B", "--wet", "10 oz", "--dry", "6.9 oz").out
    assert "of dry mass" in rick.done("oven", "1B", "--wet", "10 oz", "--dry", "6.9 oz").out


def test_t17_a_dry_weight_above_the_wet_one_is_refused(rick):
    said = refused(rick, "oven", "1B", "--wet", "36.0g", "--dry", "60.2g")
    assert said.code == 3
    assert '1B: a dry weight of "60.2g"' in said.err
    assert "is above the wet one (36.0 g)" in said.err
    assert rows(rick.book, "section") == []


def test_t17_where_a_slice_came_from_and_its_oven_weights_are_kept(rick):
    said = rick.done("oven", "1B", "--wet", "60.2g", "--oven", "41.2+40.3+40.1g", "--dry", "39.5g",
                     "--position", "20mm", "--end", "butt", "--label", "A", "--step", "0.1g",
                     "--volume", "80 cm3")  # fmt: skip
    (section,) = rows(rick.book, "section")
    assert (section["label"], section["end"], section["position_mm"], section["volume_cm3"]) == (
        "A",
        "butt",
        20.0,
        80.0,
    )
    assert section["step_g"] == pytest.approx(0.1)
    assert [(row["mass_g"], row["final"]) for row in rows(rick.book, "oven")] == [
        (41.2, 0), (40.3, 0), (40.1, 0), (39.5, 1)]  # fmt: skip
    assert "not yet constant" in said.err
    assert "the section was 20 mm from an end" in said.err


def test_t17_a_scorched_section_is_kept_and_not_used(rick):
    rick.done("weigh", "1B", "668g")
    said = rick.done("oven", "1B", "--wet", "60.2g", "--dry", "33.0g", "--scorched")
    assert "scorched: kept, and not used" in said.out
    assert said.code == 0
    (document,) = rick.done("dry", "1B", "--json").json
    assert document["basis"].startswith("rough: the density of black cherry and its size")


def test_a_section_may_stay_in_the_oven_until_tomorrow(rick):
    said = rick.done("oven", "1B", "--before", "668g", "--wet", "60.2g", "--after", "605g", "--on", "2026-05-29")
    assert said.out.splitlines()[0] == "1B  section 1: 60.2 g (2 1/8 oz) wet, in the oven"
    assert said.out.splitlines()[-1].startswith("rick oven 1B --dry ")
    assert rick.done("oven", "1B", "--oven", "38.0+37.1g", "--on", "2026-05-30").out.startswith("1B  section 1: 60.2 g")
    done = rick.done("oven", "1B", "--dry", "36.0g", "--on", "2026-05-31")
    assert done.out.startswith("1B  section 1: 60.2 to 36 g is 67.2 % (")
    assert "oven-dry mass of 1B: 362 g" in done.out
    assert "Caution" not in done.err
    assert [str(row["on_last"]) for row in rows(rick.book, "oven")] == ["2026-05-30", "2026-05-30", "2026-05-31"]


def test_of_two_in_the_oven_the_label_says_which(rick):
    rick.done("oven", "1B", "--wet", "60.2g", "--label", "A")
    assert "--dry" in rick.done("oven", "1B", "--wet", "55.0g", "--label", "B").out
    assert "1B has 2 sections in the oven: A, B." in refused(rick, "oven", "1B", "--dry", "36.0g").err
    assert rick.done("oven", "1B", "--dry", "33.1g", "--label", "b").out.startswith("1B  section B: 55 to 33.1 g")
    assert rick.done("oven", "1B", "--dry", "36.0g").out.startswith("1B  section A: 60.2 to 36 g")
    assert "no section is in the oven" in refused(rick, "oven", "1B", "--dry", "36.0g").err


def test_a_whole_offcut_is_dried_and_off_hand(rick):
    said = rick.done("oven", "1B", "--wet", "668g", "--dry", "400g", "--whole")
    assert "1B was dried whole: it is no longer on hand" in said.out
    assert piece(rick.book, "1B").gone


def test_words_after_an_option_are_joined(rick):
    said = rick.done("oven", "1B", "--before", "1", "lb", "7", "5/8", "oz", "--wet", "2", "1/8", "oz", "--dry", "36.0g")
    assert said.code == 0
    assert rows(rick.book, "section")[0]["typed"]["wet_g"] == "2 1/8 oz"


def test_a_dry_run_stores_no_section(rick):
    before = rick.entries()
    assert "67.2 %" in rick.done("oven", "1B", "--wet", "60.2g", "--dry", "36.0g", "--dry-run").out
    assert rick.entries() == before


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        ("1B", 2, "1B: no weight was given"),
        ("1B --before 668g --dry 36g", 2, "1B: the wet weight of the slice is missing"),
        ("1B --wet nan", 3, '1B: "nan": not a number'),
        ("1B --wet inf --dry 3g", 3, '1B: "inf": not a number'),
        ("1B --wet -60g", 3, '1B: "-60g": a weight cannot be negative'),
        ("1B --wet 60g --dry -36g", 3, '1B: "-36g": a weight cannot be negative'),
        ("1B --wet 60g --oven 40g+", 3, "a weight is missing"),
        ("1B --wet 60g --oven 40g+45g --dry 39g", 3, '1B: "45g" (45 g) is more than the weight before it'),
        ("1B --wet 60g --dry 36g --length 400mm", 3, '1B: "400mm" after the section is not shorter'),
        ("1B --wet 60g --dry 36g --end side", 3, '"side"'),
        ("1B --wet 60g --dry 36g --volume 2floz", 3, '1B: "2floz"'),
        ("1B --wet 700g --dry 360g --before 668g", 3, '1B: the section ("700g") is as heavy as the piece'),
        ("1B --wet 60g --dry 36g --before 600g --after 668g", 3, '1B: "668g" after and "600g" before'),
        ("1B --wet 60g --dry 36g --on 2027-01-01", 3, "1 January 2027 has not come yet"),
        ("1B --wet 60g --dry 36g --on 2025-01-01", 3, "1B would be cut for a moisture section on 1 January 2025"),
        ("99H --wet 60g --dry 36g", 3, "no piece 99H is on the book"),
        ("1B --wet 60g --dry 36g --scales none", 3, 'no scales "none"'),
    ],
)
def test_bad_input_of_the_oven(rick, words, code, told):
    said = refused(rick, "oven", *words.split())
    assert said.code == code
    assert told in said.err.splitlines()[0]
    assert rows(rick.book, "section") == rows(rick.book, "oven") == rows(rick.book, "operation") == []


def test_a_section_before_the_piece_was_made_may_be_insisted_on(rick):
    words = ["oven", "1B", "--wet", "60g", "--dry", "36g", "--on", "2025-01-01"]
    assert "insist on it: --insist" in refused(rick, *words).err
    assert " is 67 % (" in rick.done(*words, "--insist").out
    assert rick.done("meter", "1B", "12", "--on", "2025-01-01", "--insist").code == 0


# A meter


def test_meter_readings_of_one_piece(known):
    said = known.done("meter", "1B", "18", "17.5%", "--wood-temp", "68", "F", "--meter", "pins")
    assert said.out.splitlines() == [
        "1B  meter 18 %, 17.5 %, wood at 20 C",
        "mean 17.8 %, as shown",
        next(line for line in said.out.splitlines() if line.startswith("its weight said 29 % (")),
    ]
    found = [(row["reading_pct"], row["wood_c"], row["meter"]) for row in rows(known.book, "meter_reading")]
    assert found == [(18.0, 20.0, "pins"), (17.5, 20.0, "pins")]
    assert known.entries() == len(BLANK) + 1


def test_a_meter_in_cold_wood_reads_low(known):
    """Pfaff and Garrahan (1986) by its table of corrected readings: 12 % in wood at 5 C is 13.4 %, computed."""
    said = known.done("meter", "1B", "12", "--wood-temp", "5C", "--on", "2026-05-03")
    assert "12 % in wood at 5 C is 13 %" in said.out.splitlines()
    told = known.done("meter", "1B", "12", "--wood-temp", "5C", "--on", "2026-05-03", "--json").json
    assert told["corrected_pct"] == pytest.approx(13.4, abs=0.05)
    pinless = known.done("meter", "1B", "12", "--wood-temp", "5C", "--kind", "pinless", "--json").json
    assert pinless["corrected_pct"] == 12


def test_a_reading_beside_a_weighing_counts(known):
    said = known.done("meter", "1B", "14", "--wood-temp", "20C", "--on", "2026-05-03")
    assert any(line.startswith("with it, 1B held ") for line in said.out.splitlines())
    assert "its meter reading of 3 May 2026, 14 %" in known.done("dry", "1B", "--on", "2026-05-04").out


@pytest.mark.parametrize(
    ("words", "beyond"),
    [
        (["above", "30"], "above"), (["above"], "above"), (["> ", "30%"], "above"), (["below", "6"], "below"),
        (["45"], "above"), (["3"], "below"),
    ],
)  # fmt: skip
def test_beyond_its_range_a_meter_gives_no_number(known, words, beyond):
    said = known.done("meter", "1B", *(word.strip() for word in words))
    (row,) = rows(known.book, "meter_reading")
    assert (row["reading_pct"], row["beyond"], row["limit_pct"]) == (
        None,
        beyond,
        {"above": 30.0, "below": 6.0}[beyond],
    )
    assert f"meter {beyond} {row['limit_pct']:g} %" in said.out
    assert known.done("meter", "1B", *(word.strip() for word in words), "--json").json["mean_pct"] is None


def test_without_moisture_known_the_section_is_named(rick):
    assert "a moisture section tells the whole" in rick.done("meter", "1B", "12", "--wood-temp", "20C").out


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (["-5"], 3, '1B: "-5": a percentage cannot be negative'),
        (["nan"], 3, '1B: "nan": not a number'),
        (["inf"], 3, '1B: "inf": not a number'),
        (["12", "g"], 3, '1B: "g"'),
        (["wet"], 3, '1B: "wet"'),
        (["above", "20"], 3, '1B: "above 20" is within the range of a meter'),
        (["12", "--wood-temp", "200C"], 3, '1B: wood of "200C" (200 C) cannot be'),
        (["12", "--wood-temp", "warm"], 3, '1B: "warm"'),
        (["12", "--wood"], 2, "--wood"),
        (["12", "--on", "2027-01-01"], 3, "has not come yet"),
        ([], 2, "missing argument"),
    ],
)
def test_bad_input_of_a_meter(known, words, code, told):
    said = refused(known, "meter", "1B", *words)
    assert said.code == code
    assert told in said.err.splitlines()[0]


# Scales


def test_scales_are_told_once_and_listed(rick):
    rick.done("scales", "kitchen", "--step", "1g", "--capacity", "5kg")
    said = rick.done("scales", "postal", "--step", "0.1", "--unit", "oz", "--capacity", "11 lb")
    assert said.out.splitlines()[0] == "postal: shows oz, steps of 1/8 oz, up to 11 lb"
    assert [row["step_g"] for row in rows(rick.book, "scales")] == [1.0, pytest.approx(2.8349523125)]
    listed = rick.done("scales").out.splitlines()
    assert [line.split()[0] for line in listed] == ["scales", "kitchen", "postal"]
    document = rick.done("scales", "--json").json
    assert document[0] == {
        "name": "kitchen", "unit": "g", "step_g": 1.0, "capacity_g": 5000.0, "checked_on": None, "offset_g": None,
    }  # fmt: skip


def test_no_scales_yet(rick):
    assert rick.done("scales").out == "No scales yet: rick scales kitchen --step 1g\n"


def test_t08_a_check_weight_within_one_step_and_beyond(rick):
    rick.done("scales", "kitchen", "--step", "1g")
    said = rick.done("scales", "kitchen", "--check", "500g", "--reads", "501")
    assert said.out == "kitchen: 501 for 500g: within one step: taken as right\n"
    said = rick.done("scales", "kitchen", "--check", "500g", "--reads", "506g", "--json")
    assert (said.json["offset_g"], said.json["within_step"]) == (6.0, False)
    assert rick.done("scales", "--json").json[0]["offset_g"] == 6.0
    assert "reads 6 g high" in rick.done("scales", "kitchen", "--check", "500g", "--reads", "506g").out


def test_scales_and_their_check_in_one_breath(rick):
    before = rick.entries()
    rick.done("scales", "kitchen", "--step", "1g", "--check", "500g", "--reads", "501g")
    assert rick.entries() == before + 1
    assert len(rows(rick.book, "scales_check")) == len(rows(rick.book, "scales")) == 1


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        ("--step 1g", 2, "the scales have no name"),
        ("kitchen --check 500g", 2, "kitchen: a check takes the weight and its reading"),
        ("kitchen --check 500g --reads 501g", 3, 'no scales "kitchen" are on the book'),
        ("kitchen --step nan", 3, '"nan"'),
        ("kitchen --step -1g", 3, '"-1g"'),
        ("kitchen --unit stone", 3, '"stone"'),
        ("kitchen --step 1g --check 500g --reads 700g", 3, 'kitchen: "700g" read for "500g" is +40 % off'),
    ],
)
def test_bad_input_of_scales(rick, words, code, told):
    said = refused(rick, "scales", *words.split())
    assert said.code == code
    assert told in said.err.splitlines()[0]
    assert rows(rick.book, "scales") == []


def test_a_pinless_meter_reads_lower(known):
    known.done("meter", "1B", "5", "--kind", "pinless")
    (row,) = rows(known.book, "meter_reading")
    assert (row["reading_pct"], row["meter_kind"]) == (5.0, "pinless")
    assert refused(known, "meter", "1B", "9", "--kind", "laser").code == 3
