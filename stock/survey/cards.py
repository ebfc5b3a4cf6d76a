"""The card of a piece: what it is, where it came from up to its tree, what came of it, and its story by date."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from stock.book.facts import Facts
from stock.book.kinds import BlockEventFact, PieceFact
from stock.dates import When, words
from stock.survey.blocks import BlockCard, block_card
from stock.survey.courses import Dryness, Reckoning
from stock.survey.ledgers import dried
from stock.survey.pieces import Piece


@dataclass(frozen=True, slots=True)
class Happening:
    """One dated line of a piece's story. `amount_g` and `amount_mm` are measures that the terminal writes out."""

    on: date
    on_text: str
    what: str
    amount_g: float | None = None
    amount_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Kin:
    """A piece above or below: its mark, kind, and where on its parent it lay."""

    mark: str
    tag: str
    kind: str
    made_on: date
    made_text: str
    order_no: int | None
    from_butt_mm: float | None
    length_mm: float | None
    gone: str


@dataclass(frozen=True, slots=True)
class Card:
    """Everything known of one piece."""

    piece: Piece
    dryness: Dryness
    up: tuple[Kin, ...]
    down: tuple[Kin, ...]
    site: str
    how: str
    alive: bool | None
    along_log_mm: float | None
    story: tuple[Happening, ...]
    block: BlockCard | None = None


def card(reckoning: Reckoning, piece_id: int) -> Card:
    """The card of one piece, from facts that hold its whole family."""
    pieces, facts = reckoning.pieces, reckoning.facts
    chain = pieces.up(piece_id)
    tree = next((t for one in chain for t in facts.trees.get(one, ())), None)
    return Card(
        piece=pieces[piece_id],
        dryness=reckoning.of(piece_id),
        up=tuple(_kin(pieces[one]) for one in chain[1:]),
        down=tuple(_kin(pieces[one]) for one in facts.children.get(piece_id, ())),
        site=tree.site if tree else "",
        how=tree.how if tree else "",
        alive=tree.alive if tree else None,
        along_log_mm=pieces.along_mm(piece_id),
        story=tuple(sorted(_story(facts, piece_id), key=lambda h: h.on)),
        block=block_card(reckoning, piece_id) if pieces[piece_id].kind == "block" else None,
    )


def _kin(piece: Piece) -> Kin:
    made: PieceFact = piece.made
    return Kin(
        mark=piece.mark,
        tag=piece.tag,
        kind=piece.kind,
        made_on=made.on_last,
        made_text=words(When(made.on_first, made.on_last, made.on_text)),
        order_no=made.order_no,
        from_butt_mm=made.from_butt_mm,
        length_mm=piece.size.length_mm,
        gone=piece.gone,
    )


def _story(facts: Facts, piece_id: int) -> Iterator[Happening]:
    made = facts.pieces[piece_id]
    made_text = words(When(made.on_first, made.on_last, made.on_text)) if made.on_first != made.on_last else ""
    yield Happening(made.on_last, made_text, "came down" if made.kind == "tree" else f"made, a {made.kind}")
    for operation in facts.operations.get(piece_id, ()):
        said = {"coat on": f"coated ({operation.coat_kind or 'coat'}, {operation.coat_where or 'ends'})"}
        what = said.get(operation.kind, operation.kind)
        if operation.kind == "treat" and operation.treatment:
            what = operation.treatment
        yield Happening(operation.on_last, "", what)
    for weighing in facts.weighings.get(piece_id, ()):
        role = f", {weighing.role} the cut or coat" if weighing.role != "none" else ""
        state = f" ({weighing.state})" if weighing.state != "clean" else ""
        insisted = ", insisted on" if weighing.insisted else ""
        yield Happening(weighing.on_last, "", f"weighed{state}{role}{insisted}", amount_g=weighing.mass_g)
    for section in facts.sections.get(piece_id, ()):
        result = dried(facts, section)
        name = f"moisture section {section.label}".rstrip()
        if result:
            yield Happening(
                section.on_last, "", f"{name}: {section.wet_g:g} to {result.dry_g:g} g, {100 * result.mc:.1f} %"
            )
        else:
            state = "scorched, not used" if section.scorched else "still in the oven"
            yield Happening(section.on_last, "", f"{name}: {section.wet_g:g} g, {state}")
    for reading in facts.meters.get(piece_id, ()):
        shown = f"{reading.reading_pct:g} %" if reading.reading_pct is not None else f"{reading.beyond} its range"
        yield Happening(reading.on_last, "", f"meter {reading.meter} {shown}".replace("  ", " "))
    for defect in facts.defects.get(piece_id, ()):
        where = f" at the {defect.end} end" if defect.end else f" on face {defect.face}" if defect.face else ""
        gone = ", cut off" if defect.cut_off_by_id is not None else ""
        yield Happening(defect.on_last, "", f"{defect.kind}{where}{gone}", amount_mm=defect.length_mm)
    for move in facts.moves.get(piece_id, ()):
        place = facts.places.get(move.place_id)
        yield Happening(
            move.on_last, "", f"{'seen in' if move.seen_only else 'put in'} {place.name if place else 'a place'}"
        )
    for note in facts.notes.get(piece_id, ()):
        yield Happening(note.on_last, "", f"note: {note.text}")
    for look in facts.looks.get(piece_id, ()):
        told = [look.trait, f"{look.part} wood" if look.part else None]
        told.append(f"rings at {look.ring_deg:.0f} degrees" if look.ring_deg is not None else None)
        if shown := ", ".join(word for word in told if word):
            yield Happening(look.on_last, "", f"seen: {shown}")
    for opinion in facts.opinions.get(piece_id, ()):
        by = f" by {opinion.by_whom}" if opinion.by_whom else ""
        yield Happening(opinion.on_last, "", f'held to be "{opinion.said or "unknown"}"{by}, {opinion.sure}')
    for event in facts.block_events.get(piece_id, ()):
        yield Happening(event.on_last, "", _block_event(event))
    for departure in facts.departures.get(piece_id, ()):
        what = f"out: {departure.outcome}" if departure.outcome else "back on hand"
        yield Happening(departure.on_last, "", f"{what}{f', {departure.reason}' if departure.reason else ''}")


def _block_event(event: BlockEventFact) -> str:
    done = {"glue": "glued", "split": "split at its joints", "reverse": "reversed and glued again"}[event.kind]
    told = [f"{event.joint} joint" if event.joint else "", event.glue, event.paper]
    told.append(f"{event.clamp_h:g} h in clamps" if event.clamp_h else "")
    told.append(f"to be {event.made_what}" if event.made_what else "")
    return ", ".join([done, *(word for word in told if word)])
