"""Asking along for fell, cut and saw: what is asked, what a line may say, and what stopping leaves behind."""

import os
import select
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from desk_side import CTRL_C, Rick, Said
from found import piece, rows
from said import mm

from stock.cli.cut_lines import Length, read_blanks, read_lengths
from stock.cli.desk import Desk, sitting
from stock.cli.record_trees import fell
from stock.errors import StockError

INCH = 25.4
ROOT = Path(__file__).parent.parent


@pytest.fixture
def rick(tmp_path: Path, monkeypatch, capsys) -> Rick:
    return Rick(tmp_path / "own" / "book.rick", monkeypatch, capsys)


@pytest.fixture
def tree(rick) -> str:
    rick.done("book", "units", "metric")
    rick.done("fell", "--species", "black cherry", "--on", "2026-05-20")
    return "T1B"


@pytest.fixture
def log(rick) -> str:
    rick.done("book", "units", "metric")
    rick.done("add", "--kind", "log", "--dia", "300mm", "--length", "1000mm", "--tag", "K-1", "--on", "2026-05-20")
    return "1B"


def blanks(rick: Rick) -> list[tuple]:
    """Mark, square, length, part, ring angle and tag of each blank on the book."""
    found = []
    for row in rows(rick.book, "piece"):
        if row["kind"] == "blank":
            one = piece(rick.book, f"{row['number']}{'ABCDEFGHJKLMNPQRSTVWXYZ'[row['number'] % 23]}")
            size = one.size
            found.append((one.mark, size.width_mm, size.thickness_mm, size.length_mm, one.look.part, one.look.ring_deg, one.tag))  # fmt: skip # noqa: E501
    return found


# A tree


def test_a_tree_question_by_question(rick):
    said = rick.done("fell", answers=["gum", "black cherry", "", "a neighbour", "spring 2099", "spring 2024", "s",
                                      "dead", "a lane", "", "old one"])  # fmt: skip
    assert '"gum" is the name of several unrelated trees' in said.err
    assert "has not come yet" in said.err
    (fallen,) = rows(rick.book, "tree")
    (opinion,) = rows(rick.book, "opinion")
    assert (fallen["how"], fallen["alive"], fallen["site"], fallen["on_text"]) == (
        "storm",
        False,
        "a lane",
        "spring 2024",
    )
    assert (opinion["species_key"], opinion["sure"], opinion["by_whom"]) == (
        "prunus-serotina",
        "probable",
        "a neighbour",
    )
    assert piece(rick.book, "old one").mark == "T1B"
    assert rick.entries() == 1


def test_a_tree_of_which_nothing_is_told(rick):
    said = rick.done("fell", answers=[""] * 7)
    assert said.asked == 7
    assert "wood unknown" in said.out
    (fallen,) = rows(rick.book, "tree")
    assert (fallen["how"], fallen["alive"], fallen["on_last"].isoformat()) == ("unknown", None, "2026-06-01")


def test_a_date_on_the_line_is_not_asked_for(rick):
    said = rick.done("fell", "--on", "2024-05", answers=[""] * 6)
    assert "When did it" not in said.err
    assert "in May 2024" in said.out


@pytest.mark.parametrize("answers", [["yew"], ["black cherry", "q"], ["black cherry", "certain", "me", "2024", "Q"]])
def test_a_tree_half_told_is_not_stored(rick, answers):
    said = rick("fell", answers=answers)
    assert (said.code, said.out) == (0, "")
    assert "Nothing was stored." in said.err
    assert not rick.book.exists()


def test_a_tag_that_is_taken_is_asked_for_again(rick, tree):
    rick.done("fell", "--species", "unknown", "--tag", "old one")
    said = rick.done("fell", answers=["", "", "", "", "", "", "old one", "older one"])
    assert 'the tag "old one" is on T2C already' in said.err
    assert piece(rick.book, "older one").mark == "T3D"


# Crosscut


def test_a_tree_is_cut_line_by_line(rick, tree):
    said = rick.done("cut", answers=["T9K", "T1B", "300", "660, 290, S-1", "., 280, .", "500, .", "x", ""])
    assert "no piece T9K is on the book" in said.err
    assert '     1B "S-1"  660 mm (26 in) long, dia 290 mm (11 7/16 in) at its top' in said.err
    assert '"x": cannot be read' in said.err
    sizes = [piece(rick.book, mark).size for mark in ("1B", "2C", "3D")]
    assert [(s.length_mm, s.dia_butt_mm, s.dia_top_mm) for s in sizes] == [
        (660, 300, 290),
        (660, 290, 280),
        (500, 280, 280),
    ]
    assert [piece(rick.book, mark).tag for mark in ("1B", "2C", "3D")] == ["S-1", "S-2", ""]
    assert rick.entries() == 3  # units, tree, and one cut


