"""Pictures of faces that never were: lines of a known direction, contrast and colour, as a camera would store them."""

from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

Light = NDArray[np.float64]  # linear sRGB, 0 to 1
CHERRY = np.array([0.42, 0.17, 0.08])  # linear; L* 53.7, a* 19.4, b* 28.6
GREY_CARD, WHITE_CARD = 0.18, 0.90


def across_grain(height: int, width: int, degrees: float) -> Light:
    """How far each point lies to the side of the grain, which runs so many degrees anticlockwise from the level."""
    down, across = np.mgrid[:height, :width].astype(float)
    turn = np.radians(degrees)
    return (across - width / 2) * np.sin(turn) + (down - height / 2) * np.cos(turn)


def grating(
    height: int, width: int, degrees: float, period: float, colour: Light = CHERRY, depth: float = 0.25
) -> Light:
    """Lines that wax and wane like a sine; their mean light is the colour."""
    lines = np.sin(2 * np.pi * across_grain(height, width, degrees) / period)
    return (1 + depth * lines)[..., None] * colour


@cache
def _wood(height: int, width: int, degrees: float, seed: int, waver: float) -> Light:
    dice = np.random.default_rng(seed)
    fine = across_grain(2 * height, 2 * width, degrees) / 2
    along = across_grain(2 * height, 2 * width, degrees + 90) / 2
    side = fine + waver * (2 * np.sin(along / 90) + np.sin(along / 37 + 1))
    knots = np.cumsum(dice.uniform(6, 26, 4000))
    rings = (np.interp(side + knots[-1] / 2, knots, np.arange(4000)) % 1) ** 3
    grain = np.interp(side * 1.7 + 4000, np.arange(8000), dice.normal(0, 1, 8000))
    long = np.interp(along + 20 * np.sin(side / 3) + 4000, np.arange(0, 8000, 12), dice.normal(0, 1, 667))
    light = 1 + 0.45 * (0.3 - rings) + 0.08 * grain - 0.35 * ((grain + long) > 2.2)
    return np.clip(light, 0.02, None).reshape(height, 2, width, 2).mean(axis=(1, 3))


def face(height: int, width: int, degrees: float, seed: int = 1, colour: Light = CHERRY, waver: float = 0) -> Light:
    """Something like wood: growth rings of uneven width, which may waver, with short pores along the grain. Each point
    is the mean of four, as a lens makes it: stairs along an edge would have a direction of their own."""
    return _wood(height, width, degrees, seed, waver)[..., None] * colour


def with_card(light: Light, reflectance: float, corner: str = "top-left", share: float = 0.15) -> Light:
    """A picture with a card that fills one corner."""
    height, width = (round(share * side) for side in light.shape[:2])
    rows = slice(0, height) if "top" in corner else slice(-height, None)
    columns = slice(0, width) if "left" in corner else slice(-width, None)
    found = light.copy()
    found[rows, columns] = reflectance
    return found


def encoded(light: Light, noise: float = 0.0, seed: int = 2) -> NDArray[np.uint8]:
    """Eight bits of sRGB, IEC 61966-2-1; `noise` is one standard deviation of a step of 255."""
    light = np.clip(light, 0, 1)
    values = 255 * np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    if noise:
        values = values + np.random.default_rng(seed).normal(0, noise, values.shape)
    return np.clip(np.rint(values), 0, 255).astype(np.uint8)


def saved(path: Path, light: Light, noise: float = 0.0, **told: Any) -> Path:
    """A picture as a file; the ending of its name says in which format."""
    Image.fromarray(encoded(light, noise)).save(path, **told)
    return path
