"""The forecast of a piece in words, and its targets and places as typed."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from stock.book.naming import fold
from stock.cli.printing import moisture, wrapped
from stock.dates import day_words
from stock.errors import Unclear, Unknown
from stock.survey.courses import Reckoning

if TYPE_CHECKING:
    from stock.survey.futures import Arrival, Future

FEW = 3  # weighings below which a forecast is that of any such square
WETTER_MIDDLE_PCT = 1.5


def above_air(target: str) -> float | None:
    """The points of a target such as `emc+2`; None for any other.

    Raises:
        Unclear: it begins like one and cannot be read.
    """
    words = target.lower().replace(" ", "").removesuffix("%")
    if not words.startswith("emc"):
        return None
    try:
        points = float(words.removeprefix("emc") or 0)
    except ValueError:
        points = -1.0
    if not 0 < points <= 20:
        raise Unclear(f'"{target}" is no target.', hint="Write emc+2: two points above what the air keeps wood at.")
    return points


def place_id(reckoning: Reckoning, text: str) -> int:
    """The place of a name.

    Raises:
        Unknown: no such place.
    """
    known = reckoning.facts.places
    found = next((p.id for p in known.values() if p.folded == fold(text)), None)
    if found is None:
        names = ", ".join(sorted(p.name for p in known.values())) or "none yet"
        raise Unknown(f'no place "{text}" is on the book.', hint=f"Known places: {names}.", code="unknown-place")
    return found


def future_lines(future: "Future | None") -> Iterator[str]:
    """When it will be dry, or why that cannot be said; nothing for a piece that was not asked about."""
    if future is None:
        return
    if future.target is None:
        yield from wrapped(f"no date: {future.why}")
        return
    if future.forecast is not None and future.forecast.mc_pct is not None:
        mc = future.forecast.mc_pct
        yield from wrapped(f"its weighings and its air together say {moisture(mc.median, mc.low, mc.high)} %; so:")
    yield from wrapped(_arrival(future.target, ""))
    if future.enough is not None:
        yield from wrapped(_arrival(future.enough, "dry enough, "))
    told = future.forecast
    if told is not None:
        if told.weighings < FEW:
            yield "few weighings: that is what such a square does, more than what this one does"
        if told.mc_pct and told.middle_pct and told.middle_pct.median > told.mc_pct.median + WETTER_MIDDLE_PCT:
            yield f"its middle is wetter than its mean: near {told.middle_pct.median:.0f} %"
        yield from (line for doubt in told.doubts for line in wrapped(doubt))
    if future.assumed:
        yield from wrapped(future.assumed)


def _arrival(one: "Arrival", what: str) -> str:
    target = f"{what}{one.mc_pct:.0f} %" if one.mc_pct is not None else what or "the target"
    if one.likely is None:
        chance = f"; a chance of {100 * (1 - one.never):.0f} % that it does" if one.never < 0.97 else ""
        return f"{target}: not in this place, as far as three and a half years show{chance}"
    if one.early == one.late:
        return f"{target}: reached by {day_words(one.likely)}"
    early = day_words(one.early) if one.early else "later"
    late = day_words(one.late) if one.late else "never here"
    return f"{target}: likely {day_words(one.likely)} (early {early}, late {late})"
