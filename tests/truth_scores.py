"""How good intervals are: how often they hold the truth, how wide they are, how far the middle is off."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

MISSED = 2 / 0.2  # what a unit outside an 80 % interval costs: Gneiting and Raftery, J. Am. Stat. Assoc. 102 (2007)


@dataclass(frozen=True)
class Score:
    """Of 80 % intervals against the truth, in the unit of both.

    `coverage` is the share that holds it, `coverage_sd` its standard error, pieces of one group taken as one draw;
    `below` and `above` are the shares of truths under and over; `bias` is the median of middle minus truth.
    """

    n: int
    coverage: float
    coverage_sd: float
    below: float
    above: float
    rms: float
    median_error: float
    bias: float
    half_width: float
    interval_score: float


def score(
    low: Sequence[float], middle: Sequence[float], high: Sequence[float], truth: Sequence[float], group: Sequence[str]
) -> Score:
    """Score intervals, at least one; `group` names what shares its errors, such as a tree."""
    lows, middles, highs, true = (np.array(one, dtype=float) for one in (low, middle, high, truth))
    under, over = true < lows, true > highs
    held = ~(under | over)
    off = middles - true
    cost = highs - lows + MISSED * (np.maximum(lows - true, 0) + np.maximum(true - highs, 0))
    return Score(
        n=len(true),
        coverage=float(held.mean()),
        coverage_sd=_grouped_sd(held, np.array(group)),
        below=float(under.mean()),
        above=float(over.mean()),
        rms=float(np.sqrt((off**2).mean())),
        median_error=float(np.median(np.abs(off))),
        bias=float(np.median(off)),
        half_width=float(np.median(highs - lows) / 2),
        interval_score=float(cost.mean()),
    )


def _grouped_sd(held: np.ndarray, group: np.ndarray) -> float:
    """Standard error of a share of pieces that come in groups: the ratio estimator of cluster sampling."""
    off = held - held.mean()
    sums = np.array([off[group == one].sum() for one in np.unique(group)])
    return float(np.sqrt((sums**2).sum()) / len(held))
