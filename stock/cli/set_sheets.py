"""What stands on the marking sheet of a held set, in the book's units and both systems where a saw is set."""

from typing import TYPE_CHECKING

from stock.book.held import HeldSet, held_sets
from stock.cli import desk
from stock.cli.printing import moisture_of
from stock.dates import day_words
from stock.errors import NotNow, Unknown
from stock.survey.arranging import PlacedSet, placed
from stock.survey.candidates import Question, candidate_of, question_of
from stock.survey.courses import Reckoning
from stock.survey.held_sets import JudgedSet, judged
from stock.wood.cautions import for_act
from stock.wood.patterns import kind_of, kinds
from stock.writing import both_lengths

if TYPE_CHECKING:
    from reports.set_sheet import SetSheet
    from stock.wood.placed import Placed


def set_sheet(name: str) -> "SetSheet":
    """The marking sheet of the set that is held under a name.

    Raises:
        Unknown: no set is held under it.
        NotNow: a stave of it is gone, or nothing was kept of what was wanted.
    """
    here = desk.current()
    held = _held(name)
    if not held.ask:
        raise NotNow(f'nothing was kept of what "{held.name}" is for.', hint="Hold it again: rick match ... --keep 1")
    question = question_of(held.ask)
    reckoning = Reckoning(here.facts(pieces=[one.mark for one in held.members]))
    (one,) = judged(reckoning, [held])
    gone = [m.mark for m in held.staves if reckoning.pieces[m.piece_id].gone]
    if gone:
        raise NotNow(f'"{held.name}" has lost {", ".join(gone)}.', hint="Let it go: rick match --release, and choose.")
    return _sheet(reckoning, one, question)


def _held(name: str) -> HeldSet:
    here = desk.current()
    with here.reading() as connection:
        known = held_sets(connection, here.today)
    found = next((one for one in known if one.is_called(name)), None)
    if found is None:
        names = ", ".join(f'"{one.name}"' for one in known) or "none"
        raise Unknown(f'no set is held as "{name}".', hint=f"Held: {names}.", code="unknown-set")
    return found


def _sheet(reckoning: Reckoning, one: JudgedSet, question: Question) -> "SetSheet":
    from reports.end_grain import End
    from reports.set_sheet import SetSheet

    here = desk.current()
    staves = [(m.piece_id, _letter(reckoning, m.piece_id, question)) for m in one.held.staves]
    block = placed(
        reckoning,
        staves,
        square_mm=question.square_mm,
        pattern=question.pattern,
        show=question.show or None,
        end_for_end=question.end_for_end,
    )
    ends = []
    for stave in block.arrangement.staves:
        look = block.pieces[stave.key].look
        ends.append(
            End(
                stave.corner,
                block.pieces[stave.key].mark,
                stave.turn_deg,
                stave.flipped,
                look.ring_deg,
                look.part,
                look.sap_faces or "",
            )
        )
    wood = block.pieces[block.arrangement.staves[0].key].wood
    defects = {d.kind for piece in block.pieces.values() for d in piece.defects}
    return SetSheet(
        title=one.held.name,
        lines=[
            f"Four staves {both_lengths(question.square_mm)} square, {both_lengths(question.length_mm)} long,"
            f" {_pattern_words(question)}, of {wood.name}.",
            f"{here.path.name}, {day_words(reckoning.facts.on)}. Moisture in % of dry mass; for"
            f" {reckoning.target.words}, {reckoning.target.mc_pct:.0f} %.",
        ],
        ends=ends,
        cuts=[_cut(reckoning, block, stave, question) for stave in block.arrangement.staves],
        joints=_joints(block),
        notes=_notes(one, block, question),
        cautions=[*for_act("glue", wood=wood.wood, how="paper", kinds=defects), *for_act("reverse", how="paper")],
    )


def _letter(reckoning: Reckoning, piece_id: int, question: Question) -> str:
    if question.pattern == "matched":
        return "A"
    candidate = candidate_of(reckoning, reckoning.pieces[piece_id], None, 0.0)
    return "B" if candidate and kind_of(candidate.blank, question.by) == 1 else "A"


def _pattern_words(question: Question) -> str:
    if question.pattern == "matched":
        return "matched"
    a, b = kinds(question.by)
    return f"{question.pattern}: {a} and {b}"


def _cut(reckoning: Reckoning, block: PlacedSet, stave: "Placed", question: Question) -> tuple[str, ...]:
    piece = block.pieces[stave.key]
    dryness = reckoning.of(piece.id)
    tag = f' "{piece.tag}"' if piece.tag else ""
    look = piece.look
    rings = None if look.ring_deg is None else f"rings {look.ring_deg:.0f}°"
    wood = ", ".join(word for word in (look.part, rings) if word) or "-"
    end = "turned end for end, butt down" if stave.flipped else "butt up"
    size = piece.size
    whole = both_lengths(size.length_mm) if size.length_mm else "its length"
    cut = (
        f"{both_lengths(question.length_mm)} of {whole}; corner {stave.faces_in} in, then {stave.faces_in_after}; {end}"
    )
    return (
        str(stave.corner),
        f"{piece.mark}{tag}",
        wood,
        moisture_of(dryness),
        piece.place or "-",
        cut,
    )


def _joints(block: PlacedSet) -> list[tuple[str, ...]]:
    return [
        (
            f"{joint.corners[0]} to {joint.corners[1]}",
            joint.first.words,
            joint.after.words,
            gap.words if gap else "not known",
        )
        for joint, gap in zip(block.arrangement.joints, block.mismatches, strict=True)
    ]


def _notes(one: JudgedSet, block: PlacedSet, question: Question) -> list[str]:
    notes = [f"This set is broken: {'; '.join(one.broken)}."] if one.broken else []
    if one.spread_pct is not None:
        notes.append(f"Moisture of the four lies {one.spread_pct:.1f} points apart.")
    if block.shrinkages is None:
        notes.append("How they will move is not known: the wood has no figure of shrinkage, and none is borrowed.")
    elif (lean := block.most_lean_deg) is not None:
        sure = "" if block.shrinkages.verified else ", unverified figures"
        notes.append(
            f"Going to {block.to_mc_pct:.0f} %, corners stay within {max(lean, 0.05):.1f} degrees of square{sure};"
            " the joints differ as the table says."
        )
    if block.arrangement.guessed:
        notes.append(
            f"Placed by guess in part, because it is not told of a blank: {', '.join(block.arrangement.guessed)}."
        )
    off = f"{both_lengths(question.planing_mm)} off each side." if question.planing_mm else "the usual 3 mm (1/8 in)."
    spare = one.held.spare or "none"
    notes.append(f"Planing: {off} Spare: {spare}. Weigh again before milling: {', '.join(one.weigh) or 'none is due'}.")
    return notes
