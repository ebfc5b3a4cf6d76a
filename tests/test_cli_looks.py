"""rick defect and figure: what is seen on a piece, what it leaves of it, and what is refused."""

from pathlib import Path

import pytest
from desk_side import Rick
from found import defects, piece, rows
from stocked import copied, refused

BLANK = (
    "book units metric",
    "add --kind blank --species 'black cherry' --square 51mm --length 330mm --place shed --on 2026-02-02",
)


@pytest.fixture
def rick(tmp_path: Path, monkeypatch, capsys) -> Rick:
    return Rick(copied(BLANK, tmp_path / "own" / "book.rick"), monkeypatch, capsys)


# Defects


def test_t14_the_clear_length_is_shown_as_a_sum(rick):
    said = rick.done("defect", "1B", "end", "check", "--end", "butt", "--length", "40mm", "--on", "2026-05-30")
    lines = said.out.splitlines()
    assert lines[0] == "1B  end check of 40 mm (1 9/16 in) at the butt end on 30 May 2026"
    told = " ".join(" ".join(lines[1:]).split())
    assert told == (
        "clear: length 330 mm (13 in) - 40 mm (1 9/16 in) end check at the butt end - 13 mm (1/2 in) clean wood at the "
        "butt end - 13 mm (1/2 in) clean wood at the top end = 265 mm (10 7/16 in)"
    )
    assert len(lines) <= 6
    assert all(len(line) <= 80 for line in said.lines)
    assert defects(rick.book, "1B") == [("end check", "butt", None, 40.0)]


def test_the_next_look_tells_the_growth(rick):
    rick.done("defect", "1B", "end check", "--end", "butt", "--length", "40mm", "--on", "2026-04-01")
    said = rick.done("defect", "1B", "end check", "--end", "butt", "--length", "52", "--on", "2026-05-01")
    assert said.out.splitlines()[1] == "12 mm longer than on 1 April 2026"
    again = rick.done("defect", "1B", "end check", "--end", "butt", "--length", "2 1/16 in")
    assert again.out.splitlines()[1].endswith("than on 1 May 2026")
    shorter = rick.done("defect", "1B", "end check", "--end", "butt", "--length", "30mm")
    assert "in damp weather checks close, not heal" in shorter.err
    assert len(rows(rick.book, "defect")) == 4
    assert len(defects(rick.book, "1B")) == 1


def test_a_caution_defers_and_is_said_once(rick):
    said = rick.done("defect", "1B", "ring", "shake", "--face", "a")
    assert said.out.splitlines()[0] == "1B  ring shake on face A"
    assert "a ring shake bars a piece from being a stave" in said.out
    assert " ".join(said.err.split()).startswith("Caution: not sound (ring shake): cutting off is better than gluing;")
    assert said.err.count("Caution:") == 1
    assert "metal inside" in rick.done("defect", "1B", "nail").err


def test_a_defect_that_is_gone(rick):
    rick.done("defect", "1B", "metal", "--face", "B", "--from-butt", "100mm")
    said = rick.done("defect", "1B", "metal", "--face", "B", "--from-butt", "100mm", "--gone")
    assert said.out.splitlines()[0] == "1B  gone: metal on face B"
    assert said.err == ""
    assert defects(rick.book, "1B") == [] or rows(rick.book, "defect")[-1]["how_many"] == 0


def test_everything_said_of_a_defect_is_kept(rick):
    rick.done("defect", "1B", "knot", "--face", "c", "--length", "20mm", "--depth", "8mm", "--width", "15 mm",
              "--from-butt", "0", "--count", "2", "--severity", "Moderate", "--seen", "by eye",
              "--note", "[x] :wood:")  # fmt: skip
    (row,) = rows(rick.book, "defect")
    found = {name: row[name] for name in ("kind", "face", "length_mm", "depth_mm", "width_mm", "from_butt_mm")}
    assert found == {
        "kind": "knot",
        "face": "C",
        "length_mm": 20.0,
        "depth_mm": 8.0,
        "width_mm": 15.0,
        "from_butt_mm": 0.0,
    }
    assert (row["how_many"], row["severity"], row["how_seen"]) == (2, "moderate", "by eye")
    assert rows(rick.book, "entry")[-1]["note"] == "[x] :wood:"