def test_several_lengths_on_a_line(rick, tree):
    rick.done("cut", tree, answers=["", "2x26in+22in", ". ", ""])
    assert [piece(rick.book, mark).size.length_mm for mark in ("1B", "3D", "4E")] == pytest.approx(
        [26 * INCH, 22 * INCH, 22 * INCH]
    )


def test_lengths_on_the_command_line_ask_only_for_the_piece(rick, tree):
    said = rick.done("cut", "--lengths", "2x300mm", "--dia", "250mm", answers=[tree])
    assert said.asked == 1
    assert "crosscut into 2 logs" in said.out


def test_the_last_line_is_taken_back(rick, tree):
    said = rick.done("cut", tree, answers=["", "300", "400", "-", "500", ""])
    assert "2C taken back" in said.err
    assert [piece(rick.book, mark).size.length_mm for mark in ("1B", "2C")] == [300, 500]


def test_what_does_not_fit_is_refused_at_its_line(rick, log):
    said = rick.done("cut", log, answers=["", "600", "600", "300", "", "no"])
    assert "1B is 1000 mm long; the lengths add up to 1200 mm." in said.err
    assert "crosscut into 2 logs" in said.out
    assert not piece(rick.book, log).on_hand


@pytest.mark.parametrize("last", [[], ["q"]])
def test_stopping_keeps_what_was_taken_and_the_rest(rick, log, last):
    said = rick.done("cut", log, answers=["", "300", "200", *last])
    assert "crosscut into 2 logs" in said.out
    assert "Stopped there. To go on: rick cut 1B" in said.err
    assert piece(rick.book, log).size.length_mm == pytest.approx(1000 - 500 - 2 * 8)


def test_stopping_when_nothing_can_be_left_closes_the_piece(rick, log):
    said = rick.done("cut", log, answers=["", "600", "392"])
    assert "To go on" not in said.err
    assert not piece(rick.book, log).on_hand


def test_an_interruption_stores_nothing(rick, log):
    before = rick.entries()
    said = rick("cut", log, answers=["", "300", CTRL_C])
    assert (said.code, rick.entries()) == (130, before)
    assert "Nothing of this conversation is stored." in said.err


def test_no_lines_is_nothing(rick, log):
    before = rick.entries()
    said = rick.done("cut", log, answers=["", ""])
    assert "Nothing was stored." in said.err
    assert rick.entries() == before


def test_a_piece_that_cannot_be_cut_is_refused_before_anything_is_asked(rick, tree, log):
    refused = rick("saw", tree, answers=["330, 51"])
    assert (refused.code, refused.asked) == (3, 0)
    assert "T1B is a tree: it cannot be sawn into blanks" in refused.err
    said = rick.done("saw", answers=["T1B", log, "330, 51", "", ""])
    assert "it cannot be sawn into blanks" in said.err
    assert '1B "K-1" sawn into 1 blank' in said.out


def test_a_doubtful_date_is_asked_about(rick, log):
    before = rick.entries()
    words = ("cut", log, "--on", "2026-05-01")
    assert "Nothing was stored." in rick.done(*words, answers=[""]).err
    assert rick.entries() == before
    rick.done(*words, answers=["k", "", "300", "", ""])
    assert piece(rick.book, "2C").size.length_mm == 300


# Sawn


def test_blanks_as_the_screens_have_it(rick, log):
    said = rick.done("saw", answers=["K-1", "330, 51, heart, flat", "., 52x50, ., .", "", ""])
    assert "     2C  51 x 51 mm (2 x 2 in), 330 mm (13 in) long, heart, rings flat\n" in said.err
    assert "     3D  52 x 50 mm (2 1/16 x 1 15/16 in), 330 mm (13 in) long, heart, rings flat\n" in said.err.replace(
        "\n       ", " "
    )
    assert blanks(rick) == [("2C", 51, 51, 330, "heart", 15, ""), ("3D", 52, 50, 330, "heart", 15, "")]


def test_more_of_the_same(rick, log):
    said = rick.done("saw", log, "--planed", answers=["330, 51, s, q, K-09, 480g", "x3", ".", "", "y"])
    assert "3D-5F" in said.err
    assert [b[-1] for b in blanks(rick)] == ["K-09", "K-10", "K-11", "K-12", "K-13"]
    assert {b[4:6] for b in blanks(rick)} == {("sap", 75)}
    assert len(rows(rick.book, "weighing")) == 1
    assert {row["surface"] for row in rows(rick.book, "size")} == {None, "planed"}
    assert piece(rick.book, log).on_hand


