"""Defects seen and seen again, and what a piece looks like."""

import pytest
from said import day, mm, raw

from stock.book import opening
from stock.book.facts import facts
from stock.book.naming import Names
from stock.book.records import METADATA, SetMember, StaveSet
from stock.errors import Doubtful, Impossible, NotNow, Unclear
from stock.survey.pieces import Piece, Pieces
from stock.typed import Typed
from stock.yard.cutting import cut
from stock.yard.felling import add
from stock.yard.noting import DefectLine, Seen, defect, defect_many, figure
from stock.yard.seen import kind_of
from stock.yard.shaping import trim

ON = day("2026-03-02")
LATER = day("2026-05-01")


@pytest.fixture
def blank(page):
    """1B: a square of 12 in."""
    with page() as p:
        add(p, kind="blank", on=ON, length=mm("12 in"), width=mm(51), thickness=mm(51), tag="a")


def rows(book, table: str = "defect") -> list:
    with opening.reading(book) as connection:
        return list(connection.execute(METADATA.tables[table].select().order_by("id")).mappings())


def piece(book, text: str) -> Piece:
    with opening.reading(book) as connection:
        named = Names(connection).piece(text)
        return Pieces(facts(connection, day("today").last, [named.id]))[named.id]


def test_t14_usable_is_what_two_checks_and_clean_wood_leave(page, blank):
    # 12 in with checks of 1 1/4 and 3/4 in and 1/2 in of clean wood at each end: 9 in. Common practice, from the trade.
    with page("defect") as p:
        first = defect(p, piece="a", kind="end check", end="butt", length=mm("1 1/4 in"), on=ON)
        second = defect(p, piece="a", kind="end check", end="top", length=mm("3/4 in"), on=ON)
    assert first.usable_before_mm == pytest.approx(11 * 25.4)
    assert second.usable_before_mm == first.usable_after_mm == pytest.approx(9.75 * 25.4)
    assert second.usable_after_mm == pytest.approx(9 * 25.4)
    assert second.usable_words.startswith("length 304.8 mm - 31.8 mm end check at the butt end")
    assert second.usable_words.endswith("= 228.6 mm")


def test_everything_that_was_seen_is_stored_as_typed(book, page, blank):
    with page() as p:
        defect(
            p,
            piece="a",
            kind="surface check",
            face="b",
            length=mm("3 in"),
            depth=mm(4),
            width=raw(0.0, "0 mm"),
            from_butt=mm(60),
            how_many=3,
            severity="moderate",
            how_seen="feeler",
            on=ON,
        )
    (row,) = rows(book)
    assert (row["kind"], row["face"], row["depth_mm"], row["width_mm"], row["from_butt_mm"]) == (
        "surface check",
        "B",
        4,
        0,
        60,
    )
    assert (row["length_mm"], row["how_many"], row["severity"], row["how_seen"]) == (76.2, 3, "moderate", "feeler")
    assert row["typed"]["length_mm"] == "3 in"


def test_another_look_at_the_same_end_is_the_same_defect_and_tells_its_growth(book, page, blank):
    with page() as p:
        first = defect(p, piece="a", kind="end check", end="butt", length=mm(22), on=ON)
        again = defect(p, piece="a", kind="end check", end="butt", length=mm(40), on=LATER)
        other = defect(p, piece="a", kind="end check", end="top", length=mm(10), on=LATER)
    assert (again.first_id, again.was_mm, again.grown_mm) == (first.id, 22, 18)
    assert (other.first_id, other.was_mm) == (other.id, None)
    assert [row["first_id"] for row in rows(book)] == [None, first.id, None]
    assert [one.length_mm for one in piece(book, "a").defects] == [40, 10]


def test_a_look_entered_late_is_compared_with_the_one_before_it(book, page, blank):
    with page() as p:
        first = defect(p, piece="a", kind="end check", end="butt", length=mm(22), on=ON)
        defect(p, piece="a", kind="end check", end="butt", length=mm(40), on=LATER)
        late = defect(p, piece="a", kind="end check", end="butt", length=mm(30), on=day("2026-04-01"))
    assert (late.first_id, late.was_mm, late.grown_mm) == (first.id, 22, 8)
    assert [one.length_mm for one in piece(book, "a").defects] == [40]
    assert late.usable_before_mm == late.usable_after_mm


