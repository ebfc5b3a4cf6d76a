"""How a square dries, solved cell by cell: the truth that the tool's own drying law is judged by.

Finite volumes in one octant of a square prism: half the width (across the rings, radial), half the thickness (along
them, tangential), half the length. Water moves by Fick's law down the moisture content u, kg of water to a kg of
oven-dry wood, with a diffusivity of its own making:

* below fiber saturation D rises along a curve of two parts, D = D_fsp [d + (1 - d) ((1 - q) w + q w**2)] with
  w = u / fsp; d is what is left of it in dry wood, q how far the curve hangs. With d = 0.05 and q = 0.5 it grows
  7-fold from 2.5 to 18 %, where Simpson (1974, aspen) measured 8-fold; Skaar (1958, beech) found far less tangentially;
* above it free water helps, up to a plateau of `d_free` times D_fsp, reached 15 points up; frozen it does not;
* all of it rises with temperature by Arrhenius' law.

At the surface water leaves in proportion to the difference of vapour pressure, p0(T) (a(u) - a(E)), a being the
activity that the handbook's sorption equation gives to a moisture content; so a wet surface dries at a constant rate.
One step is three implicit sweeps, one along each axis, in an order that turns round every step. Mass is conserved to
rounding. Arrays keep the pieces on their last axis; nothing is shared with `stock` but the sorption equation.
"""

from collections.abc import Iterator
from dataclasses import dataclass, fields

import numpy as np

from stock.wood.air import emc_pct

Array = np.ndarray
CELLS = (8, 8, 6)
FREE_WATER_SPAN = 0.15  # how far above fiber saturation the plateau of free water begins
FROZEN_C, FROZEN_SHARE = -1.0, 0.1
_CROWDING = (1.6, 1.6, 1.8)  # how much finer the cells are at the surface

_RH = np.linspace(0, 100, 201)
HANDBOOK = (np.array([emc_pct(20, rh) for rh in _RH]) / 100, _RH / 100)  # moisture content, activity


@dataclass(frozen=True)
class Squares:
    """Squares of wood, one value each; lengths in mm, diffusivities in mm2/day at 20 degC.

    `radial` is D across the rings over D along them, `along` D along the grain over their mean; `surface` is mm/day of
    u for a unit of activity at 20 degC, `end` the share of it at the ends; `activation_k` in kelvin.
    """

    half_mm: Array
    half_length_mm: Array
    d_fsp: Array
    d_dry: Array
    bend: Array
    d_free: Array
    fsp: Array
    activation_k: Array
    radial: Array
    along: Array
    surface: Array
    end: Array

    def part(self, some: slice) -> "Squares":
        return Squares(*(getattr(self, one.name)[some] for one in fields(self)))


