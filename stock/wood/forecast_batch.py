"""Pieces side by side in arrays, so that a thousand are fitted in one go.

Pieces differ in how often they were weighed and for how long; the shorter courses are filled up with weighings that
were not seen and count for nothing. All sums over weighings run in order, so a piece gets the same answer, to the last
bit, whatever stands beside it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from math import log
from typing import TYPE_CHECKING

from stock.wood.drying import UNKNOWN_DENSITY, Drying
from stock.wood.shells import Weather, clock_rate, nodes_to

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.intp]

YEAR_DAYS = 365

# The unknowns of a piece, in order, and the spread of those whose belief does not depend on the piece. By fits to
# squares drying in simulation, no source.
LN_DRY, LN_START, LN_TAU, Z, OFFSET, LN_EMISSION = range(6)
UNKNOWNS = 6
LN_START_SD = 0.05  # of the first net mass
Z_MEAN, Z_SD = 0.0, 1.2
OFFSET_MEAN = 0.006  # first drying ends above the handbook's figure, between drying and wetting: hysteresis
LN_COATED = -1.5  # of S of a piece waxed or wrapped all over, beside a bare one
WEIGHT_SD = 0.0005  # of the oven-dry mass: handling, drafts


@dataclass(frozen=True, slots=True)
class Batch:
    """Some pieces in arrays, pieces on the last axis.

    Attributes:
        nodes: ends of the steps of a march, days since each piece's first weighing.
        emc, clock: the air over each step, fraction and days at 20 degC, (steps, pieces).
        emc_year: mean of what the air keeps wood at over the year after the last weighing, fraction, (pieces,).
        at, net: day since the first, and net mass in g, (weighings, pieces).
        noise: variance of the scales, g2, (weighings, pieces).
        seen: 1 for a weighing, 0 for a filled-up one, (weighings, pieces).
        shared: g by which one sd of a shared error moves each weighing, (errors, weighings, pieces).
        last: number of the last weighing, (pieces,).
        side_mm, misfit, pace_sd: as in the course and the prior, (pieces,).
        mean, sd: of each unknown, before the weighings are looked at, (unknowns, pieces).
        ln_size: what ln tau is above that of a 50 mm square of 0.55 g/cm3, by size, density and wood, (pieces,).
    """

    nodes: Floats
    emc: Floats
    clock: Floats
    emc_year: Floats
    at: Floats
    net: Floats
    noise: Floats
    seen: Floats
    shared: Floats
    last: Ints
    side_mm: Floats
    misfit: Floats
    pace_sd: Floats
    mean: Floats
    sd: Floats
    ln_size: Floats

    def part(self, some: slice | Sequence[int]) -> Batch:
        """Some of the pieces."""
        import numpy as np

        cut = {one.name: np.ascontiguousarray(getattr(self, one.name)[..., some]) for one in fields(self)[1:]}
        return Batch(self.nodes, **cut)

    def weather(self, until: float | None = None) -> Weather:
        """The air from the beginning to the first node at or after a day, or to the end."""
        import numpy as np

        k = len(self.nodes) - 1 if until is None else max(1, int(np.searchsorted(self.nodes, until)))
        return Weather(self.nodes[: k + 1], self.emc[:k], self.clock[:k])

    @property
    def last_at(self) -> Floats:
        """Day of the last weighing, (pieces,)."""
        import numpy as np

        found: Floats = np.take_along_axis(self.at, self.last[None], 0)[0]
        return found


@dataclass(frozen=True, slots=True)
class Weighed:
    """The weighings of a course, one a day in order: the mean of the day, its spread, and the shared errors."""

    first: float
    at: tuple[float, ...]
    net: tuple[float, ...]
    sd: tuple[float, ...]
    shared: tuple[tuple[float, ...], ...]


def by_day(drying: Drying) -> Weighed:
    """Take the weighings of each day together."""
    course = drying.course
    days = sorted({float(day) for day in course.days})
    groups = [[i for i, day in enumerate(course.days) if day == one] for one in days]

    def mean(values: Sequence[float]) -> tuple[float, ...]:
        return tuple(sum(values[i] for i in group) / len(group) for group in groups)

    sd = tuple(sum(course.sd_g[i] ** 2 for i in group) ** 0.5 / len(group) for group in groups)
    return Weighed(
        first=days[0],
        at=tuple(day - days[0] for day in days),
        net=mean(course.net_g),
        sd=sd,
        shared=tuple(mean(one) for one in course.shared_g),
    )


def batch(dryings: Sequence[Drying], weighed: Sequence[Weighed], horizon_days: float) -> Batch:
    """Lay pieces side by side, with the air up to `horizon_days` after the last weighing of each, and a year at least.

    Their courses must have no `why_not`.
    """
    import numpy as np

    pieces, most = len(dryings), max(len(one.at) for one in weighed)
    last_at = np.array([one.at[-1] for one in weighed])
    nodes = np.array(nodes_to(float(last_at.max()) + max(horizon_days, YEAR_DAYS)))
    emc, clock, emc_year = _weather(dryings, weighed, nodes)
    at, net, noise, seen = (np.zeros((most, pieces)) for _ in range(4))
    shared = np.zeros((max(len(one.shared) for one in weighed), most, pieces))
    mean, sd = np.zeros((UNKNOWNS, pieces)), np.ones((UNKNOWNS, pieces))
    ln_size = np.zeros(pieces)
    for i, (one, drying) in enumerate(zip(weighed, dryings, strict=True)):
        count = len(one.at)
        at[:count, i], net[:count, i], seen[:count, i] = one.at, one.net, 1
        at[count:, i], net[count:, i] = one.at[-1], one.net[-1]
        (mean[:, i], sd[:, i]), ln_size[i] = _believed(drying, one)
        floor = (WEIGHT_SD * np.exp(mean[LN_DRY, i])) ** 2
        noise[:count, i] = np.square(one.sd) + floor
        noise[count:, i] = 1
        for j, error in enumerate(one.shared):
            shared[j, :count, i] = error
    return Batch(
        nodes=nodes,
        emc=emc,
        clock=clock,
        emc_year=emc_year,
        at=at,
        net=net,
        noise=noise,
        seen=seen,
        shared=shared,
        last=np.array([len(one.at) - 1 for one in weighed], dtype=np.intp),
        side_mm=np.array([drying.course.side_mm or 0.0 for drying in dryings]),
        misfit=np.array([drying.prior.misfit for drying in dryings]),
        pace_sd=np.array([drying.prior.pace_sd for drying in dryings]),
        mean=mean,
        sd=sd,
        ln_size=ln_size,
    )


def ln_size(side_mm: float, ln_density: float) -> float:
    """What ln tau of a square is above that of one of 50 mm and 0.55 g/cm3.

    Both powers, 1.8, were fitted to squares drying in simulation; diffusion alone makes the first one 2.
    """
    return 1.8 * log(side_mm / 50) + 1.8 * (ln_density - log(UNKNOWN_DENSITY))


def _believed(drying: Drying, weighed: Weighed) -> tuple[tuple[list[float], list[float]], float]:
    """(mean, sd) of the unknowns of a piece, before its weighings are looked at, and its `ln_size`."""
    course, prior = drying.course, drying.prior
    assert course.side_mm is not None
    ln_dry, ln_dry_sd = course.ln_dry_believed()
    ln_density, ln_density_sd = course.ln_density_believed()
    size = ln_size(course.side_mm, ln_density) + course.ln_slower
    tau_sd = (prior.ln_tau_sd**2 + (1.8 * ln_density_sd) ** 2) ** 0.5
    emission = prior.ln_emission + (LN_COATED if course.coated else 0.0)
    mean = [ln_dry, log(weighed.net[0]), prior.ln_tau + size, Z_MEAN, OFFSET_MEAN, emission]
    sd = [ln_dry_sd, LN_START_SD, tau_sd, Z_SD, drying.air.emc_sd_pct / 100, prior.ln_emission_sd]
    return (mean, sd), size


def _weather(dryings: Sequence[Drying], weighed: Sequence[Weighed], nodes: Floats) -> tuple[Floats, Floats, Floats]:
    """What the air keeps wood at over each step, the step on the clock, and the year's mean after the last weighing.

    Air is looked at in the middle of every day, so that a step of ten days gets their mean.
    """
    import numpy as np

    middle = np.arange(nodes[-1]) + 0.5
    ends = nodes.astype(int)
    steps = np.diff(nodes)
    emc, clock = (np.empty((len(steps), len(dryings))) for _ in range(2))
    emc_year = np.empty(len(dryings))
    for i, (drying, one) in enumerate(zip(dryings, weighed, strict=True)):
        air = drying.air
        daily = np.interp(one.first + middle, air.days, air.emc_pct) / 100
        rate = clock_rate(np.interp(one.first + middle, air.days, air.temp_c))
        emc[:, i] = np.diff(np.concatenate(([0.0], np.cumsum(daily)))[ends]) / steps
        clock[:, i] = np.diff(np.concatenate(([0.0], np.cumsum(rate)))[ends])
        last = int(one.at[-1])
        emc_year[i] = daily[last : last + YEAR_DAYS].mean()
    return emc, clock, emc_year
