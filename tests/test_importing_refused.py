"""Bad notebooks: every bad line is named with its file, number and value, and nothing of the folder is stored."""

from collections.abc import Callable
from pathlib import Path

import pytest

from stock.errors import BadLines, Exit, StockError
from stock.yard.importing import import_folder
from tests.conftest import Pages
from tests.notebooks import PIECES, TREES, WEIGHINGS, chain, rows, write

Refused = Callable[..., list[str]]


@pytest.fixture
def refused(page: Pages, book: Path, tmp_path: Path) -> Refused:
    """refused(files): the bad lines; nothing was stored."""

    def bad(files: dict[str, str], **how: str) -> list[str]:
        before = {table: rows(book, table) for table in ("entry", "piece", "weighing", "place", "series")}
        with pytest.raises(BadLines) as caught, page("import") as written:
            import_folder(written, write(tmp_path / "bad", files), **how)  # type: ignore[arg-type]
        assert {table: rows(book, table) for table in before} == before
        assert caught.value.exit_code == Exit.REFUSED
        return list(caught.value.lines)

    return bad


@pytest.fixture
def folder_refused(page: Pages, book: Path) -> Callable[..., str]:
    """folder_refused(folder): the refusal of the whole, with its way out; nothing was stored."""

    def whole(folder: Path, **how: str) -> str:
        with pytest.raises(StockError) as caught, page("import") as written:
            import_folder(written, folder, **how)  # type: ignore[arg-type]
        assert not rows(book, "entry")
        assert "\n".join(getattr(caught.value, "lines", ())) or caught.value.hint
        return " | ".join([caught.value.message, *getattr(caught.value, "lines", ()), caught.value.hint])

    return whole


def test_every_bad_line_of_every_file_is_named_at_once(refused: Refused) -> None:
    lines = refused(
        {
            "trees": TREES + "T2,gum,2024,\n",
            "pieces": PIECES + "S3,H1,plank,,2024-03-20,51,51,320,,,,,\nS4,Q9,blank,,2024-03-20,51,x,320,,,,,\n",
            "weighings": WEIGHINGS + "S1,2024-03-22,-5\nS1,2027-01-01,5\nZ9,2024-03-22,5\n",
        }
    )
    assert [line.partition(": ")[0] for line in lines] == [
        "trees.csv line 3",
        "pieces.csv line 6",
        "pieces.csv line 7",
        "weighings.csv line 5",
        "weighings.csv line 6",
        "weighings.csv line 7",
    ]


def test_the_head_says_how_many_of_how_many(page: Pages, tmp_path: Path) -> None:
    files = chain(weighings=WEIGHINGS + "Z9,2024-03-22,5\n")
    with pytest.raises(BadLines, match="1 of 9 lines cannot be taken; nothing stored"), page() as written:
        import_folder(written, write(tmp_path / "n", files))


# Numbers


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("nan", "not a finite number"),
        ("NaN", "not a finite number"),
        ("inf", "not a finite number"),
        ("-Infinity", "not a finite number"),
        ("1e400", "without powers of ten"),
        ("9" * 60, "not a number"),
        ("99999999999", "cannot be: a weight is above zero"),
        ("-5", "cannot be: a weight is above zero"),
        ("0", "cannot be: a weight is above zero"),
        ("0.0", "cannot be: a weight is above zero"),
        ("5O0", "a letter for a digit"),
        ("408 g", "write the number alone"),
        ("1 lb 8 oz", "write the number alone"),
        ("1 1/2", "as a decimal number"),
        ("4.0.8", "not a number"),
        ("0x10", "write the number alone"),
        ("\u0664\u0660\u0668", "not a number"),
        ("", "mass_g is empty"),
    ],
)
def test_a_weight_that_is_none(refused: Refused, text: str, said: str) -> None:
    (line,) = refused(chain(weighings=f"piece,on,mass_g\nS1,2024-03-21,{text}\n"))
    assert line.startswith("weighings.csv line 2: mass_g")
    assert said in line
    assert text[:40] in line


@pytest.mark.parametrize("text", ["1,250", "1,250,000", "1.250,5"])
def test_a_comma_that_may_be_a_thousands_mark(refused: Refused, text: str) -> None:
    (line,) = refused(chain(weighings=f'piece,on,mass_g\nS1,2024-03-21,"{text}"\n'))
    assert f'mass_g "{text}"' in line


def test_a_decimal_comma_that_was_not_quoted(refused: Refused) -> None:
    (line,) = refused(chain(weighings="piece,on,mass_g\nS1,2024-03-21,40,8\n"))
    assert line.startswith("weighings.csv line 2: it has 4 fields, the header has 3")


