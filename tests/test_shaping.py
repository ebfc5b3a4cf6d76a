"""Trimming and planing: what was and is, what the weights say, what becomes of the defects at the ends."""

import pytest
from found import defects, piece, rows
from said import TODAY, day, g, mm, raw

from stock.book import opening
from stock.book.facts import facts
from stock.book.naming import Names
from stock.book.records import Defect, Departure, Oven, Scales, Section, Weighing
from stock.errors import Doubtful, Impossible, NotNow, Unclear, Unknown
from stock.survey.courses import Reckoning
from stock.yard.cutting import cut
from stock.yard.felling import add, fell
from stock.yard.shaping import plane, trim

MADE = day("2025-03-02")
ON = day("2025-07-05")
LATER = day("2025-08-01")
BLANK = {"kind": "blank", "on": MADE, "length": mm(330), "width": mm(52), "thickness": mm(51), "surface": "rough"}


@pytest.fixture
def blank(page) -> str:
    with page("add") as p:
        return add(p, **BLANK).mark


def note(page, mark: str, **defect) -> None:
    with page("defect") as p:
        p.put(Defect(piece_id=Names(p.connection).piece(mark).id, on_last=MADE.last, **defect))


# Trimming


def test_t4_a_trim_keeps_the_weights_before_and_after(book, page, blank):
    with page("trim") as p:
        done = trim(p, piece=blank, on=ON, before=g("500 g"), after=g("1 lb"), length=mm(300))
    assert (done.before_g, done.after_g) == (500, pytest.approx(453.59237))
    assert (done.length_before_mm, done.length_after_mm, done.agree, done.warnings) == (330, 300, True, ())
    (operation,) = rows(book, "operation")
    before, after = rows(book, "weighing")
    assert (operation["kind"], operation["ends_piece"]) == ("trim", False)
    assert {before["operation_id"], after["operation_id"]} == {operation["id"]}
    assert (before["role"], before["typed"], before["step_g"]) == ("before", {"mass_g": "500 g"}, 1)
    assert (after["role"], after["typed"]) == ("after", {"mass_g": "1 lb"})
    assert rows(book, "size")[-1]["operation_id"] == operation["id"]
    assert piece(book, blank).size.length_mm == 300
    assert piece(book, blank).size.width_mm == 52


def test_t4_a_trim_does_not_dry_wood(book, page):
    # Worked by hand: green 668 g at 70 % is 392.9 g dry; later 450 g is 14.5 %. Trimmed to 420 g it is still 14.5 %
    # of 366.7 g; 420 g over the old dry mass would read 6.9 %.
    with page() as p:
        one = add(p, **BLANK)
        p.put(Weighing(piece_id=one.id, mass_g=668, step_g=1, on_first=MADE.first, on_last=MADE.last))
        section = p.put(Section(piece_id=one.id, wet_g=170, step_g=0.1, on_first=MADE.first, on_last=MADE.last))
        p.put(Oven(section_id=section, mass_g=100, step_g=0.1, final=True, on_last=MADE.last))
        trim(p, piece=one.mark, on=ON, before=g(450), after=g(420))
    with opening.reading(book) as connection:
        dryness = Reckoning(facts(connection, TODAY)).of(one.id)
    assert dryness.mc_pct == pytest.approx(14.5, abs=0.1)
    assert dryness.oven_dry_g == pytest.approx(366.7, abs=0.5)


def test_t4_weight_and_length_that_disagree_are_pointed_out(page, blank):
    with page() as p:
        done = trim(p, piece=blank, on=ON, before=g(500), after=g(424), length=mm(310))
    assert done.agree is False
    assert "by weight 85%" in done.warnings[0]
    assert "by length 94%" in done.warnings[0]


def test_a_trim_without_weights_goes_by_length_and_says_so(page, blank):
    with page() as p:
        done = trim(p, piece=blank, on=ON, length=mm(300))
        half = trim(p, piece=blank, on=LATER, after=g(424), length=mm(290))
    assert (done.before_g, done.agree) == (None, None)
    assert "its dry mass follows the length, within about 2 %" in done.warnings[0]
    assert "not weighed before and after" in half.warnings[0]


def test_a_trim_that_tells_nothing_of_the_wood_left_says_what_is_lost(page):
    with page() as p:
        log = add(p, kind="log", on=MADE).mark
        assert "dry mass is lost" in trim(p, piece=log, on=ON, butt_off=mm(100)).warnings[0]
        with pytest.raises(Unclear, match="nothing says what was trimmed"):
            trim(p, piece=log, on=ON)


