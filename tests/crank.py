"""Slabs and squares drying by constant diffusivity: the exact series of Crank, The Mathematics of Diffusion (1975).

A slab loses its excess over the air on both faces; a square prism is two slabs at right angles, and its share of the
excess that is left their product. `fo` is Fourier's number D t / l^2, `biot` Biot's S l / D, l half the thickness.
Equation numbers are from memory.
"""

from collections.abc import Callable
from math import cos, erfc, exp, pi, sin, sqrt

import numpy as np


def slab(fo: float, terms: int = 400) -> float:
    """Residual share of the excess, the surface at once as dry as the air: eq. 4.18."""
    odd = 2 * np.arange(terms) + 1
    return float((8 / (odd**2 * pi**2) * np.exp(-(odd**2) * pi**2 * fo / 4)).sum())


def slab_early(fo: float, terms: int = 6) -> float:
    """The same by the series that converges fast at short times: eq. 4.20."""
    series = 1 / sqrt(pi) + 2 * sum((-1) ** n * _ierfc(n / sqrt(fo)) for n in range(1, terms))
    return 1 - 2 * sqrt(fo) * series


def _ierfc(x: float) -> float:
    return exp(-x * x) / sqrt(pi) - x * erfc(x)


def slab_resisted(fo: float, biot: float, terms: int = 60) -> float:
    """The same with a resistance at the surface: eq. 4.53, b tan b = Bi."""
    total = 0.0
    for n in range(terms):
        b = root(lambda x, sign=(-1) ** n: sign * (x * sin(x) - biot * cos(x)), n * pi, n * pi + pi / 2)  # type: ignore[misc]
        total += 2 * biot**2 * exp(-b * b * fo) / (b * b * (b * b + biot * biot + biot))
    return total


def square(fo: float, biot: float = float("inf")) -> float:
    """Residual share of the excess of a square prism."""
    return (slab(fo) if biot == float("inf") else slab_resisted(fo, biot)) ** 2


def root(function: Callable[[float], float], low: float, high: float) -> float:
    """Where a function that rises from below zero to above it crosses zero, by halving."""
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (low, middle) if function(middle) > 0 else (middle, high)
    return (low + high) / 2


def fo_at(residual: float, of: Callable[[float], float]) -> float:
    """The time at which a share of the excess is left."""
    return root(lambda fo: residual - of(fo), 1e-6, 5)
