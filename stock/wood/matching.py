"""The exact search for the cheapest sets of four.

Given what each two of n blanks cost together (an *edge*, a whole number), a set of four costs the sum of its six edges.
Looking at every set is hopeless soon: 200 blanks have 64,684,950. The search below finds the same answer from the
*star bound*. A blank's *star* in a set is the sum of its three edges to the others.

Lemma. In a set that costs C, the cheapest star costs at most C / 2.

Proof. Each edge has two ends, so it lies in exactly two of the four stars. The four stars therefore sum to 2 C, and the
least of four numbers is at most their mean, 2 C / 4. Nothing is used but that the cost is a sum of edges.

So every set no dearer than `worst` is found by asking each blank a, as the centre of the cheapest star, for partners
b, c, d (in the order of their edges to a, f_b <= f_c <= f_d) with f_b + f_c + f_d <= worst / 2. From that:

* 6 f_b <= worst, and 2 (f_b + 2 f_c) <= worst: the edges are sorted, so a loop ends at the first that is too dear;
* a is the cheapest star, so c_bd + c_cd >= f_b + f_c, and the set costs at least 2 f_b + 3 f_c + c_bc.

Exactness. `worst` is the cost of the k-th best set found so far and only falls. A set is passed over only where a lower
bound on its cost is above `worst`, or equal to it while the smallest tuple still to come is no smaller than the k-th
best's. So the k sets returned are the first k of all sets sorted by (cost, tuple): of equal ones the smallest tuple
wins, and the same costs always give the same list.

Edges that are dear to reckon may be given as lower bounds, with an `extra` that says what a set costs beyond the sum of
its six bounds. The lemma is then used on the bounds: a set no dearer than `worst` has bounds that sum to no more than
`worst`, so its cheapest star of bounds is at most worst / 2 and it is met on the same way; what it really costs is
asked only of the few sets whose bound would let them join.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cached_property
from operator import index
from typing import TYPE_CHECKING

from stock.errors import Impossible
from stock.wood.best_sets import FAR, FORBIDDEN, Best, Extra, Four, Pool

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Edge = Callable[[NDArray[np.int64], NDArray[np.int64]], NDArray[np.int64]]

PLAIN_UP_TO = 500  # blanks; above, numpy


def best_quads(costs: Sequence[Sequence[int]], k: int) -> list[tuple[int, Four]]:
    """The k cheapest sets of four, by the sum of their six edges.

    Args:
        costs: square and symmetric, whole numbers from 0 up; the diagonal is ignored, and a pair of 2**28 or more is
            forbidden. Rows of a list or a numpy array.
        k: how many sets are wanted, at least 1.

    Returns:
        [(cost, (a, b, c, d)), ...] with a < b < c < d, cheapest first, of equal cost the smallest tuple first; fewer
        than k if there are no more.

    Raises:
        Impossible: k below 1, or costs that are not square, symmetric, whole and from 0 up (NaN and infinity are not).
    """
    return pool(costs).best(k)


def best_apart(costs: Sequence[Sequence[int]], k: int, differ: int = 2) -> list[tuple[int, Four]]:
    """The cheapest set, then the cheapest that differs from it in `differ` blanks or more, and so on, k in all.

    Args, order and Raises are those of `best_quads`; each set differs in that many blanks from every one before it.
    """
    return pool(costs).apart(k, differ)


def best_with(costs: Sequence[Sequence[int]], member: int, k: int = 1) -> list[tuple[int, Four]]:
    """The k cheapest sets of four that contain `member`; otherwise as `best_quads`, and as exact."""
    return pool(costs).containing(member, k)


def best_quads_large(edge: Edge, n: int, k: int) -> list[tuple[int, Four]]:
    """The same answer as `best_quads`, by numpy, for a cost that is computed where it is asked for.

    Args:
        edge: edge(i, j) gives the costs of the pairs of two arrays of numbers 0 .. n - 1 that broadcast, int64; only
            symmetry and the range of `best_quads` are required of it, and neither is checked.
        n: how many blanks there are.
        k: how many sets are wanted, at least 1.
    """
    from stock.wood.matching_large import Edges

    return Edges(edge, range(n)).best(k)


def pool(costs: Sequence[Sequence[int]]) -> Pool:
    """The pool for a table of costs: plain Python up to 500 blanks, numpy above."""
    rows = checked(costs)
    if len(rows) <= PLAIN_UP_TO:
        return Rows(rows)
    from stock.wood.matching_large import dense

    return dense(rows)


def search_round(a: int, near: list[int], row_of: Callable[[int], list[int]], names: Sequence[int], best: Best) -> None:
    """Every set that has its cheapest star at a and could join `best`; `names` gives the numbers in the whole pool."""
    row, name_a = row_of(a), names[a]
    for x, b in enumerate(near[:-2]):
        f_b, c = row[b], near[x + 1]
        if 6 * f_b >= best.worst and best.shut(6 * f_b, name_a, names[b], names[c], names[near[x + 2]]):
            return
        row_b = row_of(b)
        for y in range(x + 1, len(near) - 1):
            c, d = near[y], near[y + 1]
            f_c, worst = row[c], best.worst
            bound = 2 * (f_b + 2 * f_c)
            if bound >= worst and best.shut(bound, name_a, names[b], names[c], names[d]):
                break
            bound = 2 * f_b + 3 * f_c + row_b[c]
            if bound >= worst and best.shut(bound, name_a, names[b], names[c], names[d]):
                continue
            row_c = row_of(c)
            for d in near[y + 1 :]:
                star = f_b + f_c + row[d]
                if 2 * star >= best.worst and best.shut(2 * star, name_a, names[b], names[c], names[d]):
                    break
                cost = star + row_b[c] + row_b[d] + row_c[d]
                if cost <= best.worst:
                    best.offer(cost, name_a, names[b], names[c], names[d])


def search_pairs(
    a: int, member: int, near: list[int], row_of: Callable[[int], list[int]], names: Sequence[int], best: Best
) -> None:
    """Every set of a, `member` and two more that has its cheapest star at a and could join `best`."""
    row, own = row_of(a), row_of(member)
    first, second, f_m = names[a], names[member], row[member]
    near = [b for b in near if b != member]
    for x, b in enumerate(near[:-1]):
        f_b = row[b]
        if best.shut(2 * (f_m + 2 * f_b), first, second, names[b], names[near[x + 1]]):
            return
        others = row_of(b)
        for c in near[x + 1 :]:
            if best.shut(2 * (f_m + f_b + row[c]), first, second, names[b], names[c]):
                break
            cost = f_m + f_b + row[c] + own[b] + own[c] + others[c]
            if cost <= best.worst:
                best.offer(cost, first, second, names[b], names[c])


class Rows(Pool):
    """A pool in plain Python.

    Args:
        rows: the edges as lists, checked, with `FAR` or more for forbidden pairs and on the diagonal.
        extra: what a set costs beyond its edges; see `Best`.
    """

    def __init__(self, rows: list[list[int]], extra: Extra | None = None) -> None:
        self._rows, self.extra = rows, extra
        self.n = len(rows)
        self._sorted: dict[int, list[int]] = {}

    def _near(self, a: int) -> list[int]:
        """All blanks by their edge to a, of equal ones the smaller number first; a itself comes last or nearly so."""
        near = self._sorted.get(a)
        if near is None:
            near = self._sorted[a] = sorted(range(self.n), key=self._rows[a].__getitem__)
        return near

    @cached_property
    def _stars(self) -> list[tuple[int, int]]:
        """The cheapest star that each blank could be the centre of, cheapest first."""
        return sorted((sum(sorted(row)[:3]), a) for a, row in enumerate(self._rows))

    def search(self, best: Best) -> None:
        for star, a in self._stars:
            if 2 * star > best.worst:
                break
            best.pause()
            near = self._near(a)
            if not best.shut(2 * star, a, *near[:3]):
                search_round(a, near, self._rows.__getitem__, range(self.n), best)

    def search_with(self, member: int, best: Best) -> None:
        """The member is the centre of the cheapest star, or one of its partners."""
        own, near = self._rows[member], self._near(member)
        search_round(member, near, self._rows.__getitem__, range(self.n), best)
        for a in near:
            if 2 * own[a] > best.worst:
                break
            if a != member:
                search_pairs(a, member, self._near(a), self._rows.__getitem__, range(self.n), best)


def checked(costs: Sequence[Sequence[int]]) -> list[list[int]]:
    """The costs as lists of ints, `FAR` on the diagonal and where forbidden, or a refusal."""
    rows = [list(row) for row in (costs.tolist() if hasattr(costs, "tolist") else costs)]
    for a, row in enumerate(rows):
        if len(row) != len(rows):
            raise Impossible(f"row {a} of the costs has {len(row)} numbers, not {len(rows)}: the table must be square")
        row[a] = FAR
        if set(map(type, row)) != {int}:
            row[:] = [_whole(w, a, b) for b, w in enumerate(row)]
        if min(row) < 0:
            raise Impossible(f"the cost of blanks {a} and {row.index(min(row))} is {min(row)}, below nothing")
        if max(row) >= FORBIDDEN:
            row[:] = [w if w < FORBIDDEN else FAR for w in row]
    for a, (row, column) in enumerate(zip(rows, zip(*rows, strict=True), strict=True)):
        if tuple(row) != column:
            b = next(b for b in range(len(rows)) if row[b] != column[b])
            raise Impossible(f"blanks {a} and {b} cost {row[b]} one way and {column[b]} the other")
    return rows


def _whole(cost: object, a: int, b: int) -> int:
    try:
        return index(cost)  # type: ignore[arg-type]
    except TypeError:
        raise Impossible(f"the cost of blanks {a} and {b} is {cost!r}, not a whole number") from None
