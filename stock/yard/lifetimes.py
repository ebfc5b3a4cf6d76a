"""From when to when a piece can have been in somebody's hand: for sheets, whose lines come in any order of time."""

from stock.dates import When, day_words, words
from stock.errors import Impossible, NotNow
from stock.survey.pieces import Pieces
from stock.yard.in_hand import at


class Lifetimes:
    """The lifetimes of some pieces, each worked out once.

    Args:
        pieces: the pieces, with all that is known of them and what they came from.
    """

    def __init__(self, pieces: Pieces) -> None:
        self._pieces = pieces
        self._known: dict[int, _Lifetime] = {}

    def check(self, piece_id: int, mark: str, on: When, doing: str) -> None:
        """Refuse a day on which a piece was not yet, or no more; its first and last day are within.

        Args:
            piece_id, mark: the piece.
            on: the day.
            doing: what was done to it, as in "it was ..." ("weighed").

        Raises:
            Impossible: before it, or what it came from, can have been made.
            NotNow: after it was cut up, or while it was out.
        """
        if piece_id not in self._known:
            self._known[piece_id] = _Lifetime(self._pieces, piece_id)
        self._known[piece_id].check(mark, on, doing)


class _Lifetime:
    def __init__(self, pieces: Pieces, piece_id: int) -> None:
        facts = pieces.facts
        chain = [facts.pieces[one] for one in pieces.up(piece_id)] if piece_id in pieces else []
        dated = [made for made in chain if made.on_first is not None]
        self._youngest = max(dated, key=lambda made: made.on_first or made.on_last, default=None)
        self._ended = next((one.on_last for one in facts.operations.get(piece_id, ()) if one.ends_piece), None)
        self._out = [(one.on_last, one.outcome) for one in facts.departures.get(piece_id, ())]

    def check(self, mark: str, on: When, doing: str) -> None:
        youngest = self._youngest
        if youngest is not None and youngest.on_first is not None and on.last < youngest.on_first:
            made = at(When(youngest.on_first, youngest.on_last, youngest.on_text))
            raise Impossible(
                f"{mark} {doing} {at(on)}, but it, or what it came from, was made {made}.",
                hint="One of the two dates is wrong.",
                piece=mark,
            )
        if on.first is None:
            return
        if self._ended is not None and on.first > self._ended:
            raise NotNow(f"{mark} {doing} {at(on)}, but it was cut up on {day_words(self._ended)}.", piece=mark)
        gone = [outcome for day, outcome in self._out if day < on.first]
        if gone and gone[-1]:
            raise NotNow(f"{mark} {doing} {words(on)}, but it was out by then ({gone[-1]}).", piece=mark)
