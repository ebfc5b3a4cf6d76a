"""Readings of moisture meters as rows of the ledger, corrected for the temperature of the wood.

The readings of a day with one meter count as one. All readings of one meter in one wood share half of their variance,
so that many of them never outvote a section.
"""

from collections.abc import Iterator, Sequence
from functools import cache
from itertools import groupby

from stock.book.kinds import MeterFact
from stock.book.naming import fold
from stock.dates import short_day
from stock.errors import StockError
from stock.survey.lineage import Lineage
from stock.survey.settling import had_settled, stays
from stock.wood import evidence, species
from stock.wood.evidence import Row
from stock.wood.moisture import METER_WOOD_C, meter_temperature_corrected_pct

CALIBRATED_C = 20.0  # taken where the temperature of the wood was not told
DAY_LOSS_SD = 0.003  # of the weight, a day, of wood dry enough for a meter; common practice, no source


def corrected_pct(
    reading_pct: float, wood_c: float | None, *, already_corrected: bool, kind: str = "unknown"
) -> float | None:
    """A reading as it would be in wood at 20 degC, percent of oven-dry mass; None where no correction is known.

    Args:
        reading_pct: as shown, percent.
        wood_c: temperature of the wood, degC; None takes 20.
        already_corrected: whether the meter corrects for it itself.
        kind: pin, pinless or unknown; the correction is one of electrical resistance, and is not made for pinless.
    """
    if already_corrected or kind == "pinless":
        return reading_pct
    at_c = CALIBRATED_C if wood_c is None else wood_c
    if not METER_WOOD_C[0] <= at_c <= METER_WOOD_C[1] or not 0 < reading_pct <= 100:
        return None
    return meter_temperature_corrected_pct(reading_pct, at_c)


def meter_rows(lineage: Lineage) -> Iterator[Row]:
    """The readings that tell a dry mass: within the range, of a piece weighed within three days."""
    errors: dict[tuple[str, str, str, bool], None] = {}
    rows: list[Row] = []
    for piece_id in lineage.members:
        readings = sorted(lineage.facts.meters.get(piece_id, ()), key=lambda one: (one.on_last, fold(one.meter)))
        for _, some in groupby(readings, key=lambda one: (one.on_last, fold(one.meter))):
            if found := _row(lineage, piece_id, list(some)):
                error, row = found
                errors[error] = None
                rows.append(row)
    for error in errors:
        yield evidence.meter_error(error, set_for_wood=error[3])
    yield from rows


def _row(lineage: Lineage, piece_id: int, some: Sequence[MeterFact]) -> tuple[tuple[str, str, str, bool], Row] | None:
    """The error node and the row of one day's readings with one meter; None if they tell no number."""
    each = [
        None
        if one.reading_pct is None
        else corrected_pct(one.reading_pct, one.wood_c, already_corrected=one.already_corrected, kind=_kind(one))
        for one in some
    ]
    numbers = [value for value in each if value is not None]
    history, day = lineage.histories[piece_id], some[0].on_last
    weighed = history.near(day, evidence.REACH_DAYS)
    if weighed is None or len(numbers) < len(some):
        return None
    mean_pct = sum(numbers) / len(numbers)
    if not evidence.METER_EVIDENCE_PCT[0] <= mean_pct <= evidence.METER_EVIDENCE_PCT[1]:
        return None
    wood = lineage.pieces.wood(piece_id).wood
    key = wood.key if wood else ""
    set_for_wood = bool(key) and all(_wood_key(_set_for(one)) == key for one in some)
    error = ("meter", fold(some[0].meter), key, set_for_wood)
    days = abs((weighed.on - day).days)
    row = evidence.meter(
        (piece_id, weighed.state),
        error,
        weighed.net_g,
        mean_pct,
        set_for_wood=set_for_wood,
        settled=had_settled(stays(lineage, piece_id), day),
        mass_var_g2=weighed.variance_g2 + (DAY_LOSS_SD * days * weighed.net_g) ** 2,
    )
    words = f"{lineage.named(piece_id)} meter reading of {short_day(day)}, {mean_pct:.0f} %"
    return error, lineage.zeroed(row, weighed).said(words)


def _kind(reading: MeterFact) -> str:
    return reading.meter_kind


def _set_for(reading: MeterFact) -> str:
    return reading.set_for


@cache
def _wood_key(said: str) -> str:
    """The key of the wood a meter was set for; empty if that is no wood's name."""
    try:
        found = species.find(said)
    except StockError:
        return ""
    return found.key if found else ""
