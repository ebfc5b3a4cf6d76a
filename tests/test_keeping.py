"""The whole book out as a folder and back: equal to the last row, or refused and nothing touched."""

import csv
import json
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import update

from stock.book import keeping, opening
from stock.book.journal import Hand, Page, new_piece, writing
from stock.book.keeping import export
from stock.book.layout import FILES
from stock.book.records import (
    METADATA,
    BlockEvent,
    BlockStave,
    Departure,
    Place,
    Project,
    SetMember,
    SpeciesValue,
    StaveSet,
)
from stock.book.restoring import restore_json
from stock.book.whole import FILE as WHOLE
from stock.book.whole import TABLES, everything
from stock.errors import BookTrouble, NotNow, StockError
from stock.yard.importing import import_folder
from tests.conftest import Pages
from tests.notebooks import WEIGHINGS, chain, pieces, rows, write
from tests.said import TODAY
from tests.unprivileged import unprivileged

NOW = datetime(2026, 6, 1, tzinfo=UTC)
MORE = {
    "settings": "name,value,on\ntarget,8,2024-01-01\n",
    "scales": "scales,unit,step_g,capacity_g\nkitchen,g,1,5000\n",
    "scale_checks": "scales,on,true_g,read_g\nkitchen,2024-01-01,500,501\n",
    "places": "place,cover,walk_no,note\nshed,unheated,1,open to the north\nshop,heated,2,\n",
    "air": "place,on,month,temp_c,rh_pct\nshed,2024-05-01,,-2.5,70\nshop,,1,19,45\n",
    "opinions": "piece,on,species,sure,by_whom\nT1,2025-01-01,sugar maple,certain,=HYPERLINK(1)\n",
    "sizes": "piece,on,width_mm\nS2,2025-04-01,50\n",
    "figures": "piece,on,trait,face,run_out\nS1,2024-05-11,ray fleck,A,\nS2,2024-05-11,,,20\n",
    "weighings": WEIGHINGS.replace("mass_g", "mass_g,scales").replace("600", "600,kitchen")
    + "S2,2024-06-01,580,\nS2,2025-02-01,470.25,kitchen\n",
    "sections": "piece,on,wet_g,dry_g,label,before_g,after_g,length_mm,dried_on,end\n"
    "S1,2024-03-21,62.0,38.0,A,600,530,290,2024-03-23,top\n",
    "trims": "piece,on,length_mm,butt_off_mm,before_g,after_g\nS1,2024-06-01,270,20,500,466\n",
    "planes": "piece,on,width_mm,thickness_mm\nS2,2024-07-01,49,49\n",
    "seals": "piece,on,coat,where,before_g,after_g,wet,off,note\n"
    "S1,2024-06-02,wax emulsion,ends,466,475,yes,,two coats\n"
    "S1,2024-08-01,,ends,,,,yes,\n",
    "treatments": "piece,on,how\nS2,2024-08-01,spalt\n",
    "meters": "piece,on,reading_pct,wood_c,meter\nS2,2025-04-01,14,20,pins\nS2,2024-04-01,45,,\n",
    "defects": "piece,on,kind,end,length_mm,note\nS1,2024-03-25,end check,butt,15,hairline\n"
    "S1,2024-03-26,end check,top,60,\nS1,2025-03-26,end check,top,70,\n",
    "moves": "piece,on,place\nS1,2024-10-01,shop\n",
    "departures": 'piece,on,outcome,reason,to_whom\nS2,2025-06-01,given,"a bowl, small",+ the owner\n',
}


@pytest.fixture
def full(book: Path, page: Pages, tmp_path: Path) -> Path:
    """A book with something in every table."""
    with page("import") as written:
        import_folder(written, write(tmp_path / "notebook", chain(**MORE)))
    with page("later", note="what only later work writes") as written:
        _rest(written)
    with opening.writing(book) as connection:
        entry = METADATA.tables["entry"]
        connection.execute(update(entry).where(entry.c.id == 2).values(undoes_id=1, reason="a trial"))
    return book


