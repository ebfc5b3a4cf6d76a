"""What becomes of the defects on record when wood is cut off or cut through.

A look at a defect says how far it reaches from an end, or where it lies from the butt end. After a cut these measures
follow from where the saw went; they are noted as a new look, so that the old one stays.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from stock.book.journal import Page
from stock.book.kinds import DefectFact
from stock.book.records import Defect
from stock.dates import When
from stock.yard.values import dated

CUT_OFF = "cut off"


@dataclass(frozen=True, slots=True)
class Stretch:
    """One length of a piece: from so far off the piece's butt end to so far off it, mm.

    `first` and `last` say whether it is known to have the piece's own butt and top end.
    """

    start: float
    stop: float
    first: bool
    last: bool


@dataclass(frozen=True, slots=True)
class Cuts:
    """What was cut off the ends of a piece, mm, and how long it was; None if not known."""

    butt_off_mm: float
    top_off_mm: float
    length_mm: float | None


def after_trim(page: Page, defects: Sequence[DefectFact], cuts: Cuts, operation_id: int, on: When) -> tuple[str, ...]:
    """Note what a trim leaves of the defects of a piece.

    Args:
        page: the page that is being written.
        defects: the open defects of the piece.
        cuts: what was cut off.
        operation_id: the trim.
        on: when.

    Returns:
        What was done to which defect, in words.
    """
    rows: list[Defect] = []
    told: list[str] = []
    for defect in defects:
        left = _left(defect, cuts)
        if left is None:
            continue
        gone = left == CUT_OFF
        changes: dict[str, Any] = {"cut_off_by_id": operation_id} if isinstance(left, str) else dict(left)
        rows.append(_look_again(defect, defect.piece_id, on, first_id=defect.first_id or defect.id, **changes))
        told.append(f"{named(defect)} is cut off" if gone else _shorter(defect, changes))
    page.put_all([*rows])
    return tuple(told)


def handed_down(
    page: Page,
    defects: Sequence[DefectFact],
    stretches: Sequence[tuple[int, Stretch]],
    length_mm: float | None,
    parent_mark: str,
    on: When,
) -> tuple[str, ...]:
    """Give the defects of a piece that was crosscut to the pieces they are in.

    Args:
        page: the page that is being written.
        defects: the open defects of the parent.
        stretches: the ids of the new pieces, and which length of the parent each is.
        length_mm: the parent's length, if known.
        parent_mark: the parent's mark.
        on: when it was cut.

    Returns:
        The defects that could not be placed, in words: they are given to every piece.
    """
    rows: list[Defect] = []
    for defect in defects:
        for child_id, stretch in stretches:
            changes = _within(defect, stretch, length_mm)
            if changes is not None:
                seen = f"on {parent_mark}, before it was cut"
                rows.append(_look_again(defect, child_id, on, how_seen=seen, **changes))
    page.put_all([*rows])
    return tuple(named(defect) for defect in defects if defect.end is None and defect.from_butt_mm is None)


def named(defect: DefectFact) -> str:
    """A defect in words: "end check of 40 mm, butt end"."""
    long = f" of {defect.length_mm:.0f} mm" if defect.length_mm else ""
    ends = {"butt": ", butt end", "top": ", top end", "both": ", both ends"}
    return f"{defect.kind}{long}{ends.get(defect.end or '', '')}"


def _left(defect: DefectFact, cuts: Cuts) -> str | Mapping[str, Any] | None:
    """What a trim leaves: nothing ("cut off"), changed measures, or the defect as it was (None)."""
    if defect.end in ("butt", "top", "both"):
        return _left_at_ends(defect, cuts)
    if defect.from_butt_mm is None:
        return None
    start, long = defect.from_butt_mm, defect.length_mm or 0.0
    stop = cuts.length_mm - cuts.top_off_mm if cuts.length_mm is not None and cuts.top_off_mm else None
    first, last = max(start, cuts.butt_off_mm), start + long
    if stop is not None:
        last = min(last, stop)
    inside = last > first or (long == 0 and start >= cuts.butt_off_mm and (stop is None or start <= stop))
    if not inside:
        return CUT_OFF
    changes: dict[str, Any] = {}
    if first - cuts.butt_off_mm != start:
        changes["from_butt_mm"] = first - cuts.butt_off_mm
    if defect.length_mm is not None and last - first < long:
        changes["length_mm"] = last - first
    return changes or None


def _left_at_ends(defect: DefectFact, cuts: Cuts) -> str | Mapping[str, Any] | None:
    if defect.length_mm is None:
        return None
    off = {"butt": cuts.butt_off_mm, "top": cuts.top_off_mm}
    ends = ("butt", "top") if defect.end == "both" else (str(defect.end),)
    left = {end: defect.length_mm - off[end] for end in ends if defect.length_mm > off[end]}
    if not left:
        return CUT_OFF
    length, end = max(left.values()), defect.end if len(left) == len(ends) else next(iter(left))
    if length == defect.length_mm and end == defect.end:
        return None
    return {"length_mm": length, "end": end}


def _within(defect: DefectFact, stretch: Stretch, length_mm: float | None) -> dict[str, Any] | None:
    """The measures of a defect as seen from one length of the piece; None if it is not in it."""
    if defect.end in ("butt", "top", "both"):
        reach = {
            end: _reach(defect.length_mm, end, stretch, length_mm)
            for end in ("butt", "top")
            if defect.end in (end, "both")
        }
        here = {end: mm for end, mm in reach.items() if mm != 0}
        if not here:
            return None
        known = [mm for mm in here.values() if mm is not None]
        return {"end": "both" if len(here) == 2 else next(iter(here)), "length_mm": max(known, default=None)}
    if defect.from_butt_mm is None:
        return {}
    start, stop = defect.from_butt_mm, defect.from_butt_mm + (defect.length_mm or 0.0)
    if stop < stretch.start or start > stretch.stop:
        return None
    first, last = max(start, stretch.start), min(stop, stretch.stop)
    long = None if defect.length_mm is None else last - first
    return {"from_butt_mm": first - stretch.start, "length_mm": long}


def _reach(long: float | None, end: str, stretch: Stretch, length_mm: float | None) -> float | None:
    """How far a check from an end of the piece reaches into one length of it, mm: 0 not at all, None not known."""
    if long is None:
        return None if (stretch.first if end == "butt" else stretch.last) else 0
    size = stretch.stop - stretch.start
    if end == "butt":
        return min(max(long - stretch.start, 0.0), size)
    if length_mm is None:
        return min(long, size) if stretch.last else 0
    if stretch.last:
        return min(long, size)
    return min(max(stretch.stop - (length_mm - long), 0.0), size)


def _look_again(defect: DefectFact, piece_id: int, on: When, **changes: Any) -> Defect:
    same = ("kind", "end", "face", "from_butt_mm", "length_mm", "depth_mm", "width_mm", "how_many", "severity")
    fields: dict[str, Any] = {name: getattr(defect, name) for name in same}
    return Defect(piece_id=piece_id, **{**fields, **changes}, **dated(on))


def _shorter(defect: DefectFact, changes: Mapping[str, Any]) -> str:
    left = defect._replace(**{name: changes[name] for name in ("length_mm", "end") if name in changes})
    return (
        f"{named(defect)}: left of it {named(left)}" if left != defect else f"{named(defect)}: moved with the butt end"
    )