def test_two_knots_of_one_face_are_two_if_their_places_are_apart(page, blank):
    with page() as p:
        one = defect(p, piece="a", kind="knot", face="A", from_butt=mm(60), length=mm(15), on=ON)
        two = defect(p, piece="a", kind="knot", face="A", from_butt=mm(200), length=mm(15), on=ON)
        again = defect(p, piece="a", kind="knot", face="A", from_butt=mm(205), length=mm(18), on=LATER)
    assert two.first_id == two.id != one.id
    assert again.first_id == two.id


def test_a_check_that_closed_is_not_healed(page, blank):
    with page() as p:
        defect(p, piece="a", kind="end check", end="butt", length=mm(40), on=ON)
        closed = defect(p, piece="a", kind="end check", end="butt", length=mm(20), on=LATER)
    assert closed.grown_mm == -20
    assert "checks close, not heal" in closed.warnings[0]


def test_what_is_gone_is_gone_from_the_piece_and_stays_in_the_book(book, page, blank):
    with page() as p:
        defect(p, piece="a", kind="metal", face="A", from_butt=mm(100), on=ON)
        pulled = defect(p, piece="a", kind="nail", face="A", on=LATER, gone=True)
        never = defect(p, piece="a", kind="punk", on=LATER, gone=True)
    assert not pulled.bars
    assert never.warnings == ("no punk of 1B was on the book; that it is gone is noted.",)
    assert piece(book, "a").defects == ()
    assert len(rows(book)) == 3


def test_after_a_trim_a_check_at_that_end_is_a_new_one(page, blank):
    with page() as p:
        old = defect(p, piece="a", kind="end check", end="butt", length=mm(20), on=ON)
        trim(p, piece="a", on=day("2026-04-01"), butt_off=mm(30))
        new = defect(p, piece="a", kind="end check", end="butt", length=mm(5), on=LATER)
    assert new.first_id == new.id != old.id
    assert new.was_mm is None


@pytest.mark.parametrize("kind", ["ring shake", "punk", "bark inclusion", "loose knot"])
def test_kinds_that_bar_always_say_so(page, blank, kind):
    with page() as p:
        assert defect(p, piece="a", kind=kind, on=ON).bars


@pytest.mark.parametrize(
    ("typed", "end", "face", "kind"),
    [
        ("Check", "top", None, "end check"),
        ("check", None, "A", "surface check"),
        ("SHAKE", None, None, "ring shake"),
        ("bark_pocket", None, None, "bark inclusion"),
        ("spalting", None, None, "spalt"),
        ("case hardening", None, None, "case-hardening"),
        ("end-check", None, None, "end check"),
    ],
)
def test_other_words_of_the_trade(typed, end, face, kind):
    assert kind_of(typed, end, face) == kind


@pytest.mark.parametrize("typed", ["check", "chekc", "", "woodworm castle"])
def test_a_kind_that_is_not_known_is_refused_with_the_nearest(page, blank, typed):
    with pytest.raises(Unclear) as refused, page() as p:
        defect(p, piece="a", kind=typed, on=ON)
    assert typed in refused.value.message
    assert "check" in refused.value.hint


@pytest.mark.parametrize("field", ["length", "depth", "width", "from_butt"])
@pytest.mark.parametrize("value", [float("nan"), float("inf"), -3.0])
def test_measures_that_cannot_be(book, page, blank, field, value):
    with pytest.raises(Impossible), page() as p:
        defect(p, piece="a", kind="knot", on=ON, **{field: raw(value, "odd")})
    assert rows(book) == []


def test_a_defect_does_not_reach_beyond_its_piece(page, blank):
    with pytest.raises(Impossible, match='an end check of "13 in" is beyond its length of 305 mm'), page() as p:
        defect(p, piece="a", kind="end check", end="butt", length=mm("13 in"), on=ON)
    with pytest.raises(Impossible, match="beyond its length"), page() as p:
        defect(p, piece="a", kind="knot", from_butt=mm(300), length=mm(20), on=ON)


