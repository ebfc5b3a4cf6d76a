"""How near two moisture contents must be, and how near two blanks are, as far as that is known."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf, sqrt
from typing import TYPE_CHECKING

from stock.wood.likeness_terms import Array, OfPairs, numbered

if TYPE_CHECKING:
    from stock.wood.likeness import Ask, Blank, Covariance

SD_UNKNOWN_PCT = 1.0  # of a moisture content that came without one: that of a good meter; Wood Handbook, ch. 13
_BARELY = 1e-9  # two points are within two points, whatever the last binary digit says


class Band:
    """How wide a moisture band each two of some blanks need, points, and in `most` how wide it may be.

    |difference| + z sd(difference), with var(difference) = var(a) + var(b) - 2 cov(a, b); infinite if either is
    not known. 0 for two that have lain stable in one place long enough: they are in balance with the same air, whatever
    the estimates say.
    """

    def __init__(self, blanks: Sequence[Blank], ask: Ask, covariance: Covariance | None) -> None:
        self.most, self._z, self._covariance = ask.band_pct + _BARELY, ask.z, covariance
        self._keys = [b.key for b in blanks]
        self._mc = [b.mc_pct or 0.0 for b in blanks]
        sds = [SD_UNKNOWN_PCT if b.mc_sd_pct is None else b.mc_sd_pct for b in blanks]
        self._variance = [inf if b.mc_pct is None else sd**2 for b, sd in zip(blanks, sds, strict=True)]
        self._settled = numbered([b.place if _long_stable(b, ask) else None for b in blanks])

    def _shared(self, a: int, b: int) -> float:
        """Twice the covariance of the errors of two blanks."""
        assert self._covariance is not None
        return 2 * self._covariance(*sorted((self._keys[a], self._keys[b])))

    def row(self, i: int, part: slice) -> list[float]:
        mc, variance, settled, z = self._mc[i], self._variance[i], self._settled[i], self._z
        variances: Sequence[float] = [variance + v for v in self._variance[part]]
        if self._covariance is not None:
            others = range(len(self._mc))[part]
            variances = [max(0.0, v - self._shared(i, j)) for v, j in zip(variances, others, strict=True)]
        return [
            0.0 if s == settled else abs(mc - m) + z * sqrt(v)
            for s, m, v in zip(self._settled[part], self._mc[part], variances, strict=True)
        ]

    def array(self) -> OfPairs:
        import numpy as np

        mc, variance, settled = np.array(self._mc), np.array(self._variance), np.array(self._settled)

        def of(i: Array, j: Array) -> Array:
            both = variance[i] + variance[j]
            if self._covariance is not None:
                shared: Array = np.frompyfunc(self._shared, 2, 1)(i, j)
                both = np.maximum(0.0, both - shared.astype(float))
            return np.where(settled[i] == settled[j], 0.0, np.abs(mc[i] - mc[j]) + self._z * np.sqrt(both))

        return of


def _long_stable(blank: Blank, ask: Ask) -> bool:
    if ask.on is None or blank.stable_since is None or blank.place is None:
        return False
    return (ask.on - blank.stable_since).days >= ask.together_days
