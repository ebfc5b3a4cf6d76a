"""The walks as a calendar file: read back by a library, replaced when taken in again, whole or not there."""

import json
import stat
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from desk_side import Rick
from due_books import SHED, drying, duties, tell
from icalendar import Calendar, Event
from unprivileged import unprivileged

from reports import walk_calendar
from stock.survey import walks

DAY = date(2026, 6, 20)
NOW = datetime(2026, 6, 20, 19, 30, tzinfo=UTC)
ODD = 'Сарай, 2; „Шкаф" / полка \\ Ω 納屋'


@pytest.fixture
def rick(tmp_path, monkeypatch, capsys) -> Rick:
    made = Rick(tmp_path / "book.rick", monkeypatch, capsys)
    tell(made, *SHED, *drying("1B"), "book tag 1B 'plum; the \"third\", вишня'")
    return made


def events(content: bytes) -> list[Event]:
    calendar = Calendar.from_ical(content)
    assert not calendar.errors
    return list(calendar.events)


def written(rick: Rick, to: Path, *words: str) -> list[Event]:
    said = rick("due", "--calendar", str(to), *words, today=DAY)
    assert said.code == 0, said.err
    return events(to.read_bytes())


def test_a_walk_is_an_event_of_a_whole_day(rick, tmp_path):
    first, *_ = written(rick, tmp_path / "w.ics")
    assert (DAY, DAY + timedelta(days=1)) == (first.DTSTART, first.DTEND)
    assert first["summary"] == "weigh 1 piece: shed / rack 2"
    assert first["location"] == "shed"
    assert first["transp"] == "TRANSPARENT"
    assert '1B "plum; the "third", вишня"  black cherry, 410 g on 1 May 2026, expect ' in first["description"]
    assert str(tmp_path) not in (tmp_path / "w.ics").read_text(encoding="utf-8")


def test_hidden_weights_are_not_in_it(rick, tmp_path):
    first, *_ = written(rick, tmp_path / "w.ics", "--hide")
    assert " g" not in first["description"].replace(" g on", "")
    assert "410" not in first["description"]


def test_names_of_any_script_survive(rick, tmp_path):
    tell(rick, "book units metric")
    assert rick("move", "1B", "--to", ODD, "--on", "2026-06-02", today=DAY).code == 0
    first, *_ = written(rick, tmp_path / "w.ics")
    (place,) = {one["place"] for one in rick("due", "--json", today=DAY).json}
    assert place in first["description"]
    assert first["summary"] == f"weigh 1 piece: {place}"
    lines = (tmp_path / "w.ics").read_bytes().split(b"\r\n")
    assert max(len(line) for line in lines) <= 75


def test_a_line_break_and_a_control_character_in_a_name_do_no_harm(rick):
    (walk, *_) = walks.ahead(duties(rick, DAY), 1)
    name = "shed\nBEGIN:VEVENT\x07, rack; 2"
    one = walk.pieces[0]
    odd = replace(walk, place=name, pieces=(replace(one, piece=replace(one.piece, place=name)),))
    (event,) = events(walk_calendar.ics([odd], "b" * 32, NOW))
    assert event["location"] == "shed\nBEGIN:VEVENT, rack; 2"
    assert event["description"].startswith("shed\nBEGIN:VEVENT, rack; 2:\n1B")


def test_taking_it_in_again_replaces_what_was_there(rick):
    found = walks.ahead(duties(rick, DAY), 28)
    first = events(walk_calendar.ics(found, "b" * 32, NOW))
    again = events(walk_calendar.ics(found, "b" * 32, NOW + timedelta(hours=3)))
    other = events(walk_calendar.ics(found, "c" * 32, NOW))
    assert [one["uid"] for one in first] == [one["uid"] for one in again]
    assert len({one["uid"] for one in first}) == len(first)
    assert not {one["uid"] for one in first} & {one["uid"] for one in other}
    assert all(b["sequence"] > a["sequence"] for a, b in zip(first, again, strict=True))
    assert {one.DTSTAMP for one in first} == {NOW}
    assert walk_calendar.ics(found, "b" * 32, NOW) == walk_calendar.ics(found, "b" * 32, NOW)


