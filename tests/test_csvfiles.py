"""A stranger's CSV file: read as it is meant, or refused with its name, the line and the way out."""

import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.book import csvfiles
from stock.book.csvfiles import Sheet
from stock.errors import StockError
from tests.unprivileged import unprivileged

NEEDED, KNOWN = ("piece", "on", "mass_g"), ("note", "scales")


def read(path: Path, content: str | bytes, **how: str) -> Sheet:
    path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
    return csvfiles.read(path, NEEDED, KNOWN, **how)


def refused(path: Path, content: str | bytes, **how: str) -> str:
    """The refusal and its way out, in one text; it names the file."""
    with pytest.raises(StockError) as caught:
        read(path, content, **how)
    assert caught.value.code == "bad-file"
    assert caught.value.exit_code == 3
    return f"{caught.value.message} | {caught.value.hint}"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "weighings.csv"


GOOD = "piece,on,mass_g\nC1-1,2025-03-08,408\n"


@pytest.mark.parametrize(
    "content",
    [
        GOOD,
        "\ufeff" + GOOD,
        GOOD.replace("\n", "\r\n"),
        GOOD.replace("\n", "\r"),
        "\n\n,,\n" + GOOD + "\n,,\n\n",
        "Mass_g , PIECE,on\n408,C1-1,2025-03-08",
        "mass g,piece,on\n408, C1-1 ,2025-03-08\n",
        'piece,on,mass_g,,\n"C1-1", "2025-03-08",408,,\n',
    ],
    ids=["plain", "byte-order mark", "CRLF", "CR", "blank lines", "any order", "spaces", "empty columns"],
)
def test_it_is_read_however_it_was_saved(path: Path, content: str) -> None:
    (line,) = read(path, content).lines
    assert dict(line.cells) == {"piece": "C1-1", "on": "2025-03-08", "mass_g": "408"}


def test_lines_have_the_numbers_of_an_editor(path: Path) -> None:
    sheet = read(path, 'piece,on,mass_g,note\n\nA,2025-01-01,1,"two\nlines"\nB,2025-01-01,2,\n')
    assert [line.number for line in sheet.lines] == [3, 5]
    assert sheet.lines[0].cells["note"] == "two\nlines"


def test_a_header_alone_is_a_sheet_of_no_lines(path: Path) -> None:
    sheet = read(path, "piece,on,mass_g\n")
    assert sheet.lines == ()
    assert sheet.bad == ()


def test_a_short_line_leaves_its_last_cells_empty(path: Path) -> None:
    (line,) = read(path, "piece,on,mass_g,note\nA,2025-01-01,1\n").lines
    assert line.cells["note"] == ""


def test_unknown_columns_are_listed_not_dropped_in_silence(path: Path) -> None:
    assert read(path, "piece,on,mass_g,colour,shelf\nA,2025-01-01,1,red,2\n").ignored == ("colour", "shelf")


def test_latin_1_is_refused_with_its_line_and_read_when_told(path: Path) -> None:
    content = "piece,on,mass_g,note\nA,2025-01-01,1,\nB,2025-01-01,1,trouv\xe9 hier\n".encode("latin-1")
    told = refused(path, content)
    assert "weighings.csv line 3 is not UTF-8" in told
    assert "--encoding latin-1" in told
    assert read(path, content, encoding="latin-1").lines[1].cells["note"] == "trouv\xe9 hier"


def test_windows_quotes_name_their_own_encoding(path: Path) -> None:
    content = "piece,on,mass_g,note\nA,2025-01-01,1,\u201cshed\u201d\n".encode("cp1252")
    assert "--encoding cp1252" in refused(path, content)
    assert read(path, content, encoding="cp1252").lines[0].cells["note"] == "\u201cshed\u201d"


def test_utf_16_is_named(path: Path) -> None:
    assert "--encoding utf-16" in refused(path, GOOD.encode("utf-16"))
    assert read(path, GOOD.encode("utf-16"), encoding="utf-16").lines[0].cells["piece"] == "C1-1"


def test_no_such_encoding(path: Path) -> None:
    assert '"klingon" is not an encoding' in refused(path, GOOD, encoding="klingon")
    assert '"hex" is not an encoding' in refused(path, GOOD, encoding="hex")


@pytest.mark.parametrize(("mark", "word", "option"), [(";", "semicolons", '";"'), ("\t", "tabs", "tab")])
def test_another_delimiter_is_refused_by_name_and_read_when_told(path: Path, mark: str, word: str, option: str) -> None:
    content = GOOD.replace(",", mark)
    told = refused(path, content)
    assert f"weighings.csv is written with {word}, not commas." in told
    assert f"--delimiter {option}" in told
    assert read(path, content, delimiter=option.strip('"')).lines[0].cells["mass_g"] == "408"


def test_commas_where_semicolons_were_told(path: Path) -> None:
    assert "written with commas, not semicolons" in refused(path, GOOD, delimiter=";")


def test_no_such_delimiter(path: Path) -> None:
    assert '"%" is not a delimiter' in refused(path, GOOD, delimiter="%")


