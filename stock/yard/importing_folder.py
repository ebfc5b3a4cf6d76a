"""The folder of a notebook: which of its files are read, and which are not."""

from pathlib import Path

from stock.book.csvfiles import Sheet, read
from stock.book.layout import FILES
from stock.errors import BadLines, StockError, Unclear

MOST_TOLD = 12  # names of files that are not read


def read_folder(folder: Path, encoding: str, delimiter: str) -> tuple[dict[str, Sheet], list[str]]:
    """Read the files of a notebook.

    Args:
        folder: the folder; file names in any case.
        encoding: how the letters of the files are coded.
        delimiter: what stands between their cells, or its name.

    Returns:
        The sheets by their names, and what of the folder was left unread, in words.

    Raises:
        StockError: no such folder, none of the files in it, or one that cannot be read as a whole.
        BadLines: several that cannot be read.
    """
    found = _files(folder)
    sheets: dict[str, Sheet] = {}
    refused: list[StockError] = []
    warnings: list[str] = []
    for name, layout in FILES.items():
        if name not in found:
            continue
        try:
            sheet = read(found[name], layout.needed, layout.more, encoding=encoding, delimiter=delimiter)
            sheets[name] = sheet
            if sheet.ignored:
                warnings.append(f"{name}: columns that are not read: {', '.join(sheet.ignored)}.")
        except StockError as trouble:
            refused.append(trouble)
    if len(refused) == 1:
        raise refused[0]
    if refused:
        told_of = [f"{trouble.message} {trouble.hint}".strip() for trouble in refused]
        raise BadLines(f"{len(refused)} files of {folder} cannot be read; nothing stored.", told_of)
    if others := sorted(path.name for name, path in found.items() if name not in FILES):
        warnings.append(f"files that are not read: {', '.join(others[:MOST_TOLD])}.")
    return sheets, warnings


def _files(folder: Path) -> dict[str, Path]:
    """The CSV files of a folder by their names in lower case."""
    try:
        inside = sorted(path for path in folder.iterdir() if path.suffix.lower() == ".csv")
    except FileNotFoundError:
        raise Unclear(f"there is no folder {folder}.", hint="Check its name.", code="bad-file") from None
    except NotADirectoryError:
        raise Unclear(f"{folder} is a file, not a folder.", hint="Name the folder it is in.", code="bad-file") from None
    except OSError as trouble:
        reason = (trouble.strerror or str(trouble)).lower()
        raise Unclear(f"the folder {folder} cannot be read: {reason}.", code="bad-file") from None
    found: dict[str, Path] = {}
    for path in inside:
        if path.name.lower() in found:
            other = found[path.name.lower()].name
            raise Unclear(f"{folder} has both {other} and {path.name}.", hint="Keep one of them.", code="bad-file")
        found[path.name.lower()] = path
    if not any(name in FILES for name in found):
        raise Unclear(
            f"the folder {folder} has none of the files of a notebook.",
            hint=f"Known are: {', '.join(FILES)}.",
            code="bad-file",
        )
    return found
