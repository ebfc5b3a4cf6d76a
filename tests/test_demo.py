"""The demo: the four jobs on an invented yard, in a folder of its own."""

import csv
import json
from datetime import date
from pathlib import Path

import pytest

from stock.cli import main
from stock.cli.keep_demo import SIGN, demo_folder

ROOT = Path(__file__).parent.parent


@pytest.fixture
def own_book(tmp_path, monkeypatch) -> Path:
    """A book of the person's own that the demo must not touch."""
    path = tmp_path / "mine.rick"
    monkeypatch.setenv("RICK_BOOK", str(path))
    assert main(["book", "units", "metric"]) == 0
    return path


def test_the_demo_does_the_four_jobs_and_leaves_the_own_book_alone(own_book, tmp_path, capsys):
    before = own_book.read_bytes()
    assert main(["demo", "--to", str(tmp_path / "demo")]) == 0
    out = capsys.readouterr().out
    for words in ("Job 1", "Job 2", "Job 3", "Job 4", "rick saw", "moisture", "SET 1", "READY"):
        assert words in out, words
    assert own_book.read_bytes() == before
    assert {p.name for p in (tmp_path / "demo").iterdir()} == {"book.rick", "ready", SIGN}
    with (tmp_path / "demo" / "ready" / "ready.csv").open(encoding="utf-8") as file:
        states = [row["state"] for row in csv.DictReader(file)]
    assert 10 <= states.count("ready") <= 18
    assert 2 <= states.count("nearly") <= 8


def test_the_demo_can_be_made_again_but_never_over_something_else(own_book, tmp_path, capsys):
    folder = tmp_path / "demo"
    assert main(["demo", "--to", str(folder), "--json"]) == 0
    assert Path(json.loads(capsys.readouterr().out)["book"]).exists()
    assert main(["demo", "--to", str(folder), "--json"]) == 0
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "pear.jpg").write_bytes(b"x")
    assert main(["demo", "--to", str(tmp_path / "photos")]) == 3
    assert (tmp_path / "photos" / "pear.jpg").exists()


def test_the_data_is_found_in_a_checkout():
    assert demo_folder() == ROOT / "demo_data"


def test_the_invented_yard_says_that_it_is_invented():
    text = (ROOT / "demo_data" / "README.md").read_text(encoding="utf-8").lower()
    assert "made up" in text or "invented" in text


def test_the_notebook_comes_in_whole_with_nothing_refused(own_book, tmp_path, capsys):
    book = tmp_path / "yard.rick"
    capsys.readouterr()
    words = ["--book", str(book), "book", "import", str(ROOT / "demo_data"), "--json"]
    assert main(words, today=date(2026, 11, 25)) == 0
    lines = json.loads(capsys.readouterr().out)["lines"]
    for name, count in lines.items():
        with (ROOT / "demo_data" / name).open(encoding="utf-8") as file:
            assert count == sum(1 for _ in csv.DictReader(file)), name
