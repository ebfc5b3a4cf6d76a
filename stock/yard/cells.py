"""The cells of a line of a stranger's file -> texts, words, plain numbers and dates, or a sentence that names the cell.

A number stands alone, in the unit of its column: `width_mm` holds `57`, never `57 mm` or `2 1/4 in`. A comma is a
decimal sign by the rule of all written measures: exactly one, no point, one or two digits behind it.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from stock import dates
from stock.dates import Order, When
from stock.errors import Impossible, StockError, Unclear
from stock.typed import Typed

_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:[.][0-9]*)?|[.][0-9]+)")
_DECIMAL_COMMA = re.compile(r"[+-]?[0-9]*,[0-9]{1,2}")
_LONGEST = 40
_YES = {"yes": True, "y": True, "true": True, "1": True, "x": True}
_NO = {"no": False, "n": False, "false": False, "0": False}


@dataclass(frozen=True, slots=True)
class Range:
    """What a number can be: `low` to `high`, the low end itself only if `closed`."""

    low: float
    high: float
    words: str
    closed: bool = True


MASS = Range(0, 10_000_000, "a weight is above zero, in g", closed=False)
LENGTH = Range(0, 200_000, "a length is above zero, in mm", closed=False)
POSITION = Range(0, 200_000, "a distance is zero or more, in mm")
VOLUME = Range(0, 10_000_000, "a volume is above zero, in cm3", closed=False)
ANGLE = Range(0, 90, "an angle is 0 (flat) to 90 (quarter), in degrees")
TEMP = Range(-60, 80, "the air is -60 to 80 degC")
HUMIDITY = Range(0, 100, "relative humidity is 0 to 100 percent")
PERCENT = Range(0, 100, "0 to 100 percent")
MOISTURE = Range(0, 1000, "moisture is 0 to 1000 percent of dry mass")
WOOD_TEMP = Range(-60, 80, "the wood is -60 to 80 degC")
RUN_OUT = Range(1, 1000, "run-out is the n of 1 in n, 1 to 1000")
COUNT = Range(0, 999_999_999, "a count is zero or more")
MONTH = Range(1, 12, "a month is 1 to 12")


@dataclass(frozen=True, slots=True)
class Reading:
    """How dates are read: today, the order of day and month if they are written with slashes, and the seasons."""

    today: date
    order: Order | None = None
    southern: bool = False


class Cells:
    """One line of a file.

    Args:
        cells: the texts by column.
        reading: how dates are read.
        known: dates read before, by their text; shared by all lines.
    """

    def __init__(self, cells: Mapping[str, str], reading: Reading, known: dict[str, When]) -> None:
        self._cells = cells
        self._reading = reading
        self._known = known

    def text(self, column: str) -> str:
        """The text of a cell; "" if the file has no such column."""
        return self._cells.get(column, "")

    def needed(self, column: str) -> str:
        """The text of a cell that must not be empty.

        Raises:
            Unclear: it is.
        """
        if found := self.text(column):
            return found
        raise Unclear(f"{column} is empty")

    def word(self, column: str, known: Sequence[str], default: str = "") -> str:
        """One of some words; `default` if the cell is empty.

        Raises:
            Unclear: another word.
        """
        found = " ".join(self.text(column).casefold().replace("_", " ").split())
        if not found:
            return default
        if found in known:
            return found
        raise Unclear(f'{column} "{shown(self.text(column))}" is none of: {", ".join(known)}')

    def truth(self, column: str, yes: Sequence[str] = (), no: Sequence[str] = ()) -> bool | None:
        """Yes or no; None if the cell is empty.

        Raises:
            Unclear: neither.
        """
        words = {**_YES, **_NO, **dict.fromkeys(yes, True), **dict.fromkeys(no, False)}
        found = self.text(column).casefold()
        if not found:
            return None
        if found in words:
            return words[found]
        known = [*yes, *no] or ["yes", "no"]
        raise Unclear(f'{column} "{shown(self.text(column))}" is none of: {", ".join(known)}')

    def number(self, column: str, within: Range) -> Typed | None:
        """A plain number; None if the cell is empty.

        Raises:
            Unclear: not a plain number.
            Impossible: not a finite number, or not one that can be.
        """
        text = self.text(column)
        if not text:
            return None
        try:
            found = number(text)
        except StockError as trouble:
            raise type(trouble)(f'{column} "{shown(text)}": {trouble.message}') from None
        too_low = found.value < within.low or (found.value == within.low and not within.closed)
        if too_low or found.value > within.high:
            raise Impossible(f'{column} "{shown(text)}" cannot be: {within.words}')
        return found

    def needed_number(self, column: str, within: Range) -> Typed:
        """A plain number that must be there.

        Raises:
            Unclear, Impossible: as `number`, or the cell is empty.
        """
        found = self.number(column, within)
        if found is None:
            raise Unclear(f"{column} is empty")
        return found

    def whole(self, column: str, within: Range = COUNT) -> int | None:
        """A whole number; None if the cell is empty.

        Raises:
            Unclear, Impossible: as `number`, or it is not whole.
        """
        found = self.number(column, within)
        if found is None:
            return None
        if not found.value.is_integer():
            raise Unclear(f'{column} "{shown(self.text(column))}" is not a whole number')
        return int(found.value)

    def day(self, column: str) -> When | None:
        """A date as well as it is known; None if the cell is empty. ISO dates are always right.

        Raises:
            Unclear, Impossible: as `stock.dates.read`.
        """
        text = self.text(column)
        if not text:
            return None
        if text not in self._known:
            try:
                how = self._reading
                self._known[text] = dates.read(text, how.today, order=how.order, southern=how.southern)
            except StockError as trouble:
                raise type(trouble)(f"{column} {trouble.message}", hint=trouble.hint) from None
        return self._known[text]

    def needed_day(self, column: str) -> When:
        """A date that must be there.

        Raises:
            Unclear, Impossible: as `day`, or the cell is empty.
        """
        found = self.day(column)
        if found is None:
            raise Unclear(f"{column} is empty")
        return found

    def typed(self, **numbers: Typed | None) -> dict[str, str]:
        """What a fact keeps of a line as it was typed: its numbers by column, and its note."""
        kept = {column: one.text for column, one in numbers.items() if one is not None}
        return {**kept, "note": self.text("note")} if self.text("note") else kept


def number(text: str) -> Typed:
    """A plain decimal number.

    Args:
        text: such as `408`, `40.8`, `-2`, `40,8`.

    Returns:
        Its value, the text, and half of its last step.

    Raises:
        Unclear: anything else; the message is the reason alone.
        Impossible: not a number, or infinite.
    """
    plain = text.replace("\N{MINUS SIGN}", "-")
    if len(plain) <= _LONGEST and (_NUMBER.fullmatch(plain) or _DECIMAL_COMMA.fullmatch(plain)):
        plain = plain.replace(",", ".")
        decimals = len(plain.partition(".")[2])
        return Typed(float(plain), text, 0.5 * 10.0**-decimals)
    for pattern, kind, reason in _REASONS:
        if pattern.search(plain):
            raise kind(reason(plain))
    raise Unclear("not a number")


def shown(text: str) -> str:
    """A text as typed, fit for one line of a message."""
    plain = "".join(character if character.isprintable() else " " for character in text)
    return plain if len(plain) <= _LONGEST else f"{plain[:_LONGEST]}..."


def _thousands(plain: str) -> str:
    if plain.count(",") > 1:
        return f"write it without thousands marks: {plain.replace(',', '')}"
    return f"a decimal comma or a thousands mark? Write {plain.replace(',', '.')} or {plain.replace(',', '')}"


_REASONS: tuple[tuple[re.Pattern[str], type[StockError], Callable[[str], str]], ...] = (
    (re.compile(r"^[+-]?(nan|inf(inity)?|∞)$", re.I), Impossible, lambda _: "not a finite number"),
    (re.compile(r"^[+-]?[0-9]{1,3}(,[0-9]{3})+$"), Unclear, _thousands),
    (
        re.compile(r"^[+-]?[0-9.,]+e[+-]?[0-9]+$", re.I),
        Unclear,
        lambda _: "write the number out, without powers of ten",
    ),
    (re.compile(r"^[0-9.,]*[oil][0-9.,oil]*$", re.I), Unclear, lambda _: "a letter for a digit, O for 0 or l for 1?"),
    (
        re.compile(r"^[+-]?[0-9][0-9.,/ -]*\s*[a-z\"'%°″½¼¾⅛⅜⅝⅞]", re.I),
        Unclear,
        lambda _: "write the number alone, in the unit of its column",
    ),
    (
        re.compile(r"^[0-9]+[ -]*[0-9]*/[0-9]+$"),
        Unclear,
        lambda _: "write it as a decimal number, in the unit of its column",
    ),
)
