"""fell, add: wood that comes onto the book, from a tree that came down or from elsewhere."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any

import typer

from stock import measure
from stock.cli import desk, options
from stock.cli.lifting import heaviest_kg
from stock.cli.printing import harmless, size_words, title
from stock.cli.telling import tell, when
from stock.dates import When
from stock.errors import Misused
from stock.wood import species as woods
from stock.wood.cautions import for_act
from stock.yard import felling
from stock.yard.felling import Added, Felled
from stock.yard.in_hand import Held, at, hold

AS_SAID = {"certain": "certain", "probable": "as told", "guess": "a guess", "unknown": "not sure"}

Sure = Annotated[str, typer.Option("--sure", metavar="HOW", help="certain, probable, guess or unknown.")]
By = Annotated[str, typer.Option("--by", metavar="NAME", help="Who says what wood it is.")]
Evidence = Annotated[str, typer.Option("--evidence", metavar="TEXT", help="From what: leaf, bark, fruit, ...")]
Tag = Annotated[str, typer.Option("--tag", metavar="NAME", help="A name of your own.")]


@dataclass(frozen=True, slots=True)
class Fallen:
    """A tree as the person tells of it. What was not said is empty, or None."""

    on: When
    species: str = ""
    sure: str = ""
    by: str = ""
    evidence: str = ""
    how: str = ""
    alive: bool | None = None
    site: str = ""
    got_from: str = ""
    promise: str = ""
    limb: str = ""
    tag: str = ""


def fell(
    species: options.Species = "",
    how: Annotated[str, typer.Option("--how", help="storm, removal, pruning or other.")] = "",
    alive: Annotated[bool | None, typer.Option("--alive/--dead", help="How it stood before.")] = None,
    sure: Sure = "",
    by: By = "",
    evidence: Evidence = "",
    site: Annotated[str, typer.Option("--site", metavar="TEXT", help="Where it stood.")] = "",
    from_: Annotated[str, typer.Option("--from", metavar="NAME", help="Who gave it.")] = "",
    promise: Annotated[str, typer.Option("--promise", metavar="TEXT", help="What was promised for it.")] = "",
    limb: Annotated[str, typer.Option("--limb", metavar="TEXT", help="What of it is here: trunk, north limb.")] = "",
    tag: Tag = "",
    on: options.On = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Record a tree that fell or was felled. Without words it asks along.

    The wood may be "unknown": weights and moisture work without a name.

    Example:  rick fell --species "black cherry" --on "spring 2024" --how storm

    rick fell --species unknown --dead --site "churchyard wall" --on 2025-11
    """
    told = (species, how, sure, by, evidence, site, from_, promise, limb, tag)
    if not any(told) and alive is None:
        from stock.cli.conversations import ask_of_tree

        ask_of_tree(on, note=note, dry_run=dry_run)
        return
    fallen = Fallen(desk.current().day(on), species, sure, by, evidence, how, alive, site, from_, promise, limb, tag)
    store(fallen, note=note, dry_run=dry_run)


def store(fallen: Fallen, *, note: str = "", dry_run: bool = False) -> None:
    """Put a tree on the book, and tell of it."""
    with desk.current().writing("fell", note=note, dry_run=dry_run) as page:
        done = felling.fell(
            page,
            species=fallen.species,
            on=fallen.on,
            how=fallen.how or "unknown",
            alive=fallen.alive,
            sure=fallen.sure or "probable",
            by_whom=fallen.by,
            evidence=fallen.evidence,
            site=fallen.site,
            got_from=fallen.got_from,
            promise=fallen.promise,
            limb_or_trunk=fallen.limb,
            tag=fallen.tag,
        )
    wood = woods.wood(done.wood.key) if done.wood.key else None
    tell(
        {
            "mark": done.mark,
            "tag": done.tag or None,
            "kind": "tree",
            "species": done.wood.scientific,
            "said": done.wood.said,
            "sure": done.wood.sure,
            "how": done.how,
            "alive": done.alive,
            "site": done.site or None,
        },
        lambda: felled_lines(done, fallen.by, stored=not dry_run),
        on=done.on,
        dry_run=dry_run,
        warnings=done.warnings,
        cautions=for_act("fell", wood=wood, how=done.how, days_since_fall=done.days_ago, site=done.site),
        verb="fell",
    )


def felled_lines(done: Felled, by: str, *, stored: bool) -> Iterator[str]:
    """The tree as it was understood, and the next step."""
    tag = f' "{done.tag}"' if done.tag else ""
    wood = done.wood
    if wood.key:
        sure = AS_SAID.get(wood.sure, wood.sure) + (f" by {by}" if by and wood.sure == "probable" else "")
        yield harmless(f"Tree {done.mark}{tag}: {wood.name} ({wood.scientific}), {sure}.")
    elif wood.name != "unknown":
        yield harmless(f"Tree {done.mark}{tag}: {wood.name}, a wood of your own figures.")
    else:
        yield harmless(f"Tree {done.mark}{tag}: wood unknown; weights and moisture work without a name.")
    stood = {True: ", stood alive", False: ", stood dead", None: ""}[done.alive]
    how = "" if done.how == "unknown" else f", {done.how}"
    site = f"; {done.site}" if done.site else ""
    yield harmless(f"Came down {at(done.on)}{how}{stood}{site}.")
    if stored:
        yield f"Next: rick cut {done.mark} --lengths 26in+26in+22in  (the logs get marks of their own)"