@pytest.mark.parametrize(
    ("words", "length", "off"),
    [
        ({"butt_off": mm(30)}, 300, (30, None)),
        ({"butt_off": mm(20), "top_off": mm(10)}, 300, (20, 10)),
        ({"length": mm(300)}, 300, (None, None)),
        ({"length": mm(300), "butt_off": mm(10)}, 300, (10, 20)),
        ({"length": mm(300), "top_off": mm(30)}, 300, (None, 30)),
        ({"length": mm(298), "top_off": mm(30)}, 298, (None, 30)),  # the saw took 2 mm
    ],
)
def test_lengths_and_what_came_off_follow_from_each_other(book, page, blank, words, length, off):
    with page() as p:
        assert trim(p, piece=blank, on=ON, before=g(500), after=g(450), **words).length_after_mm == length
    (operation,) = rows(book, "operation")
    assert (operation["butt_off_mm"], operation["top_off_mm"]) == off
    assert piece(book, blank).size.length_mm == length


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ({"before": g(420), "after": g(450)}, '"450 g" after and "420 g" before: trimming adds no weight'),
        ({"length": mm(340)}, 'was 330 mm long; trimming does not make it "340 mm"'),
        ({"butt_off": mm(200), "top_off": mm(130)}, "330 mm cannot come off it"),
        ({"length": mm(300), "butt_off": mm(40)}, "is 30 mm, not the 40 mm"),
        ({"length": mm(300), "butt_off": mm(10), "top_off": mm(5)}, "is 30 mm, not the 15 mm"),
        ({"before": raw(float("nan"), "odd")}, '"odd" is not a number'),
        ({"after": raw(float("inf"), "odd")}, '"odd" is not a number'),
        ({"before": raw(-5, "odd")}, '"odd" cannot be'),
        ({"length": raw(float("nan"), "odd")}, '"odd" is not a number'),
        ({"top_off": raw(-1, "odd")}, '"odd" cannot be'),
    ],
)
def test_a_trim_that_cannot_be_is_refused(book, page, blank, words, sentence):
    with pytest.raises(Impossible) as refused, page() as p:
        trim(p, piece=blank, on=ON, **words)
    assert sentence in refused.value.message
    assert refused.value.message.startswith(blank)
    assert refused.value.hint
    assert rows(book, "operation") == []


def test_a_trim_of_what_is_not_there(page, blank):
    with page() as p:
        tree = fell(p, species="", on=MADE).mark
        with pytest.raises(NotNow, match="is a tree"):
            trim(p, piece=tree, on=ON, butt_off=mm(10))
        with pytest.raises(Unknown):
            trim(p, piece="99Z", on=ON, butt_off=mm(10))
        with pytest.raises(Unknown, match="no scales"):
            trim(p, piece=blank, on=ON, before=g(500), after=g(400), scales="kitchen")
        cut(p, piece=blank, lengths=[mm(150), mm(150)], on=LATER)
        with pytest.raises(NotNow, match="was crosscut on 1 August 2025: it cannot be trimmed"):
            trim(p, piece=blank, on=LATER, butt_off=mm(10))


def test_t13_a_trim_before_the_piece_was_made_is_doubted(page, blank):
    sentence = f"{blank} would be trimmed on 1 February 2025, but {blank} was made on 2 March 2025"
    with pytest.raises(Doubtful, match=sentence), page() as p:
        trim(p, piece=blank, on=day("2025-02-01"), butt_off=mm(10))
    with page() as p:
        done = trim(p, piece=blank, on=day("2025-02-01"), butt_off=mm(10), insist=True)
    assert sentence in done.warnings[0]


def test_a_trim_entered_late_is_measured_against_the_piece_as_it_was(book, page, blank):
    with page() as p:
        trim(p, piece=blank, on=LATER, length=mm(250))
    with page() as p:
        done = trim(p, piece=blank, on=ON, length=mm(300))
    assert (done.length_before_mm, done.length_after_mm) == (330, 300)
    assert piece(book, blank).size.length_mm == 250


def test_a_trim_before_the_piece_was_cut_up_can_still_be_entered(page, blank):
    with page() as p:
        cut(p, piece=blank, lengths=[mm(150), mm(150)], on=LATER)
        assert trim(p, piece=blank, on=ON, before=g(500), after=g(480)).warnings == ()


@pytest.mark.parametrize(
    ("defect", "cuts", "left"),
    [
        ({"end": "butt", "length_mm": 40}, {"butt_off": mm(25)}, ("butt", None, 15)),
        ({"end": "butt", "length_mm": 40}, {"butt_off": mm(40)}, None),
        ({"end": "butt", "length_mm": 40}, {"top_off": mm(25)}, ("butt", None, 40)),
        ({"end": "both", "length_mm": 30}, {"butt_off": mm(30)}, ("top", None, 30)),
        ({"end": "both", "length_mm": 30}, {"butt_off": mm(10)}, ("both", None, 30)),
        ({"end": "both", "length_mm": 30}, {"butt_off": mm(10), "top_off": mm(20)}, ("both", None, 20)),
        ({"end": "both", "length_mm": 30}, {"butt_off": mm(35), "top_off": mm(30)}, None),
        ({"end": "top"}, {"top_off": mm(30)}, ("top", None, None)),
        ({"from_butt_mm": 100, "length_mm": 20}, {"butt_off": mm(40)}, (None, 60, 20)),
        ({"from_butt_mm": 30, "length_mm": 20}, {"butt_off": mm(40)}, (None, 0, 10)),
        ({"from_butt_mm": 10, "length_mm": 20}, {"butt_off": mm(40)}, None),
        ({"from_butt_mm": 310}, {"top_off": mm(40)}, None),
        ({"from_butt_mm": 280, "length_mm": 30}, {"top_off": mm(40)}, (None, 280, 10)),
        ({"face": "A"}, {"butt_off": mm(40)}, (None, None, None)),
    ],
)
def test_what_a_trim_leaves_of_a_defect(book, page, blank, defect, cuts, left):
    note(page, blank, kind="check", **defect)
    with page() as p:
        done = trim(p, piece=blank, on=ON, before=g(500), after=g(430), **cuts)
    assert defects(book, blank) == ([] if left is None else [("check", *left)])
    looks = rows(book, "defect")
    assert len(done.defects) == len(looks) - 1
    assert all(look["first_id"] == looks[0]["id"] for look in looks[1:])
    if left is None:
        assert "is cut off" in done.defects[0]
        assert looks[1]["cut_off_by_id"] == rows(book, "operation")[0]["id"]


