"""Masses into moisture content, and how well the scales let it be known.

Moisture content is percent of oven-dry mass ("dry basis") unless a name says wet basis; one *point* is one such
percent. Masses are net: what is on the piece but is neither wood nor water (coat, tape, label) is taken off first.
Every function raises Impossible for a mass, percentage or spread that cannot be.
"""

from collections.abc import Sequence
from math import exp, hypot, isfinite, log, sqrt

from stock.errors import Impossible

Z_80 = 1.2816  # half-width of the interval that holds four of five, in standard deviations

METER_RANGE_PCT = (6.0, 30.0)  # a resistance meter is reliable between these: Wood Handbook FPL-GTR-190 (2010), p. 13-2
METER_WOOD_C = (-10.0, 40.0)

_SOLIDS = 0.45  # of a water-borne coat; from memory, as is its sd
_SOLIDS_SD = 0.10


def grams(mass: float, what: str) -> float:
    """The mass, if it can be one: finite and above zero. Raises Impossible, naming `what`, otherwise."""
    if not (isfinite(mass) and mass > 0):
        raise Impossible(f"{what} of {mass:g} g cannot be", hint="A mass is a number above zero; weigh again.")
    return mass


def points(value: float, what: str) -> float:
    """A moisture content in percent, if it can be one: finite and not below zero. Raises Impossible otherwise."""
    if not (isfinite(value) and value >= 0):
        raise Impossible(f"{what} of {value:g} % cannot be", hint="Moisture content is percent of oven-dry mass.")
    return value


def mc_pct(wet_g: float, dry_g: float) -> float:
    """Moisture content from the mass before and after the oven.

    Args:
        wet_g: mass as cut, g (any unit will do, if both have it).
        dry_g: oven-dry mass, g.

    Returns:
        Moisture content, percent of oven-dry mass.

    Raises:
        Impossible: a mass that is not a number above zero, or a dry mass above the wet one.

    Source:
        Wood Handbook FPL-GTR-282 (2021), eq. 4-2.
    """
    grams(wet_g, "a wet mass")
    grams(dry_g, "an oven-dry mass")
    if dry_g > wet_g:
        raise Impossible(
            f"an oven-dry mass of {dry_g:g} g is above the wet mass of {wet_g:g} g",
            hint="Swapped? Otherwise look at the unit, a trim that was not noted, or whether it is the same piece.",
        )
    return 100 * (wet_g - dry_g) / dry_g


def oven_dry_g(mass_g: float, mc_pct: float) -> float:
    """The oven-dry mass of a piece whose moisture content is known from a neighbouring section.

    Args:
        mass_g: net mass of the piece at that moisture, g.
        mc_pct: moisture content, percent of oven-dry mass.

    Returns:
        Oven-dry mass, g.

    Source:
        The sample-board method, Dry Kiln Operator's Manual AH-188, ch. 6 (recalled; the rule also seen in print).
    """
    return 100 * grams(mass_g, "a mass") / (100 + points(mc_pct, "a moisture content"))


def mean_of_sections_pct(sections: Sequence[tuple[float, float]]) -> float:
    """The moisture content of a piece from its sections: the mean of theirs, each counting alike.

    Args:
        sections: (wet_g, dry_g) of each, at least one.

    Returns:
        Moisture content, percent of oven-dry mass.

    Raises:
        Impossible: no section, or masses that cannot be.

    Source:
        The sample-board method, as `oven_dry_g`.
    """
    if not sections:
        raise Impossible("no section, no moisture content", hint="Cut one 25 mm along the grain, clear of the ends.")
    return sum(mc_pct(wet_g, dry_g) for wet_g, dry_g in sections) / len(sections)


def balance_sd_g(step_g: float, repeatability_g: float | None = None) -> float:
    """The standard deviation of one reading of the scales.

    Args:
        step_g: the last step of the display, g.
        repeatability_g: sd of repeated weighings of one piece, g; None takes one step.

    Returns:
        Standard deviation, g: repeatability and the rounding to a step together.

    Raises:
        Impossible: a step that is not above zero, or a negative repeatability.

    Source:
        Rounding to a step spreads evenly over it: sd = step / sqrt 12, by definition. One step for the repeatability
        of kitchen scales is common practice, no source.
    """
    grams(step_g, "a step")
    repeats_g = step_g if repeatability_g is None else repeatability_g
    if not (isfinite(repeats_g) and repeats_g >= 0):
        raise Impossible(f"a repeatability of {repeats_g:g} g cannot be", hint="It is a spread in g, zero or more.")
    return hypot(repeats_g, step_g / sqrt(12))


def section_sd_pct(wet_g: float, dry_g: float, balance_sd_g: float) -> float:
    """How well the balance lets the moisture content of one section be known.

    Args:
        wet_g: mass as cut, g.
        dry_g: oven-dry mass, g.
        balance_sd_g: standard deviation of one weighing, g.

    Returns:
        Standard deviation, points: 37 g of dry wood on scales good to 0.1 g give 0.5, on kitchen scales of 1 g, 5.

    Source:
        Propagation of error through wet / dry - 1, the two weighings independent.
    """
    mc_pct(wet_g, dry_g)
    each = grams(balance_sd_g, "a balance error") / dry_g
    return 100 * hypot(each, each * wet_g / dry_g)


