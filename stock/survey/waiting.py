"""Blanks as they will be in some weeks: what the forecast says of those that only their moisture keeps back."""

from collections.abc import Mapping
from dataclasses import replace

from stock.survey import learning
from stock.survey.courses import Reckoning
from stock.survey.dryings import air_of_course, course_of
from stock.wood.drying import Drying, Spread
from stock.wood.drying_rates import Learned
from stock.wood.likeness import Ask
from stock.wood.moisture import Z_80
from stock.wood.qualifying import Candidate, failed

DAYS = (30, 60, 120)
WAIT_FOR = frozenset({"too wet", "not ready"})  # what time mends
ABOVE_PCT, MOST_ABOVE_PCT = 2.0, 3.0  # of the estimate and of its upper end above the target: dry enough
MOST = 120  # blanks looked at, those nearest to the target; the rest stay as they are


def later_candidates(
    reckoning: Reckoning, ask: Ask, candidates: Mapping[str, Candidate], ids: Mapping[str, int]
) -> dict[int, dict[str, Candidate]]:
    """The blanks that nothing but their moisture keeps back, as they are expected to be.

    Args:
        reckoning: the moisture of their families.
        ask: what is wanted.
        candidates: all blanks, by mark.
        ids: their ids.

    Returns:
        By days from the day of asking, mark -> the blank as it will be. Empty if there is no such blank, or nothing
        can be said of any.
    """
    waits = [key for key, one in candidates.items() if _only_wet(one, ask)]
    nearest = sorted(waits, key=lambda key: candidates[key].blank.mc_pct or 99.0)[:MOST]
    today = reckoning.facts.on.toordinal()
    days = tuple(float(today + after) for after in DAYS)
    dryings: dict[str, Drying] = {}
    for key in nearest:
        piece = reckoning.pieces[ids[key]]
        course = course_of(reckoning, piece)
        if not course.why_not:
            air, _ = air_of_course(reckoning, piece.id, course)
            dryings[key] = Drying(course, air, (), days)
    if not dryings:
        return {}
    from stock.wood.forecast import forecast_many

    belief = learning.learned(reckoning)
    told = forecast_many([_believed(reckoning, ids[key], one, belief) for key, one in dryings.items()])
    found: dict[int, dict[str, Candidate]] = {after: {} for after in DAYS}
    for key, forecast in zip(dryings, told, strict=True):
        for after, point in zip(DAYS, forecast.curve, strict=False):
            found[after][key] = _then(candidates[key], point.mc_pct, reckoning.target.mc_pct)
    return found


def _only_wet(one: Candidate, ask: Ask) -> bool:
    fails = failed(one, ask)
    return bool(fails) and all(fail.reason in WAIT_FOR for fail in fails)


def _believed(reckoning: Reckoning, piece_id: int, drying: Drying, belief: Learned) -> Drying:
    wood = reckoning.pieces[piece_id].wood.wood
    return replace(drying, prior=belief.of(wood.key if wood else None))


def _then(one: Candidate, mc: Spread, target_pct: float) -> Candidate:
    """A blank as it will be; ready once it is dry enough."""
    sd_pct = (mc.high - mc.low) / (2 * Z_80)
    blank = replace(one.blank, mc_pct=max(mc.median, 0.0), mc_sd_pct=sd_pct)
    ready = mc.median <= target_pct + ABOVE_PCT and mc.high <= target_pct + MOST_ABOVE_PCT
    return replace(one, blank=blank, ready=ready)
