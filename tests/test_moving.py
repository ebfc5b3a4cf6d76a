"""Places, their air, and pieces that are moved, go out and come back."""

from datetime import date

import pytest
from said import day, g, mm, raw

from stock.book import opening
from stock.book.facts import facts
from stock.book.naming import Names
from stock.book.records import METADATA, SetMember, StaveSet
from stock.errors import Doubtful, Impossible, NotNow, Unclear, Unknown
from stock.survey.airs import air_of, cover_of
from stock.survey.pieces import Piece, Pieces
from stock.typed import Typed
from stock.yard.airing import AirRow, air, air_many
from stock.yard.cutting import cut
from stock.yard.felling import add
from stock.yard.moving import back, move, out, place
from stock.yard.weighing import weigh

ON = day("2025-03-02")
LATER = day("2026-03-01")


@pytest.fixture
def blanks(page):
    """1B and 2C, tags "a" and "b", not yet anywhere."""
    with page() as p:
        for tag in "ab":
            add(p, kind="blank", on=ON, length=mm(330), tag=tag)


def rows(book, table: str) -> list:
    with opening.reading(book) as connection:
        return list(connection.execute(METADATA.tables[table].select().order_by("id")).mappings())


def known(book, on: date = date(2026, 6, 1)):
    with opening.reading(book) as connection:
        return facts(connection, on)


def piece(book, text: str, on: date = date(2026, 6, 1)) -> Piece:
    with opening.reading(book) as connection:
        named = Names(connection).piece(text)
        return Pieces(facts(connection, on, [named.id]))[named.id]


def c(value: float) -> Typed:
    return Typed(value, f"{value:g} C")


def rh(value: float) -> Typed:
    return Typed(value, f"{value:g} %")


def test_a_place_is_made_with_the_places_it_lies_in(book, page, blanks):
    with page("move") as p:
        done = move(p, pieces=["a", "2C", "1B"], to="Shed/ rack  2", on=ON)
    assert done.new_places == ("Shed", "Shed / rack 2")
    assert [one.mark for one in done.pieces] == ["1B", "2C"]  # named twice, moved once
    assert done.warnings == ()
    with page() as p:
        again = move(p, pieces=["a"], to="shed / RACK 2", on=LATER)
    assert again.new_places == ()
    assert again.warnings == ("1B was there already.",)
    assert [row["name"] for row in rows(book, "place")] == ["Shed", "Shed / rack 2"]
    assert piece(book, "a").place == "Shed / rack 2"
    assert piece(book, "a").here_since == ON.last


def test_what_a_place_is_like_is_inherited(book, page, blanks):
    with page() as p:
        move(p, pieces=["a"], to="shed / rack 2", on=ON)
        shed = place(p, name="shed", cover="unheated", walk_no=2, on=ON)
        same = place(p, name="Shed", cover="unheated", on=ON)
    assert (shed.cover, shed.walk_no, shed.new_places) == ("unheated", 2, ())
    assert same.warnings == ("nothing new is said of shed.",)
    now = known(book)
    assert cover_of(now, piece(book, "a").place_id) == "unheated"
    with pytest.raises(Unclear, match="glass"), page() as p:
        place(p, name="shed", cover="glass", on=ON)
    with pytest.raises(Impossible, match="-1 is no turn"), page() as p:
        place(p, name="shed", walk_no=-1, on=ON)


def test_t09_pieces_that_come_into_other_air_are_said_to_change_again(page, blanks):
    with page() as p:
        place(p, name="shed", cover="unheated", on=ON)
        place(p, name="shop", cover="heated", on=ON)
        first = move(p, pieces=["a", "b"], to="shed / rack 1", on=ON)
        rack = move(p, pieces=["a"], to="shed / rack 2", on=LATER)
        indoors = move(p, pieces=["a", "b"], to="shop / low", on=LATER)
    assert (first.new_air, first.cover) == ((), "unheated")
    assert rack.new_air == ()
    assert indoors.new_air == ("1B", "2C")
    assert indoors.warnings == ("other air for 1B, 2C: the weight will change again before it settles.",)
    assert [one.was for one in indoors.pieces] == ["shed / rack 2", "shed / rack 1"]


