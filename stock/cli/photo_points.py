"""A decoded picture as amounts of light: its colours by its profile, its points block by block, the right way up."""

import io
import struct
import zlib
from collections.abc import Callable, Iterator
from functools import reduce
from itertools import product
from typing import TYPE_CHECKING, Any

from stock.wood.picture import Picture

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL.Image import Image

LONGEST = 2048  # points of the longer side that are kept
ORIENTATION = 0x0112  # EXIF 2.32, 4.6.4

_STRIP = 256  # rows of a picture that are taken at a time
_WHITE, _BLACK = 254 / 255, 1 / 255
# What a file that is damaged makes its decoder raise.
BROKEN = (OSError, SyntaxError, ValueError, TypeError, LookupError, EOFError, ArithmeticError, struct.error, zlib.error)
_NO_COLOUR = ("L", "LA", "I", "I;16", "I;16L", "I;16B", "I;16N")


def picture_of(image: "Image", shrunk: float) -> tuple[Picture, tuple[str, ...]]:
    """The picture right side up, in blocks small enough to work with, each the mean of its light.

    Args:
        image: the picture, loaded.
        shrunk: how many times as large it is in the file.

    Returns:
        The picture, and what the person should know of it.
    """
    import numpy as np

    to_srgb, told = _profile(image)
    step = -(-max(image.size) // LONGEST)
    blocks = _right_side_up(np.concatenate(list(_blocks(image, step, to_srgb))), image)
    down, across = (round(shrunk * step * side) for side in blocks.shape[:2])
    has_colour = image.mode not in _NO_COLOUR
    return Picture(blocks[..., :3], blocks[..., 3], blocks[..., 4], has_colour, across, down), told


def _blocks(image: "Image", step: int, to_srgb: Callable[["Image"], "Image"]) -> Iterator["NDArray[np.float32]"]:
    """Strip by strip, the mean of each block of `step` by `step` points: see `_points`.

    Points at the right and lower rim that fill no block are left out.
    """
    import numpy as np

    rows, wide, high = max(_STRIP // step, 1) * step, image.width // step * step, image.height // step * step
    for top in range(0, high, rows):
        values, tells = _points(image.crop((0, top, wide, min(top + rows, high))), to_srgb)
        total = np.zeros((values.shape[0] // step, wide // step, 5), np.float32)
        for down, across in product(range(step), repeat=2):
            total += tells(values[down::step, across::step])
        yield (total / np.float32(step**2)).astype(np.float32)


def _points(
    strip: "Image", to_srgb: Callable[["Image"], "Image"]
) -> tuple["NDArray[Any]", Callable[["NDArray[Any]"], "NDArray[np.float32]"]]:
    """The points of a strip as stored, and what some of them tell: red, green and blue light, whether a point is
    clipped, and how clear it is, shape (rows, columns, 5)."""
    import numpy as np

    from stock.wood.colour import linear_of_srgb

    if strip.mode.startswith("I"):

        def of_grey(values: "NDArray[Any]") -> "NDArray[np.float32]":
            shares = np.clip(values.astype(np.float32) / 65535, 0, 1)
            clipped = (shares >= _WHITE) | (shares <= _BLACK)
            return np.dstack([*[linear_of_srgb(shares)] * 3, clipped, np.zeros_like(shares)]).astype(np.float32)

        return np.asarray(strip), of_grey
    steps = linear_of_srgb(np.arange(256) / 255).astype(np.float32)
    full = strip.convert("RGBA" if strip.has_transparency_data else "RGB")
    colours = full.convert("RGB")
    brightest = reduce(np.maximum, map(np.asarray, colours.split()))
    opaque = np.asarray(full.getchannel("A")) if full.mode == "RGBA" else np.full_like(brightest, 255)

    def of_colours(values: "NDArray[Any]") -> "NDArray[np.float32]":
        clipped = (values[..., 3] >= 255 * _WHITE) | (values[..., 3] <= 255 * _BLACK)
        return np.dstack([steps[values[..., :3]], clipped, 1 - values[..., 4] / np.float32(255)]).astype(np.float32)

    return np.dstack([np.asarray(to_srgb(colours)), brightest, opaque]), of_colours


def _profile(image: "Image") -> tuple[Callable[["Image"], "Image"], tuple[str, ...]]:
    """What turns the file's colours into sRGB, by its colour profile if it has one that can be read."""
    raw = image.info.get("icc_profile")
    if not raw or image.mode in _NO_COLOUR:
        return _as_it_is, ()
    from PIL import ImageCms

    try:
        profile = ImageCms.ImageCmsProfile(io.BytesIO(raw))
        turn = ImageCms.buildTransform(profile, ImageCms.createProfile("sRGB"), "RGB", "RGB")
    except (ImageCms.PyCMSError, *BROKEN):
        return _as_it_is, ("its colour profile cannot be read; its colours are taken as sRGB",)

    def to_srgb(strip: "Image") -> "Image":
        return ImageCms.applyTransform(strip, turn) or strip

    return to_srgb, ()


def _as_it_is(strip: "Image") -> "Image":
    return strip


def _right_side_up(blocks: "NDArray[np.float32]", image: "Image") -> "NDArray[np.float32]":
    """The picture as the camera was held."""
    import numpy as np

    try:
        said: Any = image.getexif().get(ORIENTATION)
    except BROKEN:
        said = None
    if said in (5, 6, 7, 8):
        blocks = blocks.transpose(1, 0, 2)
    if said in (2, 3, 6, 7):
        blocks = blocks[:, ::-1]
    if said in (3, 4, 7, 8):
        blocks = blocks[::-1]
    return np.ascontiguousarray(blocks)
