"""The marking sheet of a set: one page to take to the bench, from the four blanks to the block glued a second time."""

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from matplotlib.figure import Figure

from reports import end_grain, paper, style
from reports.end_grain import End

FILES = ("marking-sheet.pdf", "marking-sheet.png")
LEFT, RIGHT = 0.07, 0.93
CUT_COLUMNS = (("corner", 0.07), ("blank", 0.12), ("wood", 0.22), ("moisture", 0.37), ("where", 0.48), ("cut", 0.59))
JOINT_COLUMNS = (("joint", 0.07), ("first", 0.13), ("after the reversal", 0.45), ("will differ by", 0.78))
LINE = 0.0165
STEPS = (
    "Weigh the four and the spare; plane faces true and square, all four in one setting, then cut to length.",
    "Mark every butt end with its number, and the filled corner in pencil on the end grain.",
    "Glue 1 to 2 and 3 to 4; let the glue cure; flatten both pairs in one setting; then glue the pairs (2nd).",
    "Turn the first shape. Keep both ends full square for as long as they must hold.",
    "Split along the paper, 1 and 2 from 3 and 4 first; turn each stave half about on its own axis.",
    "Glue again as the second drawing shows, pairs first; the outer faces are the new joints: clean and square.",
)


@dataclass(frozen=True, slots=True)
class SetSheet:
    """What stands on the page.

    Attributes:
        title: the name of the set.
        lines: what was asked for, and the book and day.
        ends: the four staves, as they stand for the first glue-up.
        cuts: a row for each stave, as `CUT_COLUMNS` has them; the last cell may be long.
        joints: a row for each joint, as `JOINT_COLUMNS` has them.
        notes: what else to know: movement, planing, what was guessed, what is broken.
        cautions: the usual cautions.
    """

    title: str
    lines: Sequence[str]
    ends: Sequence[End]
    cuts: Sequence[Sequence[str]]
    joints: Sequence[Sequence[str]]
    notes: Sequence[str]
    cautions: Sequence[str]


def write(sheet: SetSheet, folder: Path, *, force: bool = False) -> tuple[Path, ...]:
    """Write the marking sheet as a page to print and as a picture.

    Args:
        sheet: what stands on it.
        folder: where to; made if it is not there.
        force: whether an earlier sheet is replaced.

    Returns:
        The files. The same set gives the same bytes.

    Raises:
        StockError: a file exists already.
        BookTrouble: the folder cannot be written.
    """
    paths = [folder / name for name in FILES]
    with paper.folder(folder), style.look():
        paper.make_room(paths, force=force)
        paper.pdf(paths[0], [page(sheet)], f"Marking sheet: {sheet.title}")
        paper.png(paths[1], page(sheet))
    return tuple(paths)


def page(sheet: SetSheet) -> Figure:
    """The page."""
    figure = style.sheet()
    figure.text(LEFT, 0.955, sheet.title, fontsize=15, weight="bold")
    y = _lines(figure, 0.936, sheet.lines, 8.5)
    for left, title, ends in ((0.07, "First glue-up, butts up", sheet.ends), (0.53, *_reversed(sheet.ends))):
        axes = figure.add_axes((left, y - 0.265, 0.40, 0.25))
        end_grain.draw(axes, ends, title)
    y = _lines(
        figure,
        y - 0.275,
        [
            "Filled: the corner at the middle; mark it. Lines: the rings, which may lean the other way. Dotted:"
            " sapwood. Small letters: the faces of each blank."
        ],
        7.5,
    )
    y = _table(figure, y - 0.008, CUT_COLUMNS, sheet.cuts)
    y = _table(figure, y - 0.008, JOINT_COLUMNS, sheet.joints)
    y = _lines(figure, y - 0.012, sheet.notes, 8)
    y = _lines(figure, y - 0.008, [f"{n}  {step}" for n, step in enumerate(STEPS, 1)], 8)
    _lines(figure, y - 0.006, sheet.cautions, 7)
    return figure


def _reversed(ends: Sequence[End]) -> tuple[str, list[End]]:
    """Each stave turned half about on its own axis."""
    return "After the reversal", [replace(end, turn_deg=(end.turn_deg + 180) % 360) for end in ends]


def _lines(figure: Figure, y: float, lines: Sequence[str], size: float) -> float:
    """Lines of text, folded to the page; gives where the next may stand."""
    for line in lines:
        for part in textwrap.wrap(line, round(1010 / size), subsequent_indent="   ") or [""]:
            figure.text(LEFT, y, part, fontsize=size)
            y -= LINE * size / 8.5
    return y


def _table(figure: Figure, y: float, columns: Sequence[tuple[str, float]], rows: Sequence[Sequence[str]]) -> float:
    """A table whose cells are folded to their columns; gives where the next may stand."""
    for name, x in columns:
        figure.text(x, y, name, fontsize=7.5, color=style.QUIET)
    y -= LINE
    ends = [x for _, x in columns[1:]] + [RIGHT]
    for row in rows:
        cells = [
            textwrap.wrap(cell, max(int((end - x) * 125), 6)) or [""]
            for cell, (_, x), end in zip(row, columns, ends, strict=True)
        ]
        for cell, (_, x) in zip(cells, columns, strict=True):
            for k, part in enumerate(cell):
                figure.text(x, y - k * LINE * 0.85, part, fontsize=8)
        y -= LINE * (0.3 + 0.85 * max(len(cell) for cell in cells))
    return y
