"""Weighings: one piece on the scales, or a sheet of thousands (`sheet.py`). Raw readings are stored, no more.

Nothing is made up between weighings: a piece nobody weighed has no weight that day.
"""

import re
import shlex
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from stock.book.facts import Facts
from stock.book.journal import Page
from stock.book.kinds import WeighingFact
from stock.book.naming import Names
from stock.book.records.moisture import WEIGHED_STATES
from stock.dates import When
from stock.errors import Doubtful, Unclear
from stock.survey.doubting import Doubt, Reading, by_size, doubt, dry_on, sisters
from stock.survey.expecting import Expectation, expect
from stock.survey.states import step_of_digits
from stock.typed import Typed
from stock.yard.in_hand import Held, hold
from stock.yard.making import one_of
from stock.yard.reading import Pan, pan_of, same_day, weighing_row
from stock.yard.sheet import WeighedMany, WeighLine, weigh_many
from stock.yard.values import positive

__all__ = ["WeighLine", "Weighed", "WeighedMany", "weigh", "weigh_many"]

_TIME = re.compile(r"(?:[01]\d|2[0-3]):[0-5]\d")


@dataclass(frozen=True, slots=True)
class Weighed:
    """A weighing that is on the book now.

    Attributes:
        id: of the weighing.
        mark, tag: the piece.
        mass_g: as the scales showed it, g.
        previous_g, previous_on: the weighing before it, as the scales showed it; None if there is none.
        expectation: what the piece should have weighed; None if nothing told.
        doubt: what was odd about it but was insisted on, "" if nothing.
        warnings: what the person should know.
    """

    id: int
    mark: str
    tag: str
    mass_g: float
    previous_g: float | None
    previous_on: date | None
    expectation: Expectation | None
    doubt: str
    warnings: tuple[str, ...]


def weigh(
    page: Page,
    *,
    piece: str,
    mass: Typed,
    on: When,
    scales: str = "",
    step: Typed | None = None,
    state: str = "clean",
    at_time: str | None = None,
    insist: bool = False,
    names: Names | None = None,
) -> Weighed:
    """Put one weighing on the book.

    Args:
        page: the page that is being written.
        piece: its mark or tag.
        mass: what the scales show, g.
        on: the day of the weighing.
        scales: the name of the scales; "" if they are not known.
        step: the step of the display, g; None takes that of the scales, else what the digits tell.
        state: clean, or rain, dirty (such a weight is kept but tells no pace), bagged.
        at_time: the time of day, HH:MM, if it matters.
        insist: whether a doubtful weight is kept all the same; that it was is kept with it.
        names: the names of the book, if they are at hand.

    Returns:
        The weighing, with the one before it and what was expected.

    Raises:
        Unknown: no such piece or scales.
        NotNow: the piece was cut up or is out.
        Impossible: a weight that cannot be.
        Doubtful: a weight far from what the piece should weigh, below its oven-dry mass, or unlike another of that
            day; the hint gives the likely causes in order.
    """
    names = names or Names(page.connection)
    held = hold(page, piece, on, "weighed", names=names, insist=insist)
    known, mark = held.pieces.facts, held.mark
    mass_g = positive("a weight", mass, mark)
    one_of("state of a weighed piece", state, WEIGHED_STATES)
    if at_time is not None and not _TIME.fullmatch(at_time):
        raise Unclear(f'"{at_time}" is not a time of day.', hint="Write it like 09:30.")
    scales_id = names.scales(scales) if scales else None
    pan = pan_of(known.scales.get(scales_id) if scales_id is not None else None, step, mass)
    previous = _previous(known.weighings.get(held.id, ()), on)
    before_id = previous.scales_id if previous else None
    other_scales = None not in (before_id, scales_id) and before_id != scales_id
    reading = Reading(mark, mass_g, mass.text, state, pan.capacity_g, other_scales)
    expectation, odd, said = _judged(held, reading, pan, on)
    if odd is not None and not insist:
        raise Doubtful(odd.sentence, hint=" ".join((*odd.causes, "Weigh again, or insist to keep it.")), piece=mark)
    row = weighing_row(held.id, mass, on, pan, state=state, at_time=at_time, odd=odd, insisted=insist)
    return Weighed(
        id=page.put(row),
        mark=mark,
        tag=held.piece.tag,
        mass_g=mass_g,
        previous_g=previous.mass_g if previous else None,
        previous_on=previous.on_last if previous else None,
        expectation=expectation,
        doubt=odd.sentence if odd else "",
        warnings=(*held.warnings, *said, *_unnamed(known, before_id, scales_id)),
    )


def _unnamed(known: Facts, before_id: int | None, scales_id: int | None) -> tuple[str, ...]:
    """A word where scales were named last time and not now, and there is more than one they might be."""
    before = known.scales.get(before_id) if before_id is not None else None
    if scales_id is not None or before is None or len(known.scales) < 2:
        return ()
    name = shlex.quote(before.name)
    return (f"on which scales? Last time {before.name}; weights on unnamed ones show no change. Say --scales {name}.",)


def _judged(
    held: Held, reading: Reading, pan: Pan, on: When
) -> tuple[Expectation | None, Doubt | None, tuple[str, ...]]:
    """What was expected of a piece, what is odd about its weight, and what is to be said of it."""
    known = held.pieces.facts
    dry_g, dry_sd_g = dry_on(known, held.id, on.last) or (None, None)
    expectation = expect(
        known,
        held.id,
        on.last,
        oven_dry_g=dry_g,
        oven_dry_sd_g=dry_sd_g,
        step_g=pan.step_g or step_of_digits(reading.mass_g),
        scales_id=pan.scales_id,
    )
    odd, said = same_day(reading, expectation, on)
    if odd is None and not said:
        is_first = not known.weighings.get(held.id)
        odd = doubt(
            reading,
            expectation,
            oven_dry_g=dry_g,
            limits_g=by_size(known, held.id) if is_first else None,
            neighbours=lambda: sisters(known, held.id, on.last),
        )
    return expectation, odd, said


def _previous(weighings: Sequence[WeighingFact], on: When) -> WeighingFact | None:
    return next((one for one in reversed(weighings) if one.on_last <= on.last), None)
