"""Every fact that bears on an oven-dry mass, written as one row for `stock.wood.ledger`.

The unknowns are logarithms, because every operation on wood is a ratio. Each is named by a *node*, any hashable value
of the caller's choosing:

* x = ln m0, m0 the oven-dry mass in g of a piece between two operations (a trim, a resaw make a new node; a coat or a
  move does not: it takes no wood);
* nu = ln(1 + M), M the moisture content, as a fraction, of a piece on the day a moisture section was cut from it;
* r = ln of the basic density in g/cm3 (oven-dry mass over green volume) of a tree.

A row says: a sum of coefficient times unknown equals a value, give or take a variance. `x + nu = ln(net mass)`, for
one. A row is *absolute* if it alone pins an unknown down; the others only tie unknowns together.

Masses are net of coats, in g; `mass_var_g2` is the variance of one net mass (scales, and the coat taken off). Unless
said otherwise the spreads are defaults of the drying model: common practice, no source. Every function raises
Impossible for a mass, size, percentage or spread that cannot be.
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace
from math import hypot, isfinite, log, pi, sin, sqrt

from stock.errors import Impossible
from stock.wood.moisture import grams, mean_of_sections_pct, points, section_scatter_pct, section_sd_pct

Node = Hashable

REACH_DAYS = 3  # a weighing further than this from a section says nothing of its moisture
DAY_SD = 0.015  # green wood loses about this share of its weight a day
CHILD_SCATTER_SD = 0.02  # moisture of a piece sawn from the piece that the section came from, in ln(1 + M)
METER_EVIDENCE_PCT = (6.0, 25.0)
PLATEAU_LAG_PCT, PLATEAU_LAG_SD_PCT = 1.0, 1.2  # what wood "settled" by `steady.settled_g` still holds above its air
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


def meter(piece: Node, net_g: float, reading_pct: float, sd_pct: float, mass_var_g2: float = 0) -> Row:
    """A meter reading, corrected, of a piece weighed that day, from 6 to 25 %: x = ln(net / (1 + R)).

    `sd_pct`, points: 2 calibrated for the wood, 3.5 for an unknown one, half as much again while the inside is wetter.
    """
    low, high = METER_EVIDENCE_PCT
    if not low <= reading_pct <= high:
        raise Impossible(
            f"a meter reading of {reading_pct:g} % says too little of the dry mass", hint="From 6 to 25 % it does."
        )
    return _at_moisture(
        piece, net_g, reading_pct, sd_pct, mass_var_g2, "meter", f"a meter reading of {reading_pct:g} %"
    )


def plateau(piece: Node, net_g: float, emc_pct: float, emc_sd_pct: float, lag_pct: float, lag_sd_pct: float) -> Row:
    """A weight that has settled in air of known equilibrium moisture content: x = ln(net / (1 + E + lag)).

    The lag is what drying wood still holds above the air when its weight looks settled (`PLATEAU_LAG_PCT`). Not beside
    a fitted drying curve of the same weighings, which contains this already; not for a piece coated all over.
    """
    held_pct = points(emc_pct, "an equilibrium moisture content") + lag_pct
    words = f"settled where the air keeps wood at {emc_pct:.0f} %"
    return _at_moisture(piece, net_g, held_pct, hypot(emc_sd_pct, lag_sd_pct), 0, "settled", words)


def _at_moisture(
    piece: Node, net_g: float, mc_pct: float, sd_pct: float, mass_var_g2: float, kind: str, words: str
) -> Row:
    kept = 1 + points(mc_pct, "a moisture content") / 100
    variance = (sd_pct / 100 / kept) ** 2 + mass_var_g2 / grams(net_g, "a net mass") ** 2
    return Row(((piece, 1),), log(net_g / kept), variance, kind, words, True)


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
    words = f"its volume, {_cm3(volume_cm3):.4g} cm3"
    return Row(((piece, 1), (tree, -1)), log(volume_cm3), variance, "volume", words)


def section_density(tree: Node, dry_g: float, volume_cm3: float, sd_volume: float = 0.02) -> Row:
    """A section as a sample of the tree's density: r = ln(dry mass / green volume). May stand beside its moisture."""
    density = grams(dry_g, "an oven-dry mass") / _cm3(volume_cm3)
    variance = _WITHIN_TREE_SD**2 + sd_volume**2
    return Row(((tree, 1),), log(density), variance, "density", f"a section of density {density:.2f}", True)


def _cm3(volume_cm3: float) -> float:
    if not (isfinite(volume_cm3) and volume_cm3 > 0):
        raise Impossible(f"a volume of {volume_cm3:g} cm3 cannot be", hint="A volume is a number above zero.")
    return volume_cm3


# What an operation keeps


