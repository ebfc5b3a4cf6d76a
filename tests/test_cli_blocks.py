"""Sets that are held, and blocks glued from them: held, judged at every change (trap T18), glued, split, reversed."""

import json
import shutil
from datetime import date
from pathlib import Path

import pytest

from stock.cli import main

ROOT = Path(__file__).parent.parent
TODAY = date(2026, 11, 25)
STAVE = ("--square", "44mm", "--length", "200mm")
FOUR = ["43X", "44Y", "52G", "51F"]  # the best set of the invented yard, as it is placed


@pytest.fixture(scope="module")
def yard(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("yard") / "book.rick"
    assert main(["--book", str(path), "book", "import", str(ROOT / "demo_data")], today=TODAY) == 0
    return path


@pytest.fixture
def rick(yard, tmp_path, capsys):
    """Run a command on a copy of the invented yard: exit code, document, what was said."""
    book = tmp_path / "book.rick"
    shutil.copy(yard, book)

    def run(*words, today=TODAY):
        code = main(["--book", str(book), *words, "--json"], today=today)
        out, err = capsys.readouterr()
        return code, json.loads(out), err

    return run


@pytest.fixture
def held(rick):
    code, document, _ = rick("match", *STAVE, "--species", "cherry", "--keep", "1", "--as", "tall vase")
    assert code == 0
    assert [stave["mark"] for stave in document["sets"][0]["staves"]] == FOUR
    return rick


def test_a_held_set_is_shown_with_its_pieces_and_with_the_ready_stock(held):
    _, ready, _ = held("ready")
    (one,) = ready["sets"]
    assert (one["name"], [s["mark"] for s in one["staves"]], one["broken"]) == ("tall vase", FOUR, [])
    _, card, _ = held("show", "51F")
    assert card["held"][0]["name"] == "tall vase"
    _, other, _ = held("show", "27E")
    assert other["held"] == []


def test_its_pieces_go_into_no_other_set_until_it_is_released(held):
    _, again, _ = held("match", *STAVE, "--species", "cherry")
    assert again["sets"] == []
    assert again["rejected"]["reserved"]["count"] == 4
    code, done, _ = held("match", "--release", "Tall  Vase")
    assert (code, done["released"]) == (0, "tall vase")
    _, again, _ = held("match", *STAVE, "--species", "cherry")
    assert [s["mark"] for s in again["sets"][0]["staves"]] == FOUR


def test_a_set_that_is_not_held_cannot_be_released(held):
    code, trouble, _ = held("match", "--release", "small bowl")
    assert (code, trouble["code"]) == (3, "unknown-set")
    assert "tall vase" in trouble["hint"]


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("defect", "43X", "ring", "shake"), "ring shake"),
        (("out", "44Y", "--as", "firewood"), "44Y is gone: firewood"),
        (("defect", "51F", "end", "check", "--length", "90mm", "--end", "butt"), "51F"),
        (("trim", "52G", "--length", "150mm"), "52G"),
        (("weigh", "51F", "455g", "--insist"), "51F"),
    ],
    ids=["shake", "firewood", "check", "too short", "wet"],
)
def test_t18_a_set_says_at_once_what_has_broken_it(held, words, why):
    code, _, said = held(*words)
    assert code == 0
    assert 'the set "tall vase" is broken: ' in said
    assert why in said
    _, ready, _ = held("ready")
    assert ready["sets"][0]["broken"]


def test_a_change_that_harms_nothing_says_nothing(held):
    _, _, said = held("weigh", "51F", "410g", "--scales", "kitchen")
    assert "tall vase" not in said


def test_staves_are_used_in_a_block_and_their_set_is_done(held):
    code, block, _ = held("glue", "--set", "tall vase", "--glue", "white glue", "--inward", "1+3+1+3", "--wait", "1")
    assert code == 0
    assert (block["mark"], [s["mark"] for s in block["staves"]], block["joint"]) == ("B1B", FOUR, "paper")
    assert (block["set"], block["matched"]) == ("tall vase", True)
    apart = [s["mc_pct"] for s in block["staves"]]
    assert block["spread_pct"] == max(apart) - min(apart)
    _, ready, _ = held("ready")
    assert ready["sets"] == []
    assert not set(FOUR) & {one["mark"] for one in ready["ready"]}
    _, stave, _ = held("show", "44Y")
    assert stave["gone"] == "used"
    assert any("glued into B1B, corner 2" in one["what"] for one in stave["story"])
    _, card, _ = held("show", "B1B")
    assert [(s["corner"], s["mark"], s["corner_in"]) for s in card["staves"]] == [
        (1, "43X", 1),
        (2, "44Y", 3),
        (3, "52G", 1),
        (4, "51F", 3),
    ]
    assert card["species"] == "Prunus serotina"


