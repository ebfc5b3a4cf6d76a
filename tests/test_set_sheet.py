"""The marking sheet: what stands on it, that it fits its page, and that the same set gives the same bytes."""

import shutil
from datetime import date
from pathlib import Path

import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg

from reports import set_sheet, style
from reports.end_grain import End
from stock.cli import main

ROOT = Path(__file__).parent.parent
TODAY = date(2026, 11, 25)
FACES_OF_CORNER = {1: (1, 2), 2: (2, 3), 3: (3, 0), 4: (0, 1)}  # the sides of each square that lie inside the block


@pytest.fixture(scope="module")
def yard(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("yard") / "book.rick"
    assert main(["--book", str(path), "book", "import", str(ROOT / "demo_data")], today=TODAY) == 0
    return path


@pytest.fixture
def rick(yard, tmp_path, capsys):
    book = tmp_path / "book.rick"
    shutil.copy(yard, book)

    def run(*words):
        code = main(["--book", str(book), *words], today=TODAY)
        out, err = capsys.readouterr()
        return code, out, err

    return run


@pytest.fixture
def sheets(monkeypatch):
    """The sheets that were asked to be written."""
    caught = []
    real = set_sheet.write

    def write(sheet, folder, *, force=False):
        caught.append(sheet)
        return real(sheet, folder, force=force)

    monkeypatch.setattr(set_sheet, "write", write)
    return caught


def held(rick, *more):
    stave = ("--square", "44mm", "--length", "200mm", "--species", "sugar maple")
    assert rick("match", *stave, *more, "--keep", "1", "--as", "tall vase")[0] == 0


def test_the_sheet_says_what_the_set_is(rick, sheets, tmp_path):
    held(rick, "--pattern", "alternating")
    code, out, _ = rick("report", "set", "Tall Vase", "--to", str(tmp_path / "bench"))
    assert code == 0
    assert [Path(line).name for line in out.splitlines()] == ["marking-sheet.pdf", "marking-sheet.png"]
    (sheet,) = sheets
    assert "44 mm (1 3/4 in) square, 200 mm (7 7/8 in) long, alternating: heart and sap" in sheet.lines[0]
    assert [end.part for end in sheet.ends] == ["heart", "sap", "heart", "sap"]
    assert [row[1].split()[0] for row in sheet.cuts] == [end.mark for end in sheet.ends]
    assert [row[0] for row in sheet.joints] == ["1 to 2", "2 to 3", "3 to 4", "4 to 1"]
    assert any("paper or end-glued joint" in line for line in sheet.cautions)
    assert any("knife-edged" in line for line in sheet.cautions)


def test_the_drawing_has_the_faces_where_the_table_says(rick, sheets, tmp_path):
    held(rick)
    rick("report", "set", "tall vase", "--to", str(tmp_path / "bench"))
    (sheet,) = sheets
    for end, cut in zip(sheet.ends, sheet.cuts, strict=True):
        inward = cut[5].partition("corner ")[2][:2]
        assert sorted(end.side_of(face) for face in inward) == sorted(FACES_OF_CORNER[end.corner])
    for first, (corner, following) in zip(sheet.joints, ((1, 2), (2, 3), (3, 4), (4, 1)), strict=True):
        here, there = (part.strip()[0] for part in first[1].split(" against "))
        one, other = (next(e for e in sheet.ends if e.corner == c) for c in (corner, following))
        assert (one.side_of(here) - other.side_of(there)) % 4 == 2  # they look at each other


def test_all_of_it_fits_the_page(rick, sheets, tmp_path):
    held(rick)
    rick("report", "set", "tall vase", "--to", str(tmp_path / "bench"))
    with style.look():
        page = set_sheet.page(sheets[0])
        renderer = FigureCanvasAgg(page).get_renderer()
        boxes = [text.get_window_extent(renderer) for text in page.texts]
    assert min(box.y0 for box in boxes) > 0.03 * page.bbox.height
    assert max(box.x1 for box in boxes) < 0.97 * page.bbox.width


def test_the_same_set_gives_the_same_bytes(rick, tmp_path):
    held(rick)
    for folder in ("one", "two"):
        rick("report", "set", "tall vase", "--to", str(tmp_path / folder))
    for name in set_sheet.FILES:
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()


def test_a_broken_set_says_so_on_its_sheet(rick, sheets, tmp_path):
    held(rick)
    mark = rick("ready", "--json")[1].split('"sets"')[1].split('"mark": "')[1][:3]
    rick("defect", mark, "ring", "shake")
    rick("report", "set", "tall vase", "--to", str(tmp_path / "bench"))
    assert sheets[0].notes[0].startswith("This set is broken: ")
    rick("out", mark, "--as", "firewood")
    code, _, err = rick("report", "set", "tall vase", "--to", str(tmp_path / "other"))
    assert code == 3
    assert "has lost" in err


@pytest.mark.parametrize(
    ("words", "code", "part"),
    [
        (("report", "set", "--to", "x"), 2, "which set"),
        (("report", "set", "bowl", "--to", "x"), 3, "bowl"),
        (("report", "set", "tall vase"), 2, "folder"),
        (("report", "ready", "tall vase", "--to", "x"), 2, "no name"),
        (("report", "sets", "--to", "x"), 3, "sets"),
    ],
)
def test_what_cannot_be_drawn_is_said(rick, monkeypatch, tmp_path, words, code, part):
    monkeypatch.chdir(tmp_path)
    got, _, err = rick(*words)
    assert got == code
    assert part in err


def test_a_stave_turned_end_for_end_has_its_faces_the_other_way_round():
    assert [End(1, "1B", 0).side_of(face) for face in "ABCD"] == [0, 1, 2, 3]
    assert [End(1, "1B", 0, flipped=True).side_of(face) for face in "ABCD"] == [0, 3, 2, 1]
    assert [End(1, "1B", 90).side_of(face) for face in "ABCD"] == [1, 2, 3, 0]
