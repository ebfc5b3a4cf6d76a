"""How fast a wood dries beside others of its density, and what one's own finished pieces tell of new ones.

A finished piece, weighed often until dry, tells its time of drying and what its surface lets through far better than
the belief it began with. Brought to a 50 mm square of 0.55 g/cm3, these move that belief for new pieces: the surface is
a trait of the shop, the time of the shop and of the wood. Both are learnt together, or not at all: a time taken for
what the surface does would make every forecast too early.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from stock.wood.drying import NEW_USER, DryingPrior

# ln of how much longer a wood takes than others of its density. Oaks are the slow ones of every drying book: their rays
# are hard to pass, and the vessels of white oaks are stopped with tyloses. In good weather 1-inch boards are said to
# take 70 (red) and 80 (white oak) days to 20 %, other hardwoods from 0.55 to 0.64 g/cm3 50 to 70 (U.S. Forest Products
# Laboratory Technical Note 233, 1960, from memory); sawyers tell of 2-inch oak at 270 days and yellow-poplar at 45 to
# 112, where density explains a factor of 2. These make 0.15 to 0.5; what is chosen lies between, no source.
LN_SLOWER = {"Quercus": 0.3}

FEWEST, FEWEST_OF_A_WOOD = 10, 5
WORTH = 5  # finished pieces that the belief before them counts as
ALIKE = 0.4  # correlation of times between pieces of one wood, so that many of one count for little: no source


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


@dataclass(frozen=True, slots=True)
class Learned:
    """What is believed of new pieces: of the shop's, and of the woods of which enough were finished."""

    shop: DryingPrior = NEW_USER
    woods: Mapping[str, DryingPrior] = field(default_factory=dict)

    def of(self, wood: str | None) -> DryingPrior:
        """The belief for a piece of a wood."""
        return self.woods.get(wood or "", self.shop)


def ln_slower(genus: str | None) -> float:
    """ln of how much longer wood of a genus takes to dry than its size and density tell, for `Course.ln_slower`.

    Args:
        genus: such as "Quercus"; None if not known.

    Returns:
        0.3 for oaks, which is 35 % longer; 0 for any other.

    Source:
        Drying times of the trade; see `LN_SLOWER`.
    """
    return LN_SLOWER.get(genus or "", 0.0)


def learn(finished: Iterable[Finished], before: DryingPrior = NEW_USER) -> Learned:
    """What finished pieces tell.

    Args:
        finished: pieces of one's own, each weighed until dry.
        before: the belief their courses were fitted with.

    Returns:
        The belief before, until ten pieces are finished; five make one for their wood.

    Source:
        One step of expectation and maximisation for a normal population whose members are known with an error
        (Dempster, Laird and Rubin, J. R. Stat. Soc. B 39, 1977), the belief before counting as five pieces (our
        choice, no source). A piece that told nothing still holds that belief, and speaks for it. A step goes part of
        the way and never past it, whatever a piece's time, surface and steepness were traded for in its fit.
    """
    pieces = list(finished)
    if len(pieces) < FEWEST:
        return Learned(before)
    woods: dict[str | None, list[Finished]] = {}
    for one in pieces:
        woods.setdefault(one.wood, []).append(one)
    mine = [[one.ln_tau for one in some] for some in woods.values()]
    surfaces = [[one.ln_emission] for one in pieces]
    tau, tau_sd = _population(mine, (before.ln_tau, before.ln_tau_sd))
    emission, emission_sd = _population(surfaces, (before.ln_emission, before.ln_emission_sd))
    shop = replace(
        before,
        ln_tau=tau,
        ln_tau_sd=tau_sd,
        ln_emission=emission,
        ln_emission_sd=emission_sd,
        pieces=len(pieces),
    )
    own: dict[str, DryingPrior] = {}
    for wood, its in woods.items():
        if wood and len(its) >= FEWEST_OF_A_WOOD:
            its_tau, its_sd = _population([[one.ln_tau] for one in its], (tau, tau_sd))
            own[wood] = replace(shop, ln_tau=its_tau, ln_tau_sd=its_sd, pieces=len(its))
    return Learned(shop, own)


def _population(told: Sequence[Sequence[tuple[float, float]]], before: tuple[float, float]) -> tuple[float, float]:
    """Mean and sd of the next piece, of pieces in groups known as (mean, sd); those of a group are `ALIKE`."""
    believed, believed_sd = before
    worth = [len(some) / (ALIKE * len(some) + 1 - ALIKE) for some in told]
    total = WORTH + sum(worth)
    means = [sum(value for value, _ in some) / len(some) for some in told]
    mean = (WORTH * believed + sum(n * one for n, one in zip(worth, means, strict=True))) / total
    squares = [sum(sd**2 + (value - mean) ** 2 for value, sd in some) / len(some) for some in told]
    square = WORTH * (believed_sd**2 + (believed - mean) ** 2) + sum(
        n * one for n, one in zip(worth, squares, strict=True)
    )
    return mean, (square / total) ** 0.5
