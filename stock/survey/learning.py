"""What the user's own finished pieces tell of new ones: which are finished, and how they dried.

A finished piece was weighed often, lost much, and stands still. The newest are taken, of few trees, so that it costs
no more in a large book than in a small one. Which they are is decided by plain weights, the same from a whole book as
from those families of it that hold them; so a question about one piece learns what a question about all does. Facts as
known on a day know nothing later.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from stock.book import often
from stock.book.facts import Facts
from stock.survey.courses import Reckoning
from stock.survey.dryings import air_of_course, course_of
from stock.wood.drying import Course, Drying, Forecast
from stock.wood.drying_rates import Finished, Learned, learn
from stock.wood.forecast import forecast_many

if TYPE_CHECKING:
    from sqlalchemy import Connection

WEIGH_INS, SPAN_DAYS = 6, 90  # fewer weighings, or in less time, do not show how a piece dried
LOST = 0.12  # the least share of its last weight that a piece lost on the way
QUIET_MONTH, QUIET_DAYS = 0.01, 21  # dry: no more than this share of its weight a month lost, over so many days
LOOKED_AT = 400  # of the pieces weighed often, the newest
PIECES, TREES, OF_A_TREE = 40, 12, 8  # at most so many are learnt from, of so many trees
DRAWS = 64  # for means and spreads; dates ask for more

_told: dict[Drying, Forecast] = {}  # what was told of a course is told again: it depends on nothing else
_MOST_TOLD = 4000


def ids_to_read(connection: "Connection", on: date) -> list[int]:
    """The pieces of a book whose families must be read for `learned` to see what the whole book would show it."""
    weighed = often.often_weighed(connection, on, WEIGH_INS, LOOKED_AT)
    return _chosen(weighed, often.roots(connection)) if weighed else []


def learned(reckoning: Reckoning) -> Learned:
    """The belief about new pieces, by the finished ones among the facts.

    Args:
        reckoning: the moisture of the whole book, or of the families of `ids_to_read` at least; of fewer it learns
            what those have to tell.

    Returns:
        A new user's belief until ten pieces are finished.
    """
    dryings: dict[int, Drying] = {}
    for piece_id in finished(reckoning):
        course = course_of(reckoning, reckoning.pieces[piece_id])
        if _is_whole(course):
            air, _ = air_of_course(reckoning, piece_id, course)
            dryings[piece_id] = Drying(course, air)
    _tell(dryings.values())
    told = ((reckoning.pieces[one].wood.wood, _told[drying]) for one, drying in dryings.items())
    return learn(
        Finished(wood.key if wood else None, forecast.ln_tau, forecast.ln_emission)
        for wood, forecast in told
        if forecast.ln_tau and forecast.ln_emission
    )


def finished(reckoning: Reckoning) -> list[int]:
    """The finished pieces that are learnt from, by their plain weights, the one weighed last first."""
    weighed = _often_weighed(reckoning.facts)
    return _chosen(weighed, {one: reckoning.pieces.root(one) for one in weighed})


def _often_weighed(facts: Facts) -> dict[int, often.Weighed]:
    """The same of facts as `often.often_weighed` of a book."""
    plain = {
        one: [(w.on_last, w.mass_g) for w in some if w.state in ("clean", "bagged")]
        for one, some in facts.weighings.items()
        if len(some) >= WEIGH_INS
    }
    some = [one for one, weights in plain.items() if len({on for on, _ in weights}) >= WEIGH_INS]
    newest = sorted(some, key=lambda one: (-max(on for on, _ in plain[one]).toordinal(), one))
    return {one: plain[one] for one in newest[:LOOKED_AT]}


def _chosen(weighed: Mapping[int, often.Weighed], roots: Mapping[int, int]) -> list[int]:
    trees: Counter[int] = Counter()
    found: list[int] = []
    for one in (i for i, weights in weighed.items() if _stands_still(weights)):
        tree = roots[one]
        if trees[tree] < OF_A_TREE and (trees[tree] or len(trees) < TREES) and len(found) < PIECES:
            trees[tree] += 1
            found.append(one)
    return found


def _stands_still(weights: Sequence[tuple[date, float]]) -> bool:
    """Whether a piece lost much since it was first weighed, and lately next to nothing."""
    (first, first_g), (last, last_g) = weights[0], weights[-1]
    if (last - first).days < SPAN_DAYS or first_g < (1 + LOST) * last_g:
        return False
    before = next(((on, g) for on, g in reversed(weights) if (last - on).days >= QUIET_DAYS), None)
    return before is not None and abs(before[1] / last_g - 1) * 30 / (last - before[0]).days <= QUIET_MONTH


def _is_whole(course: Course) -> bool:
    """Whether the present series shows all the drying of a bare piece; planing or a coat may have cut it short."""
    if course.why_not or course.coated or len(set(course.days)) < WEIGH_INS:
        return False
    by_day = sorted(zip(course.days, course.net_g, strict=True))
    return by_day[0][1] >= (1 + LOST) * by_day[-1][1]


def _tell(dryings: Iterable[Drying]) -> None:
    """Forecast the courses that were not told of yet."""
    if len(_told) > _MOST_TOLD:
        _told.clear()
    new = [one for one in dict.fromkeys(dryings) if one not in _told]
    _told.update(zip(new, forecast_many(new, draws=DRAWS, horizon_days=1), strict=True))
