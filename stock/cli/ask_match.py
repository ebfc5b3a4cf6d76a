"""match: the best four staves for a block, and why; the nearest misses, and why not."""

from collections.abc import Iterator
from typing import Annotated, Any

import typer

from stock.cli import desk, options
from stock.cli.printing import Column, moisture_of, screen_width, table, wrapped
from stock.errors import Impossible, Misused, Unclear
from stock.survey import candidates
from stock.survey.candidates import Chosen, Question
from stock.survey.courses import Reckoning
from stock.wood.cautions import for_act
from stock.wood.chosen import StaveSet, WhyNot
from stock.wood.likeness import Blank
from stock.writing import both_lengths, write_length

PATTERNS = ("matched",)


def match(
    square: Annotated[str, typer.Option("--square", metavar="SIZE", help="Side of the finished stave.")] = "",
    length: Annotated[str, typer.Option("--length", metavar="SIZE", help="Length of the finished stave.")] = "",
    species: options.Species = "",
    pattern: Annotated[str, typer.Option("--pattern", help="matched: all four alike.")] = "matched",
    best: Annotated[int, typer.Option("--best", metavar="K", min=1, max=50, help="How many sets to show.")] = 3,
    band: Annotated[str, typer.Option("--band", metavar="POINTS", help="How far moisture may lie apart.")] = "2",
    planing: Annotated[str, typer.Option("--planing", metavar="SIZE", help="Off each side, both faces.")] = "",
    all_: Annotated[bool, typer.Option("--all", help="Also blanks that are not ready but of known moisture.")] = False,
    why_not: Annotated[str, typer.Option("--why-not", metavar="MARK", help="Why a piece is not in the best.")] = "",
    keep: Annotated[int, typer.Option("--keep", metavar="N", min=0, help="Hold set N and its spare.")] = 0,
    as_: Annotated[str, typer.Option("--as", metavar="NAME", help="Under this name.")] = "",
    release: Annotated[str, typer.Option("--release", metavar="NAME", help="Let a held set go.")] = "",
    target: options.Target = "",
    on: options.AsOn = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """The best sets of four staves on hand, proven, with their reasons; the nearest misses, and why not.

    A cost of 100 is the wood of one stave. Nothing is written but with --keep.

    Example:  rick match --square 46mm --length 250mm --species cherry

    rick match --square "1 3/4 in" --length 10in --keep 1 --as "tall vase"
    """
    here = desk.current()
    if release:
        _release(release, note, dry_run)
        return
    sides, long = here.square(square), here.length(length)
    if sides is None or long is None:
        raise Misused("a match needs the finished stave.", hint="rick match --square 46mm --length 250mm")
    if sides[0].value != sides[1].value:
        raise Impossible(f'"{square}": a stave of a glued square block is as thick as it is wide.')
    if pattern not in PATTERNS:
        raise Unclear(f'no pattern is called "{pattern}".', hint=f"Known: {', '.join(PATTERNS)}.")
    if keep and not as_:
        raise Misused("a set to be kept needs a name.", hint='--keep 1 --as "tall vase"')
    from stock import measure

    question = Question(
        square_mm=sides[0].value,
        length_mm=long.value,
        species=species,
        band_pct=measure.percent(band).value,
        best=max(best, keep),
        unready=all_,
        planing_mm=here.length(planing, zero=True).value if planing else None,  # type: ignore[union-attr]
    )
    asked_on = here.asked_on(on)
    reckoning = Reckoning(here.facts(asked_on), target)
    other = here.ids([why_not])[0] if why_not else None
    chosen = candidates.choose(reckoning, question, other)
    kept = _keep(chosen, keep, as_, on, note, dry_run) if keep else None
    here.tell(document(chosen, kept), lambda: _lines(chosen, kept))
    if chosen.choice.sets:
        first = chosen.dryness[chosen.choice.sets[0].keys[0]].piece
        here.cautions(for_act("match", wood=first.wood.wood))


def _keep(chosen: Chosen, number: int, name: str, on: str, note: str, dry_run: bool) -> str:
    from stock.yard import keeping_sets

    here = desk.current()
    if number > len(chosen.choice.sets):
        raise Impossible(f"there is no set {number}; {len(chosen.choice.sets)} found.", hint="Look first: rick match.")
    wanted = chosen.choice.sets[number - 1]
    with here.writing("match --keep", note=note, dry_run=dry_run) as page:
        done = keeping_sets.keep(
            page,
            name=name,
            staves=wanted.keys,
            spare=wanted.spare,
            on=here.day(on or None),
            ask=chosen.question.plain(),
        )
    return done.name


def _release(name: str, note: str, dry_run: bool) -> None:
    from stock.yard import keeping_sets

    here = desk.current()
    with here.writing("match --release", note=note, dry_run=dry_run) as page:
        done = keeping_sets.release(page, name=name)
    marks = [*done.staves, *([done.spare] if done.spare else [])]
    here.tell({"released": done.name, "pieces": marks}, lambda: [f'Released "{done.name}": {", ".join(marks)}.'])


def document(chosen: Chosen, kept: str | None = None) -> dict[str, Any]:
    """The document of `rick match --json`."""
    ask, question, choice = chosen.ask, chosen.question, chosen.choice
    return {
        "project": {
            "square_mm": question.square_mm,
            "length_mm": question.length_mm,
            "species": question.species or None,
            "woods": chosen.woods or None,
            "pattern": "matched",
            "band_pct": question.band_pct,
            "target_pct": ask.target_pct,
            "planing_mm": ask.planing_mm,
            "kerf_mm": ask.kerf_mm,
            "on": ask.on,
        },
        "sets": [_set(chosen, one) for one in choice.sets],
        "proven_best": choice.proven_best,
        "candidates": choice.candidates,
        "of": choice.of,
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
        "best_miss": {**_set(chosen, choice.best_miss.stave_set), "excess_pct": choice.best_miss.excess_pct}
        if choice.best_miss
        else None,
        "why_not": _why_not(chosen.why_not) if chosen.why_not else None,
        "kept_as": kept,
    }


def _set(chosen: Chosen, one: StaveSet) -> dict[str, Any]:
    return {
        "cost": one.cost_points,
        "staves": [_stave(chosen, key, corner) for corner, key in enumerate(one.keys, 1)],
        "spare": one.spare,
        "terms": one.terms,
        "guessed": list(one.guessed),
        "spread_pct": one.spread_pct,
        "matched": one.matched,
        "warnings": list(one.warnings),
        "equally_good": one.equally_good,
    }


def _stave(chosen: Chosen, key: str, corner: int) -> dict[str, Any]:
    blank, dryness = chosen.blanks[key], chosen.dryness[key]
    return {
        "mark": key,
        "tag": dryness.piece.tag or None,
        "corner": corner,
        "turn_deg": None,
        "species": dryness.piece.wood.scientific,
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
        "place": dryness.piece.place,
    }


def _why_not(reason: WhyNot) -> dict[str, Any]:
    return {
        "mark": reason.key,
        "failed": [{"reason": f.reason, "text": f.text} for f in reason.failed],
        "best_with_it": reason.with_it.cost_points if reason.with_it else None,
        "extra_cost": reason.extra_points,
        "differs": reason.differs,
    }


def _lines(chosen: Chosen, kept: str | None) -> Iterator[str]:
    choice, question = chosen.choice, chosen.question
    words = question.species or "any one wood"
    meant = f"; {words} here is {chosen.woods}" if question.species and chosen.woods not in ("", words) else ""
    yield (
        f"Staves {both_lengths(question.square_mm)} square, {both_lengths(question.length_mm)} long, of {words}{meant}."
    )
    yield f"{choice.candidates} of {choice.of} blanks qualify. Moisture in % of dry mass."
    for number, one in enumerate(choice.sets, 1):
        yield from _set_lines(chosen, number, one)
    if not choice.sets:
        yield from _no_set(chosen)
    if choice.rejected:
        counted = [
            f"{r.count} {reason} ({r.alone} for that alone)" if r.alone else f"{r.count} {reason}"
            for reason, r in choice.rejected.items()
        ]
        yield from wrapped(f"Not taken: {', '.join(counted)}")
    if choice.near_misses:
        yield from wrapped("Nearly: " + "; ".join(f"{m.key} {m.shortfall}" for m in choice.near_misses[:4]))
    if chosen.why_not:
        yield from _why_not_lines(chosen.why_not)
    if kept:
        yield f'Held as "{kept}".'
    elif choice.sets:
        yield 'Weigh all five before milling. Keep one: rick match ... --keep 1 --as "tall vase"'


def _set_lines(chosen: Chosen, number: int, one: StaveSet) -> Iterator[str]:
    proof = "; no set of four is cheaper" if number == 1 else ""
    equal = f"; {one.equally_good} others cost the same" if one.equally_good else ""
    name = "SET" if one.matched else "SET (not matched)"
    scale = " (100 = the wood of one stave)" if number == 1 else ""
    yield f"{name} {number}   cost {one.cost_points:.0f}{scale}{proof}{equal}"
    columns = [Column("mark"), Column("part"), Column("along log", right=True), Column("rings"), Column("moisture")]
    columns += [Column("cut from"), Column("where", may_shrink=True)]
    rows = [
        (
            key,
            (blank := chosen.blanks[key]).part or "-",
            write_length(blank.along_mm, _unit()) if blank.along_mm is not None else "-",
            _rings(blank),
            moisture_of(chosen.dryness[key]),
            _cut_from(chosen, blank),
            chosen.dryness[key].piece.place or "-",
        )
        for key in one.keys
    ]
    width = screen_width()
    yield from (f"  {line}" for line in table(columns, rows, width - 2 if width else None))
    told = [f"{points:.0f} {term}" for term, points in one.terms.items() if points >= 0.5]
    agree = [term for term, points in one.terms.items() if points == 0]
    praise = f"; {', '.join(agree)} agree" if agree else ""
    yield from wrapped(f"{', '.join(told) or 'nothing speaks against it'}{praise}", 2)
    if one.guessed:
        yield f"  partly guessed, because not told of a blank: {', '.join(one.guessed)}"
    yield from (f"  {warning}" for warning in one.warnings)
    yield f"  spare: {one.spare or 'none goes with all four'}"


def _unit() -> str:
    return desk.current().unit("length") or "mm"


def _rings(blank: Blank) -> str:
    if blank.ring_deg is None:
        return "-"
    return "flat" if blank.ring_deg < 30 else "rift" if blank.ring_deg < 60 else "quarter"


def _cut_from(chosen: Chosen, blank: Blank) -> str:
    side = min(blank.width_mm, blank.thickness_mm)
    over = blank.usable_length_mm - chosen.ask.cut_mm
    unit = _unit()
    bare = write_length(side, unit).removesuffix(unit).strip()
    return f"{bare} x {write_length(blank.usable_length_mm, unit)}, {write_length(over, unit)} over"


def _no_set(chosen: Chosen) -> Iterator[str]:
    choice = chosen.choice
    if choice.best_miss:
        miss = choice.best_miss
        yield (
            f"No four are sure to lie within {chosen.question.band_pct:g} points of moisture. Nearest:"
            f" {' '.join(miss.stave_set.keys)}, {miss.excess_pct:.1f} points beyond the band,"
            " their uncertainty counted."
        )
        yield "Let them lie together until they agree, weigh again; or ask with a wider --band."
    else:
        yield f"No set: it takes four blanks of one wood, and {choice.candidates} qualify."


def _why_not_lines(reason: WhyNot) -> Iterator[str]:
    for fail in reason.failed:
        yield f"{reason.key} is not taken: {fail.reason}, {fail.text}"
    if reason.with_it and reason.extra_points is not None:
        if reason.extra_points <= 0:
            yield f"{reason.key} is in the best set, or in one as good."
            return
        parts = ", ".join(f"{points:+.0f} {term}" for term, points in reason.differs.items() if abs(points) >= 0.5)
        yield f"the best set with {reason.key} costs {reason.extra_points:.0f} more: {parts}"
        yield f"  {' '.join(reason.with_it.keys)}"
