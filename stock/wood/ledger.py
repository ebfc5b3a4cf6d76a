"""The oven-dry mass of every piece of a lineage at once, from all that was ever found about any of them.

A log is sawn into billets, those into blanks; a section of one tells something of all, a trim carries it on. Each fact
is a row of `stock.wood.evidence`: coefficients times unknown logarithms equal a value, give or take a variance. The
answer sought is the one that misses the facts least, each miss counted in its own standard deviations and squared:
weighted least squares. It is exact, needs no starting guess, and keeps the errors that sisters share.

The unknowns solve H x = g, where H adds up coefficient x coefficient / variance over the rows. Think of a net of
springs: each fact pulls two unknowns to a distance, or one to the ground, the stiffer the surer it is. Unknowns are
taken out one at a time, those with fewest neighbours first, and what each knew is passed on to its neighbours as new
springs (H = L D L', D the pivots). As a lineage is nearly a tree, few springs appear, and the cost grows with the
number of pieces, not with its cube.

Every spread is then a sum over few unknowns: with a' x any combination of them and s(a) = L^-1 a, its variance is the
sum of s(a)**2 / D, the covariance of two the sum of s(a) s(b) / D. No inverse is formed, no large numbers subtracted.

What no absolute fact reaches is not known, and no hidden prior makes it so; yet how two such pieces compare is exact:
one unknown of such a net is tied to the ground, and only differences are given out.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from heapq import heapify, heappop, heappush
from math import sqrt

from stock.errors import Impossible, Unknown
from stock.wood.evidence import Node, Row

Sparse = dict[int, float]


@dataclass(frozen=True, slots=True)
class Evidence:
    """One fact behind an answer.

    Attributes:
        kind, words: as in its row.
        share: its part of the precision of the answer; the shares of all facts sum to 1.
        residual: how far it lies from what all other facts say, in standard deviations of that difference; 0 if
            no other fact has a say.
    """

    kind: str
    words: str
    share: float
    residual: float


@dataclass(frozen=True, slots=True)
class _Factor:
    """H = L D L', the unknowns renumbered in the order of their elimination; `below` are the columns of L."""

    place: dict[int, int]
    pivots: list[float]
    below: list[Sparse]

    def spread(self, vector: Mapping[int, float]) -> Sparse:
        """L^-1 of a sparse vector (in places), touching only the unknowns it reaches."""
        waiting, found = dict(vector), Sparse()
        queue = list(waiting)
        heapify(queue)
        while queue:
            i = heappop(queue)
            found[i] = value = waiting.pop(i)
            for j, factor in self.below[i].items():
                if j not in waiting:
                    waiting[j] = 0.0
                    heappush(queue, j)
                waiting[j] -= factor * value
        return found

    def product(self, a: Sparse, b: Sparse) -> float:
        """a' H^-1 b of two spread vectors."""
        if len(a) > len(b):
            a, b = b, a
        return sum(value * b[i] / self.pivots[i] for i, value in a.items() if i in b)

    def solve(self, right: list[float]) -> list[float]:
        """H^-1 of a full vector (in places)."""
        x = right.copy()
        for i, column in enumerate(self.below):
            for j, factor in column.items():
                x[j] -= factor * x[i]
        x = [value / pivot for value, pivot in zip(x, self.pivots, strict=True)]
        for i in reversed(range(len(x))):
            x[i] -= sum(factor * x[j] for j, factor in self.below[i].items())
        return x


def _eliminate(diagonal: list[float], links: list[Sparse]) -> _Factor:
    """Take the unknowns out, fewest neighbours first (ties: first come), and keep what each passed on."""
    order: list[int] = []
    pivots: list[float] = []
    columns: list[Sparse] = []
    stiffest = diagonal.copy()
    queue = [(len(links[i]), i) for i in range(len(diagonal))]
    heapify(queue)
    done = [False] * len(diagonal)
    while queue:
        degree, i = heappop(queue)
        if done[i] or degree != len(links[i]):
            continue
        done[i] = True
        pivot = diagonal[i]
        if pivot <= 1e-13 * stiffest[i]:
            raise Impossible("these facts leave a dry mass undetermined", hint="This is a fault of the book-keeping.")
        column = {j: link / pivot for j, link in links[i].items()}
        neighbours = list(links[i].items())
        for at, (j, link) in enumerate(neighbours):
            mine = links[j]
            del mine[i]
            diagonal[j] -= link * column[j]
            for k, other in neighbours[at + 1 :]:
                mine[k] = links[k][j] = mine.get(k, 0.0) - link * other / pivot
        for j, _ in neighbours:
            heappush(queue, (len(links[j]), j))
        order.append(i)
        pivots.append(pivot)
        columns.append(column)
    place = {i: position for position, i in enumerate(order)}
    return _Factor(place, pivots, [{place[j]: factor for j, factor in column.items()} for column in columns])


