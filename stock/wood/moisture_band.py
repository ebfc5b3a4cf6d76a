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

    Covariances are asked for pair by pair, and asking is dear. As the sd of a difference lies between the difference
    and the sum of two sd, they are asked only where that leaves it open whether two lie within the band.

    Attributes:
        bounded: whether `array` lets in pairs that `allowed` does not.
    """

    def __init__(self, blanks: Sequence[Blank], ask: Ask, covariance: Covariance | None) -> None:
        self.most, self._z, self._covariance = ask.band_pct + _BARELY, ask.z, covariance
        self._keys = [b.key for b in blanks]
        # what is not known lies further from everything than any band reaches
        self._mc = [_NOWHERE * (i + 1) if b.mc_pct is None else b.mc_pct for i, b in enumerate(blanks)]
        sds = [SD_UNKNOWN_PCT if b.mc_sd_pct is None else b.mc_sd_pct for b in blanks]
        self._sd = [0.0 if b.mc_pct is None else sd for b, sd in zip(blanks, sds, strict=True)]
        self._variance = [sd**2 for sd in self._sd]
        self._settled = numbered([b.place if _long_stable(b, ask) else None for b in blanks])
        self.bounded = covariance is not None

    def gap(self, i: int, j: int) -> float:
        """The band that two blanks need, points."""
        if self._settled[i] == self._settled[j]:
            return 0.0
        apart, one, other = abs(self._mc[i] - self._mc[j]), self._sd[i], self._sd[j]
        if apart >= _NOWHERE / 2:
            return inf
        variance = self._variance[i] + self._variance[j]
        if self._covariance is not None:
            shared = self._covariance(*sorted((self._keys[i], self._keys[j])))
            variance = max(0.0, variance - 2 * min(max(shared, -one * other), one * other))
        return apart + self._z * sqrt(variance)

    def allowed(self, i: int, j: int) -> bool:
        return self.gap(i, j) <= self.most

    def row(self, i: int, part: slice) -> list[bool]:
        """Whether blank i and each of some others lie within the band."""
        mc, sd, settled, z, most = self._mc[i], self._sd[i], self._settled[i], self._z, self.most
        if self._covariance is None:
            variance, others = (
                self._variance[i],
                zip(self._settled[part], self._mc[part], self._variance[part], strict=True),
            )
            return [s == settled or abs(mc - m) + z * sqrt(variance + v) <= most for s, m, v in others]
        others = zip(self._settled[part], self._mc[part], self._sd[part], strict=True)
        return [
            s == settled
            or (gap := abs(mc - m)) + z * (sd + e) <= most
            or (gap + z * abs(sd - e) <= most and self.allowed(i, j))
            for j, (s, m, e) in enumerate(others, part.start or 0)
        ]

    def array(self) -> OfPairs:
        """Whether two arrays of blanks lie within the band; with covariances, whether it is not ruled out."""
        import numpy as np

        mc, sd, settled = np.array(self._mc), np.array(self._sd), np.array(self._settled)
        variance = np.array(self._variance)

        def of(i: Array, j: Array) -> Array:
            spread = np.abs(sd[i] - sd[j]) if self.bounded else np.sqrt(variance[i] + variance[j])
            return (settled[i] == settled[j]) | (np.abs(mc[i] - mc[j]) + self._z * spread <= self.most)

        return of

    def settle(self) -> OfPairs:
        """Whether pairs that `array` lets in lie within the band, for two arrays of the same length."""
        import numpy as np

        mc, sd, settled = np.array(self._mc), np.array(self._sd), np.array(self._settled)
        told: dict[tuple[int, int], bool] = {}

        def of(i: Array, j: Array) -> Array:
            sure = (settled[i] == settled[j]) | (np.abs(mc[i] - mc[j]) + self._z * (sd[i] + sd[j]) <= self.most)
            for at in np.flatnonzero(~sure).tolist():
                two = (int(i[at]), int(j[at])) if i[at] < j[at] else (int(j[at]), int(i[at]))
                if two not in told:
                    told[two] = self.allowed(*two)
                sure[at] = told[two]
            return sure

        return of


def _long_stable(blank: Blank, ask: Ask) -> bool:
    if ask.on is None or blank.stable_since is None or blank.place is None:
        return False
    return (ask.on - blank.stable_since).days >= ask.together_days
