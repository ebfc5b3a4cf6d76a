"""A reference block: how long it needs, how it is made and kept, and what its weighings say of its place."""

from datetime import date

import pytest
from desk_side import Rick
from found import piece, rows
from said import day, g, mm
from stocked import copied, refused

from stock.book import opening
from stock.book.facts import Facts, facts
from stock.book.naming import Names
from stock.errors import Impossible, NotNow, Unclear, Unknown
from stock.survey.airs import air_of
from stock.survey.reference_blocks import ReferenceBlock, reference_blocks
from stock.wood.reference_blocks import days_to_balance, level_sd_pct, reading_sd_pct
from stock.yard.coating import seal
from stock.yard.felling import add
from stock.yard.moving import move
from stock.yard.ovening import oven
from stock.yard.reference_blocks import reference_block
from stock.yard.scaling import scales, scales_check
from stock.yard.shaping import trim
from stock.yard.weighing import weigh

DRIED, LATER = day("2026-01-10"), day("2026-04-01")
ON = date(2026, 6, 1)


def known(book, on: date = ON, pieces: list[str] | None = None) -> Facts:
    with opening.reading(book) as connection:
        ids = None if pieces is None else [Names(connection).piece(text).id for text in pieces]
        return facts(connection, on, ids)


def only(book, on: date = ON) -> ReferenceBlock:
    (found,) = reference_blocks(known(book, on))
    return found


# -- how long it needs ------------------------------------------------------------------------------------------------


def test_a_thin_slice_counts_after_three_weeks_and_a_long_block_after_months():
    assert days_to_balance(51, 51, 25) == 21
    assert days_to_balance(51, 51, 20) == 21
    assert 45 < days_to_balance(51, 51, 50) < 70
    assert 120 < days_to_balance(51, 51, 100) < 200
    assert days_to_balance(300, 300, 1000) == 365
    assert days_to_balance(None, None, 25) == 21
    assert days_to_balance(None, None, None) == days_to_balance(50, 50, 50)


def test_the_slowest_mode_of_a_slab():
    """Crank, The Mathematics of Diffusion: the slowest mode of a slab of thickness l decays in l^2 / (pi^2 D)."""
    days = days_to_balance(30, 10_000, 10_000)
    assert days == pytest.approx(3 * 30**2 / (3.14159265**2 * 0.9), abs=1)


@pytest.mark.parametrize("side", [0, -1, float("nan"), float("inf")])
def test_a_size_that_cannot_be(side):
    with pytest.raises(Impossible):
        days_to_balance(51, side, 25)


def test_how_sure_a_block_is():
    assert level_sd_pct([reading_sd_pct(100, 0.1)] * 6, 0.1) == pytest.approx(0.46, abs=0.03)
    assert level_sd_pct([reading_sd_pct(100, 0.1)], 0.1) > level_sd_pct([reading_sd_pct(100, 0.1)] * 3, 0.1)
    assert reading_sd_pct(50, 1) > 2


# -- how it is made ---------------------------------------------------------------------------------------------------


@pytest.fixture
def offcut(page):
    """1B: an offcut of 51 x 51 x 25 mm, of a wood of its own; 2C: a blank of another family."""
    with page() as p:
        add(p, kind="offcut", on=DRIED, length=mm(25), width=mm(51), thickness=mm(51), tag="b")
        add(p, kind="blank", on=DRIED, length=mm(330), width=mm(51), thickness=mm(51), tag="a", place="shop")


def test_an_offcut_dried_whole_and_kept_in_a_place_is_its_reference_block(book, page, offcut):
    with page() as p:
        oven(p, piece="b", wet=g("60.0 g"), dry=g("40.0 g"), whole=True, on=DRIED)
        done = reference_block(p, piece="b", place="shop", on=DRIED)
    assert (done.mark, done.place, done.dry_g, done.counts_from) == ("1B", "shop", 40.0, date(2026, 1, 31))
    assert (done.is_new, done.days, done.warnings) == (True, 21, ())
    found = piece(book, "b")
    assert (found.role, found.kind, found.place, found.on_hand) == ("reference", "offcut", "shop", True)


def test_its_dry_weight_may_be_told_at_once(book, page, offcut):
    with page() as p:
        done = reference_block(p, piece="b", place="shop", on=DRIED, dry=g("40.0 g"))
        again = reference_block(p, piece="b", place="shop", on=DRIED, dry=g("40.0 g"))
    assert done.dry_g == again.dry_g == 40.0
    assert len(rows(book, "section")) == len(rows(book, "oven")) == len(rows(book, "move")) - 1 == 1
    with pytest.raises(Unclear, match=r"1B weighed 40\.0 g oven-dry on 10 January 2026"), page() as p:
        reference_block(p, piece="b", place="shop", on=DRIED, dry=g("41.0 g"))