def _components(rows: tuple[Row, ...]) -> tuple[dict[Node, Node], set[Node]]:
    """The first node of each node's connected component, and the first nodes of those with an absolute row."""
    parent: dict[Node, Node] = {}

    def root(node: Node) -> Node:
        parent.setdefault(node, node)
        while parent[node] != node:
            parent[node] = parent[parent[node]]
            node = parent[node]
        return node

    for row in rows:
        first = root(row.terms[0][0])
        for node, _ in row.terms[1:]:
            parent[root(node)] = first
    return {node: root(node) for node in parent}, {root(row.terms[0][0]) for row in rows if row.absolute}


@dataclass(frozen=True)
class Solution:
    """What the rows say together, made by `solve`: logarithms of g, so that variances are relative.

    Attributes:
        rows: the facts, as given.
        nodes: every unknown they name, in order of first mention.
    """

    rows: tuple[Row, ...]
    nodes: tuple[Node, ...]
    _component: dict[Node, Node] = field(repr=False)
    _known: set[Node] = field(repr=False)
    _places: dict[Node, int] = field(repr=False)  # a node that is the ground has none
    _factor: _Factor = field(repr=False)
    _values: list[float] = field(repr=False)
    _spreads: dict[Node, Sparse] = field(default_factory=dict, repr=False)

    def knows(self, node: Node) -> bool:
        """Whether any absolute fact reaches this node."""
        return node in self._component and self._component[node] in self._known

    def mean(self, node: Node) -> float:
        """ln of the oven-dry mass in g, or of what else the node stands for. Raises Unknown if nothing tells it."""
        self._must_know(node)
        return self._values[self._places[node]]

    def variance(self, node: Node) -> float:
        """Variance of `mean`; its root is the relative spread of the oven-dry mass. Raises Unknown."""
        return self.covariance(node, node)

    def covariance(self, a: Node, b: Node) -> float:
        """Covariance of the means of two nodes: what their errors share; 0 if nothing ties them. Raises Unknown."""
        self._must_know(a)
        self._must_know(b)
        return self._factor.product(self._spread_of(a), self._spread_of(b))

    def ratio(self, new: Node, old: Node) -> tuple[float, float]:
        """(ln of new over old, its variance), also if neither is known: for courses across trims. Raises Unknown."""
        tied = new in self._component and self._component[new] == self._component.get(old)
        if not tied and not (self.knows(new) and self.knows(old)):
            raise Unknown(f"nothing tells how {new} compares with {old}", hint="Weigh both before and after a cut.")
        if new == old:
            return 0.0, 0.0
        terms = self._placed(((new, 1.0), (old, -1.0)))
        spread = self._factor.spread(terms)
        return sum(sign * self._values[i] for i, sign in terms.items()), self._factor.product(spread, spread)

    def evidence(self, node: Node) -> tuple[Evidence, ...]:
        """The facts behind a node, the weightiest first; none if it is not known."""
        if not self.knows(node):
            return ()
        variance = self.variance(node)
        unit = [float(i == self._places[node]) for i in range(len(self._values))]
        effect = self._factor.solve(unit)  # H^-1 of the node: one pass serves all rows
        found = []
        for number in self._rows_of[self._component[node]]:
            row, (_, residual) = self.rows[number], self._judged[number]
            pull = sum(factor * effect[i] for i, factor in self._placed(row.terms).items())
            found.append(Evidence(row.kind, row.words, pull**2 / (row.variance * variance), residual))
        return tuple(sorted(found, key=lambda one: -one.share))

    def disagreements(self, limit: float = 2.5) -> tuple[tuple[Row, float], ...]:
        """The facts that lie more than `limit` standard deviations from what all others say, the worst first.

        Where two facts stand alone against each other both are named: which of them is wrong the numbers cannot tell.
        """
        far = [(row, residual) for row, (_, residual) in zip(self.rows, self._judged, strict=True)]
        return tuple(sorted((one for one in far if abs(one[1]) > limit), key=lambda one: -abs(one[1])))

    @cached_property
    def _rows_of(self) -> dict[Node, list[int]]:
        """The numbers of the rows of each component, by its first node."""
        numbers: dict[Node, list[int]] = {}
        for number, row in enumerate(self.rows):
            numbers.setdefault(self._component[row.terms[0][0]], []).append(number)
        return numbers

    @cached_property
    def _judged(self) -> tuple[tuple[Sparse, float], ...]:
        """For each row its spread vector, and its distance from the answer without it, in standard deviations.

        No row need be left out for it: one of variance v and leverage h = a' H^-1 a, that misses the full answer by e,
        misses that of the others by e v / (v - h), whose variance is v v / (v - h).
        """
        judged = []
        for row in self.rows:
            terms = self._placed(row.terms)
            spread = self._factor.spread(terms)
            free = row.variance - self._factor.product(spread, spread)
            miss = row.value - sum(factor * self._values[i] for i, factor in terms.items())
            judged.append((spread, miss / sqrt(free) if free > 1e-9 * row.variance else 0.0))
        return tuple(judged)

    def _must_know(self, node: Node) -> None:
        if not self.knows(node):
            raise Unknown(
                f"nothing tells the oven-dry mass of {node} yet",
                hint="Weigh it, and cut a moisture section from it or from a sister.",
                code="moisture-unknown",
            )

    def _placed(self, terms: Iterable[tuple[Node, float]]) -> Sparse:
        return {self._places[node]: factor for node, factor in terms if node in self._places}

    def _spread_of(self, node: Node) -> Sparse:
        if node not in self._spreads:
            self._spreads[node] = self._factor.spread({self._places[node]: 1.0})
        return self._spreads[node]


