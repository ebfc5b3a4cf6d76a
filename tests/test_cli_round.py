"""A round with the scales: what is asked, how a mark jumps, what a doubt says, and that what is entered is kept."""

import json
import os
import re
import select
import subprocess
import sys
import time
from pathlib import Path

import pytest
from desk_side import CTRL_C, Rick, Said
from found import rows
from said import TODAY
from stocked import copied

ROOT = Path(__file__).parent.parent
BELL = "\a"
# Four blanks of one billet on a rack in the shed, one in the shop; the scales have a check weight.
STOCK = (
    "book units metric",
    "add --kind billet --species 'black cherry' --square 150mm --length 700mm --place 'shed / rack 2' --on 2024-01-01",
    "saw 1B --blanks 4 --length 330mm --square 51mm --on 2024-01-02 --tags K-1+K-2+K-3+K-4",
    "add --kind blank --square 51mm --length 330mm --place shop --on 2024-01-02",
    "move --place shed --walk 1 --cover unheated",
    "move --place shop --walk 2 --cover heated",
    "scales kitchen --step 1g",
    "scales kitchen --check 500g --reads 500g --on 2026-01-05",
    "weigh 2C 404g 3D 444g 4E 484g 5F 524g 6G 604g --on 2025-12-20",
    "weigh 2C 402g 3D 442g 4E 482g 5F 522g 6G 602g --on 2026-01-20",
    "weigh 2C 400g 3D 440g 4E 480g 5F 520g 6G 600g --on 2026-03-01",
)


@pytest.fixture
def rick(tmp_path: Path, monkeypatch, capsys) -> Rick:
    return Rick(copied(STOCK, tmp_path / "own" / "book.rick"), monkeypatch, capsys)


def stored(rick: Rick) -> list[tuple[str, float]]:
    """The mark and grams of each weighing of the round."""
    numbers = {row["id"]: row["number"] for row in rows(rick.book, "piece")}
    return [
        (f"{numbers[row['piece_id']]}{'ABCDEFG'[numbers[row['piece_id']]]}", row["mass_g"])
        for row in rows(rick.book, "weighing")
        if str(row["on_last"]) > "2026-04-10"
    ]


def asked(said: Said) -> list[str]:
    """The prompts, without the answers."""
    return re.findall(r"[^\n>]*> ", said.err)


# Along the route


def test_a_round_as_the_screens_have_it(rick):
    said = rick.done("weigh", answers=["501", "399", "439", "479", "519", "599"])
    assert said.err.splitlines()[:2] == [
        "1 Jun 2026. 5 pieces due in 2 places. Any mark may come next: 215J, or /215.",
        "Enter skips, - goes back, 0 not found, c 40 an end check, q stops; all is kept.",
    ]
    assert "Scales: kitchen (1 g steps). Check weight 500 g reads? (Enter: not now) > " in said.err
    assert "  within one step: taken as right" in said.err
    assert (
        said.err.index("shed / rack 2") < said.err.index("1/5  2C") < said.err.index("shop") < said.err.index("5/5  6G")
    )
    assert '1/5  2C "K-1"  black cherry  51 x 51 x 330 mm  > ' in said.err
    assert said.out == "5 weighed.\n"
    assert stored(rick) == [("2C", 399.0), ("3D", 439.0), ("4E", 479.0), ("5F", 519.0), ("6G", 599.0)]
    assert {row["scales_id"] for row in rows(rick.book, "weighing")[-5:]} == {rows(rick.book, "scales")[0]["id"]}
    assert BELL not in said.err


def test_the_expected_range_is_shown_after_the_entry_never_before(rick):
    said = rick.done("weigh", answers=["", "399", "q"])
    before, after = said.err.split("> ", 2)[:2], said.err.split("> ", 2)[2]
    assert "expected" not in "".join(before)
    assert re.match(r" {5}399 g \(expected \d+-\d+ g\)   \S", after)
    assert not any("expected" in prompt or "400" in prompt for prompt in asked(said))


def test_each_weighing_is_an_entry_of_its_own(rick):
    before = rick.entries()
    rick.done("weigh", answers=["", "399", "439", "q"])
    assert rick.entries() == before + 2


