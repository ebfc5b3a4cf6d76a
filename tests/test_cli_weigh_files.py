"""rick weigh --from: a sheet typed up after the walk, whole or not at all, every bad line named."""

from pathlib import Path

import pytest
from desk_side import Rick
from found import rows
from stocked import SISTERS, copied, refused

from tests.unprivileged import unprivileged


@pytest.fixture
def rick(tmp_path: Path, monkeypatch, capsys) -> Rick:
    return Rick(copied(SISTERS, tmp_path / "own" / "book.rick"), monkeypatch, capsys)


def weighings(rick: Rick) -> list[tuple]:
    return [(row["mass_g"], row["on_text"]) for row in rows(rick.book, "weighing") if row["role"] == "none"]


@pytest.fixture
def sheet(tmp_path):
    def write(text: str | bytes, name: str = "weighings.csv") -> str:
        path = tmp_path / name
        path.write_bytes(text.encode() if isinstance(text, str) else text)
        return str(path)

    return write


GOOD = "piece,on,mass\n2C,2026-05-20,399g\n3D,2026-05-21,439 g\n2C,2026-05-28,398g\n"


def test_a_file_is_one_entry(rick, sheet):
    before = rick.entries()
    said = rick.done("weigh", "--from", sheet(GOOD), "--note", "walk of May")
    assert rick.entries() == before + 1
    assert rows(rick.book, "entry")[-1]["note"] == "walk of May"
    assert said.out.splitlines()[0] == "3 weighings of 2 pieces, the last of 28 May 2026"
    assert weighings(rick)[-3:] == [(399.0, "2026-05-20"), (439.0, "2026-05-21"), (398.0, "2026-05-28")]


def test_t16_each_line_of_a_file_has_its_own_date(rick, sheet):
    rick.done("weigh", "--from", sheet("piece,on,mass\n2C,2026-05-20,399g\n2C,yesterday,398g\n3D,May 2026,439g\n"))
    found = [(row["on_first"].isoformat(), row["on_last"].isoformat()) for row in rows(rick.book, "weighing")[-3:]]
    assert found == [("2026-05-20",) * 2, ("2026-05-31",) * 2, ("2026-05-01", "2026-05-31")]


def test_units_scales_and_notes_of_a_file(rick, sheet):
    rick.done("scales", "postal", "--step", "0.1oz", "--unit", "oz")
    note = "[x] [/y] :wood: <script>"
    text = f"Piece,On,Mass,Unit,Scales,Note\n2C,2026-05-20,14.1,,postal,{note}\n3D,2026-05-20,0.44,kg,,=cmd()\n"
    rick.done("weigh", "--from", sheet(text + "2C,2026-05-21,399 g,g,,\n"))
    first, second, third = rows(rick.book, "weighing")[-3:]
    assert first["mass_g"] == pytest.approx(14.1 * 28.349523125)
    assert first["typed"] == {"mass_g": "14.1", "note": note}
    assert (second["mass_g"], second["typed"]) == (440.0, {"mass_g": "0.44 kg", "note": "=cmd()"})
    assert third["typed"]["mass_g"] == "399 g"


def test_scales_of_the_whole_sheet(rick, sheet):
    rick.done("scales", "kitchen", "--step", "1g")
    rick.done("weigh", "--from", sheet("piece,on,mass\n2C,2026-05-20,399\n"), "--scales", "kitchen")
    assert rows(rick.book, "weighing")[-1]["scales_id"] == rows(rick.book, "scales")[-1]["id"]


def test_every_bad_line_is_named_with_its_number_and_nothing_is_stored(rick, sheet):
    text = (
        "piece,on,mass,unit\n"
        "2C,2026-05-20,399,g\n"
        '2C,2026-05-21,"O,5 kg",\n'
        "K-7b,2026-05-21,400,g\n"
        "3D,03/04/2026,440,g\n"
        "3D,2027-04-03,440,g\n"
        "3D,2026-05-21,nan,g\n"
        "3D,2026-05-21,-440,g\n"
        "3D,2026-05-21,inf,\n"
        "3D,,440,g\n"
        ",2026-05-21,440,g\n"
        "3D,2026-05-21,,g\n"
        "3D,2023-05-21,440,g\n"
        "3D,2026-05-21,440,stone\n"
        "3D,2026-05-21,440 g,oz\n"
    )
    said = refused(rick, "weigh", "--from", sheet(text))
    assert said.code == 3
    first, *lines = said.err.splitlines()
    assert first == "rick: weighings.csv, 13 of 14 lines cannot be taken; nothing stored."
    assert [line.split(":")[0].strip() for line in lines] == [f"line {number}" for number in range(3, 16)]
    told = dict(enumerate(lines, 3))
    assert '"O,5 kg": a letter O for a zero?' in told[3]
    assert 'no piece "K-7b"' in told[4]
    assert "03/04/2026 is two dates. Write 2026-04-03, or give --dates day-first." in told[5]
    assert "3 April 2027 has not come yet" in told[6]
    assert '"nan": not a number' in told[7]
    assert '"-440 g": a weight cannot be negative' in told[8]
    assert "on is empty" in told[10]
    assert "piece is empty" in told[11]
    assert "mass is empty" in told[12]
    assert "3D weighed on 21 May 2023" in told[13]
    assert "stone" in told[14]
    assert '"440 g" has a unit of its own' in told[15]
    lines_told = rick("weigh", "--from", sheet(text), "--json").json["lines"]
    assert len(lines_told) == 13


