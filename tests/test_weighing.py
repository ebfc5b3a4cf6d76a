"""Weighings: one on the scales, a sheet of many; scales and their check weights."""

from dataclasses import replace
from datetime import date

import pytest
from said import day, g, mm, raw

from stock.book import opening
from stock.book.records import METADATA
from stock.errors import BadLines, Doubtful, Impossible, NotNow, Unclear, Unknown
from stock.typed import Typed
from stock.yard.cutting import cut
from stock.yard.felling import add
from stock.yard.moving import out
from stock.yard.scaling import scales, scales_check
from stock.yard.shaping import trim
from stock.yard.weighing import WeighLine, weigh, weigh_many

MADE = day("2025-03-02")
# A cherry square drying in a shed: day and grams, an invented course.
COURSE = [("2025-03-16", 640), ("2025-04-13", 560), ("2025-05-11", 528), ("2025-06-08", 511)]


@pytest.fixture
def dried(page):
    """The piece 1B, tag "a", weighed down to 511 g on 8 June 2025."""
    with page() as p:
        add(p, kind="blank", on=MADE, length=mm(330), width=mm(51), thickness=mm(51), tag="a")
        for on, mass_g in [("2025-03-02", 700), *COURSE]:
            weigh(p, piece="a", mass=g(mass_g), on=day(on))


@pytest.fixture
def sisters(page):
    """1B is a stick that was crosscut into 2C and 3D, of 483 and 443 g in three weighings each."""
    with page() as p:
        add(p, kind="blank", on=MADE, length=mm(700), width=mm(51), thickness=mm(51))
        cut(p, piece="1B", lengths=[mm(350), mm(320)], on=MADE)
        for mark, masses in {"2C": (485, 484, 483), "3D": (445, 444, 443)}.items():
            for month, mass_g in zip((3, 4, 5), masses, strict=True):
                weigh(p, piece=mark, mass=g(mass_g), on=day(f"2026-0{month}-01"))


def rows(book, table: str = "weighing") -> list:
    with opening.reading(book) as connection:
        return list(connection.execute(METADATA.tables[table].select().order_by("id")).mappings())


def line(number: int, piece: str, mass_g: float | str, on: str, **more) -> WeighLine:
    return WeighLine(number, piece, g(mass_g), day(on), **more)


def test_a_weighing_is_stored_as_typed_and_told_with_the_one_before(book, page, dried):
    with page("weigh") as p:
        done = weigh(p, piece="a", mass=g("1 lb 1 5/8 oz"), on=day("2025-07-05"), at_time="09:30")
    assert done.mark == "1B"
    assert done.mass_g == pytest.approx(499.66, abs=0.01)
    assert (done.previous_g, done.previous_on) == (511, date(2025, 6, 8))
    assert done.expectation is not None
    assert done.expectation.holds(done.mass_g)
    assert (done.doubt, done.warnings) == ("", ())
    row = rows(book)[-1]
    assert row["typed"] == {"mass_g": "1 lb 1 5/8 oz"}
    assert (row["on_text"], row["at_time"], row["insisted"], row["doubt"]) == ("2025-07-05", "09:30", False, None)
    assert row["step_g"] == pytest.approx(28.349523125 / 8)  # an eighth of an ounce


def test_t05_a_doubtful_weight_is_asked_about_with_its_causes_in_order(book, page, dried):
    with pytest.raises(Doubtful) as asked, page() as p:
        weigh(p, piece="a", mass=g(151), on=day("2025-07-05"))
    assert asked.value.message.startswith("1B: 151 g would be 360 g less than on 8 June 2025; expected ")
    assert asked.value.hint.startswith("First digits swapped (511 g)?")
    assert asked.value.hint.endswith("Weigh again, or insist to keep it.")
    assert asked.value.piece == "1B"
    assert len(rows(book)) == 5


def test_t05_a_weight_that_is_insisted_on_is_kept_with_its_doubt(book, page, dried):
    with page() as p:
        done = weigh(p, piece="a", mass=g(600), on=day("2025-07-05"), insist=True)
    assert done.doubt.startswith("1B: 600 g would be 89 g more")
    row = rows(book)[-1]
    assert (row["mass_g"], row["insisted"], row["doubt"]) == (600, True, done.doubt)


