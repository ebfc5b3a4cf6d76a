"""report: stock on paper. The libraries that draw are loaded only here."""

from pathlib import Path
from typing import Annotated

import typer

from stock.cli import desk, options
from stock.errors import Misused, Unclear
from stock.survey import holdings
from stock.survey.courses import Reckoning
from stock.survey.filters import Filter

REPORTS = ("ready", "set")


def report(
    what: Annotated[str, typer.Argument(metavar="WHAT", help="ready, or set.")],
    name: Annotated[str, typer.Argument(metavar="[NAME]", help="Of a set: the name under which it is held.")] = "",
    to: Annotated[str, typer.Option("--to", metavar="DIR", help="The folder for its files.")] = "",
    species: options.Species = "",
    place: options.Place = "",
    target: options.Target = "",
    force: Annotated[bool, typer.Option("--force", help="Write over the files of an earlier report.")] = False,
    on: options.AsOn = "",
    json: options.Json = False,
) -> None:
    """Ready stock as a table (CSV), a picture (PNG) and a page to print (PDF); or the marking sheet of a held set.

    Example:  rick report ready --to reports-of-today            rick report set "tall vase" --to bench
    """
    here = desk.current()
    if what not in REPORTS:
        raise Unclear(f'no report is called "{what}".', hint=f"Known: {', '.join(REPORTS)}.")
    if not to:
        raise Misused("a report needs a folder.", hint=f"rick report {what} --to DIR")
    if what == "set":
        _marking_sheet(name, Path(to).expanduser(), force)
        return
    if name:
        raise Misused(f'a report of ready stock takes no name, such as "{name}".', hint="rick report ready --to DIR")
    reckoning = Reckoning(here.facts(here.asked_on(on)), target)
    stock = holdings.ready(reckoning, Filter(species=species, place=place))
    from reports import ready

    unit = here.unit("length") or "mm"
    done = ready.write(
        stock, here.path.name, Path(to).expanduser(), unit="in" if unit in ("in", "ft") else "mm", force=force
    )
    document = {"files": list(done.files), "ready": done.ready, "nearly": done.nearly, "on": stock.on}
    here.tell(document, lambda: (f"{path}" for path in done.files))


def _marking_sheet(name: str, folder: Path, force: bool) -> None:
    """The sheet to take to the bench."""
    here = desk.current()
    if not name:
        raise Misused("which set?", hint='rick report set "tall vase" --to DIR; rick ready lists those held')
    from reports import set_sheet
    from stock.cli.set_sheets import set_sheet as sheet_of

    files = set_sheet.write(sheet_of(name), folder, force=force)
    here.tell({"files": list(files), "set": name}, lambda: (f"{path}" for path in files))
