"""The quantities of the shop: which unit words each knows, what is possible, and one written measure read.

pint turns one number with one known unit into the house's unit. It is the only file that knows pint, and loads it
only when such a unit was written: grams and millimetres do without. No pint quantity leaves this file.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from stock.errors import Impossible, Unclear
from stock.grammar import LONGEST, Part, fold, mend, quoted, scan
from stock.typed import Typed

if TYPE_CHECKING:
    import pint


@dataclass(frozen=True, slots=True)
class Quantity:
    """One kind of measure: its words, its units and what is possible.

    `units` maps a unit (as named in units.txt) to the words for it, commonest first; `plain` holds the factors of
    the units that need no pint; `low` and `high` bound the possible values in the house's unit; `zero` tells whether 0
    is one of them; `pair` is the larger and smaller unit that may be joined by a hyphen (6'-2").
    """

    noun: str
    house: str
    units: Mapping[str, str]
    plain: Mapping[str, int]
    examples: str
    low: int
    high: int
    zero: bool = False
    pair: tuple[str, str] | None = None
    words: Mapping[str, str] = field(init=False)

    def __post_init__(self) -> None:
        words = {word: unit for unit, line in self.units.items() for word in (unit.lower(), *line.split())}
        object.__setattr__(self, "words", words)


LENGTH = Quantity(
    "length",
    "mm",
    {
        "mm": "millimetre millimetres millimeter millimeters",
        "cm": "centimetre centimetres centimeter centimeters",
        "m": "metre metres meter meters",
        "in": '" inch inches',
        "ft": "' foot feet",
    },
    {"mm": 1, "cm": 10, "m": 1000},
    "54 mm, 2 1/8 in, 6 ft 2 in",
    low=0,
    high=200_000,  # no tree is 200 m tall
    pair=("ft", "in"),
)
MASS = Quantity(
    "weight",
    "g",
    {"g": "gram grams", "kg": "kilo kilos kilogram kilograms", "oz": "ounce ounces", "lb": "lbs pound pounds"},
    {"g": 1, "kg": 1000},
    "1430 g, 1.43 kg, 3 lb 2 1/4 oz",
    low=0,
    high=9_999_999,  # under ten tonnes
    pair=("lb", "oz"),
)
TEMP = Quantity(
    "temperature",
    "C",
    {"C": "celsius centigrade", "F": "fahrenheit"},
    {"C": 1},
    "21 C, 70 F",
    low=-60,  # colder than any shed, hotter than any oven for wood
    high=300,
    zero=True,
)
PERCENT = Quantity("percentage", "%", {"%": "percent pct"}, {"%": 1}, "45 %", low=0, high=1000, zero=True)
VOLUME = Quantity(
    "volume",
    "cm3",
    {"cm3": "cc", "ml": "millilitre milliliter", "l": "litre liter litres liters", "in3": ""},
    {"cm3": 1, "ml": 1, "l": 1000},
    "37 cm3, 37 ml, 2.2 in3",
    low=0,
    high=100_000_000,
)
ANGLE = Quantity(
    "ring angle", "deg", {"deg": "° degree degrees"}, {"deg": 1}, "45, flat, rift, quarter", low=0, high=90, zero=True
)
ALL = (LENGTH, MASS, TEMP, PERCENT, VOLUME, ANGLE)

# Larger unit, smaller unit -> how many of the smaller make one of the larger.
_SUMS = {("ft", "in"): 12, ("lb", "oz"): 16, ("kg", "g"): 1000, ("m", "cm"): 100, ("m", "mm"): 1000}

_LETTERS = {
    "o": "a letter O for a zero",
    "i": "a letter I for a one",
    "l": "a letter l for a one",
    "|": "an upright bar for a one",
}
_ABOUT = re.compile(r"^(?:~|(?:about|approx(?:imately)?|circa|ca)(?![a-z])\.?) ?")


def read(text: str, quantity: Quantity, bare: str | None, *, zero: bool = False) -> Typed:
    """One written measure of one quantity.

    Args:
        text: the measure as typed.
        quantity: what it is a measure of.
        bare: the unit of a number without one, or None.
        zero: whether 0 is possible although the quantity usually bars it.

    Returns:
        The value in the house's unit, the text, and half of the last step that the text tells; after "about" or "~"
        5 % of the value if that is more (2 degrees for a temperature).

    Raises:
        Unclear: the text cannot be read, or in two ways.
        Impossible: it can be read, and cannot be.
    """
    if len(text) > LONGEST:
        raise Unclear(f"{quoted(text)} is too long for a {quantity.noun}", hint=_such_as(quantity))
    folded = fold(text)
    about = _ABOUT.match(folded)
    folded = folded[about.end() :] if about else folded
    if quantity is TEMP:
        folded = re.sub(r"(?<=[0-9]) ?(?:°|deg|degrees)$", "", folded)  # 70°: of which kind is still to be asked
    minus = folded.startswith("-")
    folded = folded[1:].lstrip() if minus else folded
    try:
        value, half = _value(text, folded, quantity, bare, -1 if minus else 1)
    except Unclear:
        _blame_letters(text, folded, quantity, bare)
        raise
    _check_possible(text, value, quantity, zero or quantity.zero)
    if about:
        half = max(half, Fraction(2) if quantity is TEMP else value / 20)
    return Typed(float(value), text, float(half))


def own_unit(text: str, quantity: Quantity) -> str | None:
    """The unit that a written measure names, as in units.txt: None for a bare number, "" for a sum or no measure."""
    try:
        parts = scan(_ABOUT.sub("", fold(text), count=1))
    except Unclear:
        return ""
    if len(parts) > 1:
        return ""
    return quantity.words.get(parts[0].unit, "") if parts[0].unit else None


def _value(text: str, folded: str, quantity: Quantity, bare: str | None, sign: int) -> tuple[Fraction, Fraction]:
    """The value in the house's unit and half of its last step, both exact."""
    try:
        parts = scan(folded)
    except Unclear as reason:
        raise Unclear(f"{quoted(text)}: {reason.message}", hint=reason.hint or _such_as(quantity)) from None
    if len(parts) > 2:
        raise Unclear(f"{quoted(text)}: too many numbers for one {quantity.noun}", hint=_such_as(quantity))
    units = [_unit(text, part.unit, quantity) if part.unit else None for part in parts]
    number, unit = _sum(text, parts, units, quantity) if len(parts) == 2 else (parts[0].number, units[0])
    if unit is None:
        unit = _bare_unit(text, quantity, bare)
    if parts[-1].top_heavy and unit in quantity.plain:
        raise Unclear(
            f"{quoted(text)}: a fraction of more than one, in {unit}; is it a slip?",
            hint=f"Write {float(number):g} {unit}, if that is meant.",
        )
    value = _convert(sign * number, unit, quantity)
    return value, abs(_convert(sign * number + parts[-1].step / 2, unit, quantity) - value)


def _sum(text: str, parts: Sequence[Part], units: Sequence[str | None], quantity: Quantity) -> tuple[Fraction, str]:
    """The whole of two numbers, in the smaller unit: 6 ft 2 in -> 74 in."""
    (first, second), (large, small) = parts, units
    if large is None:
        raise _two_numbers(text, first, second, small, quantity)
    if small is None:
        rest = f"{float(second.number):g}"
        likely = quantity.pair and large == quantity.pair[0] and first.whole
        hint = f"Write {first.number} {large} {rest} {quantity.pair[1]}." if quantity.pair and likely else ""
        raise Unclear(f"{quoted(text)}: {rest} of what unit?", hint=hint or _such_as(quantity))
    many = _SUMS.get((large, small))
    if many is None or (second.hyphen and (large, small) != quantity.pair):
        raise Unclear(
            f"{quoted(text)}: {large} and {small} do not add up to one {quantity.noun} here", hint=_such_as(quantity)
        )
    if not first.whole:
        raise Unclear(f"{quoted(text)}: {large} with a fraction, and {small} besides", hint=_such_as(quantity))
    if second.number >= many:
        raise Unclear(f"{quoted(text)}: {float(second.number):g} {small} is 1 {large} or more", hint=_such_as(quantity))
    return first.number * many + second.number, small


def _two_numbers(text: str, first: Part, second: Part, small: str | None, quantity: Quantity) -> Unclear:
    """The refusal of `1-8.5`, which may be 1 lb 8.5 oz or a slip for 1.85, and of `1 250 g`."""
    if second.hyphen and first.whole and small is None and quantity.pair:
        large, small = quantity.pair
        many, rest = _SUMS[quantity.pair], f"{float(second.number):g}"
        if second.number < many:
            meant = f"{first.number} {large} {rest} {small}"
            house = f"{float(_convert(first.number * many + second.number, small, quantity)):.0f} {quantity.house}"
            return Unclear(
                f"{quoted(text)}: {meant} ({house}), or a slip for {first.number}.{rest.replace('.', '')}?",
                hint=f"Write {meant} or {house}.",
            )
    return Unclear(f"{quoted(text)}: two numbers; which is the {quantity.noun}?", hint=_such_as(quantity))


def _unit(text: str, word: str, quantity: Quantity) -> str:
    if word in quantity.words:
        return quantity.words[word]
    if word == "floz":
        raise Unclear(f"{quoted(text)}: fluid ounces come in two sizes and are no weight", hint=_such_as(quantity))
    for other in ALL:
        if word in other.words:
            raise Unclear(f"{quoted(text)} is a {other.noun}, not a {quantity.noun}", hint=_such_as(quantity))
    known = ", ".join(quantity.units)
    raise Unclear(f'{quoted(text)}: no unit "{word}"; for a {quantity.noun}: {known}', hint=_such_as(quantity))


def _bare_unit(text: str, quantity: Quantity, bare: str | None) -> str:
    """The unit of a number that was written without one."""
    if bare is None:
        *ways, last = (f"{text.strip()} {unit}" for unit in quantity.units)
        own = "" if quantity is VOLUME else ", or set the book's own unit: rick book units"
        raise Unclear(f"{quoted(text)} has no unit", hint=f"Write {', '.join(ways)} or {last}{own}.")
    if bare.lower() not in quantity.words:
        raise Unclear(f"{quoted(bare)} is not a unit of {quantity.noun}", hint=f"Known: {', '.join(quantity.units)}.")
    return quantity.words[bare.lower()]


def _convert(number: Fraction, unit: str, quantity: Quantity) -> Fraction:
    if unit in quantity.plain:
        return number * quantity.plain[unit]
    return Fraction(_registry().convert(number, unit, quantity.house))


@cache
def _registry() -> "pint.UnitRegistry[Fraction]":
    import pint

    return pint.UnitRegistry(Path(__file__).with_name("units.txt"), non_int_type=Fraction)


def _blame_letters(text: str, folded: str, quantity: Quantity, bare: str | None) -> None:
    """Refuse with a better reason if a text reads once its letters O, I, l are taken for digits."""
    mended = mend(folded)
    if mended == folded:
        return
    try:
        _value(text, mended, quantity, bare, 1)
    except Unclear:
        return
    letter = next(old for old, new in zip(folded, mended, strict=True) if old != new)
    raise Unclear(f"{quoted(text)}: {_LETTERS[letter]}?", hint=f"Write {mended}.")


def _check_possible(text: str, value: Fraction, quantity: Quantity, zero: bool) -> None:
    if value < 0 and quantity.low == 0:
        why = f"a {quantity.noun} cannot be negative"
    elif value == 0 and not zero:
        why = f"a {quantity.noun} cannot be zero"
    elif not quantity.low <= value <= quantity.high:
        why = f"a {quantity.noun} here can be {quantity.low} to {quantity.high} {quantity.house}"
    else:
        return
    raise Impossible(f"{quoted(text)}: {why}", hint="Check the number and its unit.")


def _such_as(quantity: Quantity) -> str:
    return f"Write it like {quantity.examples}."