def test_the_marks_that_were_shown_are_the_marks_that_are_stored(rick, log, monkeypatch):
    said = rick.done("saw", log, answers=["330, 51", "x2", "", ""])
    assert "marks moved" not in said.err

    asked = Desk.ask

    def ask(desk: Desk, question: str) -> str:
        if "rest" in question:  # somebody enters a piece from another window
            with monkeypatch.context() as patch:
                patch.setattr(Desk, "ask", asked)
                from datetime import UTC, datetime

                from stock.book import journal
                from stock.yard.felling import add

                hand = journal.Hand("add", "", datetime.now(UTC), desk.today)
                with journal.writing(rick.book, hand) as page:
                    add(page, kind="blank", on=desk.day(None))
        return asked(desk, question)

    rick.done("add", "--kind", "log", "--length", "400mm", "--on", "2026-05-20")
    monkeypatch.setattr(Desk, "ask", ask)
    said = rick.done("saw", "5F", answers=["330, 51", "", ""])
    assert "marks moved; mend the labels: 7H instead of 6G" in said.err.replace("\n  ", " ")


def test_a_storm_is_entered_in_minutes(rick):
    """Twelve sections with their diameters and tags, forty squares from four of them: so many answers, no more."""
    rick.done("book", "units", "inch")
    asked = rick.done(
        "fell", answers=["black cherry", "certain", "", "yesterday", "storm", "alive", "churchyard", "", ""]
    ).asked
    lines = ["26, 15, S-1", *(f"{24 + n % 3}, {14.5 - n / 2}, ." for n in range(11))]
    asked += rick.done("cut", "T1B", answers=["15.5", *lines, ""]).asked
    squares = ["13, 2, heart, flat, S1-01", *["."] * 5, "., 2x1 7/8, sap, ., .", *["."] * 3]
    for section in ("S-1", "S-2", "S-3"):
        asked += rick.done("saw", section, answers=[*[line.replace("S1", section) for line in squares], "", ""]).asked
    asked += rick.done("saw", "S-4", answers=["13, 2, heart", "x9", "", ""]).asked
    assert len(blanks(rick)) == 40
    assert len([row for row in rows(rick.book, "piece") if row["kind"] == "log"]) == 12
    assert blanks(rick)[9][-1] == "S-1-10"
    assert asked == 9 + 14 + 3 * 12 + 4


def test_a_dry_run_of_a_conversation_stores_nothing(rick, log):
    before = rick.entries()
    said = rick.done("saw", log, "--dry-run", answers=["330, 51", "", ""])
    assert "sawn into 1 blank" in said.out
    assert rick.entries() == before


def test_a_bare_number_is_asked_about_once(rick):
    rick.done("add", "--kind", "log", "--length", "30in", "--on", "2026-05-20")
    said = rick.done("saw", "1B", answers=["13, 2", "furlong", "in", "., 1 7/8", "", ""])
    assert said.err.count("has no unit") == 2  # furlong is no answer
    assert [b[1] for b in blanks(rick)] == pytest.approx([2 * INCH, 1.875 * INCH])


@pytest.mark.parametrize("word", ["--tags", "--dia"])
def test_tags_or_diameters_without_lengths_are_misuse(rick, tree, word):
    assert rick("cut", tree, word, "12in", answers=[]).code == 2


# One line


@pytest.fixture
def desk(rick, tree):
    from datetime import UTC, date, datetime

    with sitting(Desk((), {"RICK_BOOK": str(rick.book)}, datetime.now(UTC), date(2026, 6, 1))) as mine:
        yield mine


@pytest.mark.parametrize(
    ("line", "length", "square"),
    [
        ("330, 51", 330, (51, 51)),
        ("330,51 mm,heart", None, None),  # 330.51 mm, and no square "heart"
        ("33,5 cm, 51", 335, (51, 51)),
        ('13",2",heart', 330.2, (50.8, 50.8)),
        ("13 in; 2x1 7/8 in; h", 330.2, (50.8, 47.625)),
        (", 51", None, (51, 51)),
        ("1 ft 1 in , 2 in , sap", 330.2, (50.8, 50.8)),
    ],
)
def test_fields_and_decimal_commas(desk, line, length, square):
    if square is None:
        with pytest.raises(StockError, match="heart"):
            read_blanks(line, ())
        return
    (plan,) = read_blanks(line, ())
    assert (plan.length.value if plan.length else None) == (pytest.approx(length) if length else None)
    assert (plan.width.value, plan.thickness.value) == pytest.approx(square)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (".", "no line above"),
        ("x5", "no line above"),
        ("., .", "its square is missing"),
        ("330", "its square is missing"),
        ("330, 51, heart, flat, K, 480g, more", "7 fields where 6 belong"),
        ("330, 51, bark", '"bark"?'),
        ("330, 51, heart, wavy", "wavy"),
        ("330, nan", "not a number"),
        ("330, 51, heart, flat, K-1, .", "a weight of its own"),
    ],
)
def test_lines_of_blanks_that_say_nothing(desk, line, said):
    with pytest.raises(StockError, match=said.replace("?", r"\?")):
        read_blanks(line, ())


