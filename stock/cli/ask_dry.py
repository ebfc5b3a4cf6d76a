"""dry: how much water is in a piece, how sure that is, and when it will be dry."""

from collections.abc import Iterator, Sequence
from typing import Annotated

import typer

from stock.cli import desk, options
from stock.cli.dry_lines import dry_lines
from stock.cli.future_lines import above_air, future_lines, place_id
from stock.cli.printing import Column, age, csv_text, moisture_of, screen_width, table
from stock.dates import day_words
from stock.errors import Unknown
from stock.survey import answers, holdings
from stock.survey.courses import Dryness, Reckoning
from stock.survey.filters import Filter


def dry(
    pieces: Annotated[list[str] | None, typer.Argument(metavar="[MARK]...", help="Marks or tags; none: all.")] = None,
    target: Annotated[
        str, typer.Option("--target", metavar="PCT", help="8%, or emc+2: above what the air keeps.")
    ] = "",
    in_: Annotated[str, typer.Option("--in", metavar="PLACE", help="As if they went to that place today.")] = "",
    species: options.Species = "",
    place: options.Place = "",
    on: options.AsOn = "",
    json: options.Json = False,
    csv: options.Csv = False,
) -> None:
    """How much water is in a piece, how sure that is, on what it rests, and when it will be dry.

    Moisture content is percent of oven-dry mass, of the last weighing; the range holds four of five.

    Example:  rick dry 214H            rick dry 214H --in shop --target 8%

    rick dry --species cherry --csv
    """
    here = desk.current()
    day = here.asked_on(on)
    ids = here.ids(pieces) if pieces else None
    points = above_air(target)
    reckoning = Reckoning(here.facts(day, pieces or None), "" if points is not None else target)
    there = place_id(reckoning, in_) if in_ else None
    if ids is None:
        ids = [p.id for p in holdings.on_hand(reckoning, Filter(species=species, place=place))]
    else:
        ids = [i for i in ids if _known(reckoning, i, pieces or [], ids)]
    found = [reckoning.of(i) for i in ids]
    if csv or (not pieces and not here.json):
        rows = [answers.dry(one) for one in found]
        if csv:
            here.out(csv_text(rows, [name for name in rows[0] if name != "forecast"]).rstrip("\n") if rows else "")
        else:
            here.tell(rows, lambda: _dry_lines(found))
        return
    from stock.survey.futures import futures

    asked = [one.piece.id for one in found if target or in_ or not one.judgement.ready]
    coming = futures(reckoning, asked, above_air=points, place_id=there, band=not target)
    rows = [answers.dry(one, coming.get(one.piece.id)) for one in found]
    here.tell(rows, lambda: (line for d in found for line in [*dry_lines(d), *future_lines(coming.get(d.piece.id))]))


def _known(reckoning: Reckoning, piece_id: int, asked: Sequence[str], ids: Sequence[int]) -> bool:
    """Refuse a piece that did not exist yet on the day asked for."""
    if piece_id in reckoning.pieces:
        return True
    named = asked[list(ids).index(piece_id)]
    raise Unknown(f"{named} was not on the book on {day_words(reckoning.facts.on)}.", hint="Ask for a later day: --on.")


def _dry_lines(found: Sequence[Dryness]) -> Iterator[str]:
    if not found:
        yield "Nothing on hand."
        return
    yield f"{day_words(found[0].on)}. Moisture in % of dry mass; the range holds four of five."
    columns = (
        Column("mark"),
        Column("wood", may_shrink=True),
        Column("moisture"),
        Column("weighed", right=True),
        Column("verdict"),
        Column("where", may_shrink=True),
    )
    rows = [
        (d.piece.mark, d.piece.wood.name, moisture_of(d), age(d.weighed_days_ago), d.verdict, d.piece.place or "-")
        for d in found
    ]
    yield from table(columns, rows, screen_width())