def test_a_copy_of_a_book_makes_the_same_walks(rick, tmp_path):
    copy = tmp_path / "copy.rick"
    copy.write_bytes(rick.book.read_bytes())
    mine = written(rick, tmp_path / "a.ics")
    theirs = written(rick, tmp_path / "b.ics", "--book", str(copy))
    assert [one["uid"] for one in mine] == [one["uid"] for one in theirs]


def test_the_answer_names_the_walks(rick, tmp_path):
    said = rick("due", "--calendar", str(tmp_path / "w.ics"), "--json", today=DAY)
    document = json.loads(said.out)
    assert document["file"] == str(tmp_path / "w.ics")
    assert document["walks"][0] == {"on": DAY.isoformat(), "place": "shed", "pieces": ["1B"]}
    assert len(document["walks"]) == len(events((tmp_path / "w.ics").read_bytes()))


def test_what_falls_due_later_needs_a_longer_look(rick, tmp_path):
    said = rick("due", "--calendar", str(tmp_path / "w.ics"), "--within", "3", today=date(2026, 5, 3))
    assert (said.code, said.out) == (0, "Nothing is to be weighed in the coming 3 days; no file was written.\n")
    assert not (tmp_path / "w.ics").exists()


def test_a_pause_moves_the_walks(rick, tmp_path):
    tell(rick, "book set pause 2026-07-01", today=DAY)
    first, *_ = written(rick, tmp_path / "w.ics")
    assert date(2026, 7, 1) == first.DTSTART


def test_long_lists_of_racks_are_told_by_the_place(rick):
    (walk, *_) = walks.ahead(duties(rick, DAY), 1)
    one = walk.pieces[0]
    many = [replace(one, piece=replace(one.piece, place=f"shed / rack {i}")) for i in range(9)]
    assert walk_calendar.summary(replace(walk, pieces=tuple(many))) == "weigh 9 pieces: shed"


# The file


def test_a_calendar_is_not_written_over_unless_told_to(rick, tmp_path):
    to = tmp_path / "w.ics"
    written(rick, to)
    before = to.read_bytes()
    refused = rick("due", "--calendar", str(to), today=DAY)
    assert refused.code == 3
    assert "is there already" in refused.err
    no = rick("due", "--calendar", str(to), today=DAY, answers=["n"])
    assert (no.code, to.read_bytes()) == (3, before)
    assert rick("due", "--calendar", str(to), "--hide", today=DAY, answers=["y"]).code == 0
    assert to.read_bytes() != before
    assert len(written(rick, to, "--force")) >= 1
    assert [one.name for one in tmp_path.iterdir() if one.name.endswith(".new")] == []


def test_what_is_no_calendar_is_never_written_over(rick, tmp_path):
    before = rick.book.read_bytes()
    assert rick("due", "--calendar", str(rick.book), "--force", today=DAY).code == 3
    assert rick.book.read_bytes() == before
    assert rick("due", "--calendar", str(tmp_path), "--force", today=DAY).code == 3


def test_a_folder_that_is_not_there_is_told(rick, tmp_path):
    said = rick("due", "--calendar", str(tmp_path / "none" / "w.ics"), today=DAY)
    assert said.code == 3
    assert "nothing can be written to" in said.err
    assert "--calendar" in said.err


@unprivileged
def test_a_folder_that_cannot_be_written_is_told(rick, tmp_path):
    shut = tmp_path / "shut"
    shut.mkdir()
    shut.chmod(stat.S_IRUSR | stat.S_IXUSR)
    said = rick("due", "--calendar", str(shut / "w.ics"), today=DAY)
    shut.chmod(stat.S_IRWXU)
    assert said.code == 3
    assert "nothing can be written to" in said.err


def test_a_writing_that_fails_leaves_what_was_there(rick, tmp_path, monkeypatch):
    to = tmp_path / "w.ics"
    written(rick, to)
    before = to.read_bytes()

    def full(self: Path, target: Path) -> Path:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    said = rick("due", "--calendar", str(to), "--force", today=DAY)
    assert said.code == 3
    assert "no space left" in said.err
    assert to.read_bytes() == before
    assert [one.name for one in tmp_path.iterdir() if one.name.endswith(".new")] == []
