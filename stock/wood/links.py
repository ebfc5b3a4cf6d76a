"""What each two blanks of a pool cost each other, and the search among them for pairs that are cheap enough.

The costs are lower bounds, exact where the pool needs no more. They leave out what a blank costs by itself, so that the
same links serve a blank that gives one stave and one that gives several.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from operator import add
from typing import Protocol

from stock.wood.best_sets import FAR


class Links(Protocol):
    """What the pools ask of the links between blanks 0 .. n - 1."""

    n: int

    def row(self, i: int) -> list[int]:
        """The links of blank i to all, `FAR` to itself and where two may not share a block."""
        ...

    def within(
        self, own: Sequence[int], times: int, other: Sequence[int], limit: Callable[[], int]
    ) -> Iterator[tuple[int, list[tuple[int, int]]]]:
        """Pairs that cost no more than a limit.

        Args:
            own: what each blank costs that stands first in a pair, `FAR` if it may not.
            times: how often the link counts.
            other: what each blank costs that stands second, `FAR` if it may not.
            limit: asked again and again, since it falls while sets are found.

        Yields:
            (i, [(cost, j), ...]) for each blank i that has partners, with cost = times x link + other[j], the cheapest
            first, of equal ones the smaller number; all those with own[i] + cost <= limit when i was looked at.
        """
        ...


class Table:
    """Links in plain Python.

    Args:
        rows: the links as lists, square and symmetric, `FAR` or more where two may not share a block and on the
            diagonal.
    """

    def __init__(self, rows: list[list[int]]) -> None:
        self._rows, self.n = rows, len(rows)

    def row(self, i: int) -> list[int]:
        return self._rows[i]

    def within(
        self, own: Sequence[int], times: int, other: Sequence[int], limit: Callable[[], int]
    ) -> Iterator[tuple[int, list[tuple[int, int]]]]:
        seconds = [(j, cost) for j, cost in enumerate(other) if cost < FAR]
        least = min((cost for _, cost in seconds), default=FAR)
        for i in sorted((i for i, cost in enumerate(own) if cost < FAR), key=own.__getitem__):
            room = min(limit(), FAR - 1) - own[i]
            if least > room:
                break
            row = self._rows[i]
            near = [(cost, j) for j, o in seconds if (cost := times * row[j] + o) <= room and row[j] < FAR]
            if near:
                yield i, sorted(near)

    def edges(self, units: Sequence[int]) -> list[list[int]]:
        """The edges for the search of four single staves: each link, and on it a third of what both blanks cost."""
        return [list(map(add, row, [a + b for b in units])) for row, a in zip(self._rows, units, strict=True)]
