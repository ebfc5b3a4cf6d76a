"""How a square blank dries: six shells, one inside the other, that pass water outward.

Moisture is the local fraction u here, kg of water to a kg of oven-dry wood, as in every text on diffusion; elsewhere it
is percent. Water moves down its gradient with a diffusivity that rises with moisture, D = D15 exp(b (u - 0.15)) up to
fiber saturation and about twice that above it (D15 is that of wood at 15 %). At the surface it leaves into the air in
proportion to its excess over the equilibrium moisture content, S (u - EMC), a wet surface counting as just saturated.

Warmth drives all of it alike, so time is counted on a clock of days at 20 degC. What a piece is like is said by tau,
the time in which the slowest mode of a square prism falls to 1/e at 20 degC and D15: tau = l^2 / ((pi^2 / 2) D15), l
half the side. Ends are left out: they are sealed, or far away.

Rows are pieces, or pieces in many guises: arrays keep guises on the last axis but one and pieces on the last.
"""

from __future__ import annotations

from math import hypot, isfinite, pi, sqrt
from typing import TYPE_CHECKING, NamedTuple

from stock.errors import Impossible

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

ACTIVATION_K = 4500.0  # of drying, as a temperature; 4000 to 5500 from memory, no source
SLOWEST = pi**2 / 2  # rate of the slowest mode of a square prism, times l^2 / D

FACES = (
    0.0,
    0.35,
    0.58,
    0.74,
    0.86,
    0.95,
    1.0,
)  # of the shells, in half sides from the middle; finer where it is steep
SATURATION = 0.28  # fiber saturation; 0.25 to 0.32, Wood Handbook FPL-GTR-282 (2021), ch. 4: about 30 %
FREE_WATER, FREE_WATER_SPAN = 2.0, 0.04  # how much faster free water moves, and how far above saturation that begins
EMISSION_MM_DAY = 1.2  # S at 20 degC; with the next two from fits to simulated squares, no source
STEEPNESS, STEEPNESS_SD = 8.0, 3.0  # b = 8 + 3 z; 13 in aspen (Simpson 1974), near 0 tangentially in beech (Skaar 1958)

LEAST_U, LEAST_EMC = 0.02, 0.001  # what a start and an air are lifted to, so that a wild guess cannot break a step


class Wood(NamedTuple):
    """What a row of shells is like; each an array (guises, pieces).

    Attributes:
        start: moisture content in the beginning, the same all through, fraction.
        tau: days to 1/e of the slowest mode, at 20 degC and 15 % moisture.
        z: steepness of the diffusivity, b = 8 + 3 z per unit of u.
        offset: what the wood tends to, beyond what the air is thought to keep it at, fraction.
        emission: S at 20 degC, mm/day.
    """

    start: Floats
    tau: Floats
    z: Floats
    offset: Floats
    emission: Floats


class Weather(NamedTuple):
    """The air over the steps of a march.

    Attributes:
        nodes: ends of the steps, days since the beginning, from 0, (steps + 1,).
        emc: what the air keeps wood at over each step, fraction, (steps, pieces).
        clock: length of each step in days at 20 degC, (steps, pieces).
    """

    nodes: Floats
    emc: Floats
    clock: Floats


class March(NamedTuple):
    """Moisture content, fraction, at the nodes, (steps + 1, guises, pieces): mean of the piece, and its middle.

    The middle is the innermost shell, 35 % of the width.
    """

    mean: Floats
    middle: Floats


def clock_rate(temp_c: Floats | float) -> Floats:
    """How fast wood dries at a temperature, beside 20 degC.

    Args:
        temp_c: temperatures of the air, degC, of any shape.

    Returns:
        Days at 20 degC that pass in a day, of that shape: 0.33 at 0 degC, 1.66 at 30. Frozen wood is slower still.

    Source:
        Arrhenius' law; the activation temperature of 4500 K is from memory (4000 to 5500), no source.
    """
    import numpy as np

    temps = np.asarray(temp_c, dtype=np.float64)
    wrong = temps[~(np.isfinite(temps) & (temps > -273))]
    if wrong.size:
        raise Impossible(
            f"a temperature of {wrong.flat[0]:g} degC is no temperature", hint="Give a number, such as 21 C."
        )
    rate: Floats = np.exp(-ACTIVATION_K * (1 / (temps + 273.15) - 1 / 293.15))
    return rate


def slowest_mode_days(side_mm: float, diffusivity_mm2_day: float) -> float:
    """The time in which the last of the water falls to 1/e, from a square prism that loses it through four faces.

    Args:
        side_mm: side of the square, mm.
        diffusivity_mm2_day: transverse diffusivity, mm2/day; 1e-10 m2/s is 8.64.

    Returns:
        tau, days: l^2 / ((pi^2 / 2) D) with l half the side.

    Source:
        Crank, The Mathematics of Diffusion (1975): the slab's series (eq. 4.18) squared, its first term.
    """
    for value in (side_mm, diffusivity_mm2_day):
        if not (isfinite(value) and value > 0):
            raise Impossible(f"a side or diffusivity of {value:g} cannot be", hint="Numbers above zero.")
    return float((side_mm / 2) ** 2 / (SLOWEST * diffusivity_mm2_day))


def equivalent_square_mm(width_mm: float, thickness_mm: float) -> float:
    """The side of the square that dries as a rectangle does, by its slowest mode; a wide plank is 1.41 its thickness.

    Args:
        width_mm, thickness_mm: sides of the cross-section, mm.

    Source:
        Crank (1975), product of two slabs: the rates add up, 1/w^2 + 1/t^2 = 2/a^2.
    """
    for value in (width_mm, thickness_mm):
        if not (isfinite(value) and value > 0):
            raise Impossible(f"a side of {value:g} mm cannot be", hint="Measure the square again.")
    return sqrt(2) / hypot(1 / width_mm, 1 / thickness_mm)


