"""A reference block: a small piece of known oven-dry mass that is kept in a place, to be weighed now and then."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select

from stock.book.facts import facts
from stock.book.journal import Page
from stock.book.naming import Names
from stock.book.records import METADATA, Operation, Oven, Piece, Section
from stock.dates import When, day_words
from stock.errors import Impossible, NotNow, Unclear
from stock.survey.reference_blocks import dried_whole, reference_blocks
from stock.survey.slips import grams
from stock.survey.states import step_of_digits
from stock.typed import Typed
from stock.wood.moisture import balance_sd_g
from stock.wood.reference_blocks import days_to_balance
from stock.yard.in_hand import Held, hold
from stock.yard.places import find_or_make, put_there
from stock.yard.values import dated, positive, texts

BLOCK_KINDS = ("billet", "blank", "offcut")
KIND = "offcut"  # what a reference block is: no stave is made of it
TOLD = "told"  # how an oven-dry mass is known that was not weighed wet too
COARSE_PCT = 1.0  # points from the scales alone, above which a block is too light for them
SLOW_DAYS = 60


@dataclass(frozen=True, slots=True)
class BlockKept:
    """A reference block that is on the book now.

    Attributes:
        id, mark, tag: the piece.
        place: where it is kept; new_places: what of it was made.
        is_new: whether it was none before.
        dry_g: its oven-dry mass, g; None if it is not known yet.
        counts_from: the day from which its weighings tell of the air; None while its dry mass is not known.
        days: how long a block of its size takes to come to balance.
        warnings: what the person should know.
    """

    id: int
    mark: str
    tag: str
    place: str
    new_places: tuple[str, ...]
    is_new: bool
    dry_g: float | None
    counts_from: date | None
    days: int
    warnings: tuple[str, ...]


def reference_block(
    page: Page,
    *,
    piece: str,
    place: str,
    on: When,
    dry: Typed | None = None,
    insist: bool = False,
    names: Names | None = None,
) -> BlockKept:
    """Keep a piece in a place as its reference block.

    It is no stock from then on, and no stave. A piece that was dried whole and left the stock by it is on hand again.

    Args:
        page: the page that is being written.
        piece: its mark or tag: an offcut, or what is to be one.
        place: where it is kept; made if it is new.
        on: the day from which it lies there.
        dry: its oven-dry mass, g, if it is known and not on the book yet.
        insist: whether a date against the order of things is taken all the same.
        names: the names of the book, if they are at hand.

    Raises:
        Unknown: no such piece.
        NotNow: it is gone, or is a tree, a log or a block of staves.
        Impossible: a mass that cannot be.
        Unclear: another oven-dry mass stands on the book.
        Doubtful: before the piece can have existed.
    """
    looked = hold(page, piece, on, "kept", names=names, needs="nothing")
    if looked.piece.kind not in BLOCK_KINDS:
        raise NotNow(
            f"{looked.mark} is a {looked.piece.kind}: a reference block is a small piece.",
            hint="Cut an offcut of an inch or two along the grain, and dry that.",
            piece=looked.mark,
        )
    _take_back(page, looked)
    held = hold(page, piece, on, "kept as a reference block", names=names, insist=insist)
    is_new = held.piece.role != "reference"
    if is_new or held.piece.kind != KIND:
        row = page.session.get(Piece, held.id)
        assert row is not None
        page.alter(row, role="reference", kind=KIND)
    _put_dry(page, held, dry, on)
    there, made = find_or_make(page, place, on)
    if held.piece.place_id != there.id or not held.pieces.facts.moves.get(held.id):
        put_there(page, [held.id], there, on)
    return _kept(page, held, there.name, made, on, is_new=is_new)


def _take_back(page: Page, held: Held) -> None:
    """Let a piece that ended in the oven be on hand: it was dried whole, and is all there."""
    table = METADATA.tables["operation"].c
    query = select(table.id).where(table.piece_id == held.id, table.ends_piece, table.kind == "section")
    for operation_id in page.connection.execute(query).scalars().all():
        row = page.session.get(Operation, operation_id)
        assert row is not None
        page.alter(row, ends_piece=False, kept_fraction=1.0)


def _put_dry(page: Page, held: Held, dry: Typed | None, on: When) -> None:
    if dry is None:
        return
    dry_g = positive("an oven-dry weight", dry, held.mark)
    known = dried_whole(held.pieces.facts, held.id)
    if known is not None:
        if known[2] == dry_g:
            return
        raise Unclear(
            f"{held.mark} weighed {grams(known[2], known[0].step_g)} oven-dry on {day_words(known[1])}, by the book.",
            hint=f"Dried again? rick oven {held.mark} --whole --wet ... --dry ...",
            piece=held.mark,
        )
    lightest = min((w.mass_g for w in held.pieces.facts.weighings.get(held.id, ()) if w.state == "clean"), default=None)
    if lightest is not None and dry_g > lightest:
        raise Impossible(
            f"{held.mark}: {grams(dry_g, 0.1)} oven-dry is above the {grams(lightest, 0.1)} that it weighed.",
            hint="Is it the weight of this piece, and in this unit?",
            piece=held.mark,
        )
    step_g = 2 * dry.plus_minus if dry.plus_minus else step_of_digits(dry_g)
    section = Section(
        piece_id=held.id, label="1", kind="whole", wet_g=dry_g, step_g=step_g, method=TOLD, typed={}, **dated(on)
    )
    section_id = page.put(section)
    page.put(Oven(section_id=section_id, mass_g=dry_g, step_g=step_g, final=True, typed=texts(mass_g=dry), **dated(on)))


def _kept(page: Page, held: Held, place: str, made: tuple[str, ...], on: When, *, is_new: bool) -> BlockKept:
    known = facts(page.connection, max(page.today, on.last), [held.id])
    block = next(one for one in reference_blocks(known) if one.id == held.id)
    size = held.piece.size
    days = days_to_balance(size.width_mm, size.thickness_mm, size.length_mm)
    warnings = [f"{name} is new on the book." for name in made]
    if block.dry_g is None:
        warnings.append(f"its oven-dry mass is not known yet: rick oven {held.mark} --whole --wet ... --dry ...")
    dried = dried_whole(known, held.id)
    warnings += _shortcomings(held, days, dried[0].step_g if dried else None, block.dry_g)
    return BlockKept(
        id=held.id,
        mark=held.mark,
        tag=held.piece.tag,
        place=place,
        new_places=made,
        is_new=is_new,
        dry_g=block.dry_g,
        counts_from=block.counts_from,
        days=days,
        warnings=(*held.warnings, *warnings),
    )


def _shortcomings(held: Held, days: int, step_g: float | None, dry_g: float | None) -> Iterator[str]:
    """What makes a piece a poor reference block."""
    if dry_g and step_g and (points := 100 * balance_sd_g(step_g) / dry_g) > COARSE_PCT:
        block = grams(dry_g, step_g)
        yield f"steps of {step_g:.2g} g are {points:.1f} points on {block}: finer scales or a heavier block tell more."
    if held.piece.size.length_mm is None:
        yield "its length along the grain is not known; 50 mm are taken."
    elif days > SLOW_DAYS:
        yield f"a block of its size takes {days} days to come to balance; an inch along the grain takes 3 weeks."
    if held.piece.coat is not None:
        yield f"{held.mark} is coated: only bare wood follows the air."
