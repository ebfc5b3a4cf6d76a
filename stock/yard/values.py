"""Measures as they come into the yard: finite, within what can be, and kept together with the words they came in."""

import math
from typing import Any

from stock.dates import When
from stock.errors import Impossible
from stock.typed import Typed

TOO_MUCH = 10_000_000.0  # mm or g; the limit that the book itself has
LEAST_SLACK_MM = 0.5  # two readings of one rule differ by as much


def positive(what: str, measure: Typed, piece: str = "") -> float:
    """The value of a length or mass.

    Args:
        what: what it is, as a person says it: "a length", "the weight before".
        measure: mm or g.
        piece: the mark of the piece, for the message.

    Raises:
        Impossible: not a number, infinite, zero, negative or absurdly large.
    """
    value = float(measure.value)
    if 0 < value < TOO_MUCH:
        return value
    raise _impossible(what, measure, piece, "more than nothing")


def zero_up(what: str, measure: Typed, piece: str = "") -> float:
    """The value of a measure that may be nothing, such as a kerf.

    Raises:
        Impossible: not a number, infinite, negative or absurdly large.
    """
    value = float(measure.value)
    if 0 <= value < TOO_MUCH:
        return value
    raise _impossible(what, measure, piece, "nothing or more")


def percent(what: str, measure: Typed, piece: str = "") -> float:
    """The value of a percentage of a whole.

    Raises:
        Impossible: not within 0 to 100.
    """
    value = float(measure.value)
    if 0 <= value <= 100:
        return value
    raise _impossible(what, measure, piece, "0 to 100 %")


def ring_angle_deg(measure: Typed, piece: str = "") -> float:
    """The angle of the rings to the face, degrees.

    Raises:
        Impossible: not within 0 (flat) to 90 (quarter).
    """
    value = float(measure.value)
    if 0 <= value <= 90:
        return value
    raise _impossible("a ring angle", measure, piece, "0 (flat) to 90 (quarter)")


def slack_mm(measure: Typed) -> float:
    """By how much two lengths may differ before the difference means anything, mm."""
    return max(LEAST_SLACK_MM, measure.plus_minus or 0.0)


def said(measure: Typed) -> str:
    """A measure as it was typed, or its value if nobody typed it."""
    return measure.text or f"{measure.value:g}"


def texts(**fields: Typed | None) -> dict[str, str]:
    """The fields that a person gave, with their words: what a fact keeps in `typed`."""
    return {name: measure.text for name, measure in fields.items() if measure is not None and measure.text}


def dated(on: When) -> dict[str, Any]:
    """The columns that say when a fact happened."""
    return {"on_first": on.first, "on_last": on.last, "on_text": on.text}


def _impossible(what: str, measure: Typed, piece: str, range_words: str) -> Impossible:
    where = f"{piece}: " if piece else ""
    why = "cannot be" if math.isfinite(measure.value) else "is not a number"
    return Impossible(
        f'{where}{what} of "{said(measure)}" {why}.', hint=f"It must be a number, {range_words}.", piece=piece
    )