def _rest(page: Page) -> None:
    day: dict[str, Any] = {"on_first": date(2026, 1, 1), "on_last": date(2026, 1, 1)}
    block = new_piece(page, "B", kind="block", **day)
    stave = new_piece(page, "", kind="blank", **day)
    assert block.id is not None
    assert stave.id is not None
    page.put(SpeciesValue(said="holly", property="basic_specific_gravity", value=0.5, unit="", source="own", **day))
    project = page.put(Project(name="tall vase", ask={"square_mm": 46, "by": ["part"]}, **day))
    stave_set = page.put(StaveSet(project_id=project, name="tall vase", **day))
    page.put(SetMember(set_id=stave_set, piece_id=stave.id, corner=1, **day))
    page.put(BlockStave(block_id=block.id, piece_id=stave.id, corner=1, flipped=True, **day))
    page.put(BlockEvent(block_id=block.id, kind="glue", joint="paper", glue="hide glue", **day))
    place = page.session.get(Place, 1)
    assert place is not None
    page.alter(place, walk_no=7)
    page.put(Departure(piece_id=stave.id, outcome=None, back_on=date(2026, 2, 1), **day))


def dump(path: Path) -> dict[str, list[dict[str, Any]]]:
    with opening.reading(path) as connection:
        return everything(connection)


