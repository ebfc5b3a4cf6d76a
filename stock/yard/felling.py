"""Wood that comes onto the book: a tree that came down, or a piece from elsewhere."""

from dataclasses import dataclass

from stock.book.journal import Page
from stock.book.naming import Names
from stock.book.records import Tree
from stock.book.records.pieces import HOW, ROLES
from stock.dates import When
from stock.errors import Unclear
from stock.typed import Typed
from stock.yard.making import Looks, Measures, NewPiece, make, one_of
from stock.yard.places import find_or_make, put_there
from stock.yard.tagging import Tagged, put_tag
from stock.yard.telling import Opined, Told, opinion, opinion_row, told
from stock.yard.values import dated

__all__ = ["ADDED_KINDS", "Added", "Felled", "Opined", "Tagged", "Told", "add", "fell", "opinion", "put_tag", "told"]

ADDED_KINDS = ("log", "billet", "blank", "offcut")
_KIND_ELSEWHERE = {"tree": "A tree comes in with rick fell.", "block": "A block is made with rick glue."}


@dataclass(frozen=True, slots=True)
class Felled:
    """A tree that is on the book now. `days_ago` counts from the last day on which it can have come down."""

    id: int
    mark: str
    tag: str
    wood: Told
    how: str
    alive: bool | None
    site: str
    on: When
    days_ago: int
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Added:
    """A piece from elsewhere that is on the book now."""

    id: int
    mark: str
    tag: str
    kind: str
    wood: Told
    place: str
    warnings: tuple[str, ...]


def fell(
    page: Page,
    *,
    species: str,
    on: When,
    how: str = "unknown",
    alive: bool | None = None,
    sure: str = "probable",
    by_whom: str = "",
    evidence: str = "",
    site: str = "",
    got_from: str = "",
    promise: str = "",
    limb_or_trunk: str = "",
    tag: str = "",
    names: Names | None = None,
) -> Felled:
    """Record a tree that fell or was felled.

    Args:
        page: the page that is being written.
        species: any name of the wood; "unknown" or "" is a full answer.
        on: when it came down.
        how: storm, removal, pruning, other or unknown.
        alive: whether it stood alive; None if not known.
        sure: certain, probable, guess or unknown.
        by_whom, evidence: who says what wood it is, and from what (leaf, bark, fruit).
        site, got_from, promise: where it stood, who gave it, what was promised for it.
        limb_or_trunk: what of the tree it is.
        tag: a name of the person's own.
        names: the names of the book, if they are at hand.

    Returns:
        The tree with its mark.

    Raises:
        Ambiguous: the name means several woods.
        Unknown: no wood of that name.
        Unclear: a word that is not known, or a tag that is not free.
    """
    names = names or Names(page.connection)
    wood = told(page, species, sure)
    one_of("way for a tree to come down", how, HOW)
    (made,), warnings = make(page, [NewPiece("tree", on, tag=tag.strip())], names)
    page.put(
        Tree(
            piece_id=made.id,
            how=how or "unknown",
            alive=alive,
            limb_or_trunk=limb_or_trunk,
            site=site,
            got_from=got_from,
            promise=promise,
            **dated(on),
        )
    )
    if species.strip():
        page.put(opinion_row(made.id, wood, on, by_whom, evidence))
    days_ago = (page.today - on.last).days
    return Felled(made.id, made.mark, made.tag, wood, how or "unknown", alive, site, on, days_ago, warnings)


def add(
    page: Page,
    *,
    kind: str,
    on: When,
    species: str = "",
    sure: str = "probable",
    by_whom: str = "",
    evidence: str = "",
    length: Typed | None = None,
    width: Typed | None = None,
    thickness: Typed | None = None,
    dia_butt: Typed | None = None,
    dia_top: Typed | None = None,
    part: str | None = None,
    rings: Typed | None = None,
    tag: str = "",
    place: str = "",
    origin: str = "",
    surface: str | None = None,
    bark_on: bool | None = None,
    role: str = "stock",
    names: Names | None = None,
) -> Added:
    """Put a piece of unknown or outside origin on the book.

    Args:
        page: the page that is being written.
        kind: log, billet, blank or offcut.
        on: from when it is on hand, or was made.
        species, sure, by_whom, evidence: as for `fell`.
        length, width, thickness, dia_butt, dia_top: its size, mm.
        part: heart, sap or mixed.
        rings: angle of the rings to the face, degrees, 0 flat to 90 quarter.
        tag: a name of the person's own.
        place: where it is; made if it is new.
        origin: where it came from, in the person's words.
        surface: rough or planed.
        bark_on: whether it has its bark.
        role: stock, sample or reference.
        names: the names of the book, if they are at hand.

    Returns:
        The piece with its mark.

    Raises:
        Ambiguous, Unknown: as for `fell`.
        Impossible: a measure that cannot be.
        Unclear: a word that is not known, or a tag that is not free.
    """
    names = names or Names(page.connection)
    if kind in _KIND_ELSEWHERE:
        raise Unclear(f"a {kind} cannot be added as a piece.", hint=_KIND_ELSEWHERE[kind])
    one_of("kind of piece", kind or "nothing", ADDED_KINDS)
    one_of("role", role, ROLES)
    wood = told(page, species, sure)
    plan = NewPiece(
        kind,
        on,
        size=Measures(length, width, thickness, dia_butt, dia_top, surface or None),
        looks=Looks(part=part or None, rings=rings),
        bark_on=bark_on,
        role=role or "stock",
        origin=origin,
        tag=tag.strip(),
    )
    (made,), warnings = make(page, [plan], names)
    if species.strip():
        page.put(opinion_row(made.id, wood, on, by_whom, evidence))
    if place.strip():
        there, _ = find_or_make(page, place, on)
        put_there(page, [made.id], there, on)
        place = there.name
    return Added(made.id, made.mark, made.tag, kind, wood, place.strip(), warnings)
