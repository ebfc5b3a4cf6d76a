"""Draws into answers: quantiles, days of arrival, chances, and the curve to draw."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stock.wood.drying import (
    MONTH_DAYS,
    STAYS_DAYS,
    AboveAir,
    Below,
    Dates,
    LosingLess,
    Lost,
    Point,
    Reached,
    Spread,
    Target,
)
from stock.wood.forecast_batch import LN_DRY
from stock.wood.forecast_draws import Draws

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Flags = NDArray[np.bool_]

NO_LOSS_YET_G = 1e18  # before thirty days have passed
CHANCES = (0.025, 0.10, 0.50, 0.90, 0.975)


class Ways:
    """The ways one piece may dry: the draws of it, cut out of a batch.

    Args:
        draws: of a batch.
        piece: its number there.
        nodes: ends of the steps, days since its first weighing.
        last_at: day of its last weighing.
        horizon_days: how long after that an arrival is looked for.
        emc_year_pct: mean over the year after it of what its air keeps wood at, percent.
    """

    def __init__(
        self, draws: Draws, piece: int, nodes: Floats, last_at: float, horizon_days: float, emc_year_pct: float
    ) -> None:
        import numpy as np

        self.weight = np.ascontiguousarray(draws.weight[:, piece])
        self.moist = np.ascontiguousarray(draws.moist[:, :, piece])
        self.now = np.ascontiguousarray(draws.now[:, piece])
        self.middle = np.ascontiguousarray(draws.middle[:, piece])
        self.theta = np.ascontiguousarray(draws.theta[:, :, piece])
        self.dry_g = np.exp(self.theta[LN_DRY])
        self.nodes, self.last_at, self.until = nodes, last_at, last_at + horizon_days
        self.emc_year_pct = emc_year_pct

    def spread(self, values: Floats) -> Spread:
        """What a number may be."""
        return Spread(*self._quantiles(values))

    def mean_sd(self, values: Floats) -> tuple[float, float]:
        """Mean and standard deviation of a number."""
        mean = float((self.weight * values).sum())
        return mean, float((self.weight * (values - mean) ** 2).sum()) ** 0.5

    def reached(self, target: Target, first_day: float) -> Reached:
        """When a target is reached, days counted from `first_day` at the first weighing."""
        import numpy as np

        course, level, mc_pct = self._asked(target)
        day = self._arrival(course, level)
        here = np.isfinite(day)
        order = np.argsort(day, kind="stable")
        arrivals = tuple(
            (first_day + at, chance)
            for at, chance in zip(day[order].tolist(), self.weight[order].tolist(), strict=True)
            if at < np.inf
        )
        dates = (None if at == np.inf else first_day + at for at in self._quantiles(day))
        never = float(self.weight[~here].sum())
        stays = None
        arriving = float(self.weight[here].sum())  # zero also when the draws that arrive have no weight left
        if arriving > 0 and not isinstance(target, Lost | LosingLess):
            stays = float(self.weight[here & self._stays(course, level, day)].sum()) / arriving
        return Reached(target, mc_pct, Dates(*dates), never, stays, arrivals)

    def points(self, days: Sequence[float], first_day: float) -> tuple[Point, ...]:
        """The course on some days; a day before the first weighing or beyond the air is moved to it."""
        found = []
        for day in days:
            moist = self._on(day - first_day)
            found.append(Point(day, self.spread(100 * moist), self.spread(self.dry_g * (1 + moist))))
        return tuple(found)

    def _on(self, at: float) -> Floats:
        import numpy as np

        k = int(np.clip(np.searchsorted(self.nodes, at) - 1, 0, len(self.nodes) - 2))
        share = min(max((at - self.nodes[k]) / (self.nodes[k + 1] - self.nodes[k]), 0.0), 1.0)
        found: Floats = self.moist[k] + share * (self.moist[k + 1] - self.moist[k])
        return found

    def _asked(self, target: Target) -> tuple[Floats, Floats, float | None]:
        """What must fall, (nodes, draws), to what level, (draws,), and the moisture content meant, percent."""
        import numpy as np

        if isinstance(target, Below):
            return self.moist, np.full(len(self.now), target.mc_pct / 100), target.mc_pct
        if isinstance(target, AboveAir):
            mc_pct = self.emc_year_pct + target.points
            return self.moist, np.full(len(self.now), mc_pct / 100), mc_pct
        if isinstance(target, Lost):
            return self.moist, self._on(self.last_at) - target.g / self.dry_g, None
        loss = np.full_like(self.moist, NO_LOSS_YET_G)
        for k, node in enumerate(self.nodes):
            if node >= MONTH_DAYS:
                loss[k] = (self._on(node - MONTH_DAYS) - self.moist[k]) * self.dry_g
        return loss, np.full(len(self.now), target.g_month), None

    def _arrival(self, course: Floats, level: Floats) -> Floats:
        """The first day from the last weighing on when a course is at or under its level; inf if not by the horizon."""
        import numpy as np

        nodes, draws = self.nodes, np.arange(len(level))
        under = (course[1:] <= level) & (nodes[1:] > self.last_at)[:, None]
        k = np.argmax(under, axis=0)
        before, after = course[k, draws], course[k + 1, draws]
        share = np.clip((before - level) / np.maximum(before - after, 1e-12), 0, 1)
        day = np.maximum(nodes[k] + share * (nodes[k + 1] - nodes[k]), self.last_at)
        return np.where(under[k, draws] & (day <= self.until), day, np.inf)

    def _stays(self, course: Floats, level: Floats, day: Floats) -> Flags:
        """Whether a course stays at or under its level for sixty days after the day it came to it."""
        import numpy as np

        nodes = self.nodes[:, None]
        over = (course > level + 1e-9) & (nodes > day) & (nodes <= day + STAYS_DAYS)
        return np.logical_not(over.any(0))

    def _quantiles(self, values: Floats) -> list[float]:
        import numpy as np

        order = np.argsort(values, kind="stable")
        under = np.cumsum(self.weight[order])
        at = [int(np.argmax(under >= min(chance, 1 - 1e-9) * under[-1])) for chance in CHANCES]
        found: list[float] = values[order[at]].tolist()
        return found
