"""Every fact that bears on an oven-dry mass, written as one row for `stock.wood.ledger`.

The unknowns are logarithms, because every operation on wood is a ratio. Each is named by a *node*, any hashable value
of the caller's choosing:

* x = ln m0, m0 the oven-dry mass in g of a piece between two operations (a trim, a resaw make a new node; a coat or a
  move does not: it takes no wood);
* nu = ln(1 + M), M the moisture content, as a fraction, of a piece on the day a moisture section was cut from it;
* r = ln of the basic density in g/cm3 (oven-dry mass over green volume) of a tree;
* e = an error that several facts share, as a fraction of moisture content: of the air of a place, of a meter.

A row says: a sum of coefficient times unknown equals a value, give or take a variance. `x + nu = ln(net mass)`, for
one. A row is *absolute* if it alone pins an unknown down; the others only tie unknowns together.

Masses are net of coats, in g; `mass_var_g2` is the variance of one net mass (scales, and the coat taken off). Unless
said otherwise the spreads are defaults of the drying model: common practice, no source. Every function raises
Impossible for a mass, size, percentage or spread that cannot be.
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace
from math import hypot, isfinite, log, sqrt

from stock.errors import Impossible
from stock.wood.moisture import grams, mean_of_sections_pct, points, section_scatter_pct, section_sd_pct

Node = Hashable

REACH_DAYS = 3  # a weighing further than this from a section says nothing of its moisture
DAY_SD = 0.015  # green wood loses about this share of its weight a day
CHILD_SCATTER_SD = 0.02  # moisture of a piece sawn from the piece that the section came from, in ln(1 + M)
METER_EVIDENCE_PCT = (6.0, 25.0)
METER_SD_PCT = (3.5, 2.0)  # of one reading, points: set for another wood or for none, set for this one
METER_SHARED = 0.5  # the part of its variance that all readings of one meter in one wood have in common
METER_GRADIENT = 1.5  # how much wider while the inside is wetter than the pins reach
# What wood "settled" by `steady.settled_g` still holds above its air. With air known to 0.8 points the spread is 1.2 in
# all, as it was on simulated squares.
PLATEAU_LAG_PCT, PLATEAU_LAG_SD_PCT = 1.0, 0.9
_WITHIN_TREE_SD = 0.05  # density of a piece about that of its tree
_DRY_END_SD = 0.001  # EN 13183-1: dry when the mass changes by no more than 0.1 % in 2 h


@dataclass(frozen=True, slots=True)
class Row:
    """One fact: sum of coefficient x unknown = value, with a variance.

    Attributes:
        terms: (node, coefficient) pairs, each node once.
        value: what the sum was found to be, in natural logarithms.
        variance: of the value; above zero.
        kind, words: the sort of fact, and the fact for a person to read.
        absolute: whether this row alone pins an unknown down.
    """

    terms: tuple[tuple[Node, float], ...]
    value: float
    variance: float
    kind: str
    words: str
    absolute: bool = False

    def __post_init__(self) -> None:
        different = len({node for node, _ in self.terms}) == len(self.terms) > 0
        sound = different and all(isfinite(factor) and factor for _, factor in self.terms)
        if not (sound and isfinite(self.value) and 0 < self.variance < float("inf")):
            raise Impossible(f"{self.words}: this cannot be weighed against the rest", hint="Look at its numbers.")

    def said(self, words: str) -> "Row":
        """The same fact in other words: "section of 2 March 2025"."""
        return replace(self, words=words)

    def plus(self, node: Node, coefficient: float) -> "Row":
        """The same fact with one more unknown in it: scales that may not stand at zero."""
        return replace(self, terms=(*self.terms, (node, coefficient)))


@dataclass(frozen=True, slots=True)
class Slice:
    """One moisture section: masses before and after the oven and the sd of one weighing, g; the end of the piece (or
    another place in it) that it came from. Slices from equal ends count as one; None is one such end."""

    wet_g: float
    dry_g: float
    balance_sd_g: float
    end: Hashable = None


def section(moisture: Node, slices: Sequence[Slice]) -> Row:
    """The moisture content of a piece, from sections cut from it on one day.

    Args:
        moisture: the node nu of that piece on that day.
        slices: the sections; those of one end are averaged first, then the ends.

    Returns:
        nu = ln(1 + M): the scatter between section and piece and the error of the balance are its variance.

    Source:
        The sample-board method (Dry Kiln Operator's Manual AH-188, ch. 6); scatter as `section_scatter_pct`.
    """
    if not slices:
        raise Impossible("no section, no moisture content", hint="Cut one 25 mm along the grain, clear of the ends.")
    ends: dict[Hashable, list[Slice]] = {}
    for one in slices:
        ends.setdefault(one.end, []).append(one)
    means = [mean_of_sections_pct([(one.wet_g, one.dry_g) for one in group]) for group in ends.values()]
    mean_pct = sum(means) / len(means)
    balance_var = 0.0
    for group in ends.values():
        errors = (section_sd_pct(one.wet_g, one.dry_g, one.balance_sd_g) for one in group)
        balance_var += sum(sd**2 for sd in errors) / (len(group) * len(ends)) ** 2
    sd_pct = hypot(section_scatter_pct(mean_pct, len(ends)), sqrt(balance_var))
    words = f"{len(slices)} moisture section{'s' if len(slices) > 1 else ''}, {mean_pct:.0f} % when cut"
    return Row(((moisture, 1),), log(1 + mean_pct / 100), (sd_pct / (100 + mean_pct)) ** 2, "section", words, True)


def weighed_at_section(
    piece: Node, moisture: Node, net_g: float, mass_var_g2: float, *, days_apart: float = 0, scatter_sd: float = 0
) -> Row:
    """A weighing close to the day a section was cut: x + nu = ln(net mass).

    Args:
        piece: the node x of the piece weighed.
        moisture: the node nu of the piece the section was cut from.
        net_g, mass_var_g2: its net mass, g, and the variance, g2.
        days_apart: days between weighing and section, at most 3; each adds 1.5 %.
        scatter_sd: how differently moist this piece may be than the node's, in ln(1 + M): 0 for the piece the section
            came from, `CHILD_SCATTER_SD` for pieces sawn from it, `tree_scatter_sd` if the node is a tree's.
    """
    if not abs(days_apart) <= REACH_DAYS:
        raise Impossible(
            f"a weighing {days_apart:g} days from the section does not tell what the piece weighed then",
            hint="Weigh the piece when a section is cut; within 3 days will do.",
        )
    variance = mass_var_g2 / grams(net_g, "a net mass") ** 2 + (DAY_SD * days_apart) ** 2 + scatter_sd**2
    words = f"weighed {net_g:.4g} g when the section was cut"
    return Row(((piece, 1), (moisture, 1)), log(net_g), variance, "weighed with a section", words)


def tree_scatter_sd(mc_pct: float) -> float:
    """How far one piece's moisture lies from its tree's, in ln(1 + M): 12 %, the median of 15 trees; of 1 % or more."""
    return 0.12 * max(points(mc_pct, "a moisture content"), 1.0) / (100 + mc_pct)


def alike(one: Node, other: Node, scatter_sd: float) -> Row:
    """Two moisture contents that are the same but for a scatter: nu(one) - nu(other) = 0."""
    return Row(((one, 1), (other, -1)), 0.0, scatter_sd**2, "alike", "as moist as its tree, but for the scatter in it")


def whole_piece_dry(piece: Node, dry_g: float, balance_sd_g: float) -> Row:
    """A piece dried itself, such as a reference block: x = ln(dry mass)."""
    variance = (balance_sd_g / grams(dry_g, "an oven-dry mass")) ** 2 + _DRY_END_SD**2
    return Row(((piece, 1),), log(dry_g), variance, "dried whole", f"dried whole to {dry_g:.4g} g", True)


def shared_error(error: Node, sd_pct: float, kind: str, words: str) -> Row:
    """An error of moisture content that many facts share: e = 0, a fraction, give or take `sd_pct` points.

    The air told for a place is off for all that settled there, a meter for all the wood that it reads alike.
    """
    return Row(((error, 1),), 0.0, (sd_pct / 100) ** 2, kind, words, True)


def meter_error(error: Node, *, set_for_wood: bool) -> Row:
    """What a meter reads wrong of one wood, however often: half of the variance of a reading (`METER_SD_PCT`)."""
    sd_pct = METER_SD_PCT[set_for_wood] * sqrt(METER_SHARED)
    return shared_error(error, sd_pct, "meter error", "what the meter reads wrong of this wood")


def meter(
    piece: Node,
    error: Node,
    net_g: float,
    reading_pct: float,
    *,
    set_for_wood: bool,
    settled: bool,
    mass_var_g2: float = 0,
) -> Row:
    """A meter reading of a piece that was weighed, from 6 to 25 %: x + e / (1 + R) = ln(net / (1 + R)).

    Args:
        piece: the node x of the piece weighed.
        error: the node e of `meter_error` for this meter and this wood.
        net_g, mass_var_g2: its net mass, g, and the variance, g2.
        reading_pct: the reading, or the mean of those of a day, corrected for temperature, percent.
        set_for_wood: whether the meter was set for this wood: 2 points, otherwise 3.5 (all errors together).
        settled: whether the piece had settled; otherwise its inside is wetter, and the spread half as large again.
    """
    low, high = METER_EVIDENCE_PCT
    if not low <= reading_pct <= high:
        raise Impossible(
            f"a meter reading of {reading_pct:g} % says too little of the dry mass", hint="From 6 to 25 % it does."
        )
    one_pct = METER_SD_PCT[set_for_wood]
    whole_pct = one_pct * (1.0 if settled else METER_GRADIENT)
    own_pct = sqrt(whole_pct**2 - METER_SHARED * one_pct**2)
    words = f"a meter reading of {reading_pct:.0f} %"
    return _at_moisture(piece, error, net_g, reading_pct, own_pct, mass_var_g2, "meter", words)


def plateau(
    piece: Node,
    air: Node,
    net_g: float,
    emc_pct: float,
    mass_var_g2: float = 0,
    *,
    lag_pct: float = PLATEAU_LAG_PCT,
    lag_sd_pct: float = PLATEAU_LAG_SD_PCT,
) -> Row:
    """A weight that has settled in air of known equilibrium moisture content: x + e / (1 + E + lag) = ln(net / same).

    Not beside a fitted drying curve of the same weighings, which contains this already; not for a piece coated all
    over.

    Args:
        piece: the node x of the piece.
        air: the node e of the error of that air, a `shared_error`.
        net_g, mass_var_g2: the settled net mass, g, and its variance, g2.
        emc_pct: equilibrium moisture content of the air, percent.
        lag_pct, lag_sd_pct: what drying wood still holds above the air when its weight looks settled, and how far
            one piece differs from another in that, points.
    """
    held_pct = points(emc_pct, "an equilibrium moisture content") + lag_pct
    words = f"settled where the air keeps wood at {emc_pct:.0f} %"
    return _at_moisture(piece, air, net_g, held_pct, lag_sd_pct, mass_var_g2, "settled", words)


def _at_moisture(
    piece: Node, error: Node, net_g: float, mc_pct: float, sd_pct: float, mass_var_g2: float, kind: str, words: str
) -> Row:
    kept = 1 + points(mc_pct, "a moisture content") / 100
    variance = (sd_pct / 100 / kept) ** 2 + mass_var_g2 / grams(net_g, "a net mass") ** 2
    return Row(((piece, 1), (error, 1 / kept)), log(net_g / kept), variance, kind, words)


# Density


def tree_density(tree: Node, basic_sg: float, sd: float = 0.085) -> Row:
    """The published basic specific gravity of the wood: r = ln G.

    `sd` between trees in ln: 0.085 (mean of ten hardwoods in an open density database), 0.14 if only the genus is sure.
    """
    if not 0.05 < basic_sg < 1.54:
        raise Impossible(f"a basic specific gravity of {basic_sg:g} cannot be", hint="Wood lies between 0.1 and 1.3.")
    return Row(((tree, 1),), log(basic_sg), sd**2, "density", f"woods of this kind have density {basic_sg:g}", True)


def volume(piece: Node, tree: Node, volume_cm3: float, sd_volume: float = 0.02) -> Row:
    """The green volume of a piece: x - r = ln V. `sd_volume` in ln: a sawn square 0.02, a split or round 0.05-0.1."""
    variance = _WITHIN_TREE_SD**2 + sd_volume**2
    words = f"its size, {_cm3(volume_cm3):.4g} cm3"
    return Row(((piece, 1), (tree, -1)), log(volume_cm3), variance, "volume", words)


def green_volume(
    volume_cm3: float, shrinkage_pct: float | None, shrunk: float, shrunk_sd: float
) -> tuple[float, float]:
    """The green volume of a piece that was measured when part of its shrinkage was over.

    Args:
        volume_cm3: as measured, cm3.
        shrinkage_pct: volumetric shrinkage of the wood, green to oven-dry, percent of the green volume; None, not
            known, is not corrected for, but the spread then holds what a wood of 12 % would do.
        shrunk, shrunk_sd: the part of it that was over, 0 to 1, and its spread.

    Returns:
        (green volume in cm3, standard deviation of its logarithm by the shrinkage alone).

    Source:
        Shrinkage by definition, percent of the green volume. Which part is over is common practice, no source.
    """
    if shrinkage_pct is None:
        return _cm3(volume_cm3), 0.12 * hypot(shrunk, shrunk_sd)
    left = 1 - shrunk * shrinkage_pct / 100
    if not 0.5 < left <= 1:
        raise Impossible(f"a shrinkage of {shrinkage_pct:g} % cannot be", hint="Percent of green volume, such as 12.")
    return _cm3(volume_cm3) / left, shrunk_sd * shrinkage_pct / 100 / left


def section_density(tree: Node, dry_g: float, volume_cm3: float, sd_volume: float = 0.02) -> Row:
    """A section as a sample of the tree's density: r = ln(dry mass / green volume). May stand beside its moisture."""
    density = grams(dry_g, "an oven-dry mass") / _cm3(volume_cm3)
    variance = _WITHIN_TREE_SD**2 + sd_volume**2
    return Row(((tree, 1),), log(density), variance, "density", f"a section of density {density:.2f}", True)


def _cm3(volume_cm3: float) -> float:
    if not (isfinite(volume_cm3) and volume_cm3 > 0):
        raise Impossible(f"a volume of {volume_cm3:g} cm3 cannot be", hint="A volume is a number above zero.")
    return volume_cm3