def test_a_piece_seen_elsewhere_is_put_there_and_said(book, page, blanks):
    with page() as p:
        move(p, pieces=["a"], to="shed", on=ON)
        done = move(p, pieces=["a"], to="shop", on=LATER, seen_only=True)
    assert done.warnings == ("1B was on record in shed.",)
    assert rows(book, "move")[-1]["seen_only"] is True
    assert piece(book, "a").place == "shop"
    assert piece(book, "a", date(2025, 6, 1)).place == "shed"


@pytest.mark.parametrize("name", ["", " / ", "shed//rack", "shed\nrack", "x" * 100])
def test_names_that_are_no_places(book, page, blanks, name):
    with pytest.raises(Unclear), page() as p:
        move(p, pieces=["a"], to=name, on=ON)
    assert rows(book, "place") == []


def test_moves_that_cannot_be(book, page, blanks):
    with pytest.raises(Unknown), page() as p:
        move(p, pieces=["a", "9Z"], to="shed", on=ON)
    with pytest.raises(Unclear, match="no piece was named"), page() as p:
        move(p, pieces=[], to="shed", on=ON)
    with pytest.raises(Doubtful, match="made on 2 March 2025"), page() as p:
        move(p, pieces=["a"], to="shed", on=day("2024-01-01"))
    with page() as p:
        cut(p, piece="a", lengths=[mm(150), mm(150)], on=ON)
    with pytest.raises(NotNow, match="crosscut") as refused, page() as p:
        move(p, pieces=["1B"], to="shed", on=LATER)
    assert refused.value.hint == "Its pieces: 3D, 4E."
    assert rows(book, "move") == rows(book, "place") == []


# --- air


# Wood Handbook FPL-GTR-190 (2010), table 4-2, 70 F: 9.2 % at 50 % humidity, 13.1 % at 70 %.
@pytest.mark.parametrize(("rh_pct", "emc_pct"), [(50, 9.2), (70, 13.1)])
def test_the_air_of_a_place_tells_where_wood_settles(book, page, rh_pct, emc_pct):
    with page("air") as p:
        done = air(p, place="shed", on=ON, temp=c(21.1), rh=rh(rh_pct))
    assert done.emc_pct == pytest.approx(emc_pct, abs=0.06)
    assert done.new_places == ("shed",)
    assert done.warnings == ("shed is new on the book.",)
    (row,) = rows(book, "air")
    assert (row["source"], row["temp_c"], row["rh_pct"], row["typed"]) == (
        "reading",
        21.1,
        rh_pct,
        {"temp_c": "21.1 C", "rh_pct": f"{rh_pct} %"},
    )


def test_twelve_monthly_normals_and_a_logger(book, page):
    with page() as p:
        normals = air_many(p, "shed", [AirRow(ON, c(10), rh(60 + month), month) for month in range(1, 13)])
        logged = air_many(p, "shed", [AirRow(day(f"2026-02-{n:02}"), c(3), rh(80)) for n in range(1, 29)], logger=True)
    assert (normals.count, logged.count) == (12, 28)
    assert {row["source"] for row in rows(book, "air")} == {"normals", "logger"}
    now = known(book)
    here = air_of(now, 1, date(2025, 3, 15))
    assert here is not None
    early = air_of(known(book, date(2024, 1, 1)), 1, date(2024, 1, 1))  # normals have no year
    assert early is not None


def test_frost_is_beyond_the_table_and_said(page):
    with page() as p:
        done = air(p, place="shed", on=ON, temp=c(-9), rh=rh(75))
    assert done.warnings[-1] == "-9 C is beyond the handbook's table: its edge is taken."


@pytest.mark.parametrize(
    ("temp", "humidity", "month"),
    [
        (raw(float("nan")), rh(50), None),
        (raw(float("inf")), rh(50), None),
        (c(150), rh(50), None),
        (c(20), raw(float("nan")), None),
        (c(20), rh(101), None),
        (c(20), rh(-1), None),
        (c(20), rh(50), 13),
        (c(20), rh(50), 0),
    ],
)
def test_air_that_cannot_be(book, page, temp, humidity, month):
    with pytest.raises(Impossible), page() as p:
        air(p, place="shed", on=ON, temp=temp, rh=humidity, month=month)
    assert rows(book, "place") == rows(book, "air") == []


