"""The days and times of day that loggers write: with slashes, with AM and PM, with a zone behind them."""

import re
from collections.abc import Iterable

from stock.dates import Order
from stock.errors import Unclear

_TIME = re.compile(
    r"(?P<hour>[0-9]{1,2}):(?P<minute>[0-9]{2})(?::(?P<second>[0-9]{2})(?:[.,][0-9]+)?)?"
    r"\s*(?P<half>[ap])?(?:\.?m\.?)?\s*(?:Z|UTC|GMT|[+-][0-9]{2}:?[0-9]{2})?",
    re.IGNORECASE,
)
_STAMP = re.compile(rf"(?P<day>.*[0-9])(?:T|,?\s+)(?P<time>{_TIME.pattern.replace('?P<', '?P<_')})", re.IGNORECASE)
_SLASHED = re.compile(r"([0-9]{1,2})([-./])([0-9]{1,2})\2([0-9]{4}|[0-9]{2})")


def stamp(text: str, time: str, order: Order | None) -> tuple[str, str]:
    """The day of a line as dates are read, and its time of day as it is kept.

    Args:
        text: the day, with a time of day behind it or without.
        time: the time of day, if it stands in a column of its own.
        order: of days written with slashes; it lets a year of two digits be one of this century.

    Returns:
        Day, and `14:30` or `14:30:20`; "" if no time was written. A zone is left out: the clock of the shop counts.

    Raises:
        Unclear: no time of day.
    """
    both = _STAMP.fullmatch(text)
    day = both["day"] if both else text
    if not time and both:
        time = both["time"]
    slashed = _SLASHED.fullmatch(day)
    if slashed and order and len(slashed[4]) == 2:
        day = f"{day[:-2]}20{slashed[4]}"
    return day, _time_of_day(time) if time else ""


def _time_of_day(text: str) -> str:
    """A time of day as it is kept: 24 hours, seconds only where there are any."""
    found = _TIME.fullmatch(text.strip())
    if found is None:
        raise Unclear(f'"{text[:20]}" is not a time of day', hint="Write it like 14:30.")
    hour, minute, second = int(found["hour"]), int(found["minute"]), int(found["second"] or 0)
    half = (found["half"] or "").lower()
    if (half and not 1 <= hour <= 12) or hour > 23 or minute > 59 or second > 59:
        raise Unclear(f'"{text[:20]}" is not a time of day', hint="Write it like 14:30.")
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    return f"{hour:02}:{minute:02}" + (f":{second:02}" if second else "")


def refuse_two_ways(name: str, texts: Iterable[tuple[int, str]]) -> None:
    """Refuse days written with slashes whose order nobody told, once for a file; the file itself may tell the order.

    Args:
        name: of the file.
        texts: each line's number and its day.

    Raises:
        Unclear: there are such days.
    """
    written: list[tuple[int, re.Match[str]]] = []
    for number, text in texts:
        both = _STAMP.fullmatch(text)
        if slashed := _SLASHED.fullmatch(both["day"] if both else text):
            written.append((number, slashed))
    if not written:
        return
    hint = "Give --dates day-first, or --dates month-first."
    for number, slashed in written:
        ways = [way for at, way in ((1, "day-first"), (3, "month-first")) if int(slashed[at]) > 12]
        if len(ways) == 1:
            hint = f"Line {number} has {slashed[0]}: give --dates {ways[0]}."
            break
    number, slashed = written[0]
    raise Unclear(f"{name} line {number}: {slashed[0]} is day or month first.", hint=hint, code="bad-file")
