"""The lines on a face: how strongly light and dark alternate, which way they run, and how clearly.

All is measured at one scale, the longer side of the face 1,024 points, with the face brought to the lightness of middle
grey and a steady fall of the light across it taken out. So a copy that is smaller, darker or turned measures the same.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

LONG_SIDE = 1024  # points
SMOOTH = 1.5  # points, one standard deviation: finer than this is taken for noise
COARSE = 3.0  # points: what a sharp picture shows beyond this is its fine lines
LONGEST_BY_WIDTH = 30
_EDGE = 8  # points at the rim, where smoothing knows nothing of what lies beyond
_MIDDLE_GREY = 0.184187  # luminance of L* 50, CIE 15:2004
_DARKEST = 1e-4  # of luminance: below it a camera sees nothing
_NOTHING = 1e-9


@dataclass(frozen=True, slots=True)
class Lines:
    """What the lines on a face are.

    Attributes:
        contrast: one standard deviation of L*, the face brought to L* 50 and freed of a steady fall of the light. What
            is finer than about a hundredth of the longer side counts less, as seen from arm's length.
        grain_deg: which way the lines run, degrees anticlockwise from the longer side of the part that was measured
            (of a square one: from the level), above -90 to 90; None if they run no way more than another.
        strength: how much of them runs that way: coherence, 0 none to 1 all.
        fineness: how many times as steep the lines are as they would be without the finest; noise, which runs every
            way, counts for nothing. Near 1 there are no fine lines: the picture is blurred, or the wood has none.
        across, down: how the logarithm of the light rises from left to right and from top to bottom.
    """

    contrast: float
    grain_deg: float | None
    strength: float
    fineness: float
    across: float
    down: float

    @property
    def brightness_ratio(self) -> float:
        """How many times as bright one corner is as the one opposite, by the steady fall of the light alone."""
        return math.exp(abs(self.across) + abs(self.down))


def lines(luminance: NDArray[np.floating]) -> Lines:
    """The lines on a face.

    Args:
        luminance: linear light, 1 is the white of the picture, shape (height, width); no side longer than
            `LONGEST_BY_WIDTH` times the other.

    Source:
        The structure tensor and its coherence: Bigun and Granlund, "Optimal orientation detection of linear symmetry",
        ICCV 1987 (from memory). Slopes by the filters of Farid and Simoncelli, "Differentiation of discrete
        multidimensional signals", IEEE Transactions on Image Processing 13(4), 2004, as in scikit-image. On sines 4
        points long the direction is within 0.4 degrees, on longer ones within 0.15. `fineness` is our own.
    """
    import numpy as np
    from skimage.filters import gaussian

    logs = np.log(np.maximum(_at_one_scale(luminance), _DARKEST))
    level, across, down = _steady_fall(logs)
    light = gaussian(116 * np.cbrt(_MIDDLE_GREY * np.exp(logs - level)) - 16, SMOOTH)
    tensor, coarse = _tensor(light), _tensor(gaussian(light, math.sqrt(COARSE**2 - SMOOTH**2)))
    directed = tensor.spread > _NOTHING * max(tensor.total, 1.0)
    return Lines(
        contrast=float(light.std()),
        grain_deg=tensor.along_deg(90.0 if light.shape[0] > light.shape[1] else 0.0) if directed else None,
        strength=tensor.spread / tensor.total if directed else 0.0,
        fineness=math.sqrt(tensor.spread / max(coarse.spread, _NOTHING)) if directed else 1.0,
        across=across,
        down=down,
    )


class _Tensor(NamedTuple):
    """The structure tensor: the mean squares and product of how steeply the light rises down and across."""

    down_down: float
    down_across: float
    across_across: float

    @property
    def total(self) -> float:
        return self.down_down + self.across_across

    @property
    def spread(self) -> float:
        """How much steeper it is the steepest way than at right angles to it."""
        return math.hypot(self.across_across - self.down_down, 2 * self.down_across)

    def along_deg(self, side_deg: float) -> float:
        """The way at right angles to the steepest, from a side; rows of a picture count downwards."""
        steepest = math.degrees(math.atan2(2 * self.down_across, self.across_across - self.down_down)) / 2
        return 90 - (steepest + side_deg) % 180


def _tensor(light: NDArray[np.float64]) -> _Tensor:
    from skimage.filters import farid

    down, across = (farid(light, axis=axis)[_EDGE:-_EDGE, _EDGE:-_EDGE] for axis in (0, 1))
    return _Tensor(float((down * down).mean()), float((down * across).mean()), float((across * across).mean()))


def _at_one_scale(luminance: NDArray[np.floating]) -> NDArray[np.float64]:
    import numpy as np
    from skimage.transform import resize

    scale = LONG_SIDE / max(luminance.shape)
    shape = [round(scale * side) for side in luminance.shape]
    found: NDArray[np.float64] = resize(luminance.astype(np.float64), shape, order=1, anti_aliasing=scale < 1)
    return found


def _steady_fall(logs: NDArray[np.float64]) -> tuple[NDArray[np.float64], float, float]:
    """The plane nearest to the logarithm of the light, and how much it rises across and down."""
    import numpy as np

    height, width = logs.shape
    down, across = np.linspace(-0.5, 0.5, height), np.linspace(-0.5, 0.5, width)
    by_down, by_across = logs.mean(axis=1) @ down / (down @ down), logs.mean(axis=0) @ across / (across @ across)
    level = logs.mean() + by_down * down[:, None] + by_across * across[None, :]
    return level, float(by_across), float(by_down)
