"""Floats in mm, g and degC -> what people read: fractions to 1/16 in, whole mm, ounces to 1/8.

What is written here is read back by `stock.measure` within the step of the writing. Nothing here needs pint, because
every answer of the house is written in both systems.
"""

import math
from decimal import Decimal
from fractions import Fraction

from stock.errors import Impossible, Unclear

# International yard and pound agreement of 1959 (definition). units.txt has the same figures; a test compares them.
MM_PER_IN = 25.4
G_PER_OZ = 28.349523125

_SIXTEENTHS_PER_FT = 12 * 16
_EIGHTHS_PER_LB = 16 * 8


def write_length(mm: float, unit: str = "mm") -> str:
    """A length in a unit of the user's.

    Args:
        mm: length, mm; a negative one (a difference) gets a minus sign.
        unit: mm (whole), cm (one decimal), m (three), in (fractions to 1/16) or ft (feet and such inches).

    Returns:
        Such as "54 mm", "2 1/8 in", "6 ft 2 in". A length too small for the step is given by one decimal figure, so
        that it never reads as nothing.

    Raises:
        Impossible: not a finite number.
        Unclear: not such a unit.

    Source:
        1 in = 25.4 mm, exact (definition).
    """
    sign, size = _sign(mm)
    sixteenths = round(size / MM_PER_IN * 16)
    feet, rest = divmod(sixteenths, _SIXTEENTHS_PER_FT)
    match unit:
        case "mm":
            return f"{sign}{_decimal(size, 0)} mm"
        case "cm":
            return f"{sign}{_decimal(size / 10, 1)} cm"
        case "m":
            return f"{sign}{_decimal(size / 1000, 3)} m"
        case "ft" if feet:
            return f"{sign}{feet} ft" + (f" {_fraction(rest, 16)} in" if rest else "")
        case "in" | "ft":
            return f"{sign}{_fraction(sixteenths, 16) if sixteenths else _decimal(size / MM_PER_IN, 0)} in"
    raise Unclear(f'"{unit}" is not a unit to write a length in', hint="Known: mm, cm, m, in, ft.")


def write_mass(g: float, unit: str = "g") -> str:
    """A weight in a unit of the user's.

    Args:
        g: mass, g; a negative one (a loss) gets a minus sign.
        unit: g (one decimal at most), kg (three), oz or lb (both: pounds, and ounces to 1/8).

    Returns:
        Such as "499.7 g", "1.43 kg", "1 lb 1 5/8 oz". A weight too small for the step is given by one decimal figure.

    Raises:
        Impossible: not a finite number.
        Unclear: not such a unit.

    Source:
        1 oz = 28.349523125 g, exact (definition).
    """
    sign, size = _sign(g)
    eighths = round(size / G_PER_OZ * 8)
    pounds, rest = divmod(eighths, _EIGHTHS_PER_LB)
    match unit:
        case "g":
            return f"{sign}{_decimal(size, 1)} g"
        case "kg":
            return f"{sign}{_decimal(size / 1000, 3)} kg"
        case "oz" | "lb" if pounds:
            return f"{sign}{pounds} lb" + (f" {_fraction(rest, 8)} oz" if rest else "")
        case "oz" | "lb":
            return f"{sign}{_fraction(eighths, 8) if eighths else _decimal(size / G_PER_OZ, 0)} oz"
    raise Unclear(f'"{unit}" is not a unit to write a weight in', hint="Known: g, kg, oz, lb.")


def write_temp(c: float, unit: str = "C") -> str:
    """A temperature in a unit of the user's.

    Args:
        c: temperature, degC.
        unit: C or F.

    Returns:
        Such as "21 C", "70 F", "21.1 C": one decimal at most.

    Raises:
        Impossible: not a finite number.
        Unclear: not such a unit.

    Source:
        F = C * 9 / 5 + 32, exact (definition).
    """
    if unit not in ("C", "F"):
        raise Unclear(f'"{unit}" is not a unit to write a temperature in', hint="Known: C, F.")
    sign, size = _sign(c if unit == "C" else c * 9 / 5 + 32)
    digits = _trimmed(size, 1)
    return f"{sign if digits != '0' else ''}{digits} {unit}"


def write_square(width_mm: float, thickness_mm: float, unit: str = "mm") -> str:
    """A cross-section in a unit of the user's.

    Args:
        width_mm: width, mm.
        thickness_mm: thickness, mm.
        unit: as for `write_length`; a square is never written in feet or metres, but in inches or mm.

    Returns:
        Such as "52 x 50 mm", "2 x 1 7/8 in".

    Raises:
        Impossible: not a finite number.
        Unclear: not such a unit.
    """
    unit = {"ft": "in", "m": "mm"}.get(unit, unit)
    width, thickness = write_length(width_mm, unit), write_length(thickness_mm, unit)
    return f"{width.removesuffix(f' {unit}')} x {thickness}"


def both_lengths(mm: float, unit: str = "mm") -> str:
    """A length in both systems.

    Args:
        mm: length, mm.
        unit: the user's own, which comes first.

    Returns:
        Such as "54 mm (2 1/8 in)", or with inches "2 1/8 in (54 mm)".

    Raises:
        Impossible, Unclear: as `write_length` does.
    """
    return f"{write_length(mm, unit)} ({write_length(mm, 'mm' if unit in ('in', 'ft') else 'in')})"


def both_masses(g: float, unit: str = "g") -> str:
    """A weight in both systems.

    Args:
        g: mass, g.
        unit: the user's own, which comes first.

    Returns:
        Such as "499.7 g (1 lb 1 5/8 oz)", or with pounds "1 lb 1 5/8 oz (499.7 g)".

    Raises:
        Impossible, Unclear: as `write_mass` does.
    """
    return f"{write_mass(g, unit)} ({write_mass(g, 'g' if unit in ('oz', 'lb') else 'oz')})"


def both_squares(width_mm: float, thickness_mm: float, unit: str = "mm") -> str:
    """A cross-section in both systems, as for setting a saw.

    Args:
        width_mm: width, mm.
        thickness_mm: thickness, mm.
        unit: the user's own, which comes first.

    Returns:
        Such as "52 x 50 mm (2 1/16 x 1 15/16 in)".

    Raises:
        Impossible, Unclear: as `write_square` does.
    """
    other = "mm" if unit in ("in", "ft") else "in"
    return f"{write_square(width_mm, thickness_mm, unit)} ({write_square(width_mm, thickness_mm, other)})"


def _sign(number: float) -> tuple[str, float]:
    if not math.isfinite(number):
        raise Impossible(f"{number} is not a measure that can be written")
    return ("-" if number < 0 else ""), abs(number)


def _fraction(count: int, of: int) -> str:
    """33 sixteenths -> "2 1/16"."""
    whole, rest = divmod(count, of)
    if not rest:
        return str(whole)
    return f"{whole} {Fraction(rest, of)}" if whole else str(Fraction(rest, of))


def _decimal(size: float, places: int) -> str:
    """At most so many places; one decimal figure if that would be nothing."""
    text = _trimmed(size, places)
    return text if text != "0" or size == 0 else format(Decimal(f"{size:.1g}"), "f")


def _trimmed(size: float, places: int) -> str:
    text = f"{size:.{places}f}"
    return text.rstrip("0").rstrip(".") if places else text
