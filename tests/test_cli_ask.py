"""What the questions answer, through the command line: the contract's names, empty books, refusals, exit codes."""

import csv
import io
import json
from datetime import date
from pathlib import Path

import pytest

from stock.cli import main

ROOT = Path(__file__).parent.parent
TODAY = date(2026, 11, 25)
VERDICTS = {
    "contradictory",
    "not judged",
    "cannot tell",
    "re-weigh",
    "drying",
    "getting wetter",
    "in balance",
    "stable, moisture unknown",
    "stable, too wet",
    "drier than target",
    "dry enough",
}
DRY_FIELDS = {
    "mark",
    "tag",
    "species",
    "kind",
    "on",
    "last_weighed_on",
    "mass_g",
    "oven_dry_g",
    "oven_dry_sd_g",
    "basis",
    "mc_pct",
    "mc_low_pct",
    "mc_high_pct",
    "emc_pct",
    "target_pct",
    "verdict",
    "why",
    "forecast",
}
READY_FIELDS = DRY_FIELDS | {
    "width_mm",
    "thickness_mm",
    "length_mm",
    "usable_length_mm",
    "usable_square_mm",
    "place",
    "defects",
}


@pytest.fixture(scope="module")
def yard(tmp_path_factory) -> Path:
    """The invented yard as a book."""
    path = tmp_path_factory.mktemp("yard") / "book.rick"
    assert main(["--book", str(path), "book", "import", str(ROOT / "demo_data")], today=TODAY) == 0
    return path


@pytest.fixture
def rick(yard, capsys):
    """Run a command on the invented yard: exit code, stdout, stderr."""

    def run(*words: str, book: Path = yard) -> tuple[int, str, str]:
        capsys.readouterr()
        code = main(["--book", str(book), *words], today=TODAY)
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


def test_dry_gives_the_fields_of_the_contract(rick):
    code, out, _ = rick("dry", "--json")
    assert code == 0
    answers = json.loads(out)
    assert len(answers) > 40
    for one in answers:
        assert one.keys() >= DRY_FIELDS
        assert one["verdict"] in VERDICTS
        if one["mc_pct"] is not None:
            assert 0 <= one["mc_low_pct"] <= one["mc_pct"] <= one["mc_high_pct"]


def test_moisture_is_that_of_the_last_weighing_on_the_day(rick):
    # The row of M1-4 in demo_data/weighings.csv, and no later one.
    with (ROOT / "demo_data" / "weighings.csv").open(encoding="utf-8") as file:
        weighed = [row for row in csv.DictReader(file) if row["piece"] == "M1-4" and row["on"] <= "2025-06-30"]
    _, out, _ = rick("dry", "M1-4", "--on", "2025-06-30", "--json")
    (one,) = json.loads(out)
    assert one["last_weighed_on"] == weighed[-1]["on"]
    assert one["mass_g"] == float(weighed[-1]["mass_g"])
    assert one["on"] == "2025-06-30"


def test_ready_gives_the_fields_of_the_contract_and_is_never_empty_by_season(rick):
    for day in ("2026-07-25", "2026-11-25"):
        code, out, _ = rick("ready", "--json", "--on", day)
        assert code == 0
        answer = json.loads(out)
        assert answer["on"] == day
        assert answer["ready"], day
        for one in answer["ready"] + answer["nearly"]:
            assert one.keys() >= READY_FIELDS
        assert {one["verdict"] for one in answer["ready"]} <= {"in balance", "drier than target", "dry enough"}


def test_wood_that_is_steady_in_the_shed_is_not_ready(rick):
    _, out, _ = rick("ready", "--json")
    for one in json.loads(out)["ready"]:
        assert not (one["place"] or "").startswith("shed")


def test_the_csv_of_ready_has_the_numbers_of_its_json(rick):
    _, text, _ = rick("ready", "--csv")
    rows = list(csv.DictReader(io.StringIO(text)))
    _, out, _ = rick("ready", "--json")
    answer = json.loads(out)
    everyone = answer["ready"] + answer["nearly"]
    assert [row["mark"] for row in rows] == [one["mark"] for one in everyone]
    for row, one in zip(rows, everyone, strict=True):
        for name in ("mc_pct", "oven_dry_g", "usable_length_mm"):
            assert row[name] == ("" if one[name] is None else repr(one[name]).removesuffix(".0")), name


