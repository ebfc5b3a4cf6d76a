"""What people write -> floats in mm, g, degC, percent and cm3, with the text kept.

`2 1/8 in`, `3 lb 2 1/4 oz`, `1,43 kg`, `70 F`; lists and cross-sections of them. Nothing is guessed: what cannot be
read in exactly one way is refused with examples of what would be read.
"""

import re

from stock.errors import Unclear
from stock.grammar import fold, quoted
from stock.quantity import ANGLE, LENGTH, MASS, PERCENT, TEMP, VOLUME, own_unit, read
from stock.typed import Typed

_MANY = 1000  # lengths in one list
_LISTS = "Write it like 26in+26in+22in or 2x26in+22in."
_SQUARES = "Write it like 51 mm, 52x50 mm or 2 x 1 7/8 in."

# Middle of the range that each word of the sawyer covers, 30 degrees wide.
_RING_WORDS = {"flat": 15.0, "plain": 15.0, "rift": 45.0, "quarter": 75.0, "quartered": 75.0}


def length(text: str, bare: str | None = None, *, zero: bool = False) -> Typed:
    """A length as people write it.

    Args:
        text: such as `54mm`, `2 1/8 in`, `2-1/8"`, `6 ft 2 in`, `21/4 in` (21 quarters: 5.25 in).
        bare: the book's unit for a number without one: mm, cm, m, in or ft; None refuses such a number.
        zero: whether 0 is a possible value, as for a distance from the butt end.

    Returns:
        The length in mm with the text as typed.

    Raises:
        Unclear: the text cannot be read, or in two ways.
        Impossible: negative, zero, or longer than any tree.

    Source:
        1 in = 25.4 mm, 1 ft = 12 in, exact: international yard and pound agreement of 1959 (definition).
    """
    return read(text, LENGTH, bare, zero=zero)


def mass(text: str, bare: str | None = None) -> Typed:
    """A weight as people write it.

    Args:
        text: such as `1430 g`, `1.43kg`, `3 lb 2 1/4 oz`, `1 lb 8.5 oz`.
        bare: the unit of a number without one: g, kg, oz or lb; None refuses such a number.

    Returns:
        The mass in g with the text as typed.

    Raises:
        Unclear: the text cannot be read, or in two ways: `1-8.5` may be pounds and ounces or a slip.
        Impossible: negative, zero, or more than ten tonnes.

    Source:
        1 lb = 453.59237 g = 16 oz, exact: international yard and pound agreement of 1959 (definition).
    """
    return read(text, MASS, bare)


def temp(text: str, bare: str | None = None) -> Typed:
    """A temperature as people write it.

    Args:
        text: such as `21 C`, `21 degC`, `70°F`, `-5 C`.
        bare: the unit of a number without one: C or F; None refuses such a number.

    Returns:
        The temperature in degC with the text as typed.

    Raises:
        Unclear: the text cannot be read.
        Impossible: outside -60 to 300 degC.

    Source:
        C = (F - 32) * 5 / 9, exact (definition).
    """
    return read(text, TEMP, bare)


def percent(text: str) -> Typed:
    """A percentage, with or without its sign: relative humidity, or moisture content, which may pass 100.

    Args:
        text: such as `45 %`, `45%`, `45`.

    Returns:
        The number of percent, 0 to 1000, with the text as typed.

    Raises:
        Unclear: the text cannot be read.
        Impossible: negative, or above 1000.
    """
    return read(text, PERCENT, "%")


def volume(text: str) -> Typed:
    """A volume, as found by dipping a piece in water.

    Args:
        text: such as `37 cm3`, `37 ml`, `2.2 in3`; always with its unit.

    Returns:
        The volume in cm3 with the text as typed.

    Raises:
        Unclear: the text cannot be read. Fluid ounces are refused: there are two kinds.
        Impossible: negative, zero, or above 100 cubic metres.

    Source:
        1 in3 = 16.387064 cm3, exact, from 1 in = 25.4 mm (definition).
    """
    return read(text, VOLUME, None)


def angle(text: str) -> Typed:
    """The angle between the growth rings and a face, in degrees or in the sawyer's words.

    Args:
        text: `45`, `45 deg`, `45°`; or flat (15), rift (45), quarter (75), each with "sawn" or without.

    Returns:
        The ring angle in degrees, 0 to 90, with the text as typed; a word stands for its middle, give or take 15.

    Raises:
        Unclear: the text cannot be read.
        Impossible: outside 0 to 90.

    Source:
        Flatsawn 0 to 30 degrees, riftsawn 30 to 60, quartersawn 60 to 90: common practice, no source.
    """
    word = re.sub(r"[ -]?sawn$", "", fold(text))
    if word in _RING_WORDS:
        return Typed(_RING_WORDS[word], text, 15.0)
    return read(text, ANGLE, "deg")


