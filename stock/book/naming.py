"""Which piece, place or scales a person means: marks, tags, and forgiven marks, in that order."""

import difflib
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, Select, func, select

from stock import marks
from stock.book.records import METADATA
from stock.errors import StockError, Unclear, Unknown

_PIECE = METADATA.tables["piece"]
_TAG = METADATA.tables["tag"]
_PLACE = METADATA.tables["place"]
_SCALES = METADATA.tables["scales"]


@dataclass(frozen=True, slots=True)
class Named:
    """A piece that was meant: its id in the book, its mark, its kind and its tag ("" if it has none)."""

    id: int
    mark: str
    kind: str
    tag: str


@dataclass(frozen=True, slots=True)
class NamedPlace:
    """A place that was meant."""

    id: int
    name: str


def fold(name: str) -> str:
    """A name as it is compared: case, and runs of spaces, play no part."""
    return " ".join(name.casefold().split())


class Names:
    """The names of one book. Asks the book once for each name, or once for all (`learn_all`) when many come.

    Args:
        connection: a reading connection, or that of a page being written.
    """

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._by_mark: dict[tuple[str, int], Named] | None = None
        self._by_tag: dict[str, Named] = {}

    def learn_all(self) -> None:
        """Read every mark and tag at once: for files of many lines."""
        everyone = [_named(row) for row in self._connection.execute(_pieces())]
        self._by_mark = {}
        for named in everyone:
            mark = marks.parse(named.mark)
            self._by_mark[mark.series, mark.number] = named
            if named.tag:
                self._by_tag[fold(named.tag)] = named

    def piece(self, text: str, *, bare_number: bool = False) -> Named:
        """The piece that a text names.

        Args:
            text: a mark (`214H`), a tag (`plum 3`), or a mark carelessly written (`2I4h`).
            bare_number: whether `214` alone may stand for the piece 214H, as it may in a round.

        Returns:
            The piece.

        Raises:
            Unknown: no such piece; the text says what the mark should be, or which tags are near.
        """
        wanted = text.strip()
        if not wanted:
            raise Unclear("no piece was named.", hint="Give its mark (214H) or its tag.")
        exact = marks.exact(wanted)
        if exact and (found := self._marked(exact)):
            return found
        if found := self._tagged(wanted):
            return found
        if bare_number and (number := marks.number_only(wanted)) is not None:
            if found := self._marked(marks.Mark("", number)):
                return found
            raise Unknown(f"no piece {number}.", hint="rick list shows what is on hand.")
        return self._forgiven(wanted)

    def _forgiven(self, wanted: str) -> Named:
        try:
            mark = marks.parse(wanted)
        except Unknown:
            raise
        except StockError:
            near = self._near(wanted)
            hint = f"Nearest tags: {', '.join(near)}." if near else self._way_out()
            raise Unknown(f'no piece "{wanted}".', hint=hint, piece=wanted) from None
        if found := self._marked(mark):
            return found
        known = marks.mark(mark.number, mark.series)
        raise Unknown(f"no piece {known} is on the book.", hint=self._way_out(), piece=known)

    def _way_out(self) -> str:
        """What to do about a piece that is not there."""
        if self._connection.execute(select(_PIECE.c.id).limit(1)).first() is None:
            return "This book is empty: rick fell --help puts a tree on it, rick add a piece; rick demo shows one."
        return "rick list shows what is on hand."

    def _marked(self, mark: marks.Mark) -> Named | None:
        if self._by_mark is not None:
            return self._by_mark.get((mark.series, mark.number))
        return self._one(_pieces().where(_PIECE.c.series == mark.series, _PIECE.c.number == mark.number))

    def _tagged(self, text: str) -> Named | None:
        if self._by_mark is not None:
            return self._by_tag.get(fold(text))
        return self._one(_pieces().where(_TAG.c.folded == fold(text)))

    def learn(self, named: Named) -> None:
        """Take note of a piece made since `learn_all`."""
        if self._by_mark is not None:
            mark = marks.parse(named.mark)
            self._by_mark[mark.series, mark.number] = named
            if named.tag:
                self._by_tag[fold(named.tag)] = named

    def _one(self, query: Select[Any]) -> Named | None:
        row = self._connection.execute(query).first()
        return _named(row) if row else None

    def _near(self, wanted: str) -> list[str]:
        tags = self._connection.execute(select(_TAG.c.text).where(_TAG.c.until.is_(None))).scalars()
        return difflib.get_close_matches(wanted, list(tags), n=3, cutoff=0.6)

    def tag_is_free(self, text: str, mark_exists: Callable[[marks.Mark], bool] | None = None) -> None:
        """Refuse a tag that another piece has, or that reads as the mark of an existing piece.

        Raises:
            Unclear: the tag has a line break, is empty, is in use, or reads as a mark.
        """
        if not text.strip() or "\n" in text or "\r" in text:
            raise Unclear("a tag is one line of text.", hint="Give a shorter name without line breaks.")
        if other := self._tagged(text):
            raise Unclear(
                f'the tag "{text}" is on {other.mark} already.',
                hint="Tags are unique among pieces on hand; add a letter.",
            )
        try:
            mark = marks.parse(text)
        except StockError:
            return
        if self._marked(mark):
            raise Unclear(f'the tag "{text}" reads as the mark of another piece.', hint="Choose another name.")

    def place(self, text: str) -> NamedPlace:
        """The place of a name.

        Raises:
            Unknown: no such place; near names are given.
        """
        query = select(_PLACE.c.id, _PLACE.c.name)
        row = self._connection.execute(query.where(_PLACE.c.folded == fold(text))).first()
        if row:
            return NamedPlace(row.id, row.name)
        names = list(self._connection.execute(select(_PLACE.c.name)).scalars())
        near = difflib.get_close_matches(text, names, n=3, cutoff=0.5) or sorted(names)[:6]
        known = f"Known places: {', '.join(near)}." if near else 'rick move 214H --to "shed / rack 2" makes one.'
        raise Unknown(f'no place "{text}" is on the book.', hint=known, code="unknown-place")

    def scales(self, text: str) -> int:
        """The id of the scales of a name (its newest row).

        Raises:
            Unknown: no such scales.
        """
        query = select(_SCALES.c.id).where(func.lower(_SCALES.c.name) == text.strip().lower())
        found = self._connection.execute(query.order_by(_SCALES.c.id.desc())).scalars().first()
        if found is None:
            raise Unknown(
                f'no scales "{text}" are on the book.', hint=f'rick scales "{text}" --step 1g', code="unknown-scales"
            )
        return int(found)


def _pieces() -> Select[Any]:
    tags = _TAG.c.until.is_(None)
    columns = (_PIECE.c.id, _PIECE.c.series, _PIECE.c.number, _PIECE.c.kind, _TAG.c.text)
    return select(*columns).outerjoin(_TAG, (_TAG.c.piece_id == _PIECE.c.id) & tags)


def _named(row: Row[Any]) -> Named:
    return Named(row.id, marks.mark(row.number, row.series), row.kind, row.text or "")