def test_match_gives_the_fields_of_the_contract(rick):
    code, out, _ = rick("match", "--square", "46mm", "--length", "250mm", "--species", "sugar maple", "--json")
    assert code == 0
    answer = json.loads(out)
    assert answer.keys() >= {"project", "sets", "proven_best", "candidates", "rejected", "near_misses"}
    assert answer["proven_best"] is True
    first = answer["sets"][0]
    assert {s["corner"] for s in first["staves"]} == {1, 2, 3, 4}
    assert first["cost"] == pytest.approx(sum(first["terms"].values()), abs=1e-6)
    assert first["spare"] not in {s["mark"] for s in first["staves"]}
    assert [s["cost"] for s in answer["sets"]] == sorted(s["cost"] for s in answer["sets"])
    for counted in answer["rejected"].values():
        assert counted["alone"] <= counted["count"]


def test_a_kept_set_is_held_for_its_project(rick, yard, tmp_path):
    book = tmp_path / "copy.rick"
    book.write_bytes(yard.read_bytes())
    ask = ("match", "--square", "46mm", "--length", "250mm", "--species", "sugar maple")
    _, out, _ = rick(*ask, "--json", book=book)
    staves = {s["mark"] for s in json.loads(out)["sets"][0]["staves"]}
    code, out, _ = rick(*ask, "--keep", "1", "--as", "tall vase", "--json", book=book)
    assert (code, json.loads(out)["kept_as"]) == (0, "tall vase")
    _, out, _ = rick(*ask, "--json", book=book)
    answer = json.loads(out)
    assert answer["rejected"]["reserved"]["count"] >= 4
    assert not staves & {s["mark"] for one in answer["sets"] for s in one["staves"]}
    code, _, err = rick("match", "--square", "40mm", "--length", "8in", "--keep", "1", "--as", "Tall  Vase", book=book)
    assert code == 3
    assert "tall vase" in err.casefold()


def test_why_not_names_what_a_piece_lacks(rick):
    _, out, _ = rick("match", "--square", "46mm", "--length", "250mm", "--why-not", "C2-3", "--json")
    assert [f["reason"] for f in json.loads(out)["why_not"]["failed"]]


def test_show_walks_the_chain_up_to_the_tree(rick):
    code, out, _ = rick("show", "C1-4", "--json")
    assert code == 0
    card = json.loads(out)
    assert [kin["kind"] for kin in card["up"]] == ["billet", "log", "tree"]
    assert card["up"][-1]["made_text"] == "spring 2024"
    assert card["species"] == "Prunus serotina"
    assert card["along_log_mm"] is not None


def test_due_walks_place_by_place(rick):
    _, out, _ = rick("due", "--within", "400", "--json")
    places = [one["place"] for one in json.loads(out)]
    assert len(places) > 20
    seen = list(dict.fromkeys(places))
    assert places == sorted(places, key=seen.index)


def test_which_offers_candidates_and_decides_nothing(rick, yard):
    before = yard.read_bytes()
    _, out, _ = rick("which", "--length", "296mm", "--square", "57mm", "--mass", "604g", "--json")
    found = json.loads(out)
    assert any(one["tag"] == "M1-2" for one in found[:3])
    assert [one["distance"] for one in found] == sorted(one["distance"] for one in found)
    assert yard.read_bytes() == before


def test_questions_write_nothing(rick, yard):
    before = yard.read_bytes()
    for words in (
        ["list"],
        ["dry"],
        ["ready"],
        ["due"],
        ["show", "M1-4"],
        ["match", "--square", "46mm", "--length", "1ft"],
    ):
        assert rick(*words)[0] == 0
    assert yard.read_bytes() == before
    assert not list(yard.parent.glob("*journal*"))


def test_list_narrows_by_everything_it_offers(rick):
    def marks(*words: str) -> list[str]:
        return [row["mark"] for row in csv.DictReader(io.StringIO(rick("list", "--csv", *words)[1]))]

    everyone = marks()
    for words in (
        ["--species", "sugar maple"],
        ["--species", "maple"],
        ["--place", "shop"],
        ["--kind", "billet"],
        ["--part", "sap"],
        ["--figure", "curl"],
        ["--find", "quarry"],
        ["--square", "2 1/8 in"],
        ["--length", "300mm"],
    ):
        some = marks(*words)
        assert 0 < len(some) < len(everyone), words
        assert set(some) < set(everyone)