def test_a_decimal_comma_that_ran_into_the_scales(refused: Refused) -> None:
    (line,) = refused(chain(weighings="piece,on,mass_g,scales\nS1,2024-03-21,40,8\n"))
    assert 'weighings.csv line 2: scales "8" is no name of scales; is a decimal comma behind mass_g?' in line


@pytest.mark.parametrize(
    ("file", "header", "line", "said"),
    [
        ("pieces", "tag,parent_tag,kind,made_on,width_mm", "P,,blank,2024,-51", 'width_mm "-51" cannot be'),
        ("pieces", "tag,parent_tag,kind,made_on,ring_deg", "P,,blank,2024,91", 'ring_deg "91" cannot be'),
        ("pieces", "tag,parent_tag,kind,made_on,order_no", "P,,blank,2024,1.5", 'order_no "1.5" is not a whole'),
        ("pieces", "tag,parent_tag,kind,made_on,part", "P,,blank,2024,core", 'part "core" is none of: heart, sap'),
        ("pieces", "tag,parent_tag,kind,made_on,place", "P,,blank,2024,shed /", '"shed /" is not the name of a place'),
        ("pieces", "tag,parent_tag,kind,made_on", "P,,tree,2024", "a tree goes into trees.csv"),
        ("pieces", "tag,parent_tag,kind,made_on", "P,,,2024", "kind is empty"),
        ("air", "place,on,temp_c,rh_pct", "shed,2024-01-01,20,101", 'rh_pct "101" cannot be'),
        ("air", "place,on,temp_c,rh_pct", "shed,2024-01-01,20,0.65", 'rh_pct "0.65": percent is wanted'),
        ("air", "place,on,temp_c,rh_pct", "shed,2024-01-01,300,50", 'temp_c "300" cannot be'),
        ("air", "place,on,temp_c,rh_pct", "shed,,20,50", "either on is a date"),
        ("air", "place,month,temp_c,rh_pct", "shed,13,20,50", 'month "13" cannot be: a month is 1 to 12'),
        ("places", "place,cover,walk_no", "shed,cosy,1", 'cover "cosy" is none of: open, roofed'),
        ("scales", "scales,unit,step_g", "kitchen,stone,1", 'unit "stone" is none of: g, kg'),
        ("settings", "name,value,on", "target,wet,2024-01-01", '"wet" is not a value of target'),
    ],
)
def test_a_cell_that_cannot_be(refused: Refused, file: str, header: str, line: str, said: str) -> None:
    (told,) = refused({file: f"{header}\n{line}\n"})
    assert told.startswith(f"{file}.csv line 2: ")
    assert said in told


@pytest.mark.parametrize(
    ("file", "header", "line", "said"),
    [
        ("sections", "piece,on,wet_g,dry_g", "S1,2024-04-01,40,49.9", '"49.9"'),
        ("sections", "piece,on,wet_g,dry_g", "S1,2024-04-01,,49.9", "wet_g is empty"),
        ("sections", "piece,on,wet_g,dry_g,before_g", "S1,2024-04-01,60,40,60", "before_g"),
        ("sections", "piece,on,wet_g,dry_g,before_g,after_g", "S1,2024-04-01,60,40,500,600", '"600"'),
        ("sections", "piece,on,wet_g,dry_g,length_mm", "S1,2024-04-01,60,40,340", 'length_mm "340": S1 had 320 mm'),
        ("sections", "piece,on,wet_g,dry_g,dried_on", "S1,2024-04-01,60,40,2024-03-01", 'dried_on "2024-03-01"'),
        ("trims", "piece,on,length_mm", "S1,2024-04-01,400", 'length_mm "400": S1 had 320 mm before it was trimmed'),
        ("trims", "piece,on,length_mm", "S1,2024-04-01,", "nothing says what was trimmed"),
        ("trims", "piece,on,length_mm,butt_off_mm", "S1,2024-04-01,,330", "330 mm cannot come off it"),
        ("trims", "piece,on,length_mm,before_g,after_g", "S1,2024-04-01,300,500,510", '"510" after and "500" before'),
        ("trims", "piece,on,length_mm", "T1,2024-04-01,300", "is a tree"),
        ("planes", "piece,on,width_mm", "S1,2024-04-01,60", 'width_mm "60": S1 had 51 mm'),
        ("treatments", "piece,on,how", "S1,2024-04-01,varnish", 'how "varnish" is none of'),
        ("seals", "piece,on,coat,where", "S1,2024-04-01,wax,top", 'where "top" is none of: ends, all, face'),
        ("defects", "piece,on,kind", "S1,2024-04-01,woodworms", 'no defect is called "woodworms"'),
        ("defects", "piece,on,kind,end,length_mm", "S1,2024-04-01,end check,top,400", '"400"'),
        ("figures", "piece,on,trait", "S1,2024-04-01,", "neither a trait nor"),
        ("meters", "piece,on,reading_pct", "S1,2024-04-01,", "reading_pct is empty"),
        ("moves", "piece,on,place", "S1,2024-04-01,", "place is empty"),
        ("departures", "piece,on,outcome", "S1,2024-04-01,burnt", 'outcome "burnt" is none of: used, given'),
        ("opinions", "piece,on,species", "T1,2024-04-01,gum", "sweetgum"),
    ],
)
def test_what_is_said_of_a_piece_and_cannot_be(refused: Refused, file: str, header: str, line: str, said: str) -> None:
    (told,) = refused(chain(**{file: f"{header}\n{line}\n"}))
    assert told.startswith(f"{file}.csv line 2: ")
    assert said in told


