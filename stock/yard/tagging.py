"""Tags: the person's own names for pieces, each on one piece on hand."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import select

from stock.book.facts import facts
from stock.book.journal import Page
from stock.book.naming import Named, Names, fold
from stock.book.records import METADATA, Tag
from stock.dates import When
from stock.errors import Unclear
from stock.survey.pieces import Pieces
from stock.yard.in_hand import hold
from stock.yard.values import dated

_TAG = METADATA.tables["tag"]


@dataclass(frozen=True, slots=True)
class Tagged:
    """A piece that goes by another tag now; "" is none."""

    id: int
    mark: str
    tag: str
    was: str
    warnings: tuple[str, ...]


def put_tag(page: Page, *, piece: str, text: str, on: When, names: Names | None = None) -> Tagged:
    """Give a piece another tag, or with an empty text none.

    Args:
        page: the page that is being written.
        piece: its mark or present tag.
        text: the new tag.
        on: from when it holds.
        names: the names of the book, if they are at hand.

    Raises:
        Unclear: the tag is not free, or has a line break.
    """
    names = names or Names(page.connection)
    held = hold(page, piece, on, "tagged", names=names, needs="nothing")
    text = text.strip()
    if text and text == held.piece.tag:
        return Tagged(held.id, held.mark, text, text, (f'{held.mark} has the tag "{text}" already.',))
    was = take_off(page, held.id, on)
    warnings: tuple[str, ...] = ()
    if text and fold(text) != fold(was):
        warnings = claim(page, names, [text], on)
    if text:
        page.put(tag_row(held.id, text, on))
        names.learn(Named(held.id, held.mark, held.piece.kind, text))
    return Tagged(held.id, held.mark, text, was, held.warnings + warnings)


def claim(page: Page, names: Names, tags: Sequence[str], on: When) -> tuple[str, ...]:
    """Make sure that each of some tags may be given to a new piece.

    A tag whose piece is cut up or out is taken off that piece; the piece keeps its mark.

    Args:
        page: the page that is being written.
        names: the names of the book.
        tags: the tags wanted; empty ones are none.
        on: from when they are wanted.

    Returns:
        What the person should know: which tags changed their piece.

    Raises:
        Unclear: a tag that is on another piece on hand, is wanted twice, has a line break, or reads as a mark.
    """
    wanted = [tag for tag in tags if tag]
    folded = [fold(tag) for tag in wanted]
    twice = next((tag for at, tag in enumerate(wanted) if folded[at] in folded[:at]), None)
    if twice is not None:
        raise Unclear(f'the tag "{twice}" is wanted for two pieces.', hint="Each piece needs a tag of its own.")
    freed = dict(_freed(page, folded, on)) if wanted else {}
    for tag in wanted:
        if fold(tag) not in freed:
            names.tag_is_free(tag)
    return tuple(freed.values())


def take_off(page: Page, piece_id: int, on: When) -> str:
    """Take a piece's tag off it; gives the tag, or "" if it had none."""
    row = page.session.scalars(select(Tag).where(_TAG.c.piece_id == piece_id, _TAG.c.until.is_(None))).first()
    if row is None:
        return ""
    page.alter(row, until=on.last)
    return row.text


def tag_row(piece_id: int, text: str, on: When) -> Tag:
    """The row of a tag."""
    return Tag(piece_id=piece_id, text=text, folded=fold(text), **dated(on))


def _freed(page: Page, folded: Sequence[str], on: When) -> list[tuple[str, str]]:
    in_use: list[Tag] = []
    for start in range(0, len(folded), 1000):
        some = folded[start : start + 1000]
        in_use += page.session.scalars(select(Tag).where(_TAG.c.folded.in_(some), _TAG.c.until.is_(None)))
    if not in_use:
        return []
    pieces = Pieces(facts(page.connection, max(page.today, on.last), [tag.piece_id for tag in in_use]))
    freed: list[tuple[str, str]] = []
    for tag in in_use:
        holder = pieces[tag.piece_id]
        if holder.gone:
            page.alter(tag, until=on.last)
            freed.append(
                (tag.folded, f'the tag "{tag.text}" was on {holder.mark}, which is no longer on hand ({holder.gone}).')
            )
    return freed


def tags_like(page: Page, made: Sequence[Named]) -> list[str]:
    """A warning for each tag that reads as the mark of another, new piece: the mark comes first from now on."""
    marks = {fold(one.mark): one for one in made}
    query = select(_TAG.c.text, _TAG.c.folded, _TAG.c.piece_id).where(_TAG.c.until.is_(None))
    found = []
    for start in range(0, len(made), 1000):
        some = list(marks)[start : start + 1000]
        for row in page.connection.execute(query.where(_TAG.c.folded.in_(some))):
            new = marks[row.folded]
            if row.piece_id != new.id:
                found.append(
                    f"{new.mark} is the mark of a new piece, and the tag of another: it means the new one from now on; "
                    "rick book tag gives the other another name."
                )
    return found
