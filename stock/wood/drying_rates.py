"""What one's own finished pieces tell of how fast one's wood dries, in one's own sheds.

A finished piece, weighed often until dry, pins down its time of drying and what its surface lets through far better
than the belief it began with. Brought to a 50 mm square of 0.55 g/cm3, these replace that belief for new pieces: the
surface is a trait of the shop, the time of the shop and of the wood. Both are learnt together, or not at all: a time
taken for what the surface does would make every forecast too early.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from stock.wood.drying import NEW_USER, DryingPrior

FEWEST, FEWEST_OF_A_WOOD = 10, 5
WORTH = 5  # finished pieces that the belief before them counts as
ALIKE = 0.4  # correlation of times between pieces of one wood, so that many of one count for little: no source
INFORMED = 0.85  # a piece whose spread is more than this share of its belief's tells nothing


@dataclass(frozen=True, slots=True)
class Finished:
    """A finished piece, not coated all over.

    Attributes:
        wood: of what wood; None if not known.
        ln_tau, ln_emission: as `Forecast` gives them for its whole course, made with the belief of a new user.
    """

    wood: str | None
    ln_tau: tuple[float, float]
    ln_emission: tuple[float, float]


class _Told(NamedTuple):
    """What a piece tells by itself: a value and the variance of its error."""

    wood: str | None
    value: float
    variance: float


@dataclass(frozen=True, slots=True)
class Learned:
    """What is believed of new pieces: of the shop's, and of the woods of which enough were finished."""

    shop: DryingPrior = NEW_USER
    woods: Mapping[str, DryingPrior] = field(default_factory=dict)

    def of(self, wood: str | None) -> DryingPrior:
        """The belief for a piece of a wood."""
        return self.woods.get(wood or "", self.shop)


def learn(finished: Iterable[Finished], before: DryingPrior = NEW_USER) -> Learned:
    """What finished pieces tell.

    Args:
        finished: pieces of one's own, each weighed until dry.
        before: the belief their courses were fitted with.

    Returns:
        The belief before, until ten pieces are finished; five make one for their wood.

    Source:
        Mean and variance of a normal population, conjugate (Gelman and others, Bayesian Data Analysis, 3rd ed., 3.3),
        the belief before counting as five pieces (our choice, no source). What that belief itself did to a piece's
        figure, and the error of the figure, are taken off first.
    """
    pieces = list(finished)
    times = [_told(one.wood, one.ln_tau, (before.ln_tau, before.ln_tau_sd)) for one in pieces]
    surfaces = [_told(None, one.ln_emission, (before.ln_emission, before.ln_emission_sd)) for one in pieces]
    told = [one for one in times if one]
    if len(told) < FEWEST:
        return Learned(before)
    tau, tau_sd = _population(told, (before.ln_tau, before.ln_tau_sd), ALIKE)
    emission, emission_sd = before.ln_emission, before.ln_emission_sd
    if known := [one for one in surfaces if one]:
        emission, emission_sd = _population(known, (emission, emission_sd), 0.0)
    shop = replace(
        before,
        ln_tau=tau,
        ln_tau_sd=tau_sd,
        ln_emission=emission,
        ln_emission_sd=emission_sd,
        pieces=len(told),
    )
    woods: dict[str, DryingPrior] = {}
    for wood in {one.wood for one in told if one.wood}:
        its = [one for one in told if one.wood == wood]
        if len(its) >= FEWEST_OF_A_WOOD:
            its_tau, its_sd = _population(its, (tau, tau_sd), 0.0)
            woods[wood] = replace(shop, ln_tau=its_tau, ln_tau_sd=its_sd, pieces=len(its))
    return Learned(shop, woods)


def _told(wood: str | None, found: tuple[float, float], before: tuple[float, float]) -> _Told | None:
    """What a piece found (mean, sd), less what was believed of it before; None if that is next to nothing."""
    (mean, sd), (believed, believed_sd) = found, before
    if not 0 < sd <= INFORMED * believed_sd:
        return None
    variance = 1 / (1 / sd**2 - 1 / believed_sd**2)
    return _Told(wood, variance * (mean / sd**2 - believed / believed_sd**2), variance)


def _population(told: Sequence[_Told], before: tuple[float, float], alike: float) -> tuple[float, float]:
    """Mean and sd of the next piece, pieces of one wood being `alike`."""
    believed, believed_sd = before
    woods: dict[str | None, list[float]] = {}
    for one in told:
        woods.setdefault(one.wood, []).append(one.value)
    worth = {wood: 1 / (alike + (1 - alike) / len(some)) for wood, some in woods.items()}
    n = sum(worth.values())
    mean = sum(worth[wood] * sum(some) / len(some) for wood, some in woods.items()) / n
    scatter = max(sum((one.value - mean) ** 2 - one.variance for one in told) / len(told), 0.0)
    total = WORTH + n
    between = WORTH * n / total * (mean - believed) ** 2
    variance = (WORTH * believed_sd**2 + n * scatter + between) / total
    return (WORTH * believed + n * mean) / total, float((variance * (1 + 1 / total)) ** 0.5)
