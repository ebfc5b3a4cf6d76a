"""Dates as people know them: a day, a month, a season, a year, or only "before".

A date is kept as its first and last possible day with the text as typed. Which day is today is told from outside.
"""

import calendar
import re
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from stock.errors import Impossible, Unclear

Order = Literal["day-first", "month-first"]

FIRST_YEAR, LAST_YEAR = 1800, 2999

_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_MONTH_NO = {name.lower(): n for n, name in enumerate(_MONTHS, 1)}
_MONTH_NO |= {name[:3].lower(): n for n, name in enumerate(_MONTHS, 1)} | {"sept": 9}
# Meteorological seasons: the first month in the north and in the south.
_SEASONS = {"spring": (3, 9), "summer": (6, 12), "autumn": (9, 3), "fall": (9, 3), "winter": (12, 6)}

_MONTH = rf"(?P<month>{'|'.join(sorted(_MONTH_NO, key=len, reverse=True))})\.?"
_YEAR = r"(?P<year>[0-9]{4})"
_DAY = r"(?P<day>[0-9]{1,2})"
_NUMBERED = r"(?P<month>[0-9]{1,2})"
_DAYS = (
    re.compile(rf"{_YEAR}(?P<sign>[-/]){_NUMBERED}(?P=sign){_DAY}"),
    re.compile(rf"{_DAY}(?:st|nd|rd|th)?(?: of)?[ -]{_MONTH}(?:,? |-){_YEAR}"),
    re.compile(rf"{_MONTH} {_DAY}(?:st|nd|rd|th)?,? {_YEAR}"),
)
_MONTH_YEARS = (re.compile(rf"{_YEAR}-{_NUMBERED}"), re.compile(rf"{_MONTH},? {_YEAR}"))
_SEASON_YEAR = re.compile(
    rf"(?P<season>{'|'.join(_SEASONS)}),?(?: of)? {_YEAR}(?:[/-](?P<next>(?:[0-9]{{2}})?[0-9]{{2}}))?"
)
_SLASHES = re.compile(r"(?P<a>[0-9]{1,2})(?P<sign>[-./])(?P<b>[0-9]{1,2})(?P=sign)(?P<year>[0-9]{4}|[0-9]{2})")
_EXAMPLES = 'Write it like 2021-05-03, 2021-05, 2021, 3 May 2021, "spring 2021", "before 2021-05-03" or yesterday.'


@dataclass(frozen=True, slots=True)
class When:
    """A date as well as it is known.

    Attributes:
        first: the first possible day; None if only "before" is known.
        last: the last possible day.
        text: what was typed, unchanged.
    """

    first: date | None
    last: date
    text: str


def read(text: str, today: date, *, order: Order | None = None, southern: bool = False) -> When:
    """A date as a person writes it.

    Args:
        text: `2021-05-03`, `2021-05`, `2021`, `3 May 2021`, `May 2021`, `spring 2021`, `before` any of them, `today`,
            `yesterday`; with `order` also `03/04/2021`. Seasons are the meteorological ones; the one over New Year
            (winter in the north, summer in the south) has the year of its December: `winter 2021` is December 2021 to
            February 2022, and may be written `winter 2021/22`.
        today: the day of the writing.
        order: how to read `03/04/2021`; None refuses it.
        southern: whether the seasons are those of the southern half of the Earth.

    Returns:
        First and last possible day and the text; a time that has begun ends today at the latest.

    Raises:
        Unclear: the text cannot be read, or in two ways.
        Impossible: no such day, one that has not come yet, or before 1800.

    Source:
        Meteorological seasons are whole months from March, June, September, December (common practice, no source).
    """
    folded = " ".join(text.lower().split())
    before = folded.startswith("before ")
    first, last = _span(folded.removeprefix("before "), text, today, order, southern)
    if before:
        last = first - timedelta(days=1)
        if last.year < FIRST_YEAR:
            raise Impossible(f"{_quoted(text)}: dates here begin in {FIRST_YEAR}", hint="Check the year.")
        return When(None, min(last, today), text)
    if first > today:
        come = words(When(first, last, text))
        over_new_year = last.year > first.year
        hint = f"Counted from its December; for the one before write {folded.split()[0]} {first.year - 1}."
        raise Impossible(
            f"{come} has not come yet (today is {day_words(today)})",
            hint=hint if over_new_year else "Check the year.",
        )
    return When(first, min(last, today), text)


def from_iso(first: str | None, last: str, text: str = "") -> When:
    """A date from its stored days.

    Args:
        first: first possible day, ISO 8601, or None.
        last: last possible day, ISO 8601.
        text: what was typed, if known.

    Returns:
        The same date.

    Raises:
        Impossible: not days, or the last before the first.
    """
    try:
        when = When(None if first is None else date.fromisoformat(first), date.fromisoformat(last), text)
    except ValueError:
        raise Impossible(f"{_quoted(f'{first} to {last}')} are not two days", hint=_EXAMPLES) from None
    if when.first is not None and when.first > when.last:
        raise Impossible(f"{first} to {last}: the last day is before the first")
    return when