def lengths(text: str, bare: str | None = None) -> tuple[Typed, ...]:
    """A list of lengths, in order: joined by `+`, repeated by `x`.

    Args:
        text: such as `26in+26in+22in`, `2x26in+22in`, or `26+26+22 in` with one unit at the end for all. A comma
            never separates: it is a decimal sign.
        bare: the book's unit where no length has one; see `length`.

    Returns:
        The lengths in mm, each with its own piece of the text and the shared unit behind it.

    Raises:
        Unclear: one of them cannot be read; or only some have a unit.
        Impossible: one of them is negative, zero or too long.

    Source:
        1 in = 25.4 mm, exact (definition).
    """
    if re.search(r",(?![0-9]{1,2}(?![0-9]))", text):
        raise Unclear(f"{quoted(text)}: a comma is a decimal sign only; lengths are joined by +", hint=_LISTS)
    terms: list[str] = []
    for term in text.split("+"):
        repeat = re.fullmatch(r"\s*([0-9]{1,4})\s*[xX×]\s*(.*)", term, re.DOTALL)
        times = int(repeat[1]) if repeat else 1
        if not 0 < times <= _MANY or len(terms) + times > _MANY:
            raise Unclear(f"{quoted(text)}: 1 to {_MANY} lengths in one list", hint=_LISTS)
        terms += [repeat[2] if repeat else term] * times
    return _together(text, terms, bare, _LISTS)


def square(text: str, bare: str | None = None) -> tuple[Typed, Typed]:
    """The cross-section of a blank, width by thickness.

    Args:
        text: such as `51mm` (as thick as wide), `52x50mm`, `2 x 1 7/8 in`, `2inx1 7/8in`; one unit at the end serves
            both.
        bare: the book's unit where neither has one; see `length`.

    Returns:
        Width and thickness in mm, each with its own piece of the text and the shared unit behind it.

    Raises:
        Unclear: not one or two lengths; or only the first has a unit.
        Impossible: one of them is negative, zero or too long.

    Source:
        1 in = 25.4 mm, exact (definition).
    """
    terms = re.split(r"[xX×]|(?<=\s)by(?=\s)", text)
    if len(terms) > 2:
        raise Unclear(f"{quoted(text)}: a square is width by thickness, two sizes", hint=_SQUARES)
    sizes = _together(text, terms, bare, _SQUARES)
    return sizes[0], sizes[-1]


def length_mm(text: str) -> float:
    """A length with its unit, as a plain number.

    Args:
        text: such as `2 1/8 in`; a number without a unit is refused.

    Returns:
        The length in mm.

    Raises:
        Unclear, Impossible: as `length` does.
    """
    return length(text).value


def mass_g(text: str) -> float:
    """A weight with its unit, as a plain number.

    Args:
        text: such as `3 lb 2 1/4 oz`; a number without a unit is refused.

    Returns:
        The mass in g.

    Raises:
        Unclear, Impossible: as `mass` does.
    """
    return mass(text).value


def temp_c(text: str) -> float:
    """A temperature with its unit, as a plain number.

    Args:
        text: such as `70 F`; a number without a unit is refused.

    Returns:
        The temperature in degC.

    Raises:
        Unclear, Impossible: as `temp` does.
    """
    return temp(text).value


def _together(text: str, terms: list[str], bare: str | None, hint: str) -> tuple[Typed, ...]:
    """Read lengths that stand together: each with its unit, all bare, or one unit at the end for all."""
    terms = [term.strip() for term in terms]
    if "" in terms:
        raise Unclear(f"{quoted(text)}: a length is missing", hint=hint)
    units = [own_unit(term, LENGTH) for term in terms]
    some_bare = None in units
    if some_bare and any(unit is not None for unit in units):
        shared = units[-1]
        if not shared or any(unit is not None for unit in units[:-1]):
            for term, unit in zip(terms, units, strict=True):
                if unit == "":
                    read(term, LENGTH, None)  # an unreadable one is refused for what it is
            raise Unclear(f"{quoted(text)}: give each its unit, or one at the end for all", hint=hint)
        return tuple(read(t if u else f"{t} {shared}", LENGTH, None) for t, u in zip(terms, units, strict=True))
    return tuple(read(term, LENGTH, bare) for term in terms)
