"""seal, trim, plane, treat: what is done to a piece that stays itself."""

from contextlib import nullcontext
from typing import Annotated

import typer

from stock import measure
from stock.cli import desk, options
from stock.cli.about import about
from stock.cli.many import pieces_of, whole
from stock.cli.shape_lines import dryness, moisture_document, planed_lines, sealed_lines, treated_lines, trimmed_lines
from stock.cli.telling import tell, way_to_insist
from stock.errors import Misused
from stock.wood.cautions import for_act
from stock.yard import coating, shaping

Piece = Annotated[str, typer.Argument(metavar="PIECE", help="Its mark or tag.")]
Before = Annotated[str, typer.Option("--before", metavar="WEIGHT", help="Its weight just before.")]
After = Annotated[str, typer.Option("--after", metavar="WEIGHT", help="Its weight just after, on the same scales.")]
Scales = Annotated[str, typer.Option("--scales", metavar="NAME", help="On which scales.")]


def seal(
    pieces: Annotated[list[str], typer.Argument(metavar="PIECE...", help="Marks or tags; 214-253 is a range.")],
    ends: Annotated[bool, typer.Option("--ends", help="The ends (so it is without a word).")] = False,
    all_: Annotated[bool, typer.Option("--all", help="All over.")] = False,
    face: Annotated[bool, typer.Option("--face", help="A face, as over a knot or crotch.")] = False,
    off: Annotated[bool, typer.Option("--off", help="The coat was taken off.")] = False,
    coat: Annotated[str, typer.Option("--coat", metavar="KIND", help="What was put on.")] = "wax emulsion",
    coats: Annotated[str, typer.Option("--coats", metavar="N", help="How many times.")] = "1",
    before: Before = "",
    after: Annotated[str, typer.Option("--after", metavar="WEIGHT", help="Its weight with the coat.")] = "",
    wet: Annotated[bool, typer.Option("--wet", help="The coat was still wet when it was weighed.")] = False,
    scales: Scales = "",
    insist: options.Insist = False,
    on: options.On = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Coat the ends of pieces, or all of them, or take the coat off. The coat never counts as wood.

    Example:  rick seal 214-225 --coats 2            rick seal 214H --before 812g --after 818g --wet

    rick seal K-1 K-2 --all --coat "melted wax"
    """
    chosen = [where for where, told in (("ends", ends), ("all", all_), ("face", face)) if told]
    if len(chosen) > 1:
        raise Misused(f"--{' and --'.join(chosen)} at once.", hint="Coat one after the other.")
    here = desk.current()
    with about(" ".join(pieces)) if len(pieces) == 1 else nullcontext():
        weights, on_day = (here.mass(before), here.mass(after)), here.day(on)
    times, asked = whole(coats, "coats"), pieces_of(pieces)
    where = chosen[0] if chosen else "ends"
    with here.writing("seal", note=note, dry_run=dry_run) as page, way_to_insist():
        done = coating.seal(
            page,
            pieces=asked,
            on=on_day,
            where=where,
            coat=coat,
            coats=times,
            before=weights[0],
            after=weights[1],
            after_is="wet" if wet else "dry",
            off=off,
            scales=scales,
            insist=insist,
        )
    tell(
        {
            "pieces": list(done.marks),
            "off": done.off,
            "where": done.where,
            "coat": None if off else done.coat,
            "coats": None if off else done.coats,
            "before_g": done.before_g,
            "after_g": done.after_g,
            "coat_g": done.coat_g,
        },
        lambda: sealed_lines(done, on_day, wet=wet, stored=not dry_run),
        on=on_day,
        dry_run=dry_run,
        warnings=done.warnings,
        cautions=() if off else for_act("seal", coat=coat),
        verb="seal",
    )


def trim(
    piece: Piece,
    before: Before = "",
    after: After = "",
    length: Annotated[str, typer.Option("--length", metavar="SIZE", help="Its new length.")] = "",
    butt_off: Annotated[str, typer.Option("--butt-off", metavar="SIZE", help="What came off the butt end.")] = "",
    top_off: Annotated[str, typer.Option("--top-off", metavar="SIZE", help="What came off the top end.")] = "",
    scales: Scales = "",
    insist: options.Insist = False,
    on: options.On = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Cut something off the ends of a piece. The weights before and after carry its dry mass over the cut.

    Example:  rick trim 214H --before 500g --after 424g --length 280mm

    rick trim 214H --butt-off 1 1/2 in
    """
    here = desk.current()
    with about(piece):
        weights = (here.mass(before), here.mass(after))
        new, butt, top, on_day = here.length(length), here.length(butt_off), here.length(top_off), here.day(on)
    with here.writing("trim", note=note, dry_run=dry_run) as page, way_to_insist():
        was = dryness(page, piece)
        done = shaping.trim(
            page,
            piece=piece,
            on=on_day,
            before=weights[0],
            after=weights[1],
            length=new,
            butt_off=butt,
            top_off=top,
            scales=scales,
            insist=insist,
        )
        now = dryness(page, done.mark)
    tell(
        {
            "mark": done.mark,
            "before_g": done.before_g,
            "after_g": done.after_g,
            "length_before_mm": done.length_before_mm,
            "length_mm": done.length_after_mm,
            "agree": done.agree,
            "defects": list(done.defects),
            **moisture_document(was, now),
        },
        lambda: trimmed_lines(done, was, now, on_day, stored=not dry_run),
        on=on_day,
        dry_run=dry_run,
        warnings=done.warnings,
        cautions=for_act("trim", wood=now.piece.wood.wood),
        verb="trim",
    )


def plane(
    piece: Piece,
    square: Annotated[str, typer.Option("--square", metavar="SIZE", help="Its new square: 48mm, 48x47mm.")] = "",
    before: Before = "",
    after: After = "",
    turned: Annotated[bool, typer.Option("--turned", help="It was turned, not planed.")] = False,
    scales: Scales = "",
    insist: options.Insist = False,
    on: options.On = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Plane a piece thinner, or turn it. The weights before and after carry its dry mass over the cut.

    Example:  rick plane 214H --square 48x47mm --before 424g --after 371g

    rick plane 214H --turned --before 424g --after 330g
    """
    here = desk.current()
    with about(piece):
        weights, sides, on_day = (here.mass(before), here.mass(after)), here.square(square), here.day(on)
    with here.writing("plane", note=note, dry_run=dry_run) as page, way_to_insist():
        was = dryness(page, piece)
        done = shaping.plane(
            page,
            piece=piece,
            on=on_day,
            width=sides[0] if sides else None,
            thickness=sides[1] if sides else None,
            before=weights[0],
            after=weights[1],
            turned=turned,
            scales=scales,
            insist=insist,
        )
        now = dryness(page, done.mark)
    tell(
        {
            "mark": done.mark,
            "turned": done.turned,
            "before_g": done.before_g,
            "after_g": done.after_g,
            "width_before_mm": done.width_before_mm,
            "thickness_before_mm": done.thickness_before_mm,
            "width_mm": done.width_mm,
            "thickness_mm": done.thickness_mm,
            "agree": done.agree,
            **moisture_document(was, now),
        },
        lambda: planed_lines(done, was, now, on_day, stored=not dry_run),
        on=on_day,
        dry_run=dry_run,
        warnings=done.warnings,
        cautions=for_act("plane", wood=now.piece.wood.wood),
        verb="plane",
    )


def treat(
    piece: Piece,
    how: Annotated[
        str, typer.Option("--how", metavar="HOW", help="bark off, soak, boil, steam, glycol, resin or spalt.")
    ],
    before: Before = "",
    after: After = "",
    loss: Annotated[str, typer.Option("--loss", metavar="PCT", help="Dry wood lost by spalting, if known.")] = "",
    scales: Scales = "",
    insist: options.Insist = False,
    on: options.On = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Say what was done to the wood of a piece: bark off, soaked, boiled, steamed, glycol, resin, left to spalt.

    Example:  rick treat 12N --how "bark off" --before 9.8kg --after 8.9kg

    rick treat 214H --how spalt --loss 8%
    """
    here = desk.current()
    with about(piece):
        weights, on_day = (here.mass(before), here.mass(after)), here.day(on)
        lost = measure.percent(loss) if loss else None
    with here.writing("treat", note=note, dry_run=dry_run) as page, way_to_insist():
        was = dryness(page, piece)
        done = coating.treat(
            page,
            piece=piece,
            on=on_day,
            how=how,
            before=weights[0],
            after=weights[1],
            loss=lost,
            scales=scales,
            insist=insist,
        )
        now = dryness(page, done.mark)
    tell(
        {
            "mark": done.mark,
            "how": done.how,
            "before_g": done.before_g,
            "after_g": done.after_g,
            "loss_pct": done.loss_pct,
            **moisture_document(was, now),
        },
        lambda: treated_lines(done, was, now, on_day, stored=not dry_run),
        on=on_day,
        dry_run=dry_run,
        warnings=done.warnings,
        cautions=for_act("treat", wood=now.piece.wood.wood, how=how),
        verb="treat",
    )