@pytest.mark.parametrize(
    "words",
    [
        ["list"],
        ["dry"],
        ["ready"],
        ["due"],
        ["match", "--square", "46mm", "--length", "250mm"],
        ["which", "--length", "1ft"],
    ],
    ids=lambda words: words[0],
)
def test_an_empty_book_is_answered(tmp_path, rick, words):
    book = tmp_path / "book.rick"
    assert rick("book", "units", "metric", book=book)[0] == 0
    assert rick(*words, book=book)[0] == 0
    code, out, _ = rick(*words, "--json", book=book)
    assert code == 0
    json.loads(out)


@pytest.mark.parametrize(
    ("words", "code", "word"),
    [
        (["show", "C1-99"], 3, "unknown-piece"),
        (["show", "214C"], 3, "unknown-piece"),
        (["dry", "M1-4", "--on", "2031-01-01"], 3, "impossible-value"),
        (["dry", "M1-4", "--on", "2023-01-01"], 3, "unknown-piece"),
        (["ready", "--species", "gum", "--place", "attic"], 3, "unknown-place"),
        (["ready", "--species", "nosuchwood"], 3, "unknown-species"),
        (["ready", "--target", "warm"], 3, "unknown-target"),
        (["match", "--square", "46", "--length", "250mm"], 3, "unclear"),
        (["match"], 2, "usage"),
        (["ready", "--nonsense"], 2, "usage"),
        (["nonsense"], 2, "usage"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else "",
)
def test_refusals_are_a_sentence_and_json(rick, words, code, word):
    got, out, err = rick(*words)
    assert got == code
    assert out == ""
    assert err.startswith("rick: ")
    assert "Traceback" not in err
    got, out, _ = rick(*words, "--json")
    assert got == code
    error = json.loads(out)
    assert error.keys() >= {"error", "code", "hint"}
    assert error["code"] == word


@pytest.mark.parametrize("words", [["list"], ["ready"], ["dry"], ["due", "--within", "90"], ["show", "M1-4"]], ids=str)
def test_screens_fit_eighty_columns_on_a_terminal(rick, monkeypatch, words):
    monkeypatch.setattr("stock.cli.printing.screen_width", lambda: 80)
    for module in ("ask_dry", "dry_lines", "ask_ready", "ask_duties", "ask_pieces", "ask_match"):
        monkeypatch.setattr(f"stock.cli.{module}.screen_width", lambda: 80, raising=False)
    _, out, _ = rick(*words)
    wide = [line for line in out.splitlines() if len(line) > 80]
    assert not wide


def test_a_new_opinion_on_the_wood_reaches_every_piece_and_keeps_the_old_one(rick, yard, tmp_path):
    book = tmp_path / "copy.rick"
    book.write_bytes(yard.read_bytes())
    code, out, _ = rick("species", "common plum", "--of", "C1-4", "--sure", "certain", "--json", book=book)
    assert (code, json.loads(out)["was"]) == (0, "black cherry")
    _, out, _ = rick("show", "C2-1", "--json", book=book)
    assert json.loads(out)["species"] == "Prunus domestica"
    _, out, _ = rick("show", "CH24", "--json", book=book)
    assert [h["what"] for h in json.loads(out)["story"] if "black cherry" in h["what"]]


def test_a_tag_can_be_given_and_taken_off(rick, yard, tmp_path):
    book = tmp_path / "copy.rick"
    book.write_bytes(yard.read_bytes())
    assert rick("book", "tag", "C1-4", "the straight one", book=book)[0] == 0
    assert rick("show", "The straight  one", book=book)[0] == 0
    assert rick("show", "C1-4", book=book)[0] == 3
    assert rick("book", "tag", "the straight one", "M1-4", book=book)[0] == 3
    assert rick("book", "tag", "the straight one", "", book=book)[0] == 0


def test_a_figure_of_the_persons_own_is_shown_with_its_source(rick, tmp_path):
    book = tmp_path / "book.rick"
    words = ("species", "--add", "mulberry", "--property", "shrinkage_radial_pct", "--value")
    assert rick(*words, "4.1", "--source", "measured on two squares", book=book)[0] in (0, 3)
    words = ("species", "--add", "white mulberry", "--property", "shrinkage_radial_pct", "--value")
    assert rick(*words, "4.1", "--source", "measured on two squares", book=book)[0] == 0
    _, out, _ = rick("species", "white mulberry", "--json", book=book)
    (one,) = json.loads(out)
    own = [f for f in one["figures"] if f["provenance"] == "own"]
    assert [(f["value"], f["source"]) for f in own] == [(4.1, "measured on two squares")]
    assert rick(*words, "nan", "--source", "x", book=book)[0] in (2, 3)
    assert rick(*words, "4.1", "--source", "", book=book)[0] == 3
