"""Places as they are named in passing: found, or made with the places they lie in, and pieces put there."""

from collections.abc import Sequence

from sqlalchemy import select

from stock.book.journal import Page
from stock.book.naming import NamedPlace, fold
from stock.book.records import METADATA, Move, Place
from stock.dates import When
from stock.errors import Unclear
from stock.yard.values import dated

WITHIN = "/"  # "shed / rack 2" is rack 2 in the shed
LONGEST = 80


def find_or_make(page: Page, text: str, on: When) -> tuple[NamedPlace, tuple[str, ...]]:
    """The place of a name; what is new of it is made, from the outermost in.

    Args:
        page: the page that is being written.
        text: such as "shed / rack 2"; spaces and case play no part.
        on: from when a new place is known.

    Returns:
        The place, and the names of the places that were made.

    Raises:
        Unclear: an empty name, a part without a name, or a line break.
    """
    parts = [" ".join(part.split()) for part in text.split(WITHIN)]
    if not all(parts) or "\n" in text or "\r" in text or len(text) > LONGEST:
        raise Unclear(f'"{text[:LONGEST]}" is not the name of a place.', hint='Write it like "shed / rack 2".')
    known = METADATA.tables["place"]
    found: NamedPlace | None = None
    made: list[str] = []
    for depth in range(1, len(parts) + 1):
        name = f" {WITHIN} ".join(parts[:depth])
        row = page.connection.execute(select(known.c.id, known.c.name).where(known.c.folded == fold(name))).first()
        if row:
            found = NamedPlace(row.id, row.name)
            continue
        within = found.id if found else None
        found = NamedPlace(page.put(Place(name=name, folded=fold(name), parent_id=within, **dated(on))), name)
        made.append(name)
    assert found is not None
    return found, tuple(made)


def put_there(page: Page, piece_ids: Sequence[int], place: NamedPlace, on: When, *, seen_only: bool = False) -> None:
    """Put pieces in a place, or say that they were seen there."""
    page.put_all([Move(piece_id=one, place_id=place.id, seen_only=seen_only, **dated(on)) for one in piece_ids])
