"""What an operation keeps of the dry wood of a piece: a trim, a resaw, planing, decay, a soak; rows of the ledger.

Every operation is a ratio: x(new) - x(old) = ln of the share kept, x = ln of the oven-dry mass in g (see
`stock.wood.evidence`). Masses are net of coats, g. Unless said otherwise the spreads are defaults of the drying model:
common practice, no source. Every function raises Impossible for a mass, size or spread that cannot be.
"""

from dataclasses import replace
from math import isfinite, log, pi, sin

from stock.errors import Impossible
from stock.wood.evidence import Node, Row
from stock.wood.moisture import points


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
    old: Node,
    new: Node,
    before_net_g: float,
    after_net_g: float,
    mass_var_g2: float = 0,
    *,
    mc_pct: float,
    emc_pct: float,
    kept: float,
) -> Row:
    """A square turned or planed down while it is drier outside: what is left is wetter than the whole was.

    By sizes alone no such correction is due: the shell holds less water than the core, but no less dry wood.

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
    row = trim_weighed(old, new, before_net_g, after_net_g, mass_var_g2)
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