def test_insisting_where_nothing_is_odd_leaves_no_mark(book, page, dried):
    with page() as p:
        weigh(p, piece="a", mass=g(500), on=day("2025-07-05"), insist=True)
    assert rows(book)[-1]["insisted"] is False


def test_t02_ounces_typed_as_grams(page, dried):
    with pytest.raises(Doubtful) as asked, page() as p:
        weigh(p, piece="a", mass=g("17.6 g"), on=day("2025-07-05"))
    assert "The unit: 17.6 oz (499 g)?" in asked.value.hint


def test_t02_the_first_weight_of_a_piece_is_held_against_its_size(page):
    with page() as p:
        add(p, kind="blank", on=MADE, length=mm(254), width=mm(51), thickness=mm(51))
    with pytest.raises(Doubtful, match="too light for wood of its size"), page() as p:
        weigh(p, piece="1B", mass=g("17.6 g"), on=MADE)


def test_t07_the_neighbour_that_should_weigh_this_is_named(page, sisters):
    with pytest.raises(Doubtful) as asked, page() as p:
        weigh(p, piece="2C", mass=g(443), on=day("2026-06-01"))
    assert "Its neighbour 3D (" in asked.value.hint


def test_t07_two_crossing_jumps_on_a_sheet_are_told(book, page, sisters):
    with page() as p:
        done = weigh_many(p, [line(2, "2C", 443, "2026-06-01"), line(3, "3D", 483, "2026-06-01")])
    assert done.doubtful == 2
    assert done.warnings[0] == (
        "1 June 2026: 2C (443 g) and 3D (483 g) look swapped: each weighs what the other should."
    )
    assert [row["insisted"] for row in rows(book)[-2:]] == [False, False]
    assert rows(book)[-1]["doubt"].startswith("3D: 483 g would be 40 g more")


def test_t19_a_weight_below_the_oven_dry_mass(page, dried):
    from stock.yard.ovening import oven

    with page() as p:
        oven(p, piece="a", wet=g(60), dry=g(36), on=MADE)  # 66.7 %: 700 g green are 420 g dry
    with pytest.raises(Doubtful, match=r"less than its oven-dry mass of 420 g") as asked, page() as p:
        weigh(p, piece="a", mass=g(400), on=day("2026-05-01"))
    assert asked.value.hint.endswith("Or is its oven-dry mass wrong? Weigh again, or insist to keep it.")


def test_t20_the_same_weight_twice_a_day_is_kept_and_said(book, page, dried):
    with page() as p:
        done = weigh(p, piece="a", mass=g(512), on=day("2025-06-08"))
    assert done.warnings == ("1B was weighed that day already (511 g); both are kept.",)
    assert [row["mass_g"] for row in rows(book)[-2:]] == [511, 512]


def test_a_second_weight_of_a_day_that_differs_by_more_than_two_steps_is_asked_about(page, dried):
    with page() as p:
        weigh(p, piece="a", mass=g(513), on=day("2025-06-08"))
    with pytest.raises(Doubtful, match="516 g, but 513 g was weighed that day already"), page() as p:
        weigh(p, piece="a", mass=g(516), on=day("2025-06-08"))


def test_a_weight_after_a_trim_of_the_same_day_is_that_of_what_remains(page, dried):
    with page() as p:
        trim(p, piece="a", on=day("2025-06-09"), before=g(511), after=g(440), length=mm(284))
        done = weigh(p, piece="a", mass=g(440), on=day("2025-06-09"))
    assert done.expectation is not None
    assert done.expectation.last_g == 440
    assert done.warnings == ("1B was weighed that day already (440 g); both are kept.",)


def test_t06_silence_makes_no_weight(book, page, dried):
    with page() as p:
        done = weigh(p, piece="a", mass=g(480), on=day("2026-06-01"))
    assert done.previous_on == date(2025, 6, 8)
    assert len(rows(book)) == 6


