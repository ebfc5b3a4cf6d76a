"""The rules of thumb by which wood is called dry: a year an inch, two equal weights, a straight line on log paper."""

from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np
from truth import Truth

INCH_MM = 25.4
FARTHEST_DAYS = 4000.0


def year_an_inch(one: Truth) -> date:
    """The day on which a blank is dry by its thickness."""
    return one.made_on + timedelta(days=round(365.25 * one.square_mm / INCH_MM))


def two_equal_weights(one: Truth, rng: np.random.Generator) -> date | None:
    """The day of the first of its monthly weighings that shows the weight of the one before; None if none does."""
    before_g = None
    for days in range(0, len(one.daily_mc_pct), 30):
        on = one.made_on + timedelta(days=days)
        mass_g = one.oven_dry_g * (1 + one.true_mc_pct(on) / 100) + one.coat_g + rng.normal(0, one.yard.repeats_g)
        shown_g = round(mass_g / one.yard.step_g) * one.yard.step_g
        if shown_g == before_g:
            return on
        before_g = shown_g
    return None


def exponential(
    days: Sequence[float], mc_pct: Sequence[float], emc_pct: float, target_pct: float, rng: np.random.Generator
) -> tuple[float, float, float] | None:
    """When moisture that nears its air by the same share each day is at a target.

    Args:
        days, mc_pct: the weighings; those within half a point of the air or below tell nothing.
        emc_pct: what the air keeps wood at.
        target_pct: above that.

    Returns:
        Days: early, likely and late (10, 50 and 90 %), by the scatter about the line; None for fewer than two
        weighings, or if it does not dry. Two weighings have no scatter, so the three are one.
    """
    line = [(at, np.log(mc - emc_pct)) for at, mc in zip(days, mc_pct, strict=True) if mc > emc_pct + 0.5]
    if len(line) < 2 or target_pct <= emc_pct:
        return None
    at, excess = np.array(line).T
    design = np.c_[np.ones_like(at), at]
    fit = np.linalg.lstsq(design, excess, rcond=None)[0]
    if fit[1] >= 0:
        return None
    free = len(at) - 2
    draws = np.tile(fit, (1000, 1))
    if free:
        spread = ((excess - design @ fit) ** 2).sum() / free * np.linalg.inv(design.T @ design)
        draws = fit + rng.multivariate_normal((0, 0), spread, 1000) / np.sqrt(rng.chisquare(free, (1000, 1)) / free)
    slopes = np.minimum(draws[:, 1], -1e-6)
    when = np.minimum((np.log(target_pct - emc_pct) - draws[:, 0]) / slopes, FARTHEST_DAYS)
    early, likely, late = np.quantile(when, (0.1, 0.5, 0.9))
    return float(early), float(likely), float(late)