def solve(rows: Iterable[Row]) -> Solution:
    """Weigh all facts against each other.

    Args:
        rows: the facts of one lineage, or of a whole book: pieces that no row ties together do not touch each other.

    Returns:
        The answer for every node named. Raises Impossible if rows are marked absolute that pin nothing down.

    Source:
        Weighted least squares (Gauss); sparse L D L' with minimum-degree order (George and Liu, Computer Solution of
        Large Sparse Positive Definite Systems, 1981). One step of refinement against the rows takes off rounding.
    """
    rows = tuple(rows)
    component, known = _components(rows)
    free = (node for node in component if component[node] != node or node in known)  # the others are the ground
    index = {node: i for i, node in enumerate(free)}
    diagonal = [0.0] * len(index)
    links: list[Sparse] = [{} for _ in index]
    for row in rows:
        terms = [(index[node], by) for node, by in row.terms if node in index]
        for at, (i, by) in enumerate(terms):
            diagonal[i] += by * by / row.variance
            for j, other in terms[at + 1 :]:
                links[i][j] = links[j][i] = links[i].get(j, 0.0) + by * other / row.variance
    factor = _eliminate(diagonal, links)
    places = {node: factor.place[i] for node, i in index.items()}
    values = [0.0] * len(index)
    for _ in range(2):
        right = [0.0] * len(index)
        for row in rows:
            terms = [(places[node], by) for node, by in row.terms if node in places]
            miss = row.value - sum(by * values[i] for i, by in terms)
            for i, by in terms:
                right[i] += by * miss / row.variance
        values = [value + step for value, step in zip(values, factor.solve(right), strict=True)]
    return Solution(rows, tuple(component), component, known, places, factor, values)


def what_if(rows: Iterable[Row], extra: Iterable[Row], node: Node) -> float:
    """The variance a node would have with more facts: what one more section, or a better balance, would bring.

    Args:
        rows, extra: the facts there are, and those there might be, of which only the variances matter.
        node: the node asked about; Unknown is raised if not even then anything would tell it.
    """
    return solve((*rows, *extra)).variance(node)
