"""A course of drying drawn in plain characters: weighings, the fitted curve and its forecast, the target, the dates.

Nothing here knows a piece or a book: days are ordinal numbers, heights are numbers of one unit. The picture shows what
the lines of words beside it say, for eyes that would rather see it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import pairwise
from math import ceil, floor, isfinite
from typing import NamedTuple

from stock.dates import short_day

ROWS = 12  # of the plot at most; axis, dates and legend come below
WEIGHED, FITTED, FORETOLD, UPPER, LOWER, TARGET = "o", "-", ":", "'", ",", "."
EARLY, LIKELY, LATE = "(", "X", ")"
LEAST_WIDTH = 40
_STEPS = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 7.5)  # between rows, times a power of ten
_EVERY_OTHER = (1.5, 2.5, 7.5)  # of these, every other row has a round number
_MONTHS = (1, 2, 3, 6, 12, 24, 60, 120, 240, 600, 1200)
_DAYS = (1, 2, 7, 14)
_SHORT_SPAN = 100  # days, below which single days are named


class Height(NamedTuple):
    """The curve on a day: its middle, and the ends of the range that holds it in four cases of five."""

    day: float
    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class Picture:
    """What is to be drawn.

    Attributes:
        weighed: (day, height) of each weighing.
        unit: of the heights, said beside the top one.
        curve: the fitted course and its forecast, days rising; empty where there is none.
        last_day: the day on which the forecast begins.
        until: the last day to be shown; None ends with the last weighing.
        target: the height to be reached; None where it is no height.
        target_words: what the legend says of it.
        dates: early, likely and late day of reaching it; None for each that never comes, or was before.
    """

    weighed: Sequence[tuple[float, float]]
    unit: str
    curve: Sequence[Height] = ()
    last_day: float = 0.0
    until: float | None = None
    target: float | None = None
    target_words: str = ""
    dates: tuple[float | None, float | None, float | None] = (None, None, None)


def draw(picture: Picture, width: int = 80) -> list[str]:
    """A picture as lines.

    Args:
        picture: what is to be drawn.
        width: columns at most, taken to be 40 at least.

    Returns:
        Lines of plain ASCII without trailing blanks; none if nothing was weighed, or a number is none.
    """
    heights = [h for _, h in picture.weighed] + [h for point in picture.curve for h in point[1:]]
    if not picture.weighed or not all(map(isfinite, [*heights, *(day for day, _ in picture.weighed)])):
        return []
    levels = _Levels.of(picture)
    plot = _Plot(picture, levels, max(width, LEAST_WIDTH) - levels.margin)
    plot.draw()
    used = {cell for row in plot.cells for cell in row} | {cell for cell in plot.axis if cell != "-"}
    return [line.rstrip() for line in [*plot.lines(), *_legend(picture, used, max(width, LEAST_WIDTH))]]


@dataclass(frozen=True, slots=True)
class _Levels:
    """The rows of a plot: the height of the lowest, the step from row to row, and how many there are."""

    lowest: float
    step: float
    rows: int
    every: int
    unit: str

    @classmethod
    def of(cls, picture: Picture) -> "_Levels":
        until = picture.until if picture.until is not None else max(day for day, _ in picture.weighed)
        seen = [h for _, h in picture.weighed] + [p.middle for p in picture.curve if p.day <= until]
        if picture.target is not None:
            seen.append(picture.target)
        low, high = min(seen), max(seen)
        room = 0.1 * (high - low)
        low = max(min([low, *(max(p.low, low - room) for p in picture.curve if p.day <= until)]), 0.0)
        high = max([high, *(min(p.high, high + room) for p in picture.curve if p.day <= until)])
        if high - low < 1e-3 * max(high, 1e-6):
            low, high = max(low - 0.005 * high, 0.0), high + max(0.005 * high, 1e-3)
        for power in range(-6, 9):
            for mantissa in _STEPS:
                step = mantissa * 10.0**power
                every = 2 if mantissa in _EVERY_OTHER else 1
                lowest = floor(low / step / every + 1e-9) * every
                rows = ceil(high / step - 1e-9) - lowest + 1
                if rows <= ROWS:
                    return cls(lowest * step, step, max(rows, 3), every, picture.unit)
        raise AssertionError("no step is large enough")

    @property
    def margin(self) -> int:
        """Columns left of the plot."""
        return max(len(self._number(row)) for row in range(self.rows)) + len(self.unit) + 3

    def row(self, height: float) -> int | None:
        """The row of a height, counted from below; None if it lies outside."""
        row = floor((height - self.lowest) / self.step + 0.5)
        return row if 0 <= row < self.rows else None

    def label(self, row: int) -> str:
        """What stands beside a row; the unit beside the highest number."""
        top = (self.rows - 1) // self.every * self.every
        number = self._number(row) if row % self.every == 0 else ""
        return f"{number} {self.unit if row == top else ' ' * len(self.unit)} |".rjust(self.margin)

    def _number(self, row: int) -> str:
        apart = self.step * self.every
        places = next((places for places in range(6) if abs(round(apart, places) - apart) < 1e-9), 6)
        return f"{self.lowest + row * self.step:.{places}f}"


@dataclass(slots=True)
class _Plot:
    """The characters of a plot, the lowest row first."""

    picture: Picture
    levels: _Levels
    columns: int
    cells: list[list[str]] = field(init=False)
    first: float = field(init=False)
    last: float = field(init=False)
    axis: list[str] = field(init=False)

    def __post_init__(self) -> None:
        self.cells = [[" "] * self.columns for _ in range(self.levels.rows)]
        self.axis = ["-"] * self.columns
        self.first = min(day for day, _ in self.picture.weighed)
        until = self.picture.until
        self.last = max([until or self.first, *(day for day, _ in self.picture.weighed), self.first + 28])

    def draw(self) -> None:
        """Put in everything, the most telling last."""
        picture = self.picture
        heights = [self._curve_at(column) for column in range(self.columns)]
        for column, height in enumerate(heights):
            if height:
                self._put(column, height.high, UPPER)
                self._put(column, height.low, LOWER)
        if picture.target is not None:
            for column in range(self.columns):
                self._put(column, picture.target, TARGET)
        self._line(heights)
        for day, sign in zip(picture.dates, (EARLY, LIKELY, LATE), strict=True):
            if day is not None and self.first <= day <= self.last:
                self._mark(self._column(day), sign)
        for day, weighed in picture.weighed:
            self._put(self._column(day), weighed, WEIGHED)

    def lines(self) -> Iterator[str]:
        """The rows from above, the axis and its dates."""
        for row in reversed(range(self.levels.rows)):
            yield self.levels.label(row) + "".join(self.cells[row])
        space = " " * (self.levels.margin - 1)
        ticks = {self._column(day): text for day, text in _ticks(self.first, self.last, self.columns)}
        axis = ["+" if column in ticks and sign == "-" else sign for column, sign in enumerate(self.axis)]
        yield f"{space}+{''.join(axis)}"
        yield f"{space} {_spread(ticks, self.columns)}"

    def _line(self, heights: Sequence[Height | None]) -> None:
        """The middle of the curve; where it falls steeply, without gaps."""
        before: int | None = None
        for column, height in enumerate(heights):
            row = self.levels.row(height.middle) if height else None
            if height is None or row is None:
                before = None
                continue
            sign = FITTED if height.day <= self.picture.last_day else FORETOLD
            step = 0 if before is None or before == row else 1 if before > row else -1
            for one in range(row, (before if before is not None else row), step) if step else (row,):
                self.cells[one][column] = sign
            before = row

    def _mark(self, column: int, sign: str) -> None:
        """A date: on the line of the target, or on the axis where that is no height."""
        row = None if self.picture.target is None else self.levels.row(self.picture.target)
        (self.axis if row is None else self.cells[row])[column] = sign

    def _put(self, column: int, height: float, sign: str) -> None:
        row = self.levels.row(height)
        if row is not None:
            self.cells[row][column] = sign

    def _column(self, day: float) -> int:
        return min(max(round((day - self.first) / (self.last - self.first) * (self.columns - 1)), 0), self.columns - 1)

    def _curve_at(self, column: int) -> Height | None:
        """The curve in the middle of a column; None before it begins and after it ends."""
        curve = self.picture.curve
        day = self.first + column / (self.columns - 1) * (self.last - self.first)
        if not curve or not curve[0].day <= day <= curve[-1].day:
            return None
        for a, b in pairwise(curve):
            if a.day <= day <= b.day:
                share = (day - a.day) / (b.day - a.day) if b.day > a.day else 0.0
                return Height(day, *(x + share * (y - x) for x, y in zip(a[1:], b[1:], strict=True)))
        return curve[0]


def _ticks(first: float, last: float, columns: int) -> Iterator[tuple[float, str]]:
    """The days named below the axis, and how."""
    column_days = (last - first) / (columns - 1)
    begin, end = date.fromordinal(ceil(first)), date.fromordinal(floor(last))
    if last - first < _SHORT_SPAN:
        step = next((one for one in _DAYS if one >= 12 * column_days), _DAYS[-1])
        for at in range(begin.toordinal(), end.toordinal() + 1, step):
            yield at, short_day(date.fromordinal(at))
        return
    step = next((one for one in _MONTHS if 30.4 * one >= 10 * column_days), _MONTHS[-1])
    month = ceil((begin.year * 12 + begin.month - 1 + (begin.day > 1)) / step) * step
    while month <= end.year * 12 + end.month - 1:
        day = date(month // 12, month % 12 + 1, 1)
        text = str(day.year) if step % 12 == 0 else short_day(day).removeprefix("1 ")
        yield day.toordinal(), text
        month += step


def _spread(texts: dict[int, str], columns: int) -> str:
    """Texts below their columns; one that would touch its neighbour or the edge is left out."""
    line = ""
    for column, text in sorted(texts.items()):
        if (not line or len(line) < column) and column + len(text) <= columns:
            line = line.ljust(column) + text
    return line


def _legend(picture: Picture, used: set[str], width: int) -> list[str]:
    """What the signs mean, of those that were drawn."""
    entries = [
        f"{sign} {word}"
        for sign, word in (
            (WEIGHED, "weighed"),
            (FITTED, "fitted"),
            (FORETOLD, "forecast"),
            (f"{UPPER} {LOWER}", "four of five lie between"),
            (TARGET, picture.target_words or "target"),
            (EARLY, "early"),
            (LIKELY, "likely"),
            (LATE, "late"),
        )
        if set(sign.split()) & used
    ]
    lines: list[str] = []
    for entry in entries:
        if lines and len(lines[-1]) + 3 + len(entry) <= width:
            lines[-1] += f"   {entry}"
        else:
            lines.append(entry[:width])
    return lines
