"""Blanks as candidates for a block: what is asked of them, what each is, and what is known of it."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields, replace
from typing import Any

from stock.survey.courses import Reckoning
from stock.survey.holdings import flaws_of
from stock.survey.pieces import Piece
from stock.wood import species
from stock.wood.likeness import Ask, Blank
from stock.wood.patterns import PART
from stock.wood.qualifying import Candidate
from stock.wood.usable import usable

SQUARE_STEP_MM = 0.5  # of a square that may be larger


@dataclass(frozen=True, slots=True)
class Question:
    """What staves are wanted, as the person asked. Sizes of the finished stave in mm.

    Attributes:
        square_mm: the side; the least that will do if `or_larger`.
        length_mm: the length.
        species: a wood by any of its names; empty for any one wood.
        pattern, by: how kinds of stave lie round the ring, and what tells two kinds apart (`wood.patterns`).
        per_blank: how many staves one blank may give.
        or_larger: whether the square is to be as large as the four allow.
        band_pct: how far moisture contents may lie apart, points.
        blocks: for how many blocks staves are wanted at once.
        best: how many sets to show.
        unready: whether blanks that are not ready will do.
        planing_mm: off each side, both faces; None takes the usual.
        show: heart or sap, what the finished outside is to show; empty for whatever matches best.
        end_for_end: whether a stave may be turned end for end.
        target_pct: the moisture content of the place it is for; None takes the book's.
    """

    square_mm: float
    length_mm: float
    species: str = ""
    pattern: str = "matched"
    by: str = PART
    per_blank: int = 4
    or_larger: bool = False
    band_pct: float = 2.0
    blocks: int = 1
    best: int = 3
    unready: bool = False
    planing_mm: float | None = None
    show: str = ""
    end_for_end: bool = False
    target_pct: float | None = None

    def plain(self) -> dict[str, Any]:
        """The question as a project keeps it."""
        return {name: value for name, value in asdict(self).items() if value is not None and name != "best"}


def question_of(plain: Mapping[str, Any]) -> Question:
    """The question that a project kept; what a later version added is left out."""
    known = {field.name for field in fields(Question)}
    return Question(**{name: value for name, value in plain.items() if name in known})


def ask_of(question: Question, reckoning: Reckoning, woods: frozenset[str] | None = None) -> Ask:
    """The question as the search takes it; `woods` are the keys of those that will do, None or none for any."""
    ask = Ask(
        square_mm=question.square_mm,
        length_mm=question.length_mm,
        species=woods or None,
        band_pct=question.band_pct,
        target_pct=reckoning.target.mc_pct,
        on=reckoning.facts.on,
        pattern=question.pattern,
        by=question.by,
        per_blank=question.per_blank,
        square_step_mm=SQUARE_STEP_MM if question.or_larger else None,
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
    rough = dryness.by_density  # its dry mass is a guess from the density of its wood: no alarm, no likeness
    blank = Blank(
        key=piece.mark,
        width_mm=clear.width_mm,
        thickness_mm=clear.thickness_mm,
        usable_length_mm=clear.length.mm,
        clear_from_mm=clear.from_butt_mm,
        mc_pct=None if dryness.mc_pct is None else max(dryness.mc_pct, 0.0),
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
        run_out=look.run_out,
        lab=look.lab,
        lab_surface=look.lab_surface,
        density_kg_m3=None if rough or not dryness.oven_dry_g else 1000 * dryness.oven_dry_g / volume_cm3,
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