def words(when: When) -> str:
    """A date in words, no more exact than it is known.

    Args:
        when: the date; a season is known by its text.

    Returns:
        Such as "2 March 2025", "May 2021", "spring 2021", "winter 2021/22", "2021", "before 3 May 2021"; days without
        such a name are "2 March 2025 to 9 March 2025".
    """
    first, last = when.first, when.last
    if first is None:
        return f"before {day_words(last + timedelta(days=1))}"
    named = _named(when.text, over_new_year=first.month == 12)
    if named:
        return named
    if first == last:
        return day_words(first)
    if first.day == 1 and last == _month_end(last.year, last.month):
        if (first.year, first.month) == (last.year, last.month):
            return f"{_MONTHS[first.month - 1]} {first.year}"
        if (first.year, first.month, last.month) == (last.year, 1, 12):
            return str(first.year)
    return f"{day_words(first)} to {day_words(last)}"


def day_words(d: date) -> str:
    """A day in words, such as "2 March 2025", the same on every machine.

    Args:
        d: the day.

    Returns:
        Day, month in full, year.
    """
    return f"{d.day} {_MONTHS[d.month - 1]} {d.year}"


def short_day(d: date) -> str:
    """A day in short, such as "2 Mar 2025".

    Args:
        d: the day.

    Returns:
        Day, three letters of the month, year.
    """
    return f"{d.day} {_MONTHS[d.month - 1][:3]} {d.year}"


def _span(folded: str, text: str, today: date, order: Order | None, southern: bool) -> tuple[date, date]:
    """First and last day of a text without "before"."""
    if folded in ("today", "yesterday"):
        day = today if folded == "today" else today - timedelta(days=1)
        return day, day
    for pattern in _DAYS:
        if found := pattern.fullmatch(folded):
            month = found["month"]
            return _day(int(found["year"]), _MONTH_NO.get(month) or int(month), int(found["day"]), text)
    for pattern in _MONTH_YEARS:
        if found := pattern.fullmatch(folded):
            month = found["month"]
            return _months(int(found["year"]), _MONTH_NO.get(month) or int(month), 1, text)
    if re.fullmatch(r"[0-9]{4}", folded):
        return _months(int(folded), 1, 12, text)
    if found := _SEASON_YEAR.fullmatch(folded):
        month = _SEASONS[found["season"]][southern]
        year = int(found["year"])
        if found["next"] and (month != 12 or (year + 1) % 100 != int(found["next"]) % 100):
            raise Unclear(f"{_quoted(text)} does not run from one year into the next", hint=_EXAMPLES)
        return _months(year, month, 3, text)
    if found := _SLASHES.fullmatch(folded):
        return _slashes(found, order)
    raise Unclear(f"{_quoted(text)} is not a date that can be read", hint=_EXAMPLES)


def _slashes(found: re.Match[str], order: Order | None) -> tuple[date, date]:
    """`03/04/2021`: day or month first."""
    typed, a, b = found[0], int(found["a"]), int(found["b"])
    if len(found["year"]) == 2:
        raise Unclear(f"{typed}: the year in two digits", hint="Write it like 2021-05-03.")
    year = int(found["year"])
    if order:
        return _day(year, *((b, a) if order == "day-first" else (a, b)), typed)
    fitting: list[tuple[date, Order]] = []
    readings: list[tuple[int, int, Order]] = [(b, a, "day-first"), (a, b, "month-first")]
    for month, day, way in readings:
        with suppress(Impossible):
            fitting.append((_day(year, month, day, typed)[0], way))
    if not fitting:
        raise Impossible(f"{typed}: there is no such day", hint="Write it like 2021-05-03.")
    day_meant, way = fitting[0]
    why = "is two dates" if len({day for day, _ in fitting}) == 2 else "is not how dates are written here"
    raise Unclear(f"{typed} {why}", hint=f"Write {day_meant.isoformat()}, or give --dates {way}.")


def _day(year: int, month: int, day: int, text: str) -> tuple[date, date]:
    first, last = _months(year, month, 1, text)
    if not 1 <= day <= last.day:
        raise Impossible(
            f"{_quoted(text)}: {_MONTHS[month - 1]} {year} has the days 1 to {last.day}", hint="Check the day."
        )
    return first.replace(day=day), first.replace(day=day)


def _months(year: int, month: int, count: int, text: str) -> tuple[date, date]:
    """First day of a month, and the last day of so many months from it."""
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise Impossible(
            f"{_quoted(text)}: dates here are of the years {FIRST_YEAR} to {LAST_YEAR}", hint="Check the year."
        )
    if not 1 <= month <= 12:
        raise Impossible(f"{_quoted(text)}: there is no month {month}", hint="Write it like 2021-05-03.")
    years, last_month = divmod(month + count - 2, 12)
    return date(year, month, 1), _month_end(year + years, last_month + 1)


def _month_end(year: int, month: int) -> date:
    return date(year, month, calendar.monthrange(year, month)[1])


def _named(text: str, over_new_year: bool) -> str:
    """The words of a month, season or year as typed; an empty text for anything else."""
    folded = " ".join(text.lower().split())
    if re.fullmatch(r"[0-9]{4}", folded):
        return folded
    for pattern in _MONTH_YEARS:
        if found := pattern.fullmatch(folded):
            month = found["month"]
            return f"{_MONTHS[(_MONTH_NO.get(month) or int(month)) - 1]} {found['year']}"
    if found := _SEASON_YEAR.fullmatch(folded):
        following = f"/{(int(found['year']) + 1) % 100:02}" if over_new_year else ""
        return f"{found['season']} {found['year']}{following}"
    return ""


def _quoted(text: str) -> str:
    plain = "".join(c if c.isprintable() else " " for c in text)
    return f'"{plain}"' if len(plain) <= 60 else f'"{plain[:40]}..."'
