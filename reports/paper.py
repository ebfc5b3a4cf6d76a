"""Writing files: beside their place first and then renamed, whole or not at all; no date and no name inside."""

import contextlib
import os
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure

from stock.errors import BookTrouble, StockError


@contextlib.contextmanager
def folder(target: Path) -> Iterator[None]:
    """A folder that files can be written to; a sentence if not.

    Raises:
        BookTrouble: the folder cannot be made or written.
    """
    try:
        target.mkdir(parents=True, exist_ok=True)
        yield
    except OSError as trouble:
        reason = (trouble.strerror or str(trouble)).lower()
        raise BookTrouble(
            f"nothing can be written to {target}: {reason}.", hint="Name another folder with --to.", code="no-folder"
        ) from None


def make_room(paths: Sequence[Path], *, force: bool) -> None:
    """Refuse to write over what is there, unless told to.

    Raises:
        StockError: a file exists already.
    """
    there = [path for path in paths if path.exists()]
    if there and not force:
        names = ", ".join(path.name for path in there)
        raise StockError(
            f"{there[0].parent} holds {names} already.",
            hint="Give --force to write them anew, or another folder with --to.",
            code="file-exists",
        )


def write(path: Path, how: Callable[[Path], None]) -> Path:
    """Write one file whole: `how` is given a path beside it.

    Returns:
        The path.
    """
    beside = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        how(beside)
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)
    return path


def png(path: Path, figure: Figure) -> Path:
    """A picture as PNG, without a date in it."""
    return write(path, lambda beside: figure.savefig(beside, format="png", metadata={"Software": None}))


def pdf(path: Path, pages: Sequence[Figure], title: str) -> Path:
    """Pages as PDF, without a date in it."""

    def save(beside: Path) -> None:
        told = {"Title": title, "Creator": "rick", "Producer": None, "CreationDate": None}
        with PdfPages(beside, metadata=told) as file:
            for page in pages:
                file.savefig(page)

    return write(path, save)