def _kept(old: Node, new: Node, ratio: float, variance: float, kind: str, words: str) -> Row:
    """x(new) - x(old) = ln of the share of the dry wood that is kept."""
    return Row(((new, 1), (old, -1)), log(ratio), variance, kind, words)


def _not_more(before: float, after: float, what: str) -> float:
    if not (isfinite(before) and 0 < after <= before):
        raise Impossible(
            f"{what} from {before:g} to {after:g} cannot be", hint="Swapped? What is left is not more than there was."
        )
    return after / before


def trim_weighed(
    old: Node, new: Node, before_net_g: float, after_net_g: float, mass_var_g2: float = 0, uniform_sd: float = 0.01
) -> Row:
    """Cut, drilled, planed or stripped, weighed just before and just after: the weight ratio.

    `uniform_sd` in ln is for uneven moisture: 0.01, bark stripped 0.03. For a drier shell see `dry_shell_removed`.
    """
    ratio = _not_more(before_net_g, after_net_g, "a trim")
    variance = uniform_sd**2 + mass_var_g2 * (1 / before_net_g**2 + 1 / after_net_g**2)
    return _kept(old, new, ratio, variance, "trim, weighed", f"trimmed from {before_net_g:.4g} to {after_net_g:.4g} g")


def trim_by_length(old: Node, new: Node, before_mm: float, after_mm: float, sd_mm: float = 1.0) -> Row:
    """Shortened without weighing: the length ratio, about 2 % on the part cut off and `sd_mm` on each length.

    Stands beside a weighed row of the same trim; the two are then averaged by their precision.
    """
    ratio = _not_more(before_mm, after_mm, "a length")
    variance = 0.02**2 * (1 - ratio) + (sd_mm / after_mm) ** 2 + (sd_mm / before_mm) ** 2
    return _kept(old, new, ratio, variance, "trim, by length", f"trimmed from {before_mm:.4g} to {after_mm:.4g} mm")


def resawn(parent: Node, child: Node, child_net_g: float, total_net_g: float, uniform_sd: float = 0.02) -> Row:
    """A piece sawn or split out of another: its share of all that was there, the sawdust included."""
    ratio = _not_more(total_net_g, child_net_g, "a resaw")
    return _kept(parent, child, ratio, uniform_sd**2, "resawn", f"{100 * ratio:.0f} % of the piece it was sawn from")


def decay(old: Node, new: Node, loss_pct: float = 6.0, loss_sd_pct: float = 4.0) -> Row:
    """Dry wood eaten by fungi, spalting: on the scales it looks like drying."""
    if not 0 <= loss_pct < 100:
        raise Impossible(f"a loss of {loss_pct:g} % cannot be", hint="Percent of the dry mass; spalting takes 2 to 15.")
    left = 1 - loss_pct / 100
    return _kept(old, new, left, (loss_sd_pct / 100 / left) ** 2, "decay", f"decay has taken {loss_pct:g} %")


def dry_shell_removed(
    old: Node, new: Node, before_net_g: float, after_net_g: float, *, mc_pct: float, emc_pct: float, kept: float
) -> Row:
    """A square turned or planed down while it is drier outside: what is left is wetter than the whole was.

    Args:
        mc_pct, emc_pct: mean moisture content before, and the equilibrium moisture content of its air, percent.
        kept: the width left as a share of the width before, above 0, at most 1.

    Returns:
        The weight ratio, corrected by `core_mc_pct`; half of the correction is added to its spread.

    Source:
        The slowest mode of diffusion in a square, cos x cos (Crank, The Mathematics of Diffusion, 1975).
    """
    core_pct = core_mc_pct(mc_pct, emc_pct, kept)
    correction = log((100 + mc_pct) / (100 + core_pct))
    row = trim_weighed(old, new, before_net_g, after_net_g)
    return replace(row, value=row.value + correction, variance=row.variance + (correction / 2) ** 2)


def core_mc_pct(mc_pct: float, emc_pct: float, kept: float) -> float:
    """Mean moisture content, percent, of what is left of a drying square cut down to a share of its width.

    Args, Source: as `dry_shell_removed`. The inside is wetter: cut to 0.8, 1.41 times the excess over the air is left.
    """
    if not 0 < kept <= 1:
        raise Impossible(f"{kept:g} of the width cannot be left", hint="A share above 0, at most 1.")
    excess = points(mc_pct, "a moisture content") - points(emc_pct, "an equilibrium moisture content")
    return emc_pct + excess * (sin(pi * kept / 2) / kept) ** 2


def vague(old: Node, new: Node, sd: float = 0.1) -> Row:
    """Soaked, boiled, steamed: the dry mass is about what it was, give or take `sd` in ln."""
    return _kept(old, new, 1.0, sd**2, "treated", "treated since: its dry mass may have changed")
