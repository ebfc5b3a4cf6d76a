"""A pause of the reminders to weigh, as it is typed and kept. It changes what is asked for, never what is known."""

from datetime import date, timedelta

from stock import dates
from stock.dates import Order
from stock.errors import Impossible, Unclear

OFF = "off"
LONGEST_DAYS = 731
_FAR = date(dates.LAST_YEAR, 12, 31)


def pause(text: str, on: date, order: Order | None = None) -> str:
    """The day on which reminders begin again, as it is kept: ISO 8601, or `off`.

    Args:
        text: a day, a month or a season to come (its first day), or `off`.
        on: from when the pause holds.
        order: how to read 3/5/2027.

    Raises:
        Unclear: no such day.
        Impossible: a day that is over, or more than two years ahead.
    """
    folded = " ".join(text.casefold().split())
    if folded == OFF:
        return OFF
    until = None if folded in ("today", "yesterday") else dates.read(text, _FAR, order=order).first
    if until is None:
        raise Unclear(
            f'"{text}" is not a day on which a pause ends.', hint="Write it like 2027-03-01; off ends a pause at once."
        )
    if until <= on:
        raise Impossible(
            f"{dates.day_words(until)} is no day to come, seen from {dates.day_words(on)}.",
            hint="To end a pause: rick book set pause off",
        )
    if until > on + timedelta(days=LONGEST_DAYS):
        raise Impossible(
            f"a pause until {dates.day_words(until)} is longer than two years.",
            hint="Check the year; two years at most.",
        )
    return until.isoformat()
