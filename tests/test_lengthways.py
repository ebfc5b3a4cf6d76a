"""Splitting and sawing along the grain: length and place kept, blanks that fit, marks reserved for them."""

import math

import pytest
from found import piece, rows
from said import day, g, mm, raw

from stock.book.naming import Names
from stock.book.records import Change, Defect, Series
from stock.errors import Impossible, NotNow, Unclear
from stock.yard.cutting import Cut, cut
from stock.yard.felling import add, fell
from stock.yard.lengthways import BlankPlan, saw, split

FELLED = day("2026-03-10")
ON = day("2026-05-03")
LATER = day("2026-05-20")


@pytest.fixture
def tree(page) -> str:
    with page("fell") as p:
        return fell(p, species="black cherry", on=FELLED, how="storm").mark


@pytest.fixture
def log(page) -> str:
    """A log of 1 m, 300 mm at the butt and 260 mm at the top: 61.9 litres by Smalian's formula."""
    with page("add") as p:
        return add(p, kind="log", on=FELLED, length=mm(1000), dia_butt=mm(300), dia_top=mm(260)).mark


def positions(done: Cut) -> list[tuple[float | None, float | None]]:
    return [(child.from_butt_mm, child.length_mm) for child in done.children]


def square(side: float = 50, **more) -> BlankPlan:
    return BlankPlan(width=mm(side), thickness=mm(side), **more)


def note(page, mark: str, **defect) -> None:
    with page("defect") as p:
        p.put(Defect(piece_id=Names(p.connection).piece(mark).id, on_last=ON.last, **defect))


# Splitting


@pytest.mark.parametrize("into", [2, 4])
def test_t11_halves_and_quarters_keep_length_and_place(book, page, log, into):
    with page("split") as p:
        done = split(p, piece=log, into=into, on=ON)
    assert [child.kind for child in done.children] == ["billet"] * into
    assert positions(done) == [(0, 1000)] * into
    assert [row["order_no"] for row in rows(book, "piece") if row["kind"] == "billet"] == list(range(1, into + 1))
    (operation,) = rows(book, "operation")
    assert (operation["kind"], operation["ends_piece"]) == ("split", True)


def test_a_billet_is_split_again(page, log):
    with page() as p:
        half = split(p, piece=log, on=ON, tags=["west", "east"]).children[0]
        assert half.tag == "west"
        assert [child.kind for child in split(p, piece="west", on=ON).children] == ["billet", "billet"]


def test_what_is_not_split(page, tree, log):
    with page() as p:
        blank = add(p, kind="blank", on=FELLED).mark
        with pytest.raises(NotNow, match=f"{tree} is a tree"):
            split(p, piece=tree, on=ON)
        with pytest.raises(NotNow, match=f"{blank} is a blank"):
            split(p, piece=blank, on=ON)
        with pytest.raises(Unclear, match="into 3"):
            split(p, piece=log, into=3, on=ON)


# Sawing


def test_t14_blanks_are_stored_rough_or_planed_with_what_was_seen(book, page, log):
    with page("saw") as p:
        half = split(p, piece=log, on=ON).children[0]
        seen = {"part": "heart", "rings": raw(15, "flat"), "bark_face": "C", "sap_faces": "CD", "pith_in": False}
        first = square(51, length=mm(330), from_butt=mm(25), mass=g(668), tag="plum 1", **seen)
        rough = saw(p, piece=half.mark, blanks=[first, square(52)], on=ON, place="shed / rack 2")
        other = saw(p, piece="3D", blanks=[square(45)], on=ON, surface="planed")
    one, two = (piece(book, child.mark) for child in rough.children)
    assert (one.size.surface, piece(book, other.children[0].mark).size.surface) == ("rough", "planed")
    assert (one.size.length_mm, one.size.width_mm, two.size.length_mm) == (330, 51, 1000)
    assert (one.look.part, one.look.ring_deg, one.look.bark_face, one.look.sap_faces) == ("heart", 15, "C", "CD")
    assert one.look.pith_in is False
    assert (one.made.order_no, one.made.from_butt_mm, two.made.order_no, two.made.from_butt_mm) == (1, 25, 2, 0)
    assert (one.place, one.tag) == ("shed / rack 2", "plum 1")
    (weighing,) = rows(book, "weighing")
    assert (weighing["piece_id"], weighing["mass_g"], weighing["step_g"]) == (one.id, 668, 1)
    assert weighing["typed"] == {"mass_g": "668 g"}


def test_a_short_blank_without_a_place_along_the_log_gets_none(page, log):
    with page() as p:
        done = saw(p, piece=log, blanks=[square(length=mm(300)), square(length=mm(1000)), square()], on=ON)
    assert [child.from_butt_mm for child in done.children] == [None, 0, 0]


def test_a_blank_is_not_longer_than_what_it_came_from(book, page, log):
    with pytest.raises(Impossible, match=f'"39.5 in" is longer than {log}'), page() as p:
        saw(p, piece=log, blanks=[square(length=mm("39.5 in"))], on=ON)
    with pytest.raises(Impossible, match=r"from 800 mm on is longer"), page() as p:
        saw(p, piece=log, blanks=[square(length=mm(300), from_butt=mm(800))], on=ON)
    assert rows(book, "operation") == []
    with page() as p:  # 39 3/8 in is 1000.1 mm: the same length, read off another rule
        saw(p, piece=log, blanks=[square(length=mm("39 3/8 in"))], on=ON)


