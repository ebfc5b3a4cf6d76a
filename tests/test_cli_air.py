"""rick air --from: a logger's file as it comes, brought in again, with gaps, and in every shape that is refused."""

from datetime import datetime, timedelta
from pathlib import Path

import pytest
from desk_side import Rick
from found import rows
from stocked import copied, refused

from stock.book import opening
from stock.book.facts import facts
from stock.wood.air import emc_pct

STOCK = ("book units metric", "move --place shed --cover unheated", "move --place shop --cover heated")
MAPPED = ("--on-column", "Time", "--temp-column", "Temperature (°F)", "--rh-column", "Relative Humidity (%)")


@pytest.fixture
def rick(tmp_path: Path, monkeypatch, capsys) -> Rick:
    return Rick(copied(STOCK, tmp_path / "own" / "book.rick"), monkeypatch, capsys)


@pytest.fixture
def file(tmp_path):
    def write(text: str | bytes, name: str = "log.csv") -> str:
        path = tmp_path / name
        path.write_bytes(text.encode() if isinstance(text, str) else text)
        return str(path)

    return write


def plain(days: int = 3, *, start: str = "2026-05-01", hours: int = 6, temp: float = 12.0, rh: float = 70.0) -> str:
    at, lines = datetime.fromisoformat(start), ["on,temp_c,rh_pct"]
    while at < datetime.fromisoformat(start) + timedelta(days=days):
        lines.append(f"{at:%Y-%m-%d %H:%M},{temp},{rh}")
        at += timedelta(hours=hours)
    return "\n".join(lines)


def air(rick: Rick) -> list[tuple]:
    return [(str(r["on_last"]), r["at_time"], round(r["temp_c"], 3), r["rh_pct"]) for r in rows(rick.book, "air")]


# -- its own columns, units and dates ---------------------------------------------------------------------------------


def test_a_loggers_own_columns_are_mapped(rick, file):
    text = "No.,Time,Temperature (°F),Relative Humidity (%),Dew Point\n1,2026-05-01 06:10:00,54.5,71.2,45\n"
    said = rick.done("air", "shed", "--from", file(text), *MAPPED)
    assert air(rick) == [("2026-05-01", "06:10", 12.5, 71.2)]
    assert rows(rick.book, "air")[0]["typed"] == {"temp_c": "54.5 F"}
    assert "not read: the column dew_point" in said.err


def test_months_and_halves_of_the_day_are_read_by_the_order_told(rick, file):
    text = (
        "Time,Temperature (°F),Relative Humidity (%)\n05/20/2026 12:05:10 AM,50,70\n5/20/26 2:30 PM,59,60%\n"
        "05/21/2026 12:00 p.m.,68 °F,55 %\n"
    )
    rick.done("air", "shed", "--from", file(text), *MAPPED, "--dates", "month-first")
    assert air(rick) == [
        ("2026-05-20", "00:05:10", 10.0, 70.0),
        ("2026-05-20", "14:30", 15.0, 60.0),
        ("2026-05-21", "12:00", 20.0, 55.0),
    ]


def test_semicolons_decimal_commas_a_mark_and_day_and_time_apart(rick, file):
    text = "\ufeffDatum;Uhrzeit;Temp °C;rF\n01.05.2026;06:10:00;12,345;71,5\n01.05.2026;06:20;-0,5;8,25\n"
    columns = ("--on-column", "Datum", "--time-column", "Uhrzeit", "--temp-column", "Temp °C", "--rh-column", "rF")
    rick.done("air", "shed", "--from", file(text), *columns, "--delimiter", ";", "--dates", "day-first")
    assert air(rick) == [("2026-05-01", "06:10", 12.345, 71.5), ("2026-05-01", "06:20", -0.5, 8.25)]


def test_stamps_with_a_zone_and_months_in_words(rick, file):
    text = "on,temp_c,rh_pct\n2026-05-01T06:10:00Z,12,70\n2026-05-01T06:20:00+02:00,13,70\n3 May 2026 07:00,14,70\n"
    rick.done("air", "shed", "--from", file(text))
    assert [one[:2] for one in air(rick)] == [
        ("2026-05-01", "06:10"),
        ("2026-05-01", "06:20"),
        ("2026-05-03", "07:00"),
    ]


def test_a_unit_in_the_cells_or_as_an_option_will_do(rick, file):
    columns = ("--on-column", "when", "--temp-column", "t", "--rh-column", "h")
    rick.done("air", "shed", "--from", file("when,t,h\n2026-05-01,50 F,70\n"), *columns)
    rick.done("air", "shed", "--from", file("when,t,h\n2026-05-02,50,70\n"), *columns, "--temp-unit", "f")
    assert [one[2] for one in air(rick)] == [10.0, 10.0]


# -- again, overlapping, with gaps ------------------------------------------------------------------------------------


def test_the_same_file_twice_is_on_the_book_once(rick, file):
    rick.done("air", "shed", "--from", file(plain()))
    before = rick.entries()
    said = rick.done("air", "shed", "--from", file(plain()))
    assert len(air(rick)) == 12
    assert rick.entries() == before
    assert "all of it stands on the book of shed already: nothing was put." in said.err
    assert rick.done("air", "shed", "--from", file(plain()), "--json").json["repeated"] == 12


