"""The report of ready stock: a table to compute with, a picture, and a page to print."""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from reports import frames, paper, style
from stock.book import csvfiles
from stock.dates import day_words
from stock.survey import answers
from stock.survey.holdings import ReadyStock
from stock.writing import write_length

FILES = ("ready.csv", "ready.png", "ready.pdf")
LINES_A_PAGE = 44
NOT_SOUNDNESS = (
    "Moisture and size only. Soundness is yours to judge. Weigh the chosen four and a spare within 14 days of milling."
)
# left edge of each column of the page, in parts of its width
COLUMNS = (
    ("mark", 0.07),
    ("part", 0.145),
    ("clear size", 0.21),
    ("moisture %", 0.38),
    ("weighed", 0.50),
    ("place", 0.60),
    ("open defects; what is missing", 0.74),
)
WIDTHS = (9, 7, 22, 14, 11, 18, 34)


@dataclass(frozen=True, slots=True)
class Written:
    """The files of a report."""

    files: tuple[Path, ...]
    ready: int
    nearly: int


def write(stock: ReadyStock, book: str, folder: Path, *, unit: str = "mm", force: bool = False) -> Written:
    """Write the report of ready stock.

    Args:
        stock: what is ready and nearly ready.
        book: the name of the book, as it is to stand on paper.
        folder: where to; made if it is not there.
        unit: the unit of lengths on the page, mm or in.
        force: whether files of an earlier report are replaced.

    Returns:
        The files: the CSV holds the same numbers as `rick ready --csv`. The same stock gives the same bytes.

    Raises:
        StockError: a file exists already.
        BookTrouble: the folder cannot be written.
    """
    frame = frames.ready(stock)
    head = heading(stock, book)
    rows = answers.ready_rows(stock)
    paths = [folder / name for name in FILES]
    with paper.folder(folder), style.look():
        paper.make_room(paths, force=force)
        cells = [[row[name] for name in answers.READY_COLUMNS] for row in rows]
        paper.write(paths[0], lambda beside: _csv(beside, cells))
        paper.png(paths[1], picture(frame, head))
        paper.pdf(paths[2], pages(frame, head, unit), "Ready stock")
    return Written(tuple(paths), len(stock.ready), len(stock.nearly))


def _csv(path: Path, cells: Sequence[Sequence[object]]) -> None:
    csvfiles.write(path, answers.READY_COLUMNS, cells)


def heading(stock: ReadyStock, book: str) -> str:
    """What a report must say of itself: book, date, number of pieces, target."""
    counted = f"{len(stock.ready)} ready, {len(stock.nearly)} nearly, {stock.others} further off"
    return (
        f"{book}, {day_words(stock.on)}: {counted}. For {stock.target.words}:"
        f" {stock.target.mc_pct:.0f} % of dry mass, within 2."
    )


def picture(frame: pd.DataFrame, head: str) -> Figure:
    """Ready and nearly ready blanks, counted by wood and by place."""
    figure = style.picture()
    left, right = figure.subplots(1, 2)
    _bars(left, frames.counted(frame, "wood"), "by wood")
    _bars(right, frames.counted(frame, "place"), "by place")
    figure.suptitle(f"Ready stock\n{head}", fontsize=9, x=0.01, ha="left", wrap=True)
    return figure


def _bars(axes: Axes, counts: pd.DataFrame, title: str) -> None:
    axes.set_title(title, loc="left", fontsize=9)
    if counts.empty:
        axes.text(0.5, 0.5, "nothing ready, nothing nearly", ha="center", va="center", color=style.QUIET)
        axes.set_axis_off()
        return
    names = [_short(str(name), 26) for name in counts.index]
    at = list(range(len(names)))[::-1]
    ready = [int(n) for n in counts["ready"]]
    nearly = [int(n) for n in counts["nearly"]]
    axes.barh(at, ready, color=style.READY, label="ready")
    axes.barh(at, nearly, left=ready, color=style.NEARLY, hatch="///", edgecolor="white", label="nearly")
    for y, some, more in zip(at, ready, nearly, strict=True):
        axes.text(some + more + 0.1, y, f"{some}" + (f" + {more}" if more else ""), va="center", fontsize=8)
    axes.set_yticks(at, names)
    axes.set_xlim(0, max(a + b for a, b in zip(ready, nearly, strict=True)) * 1.18 + 0.5)
    axes.xaxis.set_major_locator(MaxNLocator(integer=True))
    axes.set_xlabel("blanks")
    axes.legend(loc="lower right", frameon=False, fontsize=8)


