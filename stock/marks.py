"""Marks: the names that are written on wood, a running number and a check letter.

`214H` is a piece, `T12N` a tree, `B7H` a block. The letter follows from the number, so that a digit read wrongly, or
two that changed places, never lead to another piece. The T or B in front is not guarded by it.
"""

import re
from typing import NamedTuple

from stock.errors import Impossible, Unclear, Unknown

ALPHABET = "ABCDEFGHJKLMNPQRSTVWXYZ"  # 23 letters, a prime: no I, O, U
KINDS = {"": "piece", "T": "tree", "B": "block"}
LONGEST_RANGE = 1000

_EXACT = re.compile(r"([TB]?)([1-9][0-9]{0,8})([A-Z])")
_FORGIVING = re.compile(r"([TB]?)(?=[OILSZB]*[0-9])([0-9OILSZB]{1,9})([A-Z])")
_LOOKALIKES = str.maketrans("OILSZB", "011528")
_HYPHENS = str.maketrans("–‑−", "---")
_EXAMPLES = "A mark is a number and a letter, such as 214H; T12N is a tree, B7H a block."


class Mark(NamedTuple):
    """A mark taken apart: series "" for pieces, "T" for trees, "B" for blocks, and the running number."""

    series: str
    number: int


def mark(number: int, series: str = "") -> str:
    """The mark of a number.

    Args:
        number: running number, from 1.
        series: "" for a piece, "T" for a tree, "B" for a block.

    Returns:
        Such as "214H", "T12N", "B7H". The letter is the number modulo 23 in an alphabet without I, O and U: as 23 is
        prime and above 10, every change of one digit and every swap of two unequal neighbours changes it.

    Raises:
        Impossible: a number below 1, or not such a series.
    """
    if number < 1:
        raise Impossible(f"no mark has the number {number}; they begin at 1")
    if series not in KINDS:
        raise Impossible(f'no marks begin with "{series}"', hint=_EXAMPLES)
    return f"{series}{number}{ALPHABET[number % 23]}"


def exact(text: str) -> Mark | None:
    """The mark of a text written as we write it.

    Args:
        text: such as "214H": upper case, nothing around it, the right letter.

    Returns:
        The mark, or None if the text is anything else.
    """
    found = _EXACT.fullmatch(text)
    if not found:
        return None
    read_as = Mark(found[1], int(found[2]))
    return read_as if mark(read_as.number, read_as.series) == text else None


def parse(text: str) -> Mark:
    """The mark that a person meant.

    Args:
        text: as typed: lower case and spaces around it are forgiven, and in the number O is read as 0, I and L as 1,
            S as 5, Z as 2, B as 8. A B or T in front is always the series.

    Returns:
        The mark; never one whose check letter differs.

    Raises:
        Unknown: the form of a mark with a wrong check letter.
        Unclear: not the form of a mark.
    """
    typed = " ".join(text.split())
    upper = typed.upper()
    found = exact(upper)
    if found:
        return found
    form = _FORGIVING.fullmatch(upper)
    digits = form[2].translate(_LOOKALIKES) if form else "0"
    if not form or digits.startswith("0"):
        raise Unclear(f'"{_short(typed)}" is not a mark', hint=_EXAMPLES)
    meant = Mark(form[1], int(digits))
    right = mark(meant.number, meant.series)
    if form[3] != right[-1]:
        kind = KINDS[meant.series]
        raise Unknown(f"no {kind} {typed}; the mark for {right[:-1]} is {right}", piece=right)
    return meant


def read(text: str) -> int:
    """The number of the piece that a person meant.

    Args:
        text: a piece's mark as typed, forgiven as in `parse`.

    Returns:
        The running number of the piece.

    Raises:
        Unknown: a wrong check letter.
        Unclear: not a mark, or the mark of a tree or a block.
    """
    meant = parse(text)
    if meant.series:
        right = mark(meant.number, meant.series)
        raise Unclear(
            f"{right} is a {KINDS[meant.series]}; a piece is wanted here",
            hint="The mark of a piece is a number and a letter, such as 214H.",
            piece=right,
        )
    return meant.number


def number_only(text: str) -> int | None:
    """The number of a piece typed without its letter, as in a round from the number pad.

    Args:
        text: such as "214"; spaces around are forgiven.

    Returns:
        The number, or None if the text is anything else. Only the expected weight guards it.
    """
    return int(text) if re.fullmatch(r"\s*[1-9][0-9]{0,8}\s*", text) else None


def ranges(text: str) -> list[str]:
    """The marks of a range, both ends included.

    Args:
        text: such as "214-253", "214H-253A", "T12N-T15R"; an end without a letter is of the other end's series.

    Returns:
        The marks in order, at most 1000.

    Raises:
        Unknown: a wrong check letter at one end.
        Unclear: not a range, backwards, of two series, or longer than 1000.
    """
    typed = text.strip()
    ends = [end.strip() for end in typed.translate(_HYPHENS).split("-")]
    if len(ends) != 2:
        raise Unclear(f'"{_short(typed)}" is not a range of marks', hint="Write it like 214-253 or 214H-253A.")
    numbers = [number_only(end) for end in ends]
    marks = [None if number else parse(end) for end, number in zip(ends, numbers, strict=True)]
    series = {meant.series for meant in marks if meant} or {""}
    first, last = (meant.number if meant else number or 0 for meant, number in zip(marks, numbers, strict=True))
    if len(series) > 1:
        raise Unclear(f'"{typed}" runs from one kind of mark to another', hint="Both ends must be of one kind.")
    if first > last:
        raise Unclear(f'"{typed}" runs backwards', hint=f"Write {ends[1]}-{ends[0]}.")
    if last - first >= LONGEST_RANGE:
        raise Unclear(f'"{typed}" is {last - first + 1} marks; a range has {LONGEST_RANGE} at most')
    (only,) = series
    return [mark(number, only) for number in range(first, last + 1)]


def _short(typed: str) -> str:
    plain = "".join(filter(str.isprintable, typed))
    return plain if len(plain) <= 40 else f"{plain[:40]}..."
