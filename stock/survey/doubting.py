"""Whether a weight is to be doubted, and the likely causes in the order in which they should be looked at."""

import re
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from math import exp, pi, sqrt

from stock.book.facts import Facts
from stock.dates import day_words
from stock.survey.expecting import Expectation, expect
from stock.survey.ledgers import Family
from stock.survey.pieces import Pieces, Size
from stock.survey.slips import Slip, grams, slips

MOST_SISTERS = 8
# Green wood that sinks like a stone weighs 1.4 g/cm3, the lightest dry garden wood 0.3 (common practice, no source);
# wider here, because sizes are nominal and rough.
LIGHTEST_G_CM3, HEAVIEST_G_CM3 = 0.1, 2.0
SOAKED = 1.5  # rain and mud add no more than half again
NOT_CLEAN = ("rain", "dirty")

_GRAMS_TYPED = re.compile(r"\d+(?:[.,]\d+)?(?: ?g)?")


@dataclass(frozen=True, slots=True)
class Doubt:
    """Why a weight is not believed at once: a sentence, and the likely causes as questions, in order."""

    sentence: str
    causes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Reading:
    """A weight that was just read off.

    Attributes:
        mark: the piece.
        mass_g: as the scales showed it.
        text: as typed.
        state: clean, rain, dirty or bagged; rain and dirt may add weight.
        capacity_g: what the scales can carry, if known.
        other_scales: whether the last weight was read on other scales.
    """

    mark: str
    mass_g: float
    text: str = ""
    state: str = "clean"
    capacity_g: float | None = None
    other_scales: bool = False

    def words(self, step_g: float | None = None) -> str:
        """The weight as typed, with its grams unless those were typed."""
        typed = " ".join(self.text.split())
        if _GRAMS_TYPED.fullmatch(typed) and abs(float(typed.rstrip(" g").replace(",", ".")) - self.mass_g) < 1e-9:
            return f"{typed.rstrip(' g')} g"
        plain = grams(self.mass_g, step_g)
        return f'"{typed}" ({plain})' if typed else plain


def doubt(
    reading: Reading,
    expectation: Expectation | None,
    *,
    oven_dry_g: float | None = None,
    limits_g: tuple[float, float] | None = None,
    neighbours: Callable[[], Sequence[tuple[str, Expectation]]] = tuple,
) -> Doubt | None:
    """Judge a weight before it is written.

    Args:
        reading: the weight.
        expectation: what the piece should weigh; None if no earlier weighing tells.
        oven_dry_g: oven-dry mass of the piece as it is, g, if known: nothing can weigh less.
        limits_g: what a piece of this size can weigh at all, g; asked only without an expectation.
        neighbours: gives the sister pieces and what they should weigh; asked only in doubt.

    Returns:
        The doubt, or None.
    """
    if reading.capacity_g and reading.mass_g > reading.capacity_g:
        sentence = f"{reading.mark}: {reading.words()} is more than these scales carry ({grams(reading.capacity_g)})."
        return Doubt(sentence, ("Which scales?",))
    if expectation is None:
        return _by_size_alone(reading, oven_dry_g, limits_g)
    below_dry = oven_dry_g is not None and reading.mass_g - expectation.tare_g < oven_dry_g - expectation.step_g
    if not below_dry and not _outside(reading, expectation):
        return None
    causes = doubts(
        expectation,
        reading.mass_g,
        text=reading.text,
        neighbours=neighbours(),
        other_scales=reading.other_scales,
    )
    sentence = _compared(reading, expectation, oven_dry_g)
    return Doubt(sentence, (*causes, "Or is its oven-dry mass wrong?") if below_dry else causes)


def _outside(reading: Reading, expectation: Expectation) -> bool:
    if reading.state in NOT_CLEAN:
        return not expectation.low_g <= reading.mass_g <= SOAKED * expectation.high_g
    return expectation.doubts(reading.mass_g)


def _compared(reading: Reading, expectation: Expectation, oven_dry_g: float | None) -> str:
    step = expectation.step_g
    change = reading.mass_g - expectation.last_g
    than = f"{grams(abs(change), step)} {'more' if change > 0 else 'less'} than on {day_words(expectation.last_on)}"
    water = ""
    if oven_dry_g is not None:
        mc = 100 * ((reading.mass_g - expectation.tare_g) / oven_dry_g - 1)
        dry = f"less than its oven-dry mass of {grams(oven_dry_g, step)}, and"
        water = f" {dry}" if mc < 0 else f" {mc:.0f} % moisture,"
    return f"{reading.mark}: {reading.words(step)} would be{water} {than}; expected {expectation.words}."


def _by_size_alone(reading: Reading, oven_dry_g: float | None, limits_g: tuple[float, float] | None) -> Doubt | None:
    if oven_dry_g is not None and reading.mass_g < oven_dry_g:
        sentence = f"{reading.mark}: {reading.words()} is less than its oven-dry mass of {grams(oven_dry_g)}."
        return Doubt(sentence, ("Its unit?", "Cut since, and not noted?", "Another piece?"))
    if limits_g is None or limits_g[0] <= reading.mass_g <= limits_g[1]:
        return None
    light = reading.mass_g < limits_g[0]
    sentence = f"{reading.mark}: {reading.words()} is too {'light' if light else 'heavy'} for wood of its size."
    return Doubt(sentence, doubts_by_size(limits_g, reading.mass_g, reading.text))


