"""Many ways a piece may have dried and may go on, each with its chance.

Draws are taken from the Gaussian of `forecast_fit`, made wider by a quarter, and each is weighted by how much likelier
it truly is than it was to be drawn (importance sampling). Weights are cut off at the root of their number times their
mean, so that no draw outshouts the rest. The same evenly spread numbers serve every piece: an answer depends on
the seed alone, and changes smoothly with what is known.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist
from typing import TYPE_CHECKING

from stock.wood.forecast_batch import LN_DRY, OFFSET, UNKNOWNS, Batch
from stock.wood.forecast_errors import in_order
from stock.wood.forecast_fit import Fit, at_days, at_weighings, wood
from stock.wood.shells import march

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

WIDER = 1.25
PACE, LAST = UNKNOWNS, UNKNOWNS + 1  # random numbers beside those of the unknowns


@dataclass(frozen=True, slots=True)
class Draws:
    """Ways a batch of pieces may dry; draws on the last axis but one, pieces on the last.

    Attributes:
        theta: their unknowns, (unknowns, draws, pieces).
        weight: the chance of each, summing to 1 over the draws, (draws, pieces).
        moist: mean moisture content, fraction, at the nodes of the batch, (nodes, draws, pieces).
        middle: of the innermost shell on the day of the last weighing, fraction.
        now: mean moisture content on the day of the last weighing, fraction.
    """

    theta: Floats
    weight: Floats
    moist: Floats
    middle: Floats
    now: Floats

    @property
    def effective(self) -> Floats:
        """How many equally likely draws these are worth, (pieces,)."""
        found: Floats = 1 / in_order(self.weight**2)
        return found


@lru_cache(maxsize=8)
def normals(draws: int, seed: int) -> Floats:
    """Standard normal numbers (unknowns + 2, draws), spread evenly, in pairs of opposite sign, of sd 1.

    Args:
        draws: how many, even.
        seed: where the sequence begins.

    Source:
        Weyl's sequence on powers of the generalised golden ratio (x^(d+1) = x + 1), shifted at random. Against common
        random numbers it halves the scatter of the answers between seeds.
    """
    import numpy as np

    count = UNKNOWNS + 2
    ratio = 2.0
    for _ in range(60):
        ratio = (1 + ratio) ** (1 / (count + 1))
    steps = np.arange(1, draws // 2 + 1)[:, None] / ratio ** np.arange(1, count + 1)
    even = (np.random.default_rng(seed).random(count) + steps) % 1
    half = np.vectorize(NormalDist().inv_cdf)(np.clip(even, 1e-9, 1 - 1e-9))
    both = np.concatenate([half, -half])
    return np.ascontiguousarray((both / both.std(0)).T)


def draw(batch: Batch, fit: Fit, draws: int, seed: int) -> Draws:
    """Draw ways for every piece of a batch to have dried, and let each go on to the end of the batch's nodes."""
    import numpy as np

    z = normals(draws, seed)[..., None]
    theta = np.repeat(fit.theta[:, None], z.shape[1], axis=1)
    for a in range(UNKNOWNS):
        for b in range(UNKNOWNS):
            theta[a] += WIDER * fit.factor[a, b] * z[b]
    pace = np.exp(batch.pace_sd * z[PACE])
    marched = march(wood(theta), batch.side_mm, batch.weather(), pace, batch.last_at)

    dry = np.exp(theta[LN_DRY])
    foretold = dry * (1 + at_weighings(batch, marched))
    off = batch.net[:, None] - foretold
    ln_chance = -0.5 * in_order(off * fit.errors.weigh(off))
    ln_chance -= 0.5 * in_order(((theta - batch.mean[:, None]) / batch.sd[:, None]) ** 2)
    ln_drawn = -0.5 * in_order(z[:UNKNOWNS] ** 2)
    weight = _cut_off(ln_chance - ln_drawn)

    last = (batch.last, slice(None), np.arange(len(batch.last)))  # puts pieces first
    law, precision = fit.errors.law[last[::2]], fit.errors.precision[last[::2]]
    missed = (law * precision)[:, None] * fit.errors.free(off)[last]
    sd = np.sqrt(np.maximum(law - law**2 * precision, 0))
    weighed = (foretold[last] + missed).T + sd * z[LAST]
    now = weighed / dry - 1

    model_now = at_days(batch.nodes, marched.mean, batch.last_at[None])[0]
    middle_now = at_days(batch.nodes, marched.middle, batch.last_at[None])[0]
    moist = _through(batch, marched.mean, theta[OFFSET], model_now, now)
    return Draws(theta, weight, moist, middle_now + now - model_now, now)


def recentred(fit: Fit, draws: Draws) -> Fit:
    """A Gaussian laid about the draws that turned out likely, to draw from anew, where the first one lay beside them.

    Few draws tell a covariance badly, so the first one is mixed in, as if it were as many draws as there are unknowns.
    """
    import numpy as np

    mean = in_order((draws.theta * draws.weight).transpose(1, 0, 2))
    off = draws.theta - mean[:, None]
    first = np.einsum("abp,cbp->pac", fit.factor, fit.factor)
    found = np.einsum("asp,csp,sp->pac", off, off, draws.weight)
    share = (draws.effective / (draws.effective + UNKNOWNS))[:, None, None]
    factor = np.linalg.cholesky(share * found + (1 - share) * first).transpose(1, 2, 0)
    return fit._replace(theta=mean, factor=np.ascontiguousarray(factor))


def _cut_off(ln_weight: Floats) -> Floats:
    import numpy as np

    weight = np.exp(ln_weight - ln_weight.max(0))
    weight = np.minimum(weight, len(weight) ** -0.5 * in_order(weight))
    found: Floats = weight / in_order(weight)
    return found


def _through(batch: Batch, course: Floats, offset: Floats, model_now: Floats, now: Floats) -> Floats:
    """The course led through the moisture content found at the last weighing, not past it.

    Its excess over what it tends to is stretched by the share that the weighing asks for, from then on; before that
    the share grows evenly from 1 at the first weighing.
    """
    import numpy as np

    rest = batch.emc_year + offset
    excess = model_now - rest
    stretch = np.clip(1 + (now - model_now) / np.where(np.abs(excess) < 0.005, np.inf, excess), 0.25, 4.0)
    elapsed = np.clip(batch.nodes[:, None] / np.maximum(batch.last_at, 1e-9), 0, 1)[:, None]
    led: Floats = rest + (course - rest) * (1 + (stretch - 1) * elapsed)
    return led
