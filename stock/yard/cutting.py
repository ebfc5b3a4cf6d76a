"""Cutting across: a tree into logs, a log, billet or blank into shorter ones, in order from the butt."""

from collections.abc import Sequence
from dataclasses import dataclass

from stock.book.journal import Page
from stock.book.naming import Named, Names
from stock.book.records import Operation
from stock.dates import When
from stock.errors import NotNow, Unclear
from stock.survey.pieces import Size
from stock.typed import Typed
from stock.yard.flaws import Cuts, Stretch, after_trim, handed_down
from stock.yard.in_hand import Held, hold
from stock.yard.laying_out import Line, kerf_of_mm, lay_out
from stock.yard.making import Looks, Measures, NewPiece, make, size_row
from stock.yard.values import dated, positive, texts

CHILD_KIND = {"tree": "log", "log": "log", "billet": "billet", "blank": "blank", "offcut": "offcut"}


@dataclass(frozen=True, slots=True)
class Child:
    """A piece that was just cut from another. Sizes in mm; None if not known."""

    id: int
    mark: str
    kind: str
    length_mm: float | None
    from_butt_mm: float | None
    tag: str
    width_mm: float | None = None
    thickness_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Cut:
    """What a piece was cut into, in order; `rest_mm` is the length left over, None if not known."""

    parent_mark: str
    children: tuple[Child, ...]
    rest_mm: float | None
    warnings: tuple[str, ...]


def cut(
    page: Page,
    *,
    piece: str,
    lengths: Sequence[Typed],
    on: When,
    dias: Sequence[Typed] = (),
    kerf: Typed | None = None,
    tags: Sequence[str] = (),
    keep_rest: bool = False,
    insist: bool = False,
    names: Names | None = None,
) -> Cut:
    """Crosscut a piece into lengths.

    Args:
        page: the page that is being written.
        piece: a tree (gives logs), log, billet, blank or offcut.
        lengths: the lengths, mm, in order from the butt.
        on: when it was cut.
        dias: diameters, mm: one for all, or one at each cut from the butt (one more than lengths); of trees and logs.
        kerf: width of the cut, mm; else 8 for a chain saw, 3 for blanks.
        tags: a tag for each length; "" is none.
        keep_rest: whether what is left stays on the book as this piece, shorter.
        insist: whether a date against the order of things is taken all the same.
        names: the names of the book, if they are at hand.

    Returns:
        The new pieces, in order, each with its distance from the butt end of the parent as it was.

    Raises:
        Impossible: lengths that do not fit, or a measure that cannot be.
        NotNow: the piece was cut up before, is out, or cannot be crosscut.
        Doubtful: dates against the order of things.
        Unclear: numbers of lengths, diameters and tags that do not agree; a tag that is not free.
    """
    names = names or Names(page.connection)
    held = hold(page, piece, on, "crosscut", names=names, needs="still", insist=insist)
    kind = _child_kind(held)
    _counts_agree(held, lengths, dias, tags)
    size = held.size_on(on.last)
    kerf_mm = kerf_of_mm(held, kerf)
    line = lay_out(held, lengths, kerf_mm, size, keep_rest=keep_rest)
    ends = held.piece.kind != "tree" and not keep_rest
    operation = Operation(
        piece_id=held.id,
        kind="crosscut",
        ends_piece=ends,
        kerf_mm=kerf_mm,
        butt_off_mm=line.used_mm if keep_rest and held.piece.kind != "tree" else None,
        typed=texts(kerf_mm=kerf),
        **dated(on),
    )
    made_by = page.put(operation)
    plans = _plans(held, kind, lengths, dias, tags, on, line, made_by, size)
    made, tag_warnings = make(page, plans, names)
    flaw_warnings = _flaws(page, held, made, lengths, line, made_by, on, size.length_mm, keep_rest)
    if keep_rest and line.rest_mm is not None and held.piece.kind != "tree":
        rest = size_row(held.id, Measures(length=Typed(line.rest_mm, "")), on, operation_id=made_by)
        page.put_all([rest] if rest else [])
    return Cut(
        held.mark,
        tuple(child(named, plan) for named, plan in zip(made, plans, strict=True)),
        line.rest_mm,
        held.warnings + line.warnings + tag_warnings + flaw_warnings,
    )


def child(named: Named, plan: NewPiece) -> Child:
    """What is told of a piece that was just made."""
    size = plan.size
    return Child(
        named.id,
        named.mark,
        named.kind,
        size.length.value if size.length else None,
        plan.from_butt_mm,
        named.tag,
        size.width.value if size.width else None,
        size.thickness.value if size.thickness else None,
    )


