"""Notes of the person's own: those of an entry, for every piece it speaks of, and those of the lines of a notebook."""

import json
from collections import defaultdict
from collections.abc import Sequence
from datetime import date

from sqlalchemy import Connection, String, bindparam, cast, or_, select, union_all

from stock.book.kinds import NoteFact
from stock.book.records import METADATA

SPOKEN_OF = ("tree", "opinion", "size", "look", "operation", "weighing", "section", "meter_reading", "move", "defect")
MORE = ("departure", "set_member")


def notes(connection: Connection, on: date, ids: Sequence[int] | None = None) -> dict[int, list[NoteFact]]:
    """The notes on pieces as known on a day, in order, each once a piece.

    Args:
        connection: a reading connection.
        on: the day.
        ids: of these pieces; None for all.
    """
    entry = METADATA.tables["entry"]
    parts = []
    for name in ("piece", *SPOKEN_OF, *MORE):
        table = METADATA.tables[name]
        owner = table.c.id if name == "piece" else table.c.piece_id
        typed = cast(table.c.typed, String)
        columns = (owner.label("piece_id"), table.c.on_last, table.c.entry_id, entry.c.note, typed.label("typed"))
        query = select(*columns).join(entry, entry.c.id == table.c.entry_id)
        query = query.where(table.c.on_last <= on, or_(entry.c.note != "", typed.like('%"note":%')))
        parts.append(query if ids is None else query.where(owner.in_(bindparam("ids", expanding=True))))
    rows = connection.execute(union_all(*parts), {} if ids is None else {"ids": list(ids)}).all()
    found: dict[int, list[NoteFact]] = defaultdict(list)
    for row in sorted(rows, key=lambda row: (row.on_last, row.entry_id)):
        for text in (row.note, json.loads(row.typed).get("note", "") if '"note":' in row.typed else ""):
            note = NoteFact(row.piece_id, row.on_last, text)
            if text and note not in found[row.piece_id]:
                found[row.piece_id].append(note)
    return dict(found)
