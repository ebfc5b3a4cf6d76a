"""What wood a tree is: as said, by whom and how sure, and what the names here make of it. Every opinion is kept."""

from dataclasses import dataclass

from sqlalchemy import select

from stock.book.journal import Page
from stock.book.naming import Names, fold
from stock.book.records import METADATA, Opinion
from stock.book.records.pieces import SURE
from stock.dates import When
from stock.errors import Unknown
from stock.wood import species as woods
from stock.wood.species import Wood
from stock.yard.in_hand import hold
from stock.yard.making import one_of
from stock.yard.values import dated


@dataclass(frozen=True, slots=True)
class Told:
    """What wood it is: as said, as known here (key and names), and how sure. All but `said` are empty if unknown."""

    said: str
    sure: str
    key: str = ""
    name: str = "unknown"
    scientific: str = "unknown"
    rank: str = ""


@dataclass(frozen=True, slots=True)
class Opined:
    """What wood a tree, or a rootless piece, is held to be now, and was before; `pieces` of it are on the book."""

    id: int
    mark: str
    wood: Told
    was: str
    pieces: int
    warnings: tuple[str, ...]


def opinion(
    page: Page,
    *,
    piece: str,
    species: str,
    on: When,
    sure: str = "probable",
    by_whom: str = "",
    evidence: str = "",
    names: Names | None = None,
) -> Opined:
    """Say what wood a tree is; what was said before stays in the book.

    Args:
        page: the page that is being written.
        piece: the tree, or any piece of it: the opinion is put on what all its wood came from.
        species, sure, by_whom, evidence: as for `fell`.
        on: when it was found out.
        names: the names of the book, if they are at hand.

    Returns:
        What it was held to be and is now, and how many pieces that concerns.

    Raises:
        Ambiguous, Unknown, Unclear: as for `fell`.
    """
    held = hold(page, piece, on, "named", names=names, needs="nothing")
    wood = told(page, species, sure)
    root = held.pieces[held.pieces.root(held.id)]
    page.put(opinion_row(root.id, wood, on, by_whom, evidence))
    below = len(held.pieces.down(root.id))
    warnings: tuple[str, ...] = ()
    if root.id != held.id:
        warnings = (f"{held.mark} is wood of {root.mark}: said of {root.mark} and the {below} pieces from it.",)
    return Opined(root.id, root.mark, wood, root.wood.name, below, warnings)


def told(page: Page, species: str, sure: str) -> Told:
    """The wood of a name as typed; a name that only the book's own figures know is kept as said.

    Raises:
        Ambiguous: the name means several woods.
        Unknown: no wood of that name, neither here nor in the book.
        Unclear: not a word for how sure.
    """
    said = " ".join(species.split())
    one_of("word for how sure it is", sure, SURE)
    try:
        wood: Wood | None = woods.find(said)
    except Unknown:
        if not _has_figures(page, said):
            raise
        return Told(said, sure or "unknown", name=said)
    if wood is None:
        return Told(said, "unknown")
    return Told(said, sure or "unknown", wood.key, wood.name, wood.scientific, wood.rank)


def _has_figures(page: Page, said: str) -> bool:
    values = METADATA.tables["species_value"]
    query = select(values.c.said).where(values.c.species_key.is_(None)).distinct()
    return fold(said) in {fold(own) for own in page.connection.execute(query).scalars()}


def opinion_row(piece_id: int, wood: Told, on: When, by_whom: str, evidence: str) -> Opinion:
    """The row of an opinion."""
    return Opinion(
        piece_id=piece_id,
        said=wood.said,
        species_key=wood.key or None,
        rank=wood.rank,
        sure=wood.sure,
        by_whom=by_whom,
        evidence=evidence,
        **dated(on),
    )
