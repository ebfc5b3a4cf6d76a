"""Colour as numbers: from what a picture holds to CIE L*a*b*, and how different two colours look.

A colour is (L*, a*, b*) under daylight D65 for the 2-degree observer: L* from 0 black to 100 white, a* from green to
red, b* from blue to yellow. A difference near 1 is the least that an eye finds with two samples side by side.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache
from typing import TYPE_CHECKING, Any

from stock.errors import Impossible

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

Lab = tuple[float, float, float]
Number = Any  # a float, or a numpy array of them

FARTHEST = 1000.0  # no channel of a colour is beyond it; the seventh power of its chroma is still a number
_25_TO_7 = 25.0**7
_TURN, _HALF = 2 * math.pi, math.pi

# IEC 61966-2-1:1999, sRGB: linear red, green, blue to X, Y, Z; the rows sum to the D65 white of the standard.
_XYZ_OF_RGB = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))
_WHITE = tuple(sum(row) for row in _XYZ_OF_RGB)
_KNEE = 6 / 29  # CIE 15:2004, 8.2.1: where the cube root of L*a*b* gives way to a straight line


def ciede2000(one: Lab, other: Lab) -> float:
    """The colour difference CIEDE2000 of two colours, with all its factors 1.

    Args:
        one, other: L*, a*, b*.

    Returns:
        The difference, dE, 0 for equal colours; the same whichever comes first.

    Raises:
        Impossible: a channel that is not a number, or beyond 1000.

    Source:
        CIE 142-2001; written after Sharma, Wu and Dalal, "The CIEDE2000 color-difference formula: implementation notes,
        supplementary test data, and mathematical observations", Color Research & Application 30(1), 2005, eqs. 2 to 22,
        whose 34 test pairs it reproduces to the four printed decimals.
    """
    for channel in (*one, *other):
        if not -FARTHEST <= channel <= FARTHEST:
            raise Impossible(f"a colour cannot have a channel of {channel:g}", hint="L* is 0 to 100.")
    return float(_of_floats(*one, *other))


def ciede2000_many(one: ArrayLike, other: ArrayLike) -> NDArray[np.float64]:
    """`ciede2000` for arrays of colours.

    Args:
        one, other: L*, a*, b* along the last axis, shape (..., 3); the others are broadcast together.

    Returns:
        The differences, dE, shape (...); as `ciede2000` gives them within 1e-9.

    Raises:
        Impossible: as `ciede2000`, or a last axis that is not of three.

    Source:
        As `ciede2000`: it is one formula.
    """
    import numpy as np

    colours = [np.asarray(colour, dtype=np.float64) for colour in (one, other)]
    for colour in colours:
        if colour.shape[-1:] != (3,):
            raise Impossible(f"colours have three channels; these have the shape {colour.shape}")
        if not (np.abs(colour) <= FARTHEST).all():
            raise Impossible("a colour cannot have a channel that is no number or beyond 1000", hint="L* is 0 to 100.")
    channels = (colour[..., channel] for colour in colours for channel in range(3))
    return np.asarray(_of_arrays()(*channels), dtype=np.float64)


def _formula(m: Any, atan2: Callable[[Number, Number], Number]) -> Callable[..., Number]:
    """CIEDE2000 on the functions of `math` or of numpy; where it forks, a comparison is multiplied in."""
    cos, exp, hypot, sin, sqrt = m.cos, m.exp, m.hypot, m.sin, m.sqrt

    def of(l1: Number, a1: Number, b1: Number, l2: Number, a2: Number, b2: Number) -> Number:
        c7 = ((hypot(a1, b1) + hypot(a2, b2)) / 2) ** 7
        stretch = 1.5 - 0.5 * sqrt(c7 / (c7 + _25_TO_7))
        a1, a2 = stretch * a1, stretch * a2
        c1, c2 = hypot(a1, b1), hypot(a2, b2)
        h1, h2 = atan2(b1, a1) % _TURN, atan2(b2, a2) % _TURN
        # Of a grey the hue is 0 here, not unknown: then d_hue is 0 by the chroma, and the mean hue counts for nothing.
        turned = h2 - h1
        far = abs(turned) > _HALF
        turned = turned - _TURN * (turned > _HALF) + _TURN * (turned < -_HALF)
        mean_h = (h1 + h2) / 2 + far * (_HALF - _TURN * (h1 + h2 >= _TURN))
        d_chroma, d_hue = c2 - c1, 2 * sqrt(c1 * c2) * sin(turned / 2)

        mean_c, off_50 = (c1 + c2) / 2, ((l1 + l2) / 2 - 50) ** 2
        t = 1 - 0.17 * cos(mean_h - math.radians(30)) + 0.24 * cos(2 * mean_h)
        t += 0.32 * cos(3 * mean_h + math.radians(6)) - 0.20 * cos(4 * mean_h - math.radians(63))
        light = (l2 - l1) / (1 + 0.015 * off_50 / sqrt(20 + off_50))
        chroma, hue = d_chroma / (1 + 0.045 * mean_c), d_hue / (1 + 0.015 * mean_c * t)

        mean_c7 = mean_c**7
        blue = math.radians(30) * exp(-(((mean_h - math.radians(275)) / math.radians(25)) ** 2))
        twist = -2 * sqrt(mean_c7 / (mean_c7 + _25_TO_7)) * sin(2 * blue)
        # Rounding can leave less than nothing of the squares of two equal colours.
        squares = light * light + chroma * chroma + hue * hue + twist * chroma * hue
        return sqrt(squares * (squares > 0))

    return of


_of_floats = _formula(math, math.atan2)


@cache
def _of_arrays() -> Callable[..., Number]:
    import numpy as np

    return _formula(np, np.arctan2)


def linear_of_srgb(srgb: ArrayLike) -> NDArray[np.float64]:
    """What an sRGB picture holds, as amounts of light, which may be averaged.

    Args:
        srgb: values of a picture, 0 to 1 (of eight bits: divided by 255), any shape.

    Returns:
        Linear light, 0 to 1, the same shape.

    Source:
        IEC 61966-2-1:1999, 5.2: the inverse of the sRGB transfer function.
    """
    import numpy as np

    values = np.asarray(srgb, dtype=np.float64)
    return np.where(values <= 0.04045, values / 12.92, ((np.maximum(values, 0.0) + 0.055) / 1.055) ** 2.4)


def lab_of_linear(rgb: ArrayLike) -> NDArray[np.float64]:
    """CIE L*a*b* of linear sRGB light.

    Args:
        rgb: linear red, green and blue along the last axis, shape (..., 3); 1 is the white of the picture.

    Returns:
        L*, a*, b*, shape (..., 3). Equal channels give a* = b* = 0.

    Source:
        IEC 61966-2-1:1999, 5.2, matrix to XYZ; CIE 15:2004, 8.2.1, L*a*b*, with the D65 white of the former.
    """
    import numpy as np

    xyz = np.asarray(rgb, dtype=np.float64) @ np.array(_XYZ_OF_RGB).T / np.array(_WHITE)
    f = np.where(xyz > _KNEE**3, np.cbrt(np.maximum(xyz, 0.0)), xyz / (3 * _KNEE**2) + 4 / 29)
    x, y, z = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def lab_of_light(light: ArrayLike) -> Lab:
    """CIE L*a*b* of one colour, its linear red, green and blue; see `lab_of_linear`."""
    l_star, a_star, b_star = lab_of_linear(light).tolist()
    return l_star, a_star, b_star


def lab_of_srgb(srgb: ArrayLike) -> NDArray[np.float64]:
    """CIE L*a*b* of the values of an sRGB picture, 0 to 1, shape (..., 3); see `linear_of_srgb` and `lab_of_linear`."""
    return lab_of_linear(linear_of_srgb(srgb))
