"""Pieces that come onto the book: their mark, size, look, tag and first weight, one or hundreds at a time."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from stock.book.journal import Page
from stock.book.naming import Named, Names
from stock.book.records import Look, Piece, Size, Weighing
from stock.book.records.pieces import FACES, PARTS, SURFACES
from stock.dates import When
from stock.errors import Unclear
from stock.marks import mark
from stock.typed import Typed
from stock.yard.tagging import claim, tag_row, tags_like
from stock.yard.values import dated, positive, ring_angle_deg, texts


@dataclass(frozen=True, slots=True)
class Measures:
    """The size of a piece; what was not measured is None. All in mm."""

    length: Typed | None = None
    width: Typed | None = None
    thickness: Typed | None = None
    dia_butt: Typed | None = None
    dia_top: Typed | None = None
    surface: str | None = None
    wood_state: str = "unknown"


@dataclass(frozen=True, slots=True)
class Looks:
    """What a piece looks like: part of the wood, angle of its rings (degrees), faces with sap, bark, pith."""

    part: str | None = None
    rings: Typed | None = None
    sap_faces: str | None = None
    bark_face: str | None = None
    pith_in: bool | None = None


@dataclass(frozen=True, slots=True)
class NewPiece:
    """A piece about to get its mark.

    Attributes:
        kind: log, billet, blank, offcut, tree or block.
        on: when it was made or came down.
        parent_id, made_by_id: the piece it came from, and the operation that made it.
        order_no: its place among its sisters, counted from the butt, from 1.
        from_butt_mm: distance from the butt end of its parent, mm.
        number: a number reserved for it; None takes the next of its series.
        mass: what it weighed when it was made, g.
    """

    kind: str
    on: When
    size: Measures = field(default_factory=Measures)
    looks: Looks = field(default_factory=Looks)
    parent_id: int | None = None
    made_by_id: int | None = None
    order_no: int | None = None
    from_butt_mm: float | None = None
    typed: dict[str, str] = field(default_factory=dict)
    bark_on: bool | None = None
    role: str = "stock"
    origin: str = ""
    tag: str = ""
    number: int | None = None
    mass: Typed | None = None


def make(page: Page, plans: Sequence[NewPiece], names: Names) -> tuple[list[Named], tuple[str, ...]]:
    """Put new pieces on the page, all of them in a few statements.

    Args:
        page: the page that is being written.
        plans: the pieces; their parents must be on the book.
        names: the names of the book; they learn the new ones.

    Returns:
        The pieces in the order of the plans, and what the person should know.

    Raises:
        Impossible: a measure that cannot be.
        Unclear: a tag that is not free, or a word that is not known.
    """
    sizes = [size_row(0, plan.size, plan.on, where=plan.tag) for plan in plans]
    looks = [_look_row(plan) for plan in plans]
    masses = [_mass_row(plan) for plan in plans]
    warnings = claim(page, names, [plan.tag for plan in plans], plans[0].on) if plans else ()
    pieces = [_piece_row(page, plan) for plan in plans]
    page.put_all([*pieces])
    made: list[Named] = []
    for plan, piece in zip(plans, pieces, strict=True):
        assert piece.id is not None
        made.append(Named(piece.id, mark(piece.number, piece.series), piece.kind, plan.tag))
    for rows in (sizes, looks, masses):
        for row, named in zip(rows, made, strict=True):
            if row is not None:
                row.piece_id = named.id
        page.put_all([row for row in rows if row is not None])
    page.put_all([tag_row(named.id, named.tag, plan.on) for plan, named in zip(plans, made, strict=True) if named.tag])
    for named in made:
        names.learn(named)
    return made, (*warnings, *tags_like(page, made))


def size_row(
    piece_id: int, size: Measures, on: When, *, operation_id: int | None = None, where: str = ""
) -> Size | None:
    """The row of a size, or None if nothing was measured. `where` names the piece in a refusal.

    Raises:
        Impossible: a length that cannot be.
        Unclear: not a surface.
    """
    given = {
        "length_mm": size.length,
        "width_mm": size.width,
        "thickness_mm": size.thickness,
        "dia_butt_mm": size.dia_butt,
        "dia_top_mm": size.dia_top,
    }
    known = {column: measure for column, measure in given.items() if measure is not None}
    one_of("surface", size.surface, SURFACES)
    if not known and size.surface is None:
        return None
    values: dict[str, Any] = {c: positive(f"a {_words(c)}", measure, where) for c, measure in known.items()}
    plus_minus = [measure.plus_minus for measure in known.values() if measure.plus_minus]
    return Size(
        piece_id=piece_id,
        operation_id=operation_id,
        **values,
        surface=size.surface,
        wood_state=size.wood_state,
        plus_minus_mm=max(plus_minus, default=None),
        typed=texts(**known),
        **dated(on),
    )


def one_of(what: str, word: str | None, known: Sequence[str]) -> None:
    """Refuse a word that is not one of those known; None and "" pass.

    Raises:
        Unclear: the known words are given.
    """
    if word and word not in known:
        raise Unclear(f'"{word}" is not a {what} that is known here.', hint=f"Known: {', '.join(known)}.")


def _piece_row(page: Page, plan: NewPiece) -> Piece:
    series = {"tree": "T", "block": "B"}.get(plan.kind, "")
    return Piece(
        series=series,
        number=page.next_number(series) if plan.number is None else plan.number,
        kind=plan.kind,
        parent_id=plan.parent_id,
        made_by_id=plan.made_by_id,
        order_no=plan.order_no,
        from_butt_mm=plan.from_butt_mm,
        bark_on=plan.bark_on,
        role=plan.role,
        origin=plan.origin,
        typed=plan.typed,
        **dated(plan.on),
    )


def _look_row(plan: NewPiece) -> Look | None:
    looks = plan.looks
    if looks == Looks():
        return None
    one_of("part of the wood", looks.part, PARTS)
    one_of("face", looks.bark_face, FACES)
    return Look(
        piece_id=0,
        part=looks.part or None,
        ring_deg=ring_angle_deg(looks.rings, plan.tag) if looks.rings else None,
        sap_faces=looks.sap_faces or None,
        bark_face=looks.bark_face or None,
        pith_in=looks.pith_in,
        typed=texts(ring_deg=looks.rings),
        **dated(plan.on),
    )


def _mass_row(plan: NewPiece) -> Weighing | None:
    if plan.mass is None:
        return None
    step = 2 * plan.mass.plus_minus if plan.mass.plus_minus else None
    return Weighing(
        piece_id=0,
        mass_g=positive("a weight", plan.mass, plan.tag),
        plus_minus_g=plan.mass.plus_minus,
        step_g=step,
        typed=texts(mass_g=plan.mass),
        **dated(plan.on),
    )


def _words(column: str) -> str:
    return {"dia_butt_mm": "diameter at the butt", "dia_top_mm": "diameter at the top"}.get(
        column, column.removesuffix("_mm")
    )
