"""move, air, out: where pieces are, the air there, and what left the stock."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stock.cli import desk, options
from stock.cli.about import whole
from stock.cli.air_columns import Columns
from stock.cli.lifting import green_kg
from stock.cli.many import pieces_of
from stock.cli.place_lines import air_next, move_document, move_lines, out_document, out_lines
from stock.cli.printing import harmless
from stock.cli.telling import tell, way_to_insist, when
from stock.errors import Misused
from stock.survey.airs import cover_of
from stock.survey.courses import Reckoning
from stock.wood.cautions import for_act

if TYPE_CHECKING:
    from stock.book.journal import Page
    from stock.dates import When
    from stock.yard.moving import Back, Out

HEATED = "heated"
WAYS_OUT = "used, given, sold, firewood, lost or rotten"


def move(
    pieces: Annotated[list[str] | None, typer.Argument(metavar="PIECE", help="Marks, tags, ranges: 214-253.")] = None,
    to: Annotated[str, typer.Option("--to", metavar="PLACE", help='Such as "shed / rack 2"; made if new.')] = "",
    seen: Annotated[bool, typer.Option("--seen", help="They were only seen there.")] = False,
    place: Annotated[str, typer.Option("--place", metavar="PLACE", help="Say what a place is like.")] = "",
    cover: Annotated[str, typer.Option("--cover", help="open, roofed, unheated or heated.")] = "",
    walk: Annotated[str, typer.Option("--walk", metavar="N", help="Its turn on the weighing walk.")] = "",
    insist: options.Insist = False,
    on: options.On = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Put pieces in a place; or, with --place, say how a place is covered and when its turn comes on the walk.

    Example:  rick move 214-217 220N --to "shop / low"            rick move --place shop --cover heated --walk 1
    """
    from stock.yard import moving

    here = desk.current()
    day = here.day(on)
    if place:
        if pieces or to or seen:
            raise Misused("--place tells of a place; --to moves pieces there.", hint="Give them one after the other.")
        _keep_place(place, cover, whole("--walk", walk), day, note=note, dry_run=dry_run)
        return
    if not pieces or not to:
        raise Misused("move takes pieces and a place.", hint='rick move 214H 215J --to "shed / rack 2"')
    if cover or walk:
        raise Misused("--cover and --walk tell of a place.", hint=f'rick move --place "{to}" --cover heated --walk 1')
    named = pieces_of(pieces)
    with here.writing("move", note=note, dry_run=dry_run) as page, way_to_insist():
        done = moving.move(page, pieces=named, to=to, on=day, seen_only=seen, insist=insist)
        marks = [one.mark for one in done.pieces]
        reckoning, ids = here.reckoning(page, marks, max(day.last, here.today))
        mass_kg = None if seen else _heaviest_kg(page, marks, reckoning, ids, day)
    to_heat = done.cover == HEATED and not seen and any(not _was_heated(reckoning, one.was) for one in done.pieces)
    tell(
        move_document(done),
        lambda: move_lines(done, reckoning, ids[0], when(day), to_heat=to_heat),
        on=day,
        dry_run=dry_run,
        warnings=done.warnings,
        cautions=() if seen else for_act("move", mass_kg=mass_kg, indoors=to_heat),
        verb="move",
    )


def _keep_place(name: str, cover: str, walk: int | None, day: "When", *, note: str, dry_run: bool) -> None:
    from stock.yard import moving

    with desk.current().writing("move", note=note, dry_run=dry_run) as page:
        kept = moving.place(page, name=name, on=day, cover=cover.strip().lower() or None, walk_no=walk)
    told = [word for word in (kept.cover, f"turn {kept.walk_no}" if kept.walk_no is not None else "") if word]
    tell(
        {"place": kept.name, "cover": kept.cover, "walk": kept.walk_no, "new_places": list(kept.new_places)},
        lambda: [harmless(f"{kept.name}: {', '.join(told) or 'nothing told of it yet'}"), *air_next(kept.name)],
        on=day,
        dry_run=dry_run,
        warnings=kept.warnings,
        verb="move",
    )


def _was_heated(reckoning: Reckoning, was: str | None) -> bool:
    place = next((one for one in reckoning.facts.places.values() if one.name == was), None)
    return place is not None and cover_of(reckoning.facts, place.id) == HEATED


def _heaviest_kg(
    page: "Page", marks: Sequence[str], reckoning: Reckoning, ids: Sequence[int], on: "When"
) -> float | None:
    """The heaviest of what is carried: as last weighed, else as its green wood would weigh."""
    from stock.yard.in_hand import hold_all

    held = hold_all(page, marks, on, "moved", needs="nothing")
    known = [
        kg for one, i in zip(held, ids, strict=True) if (kg := _last_kg(reckoning, i) or green_kg(one)) is not None
    ]
    return max(known, default=None)


def _last_kg(reckoning: Reckoning, piece_id: int) -> float | None:
    weighings = reckoning.facts.weighings.get(piece_id, ())
    return weighings[-1].mass_g / 1000 if weighings else None


# -- the air of a place -----------------------------------------------------------------------------------------------


