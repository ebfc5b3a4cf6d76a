"""The narrowest moisture band in which there is a set: pairs are let in by the band they need, narrowest first, until
some blanks that make a set are linked each to each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import inf, isfinite

Gap = tuple[float, int, int]  # the band that two blanks need, points, and the two


def narrowest_band(gaps: Iterable[Gap], gives: Sequence[int], split: int, *, two_kinds: bool) -> float:
    """The narrowest band that holds a set.

    Args:
        gaps: of every two blanks the band they need, points, infinite if none is wide enough.
        gives: how many staves of a set each blank can give.
        split: how many blanks are of the first kind; those have the smaller numbers.
        two_kinds: whether a set takes two staves of either kind; otherwise any four.

    Returns:
        Points; infinite if no band would hold a set.
    """
    n = len(gives)
    twos = sum(1 << i for i in range(n) if gives[i] > 1)
    firsts = (1 << split) - 1
    kinds = (firsts, ((1 << n) - 1) ^ firsts)
    linked = [0] * n  # of each blank those it is linked to, a bit for each
    for gap, i, j in sorted(gap for gap in gaps if isfinite(gap[0])):
        both = linked[i] & linked[j]
        if not two_kinds:
            made = _four(gives[i] + gives[j], both, twos, linked)
        elif (i < split) == (j < split):
            other = both & kinds[i < split]
            made = bool(other & twos) or _linked_within(other, other, linked)
        else:
            beside = [both & kinds[one >= split] for one in (i, j)]
            made = _two_and_two([gives[i] > 1, gives[j] > 1], beside, linked)
        if made:
            return gap
        linked[i] |= 1 << j
        linked[j] |= 1 << i
    return inf


def _four(given: int, both: int, twos: int, linked: Sequence[int]) -> bool:
    """Whether two linked blanks, which give so many staves, make four with those linked to both."""
    if given >= 4 or (given == 3 and both) or both & twos:
        return True
    return _linked_within(both, both, linked)


def _two_and_two(alone: Sequence[bool], beside: Sequence[int], linked: Sequence[int]) -> bool:
    """Whether two linked blanks of different kinds make two and two: each alone, or with one beside it."""
    if all(one or other for one, other in zip(alone, beside, strict=True)) and any(alone):
        return True
    return _linked_within(beside[0], beside[1], linked)


def _linked_within(some: int, others: int, linked: Sequence[int]) -> bool:
    return any(linked[i] & others for i in _bits(some))


def _bits(mask: int) -> Iterator[int]:
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low
