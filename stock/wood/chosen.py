"""The answer to "which four?": sets, what they cost, and why not others."""

from dataclasses import dataclass

from stock.wood.qualifying import Failed, NearMiss, Rejected

WARN_SPREAD_PCT = 2.0  # points between the wettest and the driest of four; common practice, no source
MATCHED_SPREAD_PCT = 3.0  # beyond this a set is no longer called matched
EQUALS_COUNTED = 20  # sets of equal cost are counted no further


@dataclass(frozen=True, slots=True)
class Stave:
    """One stave of a set, and where in its blank it is cut.

    Attributes:
        key: the blank.
        letter: its letter in the pattern; staves of one letter are to be alike.
        number: which of the staves of its blank it is, counted from the butt; of: how many the blank gives.
        from_butt_mm: where it begins, from the butt end of its blank.
    """

    key: str
    letter: str
    number: int
    of: int
    from_butt_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StaveSet:
    """Four staves that may become a block.

    Attributes:
        keys: the blank of each stave; a blank that gives several stands there as often. Staves of one letter are
            ordered along their log from the butt, and the letters as the pattern has them round the ring.
        staves: the same with what is to be known of each.
        square_mm: the side of the finished stave.
        cost_points: the cost; 100 is the wood of one stave. thousandths: the same, exact, in thousandths of a point.
        terms: what the cost is made of, points, greatest first; every term is named, also those of 0, but for run-out
            where it is not known of two.
        guessed: the terms of which some part is a guess, because it is not known of a blank.
        spread_pct: between the wettest and the driest, points; None unless two or more moisture contents are known.
        matched: whether it may be called a matched set.
        warnings: what to say with it.
        spare: the blank outside the set that goes with all four at the least extra cost, at the square of the set;
            None if there is none.
        equally_good: how many other sets cost exactly the same, counted up to EQUALS_COUNTED; of a set that answers
            "why not this blank", how many others with that blank.
    """

    keys: tuple[str, str, str, str]
    staves: tuple[Stave, ...]
    square_mm: float
    cost_points: float
    thousandths: int
    terms: dict[str, float]
    guessed: tuple[str, ...]
    spread_pct: float | None
    matched: bool
    warnings: tuple[str, ...]
    spare: str | None
    equally_good: int


@dataclass(frozen=True, slots=True)
class BandMiss:
    """The set that would need the least widening of the moisture band, when none lies within it."""

    stave_set: StaveSet
    excess_pct: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """The answer.

    Attributes:
        sets: the cheapest, then each time the cheapest that differs in at least two staves from all before it.
        runner_up: the cheapest of all other sets, which may differ from the first in one stave only; None if there is
            none. It costs `lead_points` more than the first: if that is little, let the eye decide.
        candidates: how many blanks qualify; of: among how many. kinds: how many of either kind, if the pattern has two.
        proven_best: that no set of four costs less than the first.
        rejected: by check, how many blanks fail it, and how many fail it alone.
        near_misses: the blanks that fail one check by little.
        best_miss: if four qualify but no four lie within the band.
    """

    sets: tuple[StaveSet, ...]
    runner_up: StaveSet | None
    lead_points: float | None
    candidates: int
    of: int
    proven_best: bool
    rejected: dict[str, Rejected]
    near_misses: tuple[NearMiss, ...]
    best_miss: BandMiss | None
    kinds: dict[str, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class WhyNot:
    """Why a blank is not in the best set.

    Attributes:
        key: the blank.
        failed: the checks it fails.
        with_it: the cheapest set that contains it, as if it failed none; None if there is none, or if what it fails
            leaves nothing to reckon with.
        best: the best set there is.
        extra_points: what it would cost more than the best.
        differs: term by term what it would cost more (or less), greatest first.
    """

    key: str
    failed: tuple[Failed, ...]
    with_it: StaveSet | None
    best: StaveSet | None
    extra_points: float | None
    differs: dict[str, float]
