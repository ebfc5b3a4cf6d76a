"""The colour term of the pair cost: CIEDE2000, and a lower bound of it that costs a tenth of its time."""

from __future__ import annotations

from collections.abc import Sequence
from math import dist, hypot, sin, sqrt, tau
from typing import Any

from stock.wood.colour import ciede2000
from stock.wood.pair_terms import OfPairs, Term, numbered

Lab = tuple[float, float, float]

_ROUNDED = 1.75  # each of three channels is rounded by a half at most at both ends: sqrt(3) in all


class Colour(Term):
    """Points for the difference of two colours, which count only if they were read on like surfaces: fresh-planed with
    fresh-planed. Anything else counts as not known.

    The bound. With the L* of the pool, dL / S_L is at least dL over the greatest S_L there can be. The chroma and hue
    parts are divided by S_C <= 1 + 0.045 C' and S_H <= 1 + 0.015 x 1.93 C', so by no more than 1 + 0.045 C' of the
    greatest chroma, and dC'^2 + dH'^2 is da'^2 + db^2, which is at least da^2 + db^2. The rotation term takes off no
    more than |R_T| / 2 of it: half the sine of 60 degrees times R_C <= 2, and where no b* is below 0 all mean hues lie
    from 0 to 180 degrees, 95 or more from the blue where the term acts, so that it is below 0.00001.

    Args:
        seen: of each blank its L*a*b* and the surface, None if not known.
        scale: points for a difference of 1.
        unknown: points if the two cannot be compared.
    """

    bounded = True

    def __init__(self, seen: Sequence[tuple[Lab | None, str | None]], scale: float, unknown: float) -> None:
        self._scale, self._unknown = 1000 * scale, round(1000 * unknown)
        self._labs = [lab if surface else None for lab, surface in seen]
        self._surfaces = numbered([surface if lab else None for lab, surface in seen])
        known = [lab for lab in self._labs if lab is not None]
        self.bounded = bool(known)
        along, across = _shares(known)
        self._scaled = [_scaled(lab, self._scale * along, self._scale * across) for lab in self._labs]
        self._alike = bool(known) and len(set(self._surfaces)) == 1
        spans = [max(c) - min(c) for c in zip(*known, strict=True)] if known else [0.0]
        self.most = max(self._unknown, round(3 * self._scale * hypot(*spans)))
        self._reckoned: dict[tuple[int, int], int] = {}

    def exact(self, i: int, j: int) -> int:
        points = self._reckoned.get((i, j))
        if points is None:
            one, other = self._labs[i], self._labs[j]
            if one is None or other is None or self._surfaces[i] != self._surfaces[j]:
                return self._unknown
            points = self._reckoned[i, j] = round(self._scale * ciede2000(one, other))
        return points

    def row(self, i: int, part: slice) -> list[int]:
        here, unknown, less = self._scaled[i], self._unknown, _ROUNDED
        if self._alike:
            return [int(d) if (d := dist(here, lab) - less) > 0 else 0 for lab in self._scaled[part]]
        own, others = self._surfaces[i], zip(self._surfaces[part], self._scaled[part], strict=True)
        return [unknown if s != own else int(d) if (d := dist(here, lab) - less) > 0 else 0 for s, lab in others]

    def array(self) -> OfPairs:
        import numpy as np

        x, y, z = np.array(self._scaled).reshape(-1, 3).T
        surfaces = np.array(self._surfaces, dtype=np.int64)

        def of(i: Any, j: Any) -> Any:
            squares = (x[i] - x[j]) ** 2 + (y[i] - y[j]) ** 2 + (z[i] - z[j]) ** 2
            gap = np.maximum(np.sqrt(squares) - _ROUNDED, 0.0).astype(np.int64)
            return gap if self._alike else np.where(surfaces[i] == surfaces[j], gap, self._unknown)

        return of

    def on_a_line(self) -> tuple[Sequence[float], float] | None:
        return [light for light, _, _ in self._scaled], self.most if self._alike else self._unknown


def _scaled(lab: Lab | None, along: float, across: float) -> Lab:
    """The channels as whole numbers, of which the roots of sums of squares are never near a quarter: the bound is then
    the same however it is computed."""
    if lab is None:
        return 0.0, 0.0, 0.0
    return float(round(along * lab[0])), float(round(across * lab[1])), float(round(across * lab[2]))


def _shares(labs: Sequence[Lab]) -> tuple[float, float]:
    """What is left at least of a difference in L*, and of one in a* and b*."""
    if not labs:
        return 1.0, 1.0
    lightness = max((lab[0] - 50) ** 2 for lab in labs)
    s_l = 1 + 0.015 * lightness / sqrt(20 + lightness)
    chroma = max(hypot(1.5 * a, b) for _, a, b in labs)
    turned = 1 - 1e-5 if min(b for _, _, b in labs) >= 0 else 1 - sin(tau / 6)
    return 1 / s_l, sqrt(turned) / (1 + 0.045 * chroma)
