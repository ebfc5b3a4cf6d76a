"""show, list, which: a piece, all pieces, and a piece without a label."""

from collections.abc import Iterator, Sequence
from typing import Annotated

import typer

from stock.cli import desk, options
from stock.cli.ask_ready import at_least
from stock.cli.dry_lines import dry_lines
from stock.cli.printing import Column, csv_text, harmless, mass_words, screen_width, size_words, table, title, wrapped
from stock.cli.record_blocks import stave_lines
from stock.cli.sets_held import held_lines, sets_of
from stock.dates import short_day
from stock.errors import StockError
from stock.survey import answers, cards, holdings, likely
from stock.survey.courses import Reckoning
from stock.survey.filters import Filter
from stock.survey.held_sets import JudgedSet
from stock.survey.pieces import Piece
from stock.writing import both_lengths, write_length

LIST_COLUMNS = (
    "mark",
    "tag",
    "kind",
    "species",
    "wood",
    "sure",
    "part",
    "figure",
    "width_mm",
    "thickness_mm",
    "length_mm",
    "dia_butt_mm",
    "dia_top_mm",
    "surface",
    "made_on",
    "place",
    "gone",
)


def show(
    piece: Annotated[str, typer.Argument(metavar="MARK", help="A mark or a tag.")],
    on: options.AsOn = "",
    json: options.Json = False,
) -> None:
    """Everything known of a piece: up to its tree, down to what came of it, and its story.

    Example:  rick show 214H            rick show "plum 3" --json
    """
    here = desk.current()
    piece_id = here.ids([piece])[0]
    reckoning = Reckoning(here.facts(here.asked_on(on), [piece], with_notes=True))
    if piece_id not in reckoning.pieces:
        raise StockError(f"{piece} was not on the book on that day.", hint="Ask for a later day: --on.")
    card = cards.card(reckoning, piece_id)
    with here.reading() as connection:
        held = sets_of(connection, reckoning.facts.on, [piece_id])
    here.tell(answers.card(card, held), lambda: _card_lines(card, held))


def _card_lines(card: cards.Card, held: Sequence[JudgedSet]) -> Iterator[str]:
    here = desk.current()
    unit, mass = here.unit("length") or "mm", here.unit("mass") or "g"
    piece = card.piece
    bare = piece.kind == "tree" or (card.block is not None and card.dryness.last_weighed_on is None)
    yield from [title(piece, unit)] if bare else dry_lines(card.dryness)
    if piece.gone:
        yield f"gone: {piece.gone}"
    if card.block is not None:
        yield "its staves, as moist as when they were last weighed"
        yield from stave_lines(card.block.staves)
    yield from (line for words in held_lines(held, piece.id) for line in wrapped(harmless(words)))
    said = f'told as "{harmless(piece.wood.said)}", ' if piece.wood.said not in ("", "unknown") else ""
    by = f", by {harmless(piece.wood.by_whom)}" if piece.wood.by_whom else ""
    seen = f", from {harmless(piece.wood.evidence)}" if piece.wood.evidence else ""
    sure = f", {piece.wood.sure}" if piece.wood.sure not in ("", "unknown") else ""
    yield from wrapped(f"wood: {said}{piece.wood.scientific}{sure}{by}{seen}")
    yield from _look_lines(piece, unit)
    for kin in card.up:
        from_butt = f", {both_lengths(kin.from_butt_mm)} from the butt" if kin.from_butt_mm else ""
        length = f", {both_lengths(kin.length_mm)} long" if kin.length_mm else ""
        tag = f' "{kin.tag}"' if kin.tag else ""
        when = kin.made_text or short_day(kin.made_on)
        came = "came down" if kin.kind == "tree" else "made"
        yield from wrapped(f"from {kin.kind} {kin.mark}{tag}, {came} {when}{length}{from_butt}")
    if card.site or card.how not in ("", "unknown") or card.alive is False:
        stood = {True: "alive", False: "standing dead", None: ""}[card.alive]
        told = ", ".join(w for w in (card.site, card.how if card.how != "unknown" else "", stood) if w)
        yield from wrapped(f"tree: {told}")
    if card.along_log_mm is not None:
        yield f"middle {both_lengths(card.along_log_mm)} from the butt of its log"
    for kin in card.down:
        length = both_lengths(kin.length_mm) if kin.length_mm else ""
        yield harmless(f"to {kin.kind} {kin.mark} {kin.tag}  {length}  {kin.gone}").rstrip()
    if card.story:
        yield "story"
    for one in card.story:
        amount = f"  {mass_words(one.amount_g, mass)}" if one.amount_g is not None else ""
        amount += f"  {both_lengths(one.amount_mm)}" if one.amount_mm else ""
        yield from wrapped(f"{one.on_text or short_day(one.on):<12} {one.what}{amount}", 2)


def _look_lines(piece: Piece, unit: str) -> Iterator[str]:
    look = piece.look
    told = [
        f"{look.part} wood" if look.part else "",
        f"rings {look.ring_deg:.0f} degrees to the face" if look.ring_deg is not None else "",
        ", ".join(sorted(look.traits)) if look.traits else "",
        f"coat: {piece.coat.kind}, {piece.coat.where}" if piece.coat else "",
        piece.size.surface or "",
    ]
    if line := "; ".join(t for t in told if t):
        yield from wrapped(line)
    if piece.defects:
        usable = holdings.usable_of(piece)
        for defect in piece.defects:
            where = f" at the {defect.end} end" if defect.end else f" on face {defect.face}" if defect.face else ""
            length = f", {both_lengths(defect.length_mm)}" if defect.length_mm else ""
            yield harmless(f"defect: {defect.kind}{where}{length}, seen {short_day(defect.on_last)}")
        if usable:
            yield from wrapped(usable.length.words(lambda mm: write_length(mm, unit)))
            yield from (line for reason in usable.barred for line in wrapped(reason))


