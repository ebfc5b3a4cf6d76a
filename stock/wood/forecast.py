"""How much water is in a piece, and when it will be dry: what its weighings, its oven-dry mass and its air tell.

The law is `stock.wood.shells`; nobody knows the six numbers that it takes for a piece, so all that agree with the
weighings are used, each with its chance, and every answer is a spread. In the order of the work:

* `forecast_batch` lays pieces side by side in arrays;
* `forecast_errors` says how far a weight may lie off the law: scales, blunders, the law itself;
* `forecast_fit` finds the likeliest course of each;
* `forecast_draws` draws many others and weighs them;
* `forecast_answers` reads days, chances and curves off them.

numpy is loaded when a forecast is made, not before.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stock.errors import Impossible
from stock.wood.drying import Drying, Forecast
from stock.wood.forecast_batch import LN_DRY, LN_EMISSION, LN_TAU, Batch, Weighed, batch, by_day

if TYPE_CHECKING:
    from stock.wood.forecast_draws import Draws

HORIZON_DAYS = 1277.0  # three and a half years
FEW = 15  # independent draws that are too few to go by
MANY_DRAWS = 1024  # for a piece of too few, taken about the likely ones of as many
FIT_AT_ONCE = 256  # pieces
DRAWN_AT_ONCE = 2_500_000  # numbers of a march; what a processor keeps at hand, some 20 MB
GAIN, GAIN_DAYS = 0.02, 30
LEAST_MC_PCT = 4.0


def forecast_many(
    dryings: Sequence[Drying], *, seed: int = 0, draws: int = 256, horizon_days: float = HORIZON_DAYS
) -> list[Forecast]:
    """Tell how moist pieces are and when they will reach their targets.

    Args:
        dryings: the pieces, each with its course, air, targets and days for its curve.
        seed: of the draws; the same gives the same answers.
        draws: how many ways each piece may dry are looked at, even, at least 16.
        horizon_days: how long after its last weighing a target is looked for, at least 1.

    Returns:
        One forecast for each, in order; where none can be made it says why. The answer for a piece does not depend on
        which others are asked about with it. A date is the first on which the mean is at or under the target: with
        air that changes over the year it may rise above it again (`Reached.stays`), and the middle is wetter than the
        mean (`Forecast.middle_pct`).

    Raises:
        Impossible: numbers that cannot be, of draws or days.

    Source:
        Bayes' rule, by Laplace's approximation and truncated importance sampling (Ionides 2008); see the parts. Held
        against squares solved cell by cell with other laws: tests/bench.
    """
    if draws < 16 or draws % 2:
        raise Impossible(f"{draws} draws cannot be taken", hint="An even number, at least 16.")
    if not 1 <= horizon_days <= 36525:
        raise Impossible(f"{horizon_days:g} days cannot be looked ahead", hint="From 1 day to 100 years.")
    found: dict[int, Forecast] = {}
    weighed: dict[int, Weighed] = {}
    for i, drying in enumerate(dryings):
        if drying.course.why_not:
            found[i] = Forecast(why=drying.course.why_not, weighings=len(set(drying.course.days)))
        else:
            weighed[i] = by_day(drying)
    order = sorted(weighed, key=lambda i: (weighed[i].at[-1], len(weighed[i].at)))
    for first in range(0, len(order), FIT_AT_ONCE):
        some = order[first : first + FIT_AT_ONCE]
        told = _together([dryings[i] for i in some], [weighed[i] for i in some], seed, draws, horizon_days)
        found.update(zip(some, told, strict=True))
    return [found[i] for i in range(len(dryings))]


def forecast(drying: Drying, *, seed: int = 0, draws: int = 256, horizon_days: float = HORIZON_DAYS) -> Forecast:
    """`forecast_many` of one piece."""
    return forecast_many([drying], seed=seed, draws=draws, horizon_days=horizon_days)[0]


def _together(
    dryings: Sequence[Drying], weighed: Sequence[Weighed], seed: int, draws: int, horizon_days: float
) -> list[Forecast]:
    """The forecasts of some pieces that fit into memory side by side."""
    from stock.wood.forecast_draws import draw, recentred
    from stock.wood.forecast_fit import fit

    whole = batch(dryings, weighed, horizon_days)
    fitted = fit(whole)
    found: list[Forecast] = []
    few: list[int] = []
    at_once = max(1, DRAWN_AT_ONCE // (len(whole.nodes) * draws))
    for first in range(0, len(dryings), at_once):
        some = range(first, min(first + at_once, len(dryings)))
        part, its_fit = whole.part(slice(some.start, some.stop)), fitted.part(slice(some.start, some.stop))
        drawn = draw(part, its_fit, draws, seed)
        few += [some[i] for i in (drawn.effective < FEW).nonzero()[0].tolist()]
        found += [_answer(dryings[i], weighed[i], part, drawn, i - some.start, horizon_days) for i in some]
    for i in few:
        part, its_fit = whole.part([i]), fitted.part([i])
        its_fit = recentred(its_fit, draw(part, its_fit, MANY_DRAWS, seed))
        drawn = draw(part, its_fit, MANY_DRAWS, seed)
        found[i] = _answer(dryings[i], weighed[i], part, drawn, 0, horizon_days)
    return found


def _answer(drying: Drying, weighed: Weighed, part: Batch, drawn: Draws, i: int, horizon_days: float) -> Forecast:
    """The forecast of piece number `i` of a batch."""
    from stock.wood.forecast_answers import Ways

    last_at = float(part.last_at[i])
    ways = Ways(drawn, i, part.nodes, last_at, horizon_days, 100 * float(part.emc_year[i]))
    mc_pct = ways.spread(100 * ways.now)
    return Forecast(
        weighings=len(weighed.at),
        last_day=weighed.first + last_at,
        mc_pct=mc_pct,
        middle_pct=ways.spread(100 * ways.middle),
        ln_dry=ways.mean_sd(ways.theta[LN_DRY]),
        ln_tau=ways.mean_sd(ways.theta[LN_TAU] - part.ln_size[i]),
        ln_emission=ways.mean_sd(ways.theta[LN_EMISSION]),
        reached=tuple(ways.reached(target, weighed.first) for target in drying.targets),
        curve=ways.points(drying.curve_days, weighed.first),
        doubts=_doubts(weighed, mc_pct.median),
        effective=float(drawn.effective[i]),
    )


def _doubts(weighed: Weighed, mc_pct: float) -> tuple[str, ...]:
    """What to look at before the dates are believed."""
    found = []
    if len(weighed.at) > 1:
        gain, days = weighed.net[-1] / weighed.net[-2] - 1, weighed.at[-1] - weighed.at[-2]
        if gain > GAIN and days <= GAIN_DAYS:
            found.append(f"it gained {100 * gain:.1f} % of its weight in {days:.0f} days: wetted, or another piece?")
    if mc_pct < LEAST_MC_PCT:
        found.append(
            f"{mc_pct:.0f} % is drier than wood gets in common air: a trim not noted, a swapped piece, or the section?"
        )
    return tuple(found)
