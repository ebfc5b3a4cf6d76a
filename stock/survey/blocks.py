"""Blocks: the staves in them, how moist each was, and what has been done to the block since."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from stock.book.kinds import BlockEventFact
from stock.survey.courses import Reckoning


@dataclass(frozen=True, slots=True)
class StaveMoisture:
    """A stave in a corner of a block, and its moisture content (percent, 80 % interval) when it was last weighed."""

    corner: int
    mark: str
    mc_pct: float | None
    mc_low_pct: float | None
    mc_high_pct: float | None
    days_ago: int | None
    corner_in: int | None = None


@dataclass(frozen=True, slots=True)
class BlockCard:
    """A block: its staves by corner, as moist as they were when it was glued, and its events."""

    staves: tuple[StaveMoisture, ...]
    events: tuple[BlockEventFact, ...]

    @property
    def spread_pct(self) -> float | None:
        return spread_pct(self.staves)


def block_card(reckoning: Reckoning, block_id: int) -> BlockCard:
    """The card of a block, from facts that hold the families of its staves, as known on the day it was glued."""
    facts = reckoning.facts
    rows = sorted(facts.block_staves.get(block_id, ()), key=lambda row: row.corner)
    known = [(row.corner, row.piece_id) for row in rows if row.piece_id in reckoning.pieces]
    corners_in = {row.corner: row.corner_in for row in rows}
    staves = moisture_of_staves(reckoning, known, facts.on, corners_in)
    return BlockCard(tuple(staves), tuple(facts.block_events.get(block_id, ())))


def moisture_of_staves(
    reckoning: Reckoning,
    staves: Iterable[tuple[int, int]],
    on: date,
    corners_in: dict[int, int | None] | None = None,
) -> list[StaveMoisture]:
    """How moist staves are.

    Args:
        reckoning: the moisture of their families.
        staves: corner, and id of the piece.
        on: the day to which the age of the last weighing is counted.
        corners_in: the corner of each stave that looks at the middle, by the corner of the block.
    """
    found = []
    for corner, piece_id in staves:
        one = reckoning.of(piece_id)
        days = (on - one.last_weighed_on).days if one.last_weighed_on else None
        inward = (corners_in or {}).get(corner)
        found.append(StaveMoisture(corner, one.piece.mark, one.mc_pct, one.mc_low_pct, one.mc_high_pct, days, inward))
    return found


def spread_pct(staves: Sequence[StaveMoisture]) -> float | None:
    """Between the wettest and the driest, points; None if one is not known."""
    known = [one.mc_pct for one in staves if one.mc_pct is not None]
    return max(known) - min(known) if known and len(known) == len(staves) else None
