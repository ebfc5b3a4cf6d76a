"""Everything out of the book: a folder of CSV files to read, and `book.json`, which holds every row.

A folder is made beside its place and put there by one renaming, so that a broken export is never taken for a whole
one. `restore_json` is the way back.
"""

import contextlib
import os
import shutil
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from stock.book import opening, whole
from stock.book.csvfiles import write
from stock.book.layout import FILES
from stock.book.notebook import sheets
from stock.book.restoring import Restored, is_empty, restore_json
from stock.book.whole import everything, refused, write_whole
from stock.errors import StockError

__all__ = ["Exported", "Restored", "export", "is_empty", "restore_json"]


@dataclass(frozen=True, slots=True)
class Exported:
    """An export: the folder, the lines of each CSV file, the rows of each table in `book.json`."""

    folder: Path
    files: Mapping[str, int]
    rows: Mapping[str, int]


def export(path: Path, folder: Path, *, force: bool = False) -> Exported:
    """Write the whole book as a folder of CSV files and `book.json`.

    Args:
        path: the book.
        folder: where to; made if it is not there.
        force: whether a folder that holds something is taken; files of our names in it are replaced, others kept.

    Raises:
        BookTrouble: the book cannot be read.
        StockError: the folder holds something, is a file, or cannot be written; it is as it was then.
    """
    target = folder.absolute()
    _check_target(target, force)
    with opening.reading(path) as connection:
        tables = everything(connection)
    beside = (target if target.exists() else target.parent) / f".{target.name}.{os.getpid()}.new"
    with _told(folder):
        target.parent.mkdir(parents=True, exist_ok=True)
        beside.mkdir(mode=0o700)
        try:
            files = {name: write(beside / name, columns, lines) for name, columns, lines in sheets(tables)}
            write_whole(beside / whole.FILE, tables)
            _put_in_place(beside, target)
        finally:
            shutil.rmtree(beside, ignore_errors=True)
    return Exported(folder, files, {name: len(rows) for name, rows in tables.items()})


def _check_target(target: Path, force: bool) -> None:
    try:
        if target.exists() and not target.is_dir():
            raise refused(f"{target} is a file, not a folder.", "Name a folder; it is made if it is not there.")
        inside = sorted(entry.name for entry in target.iterdir()) if target.exists() else []
        if inside and not force:
            some = ", ".join(inside[:3]) + (" ..." if len(inside) > 3 else "")
            raise refused(
                f"the folder {target} holds something already ({some}).",
                "Name a new folder, or give --force to replace the files of an earlier export.",
            )
        if wrong := next((name for name in (*FILES, whole.FILE) if (target / name).is_dir()), None):
            raise refused(f"{target / wrong} is a folder; a file must go there.", "Name another folder.")
    except OSError as trouble:
        raise _no_folder(target, trouble) from None


@contextlib.contextmanager
def _told(folder: Path) -> Iterator[None]:
    try:
        yield
    except OSError as trouble:
        raise _no_folder(folder, trouble) from None


def _put_in_place(beside: Path, target: Path) -> None:
    if not target.exists():
        beside.rename(target)
        return
    for name in (*FILES, whole.FILE):
        (beside / name).replace(target / name)


def _no_folder(folder: Path, trouble: OSError) -> StockError:
    reason = (trouble.strerror or str(trouble)).lower()
    return refused(f"nothing can be written to {folder}: {reason}.", "Name another folder.")
