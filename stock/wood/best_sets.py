"""The best sets found so far, and the questions that can be asked of any pool of blanks.

A set is four numbers in ascending order, one for each stave. A blank that is sawn into several staves stands in it as
often as it gives staves: (3, 3, 3, 8) is three staves of blank 3 and one of blank 8.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Callable, Sequence
from functools import partial

from stock.errors import Impossible

Four = tuple[int, int, int, int]
Extra = Callable[[Four], int]

FORBIDDEN = 2**28  # an edge of this or more: these two may not share a block
FAR = 6 * FORBIDDEN  # dearer than any set that is allowed


class Halted(Exception):
    """A search was stopped before its end."""


class Best:
    """The k best sets found so far, and what another must undercut to join them.

    Args:
        k: how many are kept.
        wanted: only sets that it accepts are kept; None for all.
        below: only sets that cost less than this.
        extra: what a set costs beyond the bound with which it is offered, from 0 up, `FAR` if it is not allowed; None
            if bounds are exact. It is asked only of sets whose bound would let them join.
        halt: asked now and then; when it says so the search ends with `Halted`.
    """

    def __init__(
        self,
        k: int,
        wanted: Callable[[int, Four], bool] | None = None,
        below: int = FAR,
        extra: Extra | None = None,
        halt: Callable[[], bool] | None = None,
    ) -> None:
        if k < 1:
            raise Impossible(f"{k} sets cannot be asked for", hint="Ask for one or more.")
        self.k, self.wanted, self._extra, self._halt = k, wanted, extra, halt
        self.sets: list[tuple[int, Four]] = []
        self.worst, self._last = below, (-1, -1, -1, -1)

    def shut(self, bound: int, *members: int) -> bool:
        """Whether nothing can come of sets that cost at least `bound` and whose smallest tuple is `members`."""
        return bound > self.worst or (bound == self.worst and tuple(sorted(members)) >= self._last)

    def offer(self, bound: int, *members: int) -> None:
        if self.shut(bound, *members):
            return
        a, b, c, d = sorted(members)
        four = (a, b, c, d)
        cost = bound
        if self._extra is not None:
            cost += self._extra(four)
            if cost >= FAR or self.shut(cost, *four):
                return
        found = (cost, four)
        at = bisect_left(self.sets, found)
        if self.sets[at : at + 1] == [found] or (self.wanted and not self.wanted(*found)):
            return
        self.sets.insert(at, found)
        del self.sets[self.k :]
        if len(self.sets) == self.k:
            self.worst, self._last = self.sets[-1]

    def pause(self) -> None:
        """Called between two steps of a long search.

        Raises:
            Halted: it is to end.
        """
        if self._halt is not None and self._halt():
            raise Halted

    def renamed(self, names: Sequence[int]) -> Best:
        """The same sets, for a search among some of the blanks: number i there is names[i] here, in ascending order."""
        return _Renamed(self, names)


class _Renamed(Best):
    def __init__(self, best: Best, names: Sequence[int]) -> None:
        self._best, self._names = best, names

    @property
    def worst(self) -> int:  # type: ignore[override]
        return self._best.worst

    def shut(self, bound: int, *members: int) -> bool:
        return self._best.shut(bound, *(self._names[i] for i in members))

    def offer(self, bound: int, *members: int) -> None:
        self._best.offer(bound, *(self._names[i] for i in members))

    def pause(self) -> None:
        self._best.pause()


class Pool:
    """Some blanks, numbered from 0, and the questions that can be asked of them.

    Attributes:
        n: how many blanks there are.
        extra: see `Best`.
    """

    n: int
    extra: Extra | None = None

    def search(self, best: Best) -> None:
        """Offer to `best` every set that could still join it."""
        raise NotImplementedError

    def search_with(self, member: int, best: Best) -> None:
        """Offer to `best` every set with this blank that could still join it."""
        raise NotImplementedError

    def sketch(self) -> list[tuple[int, Four]]:
        """Many different sets that are good and quickly found, none of them proven to be best, with the bounds of their
        costs; there may be none."""
        return []

    def best(self, k: int, *, below: int = FAR, halt: Callable[[], bool] | None = None) -> list[tuple[int, Four]]:
        """The k cheapest sets; of those that cost less than `below`."""
        best = Best(k, below=below, extra=self.extra, halt=halt)
        self.search(best)
        return best.sets

    def apart(self, k: int, differ: int = 2) -> list[tuple[int, Four]]:
        """The k cheapest sets, each at least `differ` staves different from those before it."""
        Best(k)  # k is checked even if there are no blanks
        listed: list[tuple[int, Four]] = []
        while len(listed) < k:
            best = Best(1, partial(_apart, listed, differ), extra=self.extra)
            self.search(best)
            if not best.sets:
                break
            listed += best.sets
        return listed

    def equal_to(self, cost: int, most: int) -> int:
        """How many sets cost exactly this, counted no further than `most`."""
        best = Best(most, lambda its, _: its == cost, below=min(cost + 1, FAR), extra=self.extra)
        self.search(best)
        return len(best.sets)

    def containing(self, member: int, k: int = 1) -> list[tuple[int, Four]]:
        """The k cheapest sets that contain a blank."""
        best = Best(k, extra=self.extra)
        if not 0 <= member < self.n:
            raise Impossible(f"there is no blank {member} among {self.n}")
        self.search_with(member, best)
        return best.sets


def differing(four: Four, other: Four) -> int:
    """How many staves of a set are not in another."""
    return sum((Counter(four) - Counter(other)).values())


def _apart(listed: list[tuple[int, Four]], differ: int, _: int, four: Four) -> bool:
    return all(differing(four, other) >= differ for _, other in listed)