def add(
    kind: Annotated[str, typer.Option("--kind", metavar="KIND", help="log, billet, blank or offcut.")],
    species: options.Species = "",
    length: Annotated[str, typer.Option("--length", metavar="SIZE", help="Its length: 330mm, 13 in.")] = "",
    square: Annotated[str, typer.Option("--square", metavar="SIZE", help="Its square: 51mm, 52x50mm.")] = "",
    dia: Annotated[str, typer.Option("--dia", metavar="SIZE", help="Of a log: 12in, or butt and top 12in+11in.")] = "",
    part: options.Part = "",
    rings: Annotated[str, typer.Option("--rings", metavar="ANGLE", help="flat, rift, quarter or degrees.")] = "",
    tag: Tag = "",
    place: Annotated[str, typer.Option("--place", metavar="PLACE", help="Where it is; made if it is new.")] = "",
    origin: Annotated[str, typer.Option("--origin", metavar="TEXT", help="Where it came from.")] = "",
    surface: Annotated[str, typer.Option("--surface", metavar="HOW", help="rough or planed.")] = "",
    bark: Annotated[bool | None, typer.Option("--bark/--no-bark", help="Whether it has its bark.")] = None,
    role: Annotated[str, typer.Option("--role", metavar="ROLE", help="stock, sample or reference.")] = "stock",
    sure: Sure = "",
    by: By = "",
    evidence: Evidence = "",
    on: Annotated[str, typer.Option("--on", "--made", metavar="DATE", help="Made, or on hand from: 2021-05.")] = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Put a piece of unknown or outside origin on the book.

    Example:  rick add --kind blank --square 51mm --length 330mm --origin "a box at a sale"

    rick add --kind log --species "black cherry" --dia 12in+11in --length 26in
    """
    here = desk.current()
    on_day, long, sides = here.day(on), here.length(length), here.square(square)
    dias = here.lengths(dia)
    if len(dias) > 2:
        raise Misused(f'"{dia}": a piece has two ends.', hint="Give the butt end first: 12in+11in.")
    angle = measure.angle(rings) if rings else None
    with here.writing("add", note=note, dry_run=dry_run) as page:
        done = felling.add(
            page,
            kind=kind,
            on=on_day,
            species=species,
            sure=sure or "probable",
            by_whom=by,
            evidence=evidence,
            length=long,
            width=sides[0] if sides else None,
            thickness=sides[1] if sides else None,
            dia_butt=dias[0] if dias else None,
            dia_top=dias[-1] if dias else None,
            part=part or None,
            rings=angle,
            tag=tag,
            place=place,
            origin=origin,
            surface=surface or None,
            bark_on=bark,
            role=role,
        )
        held = hold(page, done.mark, on_day, "looked at", needs="nothing")
    act = "fell" if kind in ("log", "billet") else "add"  # a log from elsewhere has as much metal in it as one's own
    tell(
        _added_document(done, held),
        lambda: added_lines(held, on_day, stored=not dry_run),
        on=on_day,
        dry_run=dry_run,
        warnings=done.warnings,
        cautions=for_act(act, wood=held.piece.wood.wood, site=origin, mass_kg=heaviest_kg([held])),
        verb=act,
    )


def _added_document(done: Added, held: Held) -> dict[str, Any]:
    piece, size = held.piece, held.piece.size
    return {
        "mark": done.mark,
        "tag": done.tag or None,
        "kind": done.kind,
        "species": piece.wood.scientific,
        "said": done.wood.said,
        "sure": done.wood.sure,
        "length_mm": size.length_mm,
        "width_mm": size.width_mm,
        "thickness_mm": size.thickness_mm,
        "dia_butt_mm": size.dia_butt_mm,
        "dia_top_mm": size.dia_top_mm,
        "part": piece.look.part,
        "place": done.place or None,
    }


def added_lines(held: Held, on: When, *, stored: bool) -> Iterator[str]:
    """The piece as it was understood, in both systems, and the next step."""
    piece, unit = held.piece, desk.current().unit("length") or "mm"
    yield title(piece, unit) + when(on)
    if piece.size.length_mm or piece.size.width_mm or piece.size.dia_butt_mm:
        yield f"that is {size_words(piece.size, 'mm' if unit in ('in', 'ft') else 'in')}"
    if not stored:
        return
    if piece.role == "reference":
        yield f'Next: rick air "{piece.place or "shop"}" --block {piece.mark} --dry 101.5g'
    elif piece.kind == "log":
        yield f"Next: rick seal {piece.mark}, then rick split {piece.mark} or rick saw {piece.mark}"
    else:
        yield f"Next: rick weigh {piece.mark} ..."