def lines(folder: Path, name: str) -> list[dict[str, str]]:
    with (folder / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_the_test_book_fills_every_table(full: Path) -> None:
    assert set(METADATA.tables) == set(TABLES)
    assert [name for name, of in dump(full).items() if not of] == []


def test_a_book_comes_back_equal_to_the_last_row(full: Path, tmp_path: Path) -> None:
    told = export(full, tmp_path / "out")
    restored = restore_json(tmp_path / "again.rick", tmp_path / "out")
    assert dump(tmp_path / "again.rick") == dump(full)
    assert restored.rows == told.rows
    export(tmp_path / "again.rick", tmp_path / "out again")
    assert {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()} == {
        path.name: path.read_bytes() for path in (tmp_path / "out again").iterdir()
    }


def test_marks_go_on_where_they_were(full: Path, tmp_path: Path) -> None:
    export(full, tmp_path / "out")
    restore_json(tmp_path / "again.rick", tmp_path / "out")
    assert rows(tmp_path / "again.rick", "series") == rows(full, "series")


def test_it_goes_into_a_book_in_which_nothing_was_written(full: Path, tmp_path: Path) -> None:
    export(full, tmp_path / "out")
    empty = tmp_path / "empty.rick"
    opening.make(empty, NOW)
    restore_json(empty, tmp_path / "out")
    assert dump(empty) == dump(full)


def test_it_goes_into_no_book_that_holds_something(full: Path, tmp_path: Path) -> None:
    export(full, tmp_path / "out")
    before = dump(full)
    with pytest.raises(NotNow, match="holds something; a whole book goes into an empty one"):
        restore_json(full, tmp_path / "out")
    assert dump(full) == before


def test_a_dry_run_leaves_no_book(full: Path, tmp_path: Path) -> None:
    export(full, tmp_path / "out")
    assert restore_json(tmp_path / "again.rick", tmp_path / "out", dry_run=True).rows["piece"] == 7
    assert not list(tmp_path.glob("*again*"))
    empty = tmp_path / "empty.rick"
    opening.make(empty, NOW)
    before = dump(empty)
    restore_json(empty, tmp_path / "out", dry_run=True)
    assert dump(empty) == before


def test_the_csv_files_alone_bring_the_pieces_and_weights_back(full: Path, tmp_path: Path) -> None:
    """Without book.json, what the sheets have columns for: marks, tags, sizes, looks, places, woods, weights."""
    out = tmp_path / "out"
    export(full, out)
    (out / WHOLE).unlink()
    again = tmp_path / "again.rick"
    opening.make(again, NOW)
    _import(again, out)
    for table in (
        "weighing",
        "section",
        "oven",
        "air",
        "departure",
        "place",
        "scales",
        "scales_check",
        "meter_reading",
    ):
        assert len(rows(again, table)) == len(rows(full, table)), table
    old, new = pieces(full, TODAY), pieces(again, TODAY)
    assert list(new) == list(old)
    assert [(p.mark, p.size, p.look, p.place, p.gone, p.coat, p.wood, p.role) for p in new.values()] == [
        (p.mark, p.size, p.look, p.place, p.gone, p.coat, p.wood, p.role) for p in old.values()
    ]
    assert [[(d.kind, d.end, d.length_mm) for d in p.defects] for p in new.values()] == [
        [(d.kind, d.end, d.length_mm) for d in p.defects] for p in old.values()
    ]
    assert sorted(row.text for row in rows(again, "tag")) == sorted(row.text for row in rows(full, "tag"))
    weights = [(w.on_last, w.mass_g, w.role, w.step_g) for w in rows(full, "weighing")]
    assert sorted((w.on_last, w.mass_g, w.role, w.step_g) for w in rows(again, "weighing")) == sorted(weights)


def _import(path: Path, folder: Path) -> None:
    with writing(path, Hand("import", "", NOW, TODAY)) as written:
        import_folder(written, folder)


def test_every_file_is_there_and_says_what_is_in_it(full: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    told = export(full, out)
    assert sorted(path.name for path in out.iterdir()) == sorted([*FILES, WHOLE])
    assert told.files == {name: len(lines(out, name)) for name in FILES}
    assert [name for name, count in told.files.items() if not count] == []
    tree = lines(out, "trees.csv")[0]
    assert (tree["tag"], tree["mark"], tree["felled_on"], tree["species"]) == (
        "T1",
        "T1B",
        "2024-03-01",
        "black cherry",
    )
    blank = next(line for line in lines(out, "pieces.csv") if line["tag"] == "S1")
    assert (blank["parent_tag"], blank["figure"], blank["place"]) == ("2C", "curl", "shed / rack 2")
    section = lines(out, "sections.csv")[0]
    assert (section["before_g"], section["after_g"], section["dry_g"], section["length_mm"]) == (
        "600",
        "530",
        "38",
        "290",
    )
    assert section["dried_on"] == "2024-03-23"


def test_a_text_that_begins_like_a_formula_is_guarded_and_comes_back(full: Path, tmp_path: Path) -> None:
    """In a spreadsheet it must not run."""
    out = tmp_path / "out"
    export(full, out)
    assert lines(out, "opinions.csv")[0]["by_whom"] == "'=HYPERLINK(1)"
    assert lines(out, "departures.csv")[-1]["to_whom"] in ("'+ the owner", "")
    assert lines(out, "air.csv")[0]["temp_c"] == "-2.5"
    (out / WHOLE).unlink()
    again = tmp_path / "again.rick"
    opening.make(again, NOW)
    _import(again, out)
    assert "=HYPERLINK(1)" in [row.by_whom for row in rows(again, "opinion")]
    assert "+ the owner" in [row.to_whom for row in rows(again, "departure")]


def test_an_empty_book_goes_out_and_comes_back(book: Path, tmp_path: Path) -> None:
    export(book, tmp_path / "out")
    restore_json(tmp_path / "again.rick", tmp_path / "out")
    assert dump(tmp_path / "again.rick") == dump(book)


def test_dates_that_are_not_one_day_are_written_so_that_they_are_read_again(
    book: Path, page: Pages, tmp_path: Path
) -> None:
    texts = ["spring 2024", "2023-04", "2022", "before 2021-05-03", "today", "3 May 2021"]
    trees = "".join(f"T-{n},,{text}\n" for n, text in enumerate(texts))
    with page() as written:
        import_folder(written, write(tmp_path / "n", {"trees": f"tag,species,felled_on\n{trees}"}))
    export(book, tmp_path / "out")
    assert [line["felled_on"] for line in lines(tmp_path / "out", "trees.csv")] == [
        *texts[:4],
        TODAY.isoformat(),
        "2021-05-03",
    ]


# Refused


def test_a_folder_that_holds_something_is_left_alone(book: Path, tmp_path: Path) -> None:
    out = write(tmp_path / "out", {"pieces": "mine\n"})
    with pytest.raises(StockError, match=r"holds something already \(pieces\.csv\)"):
        export(book, out)
    assert (out / "pieces.csv").read_text() == "mine\n"
    assert [path.name for path in out.iterdir()] == ["pieces.csv"]


def test_force_replaces_our_files_and_keeps_the_others(book: Path, tmp_path: Path) -> None:
    out = write(tmp_path / "out", {"pieces": "mine\n", "shopping": "wax\n"})
    export(book, out, force=True)
    assert (out / "pieces.csv").read_text().startswith("tag,parent_tag,kind")
    assert (out / "shopping.csv").read_text() == "wax\n"
    assert sorted(path.name for path in out.iterdir()) == sorted([*FILES, WHOLE, "shopping.csv"])


def test_an_empty_folder_is_taken(book: Path, tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    export(book, tmp_path / "out")
    assert (tmp_path / "out" / WHOLE).exists()


def test_a_file_in_place_of_the_folder(book: Path) -> None:
    before = book.read_bytes()
    with pytest.raises(StockError, match="is a file, not a folder"):
        export(book, book, force=True)
    assert book.read_bytes() == before


def test_a_folder_in_place_of_a_file_of_it(book: Path, tmp_path: Path) -> None:
    (tmp_path / "out" / "air.csv").mkdir(parents=True)
    with pytest.raises(StockError, match=r"air\.csv is a folder; a file must go there"):
        export(book, tmp_path / "out", force=True)


def test_no_book_no_folder(tmp_path: Path) -> None:
    with pytest.raises(BookTrouble, match="there is no book"):
        export(tmp_path / "none.rick", tmp_path / "out")
    assert not (tmp_path / "out").exists()


@unprivileged
def test_a_folder_that_may_not_be_written(book: Path, tmp_path: Path) -> None:
    (tmp_path / "closed").mkdir(mode=0o500)
    with pytest.raises(StockError, match="nothing can be written to"):
        export(book, tmp_path / "closed" / "out")


def test_an_export_that_breaks_off_leaves_nothing(book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full_disk(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(keeping, "write_whole", full_disk)
    with pytest.raises(StockError, match="no space left on device"):
        export(book, tmp_path / "out")
    assert [path.name for path in tmp_path.iterdir()] == [book.name]


Damage = Callable[[dict[str, Any]], Any]


@pytest.mark.parametrize(
    ("damage", "said"),
    [
        (lambda d: d | {"format": "other"}, "is not the export of a book"),
        (lambda d: [d], "is not the export of a book"),
        (lambda d: d | {"step": 99}, "written by a newer rick (step 99"),
        (lambda d: d | {"step": "1"}, "lacks tables of a book"),
        (lambda d: d | {"tables": {k: v for k, v in d["tables"].items() if k != "air"}}, "lacks tables of a book"),
        (lambda d: _cell(d, "weighing", "mass_g", "heavy"), 'row 1 of weighing: "heavy" does not belong in mass_g'),
        (lambda d: _cell(d, "weighing", "mass_g", True), "does not belong in mass_g"),
        (lambda d: _cell(d, "weighing", "mass_g", -5), "book.json is damaged"),
        (lambda d: _cell(d, "weighing", "mass_g", None), "book.json is damaged"),
        (lambda d: _cell(d, "weighing", "on_last", "2024-13-01"), '"2024-13-01" does not belong in on_last'),
        (lambda d: _cell(d, "weighing", "piece_id", 999), "book.json is damaged"),
        (lambda d: _cell(d, "piece", "kind", "plank"), "book.json is damaged"),
        (lambda d: _cell(d, "piece", "colour", "red"), "row 1 of piece has not the columns of a book"),
        (lambda d: d["tables"]["piece"].append("x") or d, "has not the columns of a book"),
    ],
)
def test_a_damaged_book_json_is_refused_and_no_book_is_made(
    full: Path, tmp_path: Path, damage: Damage, said: str
) -> None:
    out = tmp_path / "out"
    export(full, out)
    document = damage(json.loads((out / WHOLE).read_text(encoding="utf-8")))
    (out / WHOLE).write_text(json.dumps(document), encoding="utf-8")
    with pytest.raises(StockError) as caught:
        restore_json(tmp_path / "again.rick", out)
    assert said in caught.value.message
    assert not list(tmp_path.glob("*again*"))


def _cell(document: dict[str, Any], table: str, column: str, value: object) -> dict[str, Any]:
    document["tables"][table][0][column] = value
    return document


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "is damaged"),
        (b"{", "is damaged"),
        (b'{"format": NaN}', "NaN is not a number"),
        (b"\xff\xfe", "is damaged"),
        (b"[" * 100_000, "is damaged"),
        (b"null", "is not the export of a book"),
    ],
)
def test_a_book_json_that_is_none(tmp_path: Path, content: bytes, said: str) -> None:
    (tmp_path / WHOLE).write_bytes(content)
    with pytest.raises(StockError, match=said):
        restore_json(tmp_path / "again.rick", tmp_path)
    assert not list(tmp_path.glob("*again*"))


def test_no_book_json(tmp_path: Path) -> None:
    with pytest.raises(StockError, match=r"book\.json cannot be read"):
        restore_json(tmp_path / "again.rick", tmp_path)
