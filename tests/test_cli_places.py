"""rick move, air and out: where pieces are, what the air there does, and what left the stock."""

from pathlib import Path

import pytest
from desk_side import Rick
from found import piece, rows
from stocked import copied, refused

STOCK = (
    "book units metric",
    "add --kind billet --species 'black cherry' --square 150mm --length 700mm --place 'shed / rack 2' --on 2026-02-01",
    "saw 1B --blanks 4 --length 330mm --square 51mm --on 2026-02-02 --tags K-1+K-2+K-3+K-4",
    "move --place shed --cover unheated --walk 2",
    "move --place shop --cover heated --walk 1",
    "air shop --temp 21C --rh 45%",
)


@pytest.fixture
def rick(tmp_path: Path, monkeypatch, capsys) -> Rick:
    return Rick(copied(STOCK, tmp_path / "own" / "book.rick"), monkeypatch, capsys)


def places(rick: Rick) -> list[tuple]:
    return [(row["name"], row["cover"], row["walk_no"]) for row in rows(rick.book, "place")]


# Moving


def test_pieces_ranges_and_tags_are_moved_in_one_entry(rick):
    before = rick.entries()
    said = rick.done("move", "2-4", "K-4", "--to", "shop / low", "--on", "2026-05-30")
    assert rick.entries() == before + 1
    assert {piece(rick.book, mark).place for mark in ("2C", "3D", "4E", "5F")} == {"shop / low"}
    assert said.out.splitlines()[0] == "now in shop / low on 30 May 2026, from shed / rack 2: 2C, 3D, 4E, 5F"
    assert "new on the book: shop / low" in said.out
    assert len(said.out.splitlines()) <= 6
    assert all(len(line) <= 80 for line in said.lines)


def test_into_the_heat_the_clock_of_steadiness_starts_anew(rick):
    said = rick.done("move", "2C", "--to", "shop")
    assert "Heated: the clock of steadiness starts anew, and they will lose weight again." in said.out
    assert "the air there keeps wood near 8 %" in said.out
    assert "Caution: freshly moved wood stays wetter in the middle for weeks" in said.err
    inside = rick.done("move", "2C", "--to", "shop / low")
    assert "Heated" not in inside.out
    assert "Caution" not in inside.err
    assert "Heated" not in rick.done("move", "2C", "--to", "shed").out


def test_pieces_that_were_only_seen(rick):
    said = rick.done("move", "2C", "3D", "--to", "shop", "--seen")
    assert said.out == "seen in shop, from shed / rack 2: 2C, 3D\n"
    assert "2C was on record in shed / rack 2." in said.err
    assert [row["seen_only"] for row in rows(rick.book, "move")[-2:]] == [1, 1]
    assert "Caution" not in said.err


def test_a_place_is_told_of(rick):
    said = rick.done("move", "--place", "barn / loft", "--cover", "Roofed", "--walk", "3")
    assert said.out.splitlines()[0] == "barn / loft: roofed, turn 3"
    assert places(rick)[-2:] == [("barn", None, None), ("barn / loft", "roofed", 3)]
    assert rick.done("move", "--place", "shed", "--json").json["cover"] == "unheated"


def test_where_the_air_was_never_told_it_is_asked_for(rick):
    assert rick.done("move", "2C", "--to", "barn").out.splitlines()[-1] == (
        "Its air tells how dry wood gets there: rick air barn --temp 15C --rh 65%"
    )


def test_heavy_pieces_are_cautioned(rick):
    rick.done("add", "--kind", "log", "--dia", "450mm", "--length", "600mm", "--tag", "butt log")
    assert "Caution" not in rick.done("move", "butt log", "--to", "shed").err
    rick.done("weigh", "butt log", "88kg")
    assert "about 88 kg (194 lb)" in rick.done("move", "butt log", "2C", "--to", "barn").err


def test_a_move_as_json_and_as_a_dry_run(rick):
    before = rick.entries()
    document = rick.done("move", "K-1", "--to", "shop", "--json", "--dry-run").json
    assert document["pieces"] == [{"mark": "2C", "tag": "K-1", "was": "shed / rack 2"}]
    assert (document["place"], document["cover"], document["stored"]) == ("shop", "heated", False)
    assert rick.entries() == before