def test_a_piece_dried_whole_that_left_the_stock_is_on_hand_again(book, page):
    with page() as p:
        add(p, kind="blank", on=DRIED, length=mm(25), width=mm(51), thickness=mm(51), tag="b")
        said = oven(p, piece="b", wet=g("60.0 g"), dry=g("40.0 g"), whole=True, on=DRIED)
    assert said.warnings[-1] == "To keep it on hand as a reference block: rick air PLACE --block 1B"
    assert piece(book, "1B").gone
    with page() as p:
        done = reference_block(p, piece="b", place="shop", on=DRIED)
        weigh(p, piece="b", mass=g("43.2 g"), on=LATER)
    assert done.dry_g == 40.0
    assert piece(book, "1B").on_hand
    (reading,) = only(book).readings
    assert reading.emc_pct == pytest.approx(8.0)


def test_without_a_dry_weight_it_tells_nothing_and_says_so(book, page, offcut):
    with page() as p:
        done = reference_block(p, piece="b", place="shop", on=DRIED)
        weigh(p, piece="b", mass=g("43.2 g"), on=LATER)
    assert (done.dry_g, done.counts_from) == (None, None)
    assert done.warnings == ("its oven-dry mass is not known yet: rick oven 1B --whole --wet ... --dry ...",)
    assert only(book).readings == ()


def test_what_makes_a_poor_block_is_said(page):
    with page() as p:
        add(p, kind="offcut", on=DRIED, length=mm(100), width=mm(51), thickness=mm(51), tag="long")
        add(p, kind="offcut", on=DRIED, tag="light")
        long = reference_block(p, piece="long", place="shop", on=DRIED, dry=g("160.0 g"))
        light = reference_block(p, piece="light", place="shop", on=DRIED, dry=g("40 g"))
        seal(p, pieces=["long"], on=DRIED)
        coated = reference_block(p, piece="long", place="shop", on=DRIED)
    assert any("days to come to balance" in one for one in long.warnings)
    assert any("steps of 1 g are 2.6 points on 40 g" in one for one in light.warnings)
    assert any("its length along the grain is not known" in one for one in light.warnings)
    assert any("only bare wood follows the air" in one for one in coated.warnings)


def test_what_cannot_be_a_block(book, page, offcut):
    with page() as p:
        add(p, kind="log", on=DRIED, dia_butt=mm(200), dia_top=mm(200), length=mm(600), tag="log")
        weigh(p, piece="b", mass=g(39), on=DRIED)
    with pytest.raises(NotNow, match="is a log"), page() as p:
        reference_block(p, piece="log", place="shop", on=DRIED)
    with pytest.raises(Unknown), page() as p:
        reference_block(p, piece="9K", place="shop", on=DRIED)
    with pytest.raises(Impossible, match=r"40\.0 g oven-dry is above the 39\.0 g that it weighed"), page() as p:
        reference_block(p, piece="b", place="shop", on=DRIED, dry=g("40.0 g"))
    with pytest.raises(Unclear, match="not the name of a place"), page() as p:
        reference_block(p, piece="b", place=" / ", on=DRIED)
    assert piece(book, "b").role == "stock"


# -- what it says -----------------------------------------------------------------------------------------------------


@pytest.fixture
def block(page, offcut):
    with page() as p:
        oven(p, piece="b", wet=g("60.0 g"), dry=g("50.0 g"), whole=True, on=DRIED)
        reference_block(p, piece="b", place="shop", on=DRIED)


def test_its_weighings_are_the_air_of_its_place_for_pieces_of_other_families(book, page, block):
    with page() as p:
        weigh(p, piece="b", mass=g("52.0 g"), on=day("2026-01-20"))  # too early
        weigh(p, piece="b", mass=g("54.0 g"), on=LATER, insist=True)
        weigh(p, piece="b", mass=g("54.2 g"), on=day("2026-05-20"))
    assert [(one.on.isoformat(), round(one.emc_pct, 3)) for one in only(book).readings] == [
        ("2026-04-01", 8.0),
        ("2026-05-20", 8.4),
    ]
    asked = known(book, pieces=["a"])
    assert set(asked.pieces) == {2}
    assert asked.references is not None
    air = air_of(asked, piece(book, "a").place_id, ON)
    assert air is not None
    assert air.emc_pct == pytest.approx(8.4)
    assert air.told_by.startswith("its reference block 1B")
    earlier = known(book, date(2026, 5, 1), ["a"])
    assert len(only(book, date(2026, 5, 1)).readings) == 1
    assert air_of(earlier, piece(book, "a").place_id, date(2026, 5, 1)).emc_pct == pytest.approx(8.0)


