"""What one more measurement of a piece would bring, and why one that was made does not count for it.

Worked out only when one piece is asked for: the ledger is solved again with the measurement in it that there might be.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from math import exp, log

from stock.dates import short_day
from stock.survey.ledger_sections import FRESH_DAYS, Moment, dried, moments
from stock.survey.ledgers import Family
from stock.survey.lineage import State
from stock.survey.states import Weighed
from stock.wood.driest import no_drier_than
from stock.wood.evidence import REACH_DAYS, Row, Slice, section, weighed_at_section
from stock.wood.ledger import what_if
from stock.wood.moisture import balance_sd_g, mc_interval_pct, oven_dry_g

SLICE_DRY_G, SLICE_STEP_G = 37.0, 0.1  # of a slice of a 50 mm square, on scales fit for it
SAID_MC_PCT = 15.0  # taken for a piece of which nothing is known, to say how well a section would tell it
WORTH_TELLING = 0.2  # narrower by this share


@dataclass(frozen=True, slots=True)
class Narrowed:
    """What a section would bring: the interval as it is (None if nothing is known) and as it would be, percent.

    `by_sister` is what one of a sister would bring, and which; None if there is none or it is no better.
    """

    which: str
    now_pct: tuple[float, float] | None
    then_pct: tuple[float, float]
    by_sister: tuple[str, tuple[float, float]] | None


@dataclass(frozen=True, slots=True)
class Further:
    """What more could be known of a piece: a section to cut, the slices still in the oven (label, day), and why
    sections of its family do not count for it."""

    narrowed: Narrowed | None = None
    in_oven: tuple[tuple[str, date], ...] = ()
    not_counted: str = ""


def further(family: Family, piece_id: int, last: Weighed | None, floor_pct: float) -> Further:
    """What more could be known of a piece that was last weighed so, and cannot have dried below a moisture content."""
    waiting = tuple(
        (one.label, one.on_last)
        for one in family.facts.sections.get(piece_id, ())
        if one.kind == "slice" and not one.scorched and not any(w.final for w in family.facts.ovens.get(one.id, ()))
    )
    return Further(_narrowed(family, piece_id, last, floor_pct), waiting, _not_counted(family, piece_id))


def _narrowed(family: Family, piece_id: int, last: Weighed | None, floor_pct: float) -> Narrowed | None:
    """What a section cut now would bring, if it is a fifth or more."""
    if last is None or family.histories[piece_id].ending:
        return None
    number = len(moments(family.facts, piece_id))
    which = ("a section of it", "a second section", "a third section")[number] if number < 3 else "another section"
    node: State = (piece_id, last.state)
    known = family.ln_dry(piece_id, last)
    if known is None:
        would = what_if(family.rows, _section_now(node, last, SAID_MC_PCT), node)
        return Narrowed(which, None, _interval(last, log(oven_dry_g(last.net_g, SAID_MC_PCT)), would, floor_pct), None)
    mean, variance = known
    moist_pct = max(100 * (last.net_g / exp(mean) - 1), 0.0)

    def after(other: State, weighed: Weighed) -> tuple[float, float]:
        return _interval(last, mean, what_if(family.rows, _section_now(other, weighed, moist_pct), node), floor_pct)

    now, own = _interval(last, mean, variance, floor_pct), after(node, last)
    if not _is_worth_it(now, own):
        return None
    sister = None if number else _sister(family, piece_id)
    if sister is None or not _is_worth_it(now, by_hers := after((sister[0], sister[1].state), sister[1])):
        return Narrowed(which, now, own, None)
    return Narrowed(which, now, own, (family.lineage.named(sister[0]), by_hers))


def _is_worth_it(now: tuple[float, float], then: tuple[float, float]) -> bool:
    return then[1] - then[0] <= (1 - WORTH_TELLING) * (now[1] - now[0])


def _interval(last: Weighed, mean: float, variance: float, floor_pct: float) -> tuple[float, float]:
    whole = variance + last.variance_g2 / last.net_g**2
    if cut := no_drier_than(last.net_g, mean, whole, floor_pct):
        return cut.mc_pct[0], cut.mc_pct[2]
    _, low, high = mc_interval_pct(last.net_g, mean, variance, last.variance_g2)
    return low, high


def _section_now(node: State, weighed: Weighed, mc_pct: float) -> list[Row]:
    """A section as it might be cut from a piece when it was last weighed."""
    moisture = ("a section that might be", node)
    slice_ = Slice(SLICE_DRY_G * (1 + mc_pct / 100), SLICE_DRY_G, balance_sd_g(SLICE_STEP_G))
    return [section(moisture, [slice_]), weighed_at_section(node, moisture, weighed.net_g, weighed.variance_g2)]


def _sister(family: Family, piece_id: int) -> tuple[int, Weighed] | None:
    """A piece from the same parent that was weighed and is still whole, the last weighed first."""
    parent = family.facts.pieces[piece_id].parent_id
    beside = [
        (one, family.histories[one].weighings[-1])
        for one in (family.facts.children.get(parent, ()) if parent is not None else ())
        if one != piece_id and one in family.histories and family.histories[one].weighings
    ]
    whole = [one for one in beside if not family.histories[one[0]].ending and not moments(family.facts, one[0])]
    return max(whole, key=lambda one: one[1].on, default=None)


def _not_counted(family: Family, piece_id: int) -> str:
    """Why a section of its parent or of a sister does not count for a piece without one of its own; empty if one does.

    The nearest is told of: that of its parent, else that of a sister nearest in time.
    """
    if moments(family.facts, piece_id) or any(
        dried(family.facts, one) for one in family.facts.sections.get(piece_id, ())
    ):
        return ""
    parent = family.facts.pieces[piece_id].parent_id
    made = family.facts.pieces[piece_id].on_last
    sisters = family.facts.children.get(parent, ()) if parent is not None else ()
    others = [m for one in ((parent,) if parent is not None else ()) for m in moments(family.facts, one)]
    others += sorted(
        (m for one in sisters if one != piece_id for m in moments(family.facts, one)),
        key=lambda m: abs((m.day - made).days),
    )
    if not others or any(_counts(family, piece_id, m, parent) for m in others):
        return ""
    return _reason(family, piece_id, others[0], parent)


def _counts(family: Family, piece_id: int, moment: Moment, parent: int | None) -> bool:
    return not list(_faults(family, piece_id, moment, parent))


def _reason(family: Family, piece_id: int, moment: Moment, parent: int | None) -> str:
    named = family.lineage.named(moment.piece_id)
    why = " and ".join(_faults(family, piece_id, moment, parent))
    return f"the section of {named} of {short_day(moment.day)} does not tell its moisture: {why}"


def _faults(family: Family, piece_id: int, moment: Moment, parent: int | None) -> Iterator[str]:
    """What keeps a section of another piece from counting."""
    lineage, day = family.lineage, moment.day
    if moment.piece_id == parent and lineage.is_fresh(piece_id, day, REACH_DAYS):
        pass
    elif not _both_fresh(family, (piece_id, moment.piece_id), day):
        yield (
            f"one of them had lain for more than {FRESH_DAYS} days"
            if moment.piece_id != parent
            else (f"it was sawn {abs((family.facts.pieces[piece_id].on_last - day).days)} days from it")
        )
    if family.histories[piece_id].near(day, REACH_DAYS) is None:
        yield f"it was not weighed within {REACH_DAYS} days of it"


def _both_fresh(family: Family, some: Iterable[int], day: date) -> bool:
    return all(family.lineage.is_fresh(one, day, FRESH_DAYS) for one in some)
