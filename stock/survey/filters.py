"""Which pieces a question is about."""

from dataclasses import dataclass

from stock.book.facts import Facts
from stock.book.naming import fold
from stock.errors import Ambiguous, Unknown
from stock.survey.pieces import Piece, Pieces
from stock.wood import species


@dataclass(frozen=True, slots=True)
class Filter:
    """What the person narrows a listing to; an empty field does not narrow. Sizes in mm."""

    species: str = ""
    place: str = ""
    kind: str = ""
    part: str = ""
    figure: str = ""
    text: str = ""
    min_length_mm: float | None = None
    min_square_mm: float | None = None


class Sieve:
    """A filter made ready for many pieces.

    Raises:
        Unknown: a wood or a place that nobody on the book has.
    """

    def __init__(self, pieces: Pieces, wanted: Filter) -> None:
        self._pieces = pieces
        self._wanted = wanted
        self._said = fold(wanted.species)
        self.woods = wood_keys(pieces, wanted.species) if wanted.species else None
        self._places = _places_within(pieces.facts, wanted.place) if wanted.place else None

    def lets_through(self, piece: Piece) -> bool:
        wanted = self._wanted
        size = piece.size
        return (
            self._wood_fits(piece)
            and (self._places is None or piece.place_id in self._places)
            and (not wanted.kind or piece.kind == wanted.kind)
            and (not wanted.part or piece.look.part == wanted.part)
            and (not wanted.figure or wanted.figure in (piece.look.traits or ()))
            and (not wanted.text or self._holds_text(piece))
            and (wanted.min_length_mm is None or (size.length_mm or 0) >= wanted.min_length_mm)
            and (wanted.min_square_mm is None or (size.smallest_mm or 0) >= wanted.min_square_mm)
        )

    def _wood_fits(self, piece: Piece) -> bool:
        if self.woods is None:
            return True
        if self._said == "unknown":
            return piece.wood.wood is None
        key = piece.wood.wood.key if piece.wood.wood else None
        return key in self.woods or fold(piece.wood.said) == self._said

    def _holds_text(self, piece: Piece) -> bool:
        facts = self._pieces.facts
        root = self._pieces.root(piece.id)
        said = [piece.mark, piece.tag, piece.wood.name, piece.wood.said, piece.place or "", piece.made.origin]
        said += [tree.site for tree in facts.trees.get(root, ())]
        said += [defect.kind for defect in piece.defects]
        said += sorted(piece.look.traits or ())
        said += [note.text for one in (piece.id, root) for note in facts.notes.get(one, ())]
        return self._wanted.text.casefold() in " | ".join(said).casefold()


def wood_keys(pieces: Pieces, text: str) -> frozenset[str]:
    """The woods that a word may stand for in a question: `cherry` asks for every cherry.

    Raises:
        Unknown: no wood of that name, neither in the handbooks nor said of any tree on the book.
    """
    if fold(text) == "unknown":
        return frozenset()
    keys = {wood.key for wood in species.candidates(text)}
    if not keys:
        try:
            found = species.find(text)
        except Ambiguous:
            found = None
        except Unknown:
            said = {fold(o.said) for opinions in pieces.facts.opinions.values() for o in opinions}
            if fold(text) not in said:
                raise
            found = None
        if found:
            keys = {found.key}
    return frozenset(keys)


def _places_within(facts: Facts, text: str) -> frozenset[int]:
    """The place of a name and all that lie in it."""
    found = {p.id for p in facts.places.values() if p.folded == fold(text)}
    if not found:
        known = ", ".join(sorted(p.name for p in facts.places.values())) or "none yet"
        raise Unknown(f'no place "{text}" is on the book.', hint=f"Known places: {known}.", code="unknown-place")
    while more := {p.id for p in facts.places.values() if p.parent_id in found} - found:
        found |= more
    return frozenset(found)