def test_a_wrong_header_tells_what_is_missing_what_was_found_and_what_is_near(path: Path) -> None:
    told = refused(path, "pieces,date,mass\nC1-1,2025-03-08,408\n")
    assert "weighings.csv lacks the columns piece, on, mass_g; found: pieces, date, mass." in told
    assert "pieces for piece" in told
    assert "mass for mass_g" in told


def test_a_column_nearly_right_is_not_lost(path: Path) -> None:
    assert "column notes; was note meant?" in refused(path, "piece,on,mass_g,notes\nA,2025-01-01,1,wet\n")


def test_a_column_in_another_unit_is_not_lost(path: Path) -> None:
    path.write_text("piece,on,mass_g,length_in\nA,2025-01-01,1,12\n")
    with pytest.raises(StockError, match="has the column length_in; length_mm is read"):
        csvfiles.read(path, NEEDED, ("length_mm",))


def test_a_column_that_only_begins_like_another_is_just_not_read(path: Path) -> None:
    path.write_text("piece,on,mass_g,site_id\nA,2025-01-01,1,12\n")
    assert csvfiles.read(path, NEEDED, ("site_private",)).ignored == ("site_id",)


def test_a_column_twice(path: Path) -> None:
    assert "has the column mass_g twice" in refused(path, "piece,on,mass_g,Mass_g\nA,2025-01-01,1,2\n")


@pytest.mark.parametrize("content", ["", "\n\n  \n", "\ufeff"])
def test_an_empty_file(path: Path, content: str) -> None:
    assert "weighings.csv is empty" in refused(path, content)


def test_a_zero_byte_is_named_with_its_line(path: Path) -> None:
    assert "weighings.csv line 2 holds a zero byte" in refused(path, GOOD.replace("408", "4\x008"))


def test_a_workbook_is_named(path: Path) -> None:
    assert "is a workbook or a zip file, not CSV" in refused(path, b"PK\x03\x04rest")


@pytest.mark.parametrize("tail", ["", "B,2025-01-01,2,\n", 'B,2025-01-01,2,"wet"\n'])
def test_a_quote_that_is_never_closed_is_named_with_its_line(path: Path, tail: str) -> None:
    told = refused(path, f'piece,on,mass_g,note\nZ,2025-01-01,1,\nA,2025-01-01,1,"dry\n{tail}')
    assert "weighings.csv line 3: a quote that opens here is never closed" in told


def test_text_after_a_closing_quote(path: Path) -> None:
    told = refused(path, 'piece,on,mass_g,note\nA,2025-01-01,1,"2" thick\n')
    assert "weighings.csv line 2: there is text right after a closing quote" in told


def test_a_line_with_too_many_fields_is_a_bad_line(path: Path) -> None:
    sheet = read(path, "piece,on,mass_g\nA,2025-01-01,40,8\nB,2025-01-01,1\n")
    assert [line.cells["piece"] for line in sheet.lines] == ["B"]
    ((number, reason),) = sheet.bad
    assert number == 2
    assert "it has 4 fields, the header has 3" in reason


def test_no_such_file(tmp_path: Path) -> None:
    with pytest.raises(StockError, match=r"there is no file .*none\.csv"):
        csvfiles.read(tmp_path / "none.csv", NEEDED)


def test_a_folder_in_its_place(path: Path) -> None:
    path.mkdir()
    with pytest.raises(StockError, match="is a folder, not a CSV file"):
        csvfiles.read(path, NEEDED)


@unprivileged
def test_a_file_that_may_not_be_read(path: Path) -> None:
    path.write_text(GOOD)
    path.chmod(0)
    with pytest.raises(StockError, match="cannot be read: permission denied"):
        csvfiles.read(path, NEEDED)


def test_a_file_without_end_is_not_read_to_its_end(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(csvfiles, "MOST_BYTES", 1 << 20)
    told = refused(path, b"x" * (1 << 20) + b"x")
    assert "weighings.csv is larger than 1 MB" in told


@pytest.mark.skipif(sys.platform == "win32", reason="no /dev/zero")
def test_a_device_is_not_read_to_its_end(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(csvfiles, "MOST_BYTES", 1 << 20)
    with pytest.raises(StockError, match="larger than 1 MB"):
        csvfiles.read(Path("/dev/zero"), NEEDED)


@pytest.mark.parametrize("text", ["=1+1", "+49 30", "-", "@me", "'=1", "''@x", "'tis", "plain", ""])
def test_a_formula_is_guarded_and_comes_back(text: str) -> None:
    written = csvfiles.cell(text)
    assert csvfiles.unguarded(written) == text
    assert not written.startswith(("=", "+", "-", "@"))


@given(st.text())
def test_every_text_comes_back(text: str) -> None:
    assert csvfiles.unguarded(csvfiles.cell(text)) == text.strip() or text != text.strip()


@pytest.mark.parametrize(("value", "text"), [(408.0, "408"), (-2.5, "-2.5"), (True, "yes"), (None, ""), (0.1, "0.1")])
def test_values_as_they_are_written(value: object, text: str) -> None:
    assert csvfiles.cell(value) == text
