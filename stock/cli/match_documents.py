"""The document of `rick match --json`."""

from typing import Any

from stock.survey.arranging import PlacedSet
from stock.survey.choosing import Chosen
from stock.wood.chosen import StaveSet, WhyNot
from stock.wood.placed import Faces, Placed
from stock.wood.plan import Plan
from stock.wood.waiting import Waiting


def document(chosen: Chosen, kept: str | None = None, saved: str | None = None) -> dict[str, Any]:
    """The answer for programs; `kept` and `saved` are the names under which a set is held, and the question kept."""
    choice = chosen.choice
    return {
        "project": _project(chosen),
        "sets": [_set(chosen, one, placed) for one, placed in zip(chosen.sets, chosen.placed, strict=True)],
        "proven_best": choice.proven_best if chosen.plan is None else chosen.plan.proven,
        "candidates": choice.candidates,
        "of": choice.of,
        "kinds": choice.kinds or None,
        "rejected": {reason: {"count": r.count, "alone": r.alone} for reason, r in choice.rejected.items()},
        "near_misses": [
            {
                "mark": miss.key,
                "reason": miss.reason,
                "shortfall": miss.shortfall,
                "amount": miss.amount,
                "unit": miss.unit or None,
                "would_admit": miss.would_admit,
            }
            for miss in choice.near_misses
        ],
        "best_miss": {**_bare_set(choice.best_miss.stave_set), "excess_pct": choice.best_miss.excess_pct}
        if choice.best_miss
        else None,
        "runner_up": {"marks": list(choice.runner_up.keys), "cost": choice.runner_up.cost_points}
        if choice.runner_up
        else None,
        "plan": _plan(chosen.plan) if chosen.plan else None,
        "waiting": _waiting(chosen.waiting) if chosen.waiting else None,
        "why_not": _why_not(chosen.why_not) if chosen.why_not else None,
        "kept_as": kept,
        "saved_as": saved,
    }


def _project(chosen: Chosen) -> dict[str, Any]:
    ask, question = chosen.ask, chosen.question
    return {
        "square_mm": question.square_mm,
        "or_larger": question.or_larger,
        "length_mm": question.length_mm,
        "species": question.species or None,
        "woods": chosen.woods or None,
        "pattern": question.pattern,
        "by": question.by if ask.two_kinds else None,
        "blocks": question.blocks,
        "per_blank": question.per_blank,
        "band_pct": question.band_pct,
        "target_pct": ask.target_pct,
        "planing_mm": ask.planing_mm,
        "kerf_mm": ask.kerf_mm,
        "on": ask.on,
    }


def _bare_set(one: StaveSet) -> dict[str, Any]:
    return {
        "cost": one.cost_points,
        "marks": list(one.keys),
        "square_mm": one.square_mm,
        "spare": one.spare,
        "terms": one.terms,
        "guessed": list(one.guessed),
        "spread_pct": one.spread_pct,
        "matched": one.matched,
        "warnings": list(one.warnings),
        "equally_good": one.equally_good,
    }


def _set(chosen: Chosen, one: StaveSet, placed: PlacedSet) -> dict[str, Any]:
    bare = _bare_set(one)
    del bare["marks"]
    return {
        **bare,
        "staves": [_stave(chosen, one, placed, stave) for stave in placed.arrangement.staves],
        "placing": {
            "cost": placed.arrangement.cost_points,
            "terms": dict(placed.arrangement.terms),
            "guessed": list(placed.arrangement.guessed),
            "joints": [
                {
                    "corners": list(joint.corners),
                    "first": _faces(joint.first),
                    "after": _faces(joint.after),
                    "outside": _faces(joint.outside),
                    "mismatch_mm": gap.mm if gap else None,
                    "at_most": gap.at_most if gap else None,
                }
                for joint, gap in zip(placed.arrangement.joints, placed.mismatches, strict=True)
            ],
        },
        "in_use_pct": placed.to_mc_pct,
        "shrinkage_source": placed.shrinkages.source if placed.shrinkages else None,
    }


def _stave(chosen: Chosen, one: StaveSet, placed: PlacedSet, stave: Placed) -> dict[str, Any]:
    piece = placed.pieces[stave.key]
    cut = dict(zip(placed.pieces, one.staves, strict=True))[stave.key]
    blank, dryness = chosen.blanks[piece.mark], chosen.dryness[piece.mark]
    moved = placed.movements.get(stave.key)
    return {
        "mark": piece.mark,
        "tag": piece.tag or None,
        "corner": stave.corner,
        "turn_deg": stave.turn_deg,
        "flipped": stave.flipped,
        "corner_in": stave.corner_in,
        "corner_in_after": stave.corner_in_after,
        "kind": cut.letter,
        "from_butt_mm": cut.from_butt_mm,
        "species": piece.wood.scientific,
        "part": blank.part,
        "ring_deg": blank.ring_deg,
        "mc_pct": blank.mc_pct,
        "mc_low_pct": dryness.mc_low_pct,
        "mc_high_pct": dryness.mc_high_pct,
        "verdict": dryness.verdict,
        "width_mm": blank.width_mm,
        "thickness_mm": blank.thickness_mm,
        "usable_length_mm": blank.usable_length_mm,
        "along_log_mm": blank.along_mm,
        "place": piece.place,
        "width_change_mm": moved.width_mm if moved else None,
        "thickness_change_mm": moved.thickness_mm if moved else None,
        "lean_deg": moved.lean_deg if moved else None,
    }


def _faces(faces: Faces) -> dict[str, Any]:
    return {"faces": [faces.here, faces.there], "rings_deg": list(faces.rings_deg), "woods": list(faces.woods)}


def _plan(one: Plan) -> dict[str, Any]:
    return {
        "wanted": one.wanted,
        "made": len(one.sets),
        "cost": one.cost_points,
        "proven": one.proven,
        "gap": one.gap_points,
        "greedy_dearer_by": one.gain_points - one.greedy_points,
        "unused": list(one.unused),
    }


def _waiting(one: Waiting) -> dict[str, Any]:
    return {
        "wait_days": one.wait_days,
        "days": [
            {
                "days": later.days,
                "qualify": later.qualify,
                "more": later.more,
                "best": list(later.best.keys) if later.best else None,
                "cost": later.best.cost_points if later.best else None,
                "saved": later.saved_points,
                "same": later.same,
            }
            for later in one.days
        ],
    }


def _why_not(reason: WhyNot) -> dict[str, Any]:
    return {
        "mark": reason.key,
        "failed": [{"reason": f.reason, "text": f.text} for f in reason.failed],
        "best_with_it": reason.with_it.cost_points if reason.with_it else None,
        "extra_cost": reason.extra_points,
        "differs": reason.differs,
    }
