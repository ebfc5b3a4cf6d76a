"""How long forecasts take, how that grows with pieces and weighings, and how much memory. Run by hand:

    python tests/bench/bench_forecast.py

Run from the top folder with the project installed. Every time is the best of three, beside that of 100 pieces weighed
eight times in the same run; the pieces differ in size, wood and scatter, and each is asked after two targets. The
floor beneath it is that of the shells alone: one march of all draws of the same pieces to the same horizon.
"""

import resource
import time
from collections.abc import Callable
from math import cos, log, pi

import numpy as np

from stock.wood.drying import AboveAir, Air, Below, Course, Drying
from stock.wood.forecast import forecast_many
from stock.wood.shells import EMISSION_MM_DAY, Weather, Wood, march, nodes_to

ROUNDS = (0, 8, 20, 36, 58, 86, 120, 160, *range(200, 560, 30))
DAYS = tuple(float(day) for day in range(0, 2600, 5))
SHED = Air(
    DAYS,
    tuple(13 + 1.5 * cos(2 * pi * day / 365) for day in DAYS),
    tuple(10 - 8 * cos(2 * pi * day / 365) for day in DAYS),
)


def pieces(count: int, weighings: int, seed: int = 0) -> list[Drying]:
    """Squares that dry as the shells have it, weighed on kitchen scales."""
    rng = np.random.default_rng(seed)
    side, density = rng.uniform(38, 65, count), rng.uniform(0.45, 0.65, count)
    ln_tau = 4.444 + 1.8 * np.log(side / 50) + 1.8 * np.log(density / 0.55) + 0.5 * rng.normal(size=count)
    start, emission = rng.uniform(0.5, 0.9, count), EMISSION_MM_DAY * np.exp(0.6 * rng.normal(size=count))
    wood = Wood(*(x[None] for x in (start, np.exp(ln_tau), rng.normal(size=count), 0 * side, emission)))
    moist = march(wood, side, weather(ROUNDS[weighings - 1] + 10.0, count)).mean[:, 0]
    nodes = nodes_to(ROUNDS[weighings - 1] + 10.0)
    found = []
    for i in range(count):
        days = np.array(ROUNDS[:weighings]) + np.r_[0, rng.integers(-2, 3, weighings - 1)]
        dry_g = side[i] ** 2 * 0.4 * density[i]
        net_g = np.round(dry_g * (1 + np.interp(days, nodes, moist[:, i])) + rng.normal(size=weighings))
        its = Course(
            tuple(days.tolist()),
            tuple(net_g.tolist()),
            (1.0,) * weighings,
            side_mm=float(side[i]),
            density_g_cm3=float(density[i]),
            ln_dry=(log(dry_g) + 0.025 * rng.normal(), 0.025),
        )
        found.append(Drying(its, SHED, (AboveAir(2.0), Below(20.0))))
    return found


def weather(days: float, count: int) -> Weather:
    nodes = np.array(nodes_to(days))
    emc = np.interp((nodes[1:] + nodes[:-1]) / 2, SHED.days, SHED.emc_pct)[:, None] / 100
    return Weather(nodes, emc + np.zeros(count), 0.5 * np.diff(nodes)[:, None] + np.zeros(count))


def shells_alone(count: int) -> None:
    """What no forecast can do without: 256 draws of each piece, marched to the horizon."""
    for first in range(0, count, 64):
        some = min(64, count - first)
        rows = np.ones((256, some))
        march(Wood(0.7 * rows, 90 * rows, 0 * rows, 0 * rows, rows), np.full(some, 50.0), weather(1437, some))


def seconds(work: Callable[[], object]) -> float:
    best = float("inf")
    for _ in range(3):
        begun = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - begun)
    return best


def main() -> None:
    base = seconds(lambda: forecast_many(pieces(100, 8))) / 100
    print(f"{'pieces':>7}{'weighings':>11}{'ms a piece':>12}{'to base':>9}{'to shells alone':>17}{'draws, worst':>14}")
    for count, weighings in ((1, 8), (10, 8), (100, 8), (1000, 8), (100, 3), (100, 20), (1000, 20)):
        asked = pieces(count, weighings)
        told = forecast_many(asked)
        each = seconds(lambda asked=asked: forecast_many(asked)) / count  # type: ignore[misc]
        alone = seconds(lambda count=count: shells_alone(count)) / count  # type: ignore[misc]
        worst = min(one.effective for one in told)
        print(f"{count:7d}{weighings:11d}{1e3 * each:12.2f}{each / base:9.2f}{each / alone:17.2f}{worst:14.0f}")
    print(f"most memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    main()
