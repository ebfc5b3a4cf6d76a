"""A notebook typed into a spreadsheet comes in: the chain, the weights, what was done, and what is odd about it."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import event
from sqlalchemy.engine import Engine

from stock.book.journal import Hand, writing
from stock.yard.importing import Imported, import_folder
from tests.conftest import Pages
from tests.notebooks import PIECES, TREES, WEIGHINGS, chain, pieces, rows, write
from tests.said import TODAY

Take = Callable[..., Imported]
Hands = Callable[..., Hand]
DEMO = Path(__file__).parent.parent / "demo_data"


@pytest.fixture
def take(page: Pages, tmp_path: Path) -> Take:
    """take(trees=..., pieces=...): import such files as one entry."""

    def taken(files: dict[str, str], name: str = "notebook", **how: str) -> Imported:
        with page("import") as written:
            return import_folder(written, write(tmp_path / name, files), **how)  # type: ignore[arg-type]

    return taken


def test_the_chain_is_on_the_book(take: Take, book: Path) -> None:
    told = take(chain(weighings=WEIGHINGS))
    assert told.files == {"trees.csv": 1, "pieces.csv": 4, "weighings.csv": 3}
    assert [one.tag for one in told.pieces] == ["T1", "L1", "H1", "S1", "S2"]
    known = pieces(book, TODAY)
    blank = known["S1"]
    assert (blank.kind, blank.wood.scientific, blank.place) == ("blank", "Prunus serotina", "shed / rack 2")
    assert (blank.size.width_mm, blank.size.length_mm, blank.look.part, blank.look.ring_deg) == (51, 320, "heart", 15)
    assert blank.look.traits == {"curl"}
    assert blank.made.from_butt_mm == 20
    assert [known[tag].made.order_no for tag in ("S1", "S2")] == [1, 2]
    assert len(rows(book, "entry")) == 1


def test_what_was_cut_up_is_not_on_hand(take: Take, book: Path) -> None:
    take(chain())
    known = pieces(book, TODAY)
    assert {tag: piece.gone for tag, piece in known.items()} == {
        "T1": "",
        "L1": "split",
        "H1": "sawn up",
        "S1": "",
        "S2": "",
    }
    kinds = {(row.kind, row.ends_piece) for row in rows(book, "operation")}
    assert kinds == {("crosscut", False), ("split", True), ("saw", True)}


def test_a_billet_weighed_after_its_blanks_were_sawn_is_still_there(take: Take, book: Path) -> None:
    take(chain(weighings="piece,on,mass_g\nH1,2024-03-20,18000\nH1,2024-04-20,9000\n"))
    assert pieces(book, TODAY)["H1"].on_hand


def test_a_billet_weighed_on_the_day_it_was_sawn_is_gone(take: Take, book: Path) -> None:
    take(chain(weighings="piece,on,mass_g\nH1,2024-03-20,18000\n"))
    assert pieces(book, TODAY)["H1"].gone == "sawn up"


@pytest.mark.parametrize(
    ("parent", "child", "kind"),
    [
        ("P,,log,2024-01-01,1000", "C,P,log,2024-01-02,400", "crosscut"),
        ("P,,log,2024-01-01,1000", "C,P,billet,2024-01-02,1000", "split"),
        ("P,,billet,2024-01-01,1000", "C,P,billet,2024-01-02,1000", "split"),
        ("P,,billet,2024-01-01,1000", "C,P,billet,2024-01-02,400", "crosscut"),
        ("P,,log,2024-01-01,1000", "C,P,blank,2024-01-02,1000", "saw"),
        ("P,,blank,2024-01-01,1000", "C,P,blank,2024-01-02,400", "crosscut"),
        ("P,,blank,2024-01-01,1000", "C,P,blank,2024-01-02,1000", "saw"),
    ],
)
def test_how_a_piece_was_made_follows_from_the_kinds(
    take: Take, book: Path, parent: str, child: str, kind: str
) -> None:
    take({"pieces": f"tag,parent_tag,kind,made_on,length_mm\n{parent}\n{child}\n"})
    assert [(row.kind, row.ends_piece) for row in rows(book, "operation")] == [(kind, True)]


def test_an_offcut_does_not_use_its_piece_up(take: Take, book: Path) -> None:
    take({"pieces": "tag,parent_tag,kind,made_on\nP,,blank,2024-01-01\nO,P,offcut,2024-02-01\n"})
    assert pieces(book, TODAY)["P"].on_hand


def test_a_parent_may_come_later_in_the_file(take: Take, book: Path) -> None:
    header, *lines = PIECES.splitlines()
    take({"trees": TREES, "pieces": "\n".join([header, *reversed(lines)])})
    known = pieces(book, TODAY)
    assert known["S1"].made.parent_id == known["H1"].id
    assert known["L1"].made.parent_id == known["T1"].id


def test_pieces_of_the_book_are_found_by_tag_and_by_mark(take: Take, book: Path) -> None:
    take(chain())
    mark = pieces(book, TODAY)["L1"].mark
    take(
        {
            "pieces": f"tag,parent_tag,kind,made_on\nH2,{mark},billet,2024-03-12\nX,H2,blank,2024-05-01\n",
            "weighings": "piece,on,mass_g\nS1,2024-06-01,500\n",
        },
        "second",
    )
    known = pieces(book, TODAY)
    assert known["H2"].made.parent_id == known["L1"].id
    assert known["H2"].made.order_no == 2
    assert len(rows(book, "weighing")) == 1


def test_marks_go_in_the_order_of_the_lines(take: Take) -> None:
    assert [one.mark for one in take(chain()).pieces] == ["T1B", "1B", "2C", "3D", "4E"]


@pytest.mark.parametrize("species", ["", "unknown", "?"])
def test_an_unknown_wood_is_a_full_citizen(take: Take, book: Path, species: str) -> None:
    take({"trees": f"tag,species,felled_on\nT1,{species},2024\n"})
    assert pieces(book, TODAY)["T1"].wood.scientific == "unknown"


def test_a_wood_that_only_a_blank_tells_is_that_of_its_tree(take: Take, book: Path) -> None:
    told = take(
        {
            "trees": "tag,species,felled_on\nT1,,2024\n",
            "pieces": "tag,parent_tag,kind,made_on,species\nL1,T1,log,2024,\nS1,L1,blank,2025,black cherry\n",
        }
    )
    assert pieces(book, TODAY)["L1"].wood.name == "black cherry"
    assert "S1 is black cherry is taken as said of its tree" in " ".join(told.warnings)


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("2024-04-13", date(2024, 4, 13), date(2024, 4, 13)),
        ("2024-04", date(2024, 4, 1), date(2024, 4, 30)),
        ("spring 2024", date(2024, 3, 1), date(2024, 5, 31)),
        ("before 2024-05-03", None, date(2024, 5, 2)),
    ],
)
def test_dates_keep_what_is_known_of_them(take: Take, book: Path, text: str, first: date | None, last: date) -> None:
    """Trap T13."""
    take({"trees": f"tag,species,felled_on\nT1,,{text}\n"})
    (row,) = rows(book, "piece")
    assert (row.on_first, row.on_last, row.on_text) == (first, last, text)


def test_a_sheet_typed_days_later_has_the_dates_of_its_lines(take: Take, book: Path) -> None:
    """Trap T16."""
    take(chain(weighings=WEIGHINGS))
    assert {row.on_last for row in rows(book, "weighing")} == {date(2024, 3, 21), date(2024, 5, 21)}


def test_dates_with_slashes_follow_the_order_told(take: Take, book: Path) -> None:
    take({"trees": "tag,species,felled_on\nT1,,03/04/2024\n"}, date_order="day-first")
    assert rows(book, "piece")[0].on_last == date(2024, 4, 3)


def test_dates_with_slashes_follow_the_settings_of_the_folder(take: Take, book: Path) -> None:
    take(
        {
            "settings": "name,value,on\ndates,month-first,2024-01-01\nhemisphere,south,2024-01-01\n",
            "trees": "tag,species,felled_on\nT1,,03/04/2024\nT2,,spring 2024\n",
        }
    )
    assert [row.on_last for row in rows(book, "piece")] == [date(2024, 3, 4), date(2024, 11, 30)]


def test_a_piece_without_a_date_was_there_before_it_was_spoken_of(take: Take, book: Path) -> None:
    told = take(
        {
            "pieces": "tag,parent_tag,kind,made_on\nL1,,log,\nS1,L1,blank,\n",
            "weighings": "piece,on,mass_g\nS1,2023-02-01,500\nS1,2022-02-01,600\n",
        }
    )
    assert [(row.on_first, row.on_last) for row in rows(book, "piece")] == [(None, date(2022, 2, 1))] * 2
    assert "2 pieces have no date" in told.warnings[0]


def test_the_text_typed_and_the_note_are_kept(take: Take, book: Path) -> None:
    take(chain(weighings='piece,on,mass_g,note\nS1,2024-03-21,600.0,"wet, after rain"\n'))
    (row,) = rows(book, "weighing")
    assert row.typed == {"mass_g": "600.0", "note": "wet, after rain"}
    assert row.step_g == pytest.approx(0.1)


def test_semicolons_with_decimal_commas(take: Take, book: Path) -> None:
    files = {name: text.replace(",", ";") for name, text in chain().items()}
    take({**files, "weighings": "piece;on;mass_g\nS1;2024-03-21;600,5\n"}, delimiter=";")
    assert rows(book, "weighing")[0].mass_g == 600.5


def test_latin_1_when_told(page: Pages, book: Path, tmp_path: Path) -> None:
    folder = write(tmp_path / "n", {})
    (folder / "trees.csv").write_bytes(TREES.replace("churchyard", "caf\xe9").encode("latin-1"))
    with page() as written:
        import_folder(written, folder, encoding="latin-1")
    assert rows(book, "tree")[0].site == "caf\xe9 wall"


def test_the_same_line_twice_is_kept_and_told(take: Take, book: Path) -> None:
    """Trap T20."""
    told = take(chain(weighings="piece,on,mass_g\nS1,2024-03-21,600\nS1,2024-03-21,600\n"))
    assert len(rows(book, "weighing")) == 2
    assert "weighings.csv line 3" in " ".join(told.warnings)
    assert "both are kept" in " ".join(told.warnings)


def test_a_spreadsheet_that_grew_adds_only_what_is_new(take: Take, book: Path) -> None:
    take(chain(weighings=WEIGHINGS))
    told = take({"weighings": WEIGHINGS + "S2,2024-05-21,515\n"}, "again")
    assert len(rows(book, "weighing")) == 4
    assert "3 of 4 weighings are on the book already" in told.warnings[0]


def test_a_doubtful_weight_comes_in_with_a_warning(take: Take, book: Path) -> None:
    """Trap T5: 452 typed for 542."""
    told = take(chain(weighings="piece,on,mass_g\nS1,2025-03-01,543\nS1,2025-04-01,542\nS1,2025-05-01,425\n"))
    assert len(rows(book, "weighing")) == 3
    assert any("425 g" in warning for warning in told.warnings)


def test_a_section_is_a_cut_with_the_weights_around_it(take: Take, book: Path) -> None:
    take(
        chain(
            sections="piece,on,wet_g,dry_g,label,before_g,after_g,length_mm\nS1,2024-03-21,62.0,38.0,A,600,530,290\n",
            weighings="piece,on,mass_g\nS1,2024-03-21,530\n",
        )
    )
    (section,) = rows(book, "section")
    (oven,) = rows(book, "oven")
    before, after, plain = rows(book, "weighing")
    (operation,) = [row for row in rows(book, "operation") if row.kind == "section"]
    assert (section.wet_g, section.label, oven.mass_g, oven.final) == (62, "A", 38, True)
    assert [(row.role, row.operation_id) for row in (before, after)] == [
        ("before", operation.id),
        ("after", operation.id),
    ]
    assert (plain.role, plain.operation_id) == ("none", None)
    assert section.operation_id == operation.id
    assert pieces(book, TODAY)["S1"].size.length_mm == 290


def test_two_slices_of_one_cut_take_the_weight_away_once(take: Take, book: Path) -> None:
    take(
        chain(
            sections="piece,on,wet_g,dry_g,before_g,after_g\n"
            "S1,2024-03-21,31,19,600,530\nS1,2024-03-21,32,19.5,600,530\nS1,2024-06-21,30,20,500,465\n"
        )
    )
    cuts = [row for row in rows(book, "operation") if row.kind == "section"]
    assert len(cuts) == 2
    assert [row.operation_id for row in rows(book, "section")] == [cuts[0].id, cuts[0].id, cuts[1].id]
    assert [row.label for row in rows(book, "section")] == ["1", "2", "3"]
    assert len(rows(book, "weighing")) == 4


def test_a_section_still_in_the_oven_has_no_dry_weight(take: Take, book: Path) -> None:
    take(chain(sections="piece,on,wet_g,dry_g\nS1,2024-03-21,62,\n"))
    assert len(rows(book, "section")) == 1
    assert rows(book, "oven") == []


def test_the_acts_of_a_day_are_in_the_order_in_which_they_are_done(take: Take, book: Path) -> None:
    take(
        chain(
            seals="piece,on,coat,before_g,after_g\nS1,2024-03-21,wax,500,507\n",
            trims="piece,on,length_mm,before_g,after_g\nS1,2024-03-21,270,530,500\n",
            sections="piece,on,wet_g,dry_g,before_g,after_g,length_mm\nS1,2024-03-21,62,38,600,530,290\n",
        )
    )
    done = [row for row in rows(book, "operation") if row.kind not in ("crosscut", "split", "saw")]
    assert [row.kind for row in sorted(done, key=lambda row: row.row_no)] == ["section", "trim", "coat on"]
    weights = sorted(rows(book, "weighing"), key=lambda row: row.row_no)
    assert [row.mass_g for row in weights] == [600, 530, 530, 500, 500, 507]
    known = pieces(book, TODAY)["S1"]
    assert known.size.length_mm == 270
    assert known.coat is not None


def test_a_trim_of_which_only_an_end_is_told_makes_it_so_much_shorter(take: Take, book: Path) -> None:
    take(chain(trims="piece,on,length_mm,butt_off_mm\nS1,2024-04-01,,30\nS1,2024-05-01,,20\n"))
    assert pieces(book, TODAY)["S1"].size.length_mm == 270


def test_a_trim_takes_the_check_at_its_end_away(take: Take, book: Path) -> None:
    take(
        chain(
            defects="piece,on,kind,end,length_mm,note\n"
            "S1,2024-03-25,end check,butt,20,hairline\nS1,2024-03-25,end check,top,45,\n"
            "S2,2024-03-25,end check,top,10,\n",
            trims="piece,on,length_mm,butt_off_mm,top_off_mm\nS1,2024-04-01,270,20,30\n",
        )
    )
    known = pieces(book, TODAY)
    assert [(d.end, d.length_mm) for d in known["S1"].defects] == [("top", 15)]
    assert [(d.end, d.length_mm) for d in known["S2"].defects] == [("top", 10)]
    assert "hairline" in [row.typed.get("note") for row in rows(book, "defect")]


def test_a_second_look_is_of_the_same_defect(take: Take, book: Path) -> None:
    take(
        chain(defects="piece,on,kind,end,length_mm\nS1,2024-09-01,end check,butt,26\nS1,2024-04-01,end check,butt,20\n")
    )
    (defect,) = pieces(book, TODAY)["S1"].defects
    assert defect.length_mm == 26


def test_a_piece_that_went_out_gives_its_tag_free(take: Take, book: Path) -> None:
    take(
        chain(
            departures="piece,on,outcome,reason\nS1,2025-01-01,firewood,split\n"
            "S2,2025-01-01,lost,\nS2,2025-03-01,back,found behind the rack\n"
        )
    )
    known = pieces(book, TODAY)
    assert known["3D"].gone == "firewood"
    assert known["S2"].on_hand
    take({"pieces": "tag,parent_tag,kind,made_on\nS1,,blank,2025-06-01\n"}, "later")
    assert pieces(book, TODAY)["S1"].mark == "5F"


def test_air_is_a_reading_or_the_normal_of_a_month(take: Take, book: Path) -> None:
    take(
        {
            "air": "place,on,month,temp_c,rh_pct\nshed / rack 2,2024-05-01,,12,70\nshed,,1,-2.5,80\n",
            "places": "place,cover,walk_no,note\nshed,unheated,1,the north side is open\n",
        }
    )
    reading, normal = rows(book, "air")
    assert (reading.source, reading.temp_c, reading.month) == ("reading", 12, None)
    assert (normal.source, normal.temp_c, normal.month) == ("normals", -2.5, 1)
    assert [(row.name, row.cover) for row in rows(book, "place")] == [("shed", "unheated"), ("shed / rack 2", None)]


def test_scales_named_in_passing_are_made(take: Take, book: Path) -> None:
    told = take(
        chain(
            scales="scales,unit,step_g,capacity_g\nkitchen,g,1,5000\n",
            weighings="piece,on,mass_g,scales\nS1,2024-03-21,600,Kitchen\nS2,2024-03-21,600,old beam\n",
        )
    )
    assert [row.name for row in rows(book, "scales")] == ["kitchen", "old beam"]
    assert [row.scales_id for row in rows(book, "weighing")] == [1, 2]
    assert '"old beam" are new' in " ".join(told.warnings)


def test_weights_before_and_after_may_stand_among_the_weighings(take: Take, book: Path) -> None:
    take(
        chain(
            weighings="piece,on,mass_g,role\nS1,2024-04-01,600,before\nS1,2024-04-01,560,after\n",
            trims="piece,on,length_mm\nS1,2024-04-01,300\n",
        )
    )
    (trim,) = [row for row in rows(book, "operation") if row.kind == "trim"]
    assert {(row.role, row.operation_id) for row in rows(book, "weighing")} == {
        ("before", trim.id),
        ("after", trim.id),
    }


def test_what_else_can_be_done_to_wood(take: Take, book: Path) -> None:
    take(
        chain(
            planes="piece,on,width_mm,thickness_mm,before_g,after_g\nS1,2024-05-01,48,48,560,500\n",
            treatments="piece,on,how\nS2,2024-05-01,spalt\n",
            meters="piece,on,reading_pct,wood_c\nS2,2024-04-01,35,20\nS2,2025-04-01,14,20\n",
            sizes="piece,on,width_mm\nS2,2025-04-01,50\n",
            opinions="piece,on,species,sure\nT1,2025-01-01,bird cherry,certain\n",
            scale_checks="scales,on,true_g,read_g\nkitchen,2024-01-01,500,501\n",
            scales="scales,unit,step_g\nkitchen,g,1\n",
        )
    )
    known = pieces(book, TODAY)
    assert (known["S1"].size.width_mm, known["S1"].size.surface, known["S2"].size.width_mm) == (48, "planed", 50)
    assert known["S1"].wood.said == "bird cherry"
    assert [(row.reading_pct, row.beyond) for row in rows(book, "meter_reading")] == [(None, "above"), (14, None)]
    assert {row.kind for row in rows(book, "operation")} >= {"plane", "decay"}
    assert len(rows(book, "scales_check")) == 1


def test_files_and_columns_that_are_not_read_are_told(take: Take, tmp_path: Path) -> None:
    told = take({"trees": "tag,species,felled_on,height_m\nT1,,2024,12\n", "shopping": "what\nwax\n"})
    assert "trees.csv: columns that are not read: height_m." in told.warnings
    assert "files that are not read: shopping.csv." in told.warnings


def test_a_folder_of_headers_changes_nothing(take: Take, book: Path) -> None:
    assert take({"trees": "tag,species,felled_on\n"}).files == {"trees.csv": 0}
    assert rows(book, "entry") == []


def test_a_dry_run_counts_and_stores_nothing(book: Path, hand: Hands, tmp_path: Path) -> None:
    with writing(book, hand("import", dry_run=True)) as page:
        told = import_folder(page, write(tmp_path / "n", chain(weighings=WEIGHINGS)))
    assert told.files["weighings.csv"] == 3
    assert rows(book, "piece") == []
    assert [row.last_number for row in rows(book, "series")] == [0, 0, 0]


def test_file_names_in_capitals(take: Take, book: Path, page: Pages, tmp_path: Path) -> None:
    folder = write(tmp_path / "capitals", {})
    (folder / "TREES.CSV").write_text(TREES)
    with page() as written:
        import_folder(written, folder)
    assert len(rows(book, "tree")) == 1


def test_the_demo_notebook_comes_in(book: Path, tmp_path: Path, hand: Hands) -> None:
    today = date(2026, 11, 25)
    with writing(book, hand("import", today=today)) as page:
        told = import_folder(page, DEMO)
    known = pieces(book, today)
    assert told.files["pieces.csv"] == sum(piece.kind != "tree" for piece in known.values())
    assert all(piece.gone for piece in known.values() if piece.kind == "log")
    assert not [warning for warning in told.warnings if "not read" in warning]


def test_an_import_asks_the_book_no_more_for_more_lines(book: Path, hand: Hands, tmp_path: Path) -> None:
    """Questions do not grow with the lines: as many for 2 blanks as for 60."""

    def questions(blanks: int, name: str) -> int:
        header = PIECES.splitlines()[0]
        lines = [f"X{n}{name},,blank,,2024-03-20,51,51,320,heart,,15,,shed" for n in range(blanks)]
        weighed = [f"X{n}{name},2024-0{month}-21,{600 - month}" for month in range(4, 9) for n in range(blanks)]
        seals = [f"X{n}{name},2024-03-21,wax" for n in range(blanks)]
        files = {
            "pieces": "\n".join([header, *lines]),
            "weighings": "\n".join(["piece,on,mass_g", *weighed]),
            "seals": "\n".join(["piece,on,coat", *seals]),
        }
        count = 0

        def counted(_connection: object, _cursor: object, statement: str, *_: object) -> None:
            nonlocal count
            count += statement.startswith("SELECT")

        event.listen(Engine, "before_cursor_execute", counted)
        try:
            with writing(book, hand("import")) as page:
                import_folder(page, write(tmp_path / name, files))
        finally:
            event.remove(Engine, "before_cursor_execute", counted)
        return count

    assert questions(2, "a") == questions(60, "b") > 0
