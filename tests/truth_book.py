"""What was written down of made-up blanks, as the folder of a notebook, as a book, and as what the tool answers."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from itertools import groupby
from pathlib import Path

from truth import KERF_MM, SLICE_MM, Truth
from truth_air import Yard

from stock.book import journal, opening
from stock.book.csvfiles import write
from stock.book.facts import facts
from stock.book.journal import Hand
from stock.book.naming import Names
from stock.survey.courses import Dryness, Reckoning
from stock.yard.importing import import_folder

Lines = list[tuple[object, ...]]
LOG_MM, BILLET_MM = 2600, 2500
TODAY = date(2026, 6, 1)


@dataclass(frozen=True)
class Asked:
    """What the tool says of a blank as known on the day of one of its weighings."""

    truth: Truth
    weigh_ins: int
    on: date
    reckoning: Reckoning
    dryness: Dryness

    @property
    def true_pct(self) -> float:
        return self.truth.true_mc_pct(self.on)


def as_book(truths: Sequence[Truth], folder: Path) -> Path:
    """A book into which the notebook of some blanks was imported; both lie in the folder."""
    as_folder(truths, folder / "notebook")
    book = folder / "yard.rick"
    hand = Hand("import", "", datetime(TODAY.year, TODAY.month, TODAY.day, 12, tzinfo=UTC), TODAY)
    with journal.writing(book, hand) as page:
        import_folder(page, folder / "notebook")
    return book


def ask(
    book: Path,
    truths: Iterable[Truth],
    weigh_ins: int,
    target: Callable[[Truth, date], str] | None = None,
    *,
    whole: bool = False,
) -> Iterator[Asked]:
    """Ask after blanks as known on the day of the last of so many weighings.

    Args:
        book: where they are.
        truths: the blanks, tree by tree.
        weigh_ins: how many weighings are known.
        target: of a blank on a day, as `Reckoning` takes it.
        whole: whether the tool sees the whole book, or only the tree.
    """
    with opening.reading(book) as connection:
        names = Names(connection)
        for _, some in groupby(truths, key=lambda one: one.tree):
            tree = list(some)
            ids = [names.piece(one.tag).id for one in tree]
            on = tree[0].weighings[weigh_ins - 1][0]
            known = facts(connection, on, None if whole else ids)
            reckoning = Reckoning(known)
            for one, piece_id in zip(tree, ids, strict=True):
                asked = Reckoning(known, target(one, on)) if target else reckoning
                yield Asked(one, weigh_ins, on, asked, asked.of(piece_id))


def as_folder(truths: Sequence[Truth], path: Path) -> Path:
    """Write some blanks, the chains they came from, and the air and scales of their yards.

    Args:
        truths: the blanks.
        path: the folder; made if need be.
    """
    path.mkdir(parents=True, exist_ok=True)
    yards = list({one.yard.name: one.yard for one in truths}.values())
    _shops(yards, path)
    write(path / "trees.csv", ("tag", "species", "felled_on"), _trees(truths))
    columns = ("tag", "parent_tag", "kind", "made_on", "width_mm", "thickness_mm", "length_mm", "place")
    write(path / "pieces.csv", columns, _pieces(truths))
    weighings = [(one.tag, on, mass_g, _scales(one.yard)) for one in truths for on, mass_g in one.weighings]
    write(path / "weighings.csv", ("piece", "on", "mass_g", "scales"), weighings)
    sections: Lines = [
        (one.tag, one.made_on, s.wet_g, s.dry_g, s.before_g, s.after_g, s.step_g, one.length_mm)
        for one in truths
        if (s := one.section)
    ]
    columns = ("piece", "on", "wet_g", "dry_g", "before_g", "after_g", "step_g", "length_mm")
    write(path / "sections.csv", columns, sections)
    seals = [(one.tag, one.made_on, "wax", "ends", *one.coat_weights) for one in truths if one.coat_weights]
    write(path / "seals.csv", ("piece", "on", "coat", "where", "before_g", "after_g"), seals)
    moves = [(one.tag, since, place) for one in truths for since, place in one.places[1:]]
    write(path / "moves.csv", ("piece", "on", "place"), moves)
    return path


def _shops(yards: Iterable[Yard], path: Path) -> None:
    air: Lines = []
    places: Lines = []
    scales: Lines = []
    for yard in yards:
        for name, told in yard.places.items():
            places.append((name, told.cover, len(places) + 1))
            air += [(name, month + 1, temp_c, rh_pct) for month, (temp_c, rh_pct) in enumerate(told.normals)]
        scales.append((_scales(yard), "g", yard.step_g))
    write(path / "air.csv", ("place", "month", "temp_c", "rh_pct"), air)
    write(path / "places.csv", ("place", "cover", "walk_no"), places)
    write(path / "scales.csv", ("scales", "unit", "step_g"), scales)


def _scales(yard: Yard) -> str:
    return f"kitchen of {yard.name}"


def _trees(truths: Iterable[Truth]) -> Lines:
    return list({one.tree: (one.tree, one.species, one.made_on - timedelta(days=10)) for one in truths}.values())


def _pieces(truths: Iterable[Truth]) -> Lines:
    lines: dict[str, tuple[object, ...]] = {}
    for one in truths:
        log, billet = f"{one.tree} log", f"{one.tree} billet"
        first = one.places[0][1]
        sawn = (one.made_on - timedelta(days=5), "", "", LOG_MM, first)
        lines[log] = (log, one.tree, "log", *sawn)
        lines.setdefault(billet, (billet, log, "billet", one.made_on, 160, 160, BILLET_MM, first))
        length = one.length_mm + (SLICE_MM + KERF_MM if one.section else 0)
        lines[one.tag] = (one.tag, billet, "blank", one.made_on, one.square_mm, one.square_mm, length, first)
    return list(lines.values())