def test_a_set_is_glued_as_it_was_placed(held):
    _, chosen, _ = held("match", "--project", "tall vase", "--all", "--json")
    held("glue", "--set", "tall vase")
    _, card, _ = held("show", "B1B")
    assert all(stave["corner_in"] in (1, 2, 3, 4) for stave in card["staves"])
    assert chosen["project"]["square_mm"] == 44


def test_a_spread_above_two_points_is_warned_of_and_above_three_no_word_of_matched(held):
    held("weigh", "51F", "398g", "--insist")
    _, block, _ = held("glue", *FOUR, "--insist")
    told = " ".join(block["warnings"])
    assert block["spread_pct"] > 3
    assert not block["matched"]
    assert "more than 2; do not call them matched" in told


def test_wood_not_weighed_for_a_fortnight_is_said(held):
    _, block, _ = held("glue", *FOUR, today=date(2026, 12, 20))
    assert any("not weighed within 14 days: 43X, 44Y, 52G, 51F" in w for w in block["warnings"])


def test_one_blank_may_give_two_staves(held):
    code, block, _ = held("glue", "27E", "27E", "26D", "26D")
    assert code == 0
    assert [s["mark"] for s in block["staves"]] == ["27E", "27E", "26D", "26D"]
    _, stave, _ = held("show", "27E")
    assert any("corner 1 and 2" in one["what"] for one in stave["story"])


def test_a_block_is_split_reversed_and_glued_again_once(held):
    held("glue", *FOUR, "--wait", "2", "--on", "2026-11-20")
    code, done, _ = held("reverse", "B1B", "--split-on", "2026-11-21", "--made", "hollow ornament")
    assert (code, done["days_glued"], done["joint"]) == (0, 1, "full")
    assert any("rest until 22 November 2026" in w for w in done["warnings"])
    _, card, _ = held("show", "B1B")
    told = [one["what"] for one in card["story"]]
    assert "split at its joints" in told
    assert any("reversed and glued again" in what and "hollow ornament" in what for what in told)
    code, trouble, _ = held("reverse", "B1B")
    assert code == 3
    assert "already" in trouble["error"]


@pytest.mark.parametrize(
    ("words", "code", "part"),
    [
        (("glue", "27E", "25C", "26D"), 2, "four"),
        (("glue",), 2, "four staves"),
        (("glue", "27E", "25C", "26D", "28F", "--set", "tall vase"), 2, "four staves"),
        (("glue", "--set", "bowl"), 3, "bowl"),
        (("glue", *FOUR, "--joint", "dovetail"), 3, "dovetail"),
        (("glue", *FOUR, "--inward", "1+2"), 3, "1+2"),
        (("glue", "27E", "25C", "26D", "43X"), 3, 'held for "tall vase"'),
        (("glue", "27E", "25C", "26D", "1B"), 3, "1B"),
        (("reverse", "27E"), 3, "not a block"),
        (("reverse", "B9A"), 3, "B9"),
        (("glue", *FOUR, "--clamp", "long"), 3, "long"),
    ],
)
def test_what_cannot_be_glued_is_said_in_a_sentence(held, words, code, part):
    got, trouble, _ = held(*words)
    assert got == code
    assert part in trouble["error"] + trouble["hint"]


def test_a_block_glued_for_good_does_not_come_apart(held):
    held("glue", *FOUR, "--joint", "full")
    code, trouble, _ = held("reverse", "B1B")
    assert code == 3
    assert "for good" in trouble["error"]
    code, _, _ = held("reverse", "B1B", "--insist")
    assert code == 0


def test_an_unsound_stave_is_doubted(held):
    held("match", "--release", "tall vase")
    held("defect", "43X", "loose", "knot")
    code, trouble, _ = held("glue", *FOUR)
    assert code == 3
    assert "loose knot" in trouble["error"]