def test_dates_with_slashes_are_read_as_told(rick, sheet):
    name = sheet("piece,on,mass\n2C,03/05/2026,399g\n")
    rick.done("weigh", "--from", name, "--dates", "day-first")
    assert rows(rick.book, "weighing")[-1]["on_last"].isoformat() == "2026-05-03"
    assert '"backwards" is no order of dates' in refused(rick, "weigh", "--from", name, "--dates", "backwards").err
    rick.done("book", "set", "dates", "month-first")
    rick.done("weigh", "--from", sheet("piece,on,mass\n2C,05/03/2026,399g\n"))
    assert rows(rick.book, "weighing")[-1]["on_last"].isoformat() == "2026-05-03"


@pytest.mark.parametrize(
    ("content", "told", "way_out"),
    [
        ("mark,date,weight\n2C,2026-05-20,399g\n", "lacks the columns piece, on, mass", "piece,on,mass"),
        ("piece,on,weight\n2C,2026-05-20,399g\n", "lacks the column mass", "piece,on,mass"),
        ("piece;on;mass\n2C;2026-05-20;399g\n", "is written with semicolons", "--delimiter"),
        ("piece\ton\tmass\n2C\t2026-05-20\t399g\n", "is written with tabs", "--delimiter tab"),
        ("piece,on,mass,note\n2C,2026-05-20,399g,séché\n".encode("latin-1"), "is not UTF-8 text", "--encoding latin-1"),
        ("piece,on,mass\n".encode("utf-16"), "UTF-16", "--encoding utf-16"),
        (b"", "is empty", "piece,on,mass"),
        (b"\n\n", "is empty", "piece,on,mass"),
        ("piece,on,mass\n", "has no lines below its header", "Nothing was stored"),
        (b"PK\x03\x04rest", "is a workbook or a zip file", "CSV"),
        ('piece,on,mass\n2C,2026-05-20,"399g\n', "line 2: a quote that opens here is never closed", "twice"),
        (b"piece,on,mass\n2C,2026-05-20,3\x0099g\n", "zero byte", "CSV"),
    ],
)
def test_a_file_that_cannot_be_read_says_what_would_read_it(rick, sheet, content, told, way_out):
    said = refused(rick, "weigh", "--from", sheet(content))
    assert said.code == 3
    assert told in said.err.splitlines()[0]
    assert "weighings.csv" in said.err
    assert way_out in said.err


def test_the_options_so_named_read_it(rick, sheet):
    rick.done("weigh", "--from", sheet("\ufeffpiece,on,mass\n2C,2026-05-20,399g\n"))
    rick.done("weigh", "--from", sheet("piece;on;mass\n2C;2026-05-21;399,5 g\n"), "--delimiter", ";")
    latin = "piece,on,mass,note\n2C,2026-05-22,399g,séché\n".encode("latin-1")
    rick.done("weigh", "--from", sheet(latin), "--encoding", "latin-1")
    assert [mass for mass, _ in weighings(rick)[-3:]] == [399.0, 399.5, 399.0]
    assert rows(rick.book, "weighing")[-1]["typed"]["note"] == "séché"


def test_a_folder_or_nothing_in_place_of_the_file(rick, tmp_path):
    assert "is a folder, not a CSV file" in refused(rick, "weigh", "--from", str(tmp_path)).err
    assert "there is no file" in refused(rick, "weigh", "--from", str(tmp_path / "none.csv")).err


@unprivileged
def test_a_file_that_may_not_be_read(rick, sheet, tmp_path):
    name = sheet(GOOD)
    Path(name).chmod(0)
    assert "cannot be read: permission denied" in refused(rick, "weigh", "--from", name).err


def test_a_file_takes_no_date_and_no_pieces_besides(rick, sheet):
    for words in (["--on", "yesterday"], ["--state", "rain"], ["--step", "1g"], ["2C", "399g"]):
        assert refused(rick, "weigh", "--from", sheet(GOOD), *words).code == 2


def test_a_file_tried_first_stores_nothing(rick, sheet):
    before = rick.entries()
    said = rick.done("weigh", "--from", sheet(GOOD), "--dry-run")
    assert "3 weighings of 2 pieces" in said.out
    assert rick.entries() == before


def test_t07_a_swap_in_a_file_is_warned_of_and_taken(rick, sheet):
    said = rick.done("weigh", "--from", sheet("piece,on,mass\n2C,2026-06-01,440g\n3D,2026-06-01,400g\n"))
    assert "2C (440 g) and 3D (400 g) look swapped" in " ".join(said.err.split())
    assert "2 unlike what was expected: kept; look at them above" in said.out
    assert all(len(line) <= 80 for line in said.lines)


def test_columns_that_are_not_known_are_told(rick, sheet):
    said = rick.done("weigh", "--from", sheet("piece,on,mass,mood\n2C,2026-05-20,399g,fine\n"))
    assert "not read: the column mood" in said.err


def test_a_file_as_json(rick, sheet):
    said = rick.done("weigh", "--from", sheet(GOOD), "--json")
    document = said.json
    assert (document["count"], document["pieces"], document["last_on"]) == (3, ["2C", "3D"], "2026-05-28")
