"""No drier than its air: what is known of a dry mass, cut off where the wood would be drier than air can make it.

Wood that comes from the tree dries towards the moisture content at which the air of its places keeps wood, and not
past it. A dry mass that says otherwise is too large, however good the sections behind it look. Of all dry masses that
the evidence allows, those are left that agree: the rest of a bell curve of ln(1 + M) above a floor.
"""

from dataclasses import dataclass
from math import exp, log, pi, sqrt
from statistics import NormalDist

from stock.errors import Impossible

CHANCES = (0.1, 0.5, 0.9)
NOTHING_LEFT = 1e-4  # so small a part above the floor is no part: two facts contradict each other
_UNIT = NormalDist()


@dataclass(frozen=True, slots=True)
class Cut:
    """What is left above the floor.

    Attributes:
        mc_pct: low, median and high moisture content, percent of oven-dry mass: 10, 50 and 90 %.
        ln_sd: standard deviation of ln of the oven-dry mass that is left.
        left: how much of the curve is left, 0 to 1.
    """

    mc_pct: tuple[float, float, float]
    ln_sd: float
    left: float


def no_drier_than(net_g: float, ln_dry: float, ln_variance: float, floor_pct: float) -> Cut | None:
    """Cut what is believed of the moisture content of a piece off at a floor.

    Args:
        net_g: its net mass, g.
        ln_dry, ln_variance: mean and variance of ln of its oven-dry mass in g; the variance with that of the weight.
        floor_pct: the moisture content below which it cannot be, percent.

    Returns:
        What is left; None if less than one in ten thousand is, which is a contradiction to be looked into.

    Raises:
        Impossible: a mass or a variance that cannot be.

    Source:
        The truncated normal distribution (Johnson, Kotz and Balakrishnan, Continuous Univariate Distributions 1, 1994).
    """
    if not (net_g > 0 and 0 < ln_variance < 1e6 and floor_pct > -100):
        raise Impossible("a moisture content cannot be cut off there", hint="Look at the weight and the air.")
    middle, sd = log(net_g) - ln_dry, sqrt(ln_variance)
    cut = (log(1 + floor_pct / 100) - middle) / sd
    left = _UNIT.cdf(-cut)
    if left < NOTHING_LEFT:
        return None
    low, median, high = (100 * (exp(middle + sd * _above(cut, left, chance)) - 1) for chance in CHANCES)
    density = exp(-(cut**2) / 2) / sqrt(2 * pi) / left
    return Cut((low, median, high), sd * sqrt(max(1 + cut * density - density**2, 1e-9)), left)


def _above(cut: float, left: float, chance: float) -> float:
    """The quantile of a unit normal above a cut, reckoned from its upper end, where nothing cancels."""
    return -_UNIT.inv_cdf(min(max(left * (1 - chance), 1e-300), 1 - 1e-16))
