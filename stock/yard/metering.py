"""Readings of a moisture meter, as they were shown."""

from dataclasses import dataclass
from math import isfinite

from stock.book.journal import Page
from stock.book.naming import Names
from stock.book.records import MeterReading
from stock.dates import When
from stock.errors import Impossible, Unclear
from stock.survey.ledger_meters import corrected_pct
from stock.typed import Typed
from stock.wood.moisture import METER_RANGE_PCT, METER_WOOD_C
from stock.yard.in_hand import hold
from stock.yard.making import one_of
from stock.yard.values import dated, said, texts

KINDS = ("pin", "pinless", "unknown")
PINLESS_RANGE_PCT = (4.0, 30.0)  # Wood Handbook FPL-GTR-190 (2010), p. 13-2
BEYOND = ("above", "below")
MOST_PCT = 1000.0
WOOD_C = (-60.0, 80.0)


@dataclass(frozen=True, slots=True)
class Metered:
    """A meter reading that is on the book now.

    Attributes:
        id: of the reading; mark: the piece.
        reading_pct: as shown, percent; None where the meter is not to be believed.
        corrected_pct: what it would have been in wood at 20 C, percent; None where that is not known.
        beyond: "above" or "below" `limit_pct`, "" if within.
        wood_c: temperature of the wood, degC, None if not taken.
        warnings: what the person should know.
    """

    id: int
    mark: str
    reading_pct: float | None
    corrected_pct: float | None
    beyond: str
    limit_pct: float | None
    wood_c: float | None
    warnings: tuple[str, ...]


def meter(
    page: Page,
    *,
    piece: str,
    on: When,
    reading: Typed | None = None,
    beyond: str | None = None,
    wood: Typed | None = None,
    meter: str = "",
    kind: str = "unknown",
    set_for: str = "",
    already_corrected: bool = False,
    insist: bool = False,
    names: Names | None = None,
) -> Metered:
    """Put a meter reading on the book. Above 30 % and below 6 % it is kept as that and no number.

    Args:
        page: the page that is being written.
        piece: its mark or tag.
        on: the day.
        reading: what the meter showed, percent of oven-dry mass.
        beyond: "above" or "below" if it showed only that it was off its range.
        wood: temperature of the wood, degC.
        meter: its name.
        kind: pin (resistance) or pinless (dielectric, which reads down to 4 %), or unknown.
        set_for: the wood it was set for.
        already_corrected: whether it corrects for the temperature itself.
        insist: whether a date against the order of things is taken all the same.
        names: the names of the book, if they are at hand.

    Raises:
        Impossible: a reading or a temperature that cannot be.
        Unclear: neither a reading nor beyond which end, or both that contradict.
        NotNow: the piece is gone.
        Doubtful: a day before the piece can have existed.

    Source:
        The range of resistance meters: Wood Handbook FPL-GTR-190 (2010), p. 13-2.
    """
    held = hold(page, piece, on, "read with a meter", names=names, insist=insist)
    beyond = beyond or ""
    one_of("end of a meter's range", beyond, BEYOND)
    one_of("kind of meter", kind, KINDS)
    low, high = PINLESS_RANGE_PCT if kind == "pinless" else METER_RANGE_PCT
    value = _reading(held.mark, reading)
    shown = "above" if value is not None and value > high else "below" if value is not None and value < low else ""
    if value is None and not beyond:
        raise Unclear(
            f"{held.mark}: nothing says what the meter showed.",
            hint="Give its reading, or that it was above or below its range.",
            piece=held.mark,
        )
    if value is not None and beyond and beyond != shown:
        raise Unclear(f"{held.mark}: a reading of {value:g} % is not {beyond} the range.", piece=held.mark)
    beyond = beyond or shown
    wood_c = _wood_c(held.mark, wood)
    row = MeterReading(
        piece_id=held.id,
        reading_pct=None if beyond else value,
        beyond=beyond or None,
        limit_pct={"above": high, "below": low}.get(beyond),
        wood_c=wood_c,
        meter=meter,
        meter_kind=kind or "unknown",
        set_for=set_for,
        already_corrected=already_corrected,
        typed=texts(reading_pct=reading, wood_c=wood),
        **dated(on),
    )
    return Metered(
        id=page.put(row),
        mark=held.mark,
        reading_pct=row.reading_pct,
        corrected_pct=_corrected(row),
        beyond=beyond,
        limit_pct=row.limit_pct,
        wood_c=wood_c,
        warnings=(*held.warnings, *_remarks(row)),
    )


def _corrected(row: MeterReading) -> float | None:
    if row.reading_pct is None:
        return None
    return corrected_pct(row.reading_pct, row.wood_c, already_corrected=row.already_corrected, kind=row.meter_kind)


def _reading(mark: str, reading: Typed | None) -> float | None:
    if reading is None:
        return None
    value = float(reading.value)
    if not (isfinite(value) and 0 <= value <= MOST_PCT):
        raise Impossible(
            f'{mark}: a meter reading of "{said(reading)}" cannot be.',
            hint="Percent of the dry weight is wanted, as the meter shows it.",
            piece=mark,
        )
    return value


def _wood_c(mark: str, wood: Typed | None) -> float | None:
    if wood is None:
        return None
    value = float(wood.value)
    if not (isfinite(value) and WOOD_C[0] <= value <= WOOD_C[1]):
        raise Impossible(
            f'{mark}: wood of "{said(wood)}" ({value:.0f} C) cannot be.', hint="Is the unit right, F or C?", piece=mark
        )
    return value


def _remarks(row: MeterReading) -> tuple[str, ...]:
    """What makes a reading less than a number."""
    if row.beyond:
        limit = f"{row.beyond} {row.limit_pct:g} %"
        return (f"{limit} a meter gives no number: kept as {limit}.",)
    if row.already_corrected or row.meter_kind == "pinless":
        return ()
    if row.wood_c is None:
        return ("no temperature of the wood: taken as the 20 C that meters are made for.",)
    if not METER_WOOD_C[0] <= row.wood_c <= METER_WOOD_C[1]:
        return (f"no correction is known for wood at {row.wood_c:g} C: read it again at room temperature.",)
    return ()