def nodes_to(days: float) -> list[float]:
    """The ends of the steps of a march, days from 0 to at least `days`: 2 apart to day 60, 4 to day 240, then 10."""
    nodes, step = [0.0], 2.0
    while nodes[-1] < days or len(nodes) < 2:
        step = 2.0 if nodes[-1] < 60 else 4.0 if nodes[-1] < 240 else 10.0
        nodes.append(nodes[-1] + step)
    return nodes


def march(
    wood: Wood, side_mm: Floats, weather: Weather, pace: Floats | None = None, since: Floats | None = None
) -> March:
    """Let pieces dry.

    Args:
        wood: what they are like, (guises, pieces).
        side_mm: side of the square, mm, (pieces,).
        weather: the air, and the steps.
        pace: how much faster they dry from `since` on, (guises, 1) or (guises, pieces).
        since: day from which `pace` holds, from the first node at or after it, (pieces,).

    Returns:
        Moisture contents at the nodes.

    Source:
        Finite volumes with harmonic-mean conductances, one semi-implicit step a time (the diffusivity of the beginning
        of the step), solved by elimination (Thomas). Against the exact series for constant diffusivity the mean excess
        is off by at most 0.023 of the first excess; the slowest mode is 6 % too fast.
    """
    import numpy as np

    shells = _Shells(wood, side_mm)
    shape = (len(weather.nodes), *wood.start.shape)
    found = March(np.empty(shape), np.empty(shape))
    found.mean[0] = found.middle[0] = shells.u[0]
    for k in range(len(weather.nodes) - 1):
        clock = weather.clock[k]
        if pace is not None and since is not None:
            clock = clock * np.where(weather.nodes[k] >= since, pace, 1.0)
        shells.step(weather.emc[k], clock)
        np.sum(shells.water, axis=0, out=found.mean[k + 1])
        found.middle[k + 1] = shells.u[0]
    return found


class _Shells:
    """The moisture content of each shell, `u` (shells, guises, pieces), and the room to compute the next in."""

    def __init__(self, wood: Wood, side_mm: Floats) -> None:
        import numpy as np

        faces = np.array(FACES)
        middles = (faces[1:] + faces[:-1]) / 2
        n = len(middles)
        rows = wood.start.shape
        self._volume = (faces[1:] ** 2 - faces[:-1] ** 2)[:, None, None]  # shares of the whole
        self._passage = (4 * faces[1:-1] / np.diff(middles))[:, None, None]  # of a face between two shells, doubled
        self._skin = 1 - middles[-1]  # from the middle of the outermost shell to the surface
        self._steep = STEEPNESS + STEEPNESS_SD * wood.z
        self._ln_rate = -0.15 * self._steep - np.log(SLOWEST * wood.tau)  # ln of D / l^2 at u = 0, per day
        self._open = side_mm / 2 / wood.emission  # days to pass the surface
        self._offset = wood.offset
        self.u = np.repeat(np.maximum(wood.start, LEAST_U)[None], n, axis=0)
        self.water = np.empty_like(self.u)  # of each shell, as a share of the oven-dry mass of all
        self._d, self._sum, self._free = (np.empty_like(self.u) for _ in range(3))
        self._pass, self._pair = np.empty((n - 1, *rows)), np.empty((n - 1, *rows))
        self._wet = True

    def step(self, emc: Floats, clock: Floats) -> None:
        """One step in air that keeps wood at `emc` (pieces,), `clock` days at 20 degC long (pieces,) or by row."""
        import numpy as np

        u, d, total, passing, right = self.u, self._diffusivity(clock), self._sum, self._pass, self.water
        np.multiply(d[:-1], d[1:], out=passing)
        np.add(d[:-1], d[1:], out=self._pair)
        passing /= self._pair
        passing *= self._passage  # conductance of the faces inside
        air = np.maximum(emc + self._offset, LEAST_EMC)
        surface = 2.0 / (self._skin / d[-1] + self._open / clock)
        np.multiply(self._volume, u, out=right)
        right[-1] += surface * air
        total[:] = self._volume
        total[:-1] += passing
        total[1:] += passing
        total[-1] += surface * np.minimum(1.0, SATURATION / u[-1])
        for i in range(1, len(u)):  # take each shell out of the equation of the next
            share = passing[i - 1] / total[i - 1]
            right[i] += share * right[i - 1]
            share *= passing[i - 1]
            total[i] -= share
        np.divide(right[-1], total[-1], out=u[-1])
        for i in range(len(u) - 2, -1, -1):
            np.multiply(passing[i], u[i + 1], out=u[i])
            u[i] += right[i]
            u[i] /= total[i]
        np.multiply(self._volume, u, out=self.water)

    def _diffusivity(self, clock: Floats) -> Floats:
        """D / l^2 of each shell times the length of the step."""
        import numpy as np

        d = self._d
        np.minimum(self.u, SATURATION, out=d)
        d *= self._steep
        d += self._ln_rate
        np.exp(d, out=d)
        d *= clock
        if self._wet:  # free water: a factor of exactly 1 in all later steps, so it may be left out
            free = self._free
            np.subtract(self.u, SATURATION, out=free)
            free *= (FREE_WATER - 1) / FREE_WATER_SPAN
            np.clip(free, 0, FREE_WATER - 1, out=free)
            self._wet = bool(free.any())
            free += 1
            d *= free
        return d
