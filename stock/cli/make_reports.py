"""report: stock on paper. The libraries that draw are loaded only here."""

from pathlib import Path
from typing import Annotated

import typer

from stock.cli import desk, options
from stock.errors import Misused, Unclear
from stock.survey import holdings
from stock.survey.courses import Reckoning
from stock.survey.filters import Filter

REPORTS = ("ready",)


def report(
    what: Annotated[str, typer.Argument(metavar="ready", help="Which report.")],
    to: Annotated[str, typer.Option("--to", metavar="DIR", help="The folder for its files.")] = "",
    species: options.Species = "",
    place: options.Place = "",
    target: options.Target = "",
    force: Annotated[bool, typer.Option("--force", help="Write over the files of an earlier report.")] = False,
    on: options.AsOn = "",
    json: options.Json = False,
) -> None:
    """Ready stock as a table to compute with (CSV), a picture (PNG) and a page to print (PDF).

    Example:  rick report ready --to reports-of-today
    """
    here = desk.current()
    if what not in REPORTS:
        raise Unclear(f'no report is called "{what}".', hint=f"Known: {', '.join(REPORTS)}.")
    if not to:
        raise Misused("a report needs a folder.", hint=f"rick report {what} --to DIR")
    reckoning = Reckoning(here.facts(here.asked_on(on)), target)
    stock = holdings.ready(reckoning, Filter(species=species, place=place))
    from reports import ready

    unit = here.unit("length") or "mm"
    done = ready.write(
        stock, here.path.name, Path(to).expanduser(), unit="in" if unit in ("in", "ft") else "mm", force=force
    )
    document = {"files": list(done.files), "ready": done.ready, "nearly": done.nearly, "on": stock.on}
    here.tell(document, lambda: (f"{path}" for path in done.files))
