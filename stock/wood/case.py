"""One piece before the judge: what is known of it, and what follows from that.

The verdicts themselves, and the rules in words, are in `stock.wood.readiness`.
"""

from dataclasses import dataclass
from datetime import date
from math import isfinite
from typing import Literal

from stock.errors import Impossible
from stock.wood.steady import Reading, Steadiness, comparable, steady

Cover = Literal["open", "roofed", "unheated", "heated"]

SLOW_PCT_MONTH = 1.0  # a piece at its target may lose this much of its weight a month
HALF_SWING_PCT = 2.0  # of a place whose yearly swing is not recorded; common practice, no source
LEEWAY_PCT = 1.0  # of an upper end beyond the band, and of wood beyond the swing of its place
ROUGH_PCT = 5.0  # an estimate of more points either way that does not rule the target out decides nothing


@dataclass(frozen=True, slots=True)
class Case:
    """All that a verdict rests on. Moisture in percent of oven-dry mass.

    Attributes:
        readings: the weighings, net and carried over trims.
        on: the day of asking; weighings after it are not looked at.
        target_pct: moisture content wanted.
        target_band: points about it that will do.
        mc: (median, low, high) at the last weighing, 80 % interval; None if nothing tells it.
        emc_pct: what the air of its place keeps wood at now; None if no air is recorded.
        emc_low_pct, emc_high_pct: lowest and highest of that over the year; None if not recorded.
        place_cover: how the place is covered; None if not known, which counts as unheated.
        moved_on: day of its last move; None if it never moved.
        waxed_all_over: coated on all faces.
        contradictions: sentences about facts that cannot all be true.
        smallest_mm: smallest side, mm; None, not known, counts as thick.
        winter: whether it is, or the weighings fall in, the cold half of the year.
    """

    readings: tuple[Reading, ...]
    on: date
    target_pct: float
    target_band: float = 2.0
    mc: tuple[float, float, float] | None = None
    emc_pct: float | None = None
    emc_low_pct: float | None = None
    emc_high_pct: float | None = None
    place_cover: Cover | None = None
    moved_on: date | None = None
    waxed_all_over: bool = False
    contradictions: tuple[str, ...] = ()
    smallest_mm: float | None = None
    winter: bool = False

    def __post_init__(self) -> None:
        figures = (
            self.target_pct,
            self.target_band,
            *(self.mc or ()),
            self.emc_pct,
            self.emc_low_pct,
            self.emc_high_pct,
        )
        for value in figures:
            if value is not None and not isfinite(value):
                raise Impossible(f"a moisture content of {value:g} % cannot be judged", hint="Give numbers.")


