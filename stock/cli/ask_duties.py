"""due: what to weigh, in the order of one walk."""

from collections.abc import Iterator, Sequence
from typing import Annotated

import typer

from stock.cli import desk, options
from stock.cli.printing import Column, age, csv_text, harmless, mass_words, screen_width, size_words, table
from stock.dates import short_day
from stock.survey import answers, duties
from stock.survey.courses import Reckoning
from stock.survey.filters import Filter

DUE_COLUMNS = (
    "mark",
    "tag",
    "wood",
    "place",
    "due_on",
    "days_late",
    "why",
    "last_weighed_on",
    "last_mass_g",
    "expected_low_g",
    "expected_high_g",
)


def due(
    days: Annotated[int, typer.Option("--within", metavar="DAYS", min=0, help="Also what falls due in so many.")] = 0,
    species: options.Species = "",
    place: options.Place = "",
    hide: Annotated[bool, typer.Option("--hide", help="Leave out last weights, so that none is copied.")] = False,
    on: options.AsOn = "",
    json: options.Json = False,
    csv: options.Csv = False,
) -> None:
    """What to weigh now, in the order of one walk through the places.

    Example:  rick due --within 7            rick due --place shed --csv
    """
    here = desk.current()
    reckoning = Reckoning(here.facts(here.asked_on(on)))
    found = duties.due(reckoning, Filter(species=species, place=place), days)
    rows = [answers.due(one) for one in found]
    if csv:
        here.out(csv_text(rows, DUE_COLUMNS).rstrip("\n"))
        return
    here.tell(rows, lambda: _due_lines(found, hide))


def _due_lines(found: Sequence[duties.Due], hide: bool) -> Iterator[str]:
    here = desk.current()
    length, mass = here.unit("length") or "mm", here.unit("mass") or "g"
    if not found:
        yield "Nothing is due."
        return
    places = dict.fromkeys(one.piece.place or "no place told" for one in found)
    yield f"{len(found)} to weigh in {len(places)} place{'s' if len(places) > 1 else ''}."
    columns = [Column("mark"), Column("wood", may_shrink=True), Column("size"), Column("last", right=True)]
    columns += [Column("on"), Column("late", right=True), Column("why", may_shrink=True)]
    for place in places:
        yield harmless(place)
        mine = [one for one in found if (one.piece.place or "no place told") == place]
        rows = [
            (
                one.piece.mark,
                one.piece.wood.name,
                size_words(one.piece.size, length),
                "" if hide or one.last_g is None else mass_words(one.last_g, mass),
                short_day(one.last_on) if one.last_on else "never",
                age(one.days_late) if one.days_late else "",
                one.why,
            )
            for one in mine
        ]
        width = screen_width()
        yield from (f"  {line}" for line in table(columns, rows, width - 2 if width else None))