def test_t22_the_state_is_kept_and_a_rained_on_weight_tells_no_pace(book, page, dried):
    with page() as p:
        weigh(p, piece="a", mass=g(560), on=day("2025-07-05"), state="rain")
        after = weigh(p, piece="a", mass=g(496), on=day("2025-07-12"))
    assert rows(book)[-2]["state"] == "rain"
    assert after.previous_g == 560
    assert after.expectation is not None
    assert after.expectation.last_g == 511
    with pytest.raises(Unclear, match="soggy"), page() as p:
        weigh(p, piece="a", mass=g(490), on=day("2025-07-13"), state="soggy")


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -5.0, 0.0, 1e9])
def test_weights_that_cannot_be(book, page, dried, value):
    with pytest.raises(Impossible) as refused, page() as p:
        weigh(p, piece="a", mass=raw(value, "odd"), on=day("2025-07-05"))
    assert 'a weight of "odd"' in refused.value.message
    assert len(rows(book)) == 5


def test_t13_a_weight_before_the_piece_was_made_is_refused(page, dried):
    order = "1B would be weighed on 1 March 2025, but 1B was made on 2 March 2025"
    with pytest.raises(Doubtful, match=order), page() as p:
        weigh(p, piece="a", mass=g(700), on=day("2025-03-01"))
    with page() as p:  # some day of that year may well be after it
        weigh(p, piece="a", mass=g(650), on=day("2025"), insist=True)


def test_a_piece_that_was_cut_up_is_not_weighed_and_its_pieces_are_named(page, sisters):
    with pytest.raises(NotNow, match="1B was crosscut on 2 March 2025") as refused, page() as p:
        weigh(p, piece="1B", mass=g(900), on=day("2026-06-01"))
    assert refused.value.hint == "Its pieces: 2C, 3D."


def test_a_piece_that_is_out_is_not_weighed(page, dried):
    with page() as p:
        out(p, piece="a", outcome="given", on=day("2025-07-01"))
    with pytest.raises(NotNow, match="1B is out"), page() as p:
        weigh(p, piece="1B", mass=g(500), on=day("2025-07-05"))


def test_an_unknown_piece_and_unknown_scales(page, dried):
    with pytest.raises(Unknown, match="no piece 2C"), page() as p:
        weigh(p, piece="2C", mass=g(500), on=day("2025-07-05"))
    with pytest.raises(Unknown, match="postal") as refused, page() as p:
        weigh(p, piece="a", mass=g(500), on=day("2025-07-05"), scales="postal")
    assert refused.value.code == "unknown-scales"


# --- scales


def test_scales_are_kept_and_added_to(book, page):
    with page() as p:
        new = scales(p, name=" Kitchen ", on=MADE, step=g(1))
        more = scales(p, name="kitchen", on=day("2026-01-01"), capacity=g("5 kg"))
        same = scales(p, name="KITCHEN", on=day("2026-01-01"), step=g(1))
    assert (new.is_new, new.unit, new.step_g, new.capacity_g) == (True, "g", 1, None)
    assert (more.id, more.is_new, more.step_g, more.capacity_g) == (new.id, False, 1, 5000)
    assert same.warnings == ("nothing new is said of the Kitchen scales.",)
    assert len(rows(book, "scales")) == 1
    (change,) = rows(book, "change")
    assert (change["before"], change["after"]) == ({"capacity_g": None}, {"capacity_g": 5000})


@pytest.mark.parametrize(("field", "bad"), [("step", raw(0)), ("capacity", raw(float("nan")))])
def test_scales_that_cannot_be(page, field, bad):
    with pytest.raises(Impossible), page() as p:
        scales(p, name="kitchen", on=MADE, **{field: bad})
    with pytest.raises(Unclear, match="stone"), page() as p:
        scales(p, name="kitchen", on=MADE, unit="stone")
    with pytest.raises(Unclear, match="no name"), page() as p:
        scales(p, name=" ", on=MADE)


