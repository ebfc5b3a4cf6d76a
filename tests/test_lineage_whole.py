"""What may not change the answer, and what may only sharpen it: whole books of facts, scaled, shifted, added to."""

import pytest

from stock.book import opening
from stock.book.facts import facts
from stock.survey.courses import Reckoning
from stock.yard.airing import air
from stock.yard.coating import seal
from stock.yard.lengthways import BlankPlan, saw
from stock.yard.metering import meter
from stock.yard.moving import move
from stock.yard.ovening import oven
from stock.yard.scaling import scales
from stock.yard.shaping import plane, trim
from stock.yard.weighing import weigh
from tests.lineages import ASKED, ask, blank, iso, known, of_all, sawn, scaled, sectioned, shifted, weighed
from tests.said import day, g, mm, raw


@pytest.fixture
def marks(page) -> list[str]:
    """Four blanks of a tree with all that can be found out about them: a section, a meter, air, cuts, a coat."""
    one, two, three, four = sawn(page, 4)
    with page() as p:
        scales(p, name="kitchen", step=g(1), on=day(iso(0)))
        for mark, mass in ((one, 790), (two, 800), (three, 780), (four, 810)):
            weigh(p, piece=mark, mass=g(mass), on=day(iso(0)), scales="kitchen")
            move(p, pieces=[mark], to="shed", on=day(iso(0)))
        air(p, place="shed", on=day(iso(150)), temp=raw(15.0, "15"), rh=raw(65.0, "65"))
        seal(p, pieces=[two], on=day(iso(1)), before=g(799), after=g(806))
    with page() as p:
        oven(p, piece=one, on=day(iso(0)), wet=g(61.4), dry=g(36.9), before=g(790), after=g(722), step=g(0.1))
        trim(p, piece=three, on=day(iso(100)), before=g(600), after=g(540), length=mm(360))
        plane(p, piece=four, on=day(iso(120)), width=mm(45), thickness=mm(45), before=g(560), after=g(450))
    for at in range(140, 360, 30):
        weighed(page, one, (at, 505))
        weighed(page, two, (at, 560 - 10 * (360 - at) // 360))
    with page() as p:
        meter(p, piece=three, reading=raw(15.0, "15"), on=day(iso(200)), wood=raw(12.0, "12"))
    weighed(page, three, (201, 520))
    weighed(page, four, (200, 440))
    return [one, two, three, four]


def interval(one) -> tuple[float, float, float]:
    return one.mc_pct, one.mc_low_pct, one.mc_high_pct


@pytest.mark.parametrize("factor", [0.5, 2.0, 37.0])
def test_wood_so_many_times_as_heavy_and_large_is_as_moist(book, marks, factor):
    some = known(book)
    now, then = of_all(some, marks), of_all(scaled(some, factor), marks)
    for mark in marks:
        assert then[mark].oven_dry_g == pytest.approx(factor * now[mark].oven_dry_g, rel=2e-3)
        assert interval(then[mark]) == pytest.approx(interval(now[mark]), abs=0.15)


@pytest.mark.parametrize("days", [365, -365])
def test_a_year_later_nothing_has_changed(book, marks, days):
    some = known(book)
    now, then = of_all(some, marks), of_all(shifted(some, days), marks)
    for mark in marks:
        assert interval(then[mark]) == pytest.approx(interval(now[mark]), abs=1e-9)
        assert then[mark].oven_dry_g == pytest.approx(now[mark].oven_dry_g, abs=1e-9)
        assert [round(e.share, 9) for e in then[mark].evidence] == [round(e.share, 9) for e in now[mark].evidence]


def width(found) -> float:
    return found.mc_high_pct - found.mc_low_pct


def test_a_true_fact_more_never_widens_an_answer(page, book, marks):
    """Another section, another weighing, a meter reading, a size: each in line with what is known already."""
    before = {mark: ask(book, mark) for mark in marks}
    variance = variances(book, marks)
    water = 1 + before[marks[2]].mc_pct / 100
    added = [
        lambda p: weigh(p, piece=marks[1], mass=g(560), on=day(iso(365)), insist=True),
        lambda p: oven(p, piece=marks[2], on=day(iso(201)), wet=g(40 * water), dry=g(40), after=g(520), step=g(0.1)),
        lambda p: meter(p, piece=marks[3], reading=raw(14.0, "14"), on=day(iso(201))),
        lambda p: weigh(p, piece=marks[0], mass=g(505), on=day(iso(365)), insist=True),
    ]
    for number, add_fact in enumerate(added):
        with page() as p:
            add_fact(p)
        after = {mark: ask(book, mark) for mark in marks}
        sharper = variances(book, marks)
        for mark in marks:
            assert sharper[mark] <= variance[mark] * (1 + 1e-6), (mark, number)
            assert width(after[mark]) <= width(before[mark]) * 1.02, (
                mark,
                number,
            )  # nearer the air's floor, or farther
        before, variance = after, sharper


def variances(book, marks) -> dict[str, float]:
    """The variance of ln of the oven-dry mass of each piece as it was on the first day."""
    reckoning = Reckoning(known(book))
    ids = {piece.mark: piece.id for piece in reckoning.pieces.all()}
    return {mark: reckoning.family(ids[mark]).whole.variance((ids[mark], 0)) for mark in marks}


def test_every_answer_is_the_same_alone_and_in_the_whole_book(page, book, marks):
    blank(page, "white ash")
    with opening.reading(book) as connection:
        whole = Reckoning(facts(connection, ASKED))
    ids = {piece.mark: piece.id for piece in whole.pieces.all()}
    for mark in marks:
        assert interval(whole.of(ids[mark])) == interval(ask(book, mark))


def test_children_sum_to_the_parent_less_the_kerf(page, book):
    mark = blank(page)
    sectioned(page, mark)
    weighed(page, mark, (50, 640))
    with page() as p:
        plans = [BlankPlan(width=mm(50), thickness=mm(15), length=mm(369)) for _ in range(3)]
        children = [child.mark for child in saw(p, piece=mark, blanks=plans, on=day(iso(50))).children]
        for child in children:
            weigh(p, piece=child, mass=g(192), on=day(iso(50)))
    total = sum(ask(book, child).oven_dry_g for child in children)
    assert total == pytest.approx(ask(book, mark).oven_dry_g * 3 * 192 / 640, rel=1e-5)


def test_the_shares_of_the_evidence_sum_to_one(book, marks):
    for mark in marks:
        shares = [one.share for one in ask(book, mark).evidence]
        assert sum(shares) == pytest.approx(1, abs=0.01)
        assert shares == sorted(shares, reverse=True)
