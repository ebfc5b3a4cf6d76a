"""What a forecast is asked for, as typed: `8%`, `emc+2`, `2 g/month`, a place, a day to come."""

from dataclasses import replace
from datetime import date, timedelta
from math import isfinite

from stock.book.naming import fold
from stock.cli.desk import Desk
from stock.dates import day_words
from stock.errors import Impossible, Unclear, Unknown
from stock.survey.courses import Reckoning
from stock.wood.drying import AboveAir, LosingLess, Target
from stock.wood.forecast import HORIZON_DAYS

_MOST_POINTS = 20
_A_MONTH = ("/month", "per month", "a month", "/ month", "/mo")


def aim_of(here: Desk, target: str) -> Target | None:
    """A target other than a moisture content; None for one, or for none.

    Raises:
        StockError: it begins like one and cannot be read, or can be no target.
    """
    words = " ".join(target.lower().split())
    monthly = next((end for end in _A_MONTH if words.endswith(end)), None)
    if monthly:
        mass = here.mass(target[: -len(monthly)].strip())
        if mass is None:
            raise Unclear(f'"{target}" is no target.', hint='Write how much is lost, such as "2 g/month".')
        return LosingLess(mass.value)
    if not words.startswith("emc"):
        return None
    try:
        points = float(words.replace(" ", "").removesuffix("%").removeprefix("emc") or 0)
    except ValueError:
        points = -1.0
    if not (isfinite(points) and 0 < points <= _MOST_POINTS):
        raise Unclear(f'"{target}" is no target.', hint="Write emc+2: two points above what the air keeps wood at.")
    return AboveAir(points)


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


def coming_day(here: Desk, text: str, on: date) -> date:
    """A day to come, its last possible one.

    Args:
        here: the desk, for the order in which the book writes dates.
        text: as typed.
        on: the day of the question.

    Raises:
        StockError: no date, one before the question, or beyond what a forecast looks at.
    """
    farthest = on + timedelta(days=int(HORIZON_DAYS))
    day = replace(here, today=date(farthest.year + 30, 12, 31)).day(text).last
    if day < on:
        raise Impossible(
            f"{day_words(day)} is before {day_words(on)}, the day as of which you ask.",
            hint="Give --by that day or a later one.",
        )
    if day > farthest:
        raise Impossible(
            f"{day_words(day)} is too far off; three and a half years are looked ahead.",
            hint=f"Give --by a day up to {day_words(farthest)}.",
        )
    return day