class Drying:
    """Squares that dry.

    Args:
        squares: what dries.
        start: moisture content at the beginning, fraction, the same all through a piece.
        cells: how many along each axis.
        sorption: moisture contents and activities in balance, both rising, of a wood with the fiber saturation point
            of the last of them.
    """

    def __init__(
        self,
        squares: Squares,
        start: Array,
        cells: tuple[int, int, int] = CELLS,
        sorption: tuple[Array, Array] = HANDBOOK,
    ) -> None:
        self.squares = squares
        self._sorption = sorption
        half = (squares.half_mm, squares.half_mm, squares.half_length_mm)
        self.widths = [
            np.diff(1 - (1 - np.linspace(0, 1, n + 1)) ** p)[:, None] * size
            for n, p, size in zip(cells, _CROWDING, half, strict=True)
        ]
        self.u = np.ones((*cells, 1)) * start
        self.lost = np.zeros_like(start)  # water gone through the surface, as a share of the oven-dry mass
        x, y, z = (width / width.sum(0) for width in self.widths)
        self._share = x[:, None, None] * y[None, :, None] * z[None, None, :]
        self._skin = [np.take(self.u, -1, axis) for axis in range(3)]
        tangential = 2 / (1 + squares.radial)
        self._ratio = (squares.radial * tangential, tangential, squares.along)
        self._pass = (squares.surface, squares.surface, squares.surface * squares.end)
        self._turn = 1

    @property
    def mean(self) -> Array:
        """Mean moisture content of each piece, fraction."""
        return (self._share * self.u).sum((0, 1, 2))

    def activity(self, u: Array) -> Array:
        """What share of the vapour pressure of water stands over wood of this moisture content."""
        moist, active = self._sorption
        return np.interp(u * (moist[-1] / self.squares.fsp), moist, active)

    def diffusivity(self, u: Array, temp_c: Array) -> Array:
        """Mean transverse diffusivity, mm2/day."""
        s = self.squares
        w = np.minimum(u / s.fsp, 1)
        bound = s.d_dry + (1 - s.d_dry) * w * (1 - s.bend + s.bend * w)
        thawed = np.where(temp_c < FROZEN_C, FROZEN_SHARE, 1.0)
        free = 1 + (s.d_free - 1) * thawed * np.clip((u - s.fsp) / FREE_WATER_SPAN, 0, 1)
        return s.d_fsp * np.exp(-s.activation_k * (1 / (temp_c + 273.15) - 1 / 293.15)) * bound * free

    def step(self, days: float, temp_c: Array, emc: Array) -> None:
        """Let some days pass in air of a temperature, degC, that keeps the wood at a moisture content, fraction."""
        d = self.diffusivity(self.u, temp_c)
        wet = _vapour_pressure(temp_c) / _vapour_pressure(np.array(20.0))
        for axis in (0, 1, 2)[:: self._turn]:
            u, inner = np.moveaxis(self.u, axis, 0), np.moveaxis(d, axis, 0) * self._ratio[axis]
            width = self.widths[axis]
            air = self._air(axis, u[-1], inner[-1], width[-1], temp_c, emc, wet * self._pass[axis])
            new = _sweep(u, inner, width[:, None, None, :], air, emc, days)
            gone = np.take(self._share, -1, axis) / width[-1] * air * (new[-1] - emc) * days
            self.lost = self.lost + gone.sum((0, 1))
            self.u = np.moveaxis(new, 0, axis)
        self._turn = -self._turn

    def _air(
        self, axis: int, last: Array, inner: Array, width: Array, temp_c: Array, emc: Array, passing: Array
    ) -> Array:
        """Conductance from the middle of the outermost cells to the air, mm/day; the skin's own moisture is kept."""
        skin, over_air = self._skin[axis], self.activity(emc)
        for _ in range(2):
            off = skin - emc
            off = np.where(np.abs(off) < 1e-6, 1e-6, off)
            leaving = passing * (self.activity(emc + off) - over_air) / off
            under = (inner + self.diffusivity(skin, temp_c) * self._ratio[axis]) / width
            skin = (under * last + leaving * emc) / (under + leaving)
        self._skin[axis] = skin
        return under * leaving / (under + leaving)


def steps(days: int) -> Iterator[tuple[float, float]]:
    """Beginnings and lengths of time steps, in days: short while the surface is new, longer later."""
    at = 0.0
    for until, step in ((20, 0.25), (80, 0.5), (400, 1.0), (days, 2.0)):
        while at < min(until, days):
            yield at, min(step, days - at)
            at += step


def daily_mc(squares: Squares, start: Array, temp_c: Array, emc: Array, together: int = 50) -> Array:
    """Mean moisture content, fraction, at the end of each day; the first column is the beginning.

    Args:
        squares, start: as `Drying`.
        temp_c, emc: of the air of each day, pieces by days.
        together: how many pieces are computed at a time.
    """
    days = temp_c.shape[1]
    found = np.empty((len(start), days + 1))
    for first in range(0, len(start), together):
        some = slice(first, first + together)
        drying = Drying(squares.part(some), start[some])
        at, means = [0.0], [drying.mean]
        for begun, step in steps(days):
            day = int(begun)
            over = slice(day, max(day + 1, int(begun + step)))
            drying.step(step, temp_c[some, over].mean(1), emc[some, over].mean(1))
            at.append(begun + step)
            means.append(drying.mean)
        course = np.array(means)
        for i in range(course.shape[1]):
            found[first + i] = np.interp(np.arange(days + 1), at, course[:, i])
    return found


def _vapour_pressure(temp_c: Array) -> Array:
    """Of water, hPa, by Magnus' formula (World Meteorological Organization)."""
    return 6.112 * np.exp(17.62 * temp_c / (243.12 + temp_c))


def _sweep(u: Array, d: Array, width: Array, air: Array, emc: Array, days: float) -> Array:
    """One implicit step along the first axis: closed at its beginning, open to the air at its end."""
    between = (d[:-1] + d[1:]) / (width[:-1] + width[1:])
    stored = width / days
    diagonal = stored + np.zeros_like(u)
    diagonal[:-1] += between
    diagonal[1:] += between
    diagonal[-1] += air
    right = stored * u
    right[-1] += air * emc
    for i in range(1, len(u)):
        factor = between[i - 1] / diagonal[i - 1]
        diagonal[i] -= factor * between[i - 1]
        right[i] += factor * right[i - 1]
    right[-1] /= diagonal[-1]
    for i in range(len(u) - 2, -1, -1):
        right[i] = (right[i] + between[i] * right[i + 1]) / diagonal[i]
    return right
