"""Which sets of staves are held on a day, by which pieces, and which questions are kept: one query for each."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from typing import Any, NamedTuple

from sqlalchemy import Connection, or_, select

from stock.book.naming import fold
from stock.book.records import METADATA
from stock.marks import mark

SPARE = 5  # the corner of the piece that is held for the case that one of the four fails


class Member(NamedTuple):
    """A piece of a set: its corner (5 is the spare), its id and mark, and how it is to stand, if that was chosen."""

    corner: int
    piece_id: int
    mark: str
    turn_deg: float | None = None
    flipped: bool = False


@dataclass(frozen=True, slots=True)
class HeldSet:
    """A set that is still held.

    Attributes:
        id, name: of the set.
        until: the day on which it is free again; None without end.
        ask: what was wanted of it, as the project keeps it; empty if nothing was kept.
        members: by corner.
    """

    id: int
    name: str
    until: date | None
    ask: dict[str, Any] = field(default_factory=dict)
    members: tuple[Member, ...] = ()

    def is_called(self, name: str) -> bool:
        return fold(self.name) == fold(name)

    @property
    def staves(self) -> tuple[Member, ...]:
        """The four that are to be glued."""
        return tuple(one for one in self.members if one.corner != SPARE)

    @property
    def spare(self) -> str | None:
        return next((one.mark for one in self.members if one.corner == SPARE), None)

    @property
    def piece_ids(self) -> frozenset[int]:
        return frozenset(one.piece_id for one in self.members)


def held_sets(connection: Connection, on: date) -> tuple[HeldSet, ...]:
    """The sets that are held on a day, the earliest first.

    Args:
        connection: a reading connection, or that of a page being written.
        on: the day.
    """
    sets, members, pieces, projects = (METADATA.tables[n] for n in ("stave_set", "set_member", "piece", "project"))
    query = (
        select(sets.c.id, sets.c.name, sets.c.until, projects.c.ask, members.c.corner, pieces.c.id.label("piece_id"))
        .add_columns(pieces.c.number, pieces.c.series, members.c.turn_deg, members.c.flipped)
        .join(members, members.c.set_id == sets.c.id)
        .join(pieces, pieces.c.id == members.c.piece_id)
        .outerjoin(projects, projects.c.id == sets.c.project_id)
        .where(sets.c.outcome.is_(None), sets.c.on_last <= on, or_(sets.c.until.is_(None), sets.c.until > on))
        .order_by(sets.c.id, members.c.corner, members.c.row_no)
    )
    return tuple(_gathered(connection.execute(query).all()))


def _gathered(rows: Any) -> Iterator[HeldSet]:
    by_set: dict[int, list[Any]] = {}
    for row in rows:
        by_set.setdefault(row.id, []).append(row)
    for set_id, some in by_set.items():
        members = tuple(
            Member(row.corner, row.piece_id, mark(row.number, row.series), row.turn_deg, bool(row.flipped))
            for row in some
        )
        yield HeldSet(set_id, some[0].name, some[0].until, some[0].ask or {}, members)


def projects(connection: Connection) -> dict[str, dict[str, Any]]:
    """The questions that are kept: what was asked, by the name of the project."""
    table = METADATA.tables["project"]
    query = select(table.c.name, table.c.ask).order_by(table.c.id)
    return {row.name: dict(row.ask) for row in connection.execute(query)}
