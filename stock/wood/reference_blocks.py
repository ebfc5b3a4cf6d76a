"""A reference block: a piece of known oven-dry mass, left to take up the moisture of the air, and weighed.

Once it is in balance, its moisture content is the equilibrium moisture content of its place, measured by wood itself.
It comes to balance from the dry side, so that it stands a little below wood that dries there from green (hysteresis:
0.5 to 3 points between the two in four tropical woods, Simo-Tagne and others). It is taken as it reads; the spread that
is given with it, and the allowance that is made for wood which has settled from green, cover the rest.
"""

from math import isfinite, pi, sqrt

from stock.errors import Impossible
from stock.wood.moisture import balance_sd_g

# About 10 % moisture and 15 degC: 1.5 mm2/day at 15 % and 20 degC, as squares of 50 mm dry, less for the drier and
# cooler wood. Common practice, no source.
TRANSVERSE_MM2_DAY = 0.9
ALONG_THE_GRAIN = 13.0  # times as fast: beech at 40 degC and 10 %, Skaar 1958
TIMES_TO_BALANCE = 3.0  # times the slowest mode: less than a twentieth of the way is left
LEAST_DAYS = 21
MOST_DAYS = 365
UNKNOWN_MM = 50.0  # the size taken for a side that was never measured
OWN_SD_PCT = 0.4  # of one block against the wood of the place: wood by wood, and which side it came from
WEATHER_SD_PCT = 0.5  # of one weighing against the air of its weeks; common practice, no source, as the line above


def days_to_balance(width_mm: float | None, thickness_mm: float | None, length_mm: float | None) -> int:
    """How long a bare block needs, after the oven or a move, until its weight tells of the air it lies in.

    Args:
        width_mm, thickness_mm: across the grain, mm; None if not known.
        length_mm: along the grain, mm; None if not known.

    Returns:
        Days, 21 to 365: three times the time of its slowest mode. A slice of 25 mm along the grain counts after three
        weeks, a block of 50 x 50 x 100 mm after more than five months: the block to make is a short one.

    Raises:
        Impossible: a side that is no size.

    Source:
        The slowest mode of a cuboid, Crank, The Mathematics of Diffusion; the diffusivities are those named above.
    """
    sides = [UNKNOWN_MM if side is None else side for side in (width_mm, thickness_mm, length_mm)]
    for side in sides:
        if not (isfinite(side) and side > 0):
            raise Impossible(f"a side of {side:g} mm cannot be", hint="Sizes are above zero.")
    width, thickness, length = sides
    speed = pi**2 * TRANSVERSE_MM2_DAY * (width**-2 + thickness**-2 + ALONG_THE_GRAIN * length**-2)
    return round(min(max(TIMES_TO_BALANCE / speed, LEAST_DAYS), MOST_DAYS))


def reading_sd_pct(dry_g: float, step_g: float) -> float:
    """How far one weighing of a block may be off the air of its weeks.

    Args:
        dry_g: oven-dry mass, g.
        step_g: step of the scales, g.

    Returns:
        Standard deviation, points of moisture content: the weather's, and that of the scales on so light a block.

    Raises:
        Impossible: masses that cannot be.

    Source:
        The sum of the two variances; the weather's is common practice, no source.
    """
    return sqrt(WEATHER_SD_PCT**2 + (100 * balance_sd_g(step_g) / dry_g) ** 2)


def level_sd_pct(reading_sds_pct: list[float], dry_sd_pct: float = 0.0) -> float:
    """How far off the air of a place may be when a block told it.

    Args:
        reading_sds_pct: of each weighing, points; at least one.
        dry_sd_pct: what the scales leave open of the oven-dry mass, as points of moisture content.

    Returns:
        Standard deviation, points: near 0.5 for several weighings on fine scales.

    Source:
        The mean of independent readings with one error in common.
    """
    scatter = sum(sd**2 for sd in reading_sds_pct) / len(reading_sds_pct) ** 2
    return sqrt(OWN_SD_PCT**2 + dry_sd_pct**2 + scatter)
