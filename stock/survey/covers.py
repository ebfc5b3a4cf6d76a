"""What the air of a place usually does over the year by its cover, where nobody told it or only a part of it.

All figures are common practice, no source, but for one: air-dried stock under cover is taken to swing by 3 points
because the outdoor months of a humid climate with cold winters were published as 11.7 to 14.2 %.
"""

from dataclasses import dataclass
from datetime import date
from math import cos, pi
from typing import cast

from stock.book.facts import Facts
from stock.wood.case import Cover

MID_MONTH = 15  # the day of a month at which its usual air holds
MONTH_DAYS = 30.4
WARMEST_MONTH = 7.5  # in the north; the south is half a year apart
HALF_YEAR = 6


@dataclass(frozen=True, slots=True)
class Habit:
    """The usual air under a cover: equilibrium moisture content (%) and temperature (degC).

    Attributes:
        name: the place in words, "an unheated place".
        emc_pct, temp_c: over the year.
        half_swing_pct, half_swing_c: from the middle of the year to its dampest and to its warmest.
        dampest_month: in the north; None if that is not known, as without a cover.
        weather_pct: how far the air of five days may lie off what is usual at that time of the year, sd in points.
        sd_pct: how far off `emc_pct` may be for one such place, sd in points.
    """

    name: str
    emc_pct: float
    half_swing_pct: float
    dampest_month: float | None
    temp_c: float
    half_swing_c: float
    weather_pct: float
    sd_pct: float

    def on(self, day: date, southern: bool) -> tuple[float, float]:
        """Equilibrium moisture content and temperature usual on a day."""
        return self.at(day.month + (day.day - MID_MONTH) / MONTH_DAYS, southern)

    def at(self, month: float, southern: bool) -> tuple[float, float]:
        """The same at the middle of a month, 1 to 12, or in between."""
        north = month + HALF_YEAR if southern else month
        temp_c = self.temp_c + self.half_swing_c * _wave(north, WARMEST_MONTH)
        if self.dampest_month is None:
            return self.emc_pct, temp_c
        return self.emc_pct + self.half_swing_pct * _wave(north, self.dampest_month), temp_c


HABITS: dict[Cover | None, Habit] = {
    "heated": Habit("a heated place", 8.0, 2.0, 8.0, 20.0, 2.0, 1.2, 2.0),
    "unheated": Habit("an unheated place", 14.0, 1.5, 12.0, 10.0, 7.0, 2.0, 2.0),
    "roofed": Habit("a roofed place", 14.0, 1.5, 12.0, 10.0, 8.0, 2.0, 2.0),
    "open": Habit("an open place", 15.0, 1.5, 12.0, 10.0, 8.0, 2.5, 2.0),
    None: Habit("a roofed place in between", 12.0, 2.0, None, 14.0, 5.0, 2.0, 3.0),
}


def cover_of(facts: Facts, place_id: int | None) -> Cover | None:
    """Open, roofed, unheated or heated: of the place, or of the place it lies in."""
    while place_id is not None and (place := facts.places.get(place_id)) is not None:
        if place.cover:
            return cast(Cover, place.cover)  # the book's CHECK allows no other word
        place_id = place.parent_id
    return None


def habit_of(facts: Facts, place_id: int | None) -> Habit:
    """What the air of a place usually does, by its cover."""
    return HABITS[cover_of(facts, place_id)]


def is_southern(facts: Facts) -> bool:
    """Whether the seasons are those of the southern half of the Earth."""
    return facts.settings.get("hemisphere") == "south"


def _wave(month: float, highest: float) -> float:
    return cos(2 * pi * (month - highest) / 12)
