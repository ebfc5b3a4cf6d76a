"""A blank, and the same blank of a tree, for tests that put facts on a book and ask how moist the piece is."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

from stock.book import opening
from stock.book.facts import Facts, facts
from stock.book.naming import Names
from stock.survey.courses import Dryness, Reckoning
from stock.yard.cutting import cut
from stock.yard.felling import add, fell
from stock.yard.lengthways import BlankPlan, saw
from stock.yard.ovening import oven
from stock.yard.weighing import weigh
from tests.said import day, g, mm

MADE = date(2025, 3, 2)
ASKED = date(2026, 6, 1)


def iso(days: int) -> str:
    return (MADE + timedelta(days=days)).isoformat()


def known(book: Path, on: date = ASKED) -> Facts:
    with opening.reading(book) as connection:
        return facts(connection, on)


def ask(book: Path, piece: str, on: date = ASKED, target: str = "") -> Dryness:
    """The dryness of a piece as known on a day."""
    with opening.reading(book) as connection:
        named = Names(connection).piece(piece)
        return Reckoning(facts(connection, on, [named.id]), target).of(named.id)


def blank(page, species: str = "", side: float = 50, **told: object) -> str:
    """A blank from elsewhere, 50 x 50 x 400 mm: 1000 cm3."""
    with page("add") as p:
        sides = {"length": mm(400), "width": mm(side), "thickness": mm(side)}
        return add(p, kind="blank", on=day(iso(0)), species=species, **sides, **told).mark


def sawn(page, count: int = 1, species: str = "black cherry", felled: str = "2025-02") -> list[str]:
    """Blanks of a tree, 50 x 50 x 400 mm, sawn on the first day."""
    with page() as p:
        tree = fell(p, species=species, on=day(felled))
        log = cut(p, piece=tree.mark, lengths=[mm(1500)], dias=[mm(400)], on=day(iso(0))).children[0]
        plans = [BlankPlan(width=mm(50), thickness=mm(50), length=mm(400)) for _ in range(count)]
        return [child.mark for child in saw(p, piece=log.mark, blanks=plans, on=day(iso(0))).children]


def sectioned(page, piece: str, after: float = 842, on: int = 0, wet: float = 61.4, dry: float = 36.9) -> None:
    """A section of 66.4 %; what remains of the piece weighs 842 g that day, of which 506.02 g are dry wood."""
    with page() as p:
        oven(p, piece=piece, on=day(iso(on)), wet=g(wet), dry=g(dry), after=g(after), step=g(0.1))


def weighed(page, piece: str, *masses: tuple[int, float], scales: str = "") -> None:
    """Weighings, each by its day and grams."""
    for on, mass in masses:
        with page() as p:
            weigh(p, piece=piece, mass=g(mass), on=day(iso(on)), scales=scales, insist=True)


def scaled(some: Facts, factor: float) -> Facts:
    """The same facts of wood so many times as heavy and as voluminous: all sides by the cube root."""
    side = factor ** (1 / 3)

    def by(rows, **columns: float):
        return {
            key: [row._replace(**{n: getattr(row, n) * f for n, f in columns.items() if getattr(row, n)}) for row in of]
            for key, of in rows.items()
        }

    return replace(
        some,
        weighings=by(some.weighings, mass_g=factor, step_g=factor),
        sections=by(some.sections, wet_g=factor, step_g=factor, volume_cm3=factor),
        ovens=by(some.ovens, mass_g=factor, step_g=factor),
        sizes=by(some.sizes, length_mm=side, width_mm=side, thickness_mm=side),
        scales={key: one._replace(step_g=one.step_g and one.step_g * factor) for key, one in some.scales.items()},
        scales_checks=by(some.scales_checks, true_g=factor, read_g=factor),
    )


def shifted(some: Facts, days: int) -> Facts:
    """The same facts so many days later."""

    def later(row):
        dates = {n: getattr(row, n) + timedelta(days=days) for n in ("on_first", "on_last") if getattr(row, n, None)}
        return row._replace(**dates)

    names = ("trees", "opinions", "sizes", "operations", "weighings", "sections", "meters", "moves", "ovens")
    moved = {name: {key: [later(row) for row in of] for key, of in getattr(some, name).items()} for name in names}
    checks = {key: [later(row) for row in of] for key, of in some.scales_checks.items()}
    air = {key: [row if row.month else later(row) for row in of] for key, of in some.air.items()}
    pieces = {key: later(row) for key, row in some.pieces.items()}
    on = some.on + timedelta(days=days)
    return replace(some, on=on, pieces=pieces, scales_checks=checks, air=air, **moved)


def of_all(some: Facts, marks: Sequence[str]) -> dict[str, Dryness]:
    reckoning = Reckoning(some)
    ids = {piece.mark: piece.id for piece in reckoning.pieces.all()}
    return {mark: reckoning.of(ids[mark]) for mark in marks}
