"""The forecast of a piece in words: dates and chances, on what they rest, and what the course makes plain."""

from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING

from stock.cli.printing import mass_words, moisture, wrapped
from stock.dates import day_words, short_day
from stock.wood.drying import LosingLess

if TYPE_CHECKING:
    from stock.survey.courses import Dryness
    from stock.survey.futures import Arrival, Future
    from stock.survey.pictured import DampAir

FEW = 3  # weighings below which a forecast is that of any such square
WETTER_MIDDLE_PCT = 1.5
MAY_RISE, WILL_RISE = 0.8, 0.5  # the chance of staying below, under which it is told that it may not, will not
SURE, HARDLY = 0.95, 0.05


def future_lines(future: "Future | None", dryness: "Dryness", mass_unit: str, by: date | None = None) -> Iterator[str]:
    """When a piece will be dry, or why that cannot be said; nothing if that was not asked.

    Args:
        future: what the forecast says; None if it was not asked.
        dryness: what is known of the piece.
        mass_unit: the book's unit of weights.
        by: the day for which a chance was asked.
    """
    if future is None:
        return
    if future.target is None or future.forecast is None:
        yield from wrapped(f"cannot say when it will be dry: {future.why}")
        return
    told = future.forecast
    if told.mc_pct is not None and dryness.mc_pct is not None and _differ(told.mc_pct.median, dryness):
        mc = told.mc_pct
        words = moisture(mc.median, mc.low, mc.high).replace(" (", " % (")
        yield from wrapped(f"its weighings and its air together say {words}; the dates go by that")
    for one in (future.target, future.enough):
        if one is not None:
            yield from wrapped(_arrival(one, dryness.on, mass_unit, "dry enough, " if one is future.enough else ""))
    if by is not None:
        yield from wrapped(_chances(future, by, mass_unit))
    for words in (_afterwards(future.target), _rests_on(future)):
        yield from wrapped(words) if words else ()
    if told.mc_pct and told.middle_pct and told.middle_pct.median > told.mc_pct.median + WETTER_MIDDLE_PCT:
        yield f"its middle is wetter than its mean: near {told.middle_pct.median:.0f} %"
    for doubt in told.doubts:
        yield from wrapped(doubt)


def course_lines(passed: date | None, level_pct: float, gain: "DampAir | None", mass_unit: str) -> Iterator[str]:
    """What the course of a piece makes plain: when it passed a moisture content, and why it weighs more than before."""
    if passed is not None:
        yield f"{level_pct:.0f} % passed about {day_words(passed)}"
    if gain is not None:
        yield from wrapped(
            f"{mass_words(gain.gain_g, mass_unit)} up since {day_words(gain.since)} is damp {gain.season} air,"
            " not a mistake"
        )


def _differ(mc_pct: float, dryness: "Dryness") -> bool:
    """Whether the moisture that the dates go by reads otherwise than the one above it."""
    return dryness.mc_pct is not None and abs(mc_pct - dryness.mc_pct) >= 0.5


def aim_words(one: "Arrival", mass_unit: str) -> str:
    """What is to be reached: `8 %`, or `losing less than 2 g in 30 days`."""
    if isinstance(one.target, LosingLess):
        return f"losing less than {mass_words(one.target.g_month, mass_unit)} in 30 days"
    return f"{one.mc_pct:.3g} %" if one.mc_pct is not None else "the target"


def _arrival(one: "Arrival", on: date, mass_unit: str, what: str) -> str:
    target = f"{what}{aim_words(one, mass_unit)}"
    if one.likely is None:
        if one.never > SURE:
            return f"{target}: not in this place, as far as three and a half years show"
        early = f", {short_day(one.early)} at the earliest" if one.early else ""
        return f"{target}: more likely never in this place; a chance of {100 * (1 - one.never):.0f} %{early}"
    if one.early == one.late:
        return f"{target}: reached by {day_words(one.likely)}"
    early = short_day(one.early) if one.early else "never here"
    late = short_day(one.late) if one.late else "never here"
    gone = "; weigh it to know" if one.likely <= on else ""
    return f"{target}: likely {short_day(one.likely)}, early {early}, late {late}{gone}"


def _chances(future: "Future", by: date, mass_unit: str) -> str:
    told = [f"{aim_words(one, mass_unit)}: {_chance(one.by)}" for one in (future.target, future.enough) if one]
    return f"by {day_words(by)}, {'; '.join(told)}"


def _chance(chance: float | None) -> str:
    if chance is None:
        return "not asked"
    if chance > SURE:
        return "almost certain"
    return "hardly any chance" if chance < HARDLY else f"a chance of {100 * chance:.0f} %"


def _afterwards(one: "Arrival") -> str:
    """What becomes of a target once reached; nothing if it stays so."""
    if isinstance(one.target, LosingLess):
        return "a cold shed stills it too: losing little does not prove that it is dry"
    if one.likely is None or one.stays is None or one.stays >= MAY_RISE:
        return ""
    will = "will likely" if one.stays < WILL_RISE else "may"
    return f"damp months {will} raise it above that again: bring it to dry air, or use it while it is there"


def _rests_on(future: "Future") -> str:
    """On what a forecast rests beside its weighings."""
    told = future.forecast
    found = []
    if told is not None and told.weighings < FEW:
        found.append("few weighings: that is what such a square does, more than what this one does")
    if future.taught_by:
        of = "of this wood" if future.of_its_wood else "of this book"
        found.append(f"by {future.taught_by} finished pieces {of}")
    if future.assumed:
        found.append(future.assumed)
    return "; ".join(found)
