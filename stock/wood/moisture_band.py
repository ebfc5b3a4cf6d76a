"""How near two moisture contents must be, and how near two blanks are, as far as that is known."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf, sqrt
from typing import TYPE_CHECKING

from stock.wood.pair_terms import Array, OfPairs, numbered

if TYPE_CHECKING:
    from stock.wood.likeness import Ask, Blank, Covariance

SD_UNKNOWN_PCT = 1.0  # of a moisture content that came without one: that of a good meter; Wood Handbook, ch. 13
_NOWHERE = 1e9  # points
_BARELY = 1e-9  # two points are within two points, whatever the last binary digit says


class Band:
    """How wide a moisture band each two of some blanks need, points, and in `most` how wide it may be.

    |difference| + z sd(difference), with var(difference) = var(a) + var(b) - 2 cov(a, b); infinite if either is
    not known. 0 for two that have lain stable in one place long enough: they are in balance with the same air, whatever
    the estimates say.

    Covariances are asked for pair by pair, and asking is dear. Where there are some, `row` and `array` leave the
    uncertainty out, so that they give a lower bound; `gap` gives the figure.

    Attributes:
        bounded: whether `row` and `array` give a lower bound.
    """

    def __init__(self, blanks: Sequence[Blank], ask: Ask, covariance: Covariance | None) -> None:
        self.most, self._z, self._covariance = ask.band_pct + _BARELY, ask.z, covariance
        self._keys = [b.key for b in blanks]
        # what is not known lies further from everything than any band reaches
        self._mc = [_NOWHERE * (i + 1) if b.mc_pct is None else b.mc_pct for i, b in enumerate(blanks)]
        sds = [SD_UNKNOWN_PCT if b.mc_sd_pct is None else b.mc_sd_pct for b in blanks]
        self._variance = [0.0 if b.mc_pct is None else sd**2 for b, sd in zip(blanks, sds, strict=True)]
        self._counted = self._variance if covariance is None else [0.0] * len(blanks)
        self._settled = numbered([b.place if _long_stable(b, ask) else None for b in blanks])

    @property
    def bounded(self) -> bool:
        return self._covariance is not None

    def gap(self, i: int, j: int) -> float:
        """The band that two blanks need, points."""
        if self._settled[i] == self._settled[j]:
            return 0.0
        apart, variance = abs(self._mc[i] - self._mc[j]), self._variance[i] + self._variance[j]
        if apart >= _NOWHERE / 2:
            return inf
        if self._covariance is not None:
            variance = max(0.0, variance - 2 * self._covariance(*sorted((self._keys[i], self._keys[j]))))
        return apart + self._z * sqrt(variance)

    def row(self, i: int, part: slice) -> list[float]:
        mc, settled, z, variance = self._mc[i], self._settled[i], self._z, self._counted[i]
        if self.bounded:
            both = zip(self._settled[part], self._mc[part], strict=True)
            return [0.0 if s == settled else abs(mc - m) for s, m in both]
        others = zip(self._settled[part], self._mc[part], self._counted[part], strict=True)
        return [0.0 if s == settled else abs(mc - m) + z * sqrt(variance + v) for s, m, v in others]

    def array(self) -> OfPairs:
        import numpy as np

        mc, variance, settled = np.array(self._mc), np.array(self._counted), np.array(self._settled)

        def of(i: Array, j: Array) -> Array:
            gap = np.abs(mc[i] - mc[j]) + self._z * np.sqrt(variance[i] + variance[j])
            return np.where(settled[i] == settled[j], 0.0, gap)

        return of


def _long_stable(blank: Blank, ask: Ask) -> bool:
    if ask.on is None or blank.stable_since is None or blank.place is None:
        return False
    return (ask.on - blank.stable_since).days >= ask.together_days
