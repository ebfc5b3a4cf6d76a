"""glue, reverse: four staves become a block; the block is split, its staves turned about, and glued again."""

import re
from collections.abc import Iterator, Sequence
from typing import Annotated

import typer

from stock.cli import desk, options
from stock.cli.about import about
from stock.cli.printing import Column, age, moisture, screen_width, table
from stock.cli.telling import tell, way_to_insist, when
from stock.errors import Unclear
from stock.survey import answers
from stock.survey.blocks import StaveMoisture
from stock.typed import Typed
from stock.wood.cautions import for_act
from stock.yard.gluing import STAVES, Glued, Gluing, Reversed
from stock.yard.making import Measures

Joint = Annotated[str, typer.Option("--joint", metavar="JOINT", help="paper, ends or full.")]
Glue = Annotated[str, typer.Option("--glue", metavar="TEXT", help="Which glue.")]
Clamp = Annotated[str, typer.Option("--clamp", metavar="HOURS", help="Hours in the clamps.")]
Wait = Annotated[str, typer.Option("--wait", metavar="DAYS", help="Days of rest, by the glue's own sheet.")]


def glue(
    staves: Annotated[list[str] | None, typer.Argument(metavar="STAVE...", help="Four, in order of corners.")] = None,
    set_: Annotated[str, typer.Option("--set", metavar="NAME", help="The four of a held set.")] = "",
    joint: Joint = "paper",
    glue_: Glue = "",
    paper: Annotated[str, typer.Option("--paper", metavar="TEXT", help="Which paper.")] = "",
    clamp: Clamp = "",
    wait: Wait = "",
    inward: Annotated[
        str, typer.Option("--inward", metavar="LIST", help="Corner of each stave at the middle: 1+3+1+3.")
    ] = "",
    square: Annotated[str, typer.Option("--square", metavar="SIZE", help="Side of the block.")] = "",
    length: Annotated[str, typer.Option("--length", metavar="SIZE", help="Length of the block.")] = "",
    tag: Annotated[str, typer.Option("--tag", metavar="TEXT", help="Your own name for the block.")] = "",
    insist: options.Insist = False,
    on: options.On = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Glue four staves into a block. Corners are counted anticlockwise, seen from the butt end.

    A blank that gives two staves is named twice. The corners of a stave are 1 between its faces A and B, 2 between B
    and C, 3 between C and D, 4 between D and A.

    Example:  rick glue 231B 236G 232C 237H --joint paper --glue "white glue" --wait 1

    rick glue --set "tall vase" --inward 1+3+1+3
    """
    from stock.yard import gluing

    here = desk.current()
    on_day = here.day(on)
    with about(tag or set_ or " ".join(staves or ())):
        sides, long = here.square(square), here.length(length)
        how = Gluing(joint.strip().lower(), glue_, paper, _number(clamp, "hours"), _number(wait, "days"))
        corners = _corners(inward)
    size = Measures(length=long, width=sides[0] if sides else None, thickness=sides[1] if sides else None)
    with here.writing("glue", note=note, dry_run=dry_run) as page, way_to_insist():
        done = gluing.glue(
            page,
            on=on_day,
            how=how,
            staves=staves or (),
            set_name=set_,
            corners_in=corners,
            size=size,
            tag=tag,
            insist=insist,
        )
        reckoning, ids = here.reckoning(page, [one.mark for one in done.staves], on_day.last)
    kinds = {d.kind for piece_id in ids for d in reckoning.pieces[piece_id].defects}
    tell(
        {
            "mark": done.mark,
            "joint": how.joint,
            "staves": [answers.stave(one) for one in done.staves],
            "spread_pct": done.spread_pct,
            "matched": done.matched,
            "set": done.set_name,
            "spare": done.spare,
        },
        lambda: _glued_lines(done, how, when(on_day)),
        on=on_day,
        dry_run=dry_run,
        warnings=done.warnings,
        cautions=for_act("glue", wood=reckoning.pieces[ids[0]].wood.wood, how=how.joint, kinds=kinds),
        verb="glue",
    )


def reverse(
    block: Annotated[str, typer.Argument(metavar="BLOCK", help="Its mark or tag.")],
    joint: Joint = "full",
    glue_: Glue = "",
    clamp: Clamp = "",
    wait: Wait = "",
    split_on: Annotated[str, typer.Option("--split-on", metavar="DATE", help="When it was split.")] = "",
    made: Annotated[str, typer.Option("--made", metavar="TEXT", help="What it is to be.")] = "",
    insist: options.Insist = False,
    on: options.On = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Record that a block was split at its joints, each stave turned half about on its axis, and glued again.

    Example:  rick reverse B7H --glue "white glue" --wait 1            rick reverse B7H --split-on yesterday
    """
    from stock.yard import gluing

    here = desk.current()
    on_day = here.day(on)
    with about(block):
        how = Gluing(joint.strip().lower(), glue_, "", _number(clamp, "hours"), _number(wait, "days"))
        split_day = here.day(split_on) if split_on else None
    with here.writing("reverse", note=note, dry_run=dry_run) as page, way_to_insist():
        done = gluing.reverse(
            page, block=block, on=on_day, how=how, split_on=split_day, made=made.strip(), insist=insist
        )
    tell(
        {"mark": done.mark, "joint": how.joint, "days_glued": done.days_glued},
        lambda: _reversed_lines(done, how, when(on_day)),
        on=on_day,
        dry_run=dry_run,
        warnings=done.warnings,
        cautions=for_act("reverse", how=how.joint),
        verb="reverse",
    )


def _corners(text: str) -> tuple[int, ...]:
    if not text:
        return ()
    words = [word.strip() for word in text.split("+")]
    if len(words) != STAVES or not all(word in ("1", "2", "3", "4") for word in words):
        raise Unclear(f'"{text}": four corners, each 1 to 4, are wanted.', hint="Write 1+3+1+3.")
    return tuple(int(word) for word in words)


def _number(text: str, what: str) -> Typed | None:
    """A bare count of hours or days."""
    plain = re.sub(r"\s*(h|hours?|d|days?)$", "", text.strip().lower())
    if not plain:
        return None
    try:
        return Typed(float(plain.replace(",", ".")), text)
    except ValueError:
        raise Unclear(f'"{text}" is no number of {what}.', hint=f"Give {what} as a number: 12.") from None


def stave_lines(staves: Sequence[StaveMoisture]) -> Iterator[str]:
    """The staves of a block, corner by corner."""
    columns = (Column("corner"), Column("mark"), Column("moisture"), Column("weighed", right=True), Column("inward"))
    rows = [
        (
            str(one.corner),
            one.mark,
            moisture(one.mc_pct, one.mc_low_pct or 0, one.mc_high_pct or 0) if one.mc_pct is not None else "-",
            age(one.days_ago),
            str(one.corner_in or "-"),
        )
        for one in staves
    ]
    width = screen_width()
    yield from (f"  {line}" for line in table(columns, rows, width - 2 if width else None))


def _glued_lines(done: Glued, how: Gluing, on: str) -> Iterator[str]:
    given = "held set " if done.set_name else ""
    name = f' ({given}"{done.set_name}")' if done.set_name else ""
    kind = {"paper": "paper in every joint", "ends": "glue at the ends only", "full": "glued for good"}[how.joint]
    yield f"{done.mark}  glued from {', '.join(one.mark for one in done.staves)}{name}: {kind}{on}"
    yield from stave_lines(done.staves)
    if done.spread_pct is not None:
        yield f"moisture {done.spread_pct:.1f} points apart" + ("" if done.matched else ": not matched")
    if done.spare:
        yield f"spare {done.spare} is free again"
    yield f"The staves are used now. Turned, split and reversed: rick reverse {done.mark}"


def _reversed_lines(done: Reversed, how: Gluing, on: str) -> Iterator[str]:
    days = f" after {done.days_glued} days" if done.days_glued is not None else ""
    yield f"{done.mark}  split{days}, its staves turned about, and glued again{on}: {how.joint}"
    yield "Done with it: rick out " + f'{done.mark} --as used --why "..."'