def test_lines_of_lengths(desk):
    above = [Length(mm(660), mm(290), "knotty")]
    assert read_lengths("., .", above, with_dia=True)[0].dia_top == mm(290)
    with pytest.raises(StockError, match="is on the one above"):
        read_lengths("., ., .", above, with_dia=True)
    assert [one.tag for one in read_lengths("x2", above, with_dia=True)] == ["", ""]
    with pytest.raises(StockError, match="diameter at the top is missing"):
        read_lengths("300", above, with_dia=True)
    with pytest.raises(StockError, match="3 fields where 2 belong"):
        read_lengths("300, 290, K", above, with_dia=False)
    with pytest.raises(StockError, match="for 2 lengths"):
        read_lengths("2x300, K", above, with_dia=False)
    with pytest.raises(StockError, match="length is missing"):
        read_lengths(", K", above, with_dia=False)


# In a process of its own, on a terminal of its own


def typed(book: Path, words: list[str], answers: list[str]) -> Said:
    """Run rick on a pseudo-terminal and answer each of its questions; an answer of Ctrl-C is a signal."""
    if not hasattr(os, "openpty"):
        pytest.skip("no pseudo-terminals here")
    terminal, other_end = os.openpty()
    environment = os.environ | {"RICK_BOOK": str(book), "PYTHONPATH": str(ROOT), "COLUMNS": "80"}
    command = [sys.executable, "-m", "stock", *words]
    with subprocess.Popen(command, stdin=other_end, stdout=other_end, stderr=other_end, env=environment) as process:
        os.close(other_end)
        seen, left = b"", list(answers)
        while chunk := _read(terminal):
            seen += chunk
            last = seen.rpartition(b"\n")[2]
            if left and (last.endswith(b"> ") or last.strip().isdigit()):
                answer = left.pop(0)
                if answer == CTRL_C:
                    process.send_signal(signal.SIGINT)
                else:
                    os.write(terminal, answer.encode())
        code = process.wait(timeout=30)
    os.close(terminal)
    return Said(code, seen.decode().replace("\r\n", "\n"), "", len(answers) - len(left))


def _read(terminal: int) -> bytes:
    ready, _, _ = select.select([terminal], [], [], 60)
    assert ready, "nothing more is said, and nothing is asked"
    try:
        return os.read(terminal, 4096)
    except OSError:  # its other end was closed
        return b""


@pytest.fixture
def old_log(rick) -> str:
    """A log that was there whatever day it is on this machine."""
    rick.done("add", "--kind", "log", "--dia", "300mm", "--length", "1000mm", "--tag", "K-1", "--on", "2020-05-20")
    return "1B"


def sawn(rick: Rick) -> int:
    return len([row for row in rows(rick.book, "piece") if row["kind"] == "blank"])


def test_a_real_terminal(rick, old_log):
    said = typed(rick.book, ["saw"], ["K-1\n", "330mm, 51mm, heart, flat\n", "x2\n", "\n", "\n"])
    assert said.code == 0, said.out
    assert "2C, 3D, 4E" in said.out
    assert sawn(rick) == 3


def test_control_d_on_a_real_terminal(rick, old_log):
    said = typed(rick.book, ["saw", old_log], ["330mm, 51mm\n", "\x04"])
    assert said.code == 0, said.out
    assert "1B stays on hand" in said.out
    assert sawn(rick) == 1


def test_control_c_on_a_real_terminal(rick, old_log):
    said = typed(rick.book, ["saw", old_log], ["330mm, 51mm\n", CTRL_C])
    assert said.code == 130, said.out
    assert "Nothing of this conversation is stored." in said.out
    assert sawn(rick) == 0


def test_the_conversation_is_loaded_only_when_it_is_held():
    assert fell.__module__ == "stock.cli.record_trees"
    source = Path(ROOT, "stock/cli/record_cuts.py").read_text(encoding="utf-8")
    top = source[: source.index("\ndef ")]
    assert "conversations" not in top
