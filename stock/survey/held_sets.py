"""Sets of staves that are held for a project, judged as the wood is today: whether they still are what was chosen."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

from stock.book.held import HeldSet
from stock.survey.candidates import ask_of, candidate_of, question_of
from stock.survey.courses import Reckoning
from stock.survey.piece import Piece
from stock.wood.likeness import Ask
from stock.wood.moisture_band import Band
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
    ask = ask_of(question, reckoning) if question else None
    broken: list[str] = []
    weigh: list[str] = []
    for one in dict.fromkeys(held.members):
        piece = reckoning.pieces[one.piece_id]
        if piece.gone:
            broken.append(f"{one.mark} is gone: {piece.gone}")
            continue
        dryness = reckoning.of(one.piece_id)
        if dryness.weighed_days_ago is None or dryness.weighed_days_ago > WEIGH_WITHIN_DAYS:
            weigh.append(one.mark)
        broken += _fails(reckoning, piece, ask, unready=bool(question and question.unready))
    here = [one for one in held.staves if not reckoning.pieces[one.piece_id].gone]
    if ask is not None:
        broken += _too_far_apart(reckoning, [one.piece_id for one in here], ask)
    wet = [reckoning.of(one.piece_id).mc_pct for one in here]
    known = [mc for mc in wet if mc is not None]
    apart = max(known) - min(known) if known and len(known) == len(wet) else None
    return JudgedSet(held, tuple(dict.fromkeys(broken)), tuple(dict.fromkeys(weigh)), apart)


def _fails(reckoning: Reckoning, piece: Piece, ask: Ask | None, *, unready: bool) -> list[str]:
    """Why a piece is no stave of this question any more, or of any if nothing was kept of what was wanted."""
    if ask is None:
        verdict = reckoning.of(piece.id).judgement
        return [] if verdict.ready or verdict.verdict == "re-weigh" else [f"{piece.mark}: {verdict.verdict}"]
    candidate = candidate_of(reckoning, piece, None, ask.planing_mm)
    fails = failed(candidate, ask, unready=unready) if candidate else ()
    return [f"{piece.mark}: {fail.text}" for fail in fails if fail.reason not in _STILL_STANDS]


def _too_far_apart(reckoning: Reckoning, piece_ids: Sequence[int], ask: Ask) -> list[str]:
    """The two staves whose moisture lies furthest apart, if that is no longer within the band they were chosen by."""
    ids = list(dict.fromkeys(piece_ids))
    found = [candidate_of(reckoning, reckoning.pieces[i], None, ask.planing_mm) for i in ids]
    blanks = [one.blank for one in found if one is not None]
    by_mark = {reckoning.pieces[i].mark: i for i in ids}
    band = Band(blanks, ask, lambda a, b: reckoning.covariance(by_mark[a], by_mark[b]))
    gaps = {(i, j): band.gap(i, j) for i, j in combinations(range(len(blanks)), 2)}
    if not gaps:
        return []
    (i, j), widest = max(gaps.items(), key=lambda pair: pair[1])
    if widest <= band.most:
        return []
    apart = abs((blanks[i].mc_pct or 0.0) - (blanks[j].mc_pct or 0.0))
    return [f"moisture of {blanks[i].key} and {blanks[j].key} {apart:.1f} points apart, and not sure within the band"]
