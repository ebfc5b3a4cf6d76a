"""Figure, colour of the wood and lie of the grain: of a face, or of the whole piece."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from stock.book.journal import Page
from stock.book.naming import Names
from stock.book.records import Look
from stock.book.records.pieces import FACES, PARTS
from stock.dates import When
from stock.errors import Impossible, Unclear
from stock.typed import Typed
from stock.yard.in_hand import hold
from stock.yard.making import one_of
from stock.yard.photographing import Kept, Photograph, kept
from stock.yard.values import dated, ring_angle_deg, texts

# Words of the trade for figure; any other word is kept as well.
TRAITS = (
    *("curl", "fiddleback", "tiger", "quilt", "blister", "birdseye", "burl", "crotch", "ray fleck", "ribbon"),
    *("pippy", "spalting", "plain"),
)
ALSO_CALLED = {
    **{
        "curly": "curl",
        "ripple": "curl",
        "quilted": "quilt",
        "spalted": "spalting",
        "burr": "burl",
        "feather": "crotch",
    },
    **{"flame": "crotch", "silver grain": "ray fleck", "bird's eye": "birdseye", "none": "plain"},
}
STEEPEST, FLATTEST = 1.0, 1000.0  # grain that runs out 1 in n


@dataclass(frozen=True, slots=True)
class Figured:
    """What was noted of the looks of a piece; None or empty is what was not said."""

    mark: str
    face: str | None
    traits: tuple[str, ...]
    part: str | None
    ring_deg: float | None
    bark_face: str | None
    sap_faces: str | None
    run_out: float | None
    pith_in: bool | None
    grade: str | None
    photo: Kept
    warnings: tuple[str, ...]


def figure(
    page: Page,
    *,
    piece: str,
    on: When,
    traits: Sequence[str] = (),
    part: str | None = None,
    rings: Typed | None = None,
    bark_face: str | None = None,
    sap_faces: str | None = None,
    face: str | None = None,
    run_out: float | None = None,
    pith_in: bool | None = None,
    grade: str | None = None,
    photo: Photograph | None = None,
    surface: str | None = None,
    insist: bool = False,
    names: Names | None = None,
) -> Figured:
    """Note what a piece looks like; the newest word on each holds.

    Args:
        page: the page that is being written.
        piece: its mark or tag.
        on: the day it was seen.
        traits: figure: curl, quilt, ray fleck, spalting, ..., or any other word.
        part: heart, sap or mixed.
        rings: angle of the rings to the wide face, degrees: 0 flat to 90 quarter.
        bark_face: the face that was nearest the bark: A to D, anticlockwise seen from the butt end.
        sap_faces: the faces with sapwood, such as "AB".
        face: the face that was looked at; None is the whole piece.
        run_out: the grain leaves the length by 1 in so many.
        pith_in: whether the pith is in the piece.
        grade: a word of one's own.
        photo: a photograph of the face; what is kept of it is told by `kept`.
        surface: how the face was when it was photographed: planed, wiped, sanded or rough.
        insist: whether a date against the order of things is taken all the same.
        names: the names of the book, if they are at hand.

    Raises:
        Unclear: nothing said, or a face, part or surface that is not known.
        Impossible: an angle or run-out that cannot be.
        NotNow: the piece is gone.
        Doubtful: seen before the piece can have existed.
    """
    held = hold(page, piece, on, "looked at", names=names, insist=insist)
    words = tuple(dict.fromkeys(trait for one in traits if (trait := _trait(one))))
    said: dict[str, Any] = {
        "part": part or None,
        "ring_deg": ring_angle_deg(rings, held.mark) if rings else None,
        "bark_face": _face(bark_face),
        "sap_faces": _faces(sap_faces),
        "run_out": run_out,
        "pith_in": pith_in,
        "grade": grade or None,
    }
    one_of("part of the wood", part, PARTS)
    if run_out is not None and not STEEPEST <= run_out <= FLATTEST:
        raise Impossible(
            f"{held.mark}: grain cannot run out 1 in {run_out:g}.",
            hint=f"The n of 1 in n is wanted, {STEEPEST:g} to {FLATTEST:g}.",
            piece=held.mark,
        )
    at = _face(face)
    seen = kept(photo, at, surface)
    if not words and not seen.columns and all(value is None for value in said.values()):
        raise Unclear(f"{held.mark}: nothing was said of its looks.", hint="Such as its part, rings, or curl.")
    rows = [Look(piece_id=held.id, face=at, trait=trait, **dated(on)) for trait in words[1:]]
    first = Look(
        piece_id=held.id,
        face=at,
        trait=words[0] if words else None,
        **said,
        **seen.columns,
        typed=texts(ring_deg=rings) | seen.typed,
        **dated(on),
    )
    page.put_all([first, *rows])
    return Figured(mark=held.mark, face=at, traits=words, photo=seen, warnings=held.warnings, **said)


def _trait(word: str) -> str:
    plain = " ".join(word.casefold().split())
    return ALSO_CALLED.get(plain, plain)


def _face(face: str | None) -> str | None:
    text = (face or "").strip()
    text = text.upper() if len(text) == 1 else text.casefold()
    one_of("face of a piece", text, FACES)
    return text or None


def _faces(faces: str | None) -> str | None:
    """Faces in order, each once: "b, a" is "AB"."""
    letters = {letter for letter in (faces or "").upper() if letter not in " ,+/"}
    for letter in letters:
        one_of("face with sapwood", letter, FACES[:4])
    return "".join(sorted(letters)) or None
