"""`rick match` on the invented yard: patterns, several staves of a blank, larger squares, plans, projects, waiting."""

import json
import shutil
from datetime import date
from itertools import combinations
from pathlib import Path

import pytest

from stock.cli import main

ROOT = Path(__file__).parent.parent
TODAY = date(2026, 11, 25)
STAVE = ("--square", "44mm", "--length", "200mm")


@pytest.fixture(scope="module")
def yard(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("yard") / "book.rick"
    assert main(["--book", str(path), "book", "import", str(ROOT / "demo_data")], today=TODAY) == 0
    return path


@pytest.fixture
def rick(yard, tmp_path, capsys):
    """Run a command on a copy of the yard: exit code, document, what was said."""
    book = tmp_path / "book.rick"
    shutil.copy(yard, book)

    def run(*words, plain=False):
        code = main(["--book", str(book), *words, *([] if plain else ["--json"])], today=TODAY)
        out, err = capsys.readouterr()
        return code, out if plain else json.loads(out), err

    return run


def marks(one):
    return [stave["mark"] for stave in one["staves"]]


def test_every_set_has_four_corners_and_says_how_each_stave_stands(rick):
    _, told, _ = rick("match", *STAVE)
    assert told["proven_best"]
    for one in told["sets"]:
        assert [stave["corner"] for stave in one["staves"]] == [1, 2, 3, 4]
        assert all(stave["turn_deg"] in (0, 90, 180, 270) and not stave["flipped"] for stave in one["staves"])
        assert all((s["corner_in"] + 1) % 4 + 1 == s["corner_in_after"] for s in one["staves"])
        assert [joint["corners"] for joint in one["placing"]["joints"]] == [[1, 2], [2, 3], [3, 4], [4, 1]]
        assert abs(sum(one["terms"].values()) - one["cost"]) < 1e-6


def test_the_sets_shown_differ_in_two_staves_at_least(rick):
    _, told, _ = rick("match", *STAVE, "--best", "5")
    for one, other in combinations(told["sets"], 2):
        assert len(set(marks(one)) - set(marks(other))) >= 2


@pytest.mark.parametrize(("pattern", "ring"), [("alternating", "ABAB"), ("halves", "AABB")])
def test_two_kinds_lie_round_the_ring_as_asked(rick, pattern, ring):
    _, told, _ = rick("match", *STAVE, "--pattern", pattern, "--species", "sugar maple")
    assert told["sets"]
    for one in told["sets"]:
        assert "".join(stave["kind"] for stave in one["staves"]) == ring
        assert {stave["kind"]: stave["part"] for stave in one["staves"]} == {"A": "heart", "B": "sap"}
    assert told["project"]["by"] == "part"
    assert set(told["kinds"]) == {"heart", "sap"}


def test_what_alternates_may_be_any_trait_that_was_recorded(rick):
    _, told, _ = rick("match", *STAVE, "--pattern", "alternating", "--by", "curl", "--species", "sugar maple")
    assert set(told["kinds"]) <= {"curl", "without curl"}


def test_one_long_blank_may_give_two_staves(rick):
    _, told, _ = rick("match", "--square", "44mm", "--length", "120mm", "--best", "1")
    (one,) = told["sets"]
    twice = [mark for mark in set(marks(one)) if marks(one).count(mark) > 1]
    assert twice
    places = sorted(s["from_butt_mm"] for s in one["staves"] if s["mark"] == twice[0])
    assert places[1] - places[0] >= 120 + told["project"]["kerf_mm"] - 1e-9
    _, single, _ = rick("match", "--square", "44mm", "--length", "120mm", "--best", "1", "--per-blank", "1")
    assert len(set(marks(single["sets"][0]))) == 4
    assert single["sets"][0]["cost"] > one["cost"]


def test_a_square_may_be_as_large_as_the_four_allow(rick):
    stave = ("--square", "30mm", "--length", "200mm")
    _, told, _ = rick("match", *stave, "--or-larger", "--best", "1", "--per-blank", "1")
    (one,) = told["sets"]
    sides = [min(s["width_mm"], s["thickness_mm"]) for s in one["staves"]]
    assert 30 <= one["square_mm"] <= min(sides) - told["project"]["planing_mm"] + 1e-9
    assert one["square_mm"] > min(sides) - told["project"]["planing_mm"] - 0.5


def test_a_finished_form_asks_for_the_stave_that_it_needs(rick):
    _, size, _ = rick("size", "--diameter", "88mm", "--length", "140mm")
    _, told, _ = rick("match", "--form", "88mm x 140mm", "--best", "1")
    assert told["project"]["square_mm"] == 44
    assert told["project"]["length_mm"] == pytest.approx(size["stave"]["length_mm"])


def test_a_plan_shares_no_blank_and_is_never_dearer_than_taking_the_best_again_and_again(rick):
    _, told, _ = rick("match", *STAVE, "--blocks", "3")
    assert told["plan"]["wanted"] == 3
    assert told["plan"]["proven"]
    assert len(told["sets"]) == told["plan"]["made"] == 3
    used = [mark for one in told["sets"] for mark in set(marks(one))]
    assert len(used) == len(set(used))
    assert told["plan"]["greedy_dearer_by"] >= 0
    _, one, _ = rick("match", *STAVE, "--best", "1")
    assert min(s["cost"] for s in told["sets"]) >= one["sets"][0]["cost"]


def test_more_blocks_than_there_is_wood_for_are_not_made(rick):
    _, told, _ = rick("match", *STAVE, "--blocks", "9")
    assert told["plan"]["made"] < 9
    code, out, _ = rick("match", *STAVE, "--blocks", "9", plain=True)
    assert code == 0
    assert "of 9 wanted" in out


def test_a_question_is_kept_and_asked_again(rick):
    code, told, _ = rick("match", *STAVE, "--species", "sugar maple", "--pattern", "alternating", "--save", "ornament")
    assert (code, told["saved_as"]) == (0, "ornament")
    _, again, _ = rick("match", "--project", "Ornament")
    assert again["project"] == told["project"]
    assert again["sets"] == told["sets"]
    _, other, _ = rick("match", "--project", "ornament", "--length", "150mm")
    assert (other["project"]["length_mm"], other["project"]["pattern"]) == (150, "alternating")
    code, trouble, _ = rick("match", "--project", "bowl")
    assert (code, trouble["code"]) == (3, "unknown-project")
    assert "ornament" in trouble["hint"]


def test_asking_writes_nothing(rick, tmp_path):
    before = (tmp_path / "book.rick").read_bytes()
    rick("match", *STAVE, "--blocks", "2", "--why-not", "42W")
    assert (tmp_path / "book.rick").read_bytes() == before


def test_waiting_is_answered_whether_or_not_it_pays(rick):
    _, told, _ = rick("match", *STAVE)
    waits = told["waiting"]
    assert [day["days"] for day in waits["days"]] == [0, 30, 60, 120]
    assert waits["days"][0]["cost"] == told["sets"][0]["cost"]
    _, out, _ = rick("match", *STAVE, plain=True)
    assert "Waiting" in out


def test_why_not_names_every_check_and_what_the_best_set_with_it_costs(rick):
    _, told, _ = rick("match", *STAVE, "--why-not", "42W")
    assert {fail["reason"] for fail in told["why_not"]["failed"]} == {"too thin", "not weighed"}
    _, told, _ = rick("match", *STAVE, "--why-not", "27E")
    assert told["why_not"]["failed"] == []
    assert told["why_not"]["best_with_it"] >= told["sets"][0]["cost"]


def test_the_screen_names_corners_movement_and_the_next_step(rick):
    _, out, err = rick("match", *STAVE, plain=True)
    assert "inward" in out
    assert "joints differ" in out
    assert "glue 1+2, 3+4" in out
    assert "Caution:" in err


@pytest.mark.parametrize(
    ("words", "code", "part"),
    [
        ((), 2, "finished stave"),
        (("--square", "44mm"), 2, "finished stave"),
        ((*STAVE, "--pattern", "spiral"), 3, "matched, alternating, halves"),
        ((*STAVE, "--by", "figure"), 2, "--pattern alternating"),
        ((*STAVE, "--show", "bark"), 3, "heart, sap"),
        ((*STAVE, "--blocks", "-1"), 3, "one or more"),
        ((*STAVE, "--per-blank", "7"), 3, "1 to 4"),
        ((*STAVE, "--form", "4in x 9in"), 2, "the form, or the stave"),
        (("--form", "4in"), 3, "diameter and its length"),
        ((*STAVE, "--keep", "1"), 2, "needs a name"),
        ((*STAVE, "--keep", "45", "--as", "x"), 3, "there is no set 45"),
        (("--square", "44x50mm", "--length", "200mm"), 3, "as thick as it is wide"),
        ((*STAVE, "--band", "wide"), 3, "wide"),
    ],
)
def test_what_cannot_be_asked_is_refused_in_a_sentence(rick, words, code, part):
    got, trouble, _ = rick("match", *words)
    assert got == code
    assert part in f"{trouble['error']} {trouble['hint']}"


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (("--square", "90mm", "--length", "200mm"), "takes four blanks"),
        (("--square", "44mm", "--length", "3000mm"), "takes four blanks"),
        (("--square", "34mm", "--length", "150mm", "--species", "Callery pear", "--all"), "No four are sure"),
        ((*STAVE, "--species", "black walnut"), "takes four blanks"),
    ],
)
def test_no_set_is_an_answer(rick, words, part):
    code, out, _ = rick("match", *words, plain=True)
    assert code == 0
    assert part in out
