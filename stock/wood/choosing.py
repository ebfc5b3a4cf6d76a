"""Choosing four staves: the cheapest sets, why those, why not others, and how nearly.

"No set of four is cheaper" is proven, about the cost. It says nothing about the wood: if the next set costs a few
points more, let the eye decide.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Hashable, Iterable, Iterator
from math import isfinite

from stock.errors import Impossible, Unknown
from stock.wood.best_sets import Four, differing
from stock.wood.chosen import EQUALS_COUNTED, BandMiss, Choice, StaveSet, WhyNot
from stock.wood.densities import odd_densities
from stock.wood.grouping import Group
from stock.wood.likeness import Ask, Blank, Covariance, Weights
from stock.wood.qualifying import Candidate, count, failed, near_misses

_MENDABLE = {"reserved", "to weigh again", "too wet", "not ready"}  # with these it can still be said what a set costs
_LISTED = 60  # sets that are listed at once; most often those to be shown are among them


def choose(
    candidates: Iterable[Candidate],
    ask: Ask,
    *,
    k: int = 3,
    weights: Weights | None = None,
    covariance: Covariance | None = None,
    unready: bool = False,
) -> Choice:
    """The best sets of four for a project.

    Args:
        candidates: every blank that there is, each once.
        ask: what is wanted.
        k: how many sets are wanted.
        weights: how much each thing counts.
        covariance: of the errors of the moisture contents of two blanks, by key, points squared; None for 0.
        unready: whether a blank that is not ready will do, as long as its moisture content is known.

    Returns:
        The sets and the reasons. The same blanks in any order give the same answer.

    Raises:
        Impossible: a blank given twice, or k below 1.
    """
    if k < 1:
        raise Impossible(f"{k} sets cannot be asked for", hint="Ask for one or more.")
    stock = Stock(candidates, ask, weights, covariance, unready)
    sets = stock.best(k)
    runner_up = stock.runner_up() if sets else None
    return Choice(
        sets=sets,
        runner_up=runner_up,
        lead_points=(runner_up.thousandths - sets[0].thousandths) / 1000 if runner_up else None,
        candidates=sum(len(group.blanks) for group in stock.groups),
        of=len(stock.candidates),
        proven_best=True,
        rejected=count(stock.failures),
        near_misses=near_misses(stock.failures, ask),
        best_miss=None if sets else stock.best_miss(),
        kinds=stock.kinds(),
    )


def best_containing(
    candidates: Iterable[Candidate],
    ask: Ask,
    key: str,
    *,
    weights: Weights | None = None,
    covariance: Covariance | None = None,
    unready: bool = False,
) -> WhyNot:
    """Why a blank is not in the best set: the checks it fails, or what the best set with it would cost.

    Raises:
        Unknown: no blank has this key.
        Impossible: a blank given twice.
    """
    listed = list(candidates)
    if key not in {c.blank.key for c in listed}:
        raise Unknown(f"{key} is not among the blanks", piece=key)
    stock = Stock(listed, ask, weights, covariance, unready)
    fails = stock.failures[key]
    best = next(iter(stock.best(1)), None)
    with_it = None
    if all(f.reason in _MENDABLE for f in fails):
        admitting = Stock(listed, ask, weights, covariance, unready, admit=key) if fails else stock
        with_it = admitting.with_it(key)
    differs = {}
    if best and with_it:
        names = dict.fromkeys([*with_it.terms, *best.terms])
        differs = {name: with_it.terms.get(name, 0.0) - best.terms.get(name, 0.0) for name in names}
    return WhyNot(
        key=key,
        failed=fails,
        with_it=with_it,
        best=best,
        extra_points=(with_it.thousandths - best.thousandths) / 1000 if best and with_it else None,
        differs={name: round(v, 3) for name, v in sorted(differs.items(), key=lambda item: -item[1]) if round(v, 3)},
    )


class Stock:
    """The blanks of one question: who qualifies, wood by wood.

    Args:
        candidates, ask, weights, covariance, unready: as in `choose`.
        admit: the key of a blank that is let in whatever it fails.
        large: whether numpy is used; None for as many blanks as make it worth while.
    """

    def __init__(
        self,
        candidates: Iterable[Candidate],
        ask: Ask,
        weights: Weights | None,
        covariance: Covariance | None,
        unready: bool,
        *,
        admit: str = "",
        large: bool | None = None,
    ) -> None:
        self.candidates = sorted(candidates, key=lambda c: natural(c.blank.key))
        self._of_key = {c.blank.key: c for c in self.candidates}
        if len(self._of_key) < len(self.candidates):
            raise Impossible("a blank is given twice among those to choose from")
        self.failures = {c.blank.key: failed(c, ask, unready=unready) for c in self.candidates}
        woods: dict[Hashable, list[Blank]] = {}
        for key, fails in self.failures.items():
            if not fails or key == admit:
                blank = self._of_key[key].blank
                woods.setdefault(blank.wood, []).append(blank)
        self.groups = [Group(wood, ask, weights, covariance, large) for wood in woods.values()]
        self._odd: dict[Hashable, dict[str, str]] = {}
        self._lists: list[list[tuple[int, Four]]] | None = None

    def kinds(self) -> dict[str, int]:
        """How many blanks that qualify are of either kind."""
        total: dict[str, int] = {}
        for group in self.groups:
            for kind, number in group.kinds.items():
                total[kind] = total.get(kind, 0) + number
        return total

    def best(self, k: int) -> tuple[StaveSet, ...]:
        """The k best sets, each two staves or more from those before it."""
        found = [
            (cost, group.names(four), at, four)
            for at, group in enumerate(self.groups)
            for cost, four in self._apart(at, k)
        ]
        found.sort(key=lambda entry: (entry[0], [natural(key) for key in entry[1]]))
        return tuple(self.stave_set(self.groups[at], four, cost, self._equals(cost)) for cost, _, at, four in found[:k])

    def runner_up(self) -> StaveSet | None:
        """The second of all sets."""
        found = [
            (cost, group, four)
            for group, some in zip(self.groups, self._listed(), strict=True)
            for cost, four in some[:2]
        ]
        found.sort(key=lambda entry: (entry[0], [natural(key) for key in entry[1].names(entry[2])]))
        if len(found) < 2:
            return None
        cost, group, four = found[1]
        return self.stave_set(group, four, cost, self._equals(cost))

    def _listed(self) -> list[list[tuple[int, Four]]]:
        if self._lists is None:
            self._lists = [group.pool.best(_LISTED) for group in self.groups]
        return self._lists

    def _apart(self, at: int, k: int) -> list[tuple[int, Four]]:
        """As `Pool.apart`, from the listed sets if these are enough."""
        listed, apart = self._listed()[at], list[tuple[int, Four]]()
        for entry in listed:
            if all(differing(entry[1], other) >= 2 for _, other in apart):
                apart.append(entry)
        return apart[:k] if len(apart) >= k or len(listed) < _LISTED else self.groups[at].pool.apart(k)

    def _equals(self, cost: int) -> int:
        """How many sets but one cost exactly this."""
        total = -1
        for group, listed in zip(self.groups, self._listed(), strict=True):
            whole = len(listed) < _LISTED or cost < listed[-1][0]
            counted = sum(its == cost for its, _ in listed)
            total += counted if whole else group.pool.equal_to(cost, EQUALS_COUNTED + 1)
        return total

    def with_it(self, key: str) -> StaveSet | None:
        group = next(group for group in self.groups if any(b.key == key for b in group.blanks))
        member = next(i for i, b in enumerate(group.blanks) if b.key == key)
        found = group.pool.containing(member, EQUALS_COUNTED + 1)
        if not found:
            return None
        cost, four = found[0]
        return self.stave_set(group, four, cost, sum(other == cost for other, _ in found) - 1)

    def best_miss(self) -> BandMiss | None:
        misses = [(miss, i) for i, group in enumerate(self.groups) if isfinite(miss := group.band_needed())]
        if not misses:
            return None
        band, i = min(misses)
        group = self.groups[i].widened(band)
        found = group.pool.best(EQUALS_COUNTED + 1)
        cost, four = found[0]
        equals = sum(other == cost for other, _ in found) - 1
        return BandMiss(self.stave_set(group, four, cost, equals), band - self.groups[i].ask.band_pct)

    def stave_set(
        self, group: Group, four: Four, cost: int, equals: int, taken: Collection[str | None] = ()
    ) -> StaveSet:
        """A set as it is shown; no blank of `taken` is its spare."""
        return group.stave_set(four, cost, equals, self._remarks, taken)

    def _remarks(self, key: str) -> Iterator[str]:
        """What there is to say of a blank that is in a set."""
        candidate = self._of_key[key]
        if (remark := self._odd_ones(candidate.blank.tree).get(key)) is not None:
            yield remark
        if not candidate.ready:
            yield f"{key} is not ready: {candidate.verdict}"

    def _odd_ones(self, tree: Hashable) -> dict[str, str]:
        if tree not in self._odd:
            sisters = (c.blank for c in self.candidates if c.blank.tree == tree)
            self._odd[tree] = odd_densities(sisters) if tree is not None else {}
        return self._odd[tree]


def natural(key: str) -> tuple[int, str]:
    """Marks by their number."""
    number = re.match(r"\d+", key)
    return (int(number[0]) if number else -1, key)