def test_t08_the_scales_and_their_step_are_kept_with_each_weighing(book, page, dried):
    with page() as p:
        kitchen = scales(p, name="kitchen", on=MADE, step=g(2), capacity=g("5 kg"))
        weigh(p, piece="a", mass=g(500), on=day("2025-07-05"), scales="kitchen")
        weigh(p, piece="a", mass=g(498), on=day("2025-07-12"), scales="kitchen", step=g(5))
    assert [(row["scales_id"], row["step_g"]) for row in rows(book)[-2:]] == [(kitchen.id, 2), (kitchen.id, 5)]
    with pytest.raises(Doubtful, match="more than these scales carry"), page() as p:
        weigh(p, piece="a", mass=g("6 kg"), on=day("2025-07-19"), scales="kitchen")


def test_t08_a_check_weight_within_a_step_is_noise_and_beyond_it_is_said(book, page):
    with page() as p:
        scales(p, name="kitchen", on=MADE, step=g(1))
        right = scales_check(p, name="kitchen", true=g(500), read=g(501), on=day("2026-01-01"))
        high = scales_check(p, name="Kitchen", true=g(500), read=g(503), on=day("2026-02-01"))
        low = scales_check(p, name="kitchen", true=g(500), read=g(496), on=day("2026-03-01"))
    assert (right.within_step, right.words) == (True, "within one step: taken as right")
    assert (high.within_step, high.offset_g) == (False, 3)
    assert high.words == "reads 3 g high: reckoned with from this day on"
    assert low.words == "reads 4 g low: reckoned with from this day on"
    assert [(row["true_g"], row["read_g"]) for row in rows(book, "scales_check")] == [
        (500, 501),
        (500, 503),
        (500, 496),
    ]


def test_t08_what_scales_read_high_is_expected_of_them_and_the_reading_stays_raw(book, page, dried):
    # 3 g on 400 g are 0.75 points of moisture.
    with page() as p:
        scales(p, name="kitchen", on=MADE, step=g(1))
        scales_check(p, name="kitchen", true=g(500), read=g(503), on=day("2025-06-01"))
        plain = weigh(p, piece="a", mass=g(511), on=day("2025-06-08"))
        done = weigh(p, piece="a", mass=g(514), on=day("2025-06-08"), scales="kitchen")
    assert plain.warnings
    assert done.expectation is not None
    assert done.expectation.last_g == 514
    assert done.warnings == ("1B was weighed that day already (514 g); both are kept.",)
    assert rows(book)[-1]["mass_g"] == 514


def test_a_check_that_is_far_off_is_asked_about(book, page):
    with page() as p:
        scales(p, name="kitchen", on=MADE, step=g(1))
    with pytest.raises(Doubtful, match="-90 % off"), page() as p:
        scales_check(p, name="kitchen", true=g(500), read=g(50), on=MADE)
    assert rows(book, "scales_check") == []
    with pytest.raises(Unknown), page() as p:
        scales_check(p, name="postal", true=g(500), read=g(500), on=MADE)


# --- sheets


def test_a_sheet_comes_in_any_order_and_is_judged_in_the_order_of_time(book, page):
    sheet = [line(number, "a", mass_g, on) for number, (on, mass_g) in enumerate(reversed(COURSE), 2)]
    with page() as p:
        add(p, kind="blank", on=MADE, tag="a")
        scales(p, name="kitchen", on=MADE, step=g(1))
        done = weigh_many(p, [*sheet, line(9, "1B", "1 lb 3 oz", "2025-05-01", scales="kitchen", note="after lunch")])
    assert (done.count, done.marks, done.doubtful, done.warnings) == (5, ("1B",), 0, ())
    assert [row["mass_g"] for row in rows(book)[:4]] == [511, 528, 560, 640]
    assert rows(book)[-1]["typed"] == {"mass_g": "1 lb 3 oz", "note": "after lunch"}
    assert len({row["entry_id"] for row in rows(book)}) == 1


def test_t16_each_line_has_its_own_date(book, page, dried):
    with page(today=date(2026, 6, 1)) as p:
        weigh_many(p, [line(2, "a", 500, "2025-07-05"), line(3, "a", 495, "2025-08")])
    assert [(row["on_first"], row["on_last"]) for row in rows(book)[-2:]] == [
        (date(2025, 7, 5), date(2025, 7, 5)),
        (date(2025, 8, 1), date(2025, 8, 31)),
    ]


