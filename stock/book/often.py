"""Which pieces were weighed often, and what they weighed: little to read in a large book."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date

from sqlalchemy import Connection, bindparam, func, select

from stock.book.records import METADATA

Weighed = Sequence[tuple[date, float]]


def often_weighed(connection: Connection, on: date, at_least: int, newest: int) -> Mapping[int, Weighed]:
    """The weights of the pieces weighed on many days, as known on a day.

    Args:
        connection: a reading connection.
        on: the day.
        at_least: on how many days.
        newest: how many pieces, those weighed last.

    Returns:
        (day, mass in g as the scales showed it) of each weighing of clean or wrapped wood, in order, by piece id; the
        piece weighed last comes first.
    """
    table = METADATA.tables["weighing"]
    known = (table.c.on_last <= on) & table.c.state.in_(("clean", "bagged"))
    last = func.max(table.c.on_last)
    chosen = (
        select(table.c.piece_id)
        .where(known)
        .group_by(table.c.piece_id)
        .having(func.count(table.c.on_last.distinct()) >= at_least)
        .order_by(last.desc(), table.c.piece_id)
        .limit(newest)
    )
    found: dict[int, list[tuple[date, float]]] = defaultdict(list)
    ids = connection.execute(chosen).scalars().all()
    rows = (
        select(table.c.piece_id, table.c.on_last, table.c.mass_g)
        .where(known & table.c.piece_id.in_(bindparam("ids", expanding=True)))
        .order_by(table.c.on_last, table.c.day_order, table.c.entry_id, table.c.row_no)
    )
    for piece_id, day, mass_g in connection.execute(rows, {"ids": ids}):
        found[piece_id].append((day, mass_g))
    return {one: found[one] for one in ids}


def roots(connection: Connection) -> Mapping[int, int]:
    """The piece from which each piece of the book came in the end, by their ids."""
    table = METADATA.tables["piece"]
    parents = {row.id: row.parent_id for row in connection.execute(select(table.c.id, table.c.parent_id))}
    found: dict[int, int] = {}
    for one in parents:
        root = one
        while (parent := parents[root]) is not None:
            root = parent
        found[one] = root
    return found