def test_blanks_have_no_more_wood_than_the_log(page, log):
    # Smalian's formula (common practice): (pi / 8) (300 ** 2 + 260 ** 2) * 1000 mm3 = 61.9 litres; a blank has 2.5.
    litres = math.pi / 8 * (300**2 + 260**2) * 1000 / 1e6
    assert litres == pytest.approx(61.889, abs=0.001)
    sentence = f"{log} has 61.9 litres of wood; the blanks from it would have 65 litres"
    with pytest.raises(Impossible, match=sentence), page() as p:
        saw(p, piece=log, blanks=[square()] * 26, on=ON)
    with page(dry_run=True) as p:
        assert "93%" in saw(p, piece=log, blanks=[square()] * 23, on=ON).warnings[0]
    with page() as p:
        assert saw(p, piece=log, blanks=[square()] * 22, on=ON).warnings == ()


def test_a_half_has_half_the_wood_of_its_log_and_a_quarter_of_it_again_half(page, log):
    with page() as p:
        half = split(p, piece=log, on=ON).children[0]
        quarter = split(p, piece=half.mark, on=ON).children[0]
        short = cut(p, piece=quarter.mark, lengths=[mm(495), mm(495)], on=ON).children[0]
        with pytest.raises(Impossible, match=r"7\.66 litres"):  # 61.889 / 4 * 0.495
            saw(p, piece=short.mark, blanks=[square()] * 7, on=ON)


def test_a_log_of_unknown_size_is_sawn_without_a_check_of_volume(page):
    with page() as p:
        log = add(p, kind="log", on=FELLED).mark
        done = saw(p, piece=log, blanks=[square()] * 40, on=ON)
    assert len(done.children) == 40
    assert done.warnings == ()


def test_a_blank_is_resawn_into_smaller_ones(page):
    with page() as p:
        big = add(p, kind="blank", on=FELLED, length=mm(600), width=mm(110), thickness=mm(108)).mark
        with pytest.raises(Impossible, match="not in"):
            saw(p, piece=big, blanks=[square(length=mm(100)), BlankPlan(width=mm(200), thickness=mm(20))], on=ON)
    with page() as p:
        assert len(saw(p, piece=big, blanks=[square(52)] * 4, on=ON).children) == 4


def test_blanks_sawn_before_count_when_more_come_out_of_the_rest(book, page, log):
    with page() as p:
        saw(p, piece=log, blanks=[square()] * 20, on=ON, keep_rest=True)
    with pytest.raises(Impossible, match="65 litres"), page() as p:
        saw(p, piece=log, blanks=[square()] * 6, on=LATER)
    with page() as p:
        saw(p, piece=log, blanks=[square()] * 2, on=LATER, keep_rest=True)
    assert [row["order_no"] for row in rows(book, "piece") if row["kind"] == "blank"] == list(range(1, 23))


def test_what_is_not_sawn(page, tree, log):
    with page() as p:
        with pytest.raises(NotNow, match=f"{tree} is a tree") as refused:
            saw(p, piece=tree, blanks=[square()], on=ON)
        assert "rick cut" in refused.value.hint
        with pytest.raises(Unclear, match="no blanks"):
            saw(p, piece=log, blanks=[], on=ON)


@pytest.mark.parametrize("field", ["width", "thickness", "length", "mass", "from_butt"])
def test_measures_of_blanks_that_cannot_be_are_refused(page, log, field):
    plan = {"width": mm(50), "thickness": mm(50), field: raw(float("nan"), "odd")}
    with pytest.raises(Impossible, match="odd"), page() as p:
        saw(p, piece=log, blanks=[BlankPlan(**plan)], on=ON)


def test_t10_reserved_marks_are_put_on_wood_once(book, page, log):
    def reserve(p, up_to: int) -> None:
        p.session.get(Series, "").last_number = up_to

    with page() as p:
        reserve(p, 9)
        done = saw(p, piece=log, blanks=[square(), square()], on=ON, as_marks=["7H", "5f"])
        assert [child.mark for child in done.children] == ["7H", "5F"]
        assert add(p, kind="log", on=ON).mark == "10L"
        p.session.add(
            Change(entry_id=1, table_name="piece", row_entry_uid="x", row_no=1, before={"series": "", "number": 8})
        )
        p.session.flush()
        other = add(p, kind="log", on=ON).mark
        wrong = {"7H": "on another piece", "8J": "was on another piece", "99H": "never reserved"}
        for mark, why in wrong.items():
            with pytest.raises(NotNow, match=why):
                saw(p, piece=other, blanks=[square()], on=ON, as_marks=[mark])
        with pytest.raises(Unclear, match="1 marks for 2 blanks"):
            saw(p, piece=other, blanks=[square(), square()], on=ON, as_marks=["6G", "6G"])


def test_defects_of_a_piece_sawn_lengthways_are_named_not_forgotten(page, log):
    note(page, log, kind="ring shake")
    with page() as p:
        assert "ring shake" in split(p, piece=log, on=ON).warnings[0]
