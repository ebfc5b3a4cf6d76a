"""The air of made-up yards: what it was each day, and what somebody with a cheap hygrometer noted as normal.

A yard has a shed, which follows the weather, and a shop, heated in winter. The true air of a day is the normal of the
season, a slow wander of the year and the weather of the week. What is told, twelve monthly normals of each place, is
the true normal seen on an instrument that is off by a few percent for good, and rounded. Spreads are our own choice.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from stock.wood.air import emc_or_edge

FIRST = date(2016, 1, 1)
DAYS = (date(2027, 1, 1) - FIRST).days
MIDS = (np.arange(12) + 0.5) / 12


@dataclass(frozen=True)
class Air:
    """The air of one place.

    Attributes:
        cover: unheated or heated.
        normals: (degC, % relative humidity) of the twelve months, as noted.
        temp_c, emc_pct: as they were, of each day from `FIRST`; the handbook's moisture content for it.
    """

    cover: str
    normals: tuple[tuple[float, float], ...]
    temp_c: np.ndarray
    emc_pct: np.ndarray

    @property
    def told_emc_pct(self) -> float:
        """The mean over the year of what the noted air keeps wood at, by the handbook."""
        return float(np.mean([emc_or_edge(*one)[0] for one in self.normals]))


@dataclass(frozen=True)
class Yard:
    """Somebody's places, by name, and the step of the kitchen scales there, g."""

    name: str
    places: Mapping[str, Air]
    step_g: float
    repeats_g: float


def yard(number: int, rng: np.random.Generator) -> Yard:
    """A yard somewhere with warm summers and cold, or cool, winters."""
    cold, swing = rng.normal(10, 1.5), rng.uniform(8, 12)
    damp = rng.normal(70, 3)
    shed = _air("unheated", (cold, swing, 3.5), (damp, -rng.uniform(0, 6), 7), rng)
    shop = _air("heated", (20.5, rng.uniform(1, 3), 1), (rng.normal(44, 4), rng.uniform(4, 9), 4), rng)
    names = (f"shed of yard {number}", f"shop of yard {number}")
    step_g = float(rng.choice((1.0, 2.0)))
    return Yard(f"yard {number}", dict(zip(names, (shed, shop), strict=True)), step_g, rng.uniform(0.5, 1.0))


def _air(cover: str, temp: tuple[float, float, float], rh: tuple[float, float, float], rng: np.random.Generator) -> Air:
    """Mean, half the swing of the year (warmest at the end of July) and the weather, of temperature and humidity."""
    told = []
    true = []
    off = (rng.normal(0, 0.7), rng.normal(0, 3))
    of_year = (np.arange(DAYS) / 365.2425) % 1
    for (mean, swing, weather), slow, wrong in ((temp, 1.0, off[0]), (rh, 2.5, off[1])):
        told.append(np.round(mean + swing * _season(MIDS) + wrong))
        wander = _wander(slow, 60, rng) + _wander(weather, 4, rng)
        true.append(mean + swing * _season(of_year) + wander)
    temp_c, rh_pct = true[0], np.clip(true[1], 15, 97)
    emc_pct = np.array([emc_or_edge(*pair)[0] for pair in zip(temp_c.tolist(), rh_pct.tolist(), strict=True)])
    return Air(cover, tuple(zip(told[0].tolist(), told[1].tolist(), strict=True)), temp_c, emc_pct)


def day_number(on: date) -> int:
    """Days from `FIRST`."""
    return (on - FIRST).days


def day(number: int) -> date:
    return FIRST + timedelta(days=int(number))


def _season(of_year: np.ndarray) -> np.ndarray:
    return np.cos(2 * np.pi * (of_year - 0.57))


def _wander(sd: float, days: float, rng: np.random.Generator) -> np.ndarray:
    """Noise with a memory of so many days."""
    keep = np.exp(-1 / days)
    kicks = rng.normal(0, sd * np.sqrt(1 - keep**2), DAYS)
    kicks[0] = rng.normal(0, sd)
    found = np.empty(DAYS)
    at = 0.0
    for i, kick in enumerate(kicks.tolist()):
        at = keep * at + kick
        found[i] = at
    return found