def test_a_file_that_has_grown_adds_what_is_new(rick, file):
    rick.done("air", "shed", "--from", file(plain(3)))
    said = rick.done("air", "shed", "--from", file(plain(5)))
    assert len(air(rick)) == 20
    assert "12 stood there already and were not put again." in said.err
    assert said.out.startswith("shed: 8 readings from 1 May 2026 to 5 May 2026")
    rick.done("air", "shop", "--from", file(plain(3)))  # another place has its own
    assert len(air(rick)) == 32


def test_of_two_values_at_one_time_the_first_is_kept_and_that_is_told(rick, file):
    twice = plain(1) + "\n2026-05-01 06:00,12.0,70.0\n2026-05-01 12:00,19,50\n"
    said = rick.done("air", "shed", "--from", file(twice), "--json").json
    assert (said["count"], said["repeated"], said["differing"]) == (4, 1, 1)
    assert "one time has two values (1 May 2026, 12:00): what stood first was kept." in said["warnings"]
    again = rick.done("air", "shed", "--from", file(plain(2, temp=13.0)))
    assert "4 times have two values (the first 1 May 2026, 00:00): what stood first" in again.err
    assert [one[2] for one in air(rick)] == [12.0] * 4 + [13.0] * 4


def test_by_hand_two_readings_of_a_day_are_two_and_the_same_twice_is_one(rick):
    rick.done("air", "shed", "--temp", "12C", "--rh", "70%")
    rick.done("air", "shed", "--temp", "18C", "--rh", "55%")
    rick.done("air", "shed", "--temp", "18C", "--rh", "55%")
    assert len(air(rick)) == 2


def test_a_gap_is_told_and_lines_without_a_reading_are_left_out(rick, file):
    empty = "\n2026-05-02 01:00,,\n2026-05-02 02:00,--,--\n2026-05-02 03:00,N/A,n/a\n"
    later = plain(2, start="2026-05-20").partition("\n")[2]
    more = plain(1, start="2026-05-24").partition("\n")[2]
    said = rick.done("air", "shed", "--from", file(plain(3) + empty + later + "\n" + more))
    assert len(air(rick)) == 24
    assert "no readings from 4 May 2026 to 19 May 2026 (16 days), and another gap: 18 days" in " ".join(
        said.err.split()
    )
    assert "3 lines without a reading were left out." in said.err


def test_half_a_reading_is_a_bad_line_unless_insisted_on(rick, file):
    text = plain(1) + "\n2026-05-02 01:00,12,\n"
    assert "line 6: rh_pct is empty" in refused(rick, "air", "shed", "--from", file(text)).err
    rick.done("air", "shed", "--from", file(text), "--insist")
    assert len(air(rick)) == 4


def test_twelve_months_twice_are_twelve_and_a_better_figure_counts(rick, file):
    lines = "".join(f"{month},10,{60 + month}\n" for month in range(1, 13))
    for _ in range(2):
        rick.done("air", "shed", "--from", file(f"month,temp_c,rh_pct\n{lines}"))
    assert len(air(rick)) == 12
    said = rick.done("air", "shed", "--month", "3", "--temp", "10C", "--rh", "70%")
    assert "month 3 was 10 C, 63 %: the new figures count." in said.err
    twice = file("month,temp_c,rh_pct\n3,10,70\n3,10,71\n")
    assert "month 3 of shed stands twice" in refused(rick, "air", "shed", "--from", twice).err


# -- how the book is read ---------------------------------------------------------------------------------------------


def test_questions_read_a_day_of_a_logger_as_one_row(rick, file):
    rick.done("air", "shed", "--from", file(plain(2, hours=1)))
    rick.done("air", "shed", "--temp", "10C", "--rh", "60%", "--month", "1")
    with opening.reading(rick.book) as connection:
        from datetime import date

        (normal, first, second) = facts(connection, date(2026, 6, 1), []).air[1]
        assert facts(connection, date(2026, 5, 1), []).air[1][1:] == [first]
    assert (normal.month, normal.readings) == (1, 1)
    assert (first.readings, first.temp_c, first.rh_pct, first.rh_sd_pct) == (24, 12.0, 70.0, 0.0)
    assert str(second.on_last) == "2026-05-02"


def test_the_answer_tells_what_is_known_of_the_air(rick, file):
    said = rick.done("air", "shed", "--from", file(plain(31)))
    assert said.out.splitlines()[0].startswith("shed: 124 readings from 1 May 2026 to 31 May 2026, in which wood would")
    known = rick.done("air", "shed", "--from", file(plain(31)), "--json").json["air"]
    assert known["told_by"] == "124 readings of 1 May 2026 to 31 May 2026 and what an unheated place usually does"
    assert known["emc_pct"] == pytest.approx(emc_pct(12, 70), abs=0.01)
    assert 0.8 < known["sd_pct"] < 2
    one = rick.done("air", "shop", "--temp", "20C", "--rh", "40%")
    assert "Known: one reading of 1 June 2026 and what a heated place usually does." in one.out
    assert "Surer: its twelve months or a logger (--from), or a reference block (--block)." in one.out
    assert all(len(line) <= 80 for line in [*said.lines, *one.lines])


