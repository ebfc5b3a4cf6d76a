"""The lines of a notebook's files, each read into what it says; a line that cannot be read is noted with its reason.

What a line says of a piece is a row of the book that does not know its piece yet: which piece is meant, and whether it
can be true, is found out when all files are read.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple, TypeVar

from stock.book.csvfiles import Sheet
from stock.book.layout import FILES
from stock.book.naming import fold
from stock.book.records import Fact
from stock.dates import When
from stock.errors import BadLines, StockError
from stock.typed import Typed
from stock.yard.cells import Cells, Reading
from stock.yard.making import Looks, Measures
from stock.yard.seen import Seen

T = TypeVar("T")


class At(NamedTuple):
    """Where a line stands."""

    file: str
    number: int

    def __str__(self) -> str:
        return f"{self.file} line {self.number}"


class Bad:
    """The lines that cannot be taken, with the reason of each."""

    def __init__(self) -> None:
        self.told: dict[At, str] = {}
        self.names: set[str] = set()  # of pieces on bad lines, folded: what else is said of them is not judged

    def add(self, at: At, trouble: StockError | str) -> None:
        """Note a bad line; the first reason is enough."""
        text = trouble if isinstance(trouble, str) else sentence(trouble)
        self.told.setdefault(at, text)

    def refuse(self, of: int) -> None:
        """Refuse the whole folder if a line of it is bad.

        Args:
            of: the number of all lines.

        Raises:
            BadLines: each bad line with its file, number and reason.
        """
        if self.told:
            order = {name: n for n, name in enumerate(FILES)}
            lines = sorted(self.told.items(), key=lambda one: (order.get(one[0].file, 99), one[0].number))
            raise BadLines(
                f"{len(lines)} of {of} lines cannot be taken; nothing stored.",
                [f"{at}: {text}" for at, text in lines],
                hint="Mend them and import the folder again.",
            )


def sentence(trouble: StockError) -> str:
    """A refusal and its way out, in one line."""
    hint = "; ".join(" ".join(line.split()) for line in trouble.hint.splitlines())
    if not hint or trouble.message.endswith((":", ".", "?")):
        return f"{trouble.message} {hint}".strip()
    return f"{trouble.message}. {hint}"


def lines_of(
    sheet: Sheet | None, read: Callable[[At, Cells], T], reading: Reading, known: dict[str, When], bad: Bad
) -> list[T]:
    """The lines of a sheet, read one by one; those that cannot be read go to the bad ones."""
    if sheet is None:
        return []
    for number, reason in sheet.bad:
        bad.add(At(sheet.name, number), reason)
    lines: list[T] = []
    for number, texts in sheet.lines:
        at = At(sheet.name, number)
        try:
            lines.append(read(at, Cells(texts, reading, known)))
        except StockError as trouble:
            bad.add(at, trouble)
            bad.names |= {fold(texts[column]) for column in ("tag", "mark") if texts.get(column)}
    return lines


@dataclass(frozen=True, slots=True)
class TreeLine:
    """A line of trees.csv."""

    at: At
    tag: str
    mark: str
    species: str
    on: When | None
    sure: str
    by_whom: str
    evidence: str
    tree: Mapping[str, Any]
    typed: dict[str, str]


@dataclass(frozen=True, slots=True)
class PieceLine:
    """A line of pieces.csv."""

    at: At
    tag: str
    mark: str
    parent: str
    kind: str
    species: str
    on: When | None
    size: Measures
    looks: Looks
    traits: tuple[str, ...]
    from_butt: Typed | None
    order_no: int | None
    place: str
    role: str
    bark_on: bool | None
    origin: str
    typed: dict[str, str]


@dataclass(frozen=True, slots=True)
class FactLine:
    """A line that says one thing of a piece: the row of the book but for its piece, and what was done, in words.

    `place` is where it was moved, `species` what it was held to be.
    """

    at: At
    piece: str
    on: When
    row: Fact
    doing: str
    place: str = ""
    species: str = ""


@dataclass(frozen=True, slots=True)
class SeenLine:
    """A line of defects.csv: one look at a defect."""

    at: At
    piece: str
    on: When
    seen: Seen
    note: str
    doing: str = "looked at"


@dataclass(frozen=True, slots=True)
class WeighingLine:
    """A line of weighings.csv."""

    at: At
    piece: str
    on: When
    mass: Typed
    scales: str
    role: str
    step: Typed | None
    state: str
    at_time: str
    note: str
    doing: str = "weighed"


@dataclass(frozen=True, slots=True)
class ActLine:
    """Something done to a piece that changes its shape, its coat or its wood.

    Attributes:
        operation: columns of the operation but for piece and dates.
        before, after: its weight just before and just after, g.
        size: what was measured after it.
        sections: the slices that it gave, with their oven-dry mass (g) and when that was found.
    """

    at: At
    piece: str
    on: When
    operation: Mapping[str, Any]
    doing: str
    before: Typed | None = None
    after: Typed | None = None
    size: Measures = field(default_factory=Measures)
    sections: tuple["SectionSaid", ...] = ()
    typed: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class SectionSaid:
    """A moisture section: the row of the book but for its piece, and its oven-dry mass, g, if it is known."""

    row: Fact
    dry: Typed | None
    dried_on: When


def count_of(sheets: Iterable[Sheet]) -> int:
    """The number of lines in some sheets, bad ones too."""
    return sum(len(sheet.lines) + len(sheet.bad) for sheet in sheets)
