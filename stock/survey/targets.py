"""The moisture content that wood is wanted at: as asked, as chosen for the book, or that of a heated house."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from stock.errors import Impossible, Unclear
from stock.wood.air import emc_or_edge
from stock.wood.readiness import named_target

DEFAULT_TARGET = "heated house"
LEAST_PCT, MOST_PCT = 3.0, 60.0  # below it no room keeps wood; above it wood is as green as many a tree
WARMEST_ROOM_C = 45.0  # a bare number above it was read off a Fahrenheit thermometer
_ROOM = re.compile(r"room (-?[0-9]+(?:\.[0-9]+)?) ?([cf]?)[, ]+([0-9]+(?:\.[0-9]+)?) ?%?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Target:
    """The moisture content that wood is wanted at, %, and in what words it was given; `given` if it was chosen."""

    mc_pct: float
    words: str
    given: bool


@dataclass(frozen=True, slots=True)
class Room:
    """The air of a room, degC and % RH as typed, and what it keeps wood at, %; `at_edge` where the handbook's table
    does not reach its temperature."""

    temp_c: float
    rh_pct: str
    mc_pct: float
    at_edge: bool

    @property
    def words(self) -> str:
        edge = " (beyond the handbook's table: its edge is taken)" if self.at_edge else ""
        return f"a room of {self.temp_c:g} C and {self.rh_pct} %{edge}"

    @property
    def kept(self) -> str:
        """As the book keeps it."""
        return f"room {self.temp_c:g} {self.rh_pct}"


def room_of(text: str, unit: str = "") -> Room | None:
    """The air of a room, as typed: `room 21 45`, `room 68F 45%`; None if the text is about no room.

    Args:
        text: as typed.
        unit: of temperatures, C or F, where the text has none; empty takes C, and doubts what is too warm for it.

    Raises:
        StockError: a room that cannot be read, or air that cannot be.
    """
    words = text.split()
    if not words or words[0].casefold() != "room":
        return None
    room = _ROOM.fullmatch(" ".join(words))
    if room is None:
        raise Unclear(f'"{text}" is no room.', hint="Write its temperature and humidity: room 21C 45%.")
    temp, said, rh_pct = float(room[1]), room[2].upper(), room[3]
    unit = said or unit
    if unit != "F" and not said and temp > WARMEST_ROOM_C:
        raise Unclear(f'"{text}" is no room in degrees C.', hint=f"If it is {temp:g} F: room {temp:g}F {rh_pct}%")
    temp_c = round((temp - 32) / 1.8, 1) if unit == "F" else temp
    mc_pct, at_edge = emc_or_edge(temp_c, float(rh_pct))
    return Room(temp_c, rh_pct, mc_pct, at_edge)


def target_of(settings: Mapping[str, str], asked: str = "") -> Target:
    """The target: as asked, else as set in the book, else that of a heated house.

    Args:
        settings: the settings in force; `target` is `8`, a name such as `damp coast`, or `room 21 45` (degC
            kept, % RH).
        asked: the same, for this question only; a room's temperature is in the book's unit, or in the one it names.

    Raises:
        StockError: a target that cannot be read, or that no wood is wanted at.
    """
    text = asked or settings.get("target", "")
    given = bool(text)
    text = text or DEFAULT_TARGET
    if room := room_of(text, settings.get("unit.temp", "") if asked else "C"):
        if not LEAST_PCT <= room.mc_pct <= MOST_PCT:
            raise Impossible(
                f'wood in the air of "{text}" comes to {room.mc_pct:.1f} %, no target.',
                hint=f"From {LEAST_PCT:.0f} to {MOST_PCT:.0f} % of its dry mass, such as 8%.",
            )
        return Target(room.mc_pct, room.words, given)
    try:
        mc = float(text.rstrip(" %"))
    except ValueError:
        return Target(named_target(text), f"a {text}" if not text.startswith(("a ", "the ")) else text, given)
    if not LEAST_PCT <= mc <= MOST_PCT:
        raise Impossible(
            f'"{text}" is no moisture content to dry wood to.',
            hint=f"From {LEAST_PCT:.0f} to {MOST_PCT:.0f} % of its dry mass, such as 8%.",
        )
    return Target(mc, f"{text.rstrip(' %')} %", given)
