"""due: what to weigh, in the order of one walk; on a calendar if wanted."""

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from stock.cli import desk, options
from stock.cli.due_lines import due_lines, next_lines, pause_lines, walk_lines
from stock.cli.printing import csv_text
from stock.survey import answers, walks
from stock.survey.courses import Reckoning
from stock.survey.duties import Due, Duties
from stock.survey.filters import Filter

CALENDAR_DAYS = 28
FURTHEST_DAYS = 3660
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
    "taken_along",
    "likely_low_g",
    "likely_high_g",
)


def due(
    within: Annotated[
        int | None,
        typer.Option("--within", metavar="DAYS", min=0, max=FURTHEST_DAYS, help="Also what falls due in so many."),
    ] = None,
    species: options.Species = "",
    place: options.Place = "",
    hide: Annotated[bool, typer.Option("--hide", help="Leave out weights, so that none is copied.")] = False,
    anyway: Annotated[bool, typer.Option("--anyway", help="Also while reminders are paused.")] = False,
    calendar: Annotated[
        str, typer.Option("--calendar", metavar="FILE.ics", help="Write the walks of four weeks, or of --within.")
    ] = "",
    force: Annotated[bool, typer.Option("--force", help="Write over an earlier calendar file.")] = False,
    on: options.AsOn = "",
    json: options.Json = False,
    csv: options.Csv = False,
) -> None:
    """What to weigh now, in the order of one walk through the places.

    A piece is due when it will have changed by a few steps of its scales, as its forecast says; where none can be
    made, after a week, a fortnight or a month, the faster it loses. Ready wood is due once a season. What falls due in
    the next six days is taken along where a place is visited anyway.

    To be away: rick book set pause 2027-03-01, and rick book set pause off.

    Example:  rick due --within 7 --place shed            rick due --calendar walks.ics
    """
    here = desk.current()
    facts = here.facts(here.asked_on(on))
    duties = Duties(Reckoning(facts), Filter(species=species, place=place), foretell=True)
    paused = None if anyway else walks.paused_until(facts.settings, facts.on)
    if calendar:
        days = CALENDAR_DAYS if within is None else within
        _calendar(duties, days, calendar, paused, hide=hide, force=force)
        return
    found = walks.now(duties, within or 0)
    said = pause_lines(paused, len(found)) if paused else []
    rows = [] if paused else [_row(one) for one in found]
    if csv or here.json:
        for line in said:
            here.say(line)
    if csv:
        here.out(csv_text(rows, DUE_COLUMNS).rstrip("\n"))
        return
    here.tell(
        rows,
        lambda: said or (due_lines(found, hide) if found else next_lines(walks.next_due(duties))),
    )


def _row(one: Due) -> dict[str, object]:
    outlook = one.outlook
    return {
        **answers.due(one),
        "taken_along": one.along,
        "likely_low_g": outlook.low_g if outlook else None,
        "likely_high_g": outlook.high_g if outlook else None,
    }


def _calendar(duties: Duties, days: int, file: str, paused: date | None, *, hide: bool, force: bool) -> None:
    """Write the walks of the coming days to a calendar file; none if there are none."""
    from reports import walk_calendar
    from stock.book.identity import identity

    here = desk.current()
    path = Path(file).expanduser()
    found = walks.ahead(duties, days, paused)
    if found:
        with here.reading() as connection:
            book_id = identity(connection)
        content = walk_calendar.ics(found, book_id, here.now, unit=here.unit("mass") or "g", hide=hide)
        if path.is_file() and not force and here.is_terminal:
            force = here.ask(f"{path} is there already. Write it anew? y/n > ").casefold() in ("y", "yes")
        walk_calendar.write(path, content, force=force)
    document = {
        "file": path if found else None,
        "walks": [
            {"on": walk.on, "place": walk.place or None, "pieces": [one.piece.mark for one in walk.pieces]}
            for walk in found
        ],
    }
    here.tell(document, lambda: walk_lines(found, path, days, paused))
