"""One line a piece: how a length that was cut, or a blank that was sawn, is typed and read.

Fields are separated by commas, and `.` is the field above; a comma between two digits is a decimal sign. A line of
`.` alone is the whole line above, `x11` eleven more of it. A tag that ends in a number counts up.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from stock import measure
from stock.cli import desk
from stock.cli.conversations import one_word
from stock.errors import Unclear
from stock.typed import Typed
from stock.yard.lengthways import BlankPlan

T = TypeVar("T")

SAME = "."
PARTS = ("heart", "sap", "mixed")
RINGS = ("flat", "rift", "quarter")
_SEPARATOR = re.compile(r"\s*(?:;|(?<![0-9]),|,(?![0-9]))\s*")
_AGAIN = re.compile(r"\.|\.?\s*[xX×]\s*([1-9][0-9]{0,2})")
_COUNTED = re.compile(r"(.*?)([0-9]{1,9})$")


@dataclass(frozen=True, slots=True)
class Length:
    """One length that was cut: how long, its diameter at the top end, and its tag."""

    length: Typed
    dia_top: Typed | None = None
    tag: str = ""


def read_lengths(answer: str, before: Sequence[Length], *, with_dia: bool) -> list[Length]:
    """The lengths of a line: `26in, 11 1/2 in, K-1`, or several of one line: `2x26in+22in`.

    Args:
        answer: the line as typed.
        before: the lengths above it.
        with_dia: whether each has a diameter at its top, because the butt's was measured.

    Raises:
        Unclear: too many fields, a field that cannot be read or repeated, or no diameter where one belongs.
        Impossible: a length that cannot be.
    """
    last = before[-1] if before else None
    if repeats := _repeats(answer, last):
        return _counting_up(repeats, last, lambda one, tag: replace(one, tag=tag))
    here = desk.current()
    cells = _cells(answer, 3 if with_dia else 2, "length, diameter at its top, tag" if with_dia else "length, tag")
    lengths = (last.length,) if cells[0] == SAME and last else here.lengths(cells[0])
    if not lengths:
        raise Unclear("the length is missing.", hint="26in, or several: 2x26in+22in")
    dia = _field(cells[1], last.dia_top if last else None, here.length) if with_dia else None
    tag = _tag(cells[-1], last.tag if last else "")
    if with_dia and dia is None:
        raise Unclear("its diameter at the top is missing.", hint="Measure it at each cut, or at none.")
    if len(lengths) > 1 and (with_dia or tag):
        raise Unclear(f"one line of fields for {len(lengths)} lengths.", hint="A line each, as they differ.")
    return [Length(length, dia, tag) for length in lengths]


def read_blanks(answer: str, before: Sequence[BlankPlan]) -> list[BlankPlan]:
    """The blanks of a line: `330, 51, heart, flat, K-1, 480g`; all but the square may be left out.

    Args:
        answer: the line as typed.
        before: the blanks above it.

    Raises:
        Unclear: too many fields, or a field that cannot be read or repeated.
        Impossible: a measure that cannot be.
    """
    last = before[-1] if before else None
    if repeats := _repeats(answer, last):
        return _counting_up(repeats, last, lambda one, tag: replace(one, tag=tag, mass=None))
    here = desk.current()
    length, square, part, rings, tag, weight = _cells(answer, 6, "length, square, part, rings, tag, weight")
    sides = _field(square, (last.width, last.thickness) if last else None, here.square)
    if sides is None:
        raise Unclear("its square is missing.", hint="330mm, 51mm or 330mm, 52x50mm")
    if weight == SAME:
        raise Unclear("each blank has a weight of its own.", hint="Type it, or leave it out.")
    return [
        BlankPlan(
            width=sides[0],
            thickness=sides[1],
            length=_field(length, last.length if last else None, here.length),
            part=_field(part, last.part if last else None, one_word(PARTS)) or None,
            rings=_field(rings, last.rings if last else None, _rings),
            tag=_tag(tag, last.tag if last else ""),
            mass=here.mass(weight),
        )
    ]


def _cells(answer: str, count: int, fields: str) -> list[str]:
    cells = _SEPARATOR.split(answer.strip())
    if len(cells) > count:
        raise Unclear(f"{len(cells)} fields where {count} belong.", hint=f"{fields}; a comma and a space between.")
    return cells + [""] * (count - len(cells))


def _field(cell: str, above: T | None, read: Callable[[str], T | None]) -> T | None:
    """One field: the one above for a `.`, nothing for nothing."""
    if cell == SAME:
        return above
    return read(cell) if cell else None


def _rings(text: str) -> Typed:
    return measure.angle(one_word(RINGS)(text) if text.isalpha() and len(text) < 4 else text)


def _tag(cell: str, above: str) -> str:
    if cell != SAME or not above:
        return "" if cell == SAME else cell
    following = _following(above)
    if not following:
        raise Unclear(f'the tag "{above}" is on the one above.', hint="Each piece has a tag of its own.")
    return following


def _following(tag: str) -> str:
    """`K-9` -> `K-10`, `07` -> `08`; nothing for a tag without a number at its end."""
    counted = _COUNTED.fullmatch(tag)
    return f"{counted[1]}{int(counted[2]) + 1:0{len(counted[2])}}" if counted else ""


def _repeats(answer: str, last: object | None) -> int:
    """How many more of the line above are asked for; 0 for any other line."""
    again = _AGAIN.fullmatch(answer.strip())
    if again and last is None:
        raise Unclear("there is no line above to repeat.")
    return int(again[1] or 1) if again else 0


def _counting_up(times: int, last: T | None, like: Callable[[T, str], T]) -> list[T]:
    found: list[T] = []
    assert last is not None
    tag: str = getattr(last, "tag", "")
    for _ in range(times):
        tag = _following(tag)
        found.append(like(last, tag))
    return found