# Woods


def test_an_ambiguous_wood_is_refused_with_its_candidates(refused: Refused) -> None:
    (line,) = refused({"trees": "tag,species,felled_on\nT1,gum,2024\n"})
    assert line.startswith("trees.csv line 2: species")
    assert '"gum"' in line
    assert "sweetgum" in line
    assert "tupelo" in line
    assert "or write unknown" in line


def test_a_wood_that_goes_by_no_name_is_refused(refused: Refused) -> None:
    (line,) = refused({"trees": "tag,species,felled_on\nT1,blakc chery,2024\n"})
    assert '"blakc chery"' in line
    assert "black cherry" in line


def test_a_blank_of_another_wood_than_its_tree(refused: Refused) -> None:
    (line,) = refused(chain(pieces=PIECES.replace("S2,H1,blank,,", "S2,H1,blank,sugar maple,")))
    assert line.startswith("pieces.csv line 5: ")
    assert 'species "sugar maple": T1, which it came from, is black cherry' in line


def test_two_blanks_of_one_nameless_tree_that_differ(refused: Refused) -> None:
    (line,) = refused(
        {
            "pieces": "tag,parent_tag,kind,made_on,species\nL1,,log,2024,\n"
            "A,L1,blank,2025,black cherry\nB,L1,blank,2025,sugar maple\n"
        }
    )
    assert line.startswith("pieces.csv line 4: ")


# Dates


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("2026-06-02", "has not come yet"),
        ("2027", "has not come yet"),
        ("2024-02-30", "2024-02-30"),
        ("03/04/2024", "03/04/2024"),
        ("last week", "last week"),
        ("1024-01-01", "1024"),
        ("", "on is empty"),
    ],
)
def test_a_date_that_is_none(refused: Refused, text: str, said: str) -> None:
    """Trap T13."""
    (line,) = refused(chain(weighings=f"piece,on,mass_g\nS1,{text},500\n"))
    assert line.startswith("weighings.csv line 2: on")
    assert said in line


def test_a_blank_made_before_its_tree_came_down(refused: Refused) -> None:
    """Trap T13: felled 2023-05, blank cut 2022-11."""
    lines = refused(
        {
            "trees": "tag,species,felled_on\nT1,,2023-05\n",
            "pieces": "tag,parent_tag,kind,made_on\nS1,T1,blank,2022-11\n",
        }
    )
    assert lines[0].startswith("pieces.csv line 2: T1 cut into S1 in November 2022")
    assert "May 2023" in lines[0]


def test_dates_that_only_may_contradict_are_taken(page: Pages, book: Path, tmp_path: Path) -> None:
    files = {
        "trees": "tag,species,felled_on\nT1,,spring 2024\n",
        "pieces": "tag,parent_tag,kind,made_on\nS1,T1,blank,2024-03-02\n",
    }
    with page() as written:
        import_folder(written, write(tmp_path / "n", files))
    assert len(rows(book, "piece")) == 2


def test_a_weighing_before_the_piece_was_made(refused: Refused) -> None:
    (line,) = refused(chain(weighings="piece,on,mass_g\nS1,2024-03-19,600\n"))
    assert line.startswith("weighings.csv line 2: S1 weighed on 19 March 2024")


def test_a_weighing_after_the_piece_went_out(refused: Refused) -> None:
    (line,) = refused(
        chain(
            weighings="piece,on,mass_g\nS1,2025-02-01,500\n",
            departures="piece,on,outcome\nS1,2025-01-01,firewood\n",
        )
    )
    assert line.startswith("weighings.csv line 2: S1 weighed")
    assert "firewood" in line


