"""cut, split, saw: one piece becomes several."""

from collections.abc import Sequence
from contextlib import AbstractContextManager, nullcontext
from typing import Annotated

import typer

from stock import marks as all_marks
from stock import measure
from stock.cli import desk, options
from stock.cli.about import about
from stock.cli.cut_orders import Crosscut, Sawing, Splitting, carry_out
from stock.cli.many import listed, one_each, squares, whole, zero_up
from stock.errors import Misused
from stock.yard.lengthways import BlankPlan

MOST_BLANKS = 1000

Piece = Annotated[str, typer.Argument(metavar="[PIECE]", help="Its mark or tag; without it you are asked along.")]
Kerf = Annotated[str, typer.Option("--kerf", metavar="SIZE", help="Width of a cut.")]
Rest = Annotated[bool, typer.Option("--rest", help="What is left stays on hand as this piece.")]
Tags = Annotated[str, typer.Option("--tags", metavar="A+B+C", help="A name of your own for each.")]


def cut(
    piece: Piece = "",
    lengths: Annotated[
        str, typer.Option("--lengths", metavar="LIST", help="In order from the butt: 26in+26in+22in, 2x26in+22in.")
    ] = "",
    dia: Annotated[
        str, typer.Option("--dia", metavar="LIST", help="Of logs: one for all, or at each cut: 12in+11.5in+11in+10in.")
    ] = "",
    kerf: Kerf = "",
    tags: Tags = "",
    rest: Rest = False,
    insist: options.Insist = False,
    on: options.On = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Crosscut a tree, log, billet or blank into lengths, in order from the butt. Without lengths it asks along.

    A cut takes 8 mm of a tree, log or billet, and 3 mm of a blank, unless --kerf says otherwise.

    Example:  rick cut T7H --lengths 26in+26in+22in --dia 12in+11.5in+11in+10in

    rick cut 214H --lengths 2x150mm --kerf 3mm --rest
    """
    here = desk.current()
    with _of(piece):
        order = Crosscut(
            piece=piece,
            on=here.day(on),
            lengths=here.lengths(lengths),
            dias=here.lengths(dia),
            kerf=zero_up(kerf) if kerf else None,
            tags=tuple(listed(tags)),
            keep_rest=rest,
            insist=insist,
        )
    if piece and lengths:
        carry_out(order, note=note, dry_run=dry_run)
        return
    from stock.cli.conversations_cuts import ask_of_cut

    ask_of_cut(order, note=note, dry_run=dry_run)


def split(
    piece: Annotated[str, typer.Argument(metavar="PIECE", help="The mark or tag of a log or billet.")],
    into: Annotated[str, typer.Option("--into", metavar="2|4", help="2 halves or 4 quarters.")] = "2",
    tags: Tags = "",
    insist: options.Insist = False,
    on: options.On = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Halve or quarter a log or billet lengthways, through the pith.

    Example:  rick split 12N            rick split 12N --into 4 --tags K-1+K-2+K-3+K-4
    """
    with about(piece):
        on_day, count = desk.current().day(on), whole(into, "parts")
    order = Splitting(piece=piece, on=on_day, into=count, tags=tuple(listed(tags)), insist=insist)
    carry_out(order, note=note, dry_run=dry_run)


def saw(
    piece: Piece = "",
    blanks: Annotated[str, typer.Option("--blanks", metavar="N", help="How many blanks.")] = "",
    square: Annotated[str, typer.Option("--square", metavar="LIST", help="51mm or 52x50mm; one, or one each.")] = "",
    length: Annotated[
        str, typer.Option("--length", metavar="LIST", help="One, or one each; else as long as the piece.")
    ] = "",
    planed: Annotated[bool, typer.Option("--planed/--rough", help="What the sizes were measured on.")] = False,
    part: Annotated[str, typer.Option("--part", metavar="LIST", help="heart, sap or mixed; one, or one each.")] = "",
    rings: Annotated[str, typer.Option("--rings", metavar="LIST", help="flat, rift, quarter or degrees.")] = "",
    from_butt: Annotated[
        str, typer.Option("--from-butt", metavar="LIST", help="How far each begins from the butt end: 0+330mm.")
    ] = "",
    mass: Annotated[str, typer.Option("--mass", metavar="LIST", help="What each weighs, if weighed at once.")] = "",
    tags: Tags = "",
    as_: Annotated[str, typer.Option("--as", metavar="MARKS", help="Marks reserved for them: 214-225.")] = "",
    place: Annotated[str, typer.Option("--place", metavar="PLACE", help="Where they go, if not where it was.")] = "",
    kerf: Kerf = "",
    rest: Rest = False,
    insist: options.Insist = False,
    on: options.On = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Saw a log or billet into square blanks, in order. Without blanks it asks along, a line a blank.

    A list has one value for all blanks, or one for each, joined by + and repeated by x.

    Example:  rick saw 12N --blanks 6 --square 51mm --part 4xheart+2xsap --rings flat

    rick saw 12N --length 2x330mm+280mm --square 52x50mm+51mm+51mm
    """
    here = desk.current()
    with _of(piece):
        order = Sawing(
            piece=piece,
            on=here.day(on),
            surface="planed" if planed else "rough",
            kerf=zero_up(kerf) if kerf else None,
            keep_rest=rest,
            place=place,
            as_marks=tuple(_marks(as_)),
            insist=insist,
            blanks=_plans(blanks, square, length, part, rings, from_butt, mass, tags, as_),
        )
    if piece and order.blanks:
        carry_out(order, note=note, dry_run=dry_run)
        return
    from stock.cli.conversations_cuts import ask_of_saw

    ask_of_saw(order, note=note, dry_run=dry_run)


def _plans(
    blanks: str,
    square: str,
    length: str,
    part: str,
    rings: str,
    from_butt: str,
    mass: str,
    tags: str,
    as_: str,
) -> tuple[BlankPlan, ...]:
    """The blanks of a line; none if it says nothing of them."""
    here = desk.current()
    lengths, sides, parts = here.lengths(length), squares(square), listed(part)
    angles = [measure.angle(text) for text in listed(rings)]
    starts = [zero_up(text) for text in listed(from_butt)]
    masses = [weight for text in listed(mass) if (weight := here.mass(text))]
    named, marked = listed(tags), _marks(as_)
    lists: Sequence[Sequence[object]] = (lengths, sides, parts, angles, starts, masses, named, marked)
    if not blanks and not any(lists):
        return ()
    count = whole(blanks, "blanks") if blanks else max(len(some) for some in lists)
    _can_be(count, bool(blanks), bool(sides), named, masses)
    each = zip(
        one_each("lengths", lengths, count),
        one_each("squares", sides, count),
        one_each("parts", parts, count),
        one_each("ring angles", angles, count),
        one_each("distances from the butt", starts, count),
        one_each("weights", masses, count),
        one_each("tags", named, count),
        strict=True,
    )
    return tuple(
        BlankPlan(side[0], side[1], long, word or None, ring, start, tag or "", weight)
        for long, side, word, ring, start, weight, tag in each
        if side
    )


def _can_be(count: int, told: bool, squared: bool, named: Sequence[str], masses: Sequence[object]) -> None:
    if not 1 <= count <= MOST_BLANKS:
        raise Misused(f"{count} blanks cannot be sawn from one piece.", hint=f"Give a number from 1 to {MOST_BLANKS}.")
    if not squared:
        raise Misused("the square of the blanks is missing.", hint="--square 51mm, or --square 52x50mm")
    if not told and count == 1:
        raise Misused("how many blanks?", hint="--blanks 12, or a list with one value for each.")
    for what, some in (("tag", named), ("weight", masses)):
        if len(some) == 1 < count:
            raise Misused(f"one {what} for {count} blanks.", hint=f"Give each its {what}, joined by +.")


def _marks(text: str) -> list[str]:
    found: list[str] = []
    for term in listed(text):
        found += all_marks.ranges(term) if "-" in term else [term]
    return found


def _of(piece: str) -> AbstractContextManager[None]:
    """Where the words of a line are read: a refusal names the piece, if the line does."""
    return about(piece) if piece else nullcontext()
