"""Sets of staves that are held for a project, judged as the wood is today: whether they still are what was chosen."""

from collections.abc import Iterable
from dataclasses import dataclass

from stock.book.held import HeldSet
from stock.survey.candidates import Question, ask_of, candidate_of, question_of
from stock.survey.courses import Reckoning
from stock.wood.chosen import MATCHED_SPREAD_PCT
from stock.wood.qualifying import failed

WEIGH_WITHIN_DAYS = 14
_STILL_STANDS = ("reserved", "to weigh again")  # what bars a blank from a new set, and does not break a held one


@dataclass(frozen=True, slots=True)
class JudgedSet:
    """A held set as it is today.

    Attributes:
        held: the set.
        broken: why it is no longer what was chosen, a sentence each; empty if it still is.
        weigh: the members not weighed within fourteen days of the day of asking.
        spread_pct: moisture between the wettest and the driest of the four, points; None if not known of all.
    """

    held: HeldSet
    broken: tuple[str, ...]
    weigh: tuple[str, ...]
    spread_pct: float | None


def judged(reckoning: Reckoning, held: Iterable[HeldSet]) -> list[JudgedSet]:
    """The sets as they are today.

    Args:
        reckoning: the moisture of the families of all members.
        held: the sets.
    """
    return [_judged(reckoning, one) for one in held]


def _judged(reckoning: Reckoning, held: HeldSet) -> JudgedSet:
    question = question_of(held.ask) if held.ask else None
    broken: list[str] = []
    weigh: list[str] = []
    wet: list[float | None] = []
    for corner, piece_id, mark in dict.fromkeys(held.members):
        piece = reckoning.pieces[piece_id]
        if piece.gone:
            broken.append(f"{mark} is gone: {piece.gone}")
            continue
        dryness = reckoning.of(piece_id)
        if dryness.weighed_days_ago is None or dryness.weighed_days_ago > WEIGH_WITHIN_DAYS:
            weigh.append(mark)
        broken += _fails(reckoning, piece_id, question)
        if (corner, piece_id, mark) in held.staves:
            wet.append(dryness.mc_pct)
    known = [mc for mc in wet if mc is not None]
    apart = max(known) - min(known) if known and len(known) == len(wet) else None
    if apart is not None and apart > MATCHED_SPREAD_PCT:
        broken.append(f"moisture {apart:.1f} points apart: not matched")
    return JudgedSet(held, tuple(broken), tuple(dict.fromkeys(weigh)), apart)


def _fails(reckoning: Reckoning, piece_id: int, question: Question | None) -> list[str]:
    """Why a piece is no stave of this question any more, or of any if nothing was kept of what was wanted."""
    piece = reckoning.pieces[piece_id]
    if question is None:
        verdict = reckoning.of(piece_id).judgement
        return [] if verdict.ready or verdict.verdict == "re-weigh" else [f"{piece.mark}: {verdict.verdict}"]
    ask = ask_of(question, reckoning)
    candidate = candidate_of(reckoning, piece, None, ask.planing_mm)
    fails = failed(candidate, ask, unready=question.unready) if candidate else ()
    return [f"{piece.mark}: {fail.text}" for fail in fails if fail.reason not in _STILL_STANDS]
