"""Results as text: plain columns that fit a terminal, CSV for programs, and moisture in as many digits as are known."""

import csv
import io
import shutil
import sys
import textwrap
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from stock.book import csvfiles
from stock.survey.courses import Dryness
from stock.survey.pieces import Piece, Size
from stock.writing import write_length, write_mass, write_square


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its heading, whether it is of numbers, and whether it may be cut to fit a terminal."""

    heading: str
    right: bool = False
    may_shrink: bool = False


def screen_width() -> int | None:
    """The columns of the terminal, or None where the result is piped and nothing may be cut."""
    return shutil.get_terminal_size((80, 24)).columns if sys.stdout.isatty() else None


def table(columns: Sequence[Column], rows: Iterable[Sequence[str]], width: int | None = None) -> list[str]:
    """Rows as aligned lines under their headings, without boxes.

    Args:
        columns: the columns.
        rows: texts, one for each column; line breaks and control characters are made harmless.
        width: columns of the screen to fit; None never cuts anything.

    Returns:
        The lines, headings first; none if there are no rows.
    """
    cells = [[harmless(cell) for cell in row] for row in rows]
    if not cells:
        return []
    wide = [max(_width(c.heading), *(_width(row[i]) for row in cells)) for i, c in enumerate(columns)]
    total = sum(wide) + 2 * (len(columns) - 1)
    if width is not None and total > width:
        for i in sorted((i for i, c in enumerate(columns) if c.may_shrink), key=lambda i: -wide[i]):
            shrunk = max(wide[i] - (total - width), _width(columns[i].heading), 6)
            total -= wide[i] - shrunk
            wide[i] = min(wide[i], shrunk)
    lines = ["  ".join(_fit(c.heading, wide[i], c.right) for i, c in enumerate(columns)).rstrip()]
    lines += ["  ".join(_fit(row[i], wide[i], c.right) for i, c in enumerate(columns)).rstrip() for row in cells]
    return lines


def wrapped(text: str, indent: int = 0) -> list[str]:
    """A sentence as lines that fit the terminal; one line where the result is piped."""
    space, width = " " * indent, screen_width()
    text = harmless(text)
    if width is None or len(text) + indent <= width:
        return [space + text]
    return textwrap.wrap(text, width, initial_indent=space, subsequent_indent=space, break_long_words=False)


def harmless(text: str) -> str:
    """Text of a person's on one line: no line breaks, no control characters, no escape sequences."""
    return "".join(" " if c in "\n\r\t" else c for c in text if c in "\n\r\t" or unicodedata.category(c)[0] != "C")


def _width(text: str) -> int:
    return sum(0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in text)


def _fit(text: str, width: int, right: bool) -> str:
    if _width(text) > width:
        kept = text
        while kept and _width(kept) > width - 2:
            kept = kept[:-1]
        text = f"{kept}.."
    space = " " * (width - _width(text))
    return space + text if right else text + space


def csv_text(rows: Sequence[dict[str, Any]], columns: Sequence[str]) -> str:
    """Rows as CSV with a header, written as the files of the book are."""
    file = io.StringIO()
    lines = [[csvfiles.cell(_joined(row[name])) for name in columns] for row in rows]
    csv.writer(file, lineterminator="\n").writerows([columns, *lines])
    return file.getvalue()


def _joined(value: Any) -> Any:
    return "; ".join(str(one) for one in value) if isinstance(value, list | tuple) else value


def moisture(mc: float, low: float, high: float) -> str:
    """`19 (16-22)`; one decimal only where the half-width is under 1."""
    digits = 1 if (high - low) / 2 < 1 else 0
    return f"{mc:.{digits}f} ({low:.{digits}f}-{high:.{digits}f})"


def moisture_of(dryness: Dryness) -> str:
    if dryness.mc_pct is None or dryness.mc_low_pct is None or dryness.mc_high_pct is None:
        return "-"
    rough = " rough" if dryness.by_density else ""
    return moisture(dryness.mc_pct, dryness.mc_low_pct, dryness.mc_high_pct) + rough


def age(days: int | None) -> str:
    return "never" if days is None else f"{days} d"


def size_words(size: Size, unit: str) -> str:
    """`51 x 51 x 280 mm`, or `dia 300-280 x 660 mm` for a log; only what is known."""
    length = _number(size.length_mm, unit)
    if size.width_mm and size.thickness_mm:
        square = write_square(size.width_mm, size.thickness_mm, unit)
        return f"{square.removesuffix(unit).strip()} x {length} {unit}" if length else square
    if size.dia_butt_mm:
        dia = _number(size.dia_butt_mm, unit)
        if size.dia_top_mm and size.dia_top_mm != size.dia_butt_mm:
            dia = f"{dia}-{_number(size.dia_top_mm, unit)}"
        return f"dia {dia} x {length} {unit}" if length else f"dia {dia} {unit}"
    return f"{length} {unit} long" if length else "-"


def _number(mm: float | None, unit: str) -> str:
    return write_length(mm, unit).removesuffix(unit).strip() if mm else ""


def mass_words(mass_g: float, unit: str) -> str:
    """A mass in the book's unit."""
    return write_mass(mass_g, unit)


def title(piece: Piece, unit: str) -> str:
    """`214H  black cherry heart  51 x 51 x 280 mm  shed / rack 2`."""
    tag = f' "{piece.tag}"' if piece.tag else ""
    part = f" {piece.look.part}" if piece.look.part else ""
    doubt = "?" if piece.wood.sure in ("guess", "unknown") and piece.wood.wood else ""
    told = [f"{piece.mark}{tag}", f"{piece.wood.name}{doubt}{part} {piece.kind}", size_words(piece.size, unit)]
    if piece.place:
        told.append(piece.place)
    return harmless("  ".join(t for t in told if t != "-"))