# -- what is refused --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "options", "told", "way"),
    [
        ("when,t,h\n2026-05-01,12,70\n", ["--temp-column", "t", "--rh-column", "h", "--on-column", "when"],
         "nothing says in which unit the column t is", "--temp-unit C, or F"),
        ("on,temp_c,rh_pct\n2026-05-01,12,70\n", ["--temp-unit", "F"], "says C, and --temp-unit says F", "Leave one"),
        ("on,t,rh_pct\n2026-05-01,12,70\n", ["--temp-column", "t", "--temp-unit", "K"], '"K" is no unit', "C, F"),
        ("Time,Temperature (°F),Humidity\n2026-05-01,50,70\n", [], "lacks the columns temp_c, rh_pct",
         '--on-column "time" --temp-column "temperature_(°f)" --rh-column "humidity"'),
        ("Time;Temp;Humidity\n2026-05-01;12;70\n", [], "is written with semicolons", '--delimiter ";" --on-column'),
        ("on,temp_c,rh_pct\n", [], "has no lines below its header", "Nothing was stored"),
        ("on,temp_c,rh_pct\n2026-05-01,,\n", [], "has no reading in its lines", "Nothing was stored"),
        ("", [], "is empty", "temp_c,rh_pct"),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00", [], "is not UTF-8 text", ""),
        (b"on,temp_c,rh_pct\n\x00\x00\n", [], "zero byte", "CSV"),
        (b"PK\x03\x04rest", [], "is a workbook or a zip file", "CSV"),
        ("on,temp_c,rh_pct\n03/04/2026 10:00,12,70\n", [], "line 2: 03/04/2026 is day or month first", "day-first"),
        ("on,temp_c,rh_pct\n03/04/2026,12,70\n05/25/2026,12,70\n", [], "line 2: 03/04/2026 is day or month first",
         "Line 3 has 05/25/2026: give --dates month-first"),
        ("on,temp_c,rh_pct\n03/04/26,12,70\n", [], "line 2: 03/04/26 is day or month first", "--dates"),
        ("on,temp_c,rh_pct\n2026-05-01 25:10,12,70\n", [], "1 of 1 lines cannot be taken", "not a time of day"),
        ("on,temp_c,rh_pct\n2026-05-01 13:10 PM,12,70\n", [], "1 of 1 lines cannot be taken", "not a time of day"),
        ("on,t,rh_pct\n2026-05-01,12 C,70\n2026-05-02,50 F,70\n", ["--temp-column", "t"], "1 of 2 lines",
         'line 3: t "50 F" has a unit of its own; the column is C'),
    ],
)  # fmt: skip
def test_files_that_are_refused(rick, file, text, options, told, way):
    said = refused(rick, "air", "shed", "--from", file(text), *options)
    assert told in said.err.splitlines()[0]
    assert way in said.err
    assert air(rick) == []


def many(temp: float, rh: float, header: str = "on,temp_c,rh_pct") -> str:
    return "\n".join([header, *plain(8, temp=temp, rh=rh).splitlines()[1:]])


@pytest.mark.parametrize(
    ("text", "options", "told", "way"),
    [
        (many(12, 0.7), [], "half of the column rh_pct is below 0.7: fractions, not percent", "multiply it by 100"),
        (many(70, 12), [], "half of the column temp_c is above 70 C", "Swapped with the humidity, or in F"),
        (many(68, 50), [], "half of the column temp_c is above 68 C", "--temp-unit F"),
        (many(12, 70, "on,T,rh_pct"), ["--temp-column", "T", "--temp-unit", "F"], "is below -11 C, read as F", "In C"),
    ],
)
def test_a_whole_column_of_another_thing_is_told_once(rick, file, text, options, told, way):
    said = refused(rick, "air", "shed", "--from", file(text), *options)
    assert told in said.err.splitlines()[0]
    assert way in said.err
    assert len(said.err.splitlines()) <= 3


def test_of_many_bad_lines_the_first_fifty_are_named(rick, file):
    text = plain(1) + "".join(f"\n2026-05-02 00:{at % 60:02},1x,70" for at in range(200))
    said = refused(rick, "air", "shed", "--from", file(text))
    assert said.err.splitlines()[0] == "rick: log.csv, 200 of 204 lines cannot be taken; nothing stored."
    assert len(said.err.splitlines()) == 52
    assert said.err.splitlines()[-1].strip() == "and 150 more lines"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--temp", "12C", "--rh", "70%", "--temp-column", "T"], "the columns of a file were named, and no file"),
        (["--dry", "100g"], "--block and --dry tell of a reference block"),
        (["--block", "1B", "--temp", "12C"], "--block and --dry tell of a reference block"),
    ],
)
def test_options_that_do_not_go_together(rick, words, told):
    said = refused(rick, "air", "shed", *words)
    assert said.code == 2
    assert told in said.err.splitlines()[0]