def test_a_blank_sawn_from_a_billet_that_was_used_up_before(page: Pages, refused: Refused, tmp_path: Path) -> None:
    with page() as written:
        import_folder(written, write(tmp_path / "first", chain()))
    (line,) = refused({"pieces": "tag,parent_tag,kind,made_on\nS9,H1,blank,2025-01-01\n"})
    assert line.startswith("pieces.csv line 2: H1 cut into S9 on 1 January 2025, but it was cut up on 20 March 2024")


# The chain


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("X,Q9,blank,2024-04-01,,", 'parent_tag no piece "Q9"'),
        ("X,H-1,blank,2024-04-01,,", "H1"),
        ("X,S1,log,2024-04-01,,", 'parent_tag "S1" is a blank: no log comes from one'),
        ("X,X,blank,2024-04-01,,", "it would come from itself: X from X"),
        ("S1,H1,blank,2024-04-01,,", 'the tag "S1" is on pieces.csv line 4 already'),
        ("t1,H1,blank,2024-04-01,,", 'the tag "t1" is on trees.csv line 2 already'),
        ('"two\nlines",H1,blank,2024-04-01,,', "a tag is one line of text"),
        ("X,S1,blank,2024-04-01,330,", 'length_mm "330" is more than S1 has, which it came from: 320 mm'),
        ("X,,blank,2024-04-01,330,12Q", 'mark "12Q" is not a mark'),
        ("X,,blank,2024-04-01,330,T3D", "the mark T3D is not one of a blank"),
        ("X,L1,block,2024-04-01,,", "a block is glued from staves"),
    ],
)
def test_a_piece_that_cannot_be_of_the_chain(refused: Refused, line: str, said: str) -> None:
    header = "tag,parent_tag,kind,made_on,length_mm,mark"
    known = ["L1,T1,log,2024-03-10,1000,", "H1,L1,billet,2024-03-12,1000,", "S1,H1,blank,2024-03-20,320,"]
    told = refused({"trees": TREES, "pieces": "\n".join([header, *known, line])})
    assert told[0].startswith("pieces.csv line 5: ")
    assert said in told[0]
    assert len(told) == 1


def test_two_pieces_that_come_from_each_other(refused: Refused) -> None:
    lines = refused({"pieces": "tag,parent_tag,kind,made_on\nA,B,blank,2024\nB,A,blank,2024\nC,A,blank,2024\n"})
    assert "pieces.csv line 2: it would come from itself: A from B from A" in lines[0]


def test_what_is_said_of_a_piece_on_a_bad_line_is_not_told_as_well(refused: Refused) -> None:
    pieces = PIECES.replace("L1,T1,log,,2024-03-10", "L1,T1,log,,2024-03-1O")
    lines = refused({"trees": TREES, "pieces": pieces, "weighings": WEIGHINGS})
    assert [line.partition(": ")[0] for line in lines] == ["pieces.csv line 2"]


def test_a_tag_that_is_on_a_piece_of_the_book(page: Pages, refused: Refused, tmp_path: Path) -> None:
    """Trap T10."""
    with page() as written:
        import_folder(written, write(tmp_path / "first", chain()))
    lines = refused(chain())
    assert [line.partition(": ")[0] for line in lines] == ["trees.csv line 2", "pieces.csv line 4", "pieces.csv line 5"]
    assert 'the tag "S1" is on 3D already' in lines[1]


def test_a_mark_that_is_on_the_book(page: Pages, refused: Refused, tmp_path: Path) -> None:
    """Trap T10."""
    with page() as written:
        import_folder(written, write(tmp_path / "first", chain()))
    (line,) = refused({"pieces": "tag,parent_tag,kind,made_on,mark\nX,,blank,2024,3D\n"})
    assert "3D is on the book already" in line


def test_a_tag_that_would_read_as_the_mark_of_another_piece(refused: Refused) -> None:
    """The second piece of a new book is 2C: a notebook in which the first is called 2C cannot be read back."""
    (line,) = refused({"pieces": "tag,parent_tag,kind,made_on\n2C,,blank,2024\nB,,blank,2024\n"})
    assert line.startswith('pieces.csv line 2: the tag "2C" would read as the mark of another piece')


def test_more_length_than_there_was(refused: Refused) -> None:
    logs = "L,,log,2024-01-01,1000\nA,L,log,2024-02-01,600\nB,L,log,2024-02-01,600\n"
    (line,) = refused({"pieces": f"tag,parent_tag,kind,made_on,length_mm\n{logs}"})
    assert line.startswith("pieces.csv line 4: the lengths cut from L add up to 1200 mm; it has 1000 mm")


