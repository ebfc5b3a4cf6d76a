"""A picture as amounts of light, whatever file it came from, and a part of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stock.errors import Impossible

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Area:
    """An upright part of a picture, each side as a share of the picture's, from its left and its top edge, 0 to 1."""

    left: float
    top: float
    right: float
    bottom: float

    def __post_init__(self) -> None:
        if not (0 <= self.left < self.right <= 1 and 0 <= self.top < self.bottom <= 1):
            said = ", ".join(f"{100 * side:g}" for side in (self.left, self.top, self.right, self.bottom))
            raise Impossible(
                f"{said} is no part of a picture.",
                hint="Left, top, right, bottom, in percent of the picture from its left and top edge: 20,20,80,80.",
            )

    @property
    def middle(self) -> tuple[float, float]:
        """Across and down, shares of the picture."""
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2

    def holds(self, point: tuple[float, float]) -> bool:
        """Whether a point, across and down, lies in it."""
        return self.left < point[0] < self.right and self.top < point[1] < self.bottom


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture the right way up.

    Attributes:
        light: linear sRGB light, 0 to 1, shape (height, width, 3).
        clipped: the share of each point that was too bright or too dark for the camera to tell, (height, width).
        clear: the share of each point that is transparent, (height, width).
        has_colour: whether it was taken in colour.
        across_px, down_px: its size in the file, which may be larger than `light`.
    """

    light: NDArray[np.float32]
    clipped: NDArray[np.float32]
    clear: NDArray[np.float32]
    has_colour: bool
    across_px: int
    down_px: int

    def part(self, area: Area) -> Picture:
        """A part of the picture."""
        height, width = self.clipped.shape
        rows = slice(round(area.top * height), max(round(area.bottom * height), round(area.top * height) + 1))
        columns = slice(round(area.left * width), max(round(area.right * width), round(area.left * width) + 1))
        return Picture(
            self.light[rows, columns],
            self.clipped[rows, columns],
            self.clear[rows, columns],
            self.has_colour,
            round((area.right - area.left) * self.across_px),
            round((area.bottom - area.top) * self.down_px),
        )