def section_scatter_pct(mc_pct: float, sections: int) -> float:
    """How far the moisture content of a piece lies from that of its section.

    Args:
        mc_pct: moisture content of the section, or the mean of several, percent of oven-dry mass.
        sections: how many from different places of the piece; several from one end count as one.

    Returns:
        Standard deviation, points: one green section 4, one below 25 % moisture 2, or 6 % of the moisture content if
        that is more; n sections divide it by the root of n.

    Raises:
        Impossible: a moisture content that cannot be, or no section.

    Source:
        Assumed, common practice, no source; duplicate sections of one's own wood are the way to measure it.
    """
    points(mc_pct, "a moisture content")
    if sections < 1:
        raise Impossible(f"{sections} sections tell nothing", hint="Cut one 25 mm along the grain, clear of the ends.")
    return max(4.0 if mc_pct >= 25 else 2.0, 0.06 * mc_pct) / sqrt(sections)


def mc_interval_pct(
    net_g: float, ln_dry_mean: float, ln_dry_var: float, mass_var_g2: float, z: float = Z_80
) -> tuple[float, float, float]:
    """The moisture content of a weighed piece whose oven-dry mass is known only roughly.

    The oven-dry mass is taken as log-normal, because everything known of it is a ratio; so the interval is longer
    upward than downward.

    Args:
        net_g: net mass at the weighing, g.
        ln_dry_mean: mean of the natural logarithm of the oven-dry mass in g.
        ln_dry_var: its variance.
        mass_var_g2: variance of the net mass, g2: scales, and the coat that was taken off.
        z: half-width in standard deviations; 1.2816 holds four of five.

    Returns:
        (median, low, high), percent of oven-dry mass. The low end is not below 0, unless the median is: a weight under
        the oven-dry mass is a contradiction that must stay visible.

    Source:
        The definition of moisture content; propagation of error in logarithms.
    """
    grams(net_g, "a net mass")
    if not (isfinite(ln_dry_mean) and 0 <= ln_dry_var < float("inf") and 0 <= mass_var_g2 < float("inf")):
        raise Impossible(
            "an oven-dry mass or a variance that is no number cannot be used", hint="Look at the weighings."
        )
    spread = z * sqrt(ln_dry_var + mass_var_g2 / net_g**2)
    ln_ratio = log(net_g) - ln_dry_mean
    median, low, high = (100 * (exp(ln_ratio + step) - 1) for step in (0.0, -spread, spread))
    return median, max(low, min(0.0, median)), high


def coat_g(before_g: float, after_g: float, balance_sd_g: float, *, wet: bool = False) -> tuple[float, float]:
    """What a coat of wax or sealer adds to the scales for good: an offset, never part of the oven-dry mass.

    Args:
        before_g: mass just before coating, g.
        after_g: mass after it, g.
        balance_sd_g: standard deviation of one weighing, g.
        wet: weighed while a water-borne coat was still wet, so that only its solids will stay; weighing again after
            one or two days is better.

    Returns:
        (mass of the coat, its standard deviation), g; the sd is never under a fifth of the mass.

    Raises:
        Impossible: masses that cannot be, or a coat that takes weight away.

    Source:
        Solids of a water-borne coat 0.45, sd 0.10, and the fifth: from memory, common practice, no source.
    """
    gain_g = grams(after_g, "a mass after coating") - grams(before_g, "a mass before coating")
    noise_g = sqrt(2) * grams(balance_sd_g, "a balance error")
    if gain_g < -2.5 * noise_g:
        raise Impossible(
            f"a coat cannot take weight off: {before_g:g} g before it, {after_g:g} g after",
            hint="Swapped, or another piece? Weigh both within the hour.",
        )
    stays, stays_sd = (_SOLIDS, _SOLIDS_SD) if wet else (1.0, 0.0)
    coat = max(0.0, stays * gain_g)
    return coat, hypot(max(0.2 * coat, stays_sd * max(0.0, gain_g)), stays * noise_g)


def meter_temperature_corrected_pct(reading_pct: float, wood_c: float) -> float:
    """What a resistance meter calibrated at 20 degC would have read, had the wood been at 20 degC.

    Args:
        reading_pct: the reading, percent; reliable from 6 to 30 (`METER_RANGE_PCT`), above that a trend only.
        wood_c: temperature of the wood, degC, -10 to 40.

    Returns:
        The reading corrected for temperature, percent. The correction for the species comes after it and is not here:
        no table of its constants could be verified.

    Raises:
        Impossible: a reading that is not above zero, or wood colder or warmer than the relation covers.

    Source:
        Pfaff and Garrahan, Forest Products Journal 36(3), 1986 (the numbers seen in a public program that cites a
        thesis; authors and journal from memory). Unchanged at 20 degC within 0.02 points; within 0.3 points of the
        rule of the Wood Handbook, FPL-GTR-190 (2010), p. 13-2, at 12 %: half a point for each 5.6 degC.
    """
    if not 0 < reading_pct <= 100:
        raise Impossible(
            f"a meter reading of {reading_pct:g} % cannot be", hint="Note a reading off the scale as such."
        )
    if not METER_WOOD_C[0] <= wood_c <= METER_WOOD_C[1]:
        raise Impossible(
            f"no correction is known for wood at {wood_c:g} degC",
            hint="Let the piece come to room temperature, then read again.",
        )
    x = wood_c + 2.8
    return (reading_pct + 0.567 - 0.0260 * x + 0.000051 * x**2) / (0.881 * exp(x * log(1.0056)))
