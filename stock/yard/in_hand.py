"""A piece in the hand: which one is meant, what is known of it, and whether a thing can be done to it on a day."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from stock.book.facts import facts
from stock.book.journal import Page
from stock.book.kinds import OperationFact
from stock.book.naming import Names
from stock.dates import When, day_words, words
from stock.errors import Doubtful, NotNow
from stock.survey.pieces import Piece, Pieces, Size

# Whether a piece must be on hand on that day, must not have ended before or since, or may be long gone.
Needs = Literal["then", "still", "nothing"]

_ENDED = {"crosscut": "crosscut", "split": "split", "saw": "sawn up", "section": "dried in the oven"}
_DONE = {
    **{"crosscut": "crosscut", "split": "split", "saw": "sawn", "trim": "trimmed", "plane": "planed", "turn": "turned"},
    **{"section": "cut for a moisture section", "bark off": "barked", "coat on": "coated", "coat off": "stripped"},
    **{"soak": "soaked", "boil": "boiled", "steam": "steamed", "treat": "treated", "decay": "left to spalt"},
}


@dataclass(frozen=True, slots=True)
class Held:
    """A piece that something is about to be done to, and its family, as known today.

    `warnings` says what is odd about it but was insisted on.
    """

    piece: Piece
    pieces: Pieces
    warnings: tuple[str, ...] = ()

    @property
    def id(self) -> int:
        return self.piece.id

    @property
    def mark(self) -> str:
        return self.piece.mark

    def size_on(self, day: date) -> Size:
        """The size that held on a day, so that a cut entered late is measured against the piece as it was then."""
        rows = self.pieces.facts.sizes.get(self.id, ())
        earlier = [row for row in rows if row.on_last <= day]
        if not earlier or len(earlier) == len(rows):
            return self.piece.size
        sizes = {**self.pieces.facts.sizes, self.id: earlier}
        return Pieces(replace(self.pieces.facts, sizes=sizes))[self.id].size


def hold(
    page: Page,
    text: str,
    on: When,
    doing: str,
    *,
    names: Names | None = None,
    needs: Needs = "then",
    insist: bool = False,
) -> Held:
    """Take a piece in the hand to do something to it.

    Args:
        page: the page that is being written.
        text: the piece's mark or tag as typed.
        on: when it is done.
        doing: what is done, as in "it cannot be ..." ("trimmed").
        names: the names of the book, if they are at hand.
        needs: "then": the piece is on hand on that day; "still": and has not ended since, as when it is to be cut up;
            "nothing": it may be gone, or not yet have come down.
        insist: whether a date against the order of things is taken all the same.

    Raises:
        Unknown: no such piece.
        NotNow: it was cut up or is out.
        Doubtful: it is done before the piece, or what it came from, can have existed, or it is cut up before
            something else was done to it.
    """
    (held,) = hold_all(page, [text], on, doing, names=names, needs=needs, insist=insist)
    return held


def hold_all(
    page: Page,
    texts: Sequence[str],
    on: When,
    doing: str,
    *,
    names: Names | None = None,
    needs: Needs = "then",
    insist: bool = False,
) -> list[Held]:
    """Take several pieces in the hand, reading the book once; a piece named twice is taken once. See `hold`."""
    names = names or Names(page.connection)
    ids = list(dict.fromkeys(names.piece(text).id for text in texts))
    pieces = Pieces(facts(page.connection, max(page.today, on.last), ids))
    if not all(one in pieces for one in ids):  # entered under a clock that ran ahead
        pieces = Pieces(facts(page.connection, date.max, ids))
    return [_held(pieces, pieces[one], on, doing, needs, insist) for one in ids]


def not_a_tree(held: Held, doing: str) -> None:
    """Refuse to do to a tree what is done to pieces.

    Raises:
        NotNow: it is a tree.
    """
    if held.piece.kind == "tree":
        raise NotNow(
            f"{held.mark} is a tree: it cannot be {doing}.",
            hint="Its logs can; they come onto the book with rick cut.",
            piece=held.mark,
        )


def _held(pieces: Pieces, piece: Piece, on: When, doing: str, needs: Needs, insist: bool) -> Held:
    if needs == "nothing":
        return Held(piece, pieces)
    _whole(pieces, piece, on, doing, still=needs == "still")
    _here(pieces, piece, on, doing, still=needs == "still")
    odd = _before_its_time(pieces, piece, on, doing)
    if needs == "still":
        odd += _after_its_end(pieces, piece, on, doing)
    if odd and not insist:
        raise Doubtful(odd[0], hint="Mend the date that is wrong, or insist.", piece=piece.mark)
    return Held(piece, pieces, odd)


def at(when: When) -> str:
    """A date in a sentence: "on 2 March 2025", "in spring 2021", "before 3 May 2021"."""
    text = words(when)
    if when.first is None:
        return text
    if when.first == when.last:
        return f"on {text}"
    return f"between {text.replace(' to ', ' and ')}" if " to " in text else f"in {text}"


def _whole(pieces: Pieces, piece: Piece, on: When, doing: str, *, still: bool) -> None:
    ending = next((o for o in pieces.facts.operations.get(piece.id, ()) if o.ends_piece), None)
    if ending is None or (not still and _surely_before(on, ending)):
        return
    ended = _ENDED.get(ending.kind, ending.kind)
    made = [pieces[child].mark for child in pieces.facts.children.get(piece.id, ())]
    raise NotNow(
        f"{piece.mark} was {ended} {at(When(ending.on_first, ending.on_last, ''))}: it cannot be {doing}.",
        hint=f"Its pieces: {_some(made)}." if made else "Nothing of it is left on the book.",
        piece=piece.mark,
    )


def _surely_before(on: When, ending: OperationFact) -> bool:
    return ending.on_first is not None and on.last < ending.on_first


def _here(pieces: Pieces, piece: Piece, on: When, doing: str, *, still: bool) -> None:
    departures = pieces.facts.departures.get(piece.id, ())
    if not departures or not departures[-1].outcome:
        return
    last = departures[-1]
    if still or last.on_last <= on.last:
        raise NotNow(
            f"{piece.mark} is out ({last.outcome} by {day_words(last.on_last)}): it cannot be {doing}.",
            hint="If it is back, say so first: rick out --help.",
            piece=piece.mark,
        )


def _before_its_time(pieces: Pieces, piece: Piece, on: When, doing: str) -> tuple[str, ...]:
    """Nothing is done to a piece before it, and all that it came from, can have existed."""
    chain = [pieces.facts.pieces[one] for one in pieces.up(piece.id)]
    youngest = max(chain, key=lambda made: made.on_first or date.min)
    if youngest.on_first is None or on.last >= youngest.on_first:
        return ()
    when = When(youngest.on_first, youngest.on_last, youngest.on_text)
    came = "came down" if youngest.kind == "tree" else "was made"
    return (f"{piece.mark} would be {doing} {at(on)}, but {pieces[youngest.id].mark} {came} {at(when)}.",)


def _after_its_end(pieces: Pieces, piece: Piece, on: When, doing: str) -> tuple[str, ...]:
    """Nothing was done to a piece after it was cut up."""
    facts = pieces.facts
    done: list[tuple[date | None, date, str]] = [
        *((w.on_first, w.on_last, "weighed") for w in facts.weighings.get(piece.id, ())),
        *((o.on_first, o.on_last, _DONE[o.kind]) for o in facts.operations.get(piece.id, ())),
    ]
    since = [(first, last, what) for first, last, what in done if first is not None and first > on.last]
    if not since or piece.kind == "tree":
        return ()
    first, last, what = max(since, key=lambda fact: fact[1])
    return (f"{piece.mark} would be {doing} {at(on)}, but it was {what} {at(When(first, last, ''))}.",)


def _some(marks: list[str], most: int = 12) -> str:
    more = f" and {len(marks) - most} more" if len(marks) > most else ""
    return ", ".join(marks[:most]) + more