def pages(frame: pd.DataFrame, head: str, unit: str) -> list[Figure]:
    """The stock as pages to print, by wood and place."""
    lines = list(_lines(frame, unit))
    chunks = [lines[i : i + LINES_A_PAGE] for i in range(0, len(lines), LINES_A_PAGE)] or [[]]
    return [_page(chunk, head, number, len(chunks)) for number, chunk in enumerate(chunks, 1)]


def _lines(frame: pd.DataFrame, unit: str) -> list[tuple[str, ...]]:
    """Rows of cells; a row of one cell is a heading."""
    found: list[tuple[str, ...]] = []
    for state, title in (("ready", "READY"), ("nearly", "NEARLY")):
        some = frame[frame["state"] == state]
        found.append((f"{title}  {len(some)}",))
        for wood, of_wood in some.sort_values(["wood", "place"], kind="stable").groupby("wood", sort=False):
            found.append((f"  {wood} ({of_wood['species'].iloc[0]})",))
            found += [_row(row, unit) for row in of_wood.to_dict("records")]
    return found


def _row(row: Mapping[Hashable, Any], unit: str) -> tuple[str, ...]:
    side, length = _number(row["usable_square_mm"]), _number(row["usable_length_mm"])
    bare = write_length(side, unit).removesuffix(unit).strip() if side else ""
    size = f"{bare} x {write_length(length, unit)}" if side and length else "-"
    mc, low, high = (_number(row[name]) for name in ("mc_pct", "mc_low_pct", "mc_high_pct"))
    moisture = f"{mc:.0f} ({low:.0f}-{high:.0f})" if mc is not None and low is not None and high is not None else "-"
    weighed = row["last_weighed_on"]
    day = weighed.date().isoformat() if isinstance(weighed, pd.Timestamp) else "never"
    told = str(row["defects"] or "")
    if row["state"] != "ready":
        told = "; ".join(t for t in (str(row["verdict"]), told) if t)
    return (str(row["mark"]), str(row["part"]), size, moisture, day, str(row["place"]), told)


def _number(value: object) -> float | None:
    return float(value) if isinstance(value, float) and value == value else None


def _page(lines: Sequence[tuple[str, ...]], head: str, number: int, of: int) -> Figure:
    figure = style.sheet()
    figure.text(0.07, 0.955, "Ready stock", fontsize=15, weight="bold")
    figure.text(0.07, 0.937, head, fontsize=8)
    for name, x in COLUMNS:
        figure.text(x, 0.912, name, fontsize=7.5, color=style.QUIET)
    y = 0.893
    for line in lines:
        if len(line) == 1:
            figure.text(0.07, y, line[0], fontsize=8.5, weight="bold" if not line[0].startswith(" ") else "normal")
        else:
            for cell, (_, x), width in zip(line, COLUMNS, WIDTHS, strict=True):
                figure.text(x, y, _short(cell, width), fontsize=8 if x > COLUMNS[0][1] else 9)
        y -= 0.0185
    if not lines:
        figure.text(0.07, y, "Nothing is ready, nothing nearly.", fontsize=9)
    figure.text(0.07, 0.045, NOT_SOUNDNESS, fontsize=7)
    figure.text(0.93, 0.045, f"{number} / {of}", fontsize=8, ha="right")
    return figure


def _short(text: str, most: int) -> str:
    return text if len(text) <= most else f"{text[: most - 2]}.."