def air(
    place: Annotated[str, typer.Argument(metavar="PLACE", help="Its name; made if new.")],
    temp: Annotated[str, typer.Option("--temp", metavar="TEMP", help="15C or 59F.")] = "",
    rh: Annotated[str, typer.Option("--rh", metavar="PCT", help="Relative humidity: 65%.")] = "",
    month: Annotated[str, typer.Option("--month", metavar="N", help="1 to 12: what is normal then.")] = "",
    block: Annotated[str, typer.Option("--block", metavar="PIECE", help="Its reference block, from now on.")] = "",
    dry: Annotated[str, typer.Option("--dry", metavar="WEIGHT", help="Oven-dry weight of that block.")] = "",
    from_: Annotated[
        str, typer.Option("--from", metavar="FILE.csv", help="Columns on or month, temp_c, rh_pct; a logger's file.")
    ] = "",
    on_column: Annotated[
        str, typer.Option("--on-column", metavar="NAME", help="The file's column of days, or of days and times.")
    ] = "",
    time_column: Annotated[str, typer.Option("--time-column", metavar="NAME", help="Its column of times of day.")] = "",
    temp_column: Annotated[str, typer.Option("--temp-column", metavar="NAME", help="Its column of temperatures.")] = "",
    rh_column: Annotated[
        str, typer.Option("--rh-column", metavar="NAME", help="Its column of humidities, percent.")
    ] = "",
    temp_unit: Annotated[
        str, typer.Option("--temp-unit", metavar="UNIT", help="Of that column, C or F, if its name does not say.")
    ] = "",
    encoding: Annotated[str, typer.Option("--encoding", help="Of the file, if not UTF-8: latin-1, cp1252.")] = "utf-8",
    delimiter: Annotated[str, typer.Option("--delimiter", help="Between the file's columns, if no comma.")] = ",",
    dates: options.Dates = "",
    insist: options.Insist = False,
    on: options.On = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Record the air of a place: one reading, what is normal in a month, a file of either, or its reference block.

    Wood settles where its air keeps it; that tells what a place can dry to, and when steady is dry.

    A logger's file may be brought in again when it has grown: what stands on the book is not put twice.

    A reference block is a small offcut of known oven-dry weight, kept in a place and weighed now and then: rick weigh.
    It tells the air there better than any instrument. Cut it an inch along the grain, dry it whole (rick oven --whole),
    keep it bare. Its weighings count three weeks after the oven, or after a move; later if it is larger.

    Example:  rick air "shed / rack 2" --temp 15C --rh 65%            rick air shop --block 12N --dry 101.5g

    rick air shop --from log.csv --on-column Time --temp-column T --temp-unit F
    """
    from stock.cli import record_air

    words = record_air.Words(temp, rh, month, on)
    columns = Columns(on_column, time_column, temp_column, rh_column, temp_unit)
    if block or dry:
        if any((temp, rh, month, from_)) or columns.given or not block:
            raise Misused("--block and --dry tell of a reference block.", hint=f'rick air "{place}" --block 12N')
        record_air.store_block(place, block, dry, desk.current().day(on), insist=insist, note=note, dry_run=dry_run)
    elif from_:
        file = record_air.File(Path(from_).expanduser(), columns, encoding, delimiter)
        record_air.store_file(place, file, words, insist=insist, note=note, dry_run=dry_run)
    else:
        if columns.given:
            raise Misused("the columns of a file were named, and no file.", hint="Give --from FILE.csv.")
        record_air.store_one(place, words, insist=insist, note=note, dry_run=dry_run)


# -- out of the stock -------------------------------------------------------------------------------------------------


def out(
    pieces: Annotated[list[str], typer.Argument(metavar="PIECE", help="Marks, tags, ranges: 214-217.")],
    as_: Annotated[str, typer.Option("--as", metavar="WAY", help=f"{WAYS_OUT[0].upper()}{WAYS_OUT[1:]}.")] = "",
    why: Annotated[str, typer.Option("--why", metavar="TEXT", help="The reason: losses are how one learns.")] = "",
    to: Annotated[str, typer.Option("--to", metavar="NAME", help="Who has it now.")] = "",
    back: Annotated[bool, typer.Option("--back", help="It is in the stock again.")] = False,
    insist: options.Insist = False,
    on: options.On = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Take pieces out of the stock, or back into it. Nothing is ever deleted: their story stays.

    Example:  rick out 214H 215J --as used --why "tall vase"            rick out 214H --back
    """
    from stock.yard import moving
    from stock.yard.in_hand import hold_all

    here = desk.current()
    day, way = here.day(on), as_.strip().lower()
    if back and (way or to):
        raise Misused("--back takes pieces in again; --as and --to say how they left.", hint="rick out 214H --back")
    if not back and not way:
        raise Misused(f"{' '.join(pieces)}: how did it leave?", hint=f"--as {WAYS_OUT}.")
    named = list(dict.fromkeys(pieces_of(pieces)))
    with here.writing("out", note=note, dry_run=dry_run) as page:
        with way_to_insist():
            done: list[Out | Back] = [
                moving.back(page, piece=piece, on=day)
                if back
                else moving.out(page, piece=piece, outcome=way, on=day, reason=why, to_whom=to, insist=insist)
                for piece in named
            ]
        held = hold_all(page, [one.mark for one in done], day, "looked at", needs="nothing")
    tell(
        {"outcome": None if back else way, "pieces": [out_document(one) for one in done]},
        lambda: out_lines(done, held, way, to, when(day)),
        on=day,
        dry_run=dry_run,
        warnings=tuple(warning for one in done for warning in one.warnings),
        cautions=() if back else tuple(c for one in held for c in for_act("out", wood=one.piece.wood.wood, how=way)),
        verb="out",
    )