def test_enter_skips_and_what_is_left_is_told(rick):
    said = rick.done("weigh", answers=["", "", "439", "", "0", "q"])
    assert said.out == "1 weighed, 3 left: 2C 4E 6G. Not found: 5F.\n"
    assert stored(rick) == [("3D", 439.0)]


def test_minus_goes_back(rick):
    said = rick.done("weigh", answers=["", "-", "399", "-", "399", "q"])
    assert [prompt[:6] for prompt in asked(said)[1:]] == ["1/5  2", "1/5  2", "2/5  3", "1/5  2", "2/5  3"]
    assert "2C was weighed that day already (399 g); both are kept." in said.err
    assert said.out.startswith("1 weighed, 4 left: 3D")


@pytest.mark.parametrize("end", [[], ["q"], ["*"], ["quit"]])
def test_the_end_of_the_input_or_a_word_stops_and_keeps(rick, end):
    said = rick("weigh", answers=["", "399", *end])
    assert said.code == 0
    assert said.out == "1 weighed, 4 left: 3D 4E 5F 6G.\n"
    assert stored(rick) == [("2C", 399.0)]


def test_interrupted_nothing_entered_is_lost(rick):
    said = rick("weigh", answers=["", "399", "439", CTRL_C])
    assert said.code == 130
    assert said.out == "2 weighed, 3 left: 4E 5F 6G.\n"
    assert stored(rick) == [("2C", 399.0), ("3D", 439.0)]


def test_an_answer_that_cannot_be_read_is_asked_again(rick):
    said = rick.done("weigh", answers=["", "4o8", "nan", "-399", "1-8.5", "1,250", "399", "q"])
    assert '     "4o8": a letter O for a zero? Write 408.' in said.err
    assert '"-399": a weight cannot be negative' in said.err
    assert stored(rick) == [("2C", 399.0)]


def test_a_walk_of_another_day(rick):
    said = rick.done("weigh", "--on", "2026-05-20", "--note", "typed on Sunday", answers=["", "399", "q"])
    assert said.err.startswith("20 May 2026. 4 pieces due")
    row = rows(rick.book, "weighing")[-1]
    assert (row["on_text"], str(row["on_last"])) == ("2026-05-20", "2026-05-20")
    assert rows(rick.book, "entry")[-1]["note"] == "typed on Sunday"


def test_t16_a_late_sheet_asks_for_what_was_due_that_day(rick):
    rick.done("weigh", "2C", "399g", "3D", "439g", "4E", "479g", "5F", "519g")
    assert rick.done("weigh", answers=["", "q"]).err.startswith("1 Jun 2026. 1 piece due in 1 place.")
    assert rick.done("weigh", "--on", "2026-05-20", answers=["", "q"]).err.startswith("20 May 2026. 4 pieces due")


def test_a_dry_run_stores_nothing(rick):
    before = rick.entries()
    said = rick.done("weigh", "--dry-run", answers=["501", "399", "q"])
    assert said.err.count("Dry run: nothing was stored.") == 2
    assert rick.entries() == before


# Another piece


@pytest.mark.parametrize("mark", ["4E", "4e", "/4", "/4E", "K-3", "k-3", "/K-3"])
def test_a_mark_a_number_or_a_tag_jumps_to_its_piece(rick, mark):
    said = rick.done("weigh", answers=["", mark, "479", "399", "", "q"])
    assert '     4E "K-3"  black cherry  51 x 51 x 330 mm  > ' in said.err
    assert stored(rick) == [("4E", 479.0), ("2C", 399.0)]
    assert [prompt[:6] for prompt in asked(said)[1:]] == ["1/5  2", "     4", "1/5  2", "2/5  3", "4/5  5"]


def test_a_number_that_cannot_be_a_weight_here_is_the_piece_of_that_number(rick):
    said = rick.done("weigh", answers=["", "4", "479", "q"])
    assert f"{BELL}     4: the piece 4E, not a weight of 2C" in said.err
    assert stored(rick) == [("4E", 479.0)]


def test_a_number_that_is_no_piece_either_is_a_doubtful_weight(rick):
    said = rick.done("weigh", answers=["", "40", "", "q"])
    assert "     40 g would be 360 g less" in said.err
    assert "The point misplaced (400)?" in said.err or "A digit missing (400)?" in said.err
    assert stored(rick) == []


