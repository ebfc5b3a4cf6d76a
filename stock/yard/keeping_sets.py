"""Holding four staves and a spare together under a name, so that no other project takes them."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import select

from stock.book.journal import Page
from stock.book.naming import Names, fold
from stock.book.records import METADATA, SetMember, StaveSet
from stock.dates import When
from stock.errors import NotNow, Unclear
from stock.yard.values import dated

SPARE = 5


@dataclass(frozen=True, slots=True)
class Kept:
    """A set that is held now; the spare is None if there is none."""

    name: str
    staves: tuple[str, ...]
    spare: str | None


def keep(
    page: Page, *, name: str, staves: Sequence[str], spare: str | None, on: When, names: Names | None = None
) -> Kept:
    """Hold a set.

    Args:
        page: the page that is being written.
        name: what the set is for.
        staves: four pieces, in the order of their corners.
        spare: a fifth that goes with them, or None.
        on: from when.

    Raises:
        Unclear: no name, or one that an open set has.
        NotNow: a piece is held by another set already.
    """
    title = " ".join(name.split())
    if not title:
        raise Unclear("the set has no name.", hint='rick match ... --keep 1 --as "tall vase"')
    names = names or Names(page.connection)
    sets, members = METADATA.tables["stave_set"], METADATA.tables["set_member"]
    open_sets = page.connection.execute(select(sets.c.id, sets.c.name).where(sets.c.outcome.is_(None))).all()
    if any(fold(one.name) == fold(title) for one in open_sets):
        raise Unclear(f'a set is held as "{title}" already.', hint="Give another name.")
    held = {
        row.piece_id: next(one.name for one in open_sets if one.id == row.set_id)
        for row in page.connection.execute(
            select(members.c.piece_id, members.c.set_id).where(members.c.set_id.in_([one.id for one in open_sets]))
        )
    }
    wanted = [(corner, names.piece(mark)) for corner, mark in enumerate(staves, 1)]
    if spare:
        wanted.append((SPARE, names.piece(spare)))
    for _, piece in wanted:
        if piece.id in held:
            raise NotNow(
                f'{piece.mark} is held for "{held[piece.id]}".', hint="Ask again: rick match.", piece=piece.mark
            )
    set_id = page.put(StaveSet(name=title, **dated(on)))
    page.put_all([SetMember(set_id=set_id, piece_id=piece.id, corner=corner, **dated(on)) for corner, piece in wanted])
    return Kept(title, tuple(piece.mark for corner, piece in wanted if corner != SPARE), spare)