def test_a_book_without_blocks_has_no_references(book, page, offcut):
    assert known(book, pieces=["a"]).references is None


def test_after_a_move_its_weeks_begin_anew(book, page, block):
    with page() as p:
        move(p, pieces=["b"], to="shed", on=LATER)
        weigh(p, piece="b", mass=g("55.0 g"), on=day("2026-04-15"))
        weigh(p, piece="b", mass=g("56.5 g"), on=day("2026-05-20"), insist=True)
    found = only(book)
    assert found.counts_from == date(2026, 4, 22)
    assert [(one.on, one.place_id) for one in found.readings] == [(date(2026, 5, 20), found.place_id)]


def test_a_block_that_was_cut_or_coated_since_tells_nothing(book, page, block):
    with page() as p:
        weigh(p, piece="b", mass=g("54.0 g"), on=LATER)
        trim(p, piece="b", on=day("2026-04-02"), length=mm(20))
        weigh(p, piece="b", mass=g("44.0 g"), on=day("2026-05-20"), insist=True)
    assert len(only(book).readings) == 1
    assert only(book).counts_from is None


def test_scales_that_read_high_are_reckoned_with(book, page, block):
    with page() as p:
        scales(p, name="bench", on=DRIED, step=g(0.1))
        scales_check(p, name="bench", true=g("100 g"), read=g("102 g"), on=DRIED)
        weigh(p, piece="b", mass=g("56.0 g"), on=LATER, scales="bench", insist=True)
    (reading,) = only(book).readings
    assert reading.emc_pct == pytest.approx(8.0)


def test_dried_again_its_newer_dry_mass_counts(book, page, block):
    with page() as p:
        weigh(p, piece="b", mass=g("54.0 g"), on=day("2026-03-01"))
        oven(p, piece="b", wet=g("54.0 g"), dry=g("49.5 g"), whole=True, on=LATER)
        weigh(p, piece="b", mass=g("53.5 g"), on=day("2026-05-20"), insist=True)
    (reading,) = only(book).readings
    assert reading.emc_pct == pytest.approx(100 * (53.5 / 49.5 - 1))


# -- as it is typed ---------------------------------------------------------------------------------------------------

STOCK = (
    "book units metric",
    "move --place shop --cover heated",
    "add --kind blank --species 'black cherry' --square 51mm --length 330mm --place shop --on 2025-12-01",
    "cut 1B --lengths 25mm+300mm --on 2026-01-05",
    "oven 2C --whole --wet 62.0g --dry 50.0g --on 2026-01-10",
    "air shop --block 2C --on 2026-01-10",
    "weigh 2C 54.0g --on 2026-05-01",
    "weigh 3D 520g --on 2026-04-01",
)


@pytest.fixture
def rick(tmp_path, monkeypatch, capsys) -> Rick:
    return Rick(copied(STOCK, tmp_path / "own" / "book.rick"), monkeypatch, capsys)


def test_the_two_commands_of_a_turner(rick):
    document = rick.done("dry", "3D", "--json").json[0]
    assert document["emc_pct"] == pytest.approx(8.0, abs=1.0)
    assert "its reference block 2C" in rick.done("dry", "3D").out
    said = rick.done("air", "shop", "--block", "2C")
    assert said.out.splitlines()[0] == "2C is the reference block of shop, 50 g oven-dry; no stock, no stave"
    assert "its weighings tell the air there from 31 January 2026 on: rick weigh 2C ..." in said.out
    assert "At 12 % it will weigh 56 g." in said.out
    assert all(len(line) <= 80 for line in said.lines)


def test_a_block_is_never_ready_and_never_a_stave(rick):
    for _ in range(2):
        rick.done("weigh", "2C", "54.0g", "--insist")
    ready = rick.done("ready", "--json").json
    assert "2C" not in {one["mark"] for one in [*ready["ready"], *ready["nearly"]]}
    assert "2C" not in rick("match", "--square", "38mm", "--length", "20mm", "--json").out


def test_a_block_for_programs(rick):
    document = rick.done("air", "shop", "--block", "2C", "--json").json
    assert (document["mark"], document["role"], document["oven_dry_g"]) == ("2C", "reference", 50.0)
    assert (document["counts_from"], document["days_to_balance"]) == ("2026-01-31", 21)
    assert document["air"]["told_by"].startswith("its reference block 2C")


def test_a_block_that_is_unknown(rick):
    assert "no piece 99H" in refused(rick, "air", "shop", "--block", "99H").err
