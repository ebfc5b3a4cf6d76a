"""The terms of the pair cost that say how far apart two blanks grew: in the tree, and along one log."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stock.wood.pair_terms import Array, Gap, OfPairs, Term, numbered

if TYPE_CHECKING:
    from stock.wood.likeness import Blank, Weights

ORIGINS = ("stick", "billet", "log", "tree")


class Origin(Term):
    """How far apart two blanks grew: one stick, one billet, one log, one tree, or not even that.

    Attributes:
        trees: a number for each tree, below 0 and each its own for blanks whose tree is not known.
        between_trees: thousandths of a point for two blanks of two known trees, no less; None if that is not sure,
            because a log is said to be of two trees.
    """

    def __init__(self, blanks: Sequence[Blank], w: Weights) -> None:
        self._ids = [numbered([getattr(b, kind) for b in blanks]) for kind in ORIGINS]
        points = (w.same_stick, w.same_billet, w.same_log, w.other_log, w.other_tree, w.origin_unknown)
        self._points = [round(1000 * p) for p in points]
        self.most = max(self._points)
        self.trees = self._ids[3]
        self.between_trees = self._points[4] if all(_within(ids, self.trees) for ids in self._ids[:3]) else None
        beside: dict[int, list[int]] = {}
        for j, tree in enumerate(self.trees):
            beside.setdefault(max(tree, -1), []).append(j)
        self._beside = {tree: members + beside.get(-1, []) for tree, members in beside.items()}
        self._last: tuple[int, slice, list[int]] = (-1, slice(0), [])  # the distance along the log asks again
        self._of_pairs: OfPairs | None = None

    def groups(self) -> list[tuple[list[int], int]]:
        """Numbers for the blanks, and thousandths of a point: two blanks whose numbers differ cost at least so much.

        What several groups say adds up. A number below 0 says nothing.
        """
        sticks, billets, logs, trees = self._ids
        said = []
        least = min(self._points[3:])
        if _within(sticks, logs) and _within(billets, logs):
            alone = [-1 - i for i in range(len(logs))]  # of which nothing smaller than a tree is known
            codes = [
                log if log >= 0 else len(logs) + i if (stick, billet) == (i_alone, i_alone) else -1
                for i, (stick, billet, log, i_alone) in enumerate(zip(sticks, billets, logs, alone, strict=True))
            ]
            said.append((codes, least))
        if self.between_trees is not None:
            said.append((trees, max(0, self.between_trees - (least if said else 0))))
        return said

    def row(self, i: int, part: slice) -> list[int]:
        if self._last[:2] != (i, part):
            self._last = (i, part, self._row(i, part))
        return self._last[2]

    def _row(self, i: int, part: slice) -> list[int]:
        tree, others = self.trees[i], range(len(self.trees))[part]
        if tree < 0 or self.between_trees is None or len(others) < 2:
            return [self._point(i, j) for j in others]
        points = [self.between_trees] * len(others)
        for j in self._beside[tree]:  # the only ones that are not of another known tree
            if others.start <= j < others.stop:
                points[j - others.start] = self._point(i, j)
        return points

    def _point(self, i: int, j: int) -> int:
        same_stick, same_billet, same_log, same_tree, other, unknown = self._points
        sticks, billets, logs, trees = self._ids
        if sticks[i] == sticks[j]:
            return same_stick
        if billets[i] == billets[j]:
            return same_billet
        if logs[i] == logs[j]:
            return same_log
        if trees[i] == trees[j]:
            return same_tree
        return unknown if trees[i] < 0 or trees[j] < 0 else other

    def array(self) -> OfPairs:
        self._of_pairs = self._of_pairs or self._array()
        return self._of_pairs

    def _array(self) -> OfPairs:
        import numpy as np

        ids = [np.array(known, dtype=np.int64) for known in self._ids]
        last: list[Array] = [None, None, None]  # the distance along the log asks again

        def of(i: Array, j: Array) -> Array:
            if last[0] is not i or last[1] is not j:
                cost = np.where((ids[3][i] < 0) | (ids[3][j] < 0), self._points[5], self._points[4])
                for level in (3, 2, 1, 0):
                    cost = np.where(ids[level][i] == ids[level][j], self._points[level], cost)
                last[:] = i, j, cost
            return last[2]

        return of


class Along(Term):
    """The distance of two blanks along their log.

    Never so much that one log costs more than another log of the tree would; a place along the log that is not known
    costs the most.
    """

    def __init__(self, blanks: Sequence[Blank], origin: Origin, w: Weights) -> None:
        self._origin, self._gap = origin, Gap([b.along_mm for b in blanks], w.along_per_mm, w.along_most, w.along_most)
        self._room, self.most = round(1000 * w.other_log), self._gap.most

    def row(self, i: int, part: slice) -> list[int]:
        levels = self._origin.row(i, part)
        points = [0] * len(levels)
        near = [at for at, level in enumerate(levels) if level < self._room]
        gaps = self._gap.row(i, part) if near else []
        for at in near:
            points[at] = min(gaps[at], self._room - levels[at])
        return points

    def array(self) -> OfPairs:
        import numpy as np

        level, gap = self._origin.array(), self._gap.array()
        return lambda i, j: np.maximum(0, np.minimum(gap(i, j), self._room - level(i, j)))


def _within(parts: Sequence[int], wholes: Sequence[int]) -> bool:
    """Whether every part belongs to one whole, as far as both are known."""
    found: dict[int, int] = {}
    return all(part < 0 or found.setdefault(part, whole) == whole for part, whole in zip(parts, wholes, strict=True))
