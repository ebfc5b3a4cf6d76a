"""Weighings that people published (tests/published/weigh_ins.csv), as courses for a forecast.

Nobody dried a piece in an oven, and few said how large theirs was or what the air was like: sizes, green moisture and
air are guessed here, once, from what is usual. Firewood is short and its ends are open, which a forecast knows nothing
of. So the series tell whether forecasts of real wood are sane, no more.
"""

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import groupby
from math import cos, hypot, log, pi, sqrt
from pathlib import Path

from stock.wood.drying import Air, Course, Drying, Point
from stock.wood.drying_rates import ln_slower
from stock.wood.forecast import forecast
from stock.wood.shells import equivalent_square_mm

GRAMS = {"g": 1.0, "lb": 453.59237}
GREEN_PCT, GREEN_SD_PCT = 70, 17  # of any wood, of which nothing is known
GRAVITY = {"oak": 0.56, "black oak": 0.56, "red oak": 0.56, "birch": 0.48}
LENGTH_MM = 16 * 25.4  # of firewood
SPLIT_MM = {"A": (3 * 25.4, 5 * 25.4)}  # where it was told; else a square prism of firewood length
METER_SD_PCT, METER_PIECE_G = 2.0, 1000.0  # moisture by a meter, as weighings of a piece of 1 kg oven-dry
BEGUN = {"B": 262, "C": 58, "D": 105, "E": 288, "E2": 288, "G": 54}  # day of the year, for the seasons

# EMC, %, its half swing (dampest in January); degC, its half swing (coldest in January): guesses
AIR: Mapping[str, tuple[float, float, float, float]] = {
    "beside a stove": (5, 0, 30, 0),
    "heated": (5, 0, 20, 0),
    "basement": (10, 0, 17, 0),
    "outdoors": (14, 1.5, 11, 12),
    "outdoors in the north": (14, 1.5, -1, 15),
}
AIR_SD_PCT = 2.0


@dataclass(frozen=True)
class Series:
    """A piece: its name, wood and place, and (day, mass in g, step of the scales in g) of its weighings."""

    name: str
    wood: str
    place: str
    weighings: tuple[tuple[float, float, float], ...]

    def told(self, weighings: int, day: float) -> Point:
        """What the tool foretells for a day from the first weighings alone, the step of the scales not counted."""
        some = self.weighings[:weighings]
        dry_g = METER_PIECE_G if self.name == "G" else self.weighings[0][1] / (1 + GREEN_PCT / 100)
        dry_sd = 0.01 if self.name == "G" else GREEN_SD_PCT / (100 + GREEN_PCT)
        volume_cm3 = dry_g / GRAVITY[self.wood]
        square_mm = sqrt(1000 * (10 * volume_cm3 if self.name == "G" else volume_cm3) / LENGTH_MM)
        course = Course(
            days=tuple(at for at, _, _ in some),
            net_g=tuple(mass_g for _, mass_g, _ in some),
            sd_g=tuple(self.reading_sd_g(step_g) for _, _, step_g in some),
            side_mm=_open_ended_mm(equivalent_square_mm(*SPLIT_MM.get(self.name, (square_mm, square_mm)))),
            volume_cm3=volume_cm3,
            density_g_cm3=GRAVITY[self.wood],
            ln_dry=(log(dry_g), dry_sd),
            ln_slower=ln_slower("Quercus" if "oak" in self.wood else None),
        )
        (point,) = forecast(Drying(course, self._air(), curve_days=(day,)), draws=512).curve
        return point

    def reading_sd_g(self, step_g: float) -> float:
        """The spread of a reading: half a step of the scales, or of a meter."""
        return METER_SD_PCT / 100 * METER_PIECE_G if self.name == "G" else step_g / 2

    def _air(self) -> Air:
        emc, damp, temp, cold = AIR[self.place]
        days = tuple(float(day) for day in range(0, 3000, 10))
        season = [cos(2 * pi * (day + BEGUN.get(self.name.split("-")[0], 0) - 20) / 365) for day in days]
        return Air(
            days, tuple(emc + damp * one for one in season), tuple(temp - cold * one for one in season), AIR_SD_PCT
        )


@dataclass(frozen=True)
class Held:
    """A weighing held back: what it was, g, and the 80 and 95 % ranges foretold, the scales counted in."""

    series: Series
    known: int
    day: float
    mass_g: float
    low: float
    median: float
    high: float
    least: float
    most: float

    @property
    def inside_80(self) -> bool:
        return self.low <= self.mass_g <= self.high

    @property
    def inside_95(self) -> bool:
        return self.least <= self.mass_g <= self.most


def published() -> list[Series]:
    """The series of which there are two numbers at least."""
    path = Path(__file__).parent / "published" / "weigh_ins.csv"
    rows = list(csv.DictReader(path.read_text("utf-8").splitlines()))
    found = []
    for name, group in groupby(rows, lambda row: row["series"]):
        its = [row for row in group if row["unit"] in GRAMS or row["unit"] == "% by meter"]
        weighings = tuple((float(row["day"]), *_grams(row)) for row in its)
        if weighings:
            found.append(Series(name, its[0]["wood"], its[0]["place"], weighings))
    return found


def held_back(series: Series) -> list[Held]:
    """Every weighing after the second, foretold from those before it; of two, the second."""
    first = min(2, len(series.weighings) - 1)
    return [held(series, known, known) for known in range(first, len(series.weighings))]


def held(series: Series, known: int, number: int) -> Held:
    """A weighing by its number from 0, foretold from the first `known`."""
    day, mass_g, step_g = series.weighings[number]
    its, sd = series.told(known, day).net_g, series.reading_sd_g(step_g)
    middle = its.median

    def wider(edge: float, z: float) -> float:
        return middle + (1 if edge > middle else -1) * hypot(edge - middle, z * sd)

    return Held(
        series,
        known,
        day,
        mass_g,
        low=wider(its.low, 1.2816),
        median=middle,
        high=wider(its.high, 1.2816),
        least=wider(its.least, 1.96),
        most=wider(its.most, 1.96),
    )


def _open_ended_mm(square_mm: float) -> float:
    """The square that dries as one of firewood length does whose ends are open, by its slowest mode: along the grain
    ten times as fast as across (Skaar 1958, beech: 13 times), and Crank's product of three slabs."""
    return square_mm / sqrt(1 + 10 / 2 * (square_mm / LENGTH_MM) ** 2)


def _grams(row: Mapping[str, str]) -> tuple[float, float]:
    if row["unit"] == "% by meter":
        return METER_PIECE_G * (1 + float(row["mass"]) / 100), METER_PIECE_G * float(row["step"]) / 100
    return GRAMS[row["unit"]] * float(row["mass"]), GRAMS[row["unit"]] * float(row["step"])