def test_a_label_that_reads_as_grams_is_the_label(rick):
    """6G is the mark of piece 6; 6g are six grams."""
    said = rick.done("weigh", answers=["", "6G", "599", "q"])
    assert "     6G  unknown" in said.err
    assert stored(rick) == [("6G", 599.0)]


def test_a_jump_may_be_left_again(rick):
    for leave in ("", "-"):
        said = rick.done("weigh", answers=["", "4E", leave, "q"])
        assert [prompt[:6] for prompt in asked(said)[1:]] == ["1/5  2", "     4", "1/5  2"]
    assert stored(rick) == []


@pytest.mark.parametrize(
    ("typed", "told"),
    [("4C", "no piece 4C; the mark for 4 is 4E."), ("/99", "no piece 99."), ("K-9", 'no piece "K-9"')],
)
def test_a_mark_that_is_none_is_said_and_asked_again(rick, typed, told):
    said = rick.done("weigh", answers=["", typed, "399", "q"])
    assert told in said.err
    assert stored(rick) == [("2C", 399.0)]


def test_a_piece_that_is_gone_is_refused_and_the_round_goes_on(rick):
    said = rick.done("weigh", answers=["", "/1", "3000", "", "399", "q"])
    assert "1B was sawn up on 2 January 2024: it cannot be weighed." in said.err
    assert stored(rick) == [("2C", 399.0)]


def test_the_number_pad_alone_suffices(rick):
    answers = ["500", "399", "/5", "519", "0", "490", "+", "-", "480", "+", "*"]
    said = rick.done("weigh", answers=answers)
    assert set("".join(answers)) <= set("0123456789/*-+.")
    assert stored(rick) == [("2C", 399.0), ("5F", 519.0), ("4E", 490.0), ("4E", 480.0)]
    assert said.out == "3 weighed, 1 left: 6G. Not found: 3D.\n"


def test_when_nothing_is_due_any_mark_may_come(rick):
    rick.done("weigh", "2C", "399g", "3D", "439g", "4E", "479g", "5F", "519g", "6G", "599g")
    said = rick.done("weigh", answers=["", "4", "479", "nonsense", "/5", "519", ""])
    assert said.err.startswith("1 Jun 2026. Nothing is due.")
    assert 'no piece "nonsense"' in said.err
    assert stored(rick)[5:] == [("4E", 479.0), ("5F", 519.0)]
    assert said.out == "2 weighed.\n"


# Doubt


def test_t05_a_doubt_is_a_question_with_its_causes_in_order_and_a_bell(rick):
    said = rick.done("weigh", answers=["", "", "", "", "259", "519", "q"])
    lines = said.err.splitlines()
    at = next(i for i, line in enumerate(lines) if "259 g would be" in line)
    assert BELL in lines[at]
    told = " ".join(" ".join(lines[at:]).split())
    assert "261 g less than on 1 March 2026; expected" in told
    assert "weight again, or k to keep 259 > " in told
    assert stored(rick) == [("5F", 519.0)]
    assert rows(rick.book, "weighing")[-1]["insisted"] == 0


@pytest.mark.parametrize("keep", ["k", "K", "keep", "+"])
def test_t05_the_person_may_insist_and_that_is_recorded(rick, keep):
    rick.done("weigh", answers=["", "490", keep, "q"])
    row = rows(rick.book, "weighing")[-1]
    assert (row["mass_g"], row["insisted"]) == (490.0, 1)
    assert row["doubt"].startswith("2C: 490 g would be")


def test_t05_swapped_digits_are_the_first_cause(rick):
    said = rick.done("weigh", answers=["", "", "493", "439", "q"])
    assert re.search(r"\n +Last digits swapped \(439\)\?", said.err)
    assert stored(rick) == [("3D", 439.0)]


def test_a_doubtful_weight_may_be_left_out(rick):
    said = rick.done("weigh", answers=["", "490", "", "439", "q"])
    assert "     left out" in said.err
    assert stored(rick) == [("3D", 439.0)]


def test_a_second_doubtful_weight_is_asked_about_too(rick):
    said = rick.done("weigh", answers=["", "490", "900", "399", "q"])
    assert said.err.count("or k to keep") == 2
    assert stored(rick) == [("2C", 399.0)]