class Look:
    """A case with what follows from it, for the rules to ask.

    `mc` is the moisture content as far as it may decide: None too where it is `rough`, more than 5 points to its upper
    end and the target not ruled out. Such an estimate is shown, and nothing is judged by it.
    """

    def __init__(self, case: Case) -> None:
        self.case = case
        self.known = [one for one in case.readings if one.on <= case.on]
        last = max((one.on for one in self.known), default=case.on)
        self.age_days = (case.on - last).days if self.known else None
        moved_on = case.moved_on if case.moved_on and case.moved_on <= case.on else date.min
        self.moved_after = moved_on > last
        here = [one for one in self.known if one.on >= moved_on]
        before, now = self._steady(self.known), self._steady(here)
        looked = before if not here or (now.word == "too few" and before.word != "steady") else now
        self.looked, self.word = looked, looked.word
        self.since_move = " since it moved" if looked is now and 0 < len(here) < len(self.known) else ""
        self.slow = (looked.loss_pct_month or 0) <= SLOW_PCT_MONTH
        self.swing, self.air = (None, None) if self.moved_after else _air(case)
        settled = bool(here) and now.word == "steady" and not case.waxed_all_over
        self.settled_air = self.air if settled else None
        self.reach = case.target_pct + case.target_band
        self.clearly_wet = case.mc is not None and case.mc[1] > self.reach + LEEWAY_PCT
        self.rough = case.mc is not None and not self.clearly_wet and case.mc[2] - case.mc[0] > ROUGH_PCT
        self.mc = None if self.rough else case.mc
        self.at_target = self.mc is not None and self.mc[0] <= self.reach and self.mc[2] <= self.reach + LEEWAY_PCT
        damper = case.emc_pct > self.reach if case.emc_pct is not None else case.place_cover != "heated"
        self.now_in_damper_air = self.moved_after and self.at_target and damper
        self.too_dry = self.mc is not None and self.mc[0] < case.target_pct - case.target_band

    def _steady(self, readings: list[Reading]) -> Steadiness:
        case = self.case
        return steady(
            readings,
            smallest_mm=case.smallest_mm,
            coated_all_over=case.waxed_all_over,
            cold_season_unheated=case.winter and case.place_cover != "heated",
            on=case.on,
        )

    def seasonal(self) -> bool:
        """Whether a gain or loss is the yearly swing of a piece in balance near the target (rule `in balance`)."""
        case, looked = self.case, self.looked
        if looked.word not in ("losing", "gaining") or case.waxed_all_over:
            return False
        course = comparable(self.known, case.on)
        part, last = course[-looked.weighings :], course[-1]
        if looked.word == "losing":
            then_g = max(one.net_g for one in part)
            if not any(one.net_g <= last.net_g + 2 * last.step for one in course[: -looked.weighings]):
                return False
        else:
            then_g = min(one.net_g for one in part)
        if self.mc is None:
            change = abs(then_g / last.net_g - 1) * (100 + case.target_pct)
            return self.air_will_do() and self.swing is not None and change <= self.swing[1] - self.swing[0]
        if self.swing is None:
            return self.at_target and abs(looked.loss_pct_month or 0) <= SLOW_PCT_MONTH
        low, high = self.swing[0] - LEEWAY_PCT, self.swing[1] + LEEWAY_PCT
        mc_then = (100 + self.mc[0]) * then_g / last.net_g - 100
        near = self.at_target or (self.air_will_do() and self.mc[0] <= self.reach + LEEWAY_PCT)
        return near and low <= self.mc[0] and max(self.mc[0], mc_then) <= high

    def within_swing(self) -> bool:
        """Whether the moisture content lies within what the place does to wood over the year, give or take a point."""
        if self.swing is None or self.mc is None:
            return False
        return self.swing[0] - LEEWAY_PCT <= self.mc[0] <= self.swing[1] + LEEWAY_PCT

    def air_will_do(self) -> bool:
        """Whether the middle of what the place's air does to wood in a year lies within the band of the target."""
        if self.swing is None:
            return False
        return abs(sum(self.swing) / 2 - self.case.target_pct) <= self.case.target_band

    def moisture(self) -> str:
        """The moisture content and the target in words, with no more digits than are known."""
        if self.case.mc is None:
            return f"moisture not known, target {self.case.target_pct:.3g} %"
        median, low, high = self.case.mc
        if self.rough:
            return f"roughly {low:.0f}-{high:.0f} %, target {self.case.target_pct:.3g} %"
        digits = 1 if high - low < 2 else 0
        return f"{median:.{digits}f} % ({low:.{digits}f}-{high:.{digits}f}), target {self.case.target_pct:.3g} %"


def _air(case: Case) -> tuple[tuple[float, float] | None, float | None]:
    """The yearly swing of what the place's air keeps wood at, and that at present; None where nothing tells."""
    if case.emc_low_pct is not None and case.emc_high_pct is not None:
        swing = (case.emc_low_pct, case.emc_high_pct)
        return swing, sum(swing) / 2 if case.emc_pct is None else case.emc_pct
    if case.emc_pct is None:
        return None, None
    return (case.emc_pct - HALF_SWING_PCT, case.emc_pct + HALF_SWING_PCT), case.emc_pct
