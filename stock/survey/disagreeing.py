"""Facts that cannot all be true, in sentences: both are named, and what to look at for each kind of fact."""

import math
from collections.abc import Iterator, Sequence

from stock.survey.ledgers import BY_DENSITY, Family
from stock.survey.states import Weighed
from stock.wood.driest import no_drier_than
from stock.wood.evidence import Row

Quarrel = tuple[Row, float]  # a fact, and how far it lies from what the others say, in standard deviations

LIMIT = 2.5  # standard deviations
MOST_NAMED = 3
AIR_SLACK_PCT = 1.0  # how much drier than the driest air told a piece may be all the same

LOOK_AT = {
    "section": "was the slice weighed at once, dried until it lost no more, and clear of knots and ends?",
    "weighed with a section": "its unit, the piece, a cut not noted?",
    "meter": "did it read the surface only, or was it set for another wood?",
    "meter error": "is the meter in order?",
    "settled": "is the air of its place as told, and its weight of this piece?",
    "air": "is the air of the place as told?",
    "density": "is it this wood? its size?",
    "volume": "is it this wood? its size?",
    "trim, weighed": "are the weights before and after the right way round, and of this piece?",
    "trim, by length": "are the lengths before and after as noted?",
    "resawn": "were both weighed when it was cut, and was nothing else cut off?",
    "decay": "has it lost more, or less, to rot?",
    "treated": "was it soaked for long, or is something left in it?",
    "dried whole": "was it dried until it lost no more?",
    "alike": "is it of that tree, and as fresh as its sisters?",
    "zero": "are the scales at zero?",
}


def contradictions(family: Family, piece_id: int, last: Weighed | None, floor_pct: float | None) -> tuple[str, ...]:
    """What cannot be true of a piece.

    Args:
        family: its ledger.
        piece_id: the piece.
        last: its last weighing.
        floor_pct: the moisture content below which it cannot have dried, percent; None if nothing tells.
    """
    found = list(_too_light(family, piece_id, last, floor_pct))
    if _quarrels(family.far, piece_id):
        found += _named(_quarrels(family.far_itself, piece_id, LIMIT))
    return tuple(found)


def doubts(family: Family, piece_id: int) -> tuple[str, ...]:
    """What does not fit the density of the wood: worth a look, and no contradiction.

    A wood may be told wrongly, and yet all that was weighed and dried is true.
    """
    quarrels = _quarrels(family.far, piece_id, LIMIT)
    if not any(row.kind in BY_DENSITY for row, _ in quarrels) or _quarrels(family.far_itself, piece_id, LIMIT):
        return ()
    row, residual = next((row, residual) for row, residual in quarrels if row.kind in BY_DENSITY)
    others = [other.words for other, _ in quarrels if other.kind not in BY_DENSITY]
    against = f"{others[0]} and what such wood weighs" if others else row.words
    return (f"{against} for its size do not agree ({abs(residual):.1f} standard deviations): {LOOK_AT['density']}",)


def _too_light(family: Family, piece_id: int, last: Weighed | None, floor_pct: float | None) -> Iterator[str]:
    """A weight below the dry wood, or below what any air it was in can dry it to."""
    dry = family.ln_dry(piece_id, last) if last else None
    if last is None or dry is None:
        return
    mean, variance = dry
    whole = variance + last.variance_g2 / last.net_g**2
    rough = not family.solution.knows((piece_id, last.state))
    told = LOOK_AT["density"] if rough else "look at the weight, its unit, a trim not noted, or the piece"
    if math.log(last.net_g) < mean - LIMIT * math.sqrt(whole):
        yield f"{last.fact.mass_g:g} g is below its oven-dry mass of {math.exp(mean):.0f} g: {told}"
    elif floor_pct is not None and no_drier_than(last.net_g, mean, whole, floor_pct) is None:
        told = LOOK_AT["density"] if rough else "look at the weight, a cut not noted, the section, the air"
        driest = f"drier than the {floor_pct + AIR_SLACK_PCT:.0f} % to which any air it was in can dry it"
        yield f"{last.fact.mass_g:g} g is {driest}: {told}"


def _quarrels(far: Sequence[Quarrel], piece_id: int, limit: float = 0.0) -> list[Quarrel]:
    """The facts that do not fit the rest and bear on a piece, the worst first; none if none is of its dry mass.

    A section that differs from those of its sisters, and fits what the piece weighed, is no quarrel: trees differ.
    """
    far = [one for one in far if abs(one[1]) > limit]
    own = [one for one in far if any(isinstance(n, tuple) and n[0] == piece_id for n, _ in one[0].terms)]
    nodes = {node for row, _ in own for node, _ in row.terms}
    return [one for one in far if any(node in nodes for node, _ in one[0].terms)]


def _named(quarrels: Sequence[Quarrel]) -> list[str]:
    """A sentence for each of the facts that disagree, and what to look at."""
    told: dict[str, str] = {}
    for row, residual in quarrels:
        if row.words not in told or row.kind == "section":  # which shares its words with the weighing beside it
            off = f"not in line with the rest ({abs(residual):.1f} standard deviations)"
            told[row.words] = f"{row.words}: {off}; {LOOK_AT.get(row.kind, 'look at it again')}"
    return list(told.values())[:MOST_NAMED]
