"""The walks with the scales as a calendar file (iCalendar, RFC 5545) that phones and computers read.

Each walk is an event of a whole day that leaves its time free. Its UID comes from the book, the day and the place, so
that the same walk taken in again replaces what was there.
"""

import os
import unicodedata
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from pathlib import Path

from stock.dates import day_words, short_day
from stock.errors import StockError
from stock.survey.duties import Due
from stock.survey.walks import Walk
from stock.writing import write_mass

NOWHERE = "no place told"
BEGINS = b"BEGIN:VCALENDAR"
SHORT = 60  # letters of place names that a summary may have


def ics(walks: Sequence[Walk], book_id: str, now: datetime, *, unit: str = "g", hide: bool = False) -> bytes:
    """The walks as the bytes of a calendar file.

    Args:
        walks: the walks, one at least.
        book_id: the identity of the book (`stock.book.identity`).
        now: the moment, with its zone.
        unit: of weights, g, kg, oz or lb.
        hide: whether to leave out last and coming weights, so that none is copied.

    Returns:
        UTF-8, lines folded and texts escaped as the standard wants.
    """
    from icalendar import Calendar, Event

    calendar = Calendar()
    calendar.add("prodid", "-//Rickyard//rick due//EN")
    calendar.add("version", "2.0")
    for walk in walks:
        event = Event()
        event.add("uid", f"{walk.on:%Y%m%d}-{walk.place_id or 0}-{book_id}@rickyard")
        event.add("dtstamp", now)
        event.add("sequence", int(now.timestamp()) // 60)  # a later file wins
        event.add("dtstart", walk.on)
        event.add("dtend", walk.on + timedelta(days=1))
        event.add("transp", "TRANSPARENT")
        event.add("summary", _plain(summary(walk)))
        event.add("location", _plain(walk.place or NOWHERE))
        event.add("description", _plain("\n".join([*_lines(walk, unit, hide), "", _made(walk)])))
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def summary(walk: Walk) -> str:
    """`weigh 9 pieces: shed / rack 2`; the racks of a place if they are few."""
    count = len(walk.pieces)
    racks = ", ".join(_racks(walk))
    return f"weigh {count} piece{'' if count == 1 else 's'}: {racks if len(racks) <= SHORT else walk.place}"


def write(path: Path, content: bytes, *, force: bool = False) -> None:
    """Write a calendar file, whole or not at all.

    Args:
        path: where to.
        content: what `ics` gives.
        force: whether an earlier calendar file is replaced; anything else never is.

    Raises:
        StockError: the file is there already, is no calendar, or cannot be written.
    """
    beside = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        if path.exists():
            _may_replace(path, force)
        try:
            beside.write_bytes(content)
            beside.replace(path)
        finally:
            beside.unlink(missing_ok=True)
    except OSError as trouble:
        reason = (trouble.strerror or str(trouble)).lower()
        raise StockError(
            f"nothing can be written to {path}: {reason}.", hint="Name another file with --calendar.", code="no-file"
        ) from None


def _may_replace(path: Path, force: bool) -> None:
    if path.is_dir() or not path.read_bytes().startswith(BEGINS):
        raise StockError(f"{path} is no calendar file.", hint="Name another file with --calendar.", code="file-exists")
    if not force:
        hint = "Give --force to write it anew, or name another file with --calendar."
        raise StockError(f"{path} is there already.", hint=hint, code="file-exists")


def _racks(walk: Walk) -> list[str]:
    return list(dict.fromkeys(one.piece.place or NOWHERE for one in walk.pieces))


def _lines(walk: Walk, unit: str, hide: bool) -> Iterator[str]:
    for rack in _racks(walk):
        yield f"{rack}:"
        yield from (_line(one, unit, hide) for one in walk.pieces if (one.piece.place or NOWHERE) == rack)


def _line(one: Due, unit: str, hide: bool) -> str:
    tag = f' "{one.piece.tag}"' if one.piece.tag else ""
    told = [f"{one.piece.mark}{tag}  {one.piece.wood.name}"]
    if not hide and one.last_on and one.last_g is not None:
        told.append(f"{write_mass(one.last_g, unit)} on {short_day(one.last_on)}")
        if outlook := one.outlook:
            low, high = (write_mass(max(round(g), 0), unit) for g in (outlook.low_g, outlook.high_g))
            told.append(f"expect {low} to {high}")
    return ", ".join(told)


def _made(walk: Walk) -> str:
    return f"As of {day_words(walk.pieces[0].on)}. Weigh: rick weigh. Then make the calendar anew: rick due --calendar"


def _plain(text: str) -> str:
    """Without control characters, which a calendar file must not hold."""
    return "".join(c for c in text if c == "\n" or unicodedata.category(c) != "Cc")
