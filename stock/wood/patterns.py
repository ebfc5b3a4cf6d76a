"""Patterns of a block: which of its four staves are to be alike, and by what two kinds of blank are told apart.

A pattern is a word of four letters round the ring. Staves of one letter are to be alike; staves of different letters
only share a glue joint. Both patterns of two letters choose among the same sets, two blanks of either kind: they differ
in how the four are placed.

The two kinds come from one thing that is recorded of a blank, so that none can be of both. A blank of which that thing
is not known is of neither kind, and so is one that is part heart and part sap.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

from stock.errors import Unclear

if TYPE_CHECKING:
    from stock.wood.likeness import Blank

PATTERNS = {"matched": "AAAA", "alternating": "ABAB", "halves": "AABB"}
PART, FIGURE = "part", "figure"


def word(pattern: str) -> str:
    """The letters of a pattern, round the ring.

    Raises:
        Unclear: no pattern has this name.
    """
    if pattern not in PATTERNS:
        raise Unclear(f'no pattern is called "{pattern}".', hint=f"Known: {', '.join(PATTERNS)}.")
    return PATTERNS[pattern]


def kinds(by: str) -> tuple[str, str]:
    """What the letters A and B stand for.

    Args:
        by: "part" for heart against sap, "figure" for plain against figured, or any trait, such as "spalting", for
            blanks with it against blanks without.
    """
    return {PART: ("heart", "sap"), FIGURE: ("plain", "figured")}.get(by, (by, f"without {by}"))


def kind_of(blank: Blank, by: str) -> int | None:
    """0 for a blank of the kind A, 1 for B, None for neither; see `kinds`."""
    if by == PART:
        return {"heart": 0, "sap": 1}.get(blank.part or "")
    if blank.traits is None:
        return None
    return int(bool(blank.traits)) if by == FIGURE else int(by not in blank.traits)


def why_neither(blank: Blank, by: str) -> tuple[bool, str]:
    """Of a blank that is of neither kind: whether that is known of it, and what to say."""
    a, b = kinds(by)
    if by == PART and blank.part is not None:
        return True, f"{'part heart, part sap' if blank.part == 'mixed' else blank.part}; it takes {a} or {b}"
    return False, f"not told whether {a} or {b}"


def in_ring(pattern: str, letters: Collection[str]) -> list[int]:
    """The order in which staves, given with those of A first, stand round the ring.

    Returns:
        For each place of the ring which of the staves stands there: (0, 2, 1, 3) for two of A and two of B that
        alternate.
    """
    left = list(range(len(letters)))
    letters = list(letters)
    ring = []
    for letter in word(pattern):
        at = next(i for i in left if letters[i] == letter)
        left.remove(at)
        ring.append(at)
    return ring
