"""The facts of some pieces, or of all, as known on a day: read in a few queries, handed on as plain tuples.

A fact is known on day D if the latest day on which it can have happened is not after D; when it was written down plays
no part. Monthly normals of the air have no year and are always known.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from math import sqrt
from typing import Any, NamedTuple, TypeVar

from sqlalchemy import ColumnElement, Connection, Table, bindparam, func, select

from stock.book.kinds import (
    AirFact,
    BlockEventFact,
    BlockStaveFact,
    DefectFact,
    DepartureFact,
    LookFact,
    MemberFact,
    MeterFact,
    MoveFact,
    NoteFact,
    OperationFact,
    OpinionFact,
    OvenFact,
    OwnFigureFact,
    PieceFact,
    PlaceFact,
    ScalesCheckFact,
    ScalesFact,
    SectionFact,
    SetFact,
    SizeFact,
    TagFact,
    TreeFact,
    WeighingFact,
)
from stock.book.notes import notes
from stock.book.records import METADATA

N = TypeVar("N", bound=NamedTuple)
ByPiece = Mapping[int, Sequence[N]]

# The kinds of facts that belong to a piece, and the table of each.
_OF_PIECE: dict[str, tuple[type[Any], str]] = {
    "trees": (TreeFact, "tree"),
    "opinions": (OpinionFact, "opinion"),
    "tags": (TagFact, "tag"),
    "sizes": (SizeFact, "size"),
    "looks": (LookFact, "look"),
    "operations": (OperationFact, "operation"),
    "weighings": (WeighingFact, "weighing"),
    "sections": (SectionFact, "section"),
    "meters": (MeterFact, "meter_reading"),
    "moves": (MoveFact, "move"),
    "defects": (DefectFact, "defect"),
    "departures": (DepartureFact, "departure"),
    "members": (MemberFact, "set_member"),
}


@dataclass(frozen=True, eq=False)
class Facts:
    """Facts as known on `on`; those of a piece by its id, in the order in which they happened.

    They are one reading of the book: equal only to themselves, so that what follows from them can be kept beside them.
    """

    on: date
    pieces: Mapping[int, PieceFact]
    children: Mapping[int, Sequence[int]]
    trees: ByPiece[TreeFact] = field(default_factory=dict)
    opinions: ByPiece[OpinionFact] = field(default_factory=dict)
    tags: ByPiece[TagFact] = field(default_factory=dict)
    sizes: ByPiece[SizeFact] = field(default_factory=dict)
    looks: ByPiece[LookFact] = field(default_factory=dict)
    operations: ByPiece[OperationFact] = field(default_factory=dict)
    weighings: ByPiece[WeighingFact] = field(default_factory=dict)
    sections: ByPiece[SectionFact] = field(default_factory=dict)
    meters: ByPiece[MeterFact] = field(default_factory=dict)
    moves: ByPiece[MoveFact] = field(default_factory=dict)
    defects: ByPiece[DefectFact] = field(default_factory=dict)
    departures: ByPiece[DepartureFact] = field(default_factory=dict)
    members: ByPiece[MemberFact] = field(default_factory=dict)
    notes: ByPiece[NoteFact] = field(default_factory=dict)
    ovens: Mapping[int, Sequence[OvenFact]] = field(default_factory=dict)
    places: Mapping[int, PlaceFact] = field(default_factory=dict)
    air: Mapping[int, Sequence[AirFact]] = field(default_factory=dict)
    scales: Mapping[int, ScalesFact] = field(default_factory=dict)
    scales_checks: Mapping[int, Sequence[ScalesCheckFact]] = field(default_factory=dict)
    sets: Mapping[int, SetFact] = field(default_factory=dict)
    block_staves: Mapping[int, Sequence[BlockStaveFact]] = field(default_factory=dict)  # by block
    block_events: Mapping[int, Sequence[BlockEventFact]] = field(default_factory=dict)  # by block
    references: "Facts | None" = None  # the reference blocks, of whatever family; None if there are none
    own_figures: Sequence[OwnFigureFact] = ()
    settings: Mapping[str, str] = field(default_factory=dict)


def facts(
    connection: Connection, on: date, lineages_of: Iterable[int] | None = None, *, with_notes: bool = False
) -> Facts:
    """All facts known on a day.

    Args:
        connection: a reading connection.
        on: the day.
        lineages_of: ids of pieces; only their whole families (up to the root, down to every child) are read. None
            reads the whole book.
        with_notes: whether the notes are read too.

    Returns:
        The facts; a number of queries that does not grow with the book.
    """
    ids = None if lineages_of is None else families(connection, _with_staves(connection, lineages_of))
    pieces = {p.id: p for p in _rows(connection, PieceFact, "piece", on, ids, "id")}
    children: dict[int, list[int]] = defaultdict(list)
    for piece in sorted(pieces.values(), key=lambda p: (p.order_no or 0, p.series, p.number)):
        if piece.parent_id is not None:
            children[piece.parent_id].append(piece.id)
    grouped: dict[str, Any] = {}
    for name, (kind, table) in _OF_PIECE.items():
        grouped[name] = _by(_rows(connection, kind, table, on, ids), "piece_id")
    section_ids = None if ids is None else [s.id for of in grouped["sections"].values() for s in of]
    ovens = _rows(connection, OvenFact, "oven", on, section_ids, "section_id")
    return Facts(
        on=on,
        pieces=pieces,
        children=children,
        notes=notes(connection, on, ids) if with_notes else {},
        ovens=_by(ovens, "section_id"),
        places={p.id: p for p in _rows(connection, PlaceFact, "place", None)},
        air=_by(_air(connection, on), "place_id"),
        scales={s.id: s for s in _rows(connection, ScalesFact, "scales", None)},
        scales_checks=_by(_rows(connection, ScalesCheckFact, "scales_check", on), "scales_id"),
        sets={s.id: s for s in _rows(connection, SetFact, "stave_set", on)},
        block_staves=_by(_rows(connection, BlockStaveFact, "block_stave", on), "block_id"),
        block_events=_by(_rows(connection, BlockEventFact, "block_event", on), "block_id"),
        references=_references(connection, on),
        own_figures=_rows(connection, OwnFigureFact, "species_value", on),
        settings=settings(connection, on),
        **grouped,
    )


def settings(connection: Connection, on: date) -> dict[str, str]:
    """The settings in force on a day, by name."""
    table = METADATA.tables["setting"]
    query = select(table.c.name, table.c.value).where(table.c.on_last <= on)
    return {row.name: row.value for row in connection.execute(query.order_by(*_order(table)))}


def _with_staves(connection: Connection, piece_ids: Iterable[int]) -> list[int]:
    """The ids, and those of the staves of the blocks among them: a block is judged by what it is glued from."""
    table = METADATA.tables["block_stave"]
    asked = list(piece_ids)
    query = select(table.c.piece_id).where(table.c.block_id.in_(bindparam("asked", expanding=True)))
    return [*asked, *(i for some in _slices(asked) for i in connection.execute(query, {"asked": some}).scalars())]


def families(connection: Connection, piece_ids: Iterable[int]) -> list[int]:
    """The ids of all pieces that share a root with any of these."""
    table = METADATA.tables["piece"]
    asked = list(piece_ids)
    up = (
        select(table.c.id, table.c.parent_id)
        .where(table.c.id.in_(bindparam("asked", expanding=True)))
        .cte("up", recursive=True)
    )
    up = up.union(select(table.c.id, table.c.parent_id).where(table.c.id == up.c.parent_id))
    down = select(up.c.id).where(up.c.parent_id.is_(None)).cte("down", recursive=True)
    down = down.union(select(table.c.id).where(table.c.parent_id == down.c.id))
    found: list[int] = []
    for some in _slices(asked):
        found.extend(connection.execute(select(down.c.id), {"asked": some}).scalars())
    return sorted(set(found))


def _slices(ids: Sequence[int], size: int = 10_000) -> Iterable[Sequence[int]]:
    return (ids[start : start + size] for start in range(0, len(ids), size))


def _order(table: Table) -> tuple[ColumnElement[Any], ...]:
    return (table.c.on_last, table.c.day_order, table.c.entry_id, table.c.row_no)


def _rows(
    connection: Connection,
    kind: type[N],
    name: str,
    on: date | None,
    ids: Sequence[int] | None = None,
    by: str = "piece_id",
) -> list[N]:
    """Rows of one table as tuples of one kind, known on a day, of some owners or of all, in order."""
    table = METADATA.tables[name]
    query = select(*(table.c[column] for column in kind._fields))
    if on is not None:
        query = query.where(table.c.on_last <= on)
    if ids is None:
        return [kind._make(row) for row in connection.execute(query.order_by(*_order(table)))]
    query = query.where(table.c[by].in_(bindparam("ids", expanding=True))).order_by(*_order(table))
    return [kind._make(row) for some in _slices(ids) for row in connection.execute(query, {"ids": some})]


def _air(connection: Connection, on: date) -> list[AirFact]:
    """The normals of months as they stand, and the readings of each day as their mean: a logger writes thousands."""
    air = METADATA.tables["air"].c
    normals = select(air.place_id, air.source, air.month, air.temp_c, air.rh_pct, air.on_last)
    normals = normals.where(air.month.is_not(None)).order_by(*_order(METADATA.tables["air"]))
    found = [AirFact._make((*row, 1, 0.0)) for row in connection.execute(normals)]
    means = func.count(), func.avg(air.temp_c), func.avg(air.rh_pct), func.avg(air.rh_pct * air.rh_pct)
    days = select(air.place_id, air.on_last, func.min(air.source), *means)
    days = days.where(air.month.is_(None), air.on_last <= on).group_by(air.place_id, air.on_last)
    for place_id, day, source, count, temp_c, rh_pct, square in connection.execute(days.order_by(air.on_last)):
        swing_pct = sqrt(max(square - rh_pct**2, 0.0)) if count > 1 else 0.0
        found.append(AirFact(place_id, source, None, temp_c, rh_pct, day, count, swing_pct))
    return found


def _references(connection: Connection, on: date) -> "Facts | None":
    """The reference blocks of the book and what was done with them; None if it has none."""
    piece = METADATA.tables["piece"].c
    ids = list(connection.execute(select(piece.id).where(piece.role == "reference", piece.on_last <= on)).scalars())
    if not ids:
        return None
    grouped: dict[str, Any] = {}
    for name in ("sizes", "operations", "weighings", "sections", "moves"):
        kind, table = _OF_PIECE[name]
        grouped[name] = _by(_rows(connection, kind, table, on, ids), "piece_id")
    sections = [s.id for of in grouped["sections"].values() for s in of]
    return Facts(
        on=on,
        pieces={p.id: p for p in _rows(connection, PieceFact, "piece", on, ids, "id")},
        children={},
        ovens=_by(_rows(connection, OvenFact, "oven", on, sections, "section_id"), "section_id"),
        scales={s.id: s for s in _rows(connection, ScalesFact, "scales", None)},
        scales_checks=_by(_rows(connection, ScalesCheckFact, "scales_check", on), "scales_id"),
        **grouped,
    )


def _by(rows: Iterable[N], column: str) -> dict[int, list[N]]:
    grouped: dict[int, list[N]] = defaultdict(list)
    for row in rows:
        grouped[getattr(row, column)].append(row)
    return dict(grouped)