def doubts(
    expectation: Expectation,
    mass_g: float,
    *,
    text: str = "",
    neighbours: Sequence[tuple[str, Expectation]] = (),
    other_scales: bool = False,
) -> tuple[str, ...]:
    """Why a weight may lie outside what was expected, the likeliest first.

    Args:
        expectation: what was expected.
        mass_g: the weight, g.
        text: the weight as typed; digits and units are tried in it.
        neighbours: sister pieces, each with its mark and what it should weigh.
        other_scales: whether the last weight was taken on other scales.

    Returns:
        Questions: slips whose mending lands inside the range, a neighbour that should weigh this, other scales, and
        what would be true of the wood: a cut not yet noted, rain.
    """
    limits_g = (expectation.low_g, expectation.high_g)
    causes = _slipped(limits_g, expectation.last_g, mass_g, text or grams(mass_g, expectation.step_g))
    causes += [f"Its neighbour {mark} ({one.words})?" for mark, one in neighbours if one.holds(mass_g)]
    if other_scales:
        causes.append("Other scales than last time?")
    if mass_g < expectation.low_g:
        causes.append("Cut since, and not noted?")
    elif mass_g > expectation.high_g:
        causes.append("Wet from rain, or a coat not noted?")
    return tuple(causes)


def doubts_by_size(limits_g: tuple[float, float], mass_g: float, text: str) -> tuple[str, ...]:
    """Why a first weight may not fit the size of its piece: slips that would, and the size itself."""
    return (
        *_slipped(limits_g, sqrt(limits_g[0] * limits_g[1]), mass_g, text or grams(mass_g)),
        "The size on the book?",
    )


def _slipped(limits_g: tuple[float, float], near_g: float, mass_g: float, text: str) -> list[str]:
    """For each kind of slip the one that best explains a weight, as a question: its mending lies within the limits."""
    best: dict[str, Slip] = {}
    for slip in slips(text, mass_g):
        if limits_g[0] <= slip.mass_g <= limits_g[1]:
            other = best.setdefault(slip.kind, slip)
            if abs(slip.mass_g - near_g) < abs(other.mass_g - near_g):
                best[slip.kind] = slip
    return [f"{slip.words[:1].upper()}{slip.words[1:]}?" for slip in best.values()]


def dry_on(facts: Facts, piece_id: int, day: date, family: Family | None = None) -> tuple[float, float] | None:
    """The oven-dry mass of a piece as it was on a day, and its standard deviation, g; None if nothing tells it.

    Args:
        facts: the facts of the piece's whole family.
        piece_id: the piece.
        day: the day; later cuts have not happened yet.
        family: the family's ledger, if it is at hand.
    """
    if family is None:
        pieces = Pieces(facts)
        root = pieces.root(piece_id)
        family = Family(facts, [root, *pieces.down(root)])
    history = family.histories[piece_id]
    node = (piece_id, history.state_after(history.events_by(day)))
    if not family.solution.knows(node):
        return None
    mass_g = exp(family.solution.mean(node))
    return mass_g, mass_g * sqrt(family.solution.variance(node))


def by_size(facts: Facts, piece_id: int) -> tuple[float, float] | None:
    """The lightest and heaviest that a piece of this size can be, g; None if its size is not known."""
    volume = _volume_cm3(Pieces(facts)[piece_id].size)
    return (LIGHTEST_G_CM3 * volume, HEAVIEST_G_CM3 * volume) if volume else None


def _volume_cm3(size: Size) -> float | None:
    if not size.length_mm:
        return None
    if size.width_mm and size.thickness_mm:
        return size.width_mm * size.thickness_mm * size.length_mm / 1000
    ends = [end for end in (size.dia_butt_mm, size.dia_top_mm) if end]
    return sum(pi / 4 * end**2 for end in ends) / len(ends) * size.length_mm / 1000 if ends else None


def sisters(facts: Facts, piece_id: int, on: date) -> tuple[tuple[str, Expectation], ...]:
    """The pieces sawn from the same piece and still on hand, nearest first, each with what it should weigh."""
    parent = facts.pieces[piece_id].parent_id
    beside = list(facts.children.get(parent, ())) if parent is not None else []
    if piece_id not in beside:
        return ()
    here = beside.index(piece_id)
    pieces = Pieces(facts)
    found: list[tuple[str, Expectation]] = []
    for at in sorted(range(len(beside)), key=lambda at: abs(at - here)):
        other = beside[at]
        if other == piece_id or pieces[other].gone:
            continue
        if (expected := expect(facts, other, on)) is not None:
            found.append((pieces[other].mark, expected))
        if len(found) == MOST_SISTERS:
            break
    return tuple(found)


def crossings(weighed: Sequence[tuple[str, Expectation, float]]) -> tuple[str, ...]:
    """Pairs of pieces that look swapped in one session: each weighs what the other should.

    Args:
        weighed: the doubtful weights of the session: mark, what was expected, and the weight, g.

    Returns:
        A sentence for each pair.
    """
    by_mass = sorted(weighed, key=lambda one: one[2])
    masses = [mass_g for _, _, mass_g in by_mass]
    found: list[str] = []
    for mark, expected, mass_g in weighed:
        for other, theirs, other_g in by_mass[
            bisect_left(masses, expected.low_g) : bisect_right(masses, expected.high_g)
        ]:
            crossed = theirs.holds(mass_g) and not expected.holds(mass_g) and not theirs.holds(other_g)
            if mark < other and crossed:
                found.append(
                    f"{mark} ({grams(mass_g, expected.step_g)}) and {other} ({grams(other_g, theirs.step_g)}) look "
                    "swapped: each weighs what the other should."
                )
    return tuple(found)
