"""What is known of the moisture of one piece on a day."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property

from stock.survey.airs import PlaceAir
from stock.survey.further import Further
from stock.survey.grounds import basis, is_by_density
from stock.survey.piece import Piece
from stock.survey.targets import Target
from stock.wood.ledger import Evidence
from stock.wood.readiness import Judgement
from stock.wood.steady import Reading

LITTLE = 0.1  # of what is known of a dry mass, by the density of such wood


@dataclass(frozen=True)
class Dryness:
    """What is known of the moisture of a piece on a day.

    Moisture contents are percent of oven-dry mass, of the last weighing on or before the day; `low` and `high` bound
    four chances of five. `oven_dry_g` is of the piece as it is now. What is asked for one piece only (the evidence with
    its shares, what more could be known) is worked out when it is asked for.
    """

    piece: Piece
    on: date
    last_weighed_on: date | None
    mass_g: float | None
    oven_dry_g: float | None
    oven_dry_sd_g: float | None
    mc_pct: float | None
    mc_low_pct: float | None
    mc_high_pct: float | None
    mc_sd_pct: float | None
    air: PlaceAir | None
    target: Target
    judgement: Judgement
    readings: tuple[Reading, ...]
    density_share: Callable[[], float] = field(repr=False, compare=False)
    ask_evidence: Callable[[], tuple[Evidence, ...]] = field(repr=False, compare=False)
    ask_doubts: Callable[[], tuple[str, ...]] = field(repr=False, compare=False)
    ask_further: Callable[[], Further] = field(repr=False, compare=False)

    @cached_property
    def evidence(self) -> tuple[Evidence, ...]:
        """The facts behind the oven-dry mass, the weightiest first."""
        return self.ask_evidence()

    @cached_property
    def basis(self) -> str:
        """What it rests on, in words."""
        return basis(self.evidence)

    @cached_property
    def by_density(self) -> bool:
        """Whether it rests mostly on what such wood usually weighs for its size: such an answer is rough."""
        if self.oven_dry_g is None:
            return False
        share = self.density_share()  # quick, and near enough where it is small or all
        return is_by_density(self.evidence) if LITTLE < share < 1 else share == 1

    @cached_property
    def doubts(self) -> tuple[str, ...]:
        """What does not fit what such wood usually weighs, and need not be wrong."""
        return self.ask_doubts()

    @cached_property
    def further(self) -> Further:
        """What one more measurement would bring, and what does not count."""
        return self.ask_further()

    @property
    def emc_pct(self) -> float | None:
        return self.air.emc_pct if self.air else None

    @property
    def verdict(self) -> str:
        return self.judgement.verdict

    @property
    def weighed_days_ago(self) -> int | None:
        return (self.on - self.last_weighed_on).days if self.last_weighed_on else None
