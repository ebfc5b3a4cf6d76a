"""The stops of a round with the scales: the pieces that are due, and any other that an answer names."""

import re
from dataclasses import dataclass

from stock import marks, measure
from stock.book.naming import Names
from stock.cli import desk
from stock.cli.printing import size_words
from stock.dates import When, short_day
from stock.errors import StockError, Unknown
from stock.survey import walks
from stock.survey.courses import Reckoning
from stock.survey.duties import Duties
from stock.survey.expecting import Expectation, expect
from stock.survey.filters import Filter
from stock.survey.pieces import Piece

_LIKE_A_WEIGHT = re.compile(r"[-+.0-9]|nan\b|inf", re.IGNORECASE)
_LIKE_A_MARK = re.compile(r"[0-9]+[A-Za-z]")


@dataclass(frozen=True, slots=True)
class Stop:
    """A piece on the way: what it should weigh is shown after the entry, never before."""

    piece: Piece
    expected: Expectation | None

    @property
    def mark(self) -> str:
        return self.piece.mark

    @property
    def title(self) -> str:
        """`214H "plum 3"  black cherry  51 x 51 x 280 mm`."""
        tag = f' "{self.piece.tag}"' if self.piece.tag else ""
        size = size_words(self.piece.size, desk.current().unit("length") or "mm")
        return "  ".join(told for told in (f"{self.mark}{tag}", self.piece.wood.name, size) if told != "-")


def due(on: When) -> list[Stop]:
    """What is due on a day, in the order of one walk through the places."""
    reckoning = Reckoning(desk.current().facts(on.last))
    return [Stop(one.piece, one.expected) for one in walks.now(Duties(reckoning, Filter(), foretell=True))]


def named(text: str, on: When) -> Stop:
    """The piece of a mark, of its number alone, or of a tag.

    Raises:
        StockError: there is no such piece, or was none on that day.
    """
    here = desk.current()
    with here.reading() as connection:
        piece = Names(connection).piece(text, bare_number=True)
    facts = here.facts(on.last, [piece.mark])
    reckoning = Reckoning(facts)
    if piece.id not in reckoning.pieces:
        day = short_day(on.last)
        raise Unknown(f"{piece.mark} was not on the book on {day}.", hint="Another day: --on.", piece=piece.mark)
    dry = reckoning.of(piece.id)
    expected = expect(facts, piece.id, on.last, oven_dry_g=dry.oven_dry_g, oven_dry_sd_g=dry.oven_dry_sd_g)
    return Stop(reckoning.pieces[piece.id], expected)


def other_than_weight(answer: str, unit: str | None, on: When) -> Stop | None:
    """The piece that an answer names: `/` and its number, its mark as a label has it, a tag; None for a weight.

    Raises:
        StockError: `/` and no piece, or neither a weight nor a piece.
    """
    if answer.startswith("/"):
        return named(answer[1:], on)
    if _is_weight(answer, unit):
        return _if_any(answer, on) if marks.exact(answer) else None
    try:
        return named(answer, on)
    except StockError:
        if _LIKE_A_WEIGHT.match(answer) and not _LIKE_A_MARK.fullmatch(answer):
            return None  # refused as a weight, then
        raise


def numbered(answer: str, besides: Stop, on: When) -> Stop | None:
    """Another piece on hand that has this number, or this number for a tag; None if there is none."""
    found = _if_any(answer, on) if marks.number_only(answer) is not None else None
    return found if found and found.piece.on_hand and found.mark != besides.mark else None


def _if_any(text: str, on: When) -> Stop | None:
    try:
        return named(text, on)
    except StockError:
        return None


def _is_weight(text: str, unit: str | None) -> bool:
    try:
        measure.mass(text, unit or "g")
    except StockError:
        return False
    return True
