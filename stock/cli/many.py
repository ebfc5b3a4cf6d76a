"""Many in one word: ranges and lists of marks, and lists that give one value to each piece or one to all."""

import re
from collections.abc import Sequence
from typing import TypeVar

from stock import marks
from stock.book.naming import Names
from stock.cli import desk
from stock.errors import Misused, StockError, Unclear
from stock.typed import Typed

T = TypeVar("T")

_REPEAT = re.compile(r"([0-9]{1,3})\s*[xX×]\s*([^0-9\s].*)")
_END_UNIT = re.compile(r"(?<=[0-9 ])(mm|cm|m|in|inch|inches|ft|feet|\"|'|″|′)\s*$", re.IGNORECASE)


def pieces_of(words: Sequence[str]) -> list[str]:
    """Pieces as typed, with ranges (`214-253`) and lists (`214H+216K`) taken apart; a tag that reads so is a tag.

    Raises:
        Unknown: a word that names no piece.
        Unclear: a range that runs backwards, or is too long.
    """
    with desk.current().reading() as connection:
        names = Names(connection)
        return [piece for word in words for piece in _taken_apart(word, names)]


def _taken_apart(word: str, names: Names) -> list[str]:
    try:
        names.piece(word)
    except StockError:
        if "+" in word:
            return [piece for part in listed(word) for piece in _taken_apart(part, names)]
        if re.fullmatch(r"\s*[TtBb]?[0-9]+[A-Za-z]?\s*[-–]\s*[TtBb]?[0-9]+[A-Za-z]?\s*", word):
            return marks.ranges(word)
        raise
    return [word]


def listed(text: str) -> list[str]:
    """The words of a list: joined by `+`, repeated by `x` (`6xheart+2xsap`); "" for one left empty."""
    found: list[str] = []
    for part in text.split("+") if text.strip() else ():
        repeat = _REPEAT.fullmatch(part.strip())
        found += [repeat[2].strip()] * int(repeat[1]) if repeat else [part.strip()]
    return found


def squares(text: str) -> list[tuple[Typed, Typed]]:
    """Cross-sections, joined by `+`: each with its unit, all bare, or one unit at the end for all.

    Raises:
        Unclear: one of them cannot be read, or only some have a unit.
    """
    here = desk.current()
    terms = text.split("+") if text.strip() else []
    units = [_END_UNIT.search(term) for term in terms]
    last = units[-1] if units else None
    if last and not any(units[:-1]):
        terms = [*(f"{term} {last[1]}" for term in terms[:-1]), terms[-1]]
    elif any(units) and not all(units):
        raise Unclear(f'"{text}": give each its unit, or one at the end for all.', hint="52x50mm+51x51mm")
    found = [here.square(term.strip()) for term in terms]
    if None in found:
        raise Unclear(f'"{text}": a square is missing.', hint="52x50mm+51x51mm")
    return [square for square in found if square]


def one_each(what: str, values: Sequence[T], count: int) -> list[T | None]:
    """One value for each of some pieces: None for all if none is given, the same for all if one is.

    Raises:
        Misused: another number of them.
    """
    if not values:
        return [None] * count
    if len(values) == 1:
        return [values[0]] * count
    if len(values) != count:
        raise Misused(
            f"{len(values)} {what} for {count} blanks.", hint="Give one for all, or one for each, joined by +."
        )
    return list(values)


def zero_up(text: str) -> Typed:
    """A length that may be nothing: `0` needs no unit."""
    if text.strip() == "0":
        return Typed(0.0, text)
    found = desk.current().length(text, zero=True)
    if found is None:
        raise Unclear("a length is missing in a list.", hint="0+330mm+660mm")
    return found


def whole(text: str, what: str) -> int:
    """A count.

    Raises:
        Misused: not a whole number.
    """
    if not re.fullmatch(r"\s*-?[0-9]{1,9}\s*", text):
        raise Misused(f'"{text}" is not a number of {what}.', hint="A whole number, such as 2.")
    return int(text)
