"""The likeliest course of each piece through its weighings, and how far others may lie from it.

Sought are six unknowns of a piece: ln of its oven-dry mass and of its first net mass, ln tau, the steepness of its
diffusivity, what it tends to beyond its air, ln of the surface's emission. Each has a belief beforehand; the weighings
are net mass = oven-dry mass (1 + mean moisture) with the errors of `forecast_errors`. All pieces climb at once
(Levenberg and Marquardt: Newton steps shortened until each is a step up), slopes by small differences. Near the top
the chances fall off as a Gaussian does (Laplace), which is where `forecast_draws` begins.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from typing import TYPE_CHECKING, NamedTuple

from stock.wood.forecast_batch import LN_DRY, LN_EMISSION, LN_START, LN_TAU, OFFSET, UNKNOWNS, Batch, Z
from stock.wood.forecast_errors import Errors, errors, in_order
from stock.wood.shells import EMISSION_MM_DAY, March, Wood, march

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

TURNS = 14
PLAIN_TURNS = 3  # before blunders are looked for
STEPS = {LN_START: 3e-4, LN_TAU: 3e-3, Z: 3e-2, OFFSET: 3e-4, LN_EMISSION: 3e-2}  # for slopes; smaller ones are noisy
LEAST_STRIDE, STRIDE = 0.3, 0.7  # a step is at most 0.7 sd of belief, or 0.7 x 0.3


class Fit(NamedTuple):
    """The top of a batch.

    Attributes:
        theta: the likeliest unknowns, (unknowns, pieces).
        factor: F, with F F' their covariance, (unknowns, unknowns, pieces).
        errors: those of the weighings there.
    """

    theta: Floats
    factor: Floats
    errors: Errors

    def part(self, some: slice | Sequence[int]) -> Fit:
        """Some of the pieces."""
        import numpy as np

        cut = {one.name: np.ascontiguousarray(getattr(self.errors, one.name)[..., some]) for one in fields(Errors)}
        theta, factor = (np.ascontiguousarray(one[..., some]) for one in (self.theta, self.factor))
        return Fit(theta, factor, Errors(**cut))


def wood(theta: Floats) -> Wood:
    """The shells of unknowns (unknowns, guises, pieces)."""
    import numpy as np

    start = np.exp(theta[LN_START] - theta[LN_DRY]) - 1
    emission = EMISSION_MM_DAY * np.exp(theta[LN_EMISSION])
    return Wood(start, np.exp(theta[LN_TAU]), theta[Z], theta[OFFSET], emission)


def at_weighings(batch: Batch, marched: March) -> Floats:
    """Mean moisture content, fraction, on the days of the weighings, (weighings, guises, pieces)."""
    return at_days(batch.nodes, marched.mean, batch.at)


def at_days(nodes: Floats, course: Floats, days: Floats) -> Floats:
    """A course given at nodes, (nodes, guises, pieces), on other days (days, pieces): (days, guises, pieces)."""
    import numpy as np

    k = np.clip(np.searchsorted(nodes, days) - 1, 0, len(course) - 2)
    share = ((days - nodes[k]) / (nodes[k + 1] - nodes[k]))[:, None]
    before, after = (np.take_along_axis(course, at[:, None], 0) for at in (k, k + 1))
    found: Floats = before + share * (after - before)
    return found


def fit(batch: Batch) -> Fit:
    """Fit every piece of a batch."""
    import numpy as np

    theta = batch.mean.copy()
    foretold, slopes = _look(batch, theta)
    now = errors(batch, theta)
    damping = np.full(theta.shape[1], 1e-2)
    for turn in range(TURNS):
        off = batch.net - foretold
        if turn >= PLAIN_TURNS:
            now = errors(batch, theta, off, now)
        curvature, pull = _climb(batch, theta, off, slopes, now)
        step = _step(batch, curvature, pull, damping)
        trial = theta + step
        its_foretold, its_slopes = _look(batch, trial)
        better = _cost(batch, trial, batch.net - its_foretold, now) < _cost(batch, theta, off, now)
        theta = np.where(better, trial, theta)
        foretold = np.where(better, its_foretold, foretold)
        slopes = np.where(better, its_slopes, slopes)
        damping = np.clip(np.where(better, damping / 5, damping * 6), 1e-6, 1e6)
    curvature, _ = _climb(batch, theta, batch.net - foretold, slopes, now)
    factor = np.linalg.inv(np.linalg.cholesky(curvature.transpose(2, 0, 1))).transpose(2, 1, 0)
    return Fit(theta, np.ascontiguousarray(factor), now)


def _look(batch: Batch, theta: Floats) -> tuple[Floats, Floats]:
    """Net masses foretold for the weighings, g, (weighings, pieces), and their slopes, (unknowns, weighings, pieces).

    Oven-dry and first mass act on the moisture by their ratio alone, so one slope serves both.
    """
    import numpy as np

    guises = np.repeat(theta[:, None], len(STEPS) + 1, axis=1)
    for row, (unknown, step) in enumerate(STEPS.items(), start=1):
        guises[unknown, row] += step
    moist = at_weighings(batch, march(wood(guises), batch.side_mm, batch.weather(float(batch.at.max()))))
    dry = np.exp(theta[LN_DRY])
    foretold = dry * (1 + moist[:, 0])
    slopes = np.empty((UNKNOWNS, *foretold.shape))
    for row, (unknown, step) in enumerate(STEPS.items(), start=1):
        slopes[unknown] = dry * (moist[:, row] - moist[:, 0]) / step
    slopes[LN_DRY] = foretold - slopes[LN_START]
    return foretold, slopes


def _cost(batch: Batch, theta: Floats, off: Floats, now: Errors) -> Floats:
    """Twice the negative logarithm of the chance, but for a constant, (pieces,)."""
    weights = in_order(off * now.weigh(off[:, None])[:, 0])
    found: Floats = weights + in_order(((theta - batch.mean) / batch.sd) ** 2)
    return found


def _climb(batch: Batch, theta: Floats, off: Floats, slopes: Floats, now: Errors) -> tuple[Floats, Floats]:
    """The curvature of the chance (unknowns, unknowns, pieces), by Gauss and Newton, and the pull uphill."""
    import numpy as np

    weighed = now.weigh(slopes.transpose(1, 0, 2)).transpose(1, 0, 2)
    curvature = np.empty((UNKNOWNS, *theta.shape))
    pull = -(theta - batch.mean) / batch.sd**2
    for a in range(UNKNOWNS):
        pull[a] += in_order(weighed[a] * off)
        for b in range(a + 1):
            curvature[a, b] = curvature[b, a] = in_order(slopes[a] * weighed[b])
        curvature[a, a] += 1 / batch.sd[a] ** 2
    return curvature, pull


def _step(batch: Batch, curvature: Floats, pull: Floats, damping: Floats) -> Floats:
    import numpy as np

    steeper = curvature.transpose(2, 0, 1).copy()
    diagonal = np.arange(UNKNOWNS)
    steeper[:, diagonal, diagonal] *= (1 + damping)[:, None]
    step = np.linalg.solve(steeper, pull.T[..., None])[..., 0].T
    limit = STRIDE * np.maximum(batch.sd, LEAST_STRIDE)
    return np.clip(step, -limit, limit)