def test_a_defect_as_json(rick):
    words = [
        "end",
        "check",
        "--end",
        "top",
        "--length",
        "1",
        "1/2",
        "in",
        "--note",
        "seen",
        "in",
        "the",
        "sun",
        "--json",
    ]
    document = rick.done("defect", "1B", *words).json
    assert rows(rick.book, "entry")[-1]["note"] == "seen in the sun"
    assert (document["mark"], document["kind"], document["end"]) == ("1B", "end check", "top")
    assert document["length_mm"] == pytest.approx(38.1)
    assert document["usable_length_before_mm"] == pytest.approx(330 - 2 * 12.7)  # 1/2 in clean at each end
    assert document["usable_length_mm"] == pytest.approx(330 - 38.1 - 2 * 12.7)
    assert document["stored"] is True


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (["wobble"], 3, 'no defect is called "wobble"'),
        (["end check", "--end", "side"], 3, '"side"'),
        (["knot", "--face", "E"], 3, '"E"'),
        (["end check", "--length", "nan"], 3, '1B: "nan": not a number'),
        (["end check", "--length", "inf"], 3, '1B: "inf": not a number'),
        (["end check", "--length", "-40mm"], 3, '1B: "-40mm": a length cannot be negative'),
        (["end check", "--length", "400mm"], 3, '1B: an end check of "400mm" is beyond its length of 330 mm'),
        (["end check", "--length", "40 g"], 3, '1B: "40 g" is a weight, not a length'),
        (["knot", "--count", "some"], 3, '1B: --count "some" is not a whole number'),
        (["knot", "--count", "-1"], 3, '1B: --count "-1" is not a whole number'),
        (["knot", "--severity", "awful"], 3, '"awful"'),
        (["knot", "--on", "2027-01-01"], 3, "has not come yet"),
        (["knot", "--on", "2020-01-01"], 3, "1B would be looked at on 1 January 2020"),
        ([], 2, "missing argument"),
    ],
)
def test_bad_input_of_a_defect(rick, words, code, told):
    said = refused(rick, "defect", "1B", *words)
    assert said.code == code
    assert told in said.err.splitlines()[0]
    assert rows(rick.book, "defect") == []


def test_a_doubtful_date_may_be_insisted_on(rick):
    assert "insist on it: --insist" in refused(rick, "defect", "1B", "knot", "--on", "2020-01-01").err
    assert "1B would be looked at" in rick.done("defect", "1B", "knot", "--on", "2020-01-01", "--insist").err


# Figure


def test_figure_is_said_back_as_it_was_understood(rick):
    said = rick.done("figure", "1B", "curly", "ray", "fleck", "--part", "heart", "--rings", "rift", "--face", "a",
                     "--bark-side", "b", "--sap-faces", "b,c", "--run-out", "1", "in", "12", "--no-pith",
                     "--grade", "best")  # fmt: skip
    assert " ".join(said.out.split()).startswith(
        "1B face A: curl, ray fleck, heartwood, rings at 45 degrees, bark side B, sap on BC, runs out 1 in 12,"
        ' no pith in it, "best" 1B '
    )
    look = piece(rick.book, "1B").look
    assert (look.part, look.ring_deg, look.bark_face, look.sap_faces, look.run_out, look.pith_in) == (
        "heart", 45.0, "B", "BC", 12.0, False)  # fmt: skip
    assert look.traits == {"curl", "ray fleck"}
    assert all(len(line) <= 80 for line in said.lines)


def test_spalting_is_cautioned(rick):
    assert "Caution: spalted wood: respirator" in rick.done("figure", "1B", "spalted").err
    assert rick.done("figure", "1B", "curl").err == ""


def test_figure_as_json(rick):
    document = rick.done("figure", "1B", "curl", "--rings", "20", "--json").json
    assert (document["mark"], document["traits"], document["ring_deg"], document["part"]) == (
        "1B",
        ["curl"],
        20.0,
        None,
    )


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        ([], 3, "1B: nothing was said of its looks"),
        (["--rings", "91"], 3, '1B: "91"'),
        (["--rings", "nan"], 3, '1B: "nan"'),
        (["--run-out", "nan"], 3, '1B: a run-out of "nan" cannot be'),
        (["--run-out", "-3"], 3, '1B: a run-out of "-3" cannot be'),
        (["--run-out", "steep"], 3, '1B: "steep" is no run-out'),
        (["--part", "middle"], 3, '"middle"'),
        (["--bark-side", "E"], 3, '"E"'),
    ],
)
def test_bad_input_of_figure(rick, words, code, told):
    said = refused(rick, "figure", "1B", *words)
    assert said.code == code
    assert told in said.err.splitlines()[0]
    assert rows(rick.book, "look") == []
