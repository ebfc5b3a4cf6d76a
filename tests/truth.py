"""Squares of wood of which everything is known: how they truly dried, and what somebody with kitchen scales noted.

Used to see whether what the tool says of moisture is true as often as it says. How the wood dries is in
`truth_solver`, the air in `truth_air`; nothing of it is taken from the tool but the handbook's sorption equation.
Everything follows from the seed: pieces of other seeds, or past the ones looked at while tuning, are new wood.

What is made up, and from what: basic specific gravity and green moisture by species are the published ones that the
tool's tests hold (Wood Handbook FPL-GTR-282, 2021; forest inventory reference species); density scatters 8.5 % between
trees and 5 % inside one, together 10 %; green moisture 12 % inside a tree (mean of measured trees). The level of the
diffusivity brings 50 mm squares in a shed to 20 % in about three months, white oak in five or six, which lies between
published air-drying times of 1-inch lumber (the scaling of thickness applied) and reports of 2-inch squares; its
scatter, the surface and the rest are our own choice, no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from truth_air import Yard, day, day_number, yard
from truth_solver import Squares, daily_mc

A_TREE, TREES_A_YARD = 5, 4
ROUNDS = (0, 9, 21, 38, 62, 95, 140, *range(200, 561, 30))  # days on which it is weighed, give or take
SLICE_MM, KERF_MM = 25.0, 3.0
LEVEL = 3.6  # mm2/day at fiber saturation and 20 degC, wood of 0.55
BLUNDERS, BLUNDER_G = 0.015, 15.0

# basic specific gravity, green moisture (%), speed of drying for its density
SPECIES = {
    "black cherry": (0.47, 53, 0.9),
    "black walnut": (0.51, 79, 1.0),
    "sugar maple": (0.56, 57, 1.1),
    "white ash": (0.55, 46, 1.0),
    "northern red oak": (0.56, 83, 0.65),
    "yellow-poplar": (0.40, 95, 1.35),
    "American beech": (0.56, 55, 0.9),
    "white oak": (0.60, 68, 0.65),
    "shagbark hickory": (0.64, 60, 1.1),
}


@dataclass(frozen=True)
class Section:
    """A moisture section, as written down: the slice before and after the oven, the piece before and after the cut."""

    wet_g: float
    dry_g: float
    before_g: float
    after_g: float
    step_g: float  # of the scales for the slice


@dataclass(frozen=True)
class Truth:
    """One blank: `square_mm`, `length_mm` and everything written down as a person would have it, the rest as it was.

    Attributes:
        made_on: sawn, sectioned, coated and first weighed on that day.
        length_mm, oven_dry_g: after the section was cut.
        sealed, coat_g: ends waxed, with so much; `coat_weights` is the piece before and after, as read.
        weighings: (day, mass in g as the scales showed it, coat and all).
        daily_mc_pct: the true mean moisture content of each day from `made_on`.
        places: (since, place).
        finished: made years before the others, and dry: what a shop learns from.
    """

    tag: str
    tree: str
    species: str
    square_mm: float
    length_mm: float
    made_on: date
    oven_dry_g: float
    section: Section | None
    sealed: bool
    coat_g: float
    coat_weights: tuple[float, float] | None
    weighings: tuple[tuple[date, float], ...]
    daily_mc_pct: np.ndarray
    places: tuple[tuple[date, str], ...]
    yard: Yard
    finished: bool = False

    def true_mc_pct(self, on: date) -> float:
        """The mean moisture content at the end of a day; that of the last day computed for any later one."""
        return float(self.daily_mc_pct[min((on - self.made_on).days, len(self.daily_mc_pct) - 1)])

    def place(self, on: date) -> str:
        return [place for since, place in self.places if since <= on][-1]

    def first_at(self, target_pct: float, after: date) -> date | None:
        """The first day after one on which the mean moisture content is at a target or below; None if never."""
        begun = (after - self.made_on).days + 1
        below = np.nonzero(self.daily_mc_pct[begun:] <= target_pct)[0]
        return day(day_number(self.made_on) + begun + below[0]) if len(below) else None


def pieces(
    n: int,
    seed: int,
    *,
    weigh_ins: int = 8,
    sections: Sequence[int] = (1, 2, 5, 0),
    finished: int = 0,
    moved: float = 0.4,
    section_sd_pct: float = 3.5,
    years: float = 3.5,
) -> list[Truth]:
    """Make blanks: twenty a yard, five a tree.

    Args:
        n: how many; the first of them do not depend on it.
        seed: other seeds, other wood.
        weigh_ins: how often each is weighed, at most 20; the weights do not depend on it.
        sections: how many blanks of each tree have one, trees taken in turn.
        finished: how many blanks of each yard were made three years before and dried; they come besides the n.
        moved: share of the blanks that move from shed to shop while they dry; of the rest a third begins in the shop.
        section_sd_pct: how far the moisture of a slice lies from that of its blank at 70 % (sd, points).
        years: how long the drying is followed, at least to the last weighing; not more than 4.
    """
    found: list[Truth] = []
    number = 0
    while sum(not one.finished for one in found) < n:
        rng = np.random.default_rng((seed, number))
        here = yard(number, rng)
        old, new = -(-finished // A_TREE), TREES_A_YARD
        blanks = []
        for tree in range(new + old):
            count = sections[(number * new + tree) % len(sections)]
            blanks += _tree(f"{number}-{tree}", here, count, tree >= new, moved, section_sd_pct, rng)
        days = max(round(365 * years), max(one.rounds[weigh_ins - 1] for one in blanks) + 1)
        found += _dried(blanks, weigh_ins, days, rng)
        number += 1
    young = [one for one in found if not one.finished][:n]
    return young + [one for one in found if one.finished]


@dataclass
class _Blank:
    """A blank before it dries."""

    tag: str
    tree: str
    species: str
    yard: Yard
    made: int
    rounds: np.ndarray
    density: float
    green: float
    square_mm: float
    length_mm: float
    sectioned: bool
    sealed: bool
    places: tuple[tuple[int, str], ...]
    old: bool
    section_sd: float


def _tree(
    name: str, here: Yard, sections: int, old: bool, moved: float, section_sd_pct: float, rng: np.random.Generator
) -> list[_Blank]:
    """The blanks of one tree, sawn on one day and weighed in the same rounds."""
    species = str(rng.choice(list(SPECIES)))
    gravity, moist, _ = SPECIES[species]
    tree_density = gravity * np.exp(rng.normal(0, 0.085))
    tree_green = moist * np.exp(rng.normal(0, 0.15))
    scatter = 0.12 * np.exp(rng.normal(0, 0.3))
    made = day_number(date(2017 if old else 2020, 1, 1)) + int(rng.integers(0, 730))
    rounds = np.array(ROUNDS) * rng.uniform(0.75, 1.25) + np.r_[0, rng.uniform(-2, 2, len(ROUNDS) - 1)]
    side, length = rng.uniform(38, 65), rng.uniform(280, 450)
    shed, shop = here.places
    blanks = []
    for i in range(A_TREE):
        green = np.clip(tree_green * (1 + rng.normal(0, scatter)), 45, 110) / 100
        leaves, starts, later = rng.random(), rng.random(), int(rng.integers(30, 250))
        places: tuple[tuple[int, str], ...] = ((made, shed if leaves < moved or starts < 0.67 else shop),)
        if leaves < moved:
            places += ((made + later, shop),)
        one = _Blank(
            tag=f"Y{name}-{i + 1}",
            tree=f"Y{name}",
            species=species,
            yard=here,
            made=made,
            rounds=rounds.round().astype(int),
            density=tree_density * np.exp(rng.normal(0, 0.05)) / 1000,
            green=green,
            square_mm=side,
            length_mm=length,
            sectioned=i < sections,
            sealed=rng.random() < 0.6,
            places=places,
            old=old,
            section_sd=section_sd_pct / 100 * np.sqrt(green / 0.7),
        )
        blanks.append(one)
    return blanks


def _dried(blanks: Sequence[_Blank], weigh_ins: int, days: int, rng: np.random.Generator) -> list[Truth]:
    """Let the blanks of a yard dry, and weigh them."""
    air = [[one.yard.places[place] for _, place in one.places] for one in blanks]
    temp_c, emc = np.empty((len(blanks), days)), np.empty((len(blanks), days))
    above = np.clip(rng.normal(0.9, 0.6, len(blanks)), -0.3, 2.5)  # drying wood stops above the handbook's figure
    for i, one in enumerate(blanks):
        for (since, _), place in zip(one.places, air[i], strict=True):
            left = slice(since - one.made, None)
            temp_c[i, left] = place.temp_c[since : one.made + days]
            emc[i, left] = (place.emc_pct[since : one.made + days] + above[i]) / 100
    start = np.array([one.green for one in blanks])
    course = 100 * daily_mc(_squares(blanks, rng), start, temp_c, emc)
    return [_weighed(one, course[i], weigh_ins, rng) for i, one in enumerate(blanks)]


def _squares(blanks: Sequence[_Blank], rng: np.random.Generator) -> Squares:
    n = len(blanks)
    density = np.array([1000 * one.density for one in blanks])
    speed = np.array([SPECIES[one.species][2] for one in blanks])
    shop = np.exp(rng.normal(0, 0.25))  # how the wood of one yard is stacked: its air moves or stands
    return Squares(
        half_mm=np.array([one.square_mm / 2 for one in blanks]),
        half_length_mm=np.array([one.length_mm / 2 for one in blanks]),
        d_fsp=LEVEL * speed * (0.55 / density) ** 1.5 * np.exp(rng.normal(0, 0.35, n)),
        d_dry=rng.uniform(0.03, 0.3, n),
        bend=rng.uniform(0, 1, n),
        d_free=rng.uniform(1, 6, n),
        fsp=np.clip(rng.normal(0.285, 0.015, n), 0.24, 0.33),
        activation_k=rng.uniform(3000, 5500, n),
        radial=rng.uniform(1, 1.6, n),
        along=rng.uniform(6, 15, n),
        surface=1.2 * shop * np.exp(rng.normal(0, 0.4, n)),
        end=np.where([one.sealed for one in blanks], rng.uniform(0.02, 0.1, n), 1.0),
    )


def _weighed(one: _Blank, course: np.ndarray, weigh_ins: int, rng: np.random.Generator) -> Truth:
    """What was written down of a blank."""
    step_g = one.yard.step_g

    def read(mass_g: float) -> float:
        return round(float(mass_g + rng.normal(0, one.yard.repeats_g)) / step_g) * step_g

    per_mm = one.density * one.square_mm**2  # oven-dry mass of a millimetre of length, g
    length, section = one.length_mm, None
    before, local, apart = read(per_mm * length * (1 + one.green)), rng.normal(1, 0.03), rng.standard_t(8) * 0.866
    dry_g = per_mm * SLICE_MM * local
    wet_g = dry_g * (1 + one.green + one.section_sd * apart)
    fine = [round(float(mass + rng.normal(0, 0.1)), 1) for mass in (wet_g, dry_g)]
    if one.sectioned:
        length -= SLICE_MM + KERF_MM
        section = Section(fine[0], fine[1], before, read(per_mm * length * (1 + one.green)), 0.1)
    oven_dry_g = per_mm * length
    coat_g = 2e-3 * one.square_mm**2 * rng.uniform(0.5, 1.2) if one.sealed else 0.0
    bare = read(oven_dry_g * (1 + one.green))
    coated = read(oven_dry_g * (1 + one.green) + coat_g)
    weights = []
    for number in one.rounds:
        slip = rng.choice((-BLUNDER_G, BLUNDER_G)) * (rng.random() < BLUNDERS)
        mc_pct = course[min(number, len(course) - 1)]  # beyond it nothing is given out
        mass_g = oven_dry_g * (1 + mc_pct / 100) + coat_g + slip
        weights.append((day(one.made + number), read(mass_g)))
    return Truth(
        tag=one.tag,
        tree=one.tree,
        species=one.species,
        square_mm=round(one.square_mm),
        length_mm=round(length),
        made_on=day(one.made),
        oven_dry_g=oven_dry_g,
        section=section,
        sealed=one.sealed,
        coat_g=coat_g,
        coat_weights=(bare, coated) if one.sealed else None,
        weighings=tuple(weights[:weigh_ins]),
        daily_mc_pct=course,
        places=tuple((day(since), place) for since, place in one.places),
        yard=one.yard,
        finished=one.old,
    )