def test_a_move_before_the_piece_was_made_may_be_insisted_on(rick):
    assert "insist on it: --insist" in refused(rick, "move", "2C", "--to", "shop", "--on", "2025-01-01").err
    assert rick.done("move", "2C", "--to", "shop", "--on", "2025-01-01", "--insist").code == 0
    assert rick.done("out", "3D", "--as", "lost", "--on", "2025-01-01", "--insist").code == 0


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (["2C"], 2, "move takes pieces and a place"),
        (["--to", "shop"], 2, "move takes pieces and a place"),
        (["2C", "--to", "shop", "--cover", "heated"], 2, "--cover and --walk tell of a place"),
        (["2C", "--place", "shop"], 2, "--place tells of a place"),
        (["2C", "99H", "--to", "shop"], 3, "no piece 99H is on the book"),
        (["5-2", "--to", "shop"], 3, '"5-2" runs backwards'),
        (["1B", "--to", "shop"], 3, "1B was sawn up"),
        (["2C", "--to", "shed / "], 3, '"shed / " is not the name of a place'),
        (["2C", "--to", "shop", "--on", "2027-01-01"], 3, "has not come yet"),
        (["--place", "shop", "--cover", "warm"], 3, '"warm"'),
        (["--place", "shop", "--walk", "-1"], 3, '--walk "-1" is not a whole number'),
    ],
)
def test_bad_input_of_move(rick, words, code, told):
    held = rows(rick.book, "move")
    said = refused(rick, "move", *words)
    assert said.code == code
    assert told in said.err.splitlines()[0]
    assert rows(rick.book, "move") == held


# Air


def test_the_air_answers_with_the_moisture_it_keeps_wood_at(rick):
    said = rick.done("air", "shed / rack 2", "--temp", "59 F", "--rh", "65%")
    assert said.out.splitlines()[0].startswith("shed / rack 2: 15 C (59 F), 65 %: wood settles near 12")
    document = rick.done("air", "shed", "--temp", "21.1C", "--rh", "50", "--json").json
    # Wood Handbook FPL-GTR-282 (2021), table 4-2: 9.2 % at 70 degF and 50 %
    assert document["emc_pct"] == pytest.approx(9.2, abs=0.06)


def test_beyond_the_table_its_edge_is_taken_and_that_is_said(rick):
    said = rick.done("air", "shed", "--temp", "-10C", "--rh", "85%")
    assert "-10 C is beyond the handbook's table: its edge is taken." in said.err


def test_the_normal_of_a_month_has_no_year(rick):
    assert "in month 1" in rick.done("air", "shed", "--temp", "2C", "--rh", "88%", "--month", "1").out
    row = rows(rick.book, "air")[-1]
    assert (row["month"], row["source"]) == (1, "normals")


@pytest.fixture
def file(tmp_path):
    def write(text: str | bytes) -> str:
        path = tmp_path / "air.csv"
        path.write_bytes(text.encode() if isinstance(text, str) else text)
        return str(path)

    return write


def test_twelve_months_from_a_file(rick, file):
    lines = "".join(f"{month},{5 + month},{80 - month}\n" for month in range(1, 13))
    said = rick.done("air", "shed", "--from", file(f"month,temp_c,rh_pct\n{lines}"))
    assert said.out.splitlines()[0].startswith("shed: 12 months, in which wood would settle at 13 to 16 %")
    assert [row["month"] for row in rows(rick.book, "air")[1:]] == list(range(1, 13))


def test_a_loggers_file_with_times_of_day(rick, file):
    lines = ["On,Temp C,RH pct,Battery", "2026-05-01 06:00,12.5,71,ok", '2026-05-01T18:00:00,19.25,"55,5",ok']
    said = rick.done("air", "shed", "--from", file("\n".join([*lines, "2026-05-02,14,60,"])))
    found = [
        (str(row["on_last"]), row["at_time"], row["temp_c"], row["rh_pct"], row["source"])
        for row in rows(rick.book, "air")[1:]
    ]
    assert found == [
        ("2026-05-01", "06:00", 12.5, 71.0, "logger"),
        ("2026-05-01", "18:00", 19.25, 55.5, "logger"),
        ("2026-05-02", None, 14.0, 60.0, "logger"),
    ]
    assert "not read: the column battery" in said.err


def test_every_bad_line_of_an_air_file_is_named(rick, file):
    text = (
        "on,temp_c,rh_pct,place\n2026-05-01,12,70,shed\n2026-05-02,nan,70,\n2026-05-03,12,-1,\n2026-05-04,12,0.45,\n"
        "2027-05-04,12,70,\n,12,70,\n2026-05-05,70,70,\n2026-05-06,,70,\n2026-05-07,12,70,attic\n2026-05-08,12 C,70,\n"
    )
    said = refused(rick, "air", "shed", "--from", file(text))
    first, *lines = said.err.splitlines()
    assert first == "rick: air.csv, 9 of 10 lines cannot be taken; nothing stored."
    assert [line.split(":")[0].strip() for line in lines] == [f"line {number}" for number in range(3, 12)]
    assert len(rows(rick.book, "air")) == 1
    told = dict(enumerate(lines, 3))
    assert 'temp_c "nan"' in told[3]
    assert 'rh_pct "0.45"' in told[5]
    assert "4 May 2027 has not come yet" in told[6]
    assert 'temp_c "70": so hot?' in told[8]
    assert 'it is of "attic", not of shed' in told[10]


