"""The screen of `rick match`."""

from collections.abc import Iterator

from stock.cli import desk
from stock.cli.printing import Column, moisture_of, screen_width, table, wrapped
from stock.survey.arranging import PlacedSet
from stock.survey.choosing import Chosen
from stock.wood.chosen import StaveSet, WhyNot
from stock.wood.likeness import Blank
from stock.wood.patterns import kinds
from stock.wood.waiting import Waiting
from stock.writing import both_lengths, write_length

CLOSE_POINTS = 5.0  # a runner-up no dearer than this is for the eye to decide


def lines(chosen: Chosen, kept: str | None, saved: str | None) -> Iterator[str]:
    """The answer for a person; `kept` and `saved` as in the document."""
    choice = chosen.choice
    yield from _asked(chosen)
    for number, (one, placed) in enumerate(zip(chosen.sets, chosen.placed, strict=True), 1):
        yield from _set_lines(chosen, number, one, placed)
    if not chosen.sets:
        yield from _no_set(chosen)
    if chosen.plan is not None:
        yield from _plan_lines(chosen)
    elif choice.runner_up and choice.lead_points is not None and choice.lead_points <= CLOSE_POINTS:
        yield from wrapped(
            f"{' '.join(choice.runner_up.keys)} costs {choice.lead_points:.0f} more than set 1: let the eye decide."
        )
    if choice.rejected:
        counted = [
            f"{r.count} {reason} ({r.alone} for that alone)" if r.alone else f"{r.count} {reason}"
            for reason, r in choice.rejected.items()
        ]
        yield from wrapped(f"Not taken: {', '.join(counted)}")
    if choice.near_misses:
        yield from wrapped("Nearly: " + "; ".join(f"{m.key} {m.shortfall}" for m in choice.near_misses[:4]))
    if chosen.waiting:
        yield from wrapped(_waiting_words(chosen.waiting))
    if chosen.why_not:
        yield from _why_not_lines(chosen.why_not)
    yield from _next(chosen, kept, saved)


def _asked(chosen: Chosen) -> Iterator[str]:
    question, choice = chosen.question, chosen.choice
    words = question.species or "any one wood"
    other_name = question.species and chosen.woods.lower() not in ("", words.lower())
    meant = f"; {words} here is {chosen.woods}" if other_name else ""
    larger = " or larger" if question.or_larger else ""
    pattern = ""
    if chosen.ask.two_kinds:
        a, b = kinds(chosen.ask.by)
        counted = ", ".join(f"{n} {kind}" for kind, n in choice.kinds.items()) or "none of either"
        where = "at opposite corners" if question.pattern == "alternating" else "side by side"
        pattern = f" Two {a} and two {b}, {where}: {counted}."
    yield from wrapped(
        f"Staves {both_lengths(question.square_mm)} square{larger}, {both_lengths(question.length_mm)} long,"
        f" of {words}{meant}.{pattern}"
    )
    yield f"{choice.candidates} of {choice.of} blanks qualify. Moisture in % of dry mass."


def _set_lines(chosen: Chosen, number: int, one: StaveSet, placed: PlacedSet) -> Iterator[str]:
    proof = "; no set of four is cheaper" if number == 1 and chosen.plan is None else ""
    equal = f"; {one.equally_good} others cost the same" if one.equally_good else ""
    name = "SET" if one.matched else "SET (not matched)"
    scale = " (100 = the wood of one stave)" if number == 1 else ""
    square = f", {both_lengths(one.square_mm)} square" if chosen.question.or_larger else ""
    yield from wrapped(f"{name} {number}   cost {one.cost_points:.0f}{scale}{square}{proof}{equal}")
    columns = [Column("corner"), Column("mark"), Column("part"), Column("along log", right=True), Column("rings")]
    columns += [Column("inward"), Column("moisture"), Column("cut from"), Column("where", may_shrink=True)]
    cuts = dict(zip(placed.pieces, one.staves, strict=True))
    rows = []
    for stave in placed.arrangement.staves:
        mark = placed.pieces[stave.key].mark
        blank, cut = chosen.blanks[mark], cuts[stave.key]
        rows.append(
            (
                str(stave.corner),
                f"{mark} {cut.number}/{cut.of}" if cut.of > 1 else mark,
                blank.part or "-",
                write_length(blank.along_mm, _unit()) if blank.along_mm is not None else "-",
                _rings(blank),
                stave.faces_in + (" top" if stave.flipped else ""),
                moisture_of(chosen.dryness[mark]),
                _cut_from(chosen, blank, cut.of),
                placed.pieces[stave.key].place or "-",
            )
        )
    width = screen_width()
    yield from (f"  {line}" for line in table(columns, rows, width - 2 if width else None))
    told = [f"{points:.0f} {term}" for term, points in one.terms.items() if points >= 0.5]
    agree = [term for term, points in one.terms.items() if points == 0]
    praise = f"; {', '.join(agree)} agree" if agree else ""
    yield from wrapped(f"{', '.join(told) or 'nothing speaks against it'}{praise}", 2)
    if one.guessed:
        yield from wrapped(f"partly guessed, because not told of a blank: {', '.join(one.guessed)}", 2)
    yield from (line for warning in one.warnings for line in wrapped(warning, 2))
    yield from wrapped(_movement_words(placed), 2)
    if one.spare:
        yield f"  spare: {one.spare}. Weigh all five before milling."
    else:
        yield "  spare: none goes with all four. Weigh them before milling."