def test_t07_the_neighbour_is_named_and_two_crossing_jumps_suggest_a_swap(rick):
    said = rick.done("weigh", answers=["", "440", "k", "400", "k", "q"])
    assert "Its neighbour 3D (" in said.err
    first, second = said.err.split("2/5  3D")
    assert "look swapped" not in first
    assert "2C (440 g) and 3D (400 g) look swapped: each weighs what the other should." in " ".join(second.split())


def test_t07_a_weight_that_was_mended_suggests_no_swap(rick):
    assert "look swapped" not in rick.done("weigh", answers=["", "440", "400", "400", "440", "q"]).err


def test_t02_a_weight_in_another_unit_is_asked_about(rick):
    said = rick.done("weigh", answers=["", "14.1", "14.1 oz", "q"])
    assert "The unit: 14.1 oz (400 g)?" in said.err
    assert rows(rick.book, "weighing")[-1]["mass_g"] == pytest.approx(14.1 * 28.349523125)


# An end check


@pytest.mark.parametrize(
    ("answers", "end"), [(["c 40", "b"], "butt"), (["c 40mm", "top"], "top"), (["C 4 cm", ""], None)]
)
def test_an_end_check_seen_on_the_way(rick, answers, end):
    said = rick.done("weigh", answers=["", *answers, "399", "q"])
    (row,) = rows(rick.book, "defect")
    assert (row["kind"], row["end"], row["length_mm"]) == ("end check", end, 40.0)
    assert "     end check of 40 mm (1 9/16 in) noted; " in said.err
    assert stored(rick) == [("2C", 399.0)]


def test_an_end_check_that_cannot_be_is_said(rick):
    said = rick.done("weigh", answers=["", "c 400", "", "399", "q"])
    assert "beyond its length of 330 mm" in said.err
    assert rows(rick.book, "defect") == []


# The scales


def test_scales_that_read_high_are_reckoned_with(rick):
    said = rick.done("weigh", answers=["510", "409", "q"])
    assert "reads 10 g high: reckoned with from this day on" in said.err
    assert "or k to keep" not in said.err
    assert stored(rick) == [("2C", 409.0)]


def test_a_check_that_is_far_off_is_asked_again(rick):
    said = rick.done("weigh", answers=["700", "500", "399", "q"])
    assert "+40 % off" in said.err
    assert [row["read_g"] for row in rows(rick.book, "scales_check")] == [500.0, 500.0]


def test_of_several_scales_one_is_asked_for_and_gives_the_unit(rick):
    rick.done("scales", "postal", "--step", "0.1oz", "--unit", "oz")
    said = rick.done("weigh", answers=["9", "2", "14.1", "q"])
    assert "Which scales: 1 kitchen, 2 postal? (Enter: not told) > " in said.err
    row = rows(rick.book, "weighing")[-1]
    assert row["mass_g"] == pytest.approx(14.1 * 28.349523125)
    assert row["scales_id"] == rows(rick.book, "scales")[1]["id"]
    assert re.search(r"     14 1/8 oz \(expected [\d /]+ oz to [\d /]+ oz\)", said.err)


def test_scales_as_named_and_scales_unknown(rick):
    assert "which scales" not in rick.done("weigh", "--scales", "Kitchen", answers=["", "q"]).err.lower()
    said = rick("weigh", "--scales", "bathroom", answers=["q"])
    assert said.code == 3
    assert 'no scales "bathroom" are on the book' in said.err


def test_without_units_the_unit_of_the_round_is_asked(tmp_path, monkeypatch, capsys):
    rick = Rick(tmp_path / "book.rick", monkeypatch, capsys)
    rick.done("add", "--kind", "blank", "--square", "51mm", "--length", "330mm")
    said = rick.done("weigh", answers=["stone", "oz", "20", "q"])
    assert said.err.count("Bare numbers in this round are g, kg, oz or lb? > ") == 2
    assert rows(rick.book, "weighing")[-1]["mass_g"] == pytest.approx(20 * 28.349523125)
    assert rows(rick.book, "setting") == []


# Without a terminal


