"""Choices of the person's own, from a day on: units, the moisture wanted, how dates are written."""

import math
import re
from collections.abc import Callable
from dataclasses import dataclass

from stock.book.facts import settings
from stock.book.journal import Page
from stock.book.records import Setting
from stock.dates import Order, When
from stock.errors import Impossible, StockError, Unclear
from stock.survey.targets import LEAST_PCT, Room, room_of
from stock.wood.readiness import named_target
from stock.yard import pausing

TARGET_PCT = (LEAST_PCT, 30.0)
BAND_PCT = (0.5, 10.0)
_NUMBER = re.compile(r"([0-9]+(?:\.[0-9]+)?) ?%?")


@dataclass(frozen=True, slots=True)
class Settled:
    """A setting as it is now and was before ("" if it was never set)."""

    name: str
    value: str
    was: str


def setting(page: Page, *, name: str, value: str, on: When, date_order: Order | None = None) -> Settled:
    """Choose something for the whole book.

    Args:
        page: the page that is being written.
        name: unit.length, unit.mass, unit.temp, target, band, dates, hemisphere or pause.
        value: one of its words, a number, or a day.
        on: from when it holds.
        date_order: how to read a day such as 3/5/2027.

    Returns:
        The setting, its value as it is kept.

    Raises:
        Unclear: no such setting, or not one of its values.
        Impossible: a number or a day out of its range.
    """
    if name not in SETTINGS:
        raise Unclear(f'"{name}" is not a setting.', hint=f"Known: {', '.join(SETTINGS)}.")
    before = settings(page.connection, on.last)
    text = " ".join(value.split())
    if name == "target" and (room := room_of(text, before.get("unit.temp", ""))):
        kept = _room(text, room)
    elif name == "pause":
        kept = pausing.pause(text, on.last, date_order)
    else:
        kept = SETTINGS[name](name, text)
    was = before.get(name, "")
    page.put(Setting(name=name, value=kept, on_first=on.first, on_last=on.last, on_text=on.text))
    return Settled(name, kept, was)


def _words(*known: str) -> Callable[[str, str], str]:
    def read(name: str, value: str) -> str:
        for word in known:
            if value.casefold() == word.casefold():
                return word
        raise Unclear(f'"{value}" is not a value of {name}.', hint=f"Known: {', '.join(known)}.")

    return read


def _percent(name: str, value: str, low: float, high: float) -> str:
    found = _NUMBER.fullmatch(value)
    if not found:
        raise Unclear(f'"{value}" is not a value of {name}.', hint="Write it like 8 or 8 %.")
    number = float(found[1])
    if not (math.isfinite(number) and low <= number <= high):
        raise Impossible(f'a {name} of "{value}" cannot be.', hint=f"It must be {low:g} to {high:g} %.")
    return found[1]


def _room(text: str, room: Room) -> str:
    """The air of a room, in degC and percent, as it is kept."""
    low, high = TARGET_PCT
    if not low <= room.mc_pct <= high:
        raise Impossible(
            f'wood in the air of "{text}" comes to {room.mc_pct:.1f} %, no target.',
            hint=f"It must be {low:g} to {high:g} %.",
        )
    return room.kept


def _target(name: str, value: str) -> str:
    """A moisture content, or the name of a climate."""
    if _NUMBER.fullmatch(value):
        return _percent(name, value, *TARGET_PCT)
    try:
        named_target(value)
    except StockError:
        hint = 'Write 8 %, the name of a climate such as "heated house", or "room 21C 45%" (its air).'
        raise Unclear(f'"{value}" is not a value of {name}.', hint=hint) from None
    return value


def _band(name: str, value: str) -> str:
    return _percent(name, value, *BAND_PCT)


SETTINGS: dict[str, Callable[[str, str], str]] = {
    "unit.length": _words("mm", "cm", "in", "ft"),
    "unit.mass": _words("g", "kg", "oz", "lb"),
    "unit.temp": _words("C", "F"),
    "target": _target,
    "band": _band,
    "dates": _words("day-first", "month-first"),
    "hemisphere": _words("north", "south"),
    "pause": _words(pausing.OFF),
}
