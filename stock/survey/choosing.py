"""The best sets of four staves on hand: chosen, placed in their corners, and compared with what waiting would bring."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from stock.survey.arranging import PlacedSet, placed
from stock.survey.candidates import Question, ask_of, candidate_of, reserved
from stock.survey.courses import Dryness, Reckoning
from stock.survey.filters import Filter, Sieve
from stock.survey.waiting import later_candidates
from stock.wood import choosing, species
from stock.wood.chosen import Choice, StaveSet, WhyNot
from stock.wood.likeness import Ask, Blank, Covariance
from stock.wood.plan import Plan, Standing, plan
from stock.wood.qualifying import Candidate
from stock.wood.waiting import Waiting, waiting

STAVE_KINDS = ("blank",)
BLOCK_WORTH_POINTS = 10_000.0  # more than any sane set costs: as many blocks as there can be, then the cheapest


@dataclass(frozen=True, slots=True)
class Chosen:
    """The answer, and the blanks it speaks of by their marks.

    Attributes:
        question, ask: what was asked, and the same as the search took it.
        woods: the woods of the blanks looked at, in words.
        choice: the sets with their reasons; plan: those for several blocks, None if one was asked for.
        placed: each set that is shown, in its corners.
        blanks, dryness, ids: of all blanks looked at.
        held: by mark, the set that holds a blank.
        why_not: why one blank is not in the best set, if that was asked.
        waiting: what waiting would bring; None if nothing that waits could.
    """

    question: Question
    ask: Ask
    woods: str
    choice: Choice
    plan: Plan | None
    placed: tuple[PlacedSet, ...]
    blanks: Mapping[str, Blank]
    dryness: Mapping[str, Dryness]
    ids: Mapping[str, int]
    held: Mapping[str, str]
    why_not: WhyNot | None
    waiting: Waiting | None

    @property
    def sets(self) -> tuple[StaveSet, ...]:
        """The sets to be shown: those of the plan if there is one, else the best."""
        return self.choice.sets if self.plan is None else self.plan.sets


def choose(
    reckoning: Reckoning,
    question: Question,
    why_not: int | None = None,
    *,
    clock: Callable[[], float] | None = None,
    progress: Callable[[Standing], None] | None = None,
    wait: bool = True,
) -> Chosen:
    """The best sets of four staves on hand.

    Args:
        reckoning: the moisture of the whole book.
        question: what is wanted.
        why_not: a piece of which to say why it is not in the best set.
        clock, progress: of a plan of several blocks, as `wood.plan.plan` takes them.
        wait: whether to look at what waiting would bring.

    Returns:
        The sets with their reasons; none of the pieces is touched.
    """
    sieve = Sieve(reckoning.pieces, Filter(species=question.species))
    ask = ask_of(question, reckoning, sieve.woods)
    held = reserved(reckoning)
    candidates: dict[str, Candidate] = {}
    ids: dict[str, int] = {}
    for piece in reckoning.pieces.on_hand():
        if piece.kind not in STAVE_KINDS or piece.role == "reference":
            continue
        if piece.id != why_not and not sieve.lets_through(piece):
            continue
        if candidate := candidate_of(reckoning, piece, held.get(piece.id), ask.planing_mm):
            candidates[piece.mark], ids[piece.mark] = candidate, piece.id

    def covariance(a: str, b: str) -> float:
        return reckoning.covariance(ids[a], ids[b])

    unready = question.unready
    choice = choosing.choose(candidates.values(), ask, k=question.best, covariance=covariance, unready=unready)
    planned = reason = None
    if question.blocks > 1:
        planned = plan(
            candidates.values(),
            ask,
            blocks=question.blocks,
            worth=BLOCK_WORTH_POINTS,
            covariance=covariance,
            unready=unready,
            clock=clock,
            progress=progress,
        )
    if why_not is not None:
        key = reckoning.pieces[why_not].mark
        reason = choosing.best_containing(candidates.values(), ask, key, covariance=covariance, unready=unready)
    shown = choice.sets if planned is None else planned.sets
    return Chosen(
        question=question,
        ask=ask,
        woods=_woods(c.blank for key, c in candidates.items() if ids[key] != why_not),
        choice=choice,
        plan=planned,
        placed=tuple(_placed(reckoning, question, ids, one) for one in shown),
        blanks={key: c.blank for key, c in candidates.items()},
        dryness={key: reckoning.of(piece_id) for key, piece_id in ids.items()},
        ids=ids,
        held={reckoning.pieces[i].mark: name for i, name in held.items()},
        why_not=reason,
        waiting=_waiting(reckoning, ask, candidates, ids, covariance, unready) if wait else None,
    )


def _placed(reckoning: Reckoning, question: Question, ids: Mapping[str, int], one: StaveSet) -> PlacedSet:
    return placed(
        reckoning,
        [(ids[stave.key], stave.letter) for stave in one.staves],
        square_mm=one.square_mm,
        pattern=question.pattern,
        show=question.show or None,
        end_for_end=question.end_for_end,
    )


def _waiting(
    reckoning: Reckoning,
    ask: Ask,
    candidates: Mapping[str, Candidate],
    ids: Mapping[str, int],
    covariance: Covariance,
    unready: bool,
) -> Waiting | None:
    """What waiting brings; None if no blank waits for its moisture alone."""
    later = later_candidates(reckoning, ask, candidates, ids)
    if not later:
        return None
    futures: dict[int, Iterable[Candidate]] = {0: candidates.values()}
    changed = frozenset().union(*(some.keys() for some in later.values()))

    def then(a: str, b: str) -> float:
        return 0.0 if a in changed or b in changed else covariance(a, b)

    for days, some in later.items():
        futures[days] = [some.get(key, candidate) for key, candidate in candidates.items()]
    covariances = {0: covariance, **dict.fromkeys(later, then)}
    return waiting(futures, ask, covariances=covariances, unready=unready)


def _woods(blanks: Iterable[Blank]) -> str:
    keys = {b.species for b in blanks if b.species}
    return ", ".join(sorted(species.wood(key).name for key in keys))