def _movement_words(placed: PlacedSet) -> str:
    if placed.shrinkages is None:
        return "how they will move is not known: the wood has no figure of shrinkage"
    worst, lean = placed.widest, placed.most_lean_deg
    if worst is None or lean is None:
        return "how they will move is not known: moisture or shrinkage of one is not"
    unverified = "" if placed.shrinkages.verified else " (unverified figures)"
    return (
        f"going to {placed.to_mc_pct:.0f} %: joints differ {worst.words.removesuffix(' at most')} at most,"
        f" corners stay within {max(lean, 0.05):.1f} degrees{unverified}"
    )


def _plan_lines(chosen: Chosen) -> Iterator[str]:
    plan = chosen.plan
    assert plan is not None
    fewer = "" if len(plan.sets) == plan.wanted else f" of {plan.wanted} wanted"
    proof = "no better plan exists" if plan.proven else "not proven to be the best"
    if not plan.proven and plan.gap_points is not None:
        proof = f"at most {plan.gap_points:.0f} points off the best"
    yield from wrapped(f"{len(plan.sets)} blocks{fewer}, {plan.cost_points:.0f} points in all: {proof}.")
    saved = plan.gain_points - plan.greedy_points
    if saved >= 1:
        yield from wrapped(f"Taking the best set again and again would be {saved:.0f} points dearer.")


def _waiting_words(one: Waiting) -> str:
    later = [day for day in one.days if day.days]
    if not any(day.best for day in one.days):
        return "Waiting four months would not change that."
    most = max(later, key=lambda day: (day.more, -day.days))
    if not most.more:
        return "Waiting four months admits no more: no reason to wait."
    admits = f"Waiting {most.days} days would admit {most.more} more"
    if one.wait_days is None:
        same = "the same four stay best" if most.same else "the best set would cost about the same"
        return f"{admits}; {same}: no reason to wait."
    there = next(day for day in later if day.days == one.wait_days)
    marks = " ".join(there.best.keys) if there.best else ""
    gain = f", {there.saved_points:.0f} points cheaper" if there.saved_points else ""
    return f"{admits}; in {one.wait_days} days {marks} may be the best set{gain}."


def _next(chosen: Chosen, kept: str | None, saved: str | None) -> Iterator[str]:
    if saved:
        yield f'Saved as a project: rick match --project "{saved}"'
    if kept:
        yield f'Held as "{kept}". Draw it: rick report set "{kept}" --to DIR'
    elif chosen.sets:
        off = write_length(chosen.ask.planing_mm, _unit())
        yield from wrapped(
            f"Next: mill {off} over, rest two weeks together, true all in one setting; glue 1+2, 3+4, then the pairs."
        )
        yield 'Keep one: rick match ... --keep 1 --as "tall vase"'


def _unit() -> str:
    return desk.current().unit("length") or "mm"


def _rings(blank: Blank) -> str:
    if blank.ring_deg is None:
        return "-"
    return "flat" if blank.ring_deg < 30 else "rift" if blank.ring_deg < 60 else "quarter"


def _cut_from(chosen: Chosen, blank: Blank, staves: int) -> str:
    side = min(blank.width_mm, blank.thickness_mm)
    over = max(blank.usable_length_mm - staves * chosen.ask.cut_mm, 0.0)
    unit = _unit()
    bare = write_length(side, unit).removesuffix(unit).strip()
    return f"{bare} x {write_length(blank.usable_length_mm, unit)}, {write_length(over, unit)} over"


def _no_set(chosen: Chosen) -> Iterator[str]:
    choice = chosen.choice
    if choice.best_miss:
        miss = choice.best_miss
        yield from wrapped(
            f"No four are sure to lie within {chosen.question.band_pct:g} points of moisture. Nearest:"
            f" {' '.join(miss.stave_set.keys)}, {miss.excess_pct:.1f} points beyond the band,"
            " their uncertainty counted."
        )
        yield "Let them lie together until they agree, weigh again; or ask with a wider --band."
    elif choice.sets:
        yield "No block is worth its wood at this size."
    else:
        yield f"No set: it takes four blanks of one wood, and {choice.candidates} qualify."


def _why_not_lines(reason: WhyNot) -> Iterator[str]:
    for fail in reason.failed:
        yield from wrapped(f"{reason.key} is not taken: {fail.reason}, {fail.text}")
    if reason.with_it and reason.extra_points is not None:
        if reason.extra_points <= 0:
            yield f"{reason.key} is in the best set, or in one as good."
            return
        parts = ", ".join(f"{points:+.0f} {term}" for term, points in reason.differs.items() if abs(points) >= 0.5)
        yield from wrapped(f"the best set with {reason.key} costs {reason.extra_points:.0f} more: {parts}")
        yield f"  {' '.join(reason.with_it.keys)}"
