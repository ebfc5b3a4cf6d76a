"""Blanks as candidates for a block: what each is, what is known of it, and the best sets of four."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, fields, replace
from typing import Any

from stock.survey.courses import Dryness, Reckoning
from stock.survey.filters import Filter, Sieve
from stock.survey.holdings import flaws_of
from stock.survey.pieces import Piece
from stock.wood import choosing, species
from stock.wood.chosen import Choice, WhyNot
from stock.wood.likeness import Ask, Blank
from stock.wood.qualifying import Candidate
from stock.wood.usable import usable

STAVE_KINDS = ("blank",)


@dataclass(frozen=True, slots=True)
class Question:
    """What staves are wanted, as the person asked. Sizes of the finished stave in mm."""

    square_mm: float
    length_mm: float
    species: str = ""
    band_pct: float = 2.0
    best: int = 3
    unready: bool = False  # also blanks that are not ready
    planing_mm: float | None = None  # off each side, both faces; None takes the usual

    def plain(self) -> dict[str, Any]:
        """The question as a project keeps it."""
        return {name: value for name, value in asdict(self).items() if value is not None and name != "best"}


def question_of(plain: Mapping[str, Any]) -> Question:
    """The question that a project kept; what a later version added is left out."""
    known = {field.name for field in fields(Question)}
    return Question(**{name: value for name, value in plain.items() if name in known})


@dataclass(frozen=True, slots=True)
class Chosen:
    """The answer: the choice, and the blanks it speaks of by their marks."""

    question: Question
    ask: Ask
    woods: str
    choice: Choice
    blanks: Mapping[str, Blank]
    dryness: Mapping[str, Dryness]
    held: Mapping[str, str]
    why_not: WhyNot | None


def choose(reckoning: Reckoning, question: Question, why_not: int | None = None) -> Chosen:
    """The best sets of four staves on hand.

    Args:
        reckoning: the moisture of the whole book.
        question: what is wanted.
        why_not: a piece of which to say why it is not in the best set.

    Returns:
        The sets with their reasons; none of the pieces is touched.
    """
    sieve = Sieve(reckoning.pieces, Filter(species=question.species))
    ask = ask_of(question, reckoning, sieve.woods)
    held = reserved(reckoning)
    blanks: dict[str, Blank] = {}
    dryness: dict[str, Dryness] = {}
    candidates: list[Candidate] = []
    ids: dict[str, int] = {}
    for piece in reckoning.pieces.on_hand():
        if piece.kind not in STAVE_KINDS or (piece.id != why_not and not sieve.lets_through(piece)):
            continue
        candidate = candidate_of(reckoning, piece, held.get(piece.id), ask.planing_mm)
        if candidate is None:
            continue
        key = candidate.blank.key
        blanks[key], dryness[key], ids[key] = candidate.blank, reckoning.of(piece.id), piece.id
        candidates.append(candidate)

    def covariance(a: str, b: str) -> float:
        return reckoning.covariance(ids[a], ids[b])

    choice = choosing.choose(candidates, ask, k=question.best, covariance=covariance, unready=question.unready)
    reason = None
    if why_not is not None:
        key = reckoning.pieces[why_not].mark
        reason = choosing.best_containing(candidates, ask, key, covariance=covariance, unready=question.unready)
    return Chosen(
        question=question,
        ask=ask,
        woods=_woods(b for key, b in blanks.items() if ids[key] != why_not),
        choice=choice,
        blanks=blanks,
        dryness=dryness,
        held={reckoning.pieces[i].mark: name for i, name in held.items()},
        why_not=reason,
    )


def ask_of(question: Question, reckoning: Reckoning, woods: frozenset[str] | None = None) -> Ask:
    """The question as the search takes it; `woods` are the keys of those that will do, None or none for any."""
    ask = Ask(
        square_mm=question.square_mm,
        length_mm=question.length_mm,
        species=woods or None,
        band_pct=question.band_pct,
        target_pct=reckoning.target.mc_pct,
        on=reckoning.facts.on,
    )
    return ask if question.planing_mm is None else replace(ask, planing_mm=question.planing_mm)


def reserved(reckoning: Reckoning) -> dict[int, str]:
    """The pieces that a set holds, and its name."""
    facts = reckoning.facts
    held: dict[int, str] = {}
    for piece_id, members in facts.members.items():
        for member in members:
            one = facts.sets.get(member.set_id)
            if one is not None and one.outcome is None and (one.until is None or one.until > facts.on):
                held[piece_id] = one.name
    return held


def candidate_of(reckoning: Reckoning, piece: Piece, reserved_for: str | None, planing_mm: float) -> Candidate | None:
    """A blank as a candidate; None if its sizes are not known, so that nothing can be said of it as a stave."""
    size = piece.size
    if not (size.length_mm and size.width_mm and size.thickness_mm):
        return None
    clear = usable(size.width_mm, size.thickness_mm, size.length_mm, flaws_of(piece), planing_mm=planing_mm / 2)
    dryness = reckoning.of(piece.id)
    steadiness = dryness.judgement.steadiness
    look = piece.look
    wood = piece.wood.wood
    facts = reckoning.facts
    volume_cm3 = size.width_mm * size.thickness_mm * size.length_mm / 1000
    root = reckoning.pieces.root(piece.id)
    parent = facts.pieces[piece.id].parent_id
    stick = parent if parent is not None and facts.pieces[parent].kind == "blank" else None
    blank = Blank(
        key=piece.mark,
        width_mm=clear.width_mm,
        thickness_mm=clear.thickness_mm,
        usable_length_mm=clear.length.mm,
        mc_pct=dryness.mc_pct,
        mc_sd_pct=dryness.mc_sd_pct,
        stable_since=steadiness.since if steadiness and steadiness.word == "steady" else None,
        place=piece.place_id,
        species=wood.key if wood else None,
        tree=root if facts.pieces[root].kind == "tree" else None,
        log=reckoning.pieces.ancestor(piece.id, "log"),
        billet=reckoning.pieces.ancestor(piece.id, "billet"),
        stick=stick,
        along_mm=reckoning.pieces.along_mm(piece.id),
        part=look.part,
        sap_faces=look.sap_faces,
        traits=look.traits,
        ring_deg=look.ring_deg,
        lab=look.lab,
        lab_surface=look.lab_surface,
        density_kg_m3=1000 * dryness.oven_dry_g / volume_cm3 if dryness.oven_dry_g else None,
        t_minus_r_pct=_t_minus_r(piece),
    )
    return Candidate(
        blank=blank,
        ready=dryness.judgement.ready,
        verdict=dryness.verdict,
        last_weighed_on=dryness.last_weighed_on,
        barred=clear.barred,
        reserved_for=reserved_for,
    )


def _t_minus_r(piece: Piece) -> float | None:
    wood = piece.wood.wood
    if wood is None:
        return None
    tangential, radial = species.shrinkage(wood, "tangential"), species.shrinkage(wood, "radial")
    if tangential is None or radial is None or not (tangential.verified and radial.verified):
        return None
    across, along_rays = tangential.central(), radial.central()
    return max(across - along_rays, 0.0) if across is not None and along_rays is not None else None


def _woods(blanks: Iterable[Blank]) -> str:
    keys = {b.species for b in blanks if b.species}
    return ", ".join(sorted(species.wood(key).name for key in keys))
