"""A sheet of weighings, such as one typed up after the walk, or fifteen years of a notebook: taken whole or not at all.

Everything known is read once and every row is put at once, so that the time grows with the lines and with nothing
else. A line that cannot be true refuses the sheet; one that is only odd is taken and told of.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from stock.book.facts import Facts, facts
from stock.book.journal import Page
from stock.book.naming import Named, Names
from stock.dates import When, day_words, words
from stock.errors import BadLines, StockError
from stock.survey.doubting import Doubt, Reading, crossings, doubt, dry_on
from stock.survey.expecting import Course, Expectation
from stock.survey.ledgers import Family
from stock.survey.pieces import Pieces
from stock.survey.states import step_of_digits
from stock.typed import Typed
from stock.yard.lifetimes import Lifetimes
from stock.yard.reading import Pan, pan_of, same_day, weighing_row
from stock.yard.values import positive

MOST_FAMILIES_APART = 500  # pieces; for more the whole book is read
MOST_TOLD = 12


@dataclass(frozen=True, slots=True)
class WeighLine:
    """A line of a sheet: its number in the file, the piece as named, its weight (g) and its date."""

    line_no: int
    piece: str
    mass: Typed
    on: When
    scales: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class WeighedMany:
    """A sheet that is on the book now.

    Attributes:
        count: lines taken.
        marks: the pieces, in the order of the sheet, each once.
        doubtful: how many weights are far from what was expected.
        repeated: how many pieces were weighed that day already, to the same weight.
        warnings: the first of each in words.
    """

    count: int
    marks: tuple[str, ...]
    doubtful: int
    repeated: int
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Taken:
    """A line that can be true: the piece it names, and the scales."""

    line: WeighLine
    named: Named
    pan: Pan


@dataclass(frozen=True, slots=True)
class _Odd:
    line_no: int
    on: date
    mark: str
    mass_g: float
    expectation: Expectation | None
    doubt: Doubt


def weigh_many(
    page: Page,
    lines: Sequence[WeighLine],
    insist: bool = False,
    *,
    names: Names | None = None,
    unread: Mapping[int, str] | None = None,
    source: str = "",
) -> WeighedMany:
    """Put a sheet of weighings on the book.

    Args:
        page: the page that is being written.
        lines: the lines, in any order of time.
        insist: whether doubtful weights are marked as insisted on; they are taken either way.
        names: the names of the book, if they are at hand.
        unread: lines that could not even be read, by number, so that all bad lines are told of at once.
        source: the name of the file, for the message.

    Raises:
        BadLines: some lines cannot be taken: an unknown piece or scales, a weight that cannot be, a date before the
            piece was made or after it was gone. Nothing is stored then.
    """
    if names is None:
        names = Names(page.connection)
        names.learn_all()
    bad = dict(unread or {})
    named = _named(names, lines, bad)
    known_on = max([page.today, *(line.on.last for line in lines)])
    ids = sorted({one.id for one in named.values()})
    known = facts(page.connection, known_on, ids if len(ids) <= MOST_FAMILIES_APART else None)
    taken = _taken(names, known, lines, named, bad)
    if bad:
        what = f"{source}, {len(bad)}" if source else f"{len(bad)}"
        told = [f"line {number}: {text}" for number, text in sorted(bad.items())]
        raise BadLines(f"{what} of {len(lines) + len(unread or {})} lines cannot be taken; nothing stored.", told)
    odd, repeated = _judged(known, taken)
    doubts = {one.line_no: one.doubt for one in odd}
    page.put_all(
        [
            weighing_row(
                one.named.id,
                one.line.mass,
                one.line.on,
                one.pan,
                odd=doubts.get(one.line.line_no),
                insisted=insist,
                note=one.line.note,
            )
            for one in taken
        ]
    )
    marks = tuple(dict.fromkeys(one.named.mark for one in taken))
    return WeighedMany(len(taken), marks, len(odd), len(repeated), _warnings(odd, repeated))


def _named(names: Names, lines: Sequence[WeighLine], bad: dict[int, str]) -> dict[str, Named]:
    """The pieces by the texts that name them; lines whose piece is unknown go to the bad ones."""
    found: dict[str, Named] = {}
    refused: dict[str, str] = {}
    for line in lines:
        if line.piece not in found and line.piece not in refused:
            try:
                found[line.piece] = names.piece(line.piece)
            except StockError as trouble:
                refused[line.piece] = _sentence(trouble)
        if line.piece in refused:
            bad[line.line_no] = refused[line.piece]
    return found


def _taken(
    names: Names, known: Facts, lines: Sequence[WeighLine], named: Mapping[str, Named], bad: dict[int, str]
) -> list[_Taken]:
    """The lines that can be true; the others go to the bad ones."""
    lifetimes = Lifetimes(Pieces(known))
    scales_ids: dict[str, int | None] = {"": None}
    taken: list[_Taken] = []
    for line in lines:
        one = named.get(line.piece)
        if one is None:
            continue
        try:
            positive("a weight", line.mass, one.mark)
            lifetimes.check(one.id, one.mark, line.on, "weighed")
            if line.scales not in scales_ids:
                scales_ids[line.scales] = names.scales(line.scales)
            scales_id = scales_ids[line.scales]
            pan = pan_of(known.scales.get(scales_id) if scales_id is not None else None, None, line.mass)
            taken.append(_Taken(line, one, pan))
        except StockError as trouble:
            bad[line.line_no] = _sentence(trouble)
    return taken


def _judged(known: Facts, taken: Sequence[_Taken]) -> tuple[list[_Odd], list[_Taken]]:
    """The weights that are odd, and those that only repeat another of their day; piece by piece, in order of time."""
    by_piece: dict[int, list[_Taken]] = defaultdict(list)
    for one in taken:
        by_piece[one.named.id].append(one)
    families = _Families(known)
    odd: list[_Odd] = []
    repeated: list[_Taken] = []
    for piece_id, some in by_piece.items():
        course = Course(known, piece_id)
        for one in sorted(some, key=lambda one: one.line.on.last):
            line, mark = one.line, one.named.mark
            step_g = one.pan.step_g or step_of_digits(line.mass.value)
            dry_g, dry_sd_g = families.dry_on(piece_id, line.on.last) or (None, None)
            expectation = course.expect(
                line.on.last,
                oven_dry_g=dry_g,
                oven_dry_sd_g=dry_sd_g,
                step_g=step_g,
                scales_id=one.pan.scales_id,
            )
            reading = Reading(mark, line.mass.value, line.mass.text, capacity_g=one.pan.capacity_g)
            doubtful, said = same_day(reading, expectation, line.on)
            if doubtful is None and not said:
                doubtful = doubt(reading, expectation, oven_dry_g=dry_g)
            if said:
                repeated.append(one)
            if doubtful is not None:
                odd.append(_Odd(line.line_no, line.on.last, mark, line.mass.value, expectation, doubtful))
            course.add(line.on.last, line.mass.value, step_g, one.pan.scales_id)
    return sorted(odd, key=lambda one: one.line_no), repeated


class _Families:
    """The ledgers of the families of some facts, each worked out once; those without a dried section know nothing."""

    def __init__(self, known: Facts) -> None:
        self._pieces = Pieces(known)
        self._tell = {self._pieces.root(one) for one in known.sections}
        self._known: dict[int, Family] = {}

    def dry_on(self, piece_id: int, day: date) -> tuple[float, float] | None:
        root = self._pieces.root(piece_id)
        if root not in self._tell:
            return None
        if root not in self._known:
            self._known[root] = Family(self._pieces.facts, [root, *self._pieces.down(root)])
        return dry_on(self._pieces.facts, piece_id, day, self._known[root])


def _warnings(odd: Sequence[_Odd], repeated: Sequence[_Taken]) -> tuple[str, ...]:
    by_day: dict[date, list[tuple[str, Expectation, float]]] = defaultdict(list)
    for one in odd:
        if one.expectation is not None:
            by_day[one.on].append((one.mark, one.expectation, one.mass_g))
    told = [f"{day_words(day)}: {pair}" for day, some in sorted(by_day.items()) for pair in crossings(some)]
    told = _first(told, "pairs look swapped")
    told += _first(
        [f"line {one.line_no}: {one.doubt.sentence} {' '.join(one.doubt.causes[:2])}" for one in odd],
        "weights are doubtful",
    )
    told += _first(
        [
            f"line {one.line.line_no}: {one.named.mark} was weighed on {words(one.line.on)} already, to the same "
            "weight; both are kept."
            for one in repeated
        ],
        "lines repeat a weighing of that day; all are kept",
    )
    return tuple(told)


def _first(sentences: list[str], rest: str) -> list[str]:
    more = len(sentences) - MOST_TOLD
    return [*sentences[:MOST_TOLD], f"{more} more {rest}."] if more > 0 else sentences


def _sentence(trouble: StockError) -> str:
    return f"{trouble.message} {trouble.hint}".strip()
