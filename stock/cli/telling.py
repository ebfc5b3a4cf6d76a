"""What is said after an entry: what happened, what follows from it, the next step; then warnings and cautions."""

import textwrap
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from itertools import pairwise
from typing import Any

from stock import marks
from stock.cli import desk
from stock.dates import When
from stock.errors import Doubtful
from stock.yard.in_hand import at

WIDTH = 80


def tell(
    document: dict[str, Any],
    lines: Callable[[], Iterable[str]],
    *,
    on: When,
    dry_run: bool,
    warnings: Sequence[str] = (),
    cautions: Sequence[str] = (),
    verb: str,
) -> None:
    """Tell of an entry: the result on stdout, warnings and cautions on stderr after it.

    Args:
        document: the result for programs; the date, whether it was stored and the warnings are added.
        lines: the result for a person; long ones are wrapped.
        on: the date of the entry.
        dry_run: whether nothing was stored.
        warnings: what the person should know.
        cautions: of the act; the last one says where to read more.
        verb: the command.
    """
    here = desk.current()
    dated = {"on_first": on.first, "on_last": on.last, "on_text": on.text}
    here.tell(
        {**document, **dated, "stored": not dry_run, "warnings": list(warnings)},
        lambda: [wrapped(line) for line in lines()],
    )
    here.warn(wrapped(warning) for warning in warnings)
    said = list(dict.fromkeys(cautions))
    here.cautions([*said[:-1], f"{said[-1]} More: rick {verb} --help"] if said else [])


@contextmanager
def way_to_insist() -> Iterator[None]:
    """Where a doubt may be insisted upon, say by which option."""
    try:
        yield
    except Doubtful as doubt:
        hint = doubt.hint.replace("or insist.", "or insist on it: --insist.")
        raise Doubtful(doubt.message, hint=hint, code=doubt.code, piece=doubt.piece) from None


def wrapped(text: str) -> str:
    """A line folded at 80 columns; marks, sizes and commands are never cut inside a word."""
    lead = text[: len(text) - len(text.lstrip())]
    return textwrap.fill(
        text, WIDTH, subsequent_indent=f"{lead}  ", break_long_words=False, break_on_hyphens=False, drop_whitespace=True
    )


def packed(head: str, items: Sequence[str], most: int, rest: str) -> list[str]:
    """Items behind a head, filled into lines of 80 columns without cutting an item.

    Args:
        head: what the first line begins with.
        items: the items.
        most: the most lines to make.
        rest: what to say of the items that do not fit: `{}` is their number.

    Returns:
        The lines.
    """
    lines, line = [], head
    for done, item in enumerate(items):
        comma = "," if done + 1 < len(items) else ""
        if len(line) + 1 + len(item) + len(comma) > WIDTH and line.strip() != head.strip():
            lines.append(line)
            if len(lines) == most:
                return [*lines[:-1], _with_rest(lines[-1], rest, len(items) - done)]
            line = " " * 5
        line += f" {item}{comma}"
    return [*lines, line]


def _with_rest(line: str, rest: str, left: int) -> str:
    said = rest.format(left)
    while len(line) + 1 + len(said) > WIDTH and "," in line.rstrip(","):
        line = line.rstrip(",").rpartition(",")[0] + ","
        left += 1
        said = rest.format(left)
    return f"{line} {said}"


def when(on: When) -> str:
    """ " on 3 May 2026" for an entry of another day than today."""
    return "" if on.first == on.last == desk.current().today else f" {at(on)}"


def run(some: Sequence[str]) -> str:
    """Marks as they would be typed: `1B-3D` for neighbours, else one after the other."""
    numbers = [marks.parse(one) for one in some]
    neighbours = all(a.series == b.series and b.number == a.number + 1 for a, b in pairwise(numbers))
    return f"{some[0]}-{some[-1]}" if len(some) > 2 and neighbours else " ".join(some)


def counted(count: int, kind: str) -> str:
    """`1 log`, `12 blanks`."""
    return f"{count} {kind}" + ("" if count == 1 else "s")