def test_ends_faces_and_severities_that_are_none(page, blank):
    for told in ({"end": "left"}, {"face": "E"}, {"severity": "huge"}):
        with pytest.raises(Unclear), page() as p:
            defect(p, piece="a", kind="knot", on=ON, **told)
    with page() as p:
        assert defect(p, piece="a", kind="check", face="butt", length=mm(5), on=ON).end == "butt"


def test_t18_a_set_that_holds_the_piece_is_flagged(page, blank):
    with page() as p:
        held = p.put(StaveSet(name="tall vase", on_last=ON.last))
        p.put(SetMember(set_id=held, piece_id=1, corner=1, on_last=ON.last))
    with page() as p:
        done = defect(p, piece="a", kind="end check", end="butt", length=mm(9), on=LATER)
    assert done.sets == ("tall vase",)


def test_a_piece_that_is_gone_or_not_yet_made_is_not_looked_at(page, blank):
    with pytest.raises(Doubtful, match="made on 2 March 2026"), page() as p:
        defect(p, piece="a", kind="knot", on=day("2026-01-01"))
    with page() as p:
        cut(p, piece="a", lengths=[mm(100), mm(100)], on=LATER)
    with pytest.raises(NotNow, match="crosscut"), page() as p:
        defect(p, piece="1B", kind="knot", on=day("2026-05-02"))


def test_a_sheet_of_defects(book, page, blank):
    lines = [
        DefectLine("a", LATER, Seen("end check", end="butt", length=mm(40))),
        DefectLine("1B", ON, Seen("end check", end="butt", length=mm(22))),
        DefectLine("a", LATER, Seen("knot", face="A")),
    ]
    with page() as p:
        done = defect_many(p, lines)
    assert [one.first_id for one in done] == [done[0].id, done[0].id, done[2].id]
    assert [one.length_mm for one in piece(book, "a").defects if one.kind == "end check"] == [40]
    with pytest.raises(Impossible, match="was made on 2 March 2026"), page() as p:
        defect_many(p, [DefectLine("a", day("2025"), Seen("knot"))])
    with page() as p:
        assert defect_many(p, []) == ()


# --- figure


def test_figure_is_kept_and_the_newest_word_holds(book, page, blank):
    with page("figure") as p:
        done = figure(
            p,
            piece="a",
            on=ON,
            traits=["Curly", "ray fleck", "curl"],
            part="heart",
            rings=Typed(15.0, "15 deg"),
            bark_face="a",
            sap_faces="b, A",
            run_out=12,
            pith_in=False,
            grade="best",
        )
        figure(p, piece="a", on=LATER, part="mixed")
    assert done.traits == ("curl", "ray fleck")
    assert (done.bark_face, done.sap_faces, done.ring_deg) == ("A", "AB", 15)
    look = piece(book, "a").look
    assert look.traits == frozenset({"curl", "ray fleck"})
    assert (look.part, look.ring_deg, look.bark_face, look.sap_faces, look.run_out, look.pith_in) == (
        "mixed",
        15,
        "A",
        "AB",
        12,
        False,
    )
    assert [row["typed"] for row in rows(book, "look")] == [{"ring_deg": "15 deg"}, {}, {}]


def test_looks_that_cannot_be(page, blank):
    for told in ({"rings": raw(float("nan"))}, {"rings": raw(120.0)}, {"run_out": 0.2}, {"run_out": float("nan")}):
        with pytest.raises(Impossible), page() as p:
            figure(p, piece="a", on=ON, **told)
    for told in ({}, {"part": "pith"}, {"face": "Z"}, {"sap_faces": "AX"}, {"traits": [" "]}):
        with pytest.raises(Unclear), page() as p:
            figure(p, piece="a", on=ON, **told)


def test_figure_of_one_face(book, page, blank):
    with page() as p:
        figure(p, piece="a", on=ON, face="c", traits=["quilted"])
    (row,) = rows(book, "look")
    assert (row["face"], row["trait"], row["part"]) == ("C", "quilt", None)
