"""The course of a piece as it is drawn and told: its weighings at their moisture, and what the curve makes plain."""

import math
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from stock.survey.airs import climate_of
from stock.survey.courses import Dryness, Reckoning
from stock.survey.dryings import place_on, stays_of
from stock.survey.futures import Future
from stock.wood.drying import Forecast

AIR_DRY_PCT = 20.0  # a mark on the way that a course is told by; common practice, no source
GAIN_STEPS, GAIN_DAYS = 2, 250  # a gain of so many steps of the scales is told, since the lightest weighing so long ago
SEASONS = ("winter", "spring", "summer", "autumn")  # of whole months, from December in the north
SWING_PCT = 1.0  # points that wood may gain beyond what its air alone would give it


@dataclass(frozen=True, slots=True)
class Placed:
    """A weighing: its day, net mass in g, and moisture content in percent, by the oven-dry mass of that state."""

    on: date
    net_g: float
    mc_pct: float | None


@dataclass(frozen=True, slots=True)
class DampAir:
    """A gain that damper air explains: how much, g, since when, and in which season it was weighed last."""

    gain_g: float
    since: date
    season: str


def placed(reckoning: Reckoning, dryness: Dryness, forecast: Forecast | None = None) -> tuple[Placed, ...]:
    """The weighings of a piece, in order.

    Args:
        reckoning: the moisture of its family.
        dryness: the piece.
        forecast: the forecast whose oven-dry mass is taken, so that the weighings lie about its curve; None takes what
            is known without one.

    Returns:
        Where the oven-dry mass is known, the weighings of all its states, each by that of its own; else those of the
        present series, which can be compared by weight.
    """
    dry_g = dryness.oven_dry_g
    if dry_g is None:
        return tuple(Placed(one.on, one.net_g, None) for one in dryness.readings)
    if forecast is not None and forecast.ln_dry is not None:
        dry_g = math.exp(forecast.ln_dry[0])
    family = reckoning.family(dryness.piece.id)
    history = family.histories[dryness.piece.id]
    now = (dryness.piece.id, history.last_state)
    found: list[Placed] = []
    for weighed in history.weighings:
        state = (dryness.piece.id, weighed.state)
        if not family.whole.knows(state):
            continue
        its_dry_g = dry_g * math.exp(family.whole.mean(state) - family.whole.mean(now))
        found.append(Placed(weighed.on, weighed.net_g, 100 * (weighed.net_g / its_dry_g - 1)))
    return tuple(found)


def passed(future: Future, dryness: Dryness, level_pct: float = AIR_DRY_PCT) -> date | None:
    """The day about which the fitted course fell through a moisture content, if it did between two weighings."""
    told = future.forecast
    if told is None or not told.curve or dryness.mc_pct is None or told.last_day is None:
        return None
    fitted = [(p.day, p.mc_pct.median) for p in told.curve if p.day <= told.last_day]
    if dryness.mc_pct >= level_pct or len({one.on for one in dryness.readings}) < 2:
        return None
    for (day, mc), (next_day, next_mc) in pairwise(fitted):
        if mc > level_pct >= next_mc:
            return date.fromordinal(round(day + (mc - level_pct) / (mc - next_mc) * (next_day - day)))
    return None


def damp_air(reckoning: Reckoning, dryness: Dryness) -> DampAir | None:
    """A gain since the lightest weighing of the past months that no more than follows the air of its place."""
    readings = dryness.readings
    if len(readings) < 3 or dryness.oven_dry_g is None:
        return None
    last = readings[-1]
    lately = [one for one in readings if (last.on - one.on).days <= GAIN_DAYS]
    lightest = min(lately, key=lambda one: one.net_g)
    gain_g = last.net_g - lightest.net_g
    stays = stays_of(reckoning, dryness.piece.id)
    place = place_on(stays, last.on.toordinal())
    if gain_g < GAIN_STEPS * last.step or place_on(stays, lightest.on.toordinal()) != place:
        return None
    air = climate_of(reckoning.facts, place)
    damper_pct = air.on(last.on)[0] - air.on(lightest.on)[0]
    if air.assumed or damper_pct <= 0 or 100 * gain_g / dryness.oven_dry_g > damper_pct + SWING_PCT:
        return None
    turn = 0 if reckoning.facts.settings.get("hemisphere") != "south" else 2
    return DampAir(gain_g, lightest.on, SEASONS[(last.on.month % 12 // 3 + turn) % 4])
