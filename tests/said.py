"""What a person says, as the verbs take it: `mm(330)`, `mm("2 1/8 in")`, `g(812)`, `day("2024-05")`."""

from datetime import date

from stock import dates, measure
from stock.dates import When
from stock.typed import Typed

TODAY = date(2026, 6, 1)


def mm(said: float | str) -> Typed:
    """A length; a number is mm."""
    return measure.length(said if isinstance(said, str) else f"{said:g} mm")


def g(said: float | str) -> Typed:
    """A weight; a number is g."""
    return measure.mass(said if isinstance(said, str) else f"{said:g} g")


def raw(value: float, text: str = "?") -> Typed:
    """A value that no reading of a measure would let through, such as NaN."""
    return Typed(value, text)


def day(text: str, today: date = TODAY) -> When:
    """A date of any precision."""
    return dates.read(text, today)
