"""Where pieces are: moved, seen, gone out of the stock, and come back. Nothing is ever deleted."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import select

from stock.book.journal import Page
from stock.book.naming import NamedPlace, Names
from stock.book.records import Departure, Place, Tag
from stock.book.records.places import COVERS
from stock.book.records.sets import OUTCOMES
from stock.dates import When, day_words
from stock.errors import Impossible, NotNow, Unclear
from stock.survey.airs import cover_of
from stock.yard.in_hand import Held, hold, hold_all
from stock.yard.making import one_of
from stock.yard.places import find_or_make, put_there
from stock.yard.tagging import tag_row, take_off
from stock.yard.values import dated

MOST_TURN = 1_000_000


@dataclass(frozen=True, slots=True)
class MovedPiece:
    """A piece and where it was before; None if that was not known."""

    mark: str
    tag: str
    was: str | None


@dataclass(frozen=True, slots=True)
class Moved:
    """Pieces that are in a place now.

    Attributes:
        place: its name; cover: open, roofed, unheated, heated, or None if never said.
        pieces: each with where it was.
        seen_only: they were seen there, not put there.
        new_places: places made on the way.
        new_air: marks of the pieces that came from under another cover: they will change weight again.
        warnings: what the person should know.
    """

    place: str
    cover: str | None
    pieces: tuple[MovedPiece, ...]
    seen_only: bool
    new_places: tuple[str, ...]
    new_air: tuple[str, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlaceKept:
    """A place as it is on the book now; `new_places` says what of it was made."""

    id: int
    name: str
    cover: str | None
    walk_no: int | None
    new_places: tuple[str, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Out:
    """A piece that left the stock. `tag` is the tag that is free again; `sets` the open sets that held it."""

    id: int
    mark: str
    tag: str
    outcome: str
    sets: tuple[str, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Back:
    """A piece that is in the stock again, under its old tag if that was still free."""

    mark: str
    tag: str
    was: str
    warnings: tuple[str, ...]


def move(
    page: Page,
    *,
    pieces: Sequence[str],
    to: str,
    on: When,
    seen_only: bool = False,
    insist: bool = False,
    names: Names | None = None,
) -> Moved:
    """Put pieces in a place, or note that they were seen there.

    Args:
        page: the page that is being written.
        pieces: marks or tags.
        to: the place, such as "shed / rack 2"; what is new of it is made.
        on: the day.
        seen_only: they were only seen there.
        insist: whether a date against the order of things is taken all the same.
        names: the names of the book, if they are at hand.

    Raises:
        Unknown: no such piece.
        Unclear: no piece, or not the name of a place.
        NotNow: a piece is gone.
        Doubtful: before a piece can have existed.
    """
    if not pieces:
        raise Unclear("no piece was named.", hint="Name one or more by their marks.")
    held = hold_all(page, pieces, on, "moved", names=names, insist=insist)
    place, made = find_or_make(page, to, on)
    cover = _cover(page, held, place, bool(made))
    put_there(page, [one.id for one in held], place, on, seen_only=seen_only)
    new_air = tuple(one.mark for one in held if _other_cover(one, cover))
    warnings = [remark for one in held for remark in (*one.warnings, *_whereabouts(one, place, seen_only))]
    if new_air:
        warnings.append(f"other air for {_few(new_air)}: the weight will change again before it settles.")
    return Moved(
        place=place.name,
        cover=cover,
        pieces=tuple(MovedPiece(one.mark, one.piece.tag, one.piece.place) for one in held),
        seen_only=seen_only,
        new_places=made,
        new_air=new_air,
        warnings=tuple(warnings),
    )


def place(page: Page, *, name: str, on: When, cover: str | None = None, walk_no: int | None = None) -> PlaceKept:
    """Say what a place is like; it is made if it is new.

    Args:
        page: the page that is being written.
        name: such as "shed / rack 2".
        on: from when a new place is known.
        cover: open, roofed, unheated or heated; places inside it share it until told otherwise.
        walk_no: its turn on the weighing walk.

    Raises:
        Unclear: not a name, or not a cover.
        Impossible: a turn below 0.
    """
    one_of("cover of a place", cover, COVERS)
    if walk_no is not None and not 0 <= walk_no < MOST_TURN:
        raise Impossible(f"{walk_no} is no turn of a walk.", hint="Count the places from 1.")
    found, made = find_or_make(page, name, on)
    row = page.session.get(Place, found.id)
    assert row is not None
    told = {"cover": cover or None, "walk_no": walk_no}
    changed = {field: value for field, value in told.items() if value is not None and getattr(row, field) != value}
    if changed:
        page.alter(row, **changed)
    warnings = () if made or changed else (f"nothing new is said of {row.name}.",)
    return PlaceKept(found.id, row.name, row.cover, row.walk_no, made, warnings)


def out(
    page: Page,
    *,
    piece: str,
    outcome: str,
    on: When,
    reason: str = "",
    to_whom: str = "",
    insist: bool = False,
    names: Names | None = None,
) -> Out:
    """Take a piece out of the stock. Its mark stays its own; its tag is free again.

    Args:
        page: the page that is being written.
        piece: its mark or tag.
        outcome: used, given, sold, firewood, lost or rotten.
        on: the day.
        reason: why: the losses are how one learns.
        to_whom: who has it now.
        insist: whether a date against the order of things is taken all the same.
        names: the names of the book, if they are at hand.

    Raises:
        Unclear: not an outcome.
        NotNow: cut up, or out already.
        Doubtful: before it can have existed, or before something else was done to it.
    """
    one_of("way out of the stock", outcome or "?", OUTCOMES)
    held = hold(page, piece, on, "taken out", names=names, needs="still", insist=insist)
    page.put(Departure(piece_id=held.id, outcome=outcome, reason=reason, to_whom=to_whom, **dated(on)))
    tag = take_off(page, held.id, on)
    facts = held.pieces.facts
    open_sets = [facts.sets[one.set_id] for one in facts.members.get(held.id, ()) if one.set_id in facts.sets]
    sets = tuple(one.name for one in open_sets if one.outcome is None)
    return Out(held.id, held.mark, tag, outcome, sets, held.warnings)


def back(page: Page, *, piece: str, on: When, names: Names | None = None) -> Back:
    """Take a piece into the stock again.

    Args:
        page: the page that is being written.
        piece: its mark.
        on: the day.
        names: the names of the book, if they are at hand.

    Raises:
        NotNow: it is not out.
        Impossible: before it went out.
    """
    held = hold(page, piece, on, "taken back", names=names, needs="nothing")
    departures = held.pieces.facts.departures.get(held.id, ())
    if not departures or not departures[-1].outcome:
        raise NotNow(f"{held.mark} is not out.", hint="There is nothing to take back.", piece=held.mark)
    last = departures[-1]
    if on.last < last.on_last:
        raise Impossible(
            f"{held.mark} cannot be back on {day_words(on.last)}: it went out ({last.outcome}) on "
            f"{day_words(last.on_last)}.",
            hint="One of the two dates is wrong.",
            piece=held.mark,
        )
    page.put(Departure(piece_id=held.id, outcome=None, back_on=on.last, **dated(on)))
    tag, warnings = _old_tag(page, held, on)
    return Back(held.mark, tag, last.outcome or "", warnings)


def _old_tag(page: Page, held: Held, on: When) -> tuple[str, tuple[str, ...]]:
    """Give a piece that is back the tag it left with, if no other has it now."""
    if held.piece.tag:
        return held.piece.tag, ()
    newest = select(Tag).where(Tag.piece_id == held.id).order_by(Tag.id.desc())  # type: ignore[arg-type,union-attr]
    row = page.session.scalars(newest).first()
    if row is None or row.until is None:
        return "", ()
    in_use = select(Tag).where(Tag.folded == row.folded, Tag.until.is_(None))  # type: ignore[arg-type,union-attr]
    if page.session.scalars(in_use).first() is not None:
        return "", (f'its old tag "{row.text}" is on another piece now: {held.mark} has none.',)
    page.put(tag_row(held.id, row.text, on))
    return row.text, ()


def _cover(page: Page, held: Sequence[Held], place: NamedPlace, is_new: bool) -> str | None:
    """The cover of a place; of a new one, of what it lies in."""
    known = held[0].pieces.facts
    if not is_new:
        return cover_of(known, place.id)
    row = page.session.get(Place, place.id)
    return cover_of(known, row.parent_id) if row is not None else None


def _other_cover(one: Held, cover: str | None) -> bool:
    was = cover_of(one.pieces.facts, one.piece.place_id)
    return was is not None and cover is not None and was != cover


def _whereabouts(one: Held, place: NamedPlace, seen_only: bool) -> tuple[str, ...]:
    if one.piece.place_id == place.id and not seen_only:
        return (f"{one.mark} was there already.",)
    if seen_only and one.piece.place and one.piece.place_id != place.id:
        return (f"{one.mark} was on record in {one.piece.place}.",)
    return ()


def _few(marks: Sequence[str], most: int = 6) -> str:
    more = f" and {len(marks) - most} more" if len(marks) > most else ""
    return ", ".join(marks[:most]) + more
