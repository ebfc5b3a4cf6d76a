"""Which blanks qualify as staves, and what keeps the others out: named checks, each with its shortfall.

A blank qualifies by size, by what bars it, and by being ready, in the same sense in which stock is called ready; there
is no second limit on moisture here.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from math import floor

from stock.wood import patterns
from stock.wood.likeness import Ask, Blank

REASONS = (
    "other species",
    "of neither kind",
    "kind not told",
    "reserved",
    "barred by a defect",
    "too thin",
    "too short",
    "not weighed",
    "to weigh again",
    "too wet",
    "not ready",
)
ABOVE_TARGET_PCT = 2.0  # dry enough: no more than this above the target
_BY_VERDICT = {
    "not judged": "not weighed",
    "re-weigh": "to weigh again",
    "drying": "too wet",
    "stable, too wet": "too wet",
}
_NEAR_SHARE = 0.10  # of the side or length asked for: a blank that lacks no more is a near miss
_NEAR_PCT = 3.0  # points too wet, likewise


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A blank, and what is known of it that is no matter of likeness.

    Attributes:
        blank: the blank.
        ready: whether it is ready; verdict: the word for its moisture.
        last_weighed_on: the day of its last weighing; None if it never was.
        barred: what bars it from being a stave, in words; empty if nothing does.
        reserved_for: the set that holds it; None if it is free.
    """

    blank: Blank
    ready: bool
    verdict: str
    last_weighed_on: date | None = None
    barred: tuple[str, ...] = ()
    reserved_for: str | None = None


@dataclass(frozen=True, slots=True)
class Failed:
    """One check that a blank fails.

    Attributes:
        reason: one of REASONS.
        text: what is wrong, in words.
        amount: by how much it fails, in `unit` (mm or points); None if that cannot be said.
        would_admit: what the project would have to ask for to admit it, in the same unit: a stave's side, a length.
    """

    reason: str
    text: str
    amount: float | None = None
    unit: str = ""
    would_admit: float | None = None


@dataclass(frozen=True, slots=True)
class NearMiss:
    """A blank that fails one check only, and that by little, or by want of a weighing or a look."""

    key: str
    reason: str
    shortfall: str
    amount: float | None
    unit: str
    would_admit: float | None


@dataclass(frozen=True, slots=True)
class Rejected:
    """How many blanks fail a check, and how many fail it alone: only the second number says what to do."""

    count: int
    alone: int


def failed(candidate: Candidate, ask: Ask, *, unready: bool = False) -> tuple[Failed, ...]:
    """Every check that a blank fails, in the order of REASONS; empty if it qualifies.

    Args:
        candidate: the blank.
        ask: what is wanted.
        unready: whether a blank that is not ready will do, as long as its moisture content is known.
    """
    blank, found = candidate.blank, []
    if ask.species is not None and blank.species not in ask.species:
        found.append(Failed("other species", f"{blank.species or 'an unknown wood'}, not one of those asked for"))
    if ask.two_kinds and patterns.kind_of(blank, ask.by) is None:
        known, text = patterns.why_neither(blank, ask.by)
        found.append(Failed("of neither kind" if known else "kind not told", text))
    if candidate.reserved_for is not None:
        found.append(Failed("reserved", f"held for {candidate.reserved_for}"))
    if candidate.barred:
        found.append(Failed("barred by a defect", "; ".join(candidate.barred)))
    for reason, has, needs, admits in (
        ("too thin", min(blank.width_mm, blank.thickness_mm), ask.side_mm, ask.planing_mm),
        ("too short", blank.usable_length_mm, ask.cut_mm, ask.kerf_mm),
    ):
        if has < needs - 1e-9:
            lack, would = needs - has, floor(10 * max(0.0, has - admits)) / 10
            found.append(Failed(reason, f"{lack:.1f} mm {reason}; {would:.1f} mm would admit it", lack, "mm", would))
    if not candidate.ready and not (unready and blank.mc_pct is not None):
        found.append(_moisture(candidate, ask))
    return tuple(found)


def _moisture(candidate: Candidate, ask: Ask) -> Failed:
    """Why a blank that is not ready is not."""
    mc, verdict = candidate.blank.mc_pct, candidate.verdict
    reason = "not weighed" if candidate.last_weighed_on is None else _BY_VERDICT.get(verdict, "not ready")
    if reason == "not weighed":
        return Failed(reason, "never weighed")
    if reason == "to weigh again":
        return Failed(reason, f"last weighed on {candidate.last_weighed_on}")
    if reason == "too wet" and mc is not None and ask.target_pct is not None:
        above = mc - ask.target_pct - ABOVE_TARGET_PCT
        text = f"{mc:.0f} %, {above:.1f} points too wet" if above > 0 else verdict
        return Failed(reason, text, max(0.0, above), "points")
    return Failed(reason, verdict)


def count(failures: Mapping[str, tuple[Failed, ...]]) -> dict[str, Rejected]:
    """For each check how many blanks fail it, and how many fail nothing else; checks that none fails are left out."""
    counts, alone = Counter[str](), Counter[str]()
    for found in failures.values():
        reasons = {fail.reason for fail in found}
        counts.update(reasons)
        if len(found) == 1:
            alone.update(reasons)
    return {reason: Rejected(counts[reason], alone[reason]) for reason in REASONS if counts[reason]}


def near_misses(failures: Mapping[str, tuple[Failed, ...]], ask: Ask) -> tuple[NearMiss, ...]:
    """The blanks that fail one check by little, those that lack least first."""
    limits = {
        "too thin": _NEAR_SHARE * ask.square_mm,
        "too short": _NEAR_SHARE * ask.length_mm,
        "too wet": _NEAR_PCT,
        "kind not told": 1.0,
        "not weighed": 1.0,
        "to weigh again": 1.0,
        "not ready": 1.0,
    }
    near = []
    for place, (key, found) in enumerate(failures.items()):
        if len(found) != 1 or (fail := found[0]).reason not in limits:
            continue
        if fail.reason == "too wet" and fail.amount is None:
            continue  # by how much is not known
        share = (fail.amount or 0.0) / limits[fail.reason]
        if share <= 1:
            miss = NearMiss(key, fail.reason, fail.text, fail.amount, fail.unit, fail.would_admit)
            near.append((share, place, miss))
    return tuple(miss for _, _, miss in sorted(near, key=lambda entry: entry[:2]))