def piped(book: Path, answers: bytes, *words: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(command(*words), input=answers, capture_output=True, env=environment(book), check=False)


def command(*words: str) -> list[str]:
    """Rick in a process of its own, on the day of the tests."""
    code = f"import sys, datetime; from stock.cli import main; day = datetime.date.fromisoformat('{TODAY}')"
    return [sys.executable, "-c", f"{code}; sys.exit(main({['weigh', *words]!r}, today=day))"]


def environment(book: Path) -> dict[str, str]:
    return {"RICK_BOOK": str(book), "PYTHONPATH": str(ROOT), "PATH": os.environ["PATH"], "TERM": "dumb"}


def test_answers_may_come_from_a_pipe(rick):
    done = piped(rick.book, b"500\n4E\n479\n399\n\n")
    assert done.returncode == 0, done.stderr
    assert done.stdout == b"2 weighed, 3 left: 3D 5F 6G.\n"
    assert stored(rick) == [("4E", 479.0), ("2C", 399.0)]
    assert b"> 399\n     399 g (expected " in done.stderr


def test_answers_that_are_no_text_are_refused_like_any_other(rick):
    done = piped(rick.book, b"\n\xff\xfe9\n399\nq\n")
    assert done.returncode == 0, done.stderr
    assert stored(rick) == [("2C", 399.0)]


def test_nobody_there_is_a_usage_error(rick):
    before = rick.entries()
    done = piped(rick.book, b"")
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr.decode().splitlines()[-2:] == [
        "rick: a round of weighing asks along, and nobody answers here.",
        "  Give what it takes on the line: --help.",
    ]
    assert rick.entries() == before
    said = rick("weigh", "--json")
    assert (said.code, said.json["code"]) == (2, "usage")


def test_a_round_as_json(rick):
    done = piped(rick.book, b"\n399\n0\nq\n", "--json")
    assert json.loads(done.stdout) == {
        "on": "2026-06-01",
        "weighed": [{"mark": "2C", "mass_g": 399.0}],
        "left": ["4E", "5F", "6G"],
        "not_found": ["3D"],
    }


def test_without_a_terminal_and_without_units_a_bare_number_is_refused(tmp_path, monkeypatch, capsys):
    rick = Rick(tmp_path / "book.rick", monkeypatch, capsys)
    rick.done("add", "--kind", "blank", "--square", "51mm", "--length", "330mm")
    done = piped(rick.book, b"600\n600 g\n")
    assert b'"600" has no unit.' in done.stderr
    assert [row["mass_g"] for row in rows(rick.book, "weighing")] == [600.0]


@pytest.mark.skipif(sys.platform == "win32", reason="there are no such terminals")
def test_on_a_real_terminal(rick):
    import pty

    ours, theirs = pty.openpty()
    with subprocess.Popen(command(), stdin=theirs, stdout=theirs, stderr=theirs, env=environment(rick.book)) as process:
        os.close(theirs)
        try:
            heard = ""
            for wait_for, answer in (("reads?", "500\n"), ("2C", "490\n"), ("to keep", "399\n"), ("3D", "\x04")):
                heard += _hear(ours, wait_for)
                os.write(ours, answer.encode())
            heard += _hear(ours, "weighed")
            assert process.wait(20) == 0
        finally:
            process.kill()
            os.close(ours)
    assert BELL in heard
    assert "1 weighed, 4 left: 3D 4E 5F 6G." in heard
    assert stored(rick) == [("2C", 399.0)]


def _hear(terminal: int, until: str) -> str:
    """What comes on a terminal, until it has said something and then waits."""
    heard, patience = "", time.monotonic() + 20
    while time.monotonic() < patience:
        if select.select([terminal], [], [], 0.2)[0]:
            try:
                heard += os.read(terminal, 4096).decode()
            except OSError:  # the other side has gone
                return heard
        elif until in heard:
            return heard
    raise AssertionError(f"waited for {until!r}, heard {heard!r}")


def test_no_line_is_wider_than_a_terminal(rick):
    answers = ["", "440", "k", "400", "k", "c 40", "b", "479", "4E", "900", "", "nonsense", "519", "q"]
    said = rick.done("weigh", answers=answers)
    lines = [line for talk in said.err.split("> ") for line in talk.replace(BELL, "").splitlines()]
    assert [line for line in lines if len(line) > 80] == []
