"""The wood that a blank loses when it becomes a stave, or several."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stock.wood.likeness import Ask, Blank, Weights

WASTE_MOST = 10_000.0  # points: what wastes a hundred staves need not be told apart
STAVES = 4  # in a block
_BARELY = 1e-9


def staves_in(blank: Blank, ask: Ask) -> int:
    """How many staves a blank may give: as many as its clear length holds, each with its saw cut, and not more than
    were asked for from one blank, nor than one letter of the pattern has."""
    return min(ask.per_blank, ask.of_one_letter, int((blank.usable_length_mm + _BARELY) / ask.cut_mm))


def planing(blank: Blank, square_mm: float, w: Weights) -> int:
    """Thousandths of a point for planing one stave to this square."""
    square = 100 * (blank.width_mm * blank.thickness_mm / square_mm**2 - 1)
    return round(1000 * min(w.planing * max(0.0, square - w.planing_free_pct), WASTE_MOST))


def offcut(blank: Blank, ask: Ask, w: Weights, staves: int = 1) -> int:
    """Thousandths of a point for what is left of the length beyond the staves, each with its saw cut."""
    left = 100 * (blank.usable_length_mm - staves * ask.cut_mm) / ask.length_mm
    return round(1000 * min(w.offcut * max(0.0, left), WASTE_MOST))


def unit(blank: Blank, ask: Ask, w: Weights, staves: int, square_mm: float) -> dict[str, int]:
    """What a blank that is sawn into some staves costs by itself, thousandths of a point by term.

    Its staves are as like as staves can be: they share one stick, and nothing tells them apart but their distance
    along it, one stave and one saw cut after the other. What is not known of the blank is the same in all of them.
    """
    terms = {"planing": staves * planing(blank, square_mm, w), "offcut": offcut(blank, ask, w, staves)}
    if staves > 1:
        room = max(0.0, w.other_log - w.same_stick)
        steps = [(apart, staves - apart) for apart in range(1, staves)]  # so far apart, so many pairs
        terms["origin"] = sum(pairs * round(1000 * w.same_stick) for _, pairs in steps)
        terms["distance along the log"] = sum(
            pairs * round(1000 * min(w.along_per_mm * apart * ask.cut_mm, w.along_most, room)) for apart, pairs in steps
        )
    return terms


def units(blank: Blank, ask: Ask, w: Weights, square_mm: float) -> list[int]:
    """What a blank costs by itself when it gives one stave, two, and so on, as many as it can."""
    most = 1 if ask.per_blank == 1 else staves_in(blank, ask)
    if most < 2:
        return [planing(blank, square_mm, w) + offcut(blank, ask, w)]
    return [sum(unit(blank, ask, w, staves, square_mm).values()) for staves in range(1, most + 1)]


def waste(
    blank: Blank, ask: Ask, weights: Weights | None = None, *, staves: int = 1, square_mm: float | None = None
) -> dict[str, float]:
    """The wood that a blank would lose as a stave, or sawn into several.

    Args:
        blank, ask, weights: the blank, what is wanted, and how much each thing counts.
        staves: how many the blank is to give.
        square_mm: the square to which it is planed; None for that of `ask`.

    Returns:
        Points, whole thousandths: "planing", for each stave 1 for each percent of its square that is planed away beyond
        the first ten; "offcut", a quarter point for each percent of a stave's length that is left over when the
        staves are cut, each with one saw cut. Neither is more than 10,000 a stave.
    """
    from stock.wood.likeness import Weights

    terms = unit(blank, ask, weights or Weights(), staves, square_mm or ask.square_mm)
    return {name: terms[name] / 1000 for name in ("planing", "offcut")}
