"""The linear and the whole-number programs of a plan, solved by HiGHS.

Of many sets, at most so many are to be made, no blank is to be in two of them, and what they gain together is to be
greatest.
"""

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

ENDLESS = 1e30  # what HiGHS takes for infinity


@dataclass(frozen=True, slots=True)
class Column:
    """A set that may be made.

    Attributes:
        cost: thousandths of a point.
        blanks: the numbers of its blanks over all woods, each once.
        wood: the number of its wood; four: its staves, by their numbers in that wood.
    """

    cost: int
    blanks: tuple[int, ...]
    wood: int
    four: tuple[int, int, int, int]


class Master:
    """The linear program over the sets known so far; sets are added and it is solved again from where it stood.

    Args:
        n: how many blanks there are.
        blocks: how many sets may be made at most.
        worth: what each is worth, thousandths of a point.
    """

    def __init__(self, n: int, blocks: int, worth: int) -> None:
        self._highs, self._n, self._worth = _program(n, blocks), n, worth

    def add(self, columns: Sequence[Column]) -> None:
        _add(self._highs, columns, self._n, self._worth)

    def prices(self) -> tuple[list[float], float]:
        """What each blank is worth at the optimum, and what one block more would be, points."""
        self._highs.run()
        duals = [max(0.0, -dual) for dual in self._highs.getSolution().row_dual]
        return duals[: self._n], duals[self._n]


def chosen(
    columns: Sequence[Column], n: int, blocks: int, worth: int, seconds: float
) -> tuple[list[Column], int | None]:
    """The sets to make, of those given.

    Returns:
        The best choice found in the time, and what no choice can fall below, thousandths of a point of cost less worth;
        None if that is not known. If the choice itself is worth as much it is the best.
    """
    import highspy

    if not columns or seconds <= 0:
        return [], None
    highs = _program(n, blocks)
    _add(highs, columns, n, worth)
    for i in range(len(columns)):
        highs.changeColIntegrality(i, highspy.HighsVarType.kInteger)
    highs.setOptionValue("time_limit", float(seconds))
    highs.setOptionValue("mip_rel_gap", 0.0)
    highs.setOptionValue("mip_abs_gap", 1e-4)
    highs.run()
    taken = [column for column, x in zip(columns, highs.getSolution().col_value, strict=True) if x > 0.5]
    if highs.getModelStatus() == highspy.HighsModelStatus.kOptimal:
        return taken, sum(column.cost - worth for column in taken)
    bound = highs.getInfo().mip_dual_bound
    return taken, round(1000 * bound - 0.5) if abs(bound) < ENDLESS else None


def _program(n: int, blocks: int) -> Any:
    """A program with a row for each blank, at most once, and one for the number of blocks."""
    import numpy as np

    with _quiet():
        import highspy

        highs = highspy.Highs()  # type: ignore[no-untyped-call]
    highs.setOptionValue("output_flag", False)
    none = np.array([], dtype=np.int32)
    upper = np.append(np.ones(n), float(blocks))
    highs.addRows(n + 1, np.full(n + 1, -ENDLESS), upper, 0, np.zeros(n + 1, np.int32), none, np.array([]))
    return highs


def _add(highs: Any, columns: Sequence[Column], n: int, worth: int) -> None:
    import numpy as np

    if not columns:
        return
    rows = [(*column.blanks, n) for column in columns]
    starts = np.cumsum([0, *map(len, rows[:-1])]).astype(np.int32)
    members = np.array([row for some in rows for row in some], dtype=np.int32)
    gains = np.array([(column.cost - worth) / 1000 for column in columns])
    upper = np.full(len(columns), ENDLESS)
    highs.addCols(
        len(columns), gains, np.zeros(len(columns)), upper, len(members), starts, members, np.ones(len(members))
    )


@contextmanager
def _quiet() -> Iterator[None]:
    """HiGHS writes about itself to the standard output of the process when it first starts; that goes nowhere."""
    try:
        sys.stdout.flush()
        kept = os.dup(1)
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, 1)
        os.close(nowhere)
    except (OSError, ValueError, AttributeError):  # a process without these streams has nothing to keep clean
        yield
        return
    try:
        yield
    finally:
        _flush_c()
        os.dup2(kept, 1)
        os.close(kept)


def _flush_c() -> None:
    try:
        ctypes.CDLL(None).fflush(None)
    except (OSError, TypeError, AttributeError):  # a system without one C library for the process
        return
