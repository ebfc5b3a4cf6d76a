"""The sets that are held, judged as their wood is now: at every change, and wherever a piece of one is shown."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING

from stock.book.held import held_sets

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from stock.book.journal import Page
    from stock.survey.held_sets import JudgedSet


def sets_of(connection: "Connection", on: date, piece_ids: Iterable[int] | None = None) -> "list[JudgedSet]":
    """The sets that are held on a day: all, or those with one of some pieces.

    Args:
        connection: a reading connection, or that of a page being written.
        on: the day.
        piece_ids: the pieces; None for all sets.
    """
    asked = None if piece_ids is None else frozenset(piece_ids)
    wanted = [one for one in held_sets(connection, on) if asked is None or one.piece_ids & asked]
    if not wanted:
        return []
    from stock.book.facts import facts
    from stock.survey.courses import Reckoning
    from stock.survey.held_sets import judged

    known = facts(connection, on, sorted(frozenset().union(*(one.piece_ids for one in wanted))))
    return judged(Reckoning(known), wanted)


def broken_by(page: "Page") -> list[str]:
    """What an entry about to be stored has broken of the sets that hold its pieces, a sentence each."""
    sets = sets_of(page.connection, page.today, page.touched)
    return [f'the set "{one.held.name}" is broken: {"; ".join(one.broken)}.' for one in sets if one.broken]


def held_lines(sets: "Sequence[JudgedSet]", piece_id: int) -> Iterator[str]:
    """That a piece is held, where in its set it stands, and whether the set still is what was chosen."""
    for one in sets:
        corners = [str(m.corner) for m in one.held.staves if m.piece_id == piece_id]
        where = f"corner {' and '.join(corners)}" if corners else "its spare"
        others = ", ".join(dict.fromkeys(m.mark for m in one.held.members if m.piece_id != piece_id))
        yield f'held for "{one.held.name}", {where}, with {others}'
        if one.broken:
            yield f"the set is broken: {'; '.join(one.broken)}"


def set_lines(sets: "Sequence[JudgedSet]") -> Iterator[str]:
    """Every held set in a line, and what has broken it."""
    for one in sets:
        marks = " ".join(stave.mark for stave in one.held.staves)
        spare = f", spare {one.held.spare}" if one.held.spare else ""
        weigh = f"; weigh {', '.join(one.weigh)}" if one.weigh and not one.broken else ""
        state = f"broken: {'; '.join(one.broken)}" if one.broken else f"whole{weigh}"
        yield f'"{one.held.name}": {marks}{spare}; {state}'
