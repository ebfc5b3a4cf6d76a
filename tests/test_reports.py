"""Paper: the report of ready stock says what the screen says, is the same twice, and is whole or not there."""

import json
import subprocess
import sys
from datetime import date
from pathlib import Path

import pandas as pd
import pytest

from stock.cli import main
from stock.survey import answers

ROOT = Path(__file__).parent.parent
DAY = "2026-11-25"


@pytest.fixture(scope="module")
def demo_book(tmp_path_factory) -> Path:
    """The invented yard as a book."""
    path = tmp_path_factory.mktemp("yard") / "book.rick"
    assert main(["--book", str(path), "book", "import", str(ROOT / "demo_data")], today=date(2026, 11, 25)) == 0
    return path


def report(book: Path, folder: Path, *more: str) -> int:
    return main(["--book", str(book), "report", "ready", "--to", str(folder), "--on", DAY, *more])


def test_the_report_has_the_numbers_of_the_screen(demo_book, tmp_path, capsys):
    assert report(demo_book, tmp_path / "out") == 0
    capsys.readouterr()
    assert main(["--book", str(demo_book), "ready", "--csv", "--on", DAY]) == 0
    assert (tmp_path / "out" / "ready.csv").read_text(encoding="utf-8") == capsys.readouterr().out


def test_sizes_asked_of_ready_wood_are_of_what_is_clear(demo_book, capsys):
    def rows(*more: str) -> list[dict[str, object]]:
        capsys.readouterr()
        assert main(["--book", str(demo_book), "ready", "--json", "--on", DAY, *more]) == 0
        told = json.loads(capsys.readouterr().out)
        return [*told["ready"], *told["nearly"]]

    checked = [row for row in rows() if row["usable_length_mm"] < row["length_mm"] - 1]
    assert checked
    for row in checked[:3]:
        asked = (row["usable_length_mm"] + row["length_mm"]) / 2
        found = rows("--length", f"{asked}mm")
        assert row["mark"] not in {one["mark"] for one in found}
        assert all(one["usable_length_mm"] >= asked for one in found)
        assert row["mark"] in {one["mark"] for one in rows("--length", f"{row['usable_length_mm'] - 1}mm")}


def test_the_same_book_gives_the_same_bytes(demo_book, tmp_path):
    for name in ("a", "b"):
        assert report(demo_book, tmp_path / name) == 0
    for file in ("ready.csv", "ready.png", "ready.pdf"):
        assert (tmp_path / "a" / file).read_bytes() == (tmp_path / "b" / file).read_bytes(), file


def test_what_is_behind_the_picture(demo_book):
    from reports import frames
    from stock.book import opening
    from stock.book.facts import facts
    from stock.survey import holdings
    from stock.survey.courses import Reckoning
    from stock.survey.filters import Filter

    with opening.reading(demo_book) as connection:
        known = facts(connection, date.fromisoformat(DAY))
    stock = holdings.ready(Reckoning(known), Filter())
    frame = frames.ready(stock)
    assert list(frame.columns) == list(answers.READY_COLUMNS)
    assert (frame["state"] == "ready").sum() == len(stock.ready)
    by_wood = frames.counted(frame, "wood")
    assert int(by_wood["ready"].sum()) == len(stock.ready)
    assert int(by_wood["nearly"].sum()) == len(stock.nearly)
    assert list(by_wood["ready"]) == sorted(by_wood["ready"], reverse=True)


def test_the_frame_of_an_empty_book_has_the_same_types(demo_book):
    from reports import frames
    from stock.survey.holdings import ReadyStock
    from stock.survey.targets import Target

    empty = ReadyStock(date(2026, 1, 1), Target(8.0, "8 %", True), (), (), 0)
    frame = frames.ready(empty)
    assert len(frame) == 0
    assert frame["mc_pct"].dtype == "float64"
    assert pd.api.types.is_datetime64_any_dtype(frame["last_weighed_on"])
    assert pd.api.types.is_string_dtype(frame["mark"])
    assert frames.counted(frame, "wood").empty


def test_a_report_of_an_empty_book_is_written(tmp_path, monkeypatch):
    monkeypatch.setenv("RICK_BOOK", str(tmp_path / "book.rick"))
    assert main(["book", "units", "metric"]) == 0
    assert report(tmp_path / "book.rick", tmp_path / "out") == 0
    assert (tmp_path / "out" / "ready.csv").read_text().count("\n") == 1
    assert (tmp_path / "out" / "ready.pdf").read_bytes().startswith(b"%PDF")


def test_a_report_is_not_written_over_another_unless_told_to(demo_book, tmp_path, capsys):
    assert report(demo_book, tmp_path / "out") == 0
    before = (tmp_path / "out" / "ready.csv").stat().st_mtime_ns
    assert report(demo_book, tmp_path / "out") == 3
    assert "--force" in capsys.readouterr().err
    assert (tmp_path / "out" / "ready.csv").stat().st_mtime_ns == before
    assert report(demo_book, tmp_path / "out", "--force") == 0
    assert not [p for p in (tmp_path / "out").iterdir() if p.name.endswith(".new")]


def test_a_folder_that_cannot_be_is_told(demo_book, tmp_path, capsys):
    (tmp_path / "file").write_text("x")
    assert report(demo_book, tmp_path / "file") == 5
    assert "nothing can be written" in capsys.readouterr().err


def test_dollar_signs_and_markup_in_names_stay_text(tmp_path, monkeypatch):
    monkeypatch.setenv("RICK_BOOK", str(tmp_path / "book.rick"))
    words = ["add", "--kind", "blank", "--square", "51mm", "--length", "330mm", "--place", "shed $x_1$ <b>"]
    assert main([*words, "--tag", "=cmd()"]) == 0
    assert main(["weigh", "1B", "500g"]) == 0
    assert main(["report", "ready", "--to", str(tmp_path / "out")]) == 0


def test_nothing_heavy_is_loaded_until_a_report_is_asked_for(tmp_path):
    code = "import reports, sys; print(sorted(m for m in ('pandas', 'matplotlib') if m in sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout.strip() == "[]"