def test_more_wood_than_there_was(refused: Refused) -> None:
    """Story 25: volume out is not above volume in."""
    header = "tag,parent_tag,kind,made_on,width_mm,thickness_mm,length_mm"
    blanks = [f"S{n},H,blank,2024-02-01,60,60,500" for n in range(5)]
    (line,) = refused({"pieces": "\n".join([header, "H,,billet,2024-01-01,120,120,500", *blanks])})
    assert line.startswith("pieces.csv line 7: ")
    assert "9 litres" in line


def test_unknown_pieces_give_the_near_tags(refused: Refused) -> None:
    (line,) = refused(chain(weighings="piece,on,mass_g\nS-1,2024-03-21,600\n"))
    assert line == 'weighings.csv line 2: no piece "S-1". Nearest tags: S1.'


def test_many_unknown_pieces_do_not_take_long_to_name(refused: Refused) -> None:
    weighed = "\n".join(f"nobody {n},2024-03-21,600" for n in range(3000))
    assert len(refused(chain(weighings=f"piece,on,mass_g\n{weighed}\n"))) == 3000


def test_normals_that_contradict(refused: Refused) -> None:
    (line,) = refused({"air": "place,month,temp_c,rh_pct\nshed,1,2,80\nShed,1,2,80\nshed,1,3,80\n"})
    assert line.startswith("air.csv line 4: month 1 of shed stands on air.csv line 2, with other air")


def test_a_label_of_a_section_twice(refused: Refused) -> None:
    (line,) = refused(chain(sections="piece,on,wet_g,dry_g,label\nS1,2024-04-01,60,40,A\nS1,2024-05-01,60,40,a\n"))
    assert line.startswith('sections.csv line 3: S1 has a section "a" already')


# Whole files and folders


def test_no_such_folder(folder_refused: Callable[..., str], tmp_path: Path) -> None:
    assert "there is no folder" in folder_refused(tmp_path / "nowhere")


def test_a_file_in_place_of_the_folder(folder_refused: Callable[..., str], book: Path) -> None:
    assert "is a file, not a folder" in folder_refused(book)


def test_a_folder_with_none_of_the_files_names_them(folder_refused: Callable[..., str], tmp_path: Path) -> None:
    told = folder_refused(write(tmp_path / "n", {"shopping": "what\nwax\n"}))
    assert "has none of the files of a notebook" in told
    for name in ("trees.csv", "pieces.csv", "weighings.csv", "sections.csv", "air.csv", "defects.csv"):
        assert name in told


def test_two_files_whose_names_differ_by_case(folder_refused: Callable[..., str], tmp_path: Path) -> None:
    folder = write(tmp_path / "n", {"trees": TREES, "TREES": TREES})
    if len(list(folder.iterdir())) < 2:
        pytest.skip("names of files do not differ by case here")
    assert "has both" in folder_refused(folder)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "trees.csv is empty"),
        (b"\xef\xbb\xbf", "trees.csv is empty"),
        (TREES.replace(",", ";").encode(), 'Give --delimiter ";"'),
        (TREES.replace("churchyard", "caf\xe9").encode("latin-1"), "trees.csv line 2 is not UTF-8 text"),
        (TREES.replace("felled_on", "date").encode(), "trees.csv lacks the column felled_on; found: tag, species"),
        (TREES.replace("site", "tag").encode(), "has the column tag twice"),
        (TREES.replace("1,", "\0,").encode(), "trees.csv line 2 holds a zero byte"),
        (b"PK\x03\x04", "trees.csv is a workbook"),
        (TREES.replace("church", '"church').encode(), "trees.csv line 2: "),
    ],
)
def test_a_file_that_cannot_be_read(
    folder_refused: Callable[..., str], tmp_path: Path, content: bytes, said: str
) -> None:
    folder = write(tmp_path / "n", {"pieces": PIECES})
    (folder / "trees.csv").write_bytes(content)
    assert said in folder_refused(folder)


def test_several_files_that_cannot_be_read_are_all_named(folder_refused: Callable[..., str], tmp_path: Path) -> None:
    told = folder_refused(write(tmp_path / "n", {"trees": "", "pieces": PIECES.replace(",", ";")}))
    assert "2 files of" in told
    assert "trees.csv is empty" in told
    assert "pieces.csv is written with semicolons" in told


def test_a_folder_in_place_of_a_file(folder_refused: Callable[..., str], tmp_path: Path) -> None:
    folder = write(tmp_path / "n", {})
    (folder / "trees.csv").mkdir()
    assert "is a folder, not a CSV file" in folder_refused(folder)
