"""How far the weighings of a piece may lie from a law of drying, and how much each of them therefore counts.

A weight misses the law for three reasons. The scales err, now and then by a blunder: Student's t with four degrees of
freedom. The law errs: not at the start, where it begins with the weight, nor in balance with the air, where all laws
meet, but in between, as (M0 - M)(M - E)/(M0 - E). And some errors are shared by several weighings: a coat, a trim.

Student's t is a Gaussian whose variance is itself drawn at random, v / w with w from a gamma distribution. Given how
far a weight is off, w is averaged over what it may have been: a blunder counts for little, however large it is, and
also where the law is allowed to err much.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stock.wood.forecast_batch import LN_DRY, Batch

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# Gamma(2, 2), the mixing distribution of Student's t with 4 degrees of freedom, at points evenly spaced in ln w.
_LN_W = tuple(-14.0 + i for i in range(17))
WEATHER_SD = 0.005  # of the oven-dry mass: weeks damper or drier than the air is thought to be; not on the first day


@dataclass(frozen=True, slots=True)
class Errors:
    """The errors of the weighings of a batch, as Gaussian ones.

    Attributes:
        law: variance of what the law misses each weight by, g2, (weighings, pieces).
        scales: variance of the scales, blunders counted in, g2.
        shared: g by which one sd of a shared error moves each weight, (errors, weighings, pieces).
        precision: 1 / (law + scales), 0 for a weighing that was not seen.
        inner: inverse of (1 + shared' precision shared), (errors, errors, pieces).
    """

    law: Floats
    scales: Floats
    shared: Floats
    precision: Floats
    inner: Floats

    def free(self, off: Floats) -> Floats:
        """What weights are off by, (weighings, guises, pieces) in g, less the likeliest shared errors."""
        if not len(self.shared):
            return off
        pulls = [in_order(shared[:, None] * self.precision[:, None] * off) for shared in self.shared]
        left = off.copy()
        for i, shared in enumerate(self.shared):
            share = sum(self.inner[i, j] * pull for j, pull in enumerate(pulls))
            left -= shared[:, None] * share
        return left

    def weigh(self, off: Floats) -> Floats:
        """The inverse of the covariance of all errors, times `off`."""
        found: Floats = self.precision[:, None] * self.free(off)
        return found


def errors(batch: Batch, theta: Floats, off: Floats | None = None, before: Errors | None = None) -> Errors:
    """The errors of the weighings, by what is believed of the pieces so far.

    Args:
        batch: the pieces.
        theta: their unknowns, (unknowns, pieces); the oven-dry mass sets the scale of what the law misses.
        off: what each weight is off by, g, (weighings, pieces); None takes the scales as they are, without blunders.
        before: the errors `off` was found with, to tell shared errors apart.
    """
    law = _law(batch, theta)
    scales = batch.noise
    if off is not None and before is not None:
        scales = _blunders(law, batch.noise, before.free(off[:, None])[:, 0])
    precision = batch.seen / (law + scales)
    return Errors(law, scales, batch.shared, precision, _inner(batch.shared, precision))


def _law(batch: Batch, theta: Floats) -> Floats:
    import numpy as np

    dry = np.exp(theta[LN_DRY])
    moist = batch.net / dry - 1
    fallen = np.clip(moist[0] - moist, 0, None)
    above = np.clip(moist - batch.emc_year, 0, None)
    misses = 2 * fallen * above / np.maximum(moist[0] - batch.emc_year, 0.05)
    law: Floats = (batch.misfit * dry * misses) ** 2
    law[1:] += (WEATHER_SD * dry) ** 2
    return law


def _blunders(law: Floats, noise: Floats, off: Floats) -> Floats:
    """The variance of the scales that a weight so far off speaks for: 1 / mean(1 / (law + noise / w)) - law."""
    import numpy as np

    ln_w = np.array(_LN_W)[:, None, None]
    ln_prior = 2 * ln_w - 2 * np.exp(ln_w)
    variance = law + noise * np.exp(-ln_w)
    ln_chance = ln_prior - 0.5 * (np.log(variance) + off**2 / variance)
    chance = np.exp(ln_chance - ln_chance.max(0))
    mean = in_order(chance) / in_order(chance / variance)
    found: Floats = np.maximum(mean - law, 1e-3 * noise)
    return found


def _inner(shared: Floats, precision: Floats) -> Floats:
    import numpy as np

    count, pieces = len(shared), shared.shape[-1]
    pull = np.zeros((pieces, count, count))
    for i in range(count):
        for j in range(count):
            pull[:, i, j] = (i == j) + in_order(shared[i] * precision * shared[j])
    inner: Floats = np.asarray(np.linalg.inv(pull), dtype=np.float64).transpose(1, 2, 0)
    return inner


def in_order(values: Floats) -> Floats:
    """The sum over the first axis, term after term, so that zeros at its end change nothing, to the last bit."""
    import numpy as np

    total: Floats = values[0].copy()
    for one in values[1:]:
        np.add(total, one, out=total)
    return total
