"""Choosing four staves: the cheapest sets of four blanks, why those, why not others, and how nearly.

"No set of four is cheaper" is proven, about the cost. It says nothing about the wood: if the next set costs a few
points more, let the eye decide.
"""

from __future__ import annotations

import re
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import replace
from functools import cached_property
from itertools import combinations
from math import inf, isfinite

from stock.errors import Impossible, Unknown
from stock.wood import matching
from stock.wood.chosen import (
    EQUALS_COUNTED,
    MATCHED_SPREAD_PCT,
    WARN_SPREAD_PCT,
    BandMiss,
    Choice,
    StaveSet,
    WhyNot,
)
from stock.wood.densities import odd_densities
from stock.wood.likeness import Ask, Blank, Covariance, Likeness, Weights
from stock.wood.likeness_terms import guessed
from stock.wood.matching import Four, Pool
from stock.wood.qualifying import Candidate, count, failed, near_misses

_MENDABLE = {"reserved", "to weigh again", "too wet", "not ready"}  # with these it can still be said what a set costs
_BARELY = 1e-9


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
    stock = _Stock(candidates, ask, weights, covariance, unready)
    sets = stock.best(k)
    return Choice(
        sets=sets,
        candidates=sum(len(group.blanks) for group in stock.groups),
        of=len(stock.candidates),
        proven_best=True,
        rejected=count(stock.failures),
        near_misses=near_misses(stock.failures, ask),
        best_miss=None if sets else stock.best_miss(),
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
    stock = _Stock(listed, ask, weights, covariance, unready)
    fails = stock.failures[key]
    best = next(iter(stock.best(1)), None)
    with_it = None
    if all(f.reason in _MENDABLE for f in fails):
        admitting = _Stock(listed, ask, weights, covariance, unready, admit=key) if fails else stock
        with_it = admitting.with_it(key)
    differs = {}
    if best and with_it:
        differs = {name: with_it.terms[name] - best.terms[name] for name in with_it.terms}
    return WhyNot(
        key=key,
        failed=fails,
        with_it=with_it,
        best=best,
        extra_points=(with_it.thousandths - best.thousandths) / 1000 if best and with_it else None,
        differs={name: round(v, 3) for name, v in sorted(differs.items(), key=lambda item: -item[1]) if round(v, 3)},
    )


class _Stock:
    """The blanks of one question: who qualifies, wood by wood."""

    def __init__(
        self,
        candidates: Iterable[Candidate],
        ask: Ask,
        weights: Weights | None,
        covariance: Covariance | None,
        unready: bool,
        admit: str = "",
    ) -> None:
        self.candidates = sorted(candidates, key=lambda c: _natural(c.blank.key))
        blanks = {c.blank.key: c.blank for c in self.candidates}
        if len(blanks) < len(self.candidates):
            raise Impossible("a blank is given twice among those to choose from")
        self.failures = {c.blank.key: failed(c, ask, unready=unready) for c in self.candidates}
        self._remarks = odd_densities(blanks.values())
        for c in self.candidates:
            if not c.ready:
                self._remarks.setdefault(c.blank.key, f"{c.blank.key} is not ready: {c.verdict}")
        woods: dict[Hashable, list[Blank]] = {}
        for key, fails in self.failures.items():
            if not fails or key == admit:
                woods.setdefault(blanks[key].wood, []).append(blanks[key])
        self.groups = [_Group(wood, ask, weights, covariance) for wood in woods.values()]

    def best(self, k: int) -> tuple[StaveSet, ...]:
        found = [(cost, group.names(four), group, four) for group in self.groups for cost, four in group.pool.apart(k)]
        found.sort(key=lambda entry: (entry[0], [_natural(key) for key in entry[1]]))
        return tuple(self._stave_set(group, four, cost, self._equals(cost)) for cost, _, group, four in found[:k])

    def _equals(self, cost: int) -> int:
        """How many sets but one cost exactly this."""
        return sum(group.pool.equal_to(cost, EQUALS_COUNTED + 1) for group in self.groups) - 1

    def with_it(self, key: str) -> StaveSet | None:
        group = next(group for group in self.groups if any(b.key == key for b in group.blanks))
        member = next(i for i, b in enumerate(group.blanks) if b.key == key)
        found = group.pool.containing(member, EQUALS_COUNTED + 1)
        if not found:
            return None
        cost, four = found[0]
        return self._stave_set(group, four, cost, sum(other == cost for other, _ in found) - 1)

    def best_miss(self) -> BandMiss | None:
        misses = [(miss, i) for i, group in enumerate(self.groups) if isfinite(miss := group.band_needed())]
        if not misses:
            return None
        band, i = min(misses)
        group = self.groups[i].widened(band)
        found = group.pool.best(EQUALS_COUNTED + 1)
        cost, four = found[0]
        equals = sum(other == cost for other, _ in found) - 1
        return BandMiss(self._stave_set(group, four, cost, equals), band - self.groups[i].ask.band_pct)

    def _stave_set(self, group: _Group, four: Four, cost: int, equals: int) -> StaveSet:
        blanks = [group.blanks[i] for i in four]
        terms = group.terms(four)
        known = [b.mc_pct for b in blanks if b.mc_pct is not None]
        spread = max(known) - min(known) if len(known) > 1 else None
        matched = (spread or 0.0) <= MATCHED_SPREAD_PCT + _BARELY
        remarks = [self._remarks[b.key] for b in blanks if b.key in self._remarks]
        return StaveSet(
            keys=_along_the_log(blanks),
            cost_points=cost / 3000,
            thousandths=cost // 3,
            terms={name: points / 1000 for name, points in sorted(terms.items(), key=lambda item: -item[1])},
            guessed=tuple(name for name in terms if terms[name] and guessed(name, blanks)),
            spread_pct=spread,
            matched=matched,
            warnings=(*_spread_words(spread, blanks), *remarks),
            spare=group.spare(four),
            equally_good=min(EQUALS_COUNTED, equals),
        )


class _Group:
    """The blanks of one wood that qualify."""

    def __init__(
        self, blanks: Sequence[Blank], ask: Ask, weights: Weights | None, covariance: Covariance | None
    ) -> None:
        self.blanks, self.ask, self._weights, self._covariance = blanks, ask, weights, covariance
        self.likeness = Likeness(blanks, ask, weights, covariance)

    @cached_property
    def pool(self) -> Pool:
        if len(self.blanks) <= matching.PLAIN_UP_TO:
            return matching.pool(self.likeness.edges())
        from stock.wood.matching_large import Edges

        return Edges(self.likeness.edge(), len(self.blanks))

    def widened(self, band_pct: float) -> _Group:
        return _Group(self.blanks, replace(self.ask, band_pct=band_pct), self._weights, self._covariance)

    def names(self, four: Four) -> list[str]:
        return [self.blanks[i].key for i in four]

    def terms(self, four: Four) -> dict[str, int]:
        """What a set costs, term by term, thousandths of a point."""
        total: dict[str, int] = {}
        parts = [self.likeness.wastes[i] for i in four]
        parts += [self.likeness.between(i, j) for i, j in combinations(four, 2)]
        for part in parts:
            for name, points in part.items():
                total[name] = total.get(name, 0) + points
        return total

    def spare(self, four: Four) -> str | None:
        """The blank that goes with all four at the least extra cost: its waste, and its likeness to each."""
        costs = []
        for i, blank in enumerate(self.blanks):
            if i not in four and all(self.likeness.allowed(i, j) for j in four):
                extra = sum(sum(self.likeness.between(i, j).values()) for j in four)
                costs.append((extra + sum(self.likeness.wastes[i].values()), i, blank.key))
        return min(costs)[2] if costs else None

    def band_needed(self) -> float:
        """The narrowest moisture band that would hold four of the blanks, points; infinite if none would.

        Pairs are let in by the band they need, narrowest first, until four are linked each to each.
        """
        n = len(self.blanks)
        gaps = ((self.likeness.gap_pct(i, j), i, j) for i, j in combinations(range(n), 2))
        linked: list[set[int]] = [set() for _ in range(n)]
        for gap, i, j in sorted(entry for entry in gaps if isfinite(entry[0])):
            both = linked[i] & linked[j]
            if any(linked[other] & both for other in both):
                return gap
            linked[i].add(j)
            linked[j].add(i)
        return inf


def _spread_words(spread: float | None, blanks: Sequence[Blank]) -> list[str]:
    words = []
    if spread is not None and spread > MATCHED_SPREAD_PCT + _BARELY:
        words.append(f"moisture spread {spread:.1f} points, above {MATCHED_SPREAD_PCT:g}: not to be called matched")
    elif spread is not None and spread > WARN_SPREAD_PCT + _BARELY:
        words.append(f"moisture spread {spread:.1f} points, above {WARN_SPREAD_PCT:g}")
    if unknown := [b.key for b in blanks if b.mc_pct is None]:
        words.append(f"moisture of {', '.join(unknown)} not known; matched only by lying stable in one place")
    return words


def _along_the_log(blanks: Sequence[Blank]) -> tuple[str, str, str, str]:
    """Log by log, from the butt up, those without a place last."""
    logs = list(dict.fromkeys(b.log for b in blanks))
    in_order = sorted(blanks, key=lambda b: (logs.index(b.log), inf if b.along_mm is None else b.along_mm))
    a, b, c, d = (blank.key for blank in in_order)
    return a, b, c, d


def _natural(key: str) -> tuple[int, str]:
    """Marks by their number."""
    number = re.match(r"\d+", key)
    return (int(number[0]) if number else -1, key)
