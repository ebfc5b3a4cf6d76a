"""Cutting along the grain: a log split through the pith into billets, a log or billet sawn into square blanks."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from sqlalchemy import select

from stock import marks
from stock.book.journal import Page
from stock.book.naming import Names
from stock.book.records import METADATA, Operation
from stock.dates import When
from stock.errors import NotNow, Unclear
from stock.typed import Typed
from stock.yard.cutting import Cut, child, in_tags, last_order_no
from stock.yard.fitting import blanks_fit
from stock.yard.flaws import named
from stock.yard.in_hand import Held, hold
from stock.yard.making import Looks, Measures, NewPiece, make
from stock.yard.places import find_or_make, put_there
from stock.yard.values import dated, positive, texts, zero_up

SPLIT_INTO = {2: "halves", 4: "quarters"}


@dataclass(frozen=True, slots=True)
class BlankPlan:
    """One blank to be sawn.

    Attributes:
        width, thickness: its square, mm.
        length: mm; None is as long as the piece it comes from.
        part: heart, sap or mixed.
        rings: angle of the rings to the face, degrees, 0 flat to 90 quarter.
        from_butt: its distance from the butt end of the piece it comes from, mm.
        tag: a name of the person's own.
        mass: what it weighs right after the cut, g.
        bark_face, sap_faces, pith_in: which face lay to the bark, which show sap, whether the pith is in it.
    """

    width: Typed
    thickness: Typed
    length: Typed | None = None
    part: str | None = None
    rings: Typed | None = None
    from_butt: Typed | None = None
    tag: str = ""
    mass: Typed | None = None
    bark_face: str | None = None
    sap_faces: str | None = None
    pith_in: bool | None = None


def split(
    page: Page,
    *,
    piece: str,
    on: When,
    into: int = 2,
    tags: Sequence[str] = (),
    insist: bool = False,
    names: Names | None = None,
) -> Cut:
    """Halve or quarter a piece lengthways, through the pith.

    Args:
        page: the page that is being written.
        piece: a log or a billet.
        on: when it was split.
        into: 2 or 4.
        tags: a tag for each part; "" is none.
        insist: whether a date against the order of things is taken all the same.
        names: the names of the book, if they are at hand.

    Returns:
        The billets, as long as the piece was.

    Raises:
        NotNow: the piece was cut up before, is out, or is neither log nor billet.
        Doubtful: dates against the order of things.
        Unclear: another number of parts, or a tag that is not free.
    """
    names = names or Names(page.connection)
    held = hold(page, piece, on, "split", names=names, needs="still", insist=insist)
    _is_of_kind(held, ("log", "billet"), "split")
    if into not in SPLIT_INTO:
        raise Unclear(f"{held.mark} cannot be split into {into}.", hint="2 gives halves, 4 quarters.", piece=held.mark)
    each = in_tags(tags, into, SPLIT_INTO[into])
    made_by = page.put(Operation(piece_id=held.id, kind="split", ends_piece=True, **dated(on)))
    size = held.size_on(on.last)
    length = None if size.length_mm is None else Typed(size.length_mm, "")
    plans = [
        NewPiece(
            "billet",
            on,
            size=Measures(length=length, wood_state=size.wood_state),
            parent_id=held.id,
            made_by_id=made_by,
            order_no=at + 1,
            from_butt_mm=0.0,
            tag=tag,
        )
        for at, tag in enumerate(each)
    ]
    made, warnings = make(page, plans, names)
    children = tuple(child(one, plan) for one, plan in zip(made, plans, strict=True))
    return Cut(held.mark, children, 0.0, held.warnings + warnings + _flaws_to_look_for(held))


def saw(
    page: Page,
    *,
    piece: str,
    blanks: Sequence[BlankPlan],
    on: When,
    surface: str = "rough",
    kerf: Typed | None = None,
    keep_rest: bool = False,
    place: str = "",
    as_marks: Sequence[str] = (),
    insist: bool = False,
    names: Names | None = None,
) -> Cut:
    """Saw a piece into square blanks.

    Args:
        page: the page that is being written.
        piece: a log or billet, or a blank that is resawn into smaller ones.
        blanks: the blanks, in order.
        on: when they were sawn.
        surface: rough or planed: what the sizes were measured on.
        kerf: width of the cut, mm, if it is to be on record.
        keep_rest: whether what is left stays on the book as this piece.
        place: where the blanks go; made if it is new. Else they are where the piece was.
        as_marks: marks reserved for them before they were sawn.
        insist: whether a date against the order of things is taken all the same.
        names: the names of the book, if they are at hand.

    Returns:
        The blanks, in order.

    Raises:
        Impossible: blanks longer than the piece or with more wood in them, or a measure that cannot be.
        NotNow: the piece was sawn up before, is out, or is of another kind; a mark that is not reserved.
        Doubtful: dates against the order of things.
        Unclear: no blanks, or a tag or word that is not known or free.
    """
    names = names or Names(page.connection)
    held = hold(page, piece, on, "sawn", names=names, needs="still", insist=insist)
    _is_of_kind(held, ("log", "billet", "blank"), "sawn into blanks")
    if not blanks:
        raise Unclear(f"{held.mark}: no blanks to saw.", hint="Give their number and their square.", piece=held.mark)
    numbers = _reserved(page, as_marks, len(blanks))
    size = held.size_on(on.last)
    kerf_mm = zero_up("a kerf", kerf, held.mark) if kerf else None
    plans = [
        _new_blank(held, plan, number, at, surface, on, size.length_mm)
        for at, (plan, number) in enumerate(zip(blanks, numbers, strict=True), last_order_no(held) + 1)
    ]
    fit_warnings = blanks_fit(held, size, plans)
    made_by = page.put(
        Operation(
            piece_id=held.id,
            kind="saw",
            ends_piece=not keep_rest,
            kerf_mm=kerf_mm,
            typed=texts(kerf_mm=kerf),
            **dated(on),
        )
    )
    plans = [replace(plan, made_by_id=made_by) for plan in plans]
    made, warnings = make(page, plans, names)
    if place.strip():
        there, _ = find_or_make(page, place, on)
        put_there(page, [one.id for one in made], there, on)
    children = tuple(child(one, plan) for one, plan in zip(made, plans, strict=True))
    return Cut(held.mark, children, None, held.warnings + fit_warnings + warnings + _flaws_to_look_for(held))


def _is_of_kind(held: Held, kinds: Sequence[str], doing: str) -> None:
    if held.piece.kind not in kinds:
        raise NotNow(
            f"{held.mark} is a {held.piece.kind}: it cannot be {doing}.",
            hint="A tree is first crosscut into logs: rick cut --help." if held.piece.kind == "tree" else "",
            piece=held.mark,
        )


def _new_blank(
    held: Held, plan: BlankPlan, number: int | None, order_no: int, surface: str, on: When, long: float | None
) -> NewPiece:
    positive("a width", plan.width, held.mark)
    positive("a thickness", plan.thickness, held.mark)
    length = plan.length or (None if long is None else Typed(long, ""))
    if plan.from_butt:
        from_butt: float | None = zero_up("a distance from the butt", plan.from_butt, held.mark)
    else:
        from_butt = 0.0 if plan.length is None or plan.length.value == long else None
    return NewPiece(
        "blank",
        on,
        size=Measures(length=length, width=plan.width, thickness=plan.thickness, surface=surface or None),
        looks=Looks(plan.part or None, plan.rings, plan.sap_faces, plan.bark_face, plan.pith_in),
        parent_id=held.id,
        order_no=order_no,
        from_butt_mm=from_butt,
        typed=texts(from_butt_mm=plan.from_butt),
        tag=plan.tag.strip(),
        number=number,
        mass=plan.mass,
    )


def _reserved(page: Page, as_marks: Sequence[str], count: int) -> list[int | None]:
    """The numbers of reserved marks: given out before, and never yet on a piece."""
    if not as_marks:
        return [None] * count
    numbers = [marks.read(mark) for mark in as_marks]
    if len(numbers) != count or len(set(numbers)) != count:
        raise Unclear(f"{len(set(numbers))} marks for {count} blanks.", hint="Give one mark for each blank.")
    series, piece, change = (METADATA.tables[name] for name in ("series", "piece", "change"))
    rows = page.connection.execute(select(series.c.last_number).where(series.c.series == ""))
    last = int(rows.scalar_one())
    query = select(piece.c.number).where(piece.c.series == "", piece.c.number.in_(numbers))
    used = set(page.connection.execute(query).scalars())
    undone = page.connection.execute(select(change.c.before).where(change.c.table_name == "piece")).scalars()
    used |= {before["number"] for before in undone if before.get("series") == "" and "number" in before}
    for number in numbers:
        if number > last or number in used:
            why = "was never reserved" if number > last else "is or was on another piece"
            raise NotNow(
                f"the mark {marks.mark(number)} {why}.",
                hint="Marks are reserved by rick labels --reserve; without them, new ones are given.",
                piece=marks.mark(number),
            )
    return [*numbers]


def _flaws_to_look_for(held: Held) -> tuple[str, ...]:
    """Nobody knows in which of the pieces a defect is; it must not be forgotten with the piece it was seen on."""
    if not held.piece.defects:
        return ()
    listed = "; ".join(named(defect) for defect in held.piece.defects)
    return (f"{held.mark} had: {listed}. Look which of its pieces have it, and say so: rick defect --help.",)
