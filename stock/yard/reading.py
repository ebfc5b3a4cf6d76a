"""A reading on its way into the book: on which scales, in which steps, and beside what else of that day."""

from dataclasses import dataclass

from stock.book.kinds import ScalesFact
from stock.book.records import Weighing
from stock.dates import When
from stock.survey.doubting import Doubt, Reading
from stock.survey.expecting import Expectation
from stock.survey.slips import grams
from stock.typed import Typed
from stock.yard.values import dated, positive, texts

SAME_STEPS = 2  # two readings of one piece on one day may differ by so many steps


@dataclass(frozen=True, slots=True)
class Pan:
    """The scales a piece is on: their id in the book if they are known, the step of the reading, what they carry."""

    scales_id: int | None
    step_g: float | None
    capacity_g: float | None


def pan_of(scales: ScalesFact | None, step: Typed | None, mass: Typed) -> Pan:
    """The scales of a reading; their step as told, else their own, else that of the digits typed."""
    step_g = positive("a step", step) if step else scales.step_g if scales else None
    if step_g is None and mass.plus_minus:
        step_g = 2 * mass.plus_minus
    return Pan(scales.id if scales else None, step_g, scales.capacity_g if scales else None)


def weighing_row(
    piece_id: int,
    mass: Typed,
    on: When,
    pan: Pan,
    *,
    state: str = "clean",
    at_time: str | None = None,
    odd: Doubt | None = None,
    insisted: bool = False,
    note: str = "",
) -> Weighing:
    """The row of a weighing; what was odd about it, and the note of a sheet, are kept in it."""
    return Weighing(
        piece_id=piece_id,
        mass_g=mass.value,
        plus_minus_g=mass.plus_minus,
        step_g=pan.step_g,
        scales_id=pan.scales_id,
        state=state,
        at_time=at_time,
        insisted=insisted and odd is not None,
        doubt=odd.sentence if odd else None,
        typed={**texts(mass_g=mass), **({"note": note} if note else {})},
        **dated(on),
    )


def same_day(reading: Reading, expectation: Expectation | None, on: When) -> tuple[Doubt | None, tuple[str, ...]]:
    """A second weighing of a day: doubted if it differs by more than two steps, else kept and said."""
    if expectation is None or expectation.days or on.first != on.last or reading.state != "clean":
        return None, ()
    step = expectation.step_g
    earlier = grams(expectation.last_g, step)
    if abs(reading.mass_g - expectation.last_g) > SAME_STEPS * step * (1 + 1e-9):
        sentence = f"{reading.mark}: {reading.words(step)}, but {earlier} was weighed that day already."
        scales = ("Other scales?",) if reading.other_scales else ()
        return Doubt(sentence, ("A slip in one of the two?", *scales, "Another piece?")), ()
    return None, (f"{reading.mark} was weighed that day already ({earlier}); both are kept.",)
