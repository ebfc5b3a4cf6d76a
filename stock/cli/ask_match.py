"""match: the best four staves for a block, placed, and why; the nearest misses, and why not; what waiting brings."""

import time
from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stock.cli import desk, options
from stock.errors import Impossible, Misused, Unclear, Unknown
from stock.survey import candidates
from stock.survey.candidates import Question
from stock.survey.courses import Reckoning
from stock.wood.cautions import for_act
from stock.wood.patterns import PART, PATTERNS

if TYPE_CHECKING:
    from stock.survey.choosing import Chosen
    from stock.wood.plan import Standing

PATIENCE_S = 1.0  # a plan that takes longer says how far it has come


def match(
    square: Annotated[str, typer.Option("--square", metavar="SIZE", help="Side of the finished stave.")] = "",
    length: Annotated[str, typer.Option("--length", metavar="SIZE", help="Length of the finished stave.")] = "",
    form: Annotated[str, typer.Option("--form", metavar="DIAxLEN", help="Or the finished form, as in rick size.")] = "",
    species: options.Species = "",
    pattern: Annotated[str, typer.Option("--pattern", help="matched, alternating or halves.")] = "",
    by: Annotated[str, typer.Option("--by", metavar="KIND", help="What alternates: part, figure or a trait.")] = "",
    or_larger: Annotated[bool, typer.Option("--or-larger", help="As large a square as the four allow.")] = False,
    per_blank: Annotated[int, typer.Option("--per-blank", metavar="N", help="Staves that one blank may give.")] = 0,
    blocks: Annotated[int, typer.Option("--blocks", metavar="M", help="For so many blocks at once.")] = 0,
    show: Annotated[str, typer.Option("--show", metavar="PART", help="heart or sap, to be seen outside.")] = "",
    end_for_end: Annotated[bool, typer.Option("--end-for-end", help="Staves may be turned end for end.")] = False,
    best: Annotated[int, typer.Option("--best", metavar="K", min=1, max=50, help="How many sets to show.")] = 3,
    band: Annotated[str, typer.Option("--band", metavar="POINTS", help="How far moisture may lie apart.")] = "",
    planing: Annotated[str, typer.Option("--planing", metavar="SIZE", help="Off each side, both faces.")] = "",
    all_: Annotated[bool, typer.Option("--all", help="Also blanks that are not ready but of known moisture.")] = False,
    why_not: Annotated[str, typer.Option("--why-not", metavar="MARK", help="Why a piece is not in the best.")] = "",
    keep: Annotated[int, typer.Option("--keep", metavar="N", min=0, help="Hold set N and its spare.")] = 0,
    as_: Annotated[str, typer.Option("--as", metavar="NAME", help="Under this name.")] = "",
    release: Annotated[str, typer.Option("--release", metavar="NAME", help="Let a held set go.")] = "",
    save: Annotated[str, typer.Option("--save", metavar="NAME", help="Keep this question as a project.")] = "",
    project: Annotated[str, typer.Option("--project", metavar="NAME", help="Ask a kept question again.")] = "",
    target: options.Target = "",
    on: options.AsOn = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """The best sets of four staves on hand, proven, with their reasons; the nearest misses, and why not.

    A cost of 100 is the wood of one stave. Nothing is written but with --keep, --save and --release.

    Example:  rick match --square 46mm --length 250mm --species cherry --pattern alternating

    rick match --square "1 3/4 in" --length 10in --keep 1 --as "tall vase"

    rick match --form "4in x 9in" --blocks 3 --save ornaments            rick match --project ornaments
    """
    here = desk.current()
    if release:
        _release(release, note, dry_run)
        return
    if keep and not as_:
        raise Misused("a set to be kept needs a name.", hint='--keep 1 --as "tall vase"')
    told: dict[str, Any] = {
        "species": species,
        "pattern": pattern.strip().lower(),
        "by": by.strip().lower(),
        "per_blank": per_blank,
        "blocks": blocks,
        "show": show.strip().lower(),
        "or_larger": or_larger,
        "end_for_end": end_for_end,
        "unready": all_,
        **_sizes(square, length, form),
        **_measures(band, planing),
    }
    question = _question(project, told, max(best, keep))
    asked_on = here.asked_on(on)
    reckoning = Reckoning(here.facts(asked_on), target or (f"{question.target_pct:g}" if question.target_pct else ""))
    if target:
        question = _with(question, target_pct=reckoning.target.mc_pct)
    other = here.ids([why_not])[0] if why_not else None
    from stock.cli.match_documents import document
    from stock.cli.match_lines import lines
    from stock.survey import choosing

    chosen = choosing.choose(reckoning, question, other, clock=time.monotonic, progress=_progress())
    kept = _keep(chosen, keep, as_, project, on, note, dry_run) if keep else None
    saved = _save(chosen, save, on, note, dry_run) if save else None
    here.tell(document(chosen, kept, saved), lambda: lines(chosen, kept, saved))
    if chosen.sets:
        first = chosen.dryness[chosen.sets[0].keys[0]].piece
        here.cautions(for_act("match", wood=first.wood.wood))


def _sizes(square: str, length: str, form: str) -> dict[str, float]:
    """The finished stave, mm, as typed or from the finished form; nothing that was not given."""
    here = desk.current()
    if form:
        if square or length:
            raise Misused("--form and --square or --length at once.", hint="Give the form, or the stave.")
        from stock.wood.forms import Allowances, stave_length, stave_side_mm

        across, _, long = form.lower().replace("×", "x").partition("x")
        diameter, finished = here.length(across.strip()), here.length(long.strip())
        if diameter is None or finished is None:
            raise Unclear(f'"{form}" is no form.', hint='Write its diameter and its length: --form "4in x 9in"')
        return {
            "square_mm": stave_side_mm(diameter.value),
            "length_mm": stave_length(finished.value, Allowances()).mm,
        }
    sides, stave = here.square(square), here.length(length)
    if sides and sides[0].value != sides[1].value:
        raise Impossible(f'"{square}": a stave of a glued square block is as thick as it is wide.')
    found = {"square_mm": sides[0].value} if sides else {}
    return found | ({"length_mm": stave.value} if stave else {})


def _measures(band: str, planing: str) -> dict[str, float]:
    from stock import measure

    here = desk.current()
    found = {"band_pct": measure.percent(band).value} if band else {}
    off = here.length(planing, zero=True) if planing else None
    return found | ({"planing_mm": off.value} if off else {})


def _question(project: str, told: dict[str, Any], best: int) -> Question:
    """What was typed, over what the project keeps."""
    plain: dict[str, Any] = _kept_question(project) if project else {}
    plain |= {name: value for name, value in told.items() if value or name in ("planing_mm", "band_pct")}
    if "square_mm" not in plain or "length_mm" not in plain:
        raise Misused("a match needs the finished stave.", hint="rick match --square 46mm --length 250mm")
    if plain.get("pattern", "matched") not in PATTERNS:
        raise Unclear(f'no pattern is called "{plain["pattern"]}".', hint=f"Known: {', '.join(PATTERNS)}.")
    if told["by"] and plain.get("pattern", "matched") == "matched":
        raise Misused("--by says what alternates, and nothing does.", hint=f"--pattern alternating --by {PART}")
    if plain.get("show", "") not in ("", "heart", "sap"):
        raise Unclear(f'a block cannot show "{plain["show"]}".', hint="Known: heart, sap.")
    if plain.get("blocks", 1) < 1:
        raise Impossible(f"{plain['blocks']} blocks cannot be asked for.", hint="Ask for one or more.")
    return candidates.question_of({**plain, "best": best})


def _with(question: Question, **changed: Any) -> Question:
    return candidates.question_of({**question.plain(), "best": question.best, **changed})


def _kept_question(name: str) -> dict[str, Any]:
    from stock.book.held import projects
    from stock.book.naming import fold

    with desk.current().reading() as connection:
        known = projects(connection)
    found = next((ask for title, ask in known.items() if fold(title) == fold(name)), None)
    if found is None:
        names = ", ".join(f'"{title}"' for title in known) or "none"
        raise Unknown(f'no project is kept as "{name}".', hint=f"Known: {names}.", code="unknown-project")
    return dict(found)


def _progress() -> Callable[["Standing"], None]:
    """A line on stderr when a plan takes more than a second, and then every second."""
    here = desk.current()
    last = time.monotonic()

    def told(standing: "Standing") -> None:
        nonlocal last
        if time.monotonic() - last > PATIENCE_S:
            last = time.monotonic()
            here.say(f"planning: {standing.blocks} blocks so far ...")

    return told


def _keep(chosen: "Chosen", number: int, name: str, project: str, on: str, note: str, dry_run: bool) -> str:
    from stock.yard import keeping_sets
    from stock.yard.keeping_sets import StaveKept

    here = desk.current()
    if number > len(chosen.sets):
        raise Impossible(f"there is no set {number}; {len(chosen.sets)} found.", hint="Look first: rick match.")
    wanted, placed = chosen.sets[number - 1], chosen.placed[number - 1]
    cut = dict(zip(placed.pieces, wanted.staves, strict=True))
    with here.writing("match --keep", note=note, dry_run=dry_run) as page:
        done = keeping_sets.keep(
            page,
            name=name,
            staves=[
                StaveKept(
                    placed.pieces[one.key].mark,
                    one.turn_deg,
                    one.flipped,
                    cut[one.key].from_butt_mm,
                    chosen.ask.length_mm,
                )
                for one in placed.arrangement.staves
            ],
            spare=wanted.spare,
            on=here.day(on or None),
            ask=_with(chosen.question, square_mm=wanted.square_mm, or_larger=False).plain(),
            project=project,
        )
    return done.name


def _save(chosen: "Chosen", name: str, on: str, note: str, dry_run: bool) -> str:
    from stock.yard import keeping_sets

    here = desk.current()
    with here.writing("match --save", note=note, dry_run=dry_run) as page:
        return keeping_sets.save(page, name=name, ask=chosen.question.plain(), on=here.day(on or None)).name


def _release(name: str, note: str, dry_run: bool) -> None:
    from stock.yard import keeping_sets

    here = desk.current()
    with here.writing("match --release", note=note, dry_run=dry_run) as page:
        done = keeping_sets.release(page, name=name)
    marks = [*done.staves, *([done.spare] if done.spare else [])]
    here.tell({"released": done.name, "pieces": marks}, lambda: [f'Released "{done.name}": {", ".join(marks)}.'])
