"""Squares that dry exactly as the shells of `stock.wood.shells` have it, weighed now and then: for tests of what a
forecast must do. How well it does on wood that dries otherwise is another question, and tested on other wood."""

from math import cos, log, pi

import numpy as np

from stock.wood.drying import AboveAir, Air, Below, Course, Drying
from stock.wood.shells import EMISSION_MM_DAY, Weather, Wood, march, nodes_to

YEARS = tuple(float(day) for day in range(-400, 3000, 5))
SHED = Air(
    YEARS,
    tuple(13 + 1.5 * cos(2 * pi * (day - 20) / 365) for day in YEARS),
    tuple(10 - 8 * cos(2 * pi * (day - 20) / 365) for day in YEARS),
)
SHOP = Air((0.0,), (9.0,), (20.0,))
TARGETS = (Below(15.0), AboveAir(2.0))
ROUNDS = (0, 8, 20, 36, 58, 86, 120, 160, 200, 250, 300, 360, 430, 500, 580, 660)


def weights(dry_g, days, air=SHED, *, start=0.7, tau=90.0, z=0.0, offset=0.006, side_mm=50.0, emission=1.0, noise=0.0):
    """What a piece weighs that dries exactly as the shells have it, g."""
    nodes = np.array(nodes_to(max(days) + 1))
    middle = (nodes[1:] + nodes[:-1]) / 2
    emc = np.interp(middle, air.days, air.emc_pct)[:, None] / 100
    rate = np.exp(-4500 * (1 / (np.interp(middle, air.days, air.temp_c) + 273.15) - 1 / 293.15))
    wood = Wood(*(np.full((1, 1), value) for value in (start, tau, z, offset, EMISSION_MM_DAY * emission)))
    course = march(wood, np.array([side_mm]), Weather(nodes, emc, (rate * np.diff(nodes))[:, None])).mean[:, 0, 0]
    rng = np.random.default_rng(7)
    return [float(w) for w in dry_g * (1 + np.interp(days, nodes, course)) + noise * rng.normal(size=len(days))]


def course(net_g, days=ROUNDS, *, dry_g=500.0, dry_sd=0.025, sd_g=1.0, **more):
    some = {"side_mm": 50.0, "density_g_cm3": 0.55, "volume_cm3": 909.0, "ln_dry": (log(dry_g), dry_sd)} | more
    days = tuple(float(day) for day in days[: len(net_g)])
    return Course(days, tuple(net_g), (sd_g,) * len(net_g), **some)


def drying(count=6, air=SHED, targets=TARGETS, dry_g=500.0, noise=1.0, **more):
    return Drying(course(weights(dry_g, ROUNDS[:count], noise=noise), dry_g=dry_g, **more), air, targets)


def width(spread):
    return spread.high - spread.low
