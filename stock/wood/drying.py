"""A piece that dries: what is known of it, what is asked of its future, and what can be answered.

The answers are made in `stock.wood.forecast`. Nothing here computes much, and nothing heavy is loaded.

Days are counted from any day one likes, the same for the course, the air, the questions and the answers; a day's
ordinal number will do. Masses are net of coats, in g, and made comparable with the piece as it is now. Moisture content
is percent of oven-dry mass.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import inf, isfinite, log
from typing import NamedTuple

from stock.errors import Impossible

MONTH_DAYS = 30
STAYS_DAYS = 60  # how long a piece must stay below its target to have reached it for good

# A piece of unknown wood, inside the forecast alone, never shown as evidence: our own choice, no source.
UNKNOWN_DENSITY, UNKNOWN_DENSITY_SD = 0.55, 0.30  # g/cm3, and its sd in ln
VOLUME_SD = 0.10  # of wood of known density, in ln: about 8 % within a species, 5 % within a tree, 2 % for the size
LN_SLOWEST = 3.0  # a wood twenty times slower, or faster, than its density tells is a slip


@dataclass(frozen=True, slots=True)
class Course:
    """The weighings of one piece through one time of drying, unbroken by planing, coating, soaking or decay.

    Attributes:
        days: day of each weighing, in any order; those of one day are averaged.
        net_g: net mass, g: wood and water alone, earlier ones multiplied by the share that a trim left.
        sd_g: standard deviation of each, g: the scales alone (`moisture.balance_sd_g`).
        side_mm: side of the square, mm (`shells.equivalent_square_mm` for a rectangle); None if not known.
        volume_cm3: green volume, cm3; None if not known.
        density_g_cm3: basic density of its wood, g/cm3; None if not known.
        ln_dry: mean and sd of ln of the oven-dry mass in g, from all evidence but these weighings' own course (no
            "settled at the air's moisture"); None takes it from volume and density.
        shared_g: errors that several weighings share, for each the g by which one sd of it moves each weighing: a coat
            of 12 +- 3 g is (3, 3, 3); a trim known to 2 % before the third is (17, 16, 0).
        ln_slower: how much longer its wood takes than size and density tell, in ln (`drying_rates.ln_slower`).
        coated: waxed or wrapped all over, so that the surface holds it back.
        in_bark: a log, or a half in its bark.
    """

    days: tuple[float, ...]
    net_g: tuple[float, ...]
    sd_g: tuple[float, ...]
    side_mm: float | None = None
    volume_cm3: float | None = None
    density_g_cm3: float | None = None
    ln_dry: tuple[float, float] | None = None
    shared_g: tuple[tuple[float, ...], ...] = ()
    ln_slower: float = 0.0
    coated: bool = False
    in_bark: bool = False

    def __post_init__(self) -> None:
        count = len(self.days)
        if not all(len(one) == count for one in (self.net_g, self.sd_g, *self.shared_g)):
            raise Impossible("a course needs one day, mass and spread for each weighing", hint="A fault of the caller.")
        _numbers("a day", self.days, -inf)
        _numbers("a net mass", self.net_g, 0)
        _numbers("the spread of a mass", self.sd_g, 0)
        _numbers("how much slower it dries", (self.ln_slower,), -LN_SLOWEST, LN_SLOWEST)
        for shared in self.shared_g:
            _numbers("a shared error", shared, -inf)
        sizes = (self.side_mm, self.volume_cm3, self.density_g_cm3)
        _numbers("a size or density", [one for one in sizes if one is not None], 0)
        if self.ln_dry is not None:
            _numbers("an oven-dry mass", self.ln_dry[:1], -inf)
            _numbers("the spread of an oven-dry mass", self.ln_dry[1:], 0)

    @property
    def why_not(self) -> str:
        """Why no forecast can be made of it; empty if one can."""
        if self.in_bark:
            return "a log or a half in its bark dries in ways no forecast here covers"
        if not self.days:
            return "it was never weighed"
        if self.side_mm is None:
            return "its square is not known, and the time of drying goes by it"
        if self.ln_dry is None and self.volume_cm3 is None:
            return "nothing tells its oven-dry mass: no section of it or its kin, and no size"
        return ""

    def ln_dry_believed(self) -> tuple[float, float]:
        """ln of the oven-dry mass in g, and its sd, before its weighings are looked at; `why_not` must be empty."""
        if self.ln_dry is not None:
            return self.ln_dry
        assert self.volume_cm3 is not None
        if self.density_g_cm3 is None:
            return log(self.volume_cm3 * UNKNOWN_DENSITY), UNKNOWN_DENSITY_SD
        return log(self.volume_cm3 * self.density_g_cm3), VOLUME_SD

    def ln_density_believed(self) -> tuple[float, float]:
        """ln of the basic density in g/cm3 by which its time of drying is guessed, and how ill that is known."""
        if self.density_g_cm3 is not None:
            return log(self.density_g_cm3), 0.0  # its scatter is in the prior of tau
        if self.ln_dry is not None and self.volume_cm3 is not None:
            return self.ln_dry[0] - log(self.volume_cm3), self.ln_dry[1]
        return log(UNKNOWN_DENSITY), UNKNOWN_DENSITY_SD


@dataclass(frozen=True, slots=True)
class Air:
    """The air about a piece through its course and beyond: straight lines between the days given, level outside them.

    Attributes:
        days: days, rising; a move is two days close together.
        emc_pct: equilibrium moisture content, percent of oven-dry mass.
        temp_c: temperature, degC.
        emc_sd_pct: how far off all of `emc_pct` may be together, sd in points: 1 if measured in the place, 2 if it is
            a guess or of the district.
    """

    days: tuple[float, ...]
    emc_pct: tuple[float, ...]
    temp_c: tuple[float, ...]
    emc_sd_pct: float = 1.0

    def __post_init__(self) -> None:
        if not len(self.days) == len(self.emc_pct) == len(self.temp_c) > 0:
            raise Impossible("air needs a day, a moisture and a temperature each", hint="A fault of the caller.")
        _numbers("a day", self.days, -inf)
        _numbers("an equilibrium moisture content", self.emc_pct, 0, 40)
        _numbers("a temperature", self.temp_c, -90, 130)
        _numbers("the spread of an equilibrium moisture content", (self.emc_sd_pct,), 0, 40)
        if list(self.days) != sorted(self.days):
            raise Impossible("the days of air must rise", hint="A fault of the caller.")


@dataclass(frozen=True, slots=True)
class Below:
    """A target: a mean moisture content, percent of oven-dry mass."""

    mc_pct: float


@dataclass(frozen=True, slots=True)
class AboveAir:
    """A target: so many points above the mean, over the year after the last weighing, of what its air keeps wood at."""

    points: float


@dataclass(frozen=True, slots=True)
class LosingLess:
    """A target: less than so many g lost in the thirty days before. No proof of being dry: winter stills it too."""

    g_month: float


@dataclass(frozen=True, slots=True)
class Lost:
    """A target: so many g lighter than at the last weighing, such as a few steps of the scales: worth weighing."""

    g: float


Target = Below | AboveAir | LosingLess | Lost


@dataclass(frozen=True, slots=True)
class DryingPrior:
    """What is believed of the drying of squares before one is weighed, and of the law itself.

    Attributes:
        ln_tau, ln_tau_sd: of a 50 mm square of 0.55 g/cm3: tau in days at 20 degC; 85 days, give or take a factor 1.8.
        ln_emission, ln_emission_sd: of how well the air takes water off a surface, beside 1.2 mm/day; it is a trait of
            the shop, of how wood is stacked there.
        misfit: how far a weight may lie off the law half way, as a share of the oven-dry mass for each unit of u.
        pace_sd: how differently a piece may dry from now on, sd in ln.
        pieces: how many finished pieces of one's own it rests on.

    Source:
        Fits to simulated squares; `misfit` and `pace_sd` so that intervals hold the truth of others, solved by other
        laws, as often as they say. One's own finished pieces move the first four (`drying_rates.learn`).
    """

    ln_tau: float = 4.444
    ln_tau_sd: float = 0.61
    ln_emission: float = 0.0
    ln_emission_sd: float = 0.8
    misfit: float = 0.12
    pace_sd: float = 0.20
    pieces: int = 0


NEW_USER = DryingPrior()


@dataclass(frozen=True, slots=True)
class Drying:
    """One piece and what is asked of it: its course, its air, the targets, and the days its curve is wanted for."""

    course: Course
    air: Air
    targets: tuple[Target, ...] = ()
    curve_days: tuple[float, ...] = ()
    prior: DryingPrior = NEW_USER


class Spread(NamedTuple):
    """A number not known exactly: four chances of five that it lies from `low` to `high`, 19 of 20 from `least` to
    `most`, evens that it is below `median`."""

    least: float
    low: float
    median: float
    high: float
    most: float


class Dates(NamedTuple):
    """The day by which something is reached with a chance of 2.5, 10, 50, 90 and 97.5 %; None: never, as far as can be
    seen in this place."""

    first: float | None
    early: float | None
    likely: float | None
    late: float | None
    last: float | None


@dataclass(frozen=True, slots=True)
class Reached:
    """When a target is reached.

    Attributes:
        target: as asked.
        mc_pct: the moisture content that was meant, percent; None for a loss of weight.
        days: the day of it.
        never: the chance that it is not reached in this place within the horizon.
        stays: of all ways to reach it, the share that also stays below it for the next 60 days; None if none does.
    """

    target: Target
    mc_pct: float | None
    days: Dates
    never: float
    stays: float | None
    _arrivals: tuple[tuple[float, float], ...]  # (day, chance of just then), rising

    def p_by(self, day: float) -> float:
        """The chance, 0 to 1, that it is reached by a day."""
        return min(1.0, sum(chance for at, chance in self._arrivals if at <= day))


class Point(NamedTuple):
    """The course on one day, as fitted or foretold: moisture content, percent, and net mass, g."""

    day: float
    mc_pct: Spread
    net_g: Spread


@dataclass(frozen=True, slots=True)
class Forecast:
    """What can be said of a piece.

    Attributes:
        why: why nothing can be said; empty if something can.
        weighings: days on which it was weighed.
        last_day: the day of the last of them.
        mc_pct: mean moisture content on that day, percent: the weighings, the oven-dry mass and the law together.
        middle_pct: moisture content of its middle, a third of the width, on that day, percent.
        ln_dry: mean and sd of ln of the oven-dry mass in g, now that its course was looked at.
        ln_tau, ln_emission: mean and sd of ln of its time of drying, brought to a 50 mm square of 0.55 g/cm3 and of no
            slow wood, and of what its surface lets through (`DryingPrior`).
        reached: of each target asked, in order.
        curve: of each day asked, in order.
        doubts: sentences on weighings that fit ill; weigh again before believing the dates.
        effective: how many independent draws the chances are worth.
    """

    why: str = ""
    weighings: int = 0
    last_day: float | None = None
    mc_pct: Spread | None = None
    middle_pct: Spread | None = None
    ln_dry: tuple[float, float] | None = None
    ln_tau: tuple[float, float] | None = None
    ln_emission: tuple[float, float] | None = None
    reached: tuple[Reached, ...] = ()
    curve: tuple[Point, ...] = ()
    doubts: tuple[str, ...] = ()
    effective: float = 0.0


def _numbers(what: str, values: Iterable[float] | Sequence[float], low: float, high: float = inf) -> None:
    """Raise Impossible for a value that is no finite number between the limits, or is the lower one."""
    for value in values:
        if not (isfinite(value) and low < value <= high):
            raise Impossible(f"{what} of {value:g} cannot be used", hint="Look at the facts it comes from.")
