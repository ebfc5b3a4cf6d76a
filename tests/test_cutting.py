"""Crosscutting: order, positions, what fits, what is refused, and dates in order."""

from datetime import timedelta

import pytest
from found import piece, rows
from said import TODAY, day, mm, raw

from stock.errors import Doubtful, Impossible, NotNow, Unclear, Unknown
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


# Crosscutting


def test_t11_a_tree_is_cut_into_logs_in_order_from_the_butt(book, page, tree):
    with page("cut") as p:
        done = cut(p, piece=tree, lengths=[mm("26in"), mm("26in"), mm("22in")], on=ON, tags=["a", "", "c"])
    assert [(child.mark, child.kind, child.tag) for child in done.children] == [
        ("1B", "log", "a"),
        ("2C", "log", ""),
        ("3D", "log", "c"),
    ]
    inch = 25.4
    assert positions(done) == [(0, 26 * inch), (26 * inch + 8, 26 * inch), (52 * inch + 16, 22 * inch)]
    assert [row["order_no"] for row in rows(book, "piece") if row["kind"] == "log"] == [1, 2, 3]
    assert rows(book, "size")[0]["typed"] == {"length_mm": "26in"}
    (operation,) = rows(book, "operation")
    assert (operation["kind"], operation["ends_piece"], operation["kerf_mm"]) == ("crosscut", False, 8)
    assert piece(book, "a").wood.scientific == "Prunus serotina"


def test_t11_a_tree_cut_again_goes_on_where_it_stopped(book, page, tree):
    with page() as p:
        cut(p, piece=tree, lengths=[mm(600), mm(500)], on=ON, kerf=mm(10))
    with page() as p:
        done = cut(p, piece=tree, lengths=[mm(400)], on=LATER, kerf=mm(10))
    assert positions(done) == [(1120, 400)]
    assert [row["order_no"] for row in rows(book, "piece") if row["kind"] == "log"] == [1, 2, 3]


def test_a_position_beyond_a_log_of_unknown_length_is_not_made_up(page, tree):
    with page() as p:
        first = cut(p, piece=tree, lengths=[mm(600)], on=ON).children[0]
        p.session.connection().exec_driver_sql("UPDATE size SET length_mm = NULL WHERE piece_id = ?", (first.id,))
        done = cut(p, piece=tree, lengths=[mm(400)], on=ON)
    assert positions(done) == [(None, 400)]


def test_t11_what_was_cut_up_is_not_cut_again(page, log):
    with page() as p:
        cut(p, piece=log, lengths=[mm(400), mm(500)], on=ON)
    for act in (
        lambda p: cut(p, piece=log, lengths=[mm(200)], on=LATER),
        lambda p: cut(p, piece=log, lengths=[mm(200)], on=day("2026-04-01")),
        lambda p: split(p, piece=log, on=LATER),
        lambda p: saw(p, piece=log, blanks=[square()], on=LATER),
    ):
        with pytest.raises(NotNow, match=f"{log} was crosscut on 3 May 2026") as refused, page() as p:
            act(p)
        assert refused.value.hint == "Its pieces: 2C, 3D."
        assert refused.value.piece == log


@pytest.mark.parametrize("kind", ["log", "billet", "blank", "offcut"])
def test_what_is_crosscut_stays_what_it_is(book, page, kind):
    with page() as p:
        whole = add(p, kind=kind, on=FELLED, length=mm(1000), width=mm(60), thickness=mm(50), surface="planed")
        done = cut(p, piece=whole.mark, lengths=[mm(500), mm(480)], on=ON)
    assert {child.kind for child in done.children} == {kind}
    assert not piece(book, whole.mark).on_hand


def test_a_crosscut_blank_keeps_its_square_its_part_and_its_rings(book, page):
    with page() as p:
        sizes = {"length": mm(700), "width": mm(52), "thickness": mm(50), "surface": "rough"}
        blank = add(p, kind="blank", on=FELLED, part="heart", rings=raw(15, "flat"), **sizes)
        done = cut(p, piece=blank.mark, lengths=[mm(340), mm(340)], on=ON)
    assert positions(done) == [(0, 340), (343, 340)]
    assert done.rest_mm == 700 - 2 * 343
    half = piece(book, done.children[1].mark)
    assert (half.size.width_mm, half.size.thickness_mm, half.size.surface) == (52, 50, "rough")
    assert (half.look.part, half.look.ring_deg) == ("heart", 15)


def test_diameters_are_one_for_all_or_one_at_each_cut(book, page, tree):
    with page() as p:
        done = cut(p, piece=tree, lengths=[mm(500), mm(500)], dias=[mm(300), mm(280), mm(250)], on=ON)
        more = cut(p, piece=tree, lengths=[mm(400)], dias=[mm(240)], on=ON)
    sizes = [piece(book, child.mark).size for child in (*done.children, *more.children)]
    assert [(size.dia_butt_mm, size.dia_top_mm) for size in sizes] == [(300, 280), (280, 250), (240, 240)]


def test_numbers_that_do_not_agree_are_refused(page, tree, log):
    with page() as p:
        blank = add(p, kind="blank", on=FELLED, length=mm(500)).mark
    wrong = [
        {"piece": log, "lengths": []},
        {"piece": log, "lengths": [mm(300), mm(300)], "dias": [mm(300), mm(280)]},
        {"piece": log, "lengths": [mm(300), mm(300)], "tags": ["one"]},
        {"piece": blank, "lengths": [mm(200)], "dias": [mm(200)]},
    ]
    for words in wrong:
        with pytest.raises(Unclear), page() as p:
            cut(p, on=ON, **words)


