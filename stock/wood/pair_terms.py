"""The manner of every term of the pair cost, and the two commonest: the difference of a number, and of a word.

Each term gives the same whole thousandths of a point in two ways: `row(i, part)` for blank i against a slice of the
others, in plain Python, and `array()`, a function of two arrays of numbers, for large pools. Where the true figure is
dear to reckon these are a lower bound, the same in both ways, and `exact(i, j)` gives the figure.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from typing import Any

Array = Any  # a numpy array; numpy is imported only where a large pool needs it
OfPairs = Callable[[Array, Array], Array]


class Term:
    """What one pair cost term can do.

    Attributes:
        most: the greatest it can be, thousandths of a point.
        bounded: whether `row` and `array` give a lower bound and not the figure itself.
    """

    most: int
    bounded = False

    def row(self, i: int, part: slice) -> list[int]:
        raise NotImplementedError

    def array(self) -> OfPairs:
        raise NotImplementedError

    def exact(self, i: int, j: int) -> int:
        return self.row(i, slice(j, j + 1))[0]

    def on_a_line(self) -> tuple[Sequence[float], float] | None:
        """A number for each blank, and a cap: no pair costs less than the smaller of the cap and the difference of its
        two numbers, less two for rounding, thousandths of a point. None if there is nothing so simple."""
        return None


class Gap(Term):
    """Points in proportion to the difference of a number, which is rounded once, to what is worth 1/1000 point.

    Args:
        values: the number of each blank, None if not known.
        scale: points for each unit of difference.
        unknown: points if either is not known.
        most: points are never more than this; None for no limit.
        period: numbers this far apart are the same, and all lie from 0 to below it. Ring angles have a period of 90
            degrees, for a square blank may be turned by a quarter.
    """

    def __init__(
        self,
        values: Sequence[float | None],
        scale: float,
        unknown: float,
        most: float | None = None,
        period: float | None = None,
    ) -> None:
        self._unknown = round(1000 * unknown)
        self._period = None if period is None else round(1000 * scale * period)
        self._values = [None if v is None else round(1000 * scale * v) for v in values]
        known = [v for v in self._values if v is not None]
        span = max(known, default=0) - min(known, default=0) if self._period is None else self._period // 2
        self._limit = span if most is None else round(1000 * most)
        self.most = max(self._limit, self._unknown) if len(known) > 1 else self._unknown
        self._all_known = len(known) == len(values)

    def row(self, i: int, part: slice) -> list[int]:
        x, unknown, limit, period = self._values[i], self._unknown, self._limit, self._period
        others = self._values[part]
        if x is None:
            return [unknown] * len(others)
        if period is None:
            return [unknown if y is None else gap if (gap := abs(x - y)) < limit else limit for y in others]
        return [unknown if y is None else gap if (gap := abs(x - y)) <= limit else abs(period - gap) for y in others]

    def array(self) -> OfPairs:
        import numpy as np

        values = np.array([v or 0 for v in self._values], dtype=np.int64)
        known = np.array([v is not None for v in self._values])

        def of(i: Array, j: Array) -> Array:
            gap = np.abs(values[i] - values[j])
            if self._period is None:
                gap = np.minimum(gap, self._limit)
            else:
                gap = np.where(gap <= self._limit, gap, np.abs(self._period - gap))
            return gap if self._all_known else np.where(known[i] & known[j], gap, self._unknown)

        return of

    def on_a_line(self) -> tuple[Sequence[float], float] | None:
        if self._period is not None:
            return None
        return [v or 0 for v in self._values], self._limit if self._all_known else min(self._limit, self._unknown)


class Words(Term):
    """Points by what two words, or sets of words, are to each other; few of them are different."""

    def __init__(self, words: Sequence[Hashable], points: Callable[[Any, Any], float]) -> None:
        different = list(dict.fromkeys(words))
        self._table = [[round(1000 * points(a, b)) for b in different] for a in different]
        self._numbers = [different.index(word) for word in words]
        self.most = max((max(row) for row in self._table), default=0)

    def row(self, i: int, part: slice) -> list[int]:
        table = self._table[self._numbers[i]]
        return [table[number] for number in self._numbers[part]]

    def array(self) -> OfPairs:
        import numpy as np

        table, numbers = np.array(self._table, dtype=np.int64), np.array(self._numbers, dtype=np.int64)
        return lambda i, j: table[numbers[i], numbers[j]]


def numbered(words: Sequence[Hashable]) -> list[int]:
    """Equal words get equal numbers from 0 up; every None a number of its own below 0, so that it equals nothing."""
    numbers: dict[Hashable, int] = {}
    return [-1 - i if word is None else numbers.setdefault(word, len(numbers)) for i, word in enumerate(words)]
