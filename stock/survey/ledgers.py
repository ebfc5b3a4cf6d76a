"""The moisture ledger of a family of pieces: all its facts as rows, and what they say together.

Every state of a piece is a node, ln of its oven-dry mass. Sections and meters pin nodes down by their moisture content,
settled weights by that of the air, sizes by the density of the wood; operations tie states to each other.
"""

from collections.abc import Iterable
from datetime import date
from functools import cached_property

from stock.book.facts import Facts
from stock.survey.airs import PlaceAir, air_of
from stock.survey.ledger_cuts import birth_rows, cut_rows, pared
from stock.survey.ledger_density import density_rows
from stock.survey.ledger_meters import meter_rows
from stock.survey.ledger_sections import SectionResult, dried, section_rows
from stock.survey.lineage import AirOn, Lineage, State
from stock.survey.pieces import Pieces
from stock.survey.settling import settled_rows
from stock.survey.states import History, Weighed
from stock.wood import ledger
from stock.wood.evidence import Row

__all__ = ["Family", "SectionResult", "State", "dried"]

BY_DENSITY = frozenset({"density", "volume"})  # the kinds of rows that rest on what such wood usually weighs
BY_COURSE = frozenset({"settled", "air"})  # those that rest on where weighings settled
WATCHFUL = 2.0  # standard deviations from what the other facts say


class Family:
    """The ledger of one family: histories, rows, and the solutions, each worked out when first asked for.

    Args:
        facts: the facts.
        members: the ids of the pieces of one tree (or of one rootless piece and its children).
        pieces: the pieces of those facts, if they are at hand.
        air: the air of a place on a day, if it is at hand.
    """

    def __init__(
        self, facts: Facts, members: Iterable[int], pieces: Pieces | None = None, air: AirOn | None = None
    ) -> None:
        self.facts = facts
        self.members = list(members)
        self.histories = {i: History(facts, i) for i in self.members}
        self.lineage = Lineage(facts, self.members, self.histories, pieces or Pieces(facts), air or self._air)

    def _air(self, place_id: int | None, on: date) -> PlaceAir | None:
        return air_of(self.facts, place_id, on)

    @cached_property
    def rows(self) -> tuple[Row, ...]:
        """All facts. Those of planing and turning are drawn up again once the moisture before them is known."""
        tied: set[int] = set()  # children tied to a section of their parent
        told = [*section_rows(self.lineage, tied), *birth_rows(self.lineage, tied)]
        told += [*settled_rows(self.lineage), *meter_rows(self.lineage), *density_rows(self.lineage)]
        told += self.lineage.zero_rows()
        cuts = list(cut_rows(self.lineage))
        if pared(self.lineage):
            cuts = list(cut_rows(self.lineage, ledger.solve([*told, *cuts])))
        return (*told, *cuts)

    @cached_property
    def whole(self) -> ledger.Solution:
        """What all facts say together."""
        return ledger.solve(self.rows)

    @cached_property
    def solution(self) -> ledger.Solution:
        """What was found out about these pieces themselves, without what such wood usually weighs for its size.

        By it a new weight is judged, and facts that contradict each other are named: a wood or a size told wrongly
        makes no weight wrong.
        """
        return ledger.solve(row for row in self.rows if row.kind not in BY_DENSITY)

    @cached_property
    def far(self) -> tuple[tuple[Row, float], ...]:
        """The facts that fit the others badly, the worst first: worth a look without the density of the wood."""
        return self.whole.disagreements(WATCHFUL)

    @cached_property
    def far_itself(self) -> tuple[tuple[Row, float], ...]:
        """The same of `solution`."""
        return self.solution.disagreements(WATCHFUL)

    @cached_property
    def without_course(self) -> ledger.Solution:
        """What is known without where weighings settled: for a forecast, which looks at those weighings itself."""
        return ledger.solve(row for row in self.rows if row.kind not in BY_COURSE)

    def ln_dry(self, piece_id: int, weighed: Weighed) -> tuple[float, float] | None:
        """Mean and variance of ln of the oven-dry mass (g) against one weighing; None if nothing tells it.

        The variance holds the zero of the scales that the weighing was read on, so far as that of the weighings behind
        the oven-dry mass is not the same; the scatter of the weighing itself is not in it.
        """
        node: State = (piece_id, weighed.state)
        if not self.whole.knows(node):
            return None
        mean, variance = self.whole.mean(node), self.whole.variance(node)
        zero = ("zero", weighed.scales_id)
        if weighed.checked or not self.whole.knows(zero):
            return mean, variance
        off = 1 / weighed.net_g
        shared = 2 * off * self.whole.covariance(node, zero) + off**2 * self.whole.variance(zero)
        return mean + off * self.whole.mean(zero), max(variance + shared, 0.0)