@pytest.mark.parametrize(
    ("content", "told"),
    [
        ("temp_c,rh_pct\n12,70\n", "neither a column on nor a column month"),
        ("on,month,temp_c,rh_pct\n2026-05-01,5,12,70\n", "both columns on and month"),
        ("on,temp,rh\n2026-05-01,12,70\n", "lacks the columns temp_c, rh_pct"),
        ("on;temp_c;rh_pct\n2026-05-01;12;70\n", "is written with semicolons"),
        ("on,temp_c,rh_pct\n", "has no lines below its header"),
        (b"", "is empty"),
        ("on,temp_c,rh_pct,note\n2026-05-01,12,70,é\n".encode("latin-1"), "is not UTF-8 text"),
    ],
)
def test_an_air_file_that_cannot_be_read(rick, file, content, told):
    assert told in refused(rick, "air", "shed", "--from", file(content)).err.splitlines()[0]


def test_an_air_file_with_a_byte_order_mark_is_read(rick, file):
    rick.done("air", "shed", "--from", file("\ufeffon,temp_c,rh_pct\n2026-05-01,12,70\n"))
    assert len(rows(rick.book, "air")) == 2


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        ([], 2, "shed: temperature and humidity are wanted"),
        (["--temp", "15C"], 2, "shed: temperature and humidity are wanted"),
        (["--temp", "nan", "--rh", "65%"], 3, '"nan"'),
        (["--temp", "15C", "--rh", "inf"], 3, '"inf"'),
        (["--temp", "15C", "--rh", "-5%"], 3, '"-5%"'),
        (["--temp", "15C", "--rh", "105%"], 3, '"105%"'),
        (["--temp", "15C", "--rh", "0.45"], 3, '"0.45"'),
        (["--temp", "59C", "--rh", "45%"], 3, '"59C"'),
        (["--temp", "15C", "--rh", "65%", "--month", "13"], 3, "no month 13"),
        (["--temp", "15C", "--rh", "65%", "--month", "May"], 3, 'shed: --month "May" is not a whole number'),
        (["--temp", "15C", "--rh", "65%", "--on", "2027-01-01"], 3, "has not come yet"),
        (["--from", "nowhere.csv"], 3, "there is no file nowhere.csv"),
        (["--from", "nowhere.csv", "--temp", "15C"], 2, "a file has its own air and dates"),
    ],
)
def test_bad_input_of_air(rick, words, code, told):
    said = refused(rick, "air", "shed", *words)
    assert said.code == code
    assert told in said.err.splitlines()[0]
    assert len(rows(rick.book, "air")) == 1


# Out and back


def test_pieces_go_out_with_the_reason_and_their_tags_are_free(rick):
    said = rick.done("out", "2-3", "--as", "given", "--to", "a neighbour", "--why", "[x] :wood: <script> =cmd()")
    assert said.out.splitlines() == [
        "out, given to a neighbour: 2C, 3D",
        'free again, the tags "K-1", "K-2"',
        "Their stories stay; back again: rick out 2C 3D --back",
    ]
    assert [(row["outcome"], row["to_whom"], row["reason"]) for row in rows(rick.book, "departure")] == [
        ("given", "a neighbour", "[x] :wood: <script> =cmd()")] * 2  # fmt: skip
    assert piece(rick.book, "2C").gone == "given"
    assert "2C is out (given by 1 June 2026): it cannot be weighed." in refused(rick, "weigh", "2C", "400g").err


def test_and_come_back_under_their_old_tag(rick):
    rick.done("out", "2C", "--as", "lost")
    said = rick.done("out", "2C", "--back")
    assert said.out.splitlines()[0] == "back in the stock: 2C"
    assert "on record in shed / rack 2; if that has changed: rick move 2C --to PLACE" in said.out
    assert (piece(rick.book, "K-1").mark, piece(rick.book, "2C").gone) == ("2C", "")
    assert rick.done("weigh", "2C", "700g").code == 0


def test_poison_and_horses_are_cautioned_once(rick):
    rick.done("add", "--kind", "blank", "--square", "51mm", "--length", "330mm", "--species", "common yew")
    rick.done("add", "--kind", "blank", "--square", "51mm", "--length", "330mm", "--species", "common yew")
    said = rick.done("out", "6G", "7H", "--as", "firewood")
    assert said.err.count("keep it out of stove and bonfire") == 1


def test_out_as_json(rick):
    document = rick.done("out", "2C", "--as", "used", "--json").json
    assert document["outcome"] == "used"
    assert document["pieces"] == [{"mark": "2C", "tag": "K-1", "sets": []}]


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (["2C"], 2, "2C: how did it leave?"),
        (["2C", "--as", "eaten"], 3, '"eaten"'),
        (["2C", "--as", "used", "--back"], 2, "--back takes pieces in again"),
        (["2C", "--back"], 3, "2C is not out"),
        (["99H", "--as", "used"], 3, "no piece 99H"),
        (["2C", "1B", "--as", "used"], 3, "1B was sawn up"),
        (["2C", "--as", "used", "--on", "2027-01-01"], 3, "has not come yet"),
    ],
)
def test_bad_input_of_out(rick, words, code, told):
    said = refused(rick, "out", *words)
    assert said.code == code
    assert told in said.err.splitlines()[0]
    assert rows(rick.book, "departure") == []
