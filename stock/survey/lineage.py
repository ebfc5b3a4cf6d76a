"""A family of pieces before its ledger is drawn up: their histories, and what every kind of row has to ask of them."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from stock.book.facts import Facts
from stock.marks import mark
from stock.survey.airs import PlaceAir
from stock.survey.pieces import Pieces
from stock.survey.states import History, Weighed
from stock.wood.evidence import REACH_DAYS, Row

State = tuple[int, int]  # piece id, number of the state: the node of ln of an oven-dry mass
AirOn = Callable[[int | None, date], PlaceAir | None]  # the air of a place on a day

ZERO_STEPS = 1.0  # scales that were never checked may stand this many steps off zero; common practice, no source


@dataclass(frozen=True)
class Lineage:
    """One family: facts, members (the ids of the pieces of one tree, or of one rootless piece and its children), the
    history of each, its woods, and the air of places."""

    facts: Facts
    members: Sequence[int]
    histories: dict[int, History]
    pieces: Pieces
    air: AirOn

    @property
    def root(self) -> int:
        return self.pieces.root(self.members[0])

    def named(self, piece_id: int) -> str:
        """The mark of a piece."""
        made = self.facts.pieces[piece_id]
        return mark(made.number, made.series)

    def is_fresh(self, piece_id: int, day: date, days: int) -> bool:
        """Whether a piece was made in the days before a day, or in the few after it."""
        return -REACH_DAYS <= (day - self.facts.pieces[piece_id].on_last).days <= days

    @cached_property
    def zeros(self) -> dict[int | None, float]:
        """By how much the zero of each scales may be off, g: of those never checked, one step, once for all weighings.

        It matters only where a family was weighed on two scales or more: on one, it is in the weight at the section
        and in every later one, and all but cancels. Scales that were not named count as one.
        """
        every = [weighed for history in self.histories.values() for weighed in history.weighings]
        if len({weighed.scales_id for weighed in every}) < 2:
            return {}
        found: dict[int | None, float] = {}
        for weighed in every:
            if not weighed.checked:
                scales = weighed.scales_id
                found[scales] = max(found.get(scales, 0.0), ZERO_STEPS * weighed.step_g)
        return found

    def zero_rows(self) -> list[Row]:
        """The zero of each pair of scales that was never checked: 0 g, give or take a step."""
        words = "the zero of scales never checked"
        return [Row(((("zero", scales), 1),), 0.0, sd_g**2, "zero", words, True) for scales, sd_g in self.zeros.items()]

    def zeroed(self, row: Row, weighed: Weighed) -> Row:
        """The same row, the zero of the scales in it: ln of the net mass is ln of what was read less zero / net mass.

        Only for rows that pin a piece to a moisture content. Weights before and after a cut are read on one scales.
        """
        if weighed.checked or weighed.scales_id not in self.zeros:
            return row
        return row.plus(("zero", weighed.scales_id), 1 / weighed.net_g)
