"""figure --photo: a picture file as amounts of light, with a bound on what it may take.

Of what a file tells about itself only which side is up is believed, and its colour profile.
"""

import hashlib
import io
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from stock.cli.photo_points import BROKEN, LONGEST, picture_of
from stock.errors import StockError
from stock.wood.picture import Picture

if TYPE_CHECKING:
    from PIL.Image import Image

MOST_BYTES = 256 * 1024 * 1024
MOST_PIXELS = 120_000_000  # four bytes each while it is taken apart
DRAFT_FROM = 24_000_000  # points from which a JPEG is decoded at a half, a quarter or an eighth
NARROWEST = 100  # times as long as wide
# Those that need no other program to be read, as some do.
FORMATS = ("JPEG", "PNG", "TIFF", "WEBP", "BMP", "GIF")
_UNREAD = {
    "CMYK": "is made for printing (CMYK): its colours are inks",
    "LAB": "is stored as L*a*b*, which few programs read",
    "1": "is black and white, without any grey",
    "F": "holds bare numbers, not a photograph",
}


@dataclass(frozen=True, slots=True)
class PhotoFile:
    """A picture that was read: the file's name without folders, its digest, and what the person should know."""

    picture: Picture
    name: str
    sha256: str
    warnings: tuple[str, ...]


def read(text: str) -> PhotoFile:
    """A picture from a file.

    Args:
        text: its name as typed.

    Raises:
        StockError: no such file, too large, no picture, of a kind that tells no colour or grey, or broken off; or the
            libraries that read pictures are missing.
    """
    try:
        import PIL.Image  # noqa: F401
        import skimage  # noqa: F401
    except ImportError as missing:
        raise StockError(
            f"a photograph is measured with pillow and scikit-image; {missing.name} is not installed.",
            hint="Install it where rick is: pip install scikit-image",
            code="missing-library",
        ) from None
    raw = _bytes(Path(text).expanduser())
    name = Path(text).name
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of libraries, about what is refused here in one sentence
        try:
            image, shrunk = _loaded(raw, name)
            picture, told = picture_of(image, shrunk)
        except MemoryError:
            raise _refused(f"{name} needs more memory than there is.", "Save it smaller.") from None
    return PhotoFile(picture, name, hashlib.sha256(raw).hexdigest(), told)


def _bytes(path: Path) -> bytes:
    try:
        if path.exists() and not path.is_file():
            raise _refused(f"{path} is {'a folder' if path.is_dir() else 'no file'}.", "Name a picture file.")
        with path.open("rb") as file:
            raw = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise _refused(f"there is no file {path}.", "Check its name.") from None
    except (OSError, ValueError) as trouble:
        reason = (getattr(trouble, "strerror", None) or str(trouble)).lower()
        raise _refused(f"{path} cannot be read: {reason}.", "Nothing was stored.") from None
    if not raw:
        raise _refused(f"{path.name} is empty.", "Copy it from the camera again.")
    if len(raw) > MOST_BYTES:
        raise _refused(f"{path.name} is larger than {MOST_BYTES >> 20} MB.", "Save it as JPEG.")
    return raw


def _loaded(raw: bytes, name: str) -> tuple["Image", float]:
    """The picture as stored, and how many times as large it is in the file."""
    import PIL.Image

    try:
        image = PIL.Image.open(io.BytesIO(raw), formats=FORMATS)
        if image.width * image.height > MOST_PIXELS:
            raise _too_many(name)
        if image.mode in _UNREAD:
            raise _refused(f"{name} {_UNREAD[image.mode]}.", "Save it as a JPEG with colours for the screen (sRGB).")
        longer, shorter = max(image.size), min(image.size)
        if longer > NARROWEST * shorter:
            raise _refused(f"{name} is too narrow to measure.", "Photograph a shorter length of it.")
        if image.format in ("JPEG", "MPO") and image.width * image.height > DRAFT_FROM:
            share = LONGEST / longer
            image.draft(None, (round(share * image.width), round(share * image.height)))
        image.load()
    except PIL.UnidentifiedImageError:
        raise _no_picture(raw, name) from None
    except PIL.Image.DecompressionBombError:
        raise _too_many(name) from None
    except BROKEN:
        raise _refused(f"{name} is damaged or broken off.", "Copy it from the camera again.") from None
    return image, longer / max(image.size)


def _no_picture(raw: bytes, name: str) -> StockError:
    if raw[4:8] == b"ftyp" and raw[8:12] in (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"):
        return _refused(f"{name} is a HEIC picture, which is not read here.", "Save or send it as JPEG.")
    return _refused(f"{name} is no picture that is read here.", "JPEG and PNG are, also TIFF, WebP, BMP and GIF.")


def _too_many(name: str) -> StockError:
    return _refused(f"{name} has more than {MOST_PIXELS // 1_000_000} million points.", "Save it smaller.")


def _refused(message: str, hint: str) -> StockError:
    return StockError(message, hint=hint, code="bad-file")
