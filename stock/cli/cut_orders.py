"""Cutting as the person told of it: crosscut, split and sawn; each is carried out in one entry, and told of."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any, ClassVar

from stock.book.journal import Page
from stock.book.naming import Names
from stock.cli import desk
from stock.cli.lifting import heaviest_kg
from stock.cli.printing import harmless, size_words
from stock.cli.telling import counted, packed, run, tell, way_to_insist, when
from stock.dates import When
from stock.survey.pieces import Size
from stock.typed import Typed
from stock.wood.cautions import for_act
from stock.writing import both_lengths, both_squares
from stock.yard import cutting, lengthways
from stock.yard.cutting import Child, Cut
from stock.yard.in_hand import Held, hold_all
from stock.yard.lengthways import BlankPlan

LINES = 6  # on the screen after an entry
FEW_SIZES = 3  # more different sizes than these are written behind each mark


@dataclass(frozen=True, slots=True, kw_only=True)
class Crosscut:
    """A piece to be crosscut into lengths, in order from the butt."""

    verb: ClassVar[str] = "cut"
    done: ClassVar[str] = "crosscut"

    piece: str
    on: When
    lengths: tuple[Typed, ...] = ()
    dias: tuple[Typed, ...] = ()
    kerf: Typed | None = None
    tags: tuple[str, ...] = ()
    keep_rest: bool = False
    insist: bool = False

    def write(self, page: Page) -> Cut:
        return cutting.cut(
            page,
            piece=self.piece,
            lengths=self.lengths,
            on=self.on,
            dias=self.dias,
            kerf=self.kerf,
            tags=self.tags,
            keep_rest=self.keep_rest,
            insist=self.insist,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Splitting:
    """A piece to be halved or quartered through the pith."""

    verb: ClassVar[str] = "split"
    done: ClassVar[str] = "split"

    piece: str
    on: When
    into: int = 2
    tags: tuple[str, ...] = ()
    keep_rest: ClassVar[bool] = False
    insist: bool = False

    def write(self, page: Page) -> Cut:
        return lengthways.split(page, piece=self.piece, on=self.on, into=self.into, tags=self.tags, insist=self.insist)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sawing:
    """A piece to be sawn into square blanks, in order."""

    verb: ClassVar[str] = "saw"
    done: ClassVar[str] = "sawn"

    piece: str
    on: When
    blanks: tuple[BlankPlan, ...] = ()
    surface: str = "rough"
    kerf: Typed | None = None
    keep_rest: bool = False
    place: str = ""
    as_marks: tuple[str, ...] = ()
    insist: bool = False

    def write(self, page: Page) -> Cut:
        return lengthways.saw(
            page,
            piece=self.piece,
            blanks=self.blanks,
            on=self.on,
            surface=self.surface,
            kerf=self.kerf,
            keep_rest=self.keep_rest,
            place=self.place,
            as_marks=self.as_marks,
            insist=self.insist,
        )


Order = Crosscut | Splitting | Sawing


def carry_out(order: Order, *, note: str, dry_run: bool, foreseen: Sequence[str] = ()) -> None:
    """Enter what was cut, and tell of it.

    Args:
        order: what was cut from what.
        note, dry_run: as for every verb.
        foreseen: the marks that the person was told of beforehand.
    """
    with desk.current().writing(order.verb, note=note, dry_run=dry_run) as page:
        with way_to_insist():
            done = order.write(page)
        names = Names(page.connection)
        marks = [done.parent_mark, *(child.mark for child in done.children)]
        parent, *made = hold_all(page, marks, order.on, "looked at", names=names, needs="nothing")
    tell(
        _document(done, parent, made, order),
        lambda: told_lines(done, parent, order, stored=not dry_run),
        on=order.on,
        dry_run=dry_run,
        warnings=(*_not_as_foreseen(done, foreseen), *done.warnings),
        cautions=_cautions(order, parent, made),
        verb=order.verb,
    )


def told_lines(done: Cut, parent: Held, order: Order, *, stored: bool) -> Iterator[str]:
    """What the piece became, with the mark of each new one, and the next step."""
    unit = desk.current().unit("length") or "mm"
    kind = done.children[0].kind
    tag = f' "{parent.piece.tag}"' if parent.piece.tag else ""
    order_words = "" if order.verb == "split" else ", in order" if order.verb == "saw" else ", in order from the butt"
    head = (
        f"{done.parent_mark}{tag} {order.done} into {counted(len(done.children), kind)}{when(order.on)}{order_words}:"
    )
    yield harmless(head)
    room = LINES - 1 - bool(stored) - bool(order.keep_rest)
    yield from made_lines(done.children, unit, room, f"... {{}} more: rick show {done.parent_mark}")
    if order.keep_rest:
        left = "with what is left of it" if done.rest_mm is None else f"{both_lengths(done.rest_mm, unit)} long"
        yield f"{done.parent_mark} stays on hand, {left}."
    if stored:
        yield _next(kind, [child.mark for child in done.children])


def made_lines(children: Sequence[Child], unit: str, most: int, rest: str) -> list[str]:
    """New pieces in few lines: those of one size together in both systems, or each with its own size.

    Args:
        children: the pieces, in order.
        unit: the person's unit of length.
        most: the most lines.
        rest: what is said of those that do not fit.
    """
    runs = [(size, list(some)) for size, some in groupby(children, key=size_of)]
    if len(runs) <= FEW_SIZES:
        lines: list[str] = []
        for size, some in runs:
            lines += packed(f"  {both_systems(size, unit)}:", [_name(one) for one in some], most - len(runs) + 1, rest)
        if len(lines) <= most:
            return lines
    sized = [f"{_name(one)} {size_words(size_of(one), unit).removesuffix(' long')}".rstrip(" -") for one in children]
    return packed(" ", sized, most, rest)


def size_of(child: Child) -> Size:
    return Size(child.length_mm, child.width_mm, child.thickness_mm)


def _name(child: Child) -> str:
    return harmless(f'{child.mark} "{child.tag}"') if child.tag else child.mark


def both_systems(size: Size, unit: str) -> str:
    """A size in both systems, as for setting a saw."""
    told = []
    if size.width_mm and size.thickness_mm:
        told.append(both_squares(size.width_mm, size.thickness_mm, unit))
    if size.length_mm:
        told.append(f"{both_lengths(size.length_mm, unit)} long")
    return ", ".join(told) or "not measured"


def _next(kind: str, marks: Sequence[str]) -> str:
    if kind == "log":
        return f"Next: seal the ends within hours: rick seal {run(marks)}"
    if kind == "billet":
        return f"Next: the pith cut out, the ends sealed: rick seal {run(marks)}"
    return f"Next: seal the ends, weigh each: rick seal {run(marks)}; rick weigh {marks[0]} ..."


def _not_as_foreseen(done: Cut, foreseen: Sequence[str]) -> tuple[str, ...]:
    """Marks may have been written on wood already when another entry came between."""
    made = [child.mark for child in done.children]
    moved = [f"{mark} instead of {was}" for was, mark in zip(foreseen, made, strict=False) if was != mark]
    if not moved:
        return ()
    return (f"Something else was entered meanwhile, so the marks moved; mend the labels: {', '.join(moved)}.",)


def _cautions(order: Order, parent: Held, made: Sequence[Held]) -> tuple[str, ...]:
    piece = parent.piece
    lifted = made if piece.kind == "tree" else [parent]
    return for_act(
        order.verb,
        wood=piece.wood.wood,
        mass_kg=heaviest_kg(lifted),
        kinds=[*(defect.kind for defect in piece.defects), *(piece.look.traits or ())],
        dry=True if piece.kind == "blank" else None,
    )


def _document(done: Cut, parent: Held, made: Sequence[Held], order: Order) -> dict[str, Any]:
    return {
        "parent": done.parent_mark,
        "parent_on_hand": parent.piece.kind != "tree" and parent.piece.on_hand,
        "pieces": [
            {
                "mark": child.mark,
                "tag": child.tag or None,
                "kind": child.kind,
                "length_mm": child.length_mm,
                "width_mm": child.width_mm,
                "thickness_mm": child.thickness_mm,
                "dia_butt_mm": held.piece.size.dia_butt_mm,
                "dia_top_mm": held.piece.size.dia_top_mm,
                "from_butt_mm": child.from_butt_mm,
                "part": held.piece.look.part,
                "ring_deg": held.piece.look.ring_deg,
                "place": held.piece.place,
            }
            for child, held in zip(done.children, made, strict=True)
        ],
        "rest_mm": done.rest_mm,
    }
