"""What is seen on a piece: defects, looked at again and again, and figure. Every look is kept; growth is the story."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stock.book.journal import Page
from stock.book.kinds import DefectFact
from stock.book.naming import Names
from stock.book.records import Defect
from stock.dates import When
from stock.survey.holdings import usable_of
from stock.typed import Typed
from stock.wood.flaws import BARRING_KINDS
from stock.yard.in_hand import Held, hold, hold_all
from stock.yard.lifetimes import Lifetimes
from stock.yard.looking import Figured, figure
from stock.yard.seen import Seen, look_row

__all__ = ["DefectLine", "Figured", "Noted", "Seen", "defect", "defect_many", "figure"]

SAME_PLACE_MM = 10.0  # two looks at one defect may name its place so far apart


@dataclass(frozen=True, slots=True)
class DefectLine:
    """A defect of a sheet of many: the piece, the day, and what was seen."""

    piece: str
    on: When
    seen: Seen


@dataclass(frozen=True, slots=True)
class Noted:
    """A look at a defect that is on the book now. Lengths in mm, None if not known.

    Attributes:
        id: of the look; first_id: of the first look at the same defect.
        mark: the piece; kind, end: the defect.
        length_mm: as seen now; was_mm: at the look before; grown_mm: between the two.
        usable_before_mm, usable_after_mm: clear length of the piece before and after this look.
        bars: whether a piece with it is no stave, however small it is.
        sets: how many sets that hold the piece should be looked at again.
        warnings: what the person should know.
    """

    id: int
    first_id: int
    mark: str
    kind: str
    end: str | None
    length_mm: float | None
    was_mm: float | None
    grown_mm: float | None
    usable_before_mm: float | None
    usable_after_mm: float | None
    usable_words: str
    bars: bool
    sets: tuple[str, ...]
    warnings: tuple[str, ...]


def defect(
    page: Page,
    *,
    piece: str,
    kind: str,
    on: When,
    end: str | None = None,
    face: str | None = None,
    length: Typed | None = None,
    depth: Typed | None = None,
    width: Typed | None = None,
    from_butt: Typed | None = None,
    how_many: int | None = None,
    severity: str = "unknown",
    how_seen: str = "",
    gone: bool = False,
    insist: bool = False,
    names: Names | None = None,
) -> Noted:
    """Note a defect, or another look at one: the same kind at the same end and face is the same defect.

    Args:
        page: the page that is being written.
        piece: its mark or tag.
        kind, end, face, length, depth, width, from_butt, how_many, severity, how_seen, gone: see `Seen`.
        on: the day it was seen.
        insist: whether a date against the order of things is taken all the same.
        names: the names of the book, if they are at hand.

    Returns:
        The defect, how it has grown, and what length is left.

    Raises:
        Unclear: a kind, end or face that is not known.
        Impossible: longer than the piece, or a measure that cannot be.
        NotNow: the piece is gone.
        Doubtful: seen before the piece can have existed.
    """
    held = hold(page, piece, on, "looked at", names=names, insist=insist)
    seen = Seen(kind, end, face, length, depth, width, from_butt, how_many, severity, how_seen, gone)
    return _note(page, held, on, seen, list(held.pieces.facts.defects.get(held.id, ())))


def defect_many(page: Page, lines: Sequence[DefectLine], names: Names | None = None) -> tuple[Noted, ...]:
    """Note many defects, as when a notebook comes in: the book is read once.

    Raises: as `defect`, for the first line that cannot be.
    """
    names = names or Names(page.connection)
    if not lines:
        return ()
    last = max(lines, key=lambda line: line.on.last).on
    pieces = [line.piece for line in lines]
    known = {one.id: one for one in hold_all(page, pieces, last, "looked at", names=names, needs="nothing")}
    lifetimes = Lifetimes(next(iter(known.values())).pieces)
    looks = {one.id: list(one.pieces.facts.defects.get(one.id, ())) for one in known.values()}
    done: list[Noted] = []
    for line in lines:
        held = known[names.piece(line.piece).id]
        lifetimes.check(held.id, held.mark, line.on, "looked at")
        done.append(_note(page, held, line.on, line.seen, looks[held.id]))
    return tuple(done)


def _note(page: Page, held: Held, on: When, seen: Seen, looks: list[DefectFact]) -> Noted:
    """Put a look on the page; `looks` are those known so far, and learn the new one."""
    row = look_row(held, on, seen)
    before = _before(looks, row)
    row.first_id = (before.first_id or before.id) if before else None
    page.put(row)
    assert row.id is not None
    fact = DefectFact(**{name: getattr(row, name) for name in DefectFact._fields})
    was = _open(looks)
    looks.append(fact)
    looks.sort(key=lambda look: look.on_last)
    usable_before = usable_of(replace(held.piece, defects=was))
    usable_after = usable_of(replace(held.piece, defects=_open(looks)))
    grown = row.length_mm - before.length_mm if before and row.length_mm and before.length_mm is not None else None
    return Noted(
        id=row.id,
        first_id=row.first_id or row.id,
        mark=held.mark,
        kind=row.kind,
        end=row.end,
        length_mm=row.length_mm,
        was_mm=before.length_mm if before else None,
        grown_mm=grown,
        usable_before_mm=usable_before.length.mm if usable_before else None,
        usable_after_mm=usable_after.length.mm if usable_after else None,
        usable_words=usable_after.length.arithmetic if usable_after else "",
        bars=row.kind in BARRING_KINDS and not seen.gone,
        sets=_sets(held),
        warnings=(*held.warnings, *_remarks(held, seen, row, before, grown)),
    )


def _before(looks: Sequence[DefectFact], row: Defect) -> DefectFact | None:
    """The look before this one at the same defect, while it is open: of its kind, end and face, and near its place.

    A look that is entered late, before all others of its defect, is compared with the first of them.
    """
    same = [one for one in _open(looks) if _same(one, row)]
    if not same:
        return None
    first_id = same[-1].first_id or same[-1].id
    group = [one for one in looks if (one.first_id or one.id) == first_id]
    earlier = [one for one in group if one.on_last <= row.on_last]
    return earlier[-1] if earlier else group[0]


def _same(look: DefectFact, row: Defect) -> bool:
    if (look.kind, look.end, look.face) != (row.kind, row.end, row.face):
        return False
    if look.from_butt_mm is None or row.from_butt_mm is None:
        return True
    return abs(look.from_butt_mm - row.from_butt_mm) <= _place_slack_mm(look)


def _place_slack_mm(look: DefectFact) -> float:
    return max(SAME_PLACE_MM, look.length_mm or 0.0)


def _open(looks: Sequence[DefectFact]) -> tuple[DefectFact, ...]:
    latest: dict[int, DefectFact] = {}
    for look in looks:
        latest[look.first_id or look.id] = look
    return tuple(one for one in latest.values() if one.cut_off_by_id is None and one.how_many != 0)


def _sets(held: Held) -> tuple[str, ...]:
    """The names of the open sets that hold the piece."""
    sets = held.pieces.facts.sets
    members = held.pieces.facts.members.get(held.id, ())
    return tuple(sets[one.set_id].name for one in members if one.set_id in sets and sets[one.set_id].outcome is None)


def _remarks(held: Held, seen: Seen, row: Defect, before: DefectFact | None, grown: float | None) -> tuple[str, ...]:
    found: list[str] = []
    if seen.gone and before is None:
        found.append(f"no {row.kind} of {held.mark} was on the book; that it is gone is noted.")
    if grown is not None and grown < 0 and row.kind in ("end check", "surface check"):
        found.append(
            f"the check was {before.length_mm if before else 0:.0f} mm: in damp weather checks close, not heal."
        )
    return tuple(found)
