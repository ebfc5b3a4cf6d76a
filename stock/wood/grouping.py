"""The blanks of one wood that qualify: their pool, and the sets it gives, in words that a person can check."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Hashable, Iterable, Sequence
from dataclasses import replace
from functools import cached_property
from itertools import combinations
from math import inf

from stock.wood import patterns
from stock.wood.best_sets import FAR, Four, Pool
from stock.wood.chosen import EQUALS_COUNTED, MATCHED_SPREAD_PCT, WARN_SPREAD_PCT, Stave, StaveSet
from stock.wood.likeness import Ask, Blank, Covariance, Weights
from stock.wood.likeness_costs import Likeness
from stock.wood.likeness_terms import guessed
from stock.wood.narrowest import narrowest_band
from stock.wood.pools import Pools
from stock.wood.waste import staves_in

_BARELY = 1e-9
_SUREST = 800  # blanks of a kind among which the narrowest band is sought


class Group:
    """The blanks of one wood that qualify.

    Args:
        blanks: the blanks, in the order that decides between equal sets.
        ask, weights, covariance: as in `Likeness`.
        large: whether numpy is used; None for as many blanks as make it worth while.
    """

    def __init__(
        self,
        blanks: Sequence[Blank],
        ask: Ask,
        weights: Weights | None,
        covariance: Covariance | None,
        large: bool | None = None,
    ) -> None:
        if ask.two_kinds:
            blanks = sorted(blanks, key=lambda blank: patterns.kind_of(blank, ask.by) or 0)
        self.blanks, self.ask, self._weights, self._covariance = blanks, ask, weights, covariance
        self.likeness = Likeness(blanks, ask, weights, covariance)
        self.pools = Pools(self.likeness, large=large)

    @cached_property
    def pool(self) -> Pool:
        return self.pools.at()

    @cached_property
    def kinds(self) -> dict[str, int]:
        """How many of the blanks are of either kind; nothing if the pattern has but one."""
        if not self.ask.two_kinds:
            return {}
        first = self.likeness.split
        return dict(zip(patterns.kinds(self.ask.by), (first, len(self.blanks) - first), strict=True))

    def widened(self, band_pct: float) -> Group:
        return Group(self.blanks, replace(self.ask, band_pct=band_pct), self._weights, self._covariance)

    def names(self, four: Four) -> list[str]:
        return [self.blanks[i].key for i in four]

    def stave_set(
        self,
        four: Four,
        cost: int,
        equals: int,
        remarks: Callable[[str], Iterable[str]],
        taken: Collection[str | None] = (),
    ) -> StaveSet:
        """A set as it is shown.

        Args:
            four: its staves; cost: what it costs, in the unit of the pool.
            equals: how many others cost the same.
            remarks: what there is to say of a blank.
            taken: blanks that are in other sets, so that they cannot be its spare.
        """
        blanks = [self.blanks[i] for i in dict.fromkeys(four)]
        terms = self.likeness.terms(four)
        if sum(b.run_out is not None for b in blanks) < 2:
            del terms["run-out"]
        known = [b.mc_pct for b in blanks if b.mc_pct is not None]
        spread = max(known) - min(known) if len(known) > 1 or (known and len(blanks) == 1) else None
        staves = self._staves(four)
        a, b, c, d = (stave.key for stave in staves)
        return StaveSet(
            keys=(a, b, c, d),
            staves=staves,
            square_mm=self.likeness.squares.of_set(four),
            cost_points=cost / 3000,
            thousandths=cost // 3,
            terms={name: points / 1000 for name, points in sorted(terms.items(), key=lambda item: -item[1])},
            guessed=tuple(name for name in terms if terms[name] and guessed(name, blanks)),
            spread_pct=spread,
            matched=(spread or 0.0) <= MATCHED_SPREAD_PCT + _BARELY,
            warnings=(*_spread_words(spread, blanks), *(said for b in blanks for said in remarks(b.key))),
            spare=self.spare(four, taken),
            equally_good=min(EQUALS_COUNTED, equals),
        )

    def _staves(self, four: Four) -> tuple[Stave, ...]:
        """The staves of a set: those of a letter along their log, the letters round the ring."""
        counted = Counter(four)
        staves = []
        for letter in "AB"[: 1 + self.ask.two_kinds]:
            kind = [i for i in counted if (i >= self.likeness.split) == (letter == "B")]
            for i in _along_the_log(kind, self.blanks):
                blank, of = self.blanks[i], counted[i]
                for number in range(1, of + 1):
                    at = blank.clear_from_mm + (number - 1) * self.ask.cut_mm
                    staves.append(Stave(blank.key, letter, number, of, at))
        return tuple(staves[i] for i in patterns.in_ring(self.ask.pattern, [stave.letter for stave in staves]))

    def spare(self, four: Four, taken: Collection[str | None] = ()) -> str | None:
        """The blank that goes with all four at the least extra cost: its waste, and its likeness to each."""
        squares = self.likeness.squares
        least = min(squares.of[i] for i in four)
        rows = [self.pools.row(j) for j in four]
        bounds = []
        for i, links in enumerate(zip(*rows, strict=True)):
            if i in four or self.blanks[i].key in taken or squares.of[i] < least or max(links) >= FAR:
                continue
            bound = sum(links) + 3 * self.likeness.units[i][0]
            if squares.most:  # the links hold what both lose to the smaller square
                bound -= sum(squares.row(j, slice(i, i + 1))[0] for j in four)
            bounds.append((bound, i))
        best, spare, square = inf, None, squares.of_set(four)
        for bound, i in sorted(bounds):
            if bound > 3 * best:
                break
            cost = self.likeness.joining(i, four, square)
            if cost is not None and (cost, i) < (best, spare if spare is not None else -1):
                best, spare = cost, i
        return None if spare is None else self.blanks[spare].key

    def band_needed(self) -> float:
        """The narrowest moisture band that would hold a set, points; infinite if none would. In a large pool, that
        among the blanks of either kind whose moisture is surest."""
        split = self.likeness.split
        surest = [
            i
            for kind in (range(split), range(split, len(self.blanks)))
            for i in sorted(sorted(kind, key=lambda i: _sd(self.blanks[i]))[:_SUREST])
        ]
        gaps = [(self.likeness.gap_pct(surest[a], surest[b]), a, b) for a, b in combinations(range(len(surest)), 2)]
        gives = [staves_in(self.blanks[i], self.ask) for i in surest]
        first = sum(i < split for i in surest)
        return narrowest_band(gaps, gives, first, two_kinds=self.ask.two_kinds)


def _sd(blank: Blank) -> float:
    return inf if blank.mc_pct is None or blank.mc_sd_pct is None else blank.mc_sd_pct


def _spread_words(spread: float | None, blanks: Sequence[Blank]) -> list[str]:
    words = []
    if spread is not None and spread > MATCHED_SPREAD_PCT + _BARELY:
        words.append(f"moisture spread {spread:.1f} points, above {MATCHED_SPREAD_PCT:g}: not to be called matched")
    elif spread is not None and spread > WARN_SPREAD_PCT + _BARELY:
        words.append(f"moisture spread {spread:.1f} points, above {WARN_SPREAD_PCT:g}")
    if unknown := [b.key for b in blanks if b.mc_pct is None]:
        words.append(f"moisture of {', '.join(unknown)} not known; matched only by lying stable in one place")
    return words


def _along_the_log(kind: Sequence[int], blanks: Sequence[Blank]) -> list[int]:
    """Log by log, from the butt up, those without a place last."""
    logs: list[Hashable] = list(dict.fromkeys(blanks[i].log for i in kind))

    def place(i: int) -> tuple[int, float]:
        along = blanks[i].along_mm
        return (logs.index(blanks[i].log), inf if along is None else along)

    return sorted(kind, key=place)