@pytest.mark.parametrize(
    ("lengths", "said"),
    [
        ([500, 485], None),
        ([500, 495], "add up to 1003 mm"),
        ([500, 510], "was measured as 1000 mm"),
        ([600], "400 mm|392 mm"),
    ],
)
def test_lengths_that_nearly_fit_are_taken_with_a_word(page, log, lengths, said):
    with page() as p:
        done = cut(p, piece=log, lengths=[mm(length) for length in lengths], on=ON)
    assert (done.warnings == ()) == (said is None or lengths == [600])
    if said and lengths != [600]:
        assert said in done.warnings[0]


def test_a_long_rest_is_not_forgotten_silently(page, log):
    with page() as p:
        done = cut(p, piece=log, lengths=[mm(300)], on=ON)
    assert done.rest_mm == 692
    assert "692 mm" in done.warnings[0]


def test_more_length_than_there_is_is_refused(book, page, log):
    with pytest.raises(Impossible, match=f"{log} is 1000 mm long; the lengths add up to 1030 mm"), page() as p:
        cut(p, piece=log, lengths=[mm(500), mm(530)], on=ON)
    assert piece(book, log).on_hand
    assert rows(book, "operation") == []


@pytest.mark.parametrize("value", [float("nan"), float("inf"), 0, -3])
def test_lengths_diameters_and_kerfs_that_cannot_be_are_refused(page, log, value):
    wrong = [
        {"lengths": [raw(value, "odd")]},
        {"lengths": [mm(300)], "dias": [raw(value, "odd")]},
        {"lengths": [mm(300)], "kerf": raw(value or -1.0, "odd")},
    ]
    for words in wrong:
        with pytest.raises(Impossible, match=f'{log}: .* of "odd"'), page() as p:
            cut(p, piece=log, on=ON, **words)


def test_the_rest_can_stay_on_the_book_shorter(book, page, log):
    with page() as p:
        done = cut(p, piece=log, lengths=[mm(300)], on=ON, keep_rest=True)
    assert done.rest_mm == 692
    rest = piece(book, log)
    assert rest.on_hand
    assert rest.size.length_mm == 692
    (operation,) = rows(book, "operation")
    assert (operation["ends_piece"], operation["butt_off_mm"]) == (False, 308)
    with page() as p:
        again = cut(p, piece=log, lengths=[mm(300), mm(300)], on=LATER)
    assert [row["order_no"] for row in rows(book, "piece") if row["parent_id"]] == [1, 2, 3]
    assert positions(again) == [(0, 300), (308, 300)]


def test_no_rest_is_kept_where_none_is_left(page, log):
    with pytest.raises(Impossible, match="nothing would be left"), page() as p:
        cut(p, piece=log, lengths=[mm(995)], on=ON, keep_rest=True)


def test_what_cannot_be_crosscut(page, log):
    with page() as p:
        with pytest.raises(Unknown, match="no piece"):
            cut(p, piece="99Z", lengths=[mm(300)], on=ON)
        with pytest.raises(Unknown, match="the mark for 1 is 1B"):
            cut(p, piece="1C", lengths=[mm(300)], on=ON)


# Dates


def test_t13_a_piece_is_not_made_before_its_tree_came_down(book, page):
    with page() as p:
        tree = fell(p, species="", on=day("2023-05")).mark
    sentence = f"{tree} would be crosscut in November 2022, but {tree} came down in May 2023"
    with pytest.raises(Doubtful, match=sentence), page() as p:
        cut(p, piece=tree, lengths=[mm(500)], on=day("2022-11"))
    assert rows(book, "operation") == []
    with page() as p:
        done = cut(p, piece=tree, lengths=[mm(500)], on=day("2022-11"), insist=True)
    assert sentence in done.warnings[0]
    assert piece(book, done.children[0].mark).made.on_text == "2022-11"


def test_t13_the_whole_chain_is_looked_at(page):
    with page() as p:
        tree = fell(p, species="", on=day("2023-05")).mark
        (log,) = cut(p, piece=tree, lengths=[mm(500)], on=day("2023")).children
    with (
        pytest.raises(Doubtful, match=f"{log.mark} would be sawn on 2 February 2023, but {tree} came down"),
        page() as p,
    ):
        saw(p, piece=log.mark, blanks=[square()], on=day("2023-02-02"))


@pytest.mark.parametrize("on", ["2023", "spring 2023", "before 2024", "2023-05", "2026-06-01"])
def test_t13_dates_that_may_be_in_order_are_taken(page, on):
    with page() as p:
        tree = fell(p, species="", on=day("2023-05")).mark
        assert cut(p, piece=tree, lengths=[mm(500)], on=day(on)).warnings == ()


def test_t13_a_piece_is_not_cut_up_before_something_else_was_done_to_it(page, log):
    with page() as p:
        cut(p, piece=log, lengths=[mm(200)], on=LATER, keep_rest=True)
    with pytest.raises(Doubtful, match="but it was crosscut on 20 May 2026"), page() as p:
        split(p, piece=log, on=ON)


def test_a_wood_fact_entered_under_a_clock_that_ran_ahead_is_still_found(book, page):
    ahead = TODAY + timedelta(days=30)
    with page(today=ahead) as p:
        log = add(p, kind="log", on=day(ahead.isoformat(), today=ahead), length=mm(900)).mark
    with pytest.raises(Doubtful), page() as p:
        split(p, piece=log, on=ON)
