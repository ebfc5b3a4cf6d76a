"""What a weight may have been meant to be: slips of the finger and of the unit, tried one by one.

Nothing is judged here. Each slip is a reading of the same text as it would be had one small thing been typed right;
whoever knows what the piece should weigh picks those that make sense. Numbers with fractions (`1 5/8 oz`) keep their
fraction; their whole numbers are tried.
"""

import re
from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

# Exact: the international yard and pound agreement of 1959; 1 lb = 16 oz.
_GRAMS = {"g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}
_SPELT = (
    dict.fromkeys(("g", "gr", "gram", "grams", "gramme", "grammes"), "g")
    | dict.fromkeys(("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms"), "kg")
    | dict.fromkeys(("oz", "ounce", "ounces"), "oz")
    | dict.fromkeys(("lb", "lbs", "pound", "pounds"), "lb")
)
_NUMBER = re.compile(r"(?<![\d/.,])(?P<digits>\d+(?:[.,]\d+)?)(?![\d/])(?:\s+\d+/\d+)?\s*(?P<unit>[A-Za-z]*)")
_POINT_LB = re.compile(r"(\d+)[.,](\d{1,2})\s*(?:lbs?|pounds?)\.?")
_LB_OZ = re.compile(r"(\d+)\s*(?:lbs?|pounds?)\.?\s*(\d{1,2})\s*(?:oz|ounces?)\.?")
_SAME = 1e-6  # relative difference of masses that counts as none


class Slip(NamedTuple):
    """One thing that may have gone wrong: its kind, the same in words with what was meant, and that mass in g."""

    kind: str
    words: str
    mass_g: float


class _Number(NamedTuple):
    """A number inside the text: where it stands, and how many grams its 1 is worth."""

    digits: str
    start: int
    end: int
    grams: float


def grams(mass_g: float, step_g: float | None = None) -> str:
    """A mass in words with as many digits as its step tells: "483 g", "61.4 g"."""
    step = step_g if step_g else 1.0 if mass_g >= 100 else 0.1
    digits = 0 if step >= 0.5 else 1 if step >= 0.05 else 2
    return f"{mass_g:.{digits}f} g"


def slips(text: str, mass_g: float) -> Iterator[Slip]:
    """Every small slip that may have led to a typed weight, the commonest first.

    Args:
        text: the weight as typed; a bare number counts in whatever unit made it this mass.
        mass_g: the mass it was read as, g.

    Yields:
        Digits swapped, missing, typed twice; the point; the unit (factors 28.35, 16, 2.205, 1000); pounds and ounces
        taken for decimal pounds. Two slips at once are not tried.
    """
    numbers = _numbers(text, mass_g)
    for tried in (_swapped, _missing, _too_many, _point):
        for number in numbers:
            for kind, digits, shown in tried(number.digits):
                meant = mass_g + number.grams * (_value(digits) - _value(number.digits))
                if meant > 0 and abs(meant / mass_g - 1) > _SAME:
                    yield Slip(kind, f"{kind} ({_retyped(text, number, shown)})", meant)
    yield from _units(text, numbers, mass_g)
    yield from _pounds(text)


def is_swap(mass_g: float, other_g: float) -> bool:
    """Whether two masses, in whole grams, are the same digits but for two neighbours that changed places."""
    one, other = f"{mass_g:.0f}", f"{other_g:.0f}"
    return one != other and any(digits == other for _, digits, _ in _swapped(one))


def _numbers(text: str, mass_g: float) -> list[_Number]:
    """The numbers of a text whose unit is known; a single bare number has the unit that its mass tells."""
    found = list(_NUMBER.finditer(text))
    alone = len(found) == 1 and "/" not in text and not any(sign.isnumeric() and not sign.isdecimal() for sign in text)
    numbers = []
    for number in found:
        digits = number["digits"]
        value = _value(digits)
        unit = _SPELT.get(number["unit"].lower())
        worth = mass_g / value if alone and value else _GRAMS[unit] if unit else None
        if worth is not None:
            numbers.append(_Number(digits, number.start("digits"), number.end("digits"), worth))
    return numbers


def _value(digits: str) -> float:
    return float(digits.replace(",", "."))


def _retyped(text: str, number: _Number, shown: str) -> str:
    return " ".join((text[: number.start] + shown + text[number.end :]).split())


def _swapped(digits: str) -> Iterator[tuple[str, str, str]]:
    """Two neighbouring digits changed places; the point stays where it is."""
    at = [i for i, sign in enumerate(digits) if sign.isdigit()]
    for left, right in reversed(list(pairwise(at))):
        if digits[left] == digits[right]:
            continue
        signs = list(digits)
        signs[left], signs[right] = signs[right], signs[left]
        where = "last digits" if right == at[-1] else "first digits" if left == at[0] else "two digits"
        yield f"{where} swapped", "".join(signs), "".join(signs)


def _missing(digits: str) -> Iterator[tuple[str, str, str]]:
    """A digit was left out. Which one cannot be known, unless it was the second of a double."""
    for at in range(len(digits), -1, -1):
        doubled = digits[at - 1] if at and digits[at - 1].isdigit() else ""
        for missing in sorted("0123456789", key=lambda digit: digit != doubled):
            full = digits[:at] + missing + digits[at:]
            if full[0] == "0" and not full.startswith("0."):
                continue
            shown = full if missing == doubled else digits[:at] + "_" + digits[at:]
            yield "a digit missing", full, shown


def _too_many(digits: str) -> Iterator[tuple[str, str, str]]:
    for at in range(len(digits) - 1, -1, -1):
        if not digits[at].isdigit():
            continue
        fewer = digits[:at] + digits[at + 1 :]
        if not fewer[:1].isdigit() or not fewer[-1].isdigit():
            continue
        twice = at and digits[at] == digits[at - 1]
        yield "a digit typed twice" if twice else "a digit too many", fewer, fewer


def _point(digits: str) -> Iterator[tuple[str, str, str]]:
    """The point left out, or one or two places off."""
    value = _value(digits)
    for factor in (0.1, 10, 0.01, 100):
        moved = f"{value * factor:.10g}"
        if "e" not in moved:
            yield "the point misplaced", moved, moved


def _units(text: str, numbers: list[_Number], mass_g: float) -> Iterator[Slip]:
    """The number meant in another unit; tried only where one number stands alone."""
    if len(numbers) != 1 or "/" in text:
        return
    number = numbers[0]
    for unit, worth in _GRAMS.items():
        meant = _value(number.digits) * worth
        if abs(meant / mass_g - 1) > _SAME:
            yield Slip("unit", f"the unit: {number.digits} {unit} ({grams(meant)})", meant)


def _pounds(text: str) -> Iterator[Slip]:
    """`1.8 lb` for 1 lb 8 oz, and the other way round."""
    plain = " ".join(text.lower().split())
    if found := _POINT_LB.fullmatch(plain):
        pounds, ounces = int(found[1]), int(found[2])
        if ounces < 16:
            meant = pounds * _GRAMS["lb"] + ounces * _GRAMS["oz"]
            yield Slip("pounds", f"pounds and ounces: {pounds} lb {ounces} oz ({grams(meant)})", meant)
    if found := _LB_OZ.fullmatch(plain):
        meant = float(f"{found[1]}.{found[2]}") * _GRAMS["lb"]
        yield Slip("pounds", f"decimal pounds: {found[1]}.{found[2]} lb ({grams(meant)})", meant)