def test_a_sheet_with_bad_lines_is_refused_whole_and_every_line_is_named(book, page, sisters):
    sheet = [
        line(2, "2C", 482, "2026-06-01"),
        line(3, "K-7b", 482, "2026-06-01"),
        replace(line(4, "2C", 1, "2026-06-01"), mass=raw(float("nan"), "O,5 kg")),
        line(5, "3D", 442, "2024-06-01"),
        line(6, "3D", 442, "2026-06-01", scales="postal"),
        line(7, "1B", 900, "2026-06-01"),
    ]
    before = rows(book)
    with pytest.raises(BadLines) as refused, page() as p:
        weigh_many(p, sheet, unread={8: '"half a kilo" is not a weight'}, source="weighings.csv")
    assert refused.value.message == "weighings.csv, 6 of 7 lines cannot be taken; nothing stored."
    starts = [text[:6] for text in refused.value.lines]
    assert starts == ["line 3", "line 4", "line 5", "line 6", "line 7", "line 8"]
    told = "\n".join(refused.value.lines)
    for part in (
        'no piece "K-7b"',
        "is not a number",
        "was made on 2 March 2025",
        "postal",
        "cut up on 2 March 2025",
        "half",
    ):
        assert part in told
    assert rows(book) == before


def test_a_weight_of_the_day_a_piece_was_cut_up_is_history(book, page, sisters):
    with page() as p:
        weigh_many(p, [line(2, "1B", 1500, "2025-03-02")])
    assert rows(book)[-1]["mass_g"] == 1500


def test_doubtful_lines_are_taken_and_told(book, page, dried):
    with page() as p:
        done = weigh_many(p, [line(2, "a", 151, "2025-07-05"), line(3, "a", 500, "2025-07-06")])
    assert done.doubtful == 2  # the one after it looks odd beside it, too
    assert done.warnings[0].startswith("line 2: 1B: 151 g would be 360 g less than on 8 June 2025; expected ")
    assert "First digits swapped (511 g)?" in done.warnings[0]
    assert [row["insisted"] for row in rows(book)[-2:]] == [False, False]


def test_t20_a_sheet_taken_twice_is_kept_and_said(book, page, dried):
    sheet = [line(number, "a", mass_g, on) for number, (on, mass_g) in enumerate(COURSE, 2)]
    with page() as p:
        done = weigh_many(p, sheet)
    assert (done.repeated, done.doubtful) == (4, 0)
    assert done.warnings[0] == ("line 2: 1B was weighed on 16 March 2025 already, to the same weight; both are kept.")
    assert len(rows(book)) == 9


def test_an_empty_sheet_writes_nothing(book, page):
    with page() as p:
        assert weigh_many(p, []).count == 0
    assert rows(book, "entry") == []


def test_the_number_of_queries_does_not_grow_with_the_lines(book, page):
    from sqlalchemy import event

    with page() as p:
        for tag in "abcdefgh":
            add(p, kind="blank", on=MADE, tag=tag)

    def queries(count: int) -> int:
        asked = []
        with page() as p:
            event.listen(p.connection, "before_cursor_execute", lambda *rest: asked.append(rest[2]))
            weigh_many(p, [line(i, "abcdefgh"[i % 8], 500 + i % 3, f"2026-{1 + i % 5:02}-01") for i in range(count)])
            return sum(statement.lstrip().upper().startswith("SELECT") for statement in asked)

    assert queries(8) == queries(400)


def test_the_step_of_a_bare_reading_is_that_of_its_digits(book, page, dried):
    with page() as p:
        weigh(p, piece="a", mass=Typed(500.5, "500.5", 0.05), on=day("2025-07-05"))
        weigh(p, piece="a", mass=Typed(499.0, ""), on=day("2025-07-12"))
    assert [row["step_g"] for row in rows(book)[-2:]] == [0.1, None]


@pytest.mark.parametrize("text", ["9:30", "25:00", "noon"])
def test_times_of_day_that_are_none(page, dried, text):
    with pytest.raises(Unclear, match=text), page() as p:
        weigh(p, piece="a", mass=g(500), on=day("2025-07-05"), at_time=text)