def list_(
    species: options.Species = "",
    place: options.Place = "",
    kind: options.Kind = "",
    part: options.Part = "",
    figure: options.Figure = "",
    find: options.Find = "",
    square: Annotated[str, typer.Option("--square", metavar="SIZE", help="At least this square.")] = "",
    length: Annotated[str, typer.Option("--length", metavar="SIZE", help="At least this long.")] = "",
    gone: Annotated[bool, typer.Option("--gone", help="Also what is cut up, used, given or lost; and trees.")] = False,
    on: options.AsOn = "",
    json: options.Json = False,
    csv: options.Csv = False,
) -> None:
    """The pieces on hand.

    Example:  rick list --species cherry --kind blank            rick list --place shed --csv
    """
    here = desk.current()
    least_square_mm, least_length_mm = at_least(square, length)
    wanted = Filter(
        species=species,
        place=place,
        kind=kind,
        part=part,
        figure=figure,
        text=find,
        min_square_mm=least_square_mm,
        min_length_mm=least_length_mm,
    )
    reckoning = Reckoning(here.facts(here.asked_on(on), with_notes=bool(find)))
    found = list(holdings.listed(reckoning, wanted, gone=gone))
    rows = [answers.listed(p) for p in found]
    if csv:
        here.out(csv_text(rows, LIST_COLUMNS).rstrip("\n"))
        return
    here.tell(rows, lambda: _list_lines(found, gone))


def _list_lines(found: Sequence[Piece], gone: bool) -> Iterator[str]:
    unit = desk.current().unit("length") or "mm"
    if not found:
        yield "Nothing on hand."
        return
    columns = [Column("mark"), Column("tag", may_shrink=True), Column("kind"), Column("wood", may_shrink=True)]
    columns += [Column("part"), Column("size"), Column("made"), Column("where", may_shrink=True)]
    if gone:
        columns.append(Column("gone"))
    rows = []
    for p in found:
        doubt = "?" if p.wood.sure in ("guess", "unknown") and p.wood.wood else ""
        row = [p.mark, p.tag, p.kind, f"{p.wood.name}{doubt}", p.look.part or "-", size_words(p.size, unit)]
        row += [p.made.on_last.isoformat()[:7], p.place or "-"]
        rows.append([*row, p.gone] if gone else row)
    yield from table(columns, rows, screen_width())
    yield f"{len(found)} piece{'s' if len(found) != 1 else ''}"


def which(
    length: Annotated[str, typer.Option("--length", metavar="SIZE", help="How long it is.")] = "",
    square: Annotated[str, typer.Option("--square", metavar="SIZE", help="Its cross-section: 51mm or 52x50mm.")] = "",
    mass: Annotated[str, typer.Option("--mass", metavar="WEIGHT", help="What it weighs.")] = "",
    species: options.Species = "",
    place: options.Place = "",
    part: options.Part = "",
    kind: options.Kind = "",
    json: options.Json = False,
    csv: options.Csv = False,
) -> None:
    """A piece without a label: which it may be, nearest first. Nothing is decided.

    Example:  rick which --length 330mm --square 51mm --mass 480g --species cherry
    """
    here = desk.current()
    if not any((length, square, mass, species, place, part, kind)):
        raise StockError("nothing was told of the piece.", hint="Give what you can: --length, --square, --mass, ...")
    long, sides, weight = here.length(length), here.square(square), here.mass(mass)
    reckoning = Reckoning(here.facts())
    found = likely.likely(
        reckoning,
        Filter(species=species, place=place, part=part, kind=kind),
        length_mm=long.value if long else None,
        square_mm=(sides[0].value, sides[1].value) if sides else None,
        mass_g=weight.value if weight else None,
    )
    rows = [answers.likely(one) for one in found]
    if csv:
        here.out(csv_text(rows, (*LIST_COLUMNS, "distance", "last_mass_g")).rstrip("\n"))
        return
    here.tell(rows, lambda: _which_lines(found))


def _which_lines(found: Sequence[likely.Likely]) -> Iterator[str]:
    here = desk.current()
    unit, mass = here.unit("length") or "mm", here.unit("mass") or "g"
    if not found:
        yield "Nothing on hand is near that. rick add puts a piece of unknown origin on the book."
        return
    columns = [Column("mark"), Column("wood", may_shrink=True), Column("size"), Column("last weight", right=True)]
    columns += [Column("fits", may_shrink=True), Column("differs", may_shrink=True), Column("where", may_shrink=True)]
    rows = [
        (
            one.piece.mark,
            one.piece.wood.name,
            size_words(one.piece.size, unit),
            mass_words(one.last_g, mass) if one.last_g is not None else "-",
            ", ".join(one.fits) or "-",
            ", ".join(one.differs) or "-",
            one.piece.place or "-",
        )
        for one in found
    ]
    yield from table(columns, rows, screen_width())
    yield "Likely only: look at the wood before you write a mark on it. Not there? rick add."