def test_air_in_the_wrong_unit_is_asked_about(book, page):
    with pytest.raises(Doubtful, match="is 68 C"), page() as p:
        air(p, place="shed", on=ON, temp=c(68), rh=rh(50))
    with pytest.raises(Doubtful, match=r"would be 0\.45 %"), page() as p:
        air(p, place="shed", on=ON, temp=c(20), rh=rh(0.45))
    with page() as p:
        air(p, place="kiln", on=ON, temp=c(60), rh=rh(50), insist=True)
    with pytest.raises(Impossible, match="no air of shed"), page() as p:
        air_many(p, "shed", [])


# --- out and back


def test_a_piece_that_goes_out_frees_its_tag_and_loses_nothing_else(book, page, blanks):
    with page("out") as p:
        done = out(p, piece="a", outcome="firewood", reason="split in two", to_whom="stove", on=LATER)
    assert (done.mark, done.tag, done.warnings) == ("1B", "a", ())
    (row,) = rows(book, "departure")
    assert (row["outcome"], row["reason"], row["to_whom"]) == ("firewood", "split in two", "stove")
    assert piece(book, "1B").gone == "firewood"
    assert piece(book, "1B", date(2025, 6, 1)).tag == "a"
    with page() as p:
        add(p, kind="blank", on=LATER, tag="a")
    assert piece(book, "a").mark == "3D"
    with pytest.raises(NotNow, match="1B is out"), page() as p:
        out(p, piece="1B", outcome="given", on=LATER)


def test_a_piece_comes_back_with_its_tag_if_that_is_free(book, page, blanks):
    with page() as p:
        out(p, piece="a", outcome="lost", on=LATER)
        out(p, piece="b", outcome="given", on=LATER)
        add(p, kind="blank", on=LATER, tag="b")
    with page() as p:
        found = back(p, piece="1B", on=day("2026-04-01"))
        returned = back(p, piece="2C", on=day("2026-04-01"))
    assert (found.tag, found.was, found.warnings) == ("a", "lost", ())
    assert (returned.tag, returned.was) == ("", "given")
    assert returned.warnings == ('its old tag "b" is on another piece now: 2C has none.',)
    assert piece(book, "a").mark == "1B"
    assert piece(book, "1B").on_hand
    assert not piece(book, "1B", date(2026, 3, 15)).on_hand
    with page() as p:
        weigh(p, piece="a", mass=g(500), on=day("2026-04-02"))


def test_back_that_cannot_be(page, blanks):
    with pytest.raises(NotNow, match="1B is not out"), page() as p:
        back(p, piece="a", on=LATER)
    with page() as p:
        out(p, piece="a", outcome="lost", on=LATER)
    with pytest.raises(Impossible, match=r"it went out \(lost\) on 1 March 2026"), page() as p:
        back(p, piece="1B", on=day("2026-02-01"))


def test_ways_out_that_are_none(book, page, blanks):
    for outcome in ("burnt", ""):
        with pytest.raises(Unclear, match="way out"), page() as p:
            out(p, piece="a", outcome=outcome, on=LATER)
    with pytest.raises(Doubtful), page() as p:
        out(p, piece="a", outcome="given", on=day("2024-01-01"))
    assert rows(book, "departure") == []


def test_t18_a_set_that_loses_a_stave_says_so(page, blanks):
    with page() as p:
        held = p.put(StaveSet(name="tall vase", on_last=ON.last))
        done = p.put(StaveSet(name="old one", outcome="used", on_last=ON.last))
        for one in (held, done):
            p.put(SetMember(set_id=one, piece_id=1, corner=1, on_last=ON.last))
    with page() as p:
        gone = out(p, piece="a", outcome="rotten", on=LATER)
    assert gone.sets == ("tall vase",)