def test_a_trim_of_an_end_not_said_leaves_the_defects_and_says_so(book, page, blank):
    note(page, blank, kind="check", end="butt", length_mm=40)
    with page() as p:
        done = trim(p, piece=blank, on=ON, before=g(500), after=g(430), length=mm(280))
    assert defects(book, blank) == [("check", "butt", None, 40)]
    assert "which end" in done.warnings[0]


# Planing


def test_t14_a_planed_piece_is_planed_from_then_on(book, page, blank):
    with page("plane") as p:
        done = plane(p, piece=blank, on=ON, width=mm(50), thickness=mm(50), before=g(500), after=g(471))
    assert (done.width_before_mm, done.thickness_before_mm, done.width_mm, done.thickness_mm) == (52, 51, 50, 50)
    assert (done.agree, done.warnings) == (True, ())
    now = piece(book, blank).size
    assert (now.width_mm, now.thickness_mm, now.length_mm, now.surface) == (50, 50, 330, "planed")
    assert [row["role"] for row in rows(book, "weighing")] == ["before", "after"]
    with opening.reading(book) as connection:
        early = facts(connection, MADE.last)
    assert [size.surface for size in early.sizes[1]] == ["rough"]


def test_a_turned_piece_is_not_called_planed(book, page, blank):
    with page() as p:
        done = plane(p, piece=blank, on=ON, width=mm(40), turned=True)
    assert (done.turned, done.width_mm, done.thickness_mm) == (True, 40, 51)
    assert rows(book, "operation")[0]["kind"] == "turn"
    assert piece(book, blank).size.surface == "rough"


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ({"width": mm(54)}, 'had a width of 52 mm; it cannot be "54 mm" now'),
        ({"thickness": mm("2 1/4 in")}, 'had a thickness of 51 mm; it cannot be "2 1/4 in" now'),
        ({"width": raw(float("nan"), "odd")}, '"odd" is not a number'),
        ({"before": g(400), "after": g(420)}, "planing adds no weight"),
    ],
)
def test_planing_that_cannot_be_is_refused(book, page, blank, words, sentence):
    with pytest.raises(Impossible) as refused, page() as p:
        plane(p, piece=blank, on=ON, **words)
    assert sentence in refused.value.message
    assert rows(book, "operation") == []


def test_two_readings_of_one_rule_may_differ(page, blank):
    with page() as p:  # 2 1/16 in is 52.4 mm
        assert plane(p, piece=blank, on=ON, width=mm("2 1/16 in"), thickness=mm(50)).width_mm == pytest.approx(
            52.39, abs=0.01
        )


# What a piece must be, to be worked on


def test_weights_keep_the_scales_they_were_read_on(book, page, blank):
    with page() as p:
        kitchen = p.put(Scales(name="Kitchen", step_g=5, on_last=MADE.last))
        trim(p, piece=blank, on=ON, before=g("500.0 g"), after=g(450), scales="kitchen")
    assert [(w["scales_id"], w["step_g"]) for w in rows(book, "weighing")] == [(kitchen, 5), (kitchen, 5)]


def test_a_piece_that_is_out_is_not_worked_on_until_it_is_back(page, blank):
    out = {"outcome": "given", "on_first": ON.first, "on_last": ON.last}
    with page() as p:
        p.put(Departure(piece_id=1, **out))
    for act in (
        lambda p: trim(p, piece=blank, on=LATER, butt_off=mm(10)),
        lambda p: cut(p, piece=blank, lengths=[mm(10)], on=day("2025-06-01")),
    ):
        with pytest.raises(NotNow, match=f"{blank} is out \\(given by 5 July 2025\\)") as refused, page() as p:
            act(p)
        assert "rick out" in refused.value.hint
    with page() as p:
        trim(p, piece=blank, on=day("2025-06-01"), butt_off=mm(10))
        p.put(Departure(piece_id=1, outcome=None, on_last=LATER.last))
        trim(p, piece=blank, on=LATER, butt_off=mm(10))
