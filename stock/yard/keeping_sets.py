"""Holding four staves and a spare together under a name, so that no other project takes them; and questions kept."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select

from stock.book.held import SPARE, HeldSet, held_sets
from stock.book.journal import Page
from stock.book.naming import Names, fold
from stock.book.records import Project, SetMember, StaveSet
from stock.dates import When
from stock.errors import NotNow, Unclear, Unknown
from stock.yard.values import dated


@dataclass(frozen=True, slots=True)
class StaveKept:
    """A stave of a set about to be held: its blank, how it is to stand, and where in the blank it is cut."""

    mark: str
    turn_deg: float | None = None
    flipped: bool = False
    from_butt_mm: float | None = None
    length_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Kept:
    """A set that is held now; the spare is None if there is none."""

    name: str
    staves: tuple[str, ...]
    spare: str | None


@dataclass(frozen=True, slots=True)
class Saved:
    """A question that is kept under a name; `was` says whether another was kept under it before."""

    name: str
    was: bool


def keep(
    page: Page,
    *,
    name: str,
    staves: Sequence[StaveKept],
    spare: str | None,
    on: When,
    ask: Mapping[str, Any] | None = None,
    project: str = "",
    names: Names | None = None,
) -> Kept:
    """Hold a set.

    Args:
        page: the page that is being written.
        name: what the set is for.
        staves: four, in the order of their corners.
        spare: a fifth that goes with them, or None.
        on: from when.
        ask: what was wanted of it; the set is judged by it from now on.
        project: the name under which that question is kept already; else it is kept under the name of the set.
        names: the names of the book, if they are at hand.

    Raises:
        Unclear: no name, or one that an open set has.
        NotNow: a piece is held by another set already.
    """
    title = _title(name, "the set has no name.", 'rick match ... --keep 1 --as "tall vase"')
    names = names or Names(page.connection)
    open_sets = held_sets(page.connection, page.today)
    if any(one.is_called(title) for one in open_sets):
        raise Unclear(f'a set is held as "{title}" already.', hint="Give another name.")
    held = {member.mark: one.name for one in open_sets for member in one.members}
    wanted = [*enumerate(staves, 1), *([(SPARE, StaveKept(spare))] if spare else [])]
    for _, stave in wanted:
        if stave.mark in held:
            raise NotNow(
                f'{stave.mark} is held for "{held[stave.mark]}".', hint="Ask again: rick match.", piece=stave.mark
            )
    kept = _project(page, project) if project else None
    if ask and kept is None:
        kept = _project(page, save(page, name=title, ask=ask, on=on).name)
    set_id = page.put(StaveSet(name=title, project_id=kept.id if kept else None, **dated(on)))
    page.put_all(
        [
            SetMember(
                set_id=set_id,
                piece_id=names.piece(stave.mark).id,
                corner=corner,
                turn_deg=stave.turn_deg,
                flipped=stave.flipped,
                from_butt_mm=stave.from_butt_mm,
                length_mm=stave.length_mm,
                **dated(on),
            )
            for corner, stave in wanted
        ]
    )
    return Kept(title, tuple(stave.mark for stave in staves), spare)


def release(page: Page, *, name: str) -> Kept:
    """Let the pieces of a set go.

    Args:
        page: the page that is being written.
        name: of the set.

    Raises:
        Unknown: no set is held under this name.
    """
    open_sets = held_sets(page.connection, page.today)
    found = next((one for one in open_sets if one.is_called(name)), None)
    if found is None:
        held = ", ".join(f'"{one.name}"' for one in open_sets) or "none"
        raise Unknown(f'no set is held as "{name}".', hint=f"Held: {held}.", code="unknown-set")
    end(page, found, "released")
    return Kept(found.name, tuple(one.mark for one in found.staves), found.spare)


def end(page: Page, held: HeldSet, outcome: str) -> None:
    """A set is held no longer."""
    row = page.session.get(StaveSet, held.id)
    assert row is not None
    page.alter(row, outcome=outcome)


def save(page: Page, *, name: str, ask: Mapping[str, Any], on: When) -> Saved:
    """Keep a question under a name, so that it can be asked again of tomorrow's wood.

    Args:
        page: the page that is being written.
        name: of the project; one that is known gets the new question, and the old one stays in the journal.
        ask: what is wanted, as plain values that carry their unit in their name.
        on: the day.

    Raises:
        Unclear: no name.
    """
    title = _title(name, "the project has no name.", 'rick match ... --save "tall vase"')
    row = _project(page, title)
    if row is None:
        page.put(Project(name=title, ask=dict(ask), **dated(on)))
    elif row.ask != dict(ask):
        page.alter(row, ask=dict(ask))
    return Saved(title, row is not None)


def _project(page: Page, name: str) -> Project | None:
    return next((one for one in page.session.scalars(select(Project)) if fold(one.name) == fold(name)), None)


def _title(name: str, missing: str, hint: str) -> str:
    title = " ".join(name.split())
    if not title:
        raise Unclear(missing, hint=hint)
    return title