def last_order_no(held: Held) -> int:
    """The highest number among the pieces already cut from this one."""
    facts = held.pieces.facts
    return max((facts.pieces[one].order_no or 0 for one in facts.children.get(held.id, ())), default=0)


def in_tags(tags: Sequence[str], count: int, what: str) -> list[str]:
    """A tag for each new piece; none given is none for all.

    Raises:
        Unclear: fewer or more tags than pieces.
    """
    if tags and len(tags) != count:
        raise Unclear(f"{len(tags)} tags for {count} {what}.", hint="Give each a tag, or none of them.")
    return [tag.strip() for tag in tags] if tags else [""] * count


def _child_kind(held: Held) -> str:
    if held.piece.kind in CHILD_KIND:
        return CHILD_KIND[held.piece.kind]
    raise NotNow(
        f"{held.mark} is a {held.piece.kind}: it is not crosscut into pieces.",
        hint="Trees, logs, billets, blanks and offcuts are.",
        piece=held.mark,
    )


def _counts_agree(held: Held, lengths: Sequence[Typed], dias: Sequence[Typed], tags: Sequence[str]) -> None:
    if not lengths:
        raise Unclear(f"{held.mark}: no lengths to cut.", hint="Write them like 26in+26in+22in.", piece=held.mark)
    if dias and held.piece.kind not in ("tree", "log"):
        raise Unclear(f"{held.mark} is a {held.piece.kind} and has no diameter.", hint="Leave the diameters out.")
    if len(dias) not in (0, 1, len(lengths) + 1):
        raise Unclear(
            f"{len(dias)} diameters for {len(lengths)} lengths of {held.mark}.",
            hint=f"Give one for all, or {len(lengths) + 1}: one at each cut, from the butt.",
            piece=held.mark,
        )
    in_tags(tags, len(lengths), "lengths")


def _plans(
    held: Held,
    kind: str,
    lengths: Sequence[Typed],
    dias: Sequence[Typed],
    tags: Sequence[str],
    on: When,
    line: Line,
    made_by: int,
    size: Size,
) -> list[NewPiece]:
    for dia in dias:
        positive("a diameter", dia, held.mark)
    all_dias = list(dias) if len(dias) != 1 else [dias[0]] * (len(lengths) + 1)
    first_no = last_order_no(held) + 1
    squared = kind in ("blank", "offcut", "billet")
    plans: list[NewPiece] = []
    for at, (length, tag) in enumerate(zip(lengths, in_tags(tags, len(lengths), "lengths"), strict=True)):
        plans.append(
            NewPiece(
                kind,
                on,
                size=Measures(
                    length=length,
                    width=_as_it_was(size.width_mm) if squared else None,
                    thickness=_as_it_was(size.thickness_mm) if squared else None,
                    dia_butt=all_dias[at] if all_dias else None,
                    dia_top=all_dias[at + 1] if all_dias else None,
                    surface=size.surface if squared else None,
                    wood_state=size.wood_state,
                ),
                looks=_looks(held) if squared else Looks(),
                parent_id=held.id,
                made_by_id=made_by,
                order_no=first_no + at,
                from_butt_mm=line.starts[at],
                tag=tag,
            )
        )
    return plans


def _as_it_was(mm: float | None) -> Typed | None:
    return None if mm is None else Typed(mm, "")


def _looks(held: Held) -> Looks:
    """The cross-section of a squared piece goes on unchanged in its lengths."""
    look = held.piece.look
    rings = None if look.ring_deg is None else Typed(look.ring_deg, "")
    return Looks(look.part, rings, look.sap_faces, look.bark_face, look.pith_in)


def _flaws(
    page: Page,
    held: Held,
    made: Sequence[Named],
    lengths: Sequence[Typed],
    line: Line,
    made_by: int,
    on: When,
    length_mm: float | None,
    keep_rest: bool,
) -> tuple[str, ...]:
    """Hand the defects of a piece down to its lengths, and leave the rest what is its own."""
    defects = held.piece.defects
    if not defects or held.piece.kind == "tree":
        return ()
    stretches: list[tuple[int, Stretch]] = []
    for at, named in enumerate(made):
        start = line.starts[at] or 0.0
        to_the_top = at == len(made) - 1 and not keep_rest and not line.rest_mm
        stretches.append((named.id, Stretch(start, start + lengths[at].value, first=at == 0, last=to_the_top)))
    unplaced = handed_down(page, defects, stretches, length_mm, held.mark, on)
    if keep_rest:
        after_trim(page, defects, Cuts(line.used_mm, 0.0, length_mm), made_by, on)
    if not unplaced:
        return ()
    return (f"{held.mark} had: {'; '.join(unplaced)}. Look which of its pieces still have it.",)
