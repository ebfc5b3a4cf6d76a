"""Options that many commands share, each written once."""

from typing import Annotated

import typer

On = Annotated[
    str,
    typer.Option("--on", metavar="DATE", help="When: 2021-05-03, 2021-05, 'spring 2021'; 3/5/2021 with --dates."),
]
AsOn = Annotated[str, typer.Option("--on", metavar="DATE", help="As known on that day; default today.")]
Dates = Annotated[str, typer.Option("--dates", metavar="ORDER", help="day-first or month-first.")]
Note = Annotated[str, typer.Option("--note", metavar="TEXT", help="A note kept with the entry.")]
DryRun = Annotated[bool, typer.Option("--dry-run", help="Show what would happen; store nothing.")]
Json = Annotated[bool, typer.Option("--json", help="One JSON document on stdout.")]
Csv = Annotated[bool, typer.Option("--csv", help="CSV on stdout.")]
Insist = Annotated[bool, typer.Option("--insist", help="Keep a doubtful value; that you insisted is recorded.")]
Species = Annotated[str, typer.Option("--species", metavar="NAME", help="A wood by any of its names, or unknown.")]
Place = Annotated[str, typer.Option("--place", metavar="PLACE", help="A place, and all that lie in it.")]
Kind = Annotated[str, typer.Option("--kind", metavar="KIND", help="log, billet, blank, offcut or block.")]
Part = Annotated[str, typer.Option("--part", metavar="PART", help="heart, sap or mixed.")]
Figure = Annotated[str, typer.Option("--figure", metavar="TRAIT", help="curl, quilt, spalting, ...")]
Find = Annotated[str, typer.Option("--find", metavar="TEXT", help="Text in mark, tag, wood, place, site, defects.")]
Target = Annotated[str, typer.Option("--target", metavar="PCT", help="Moisture wanted, for this question only: 8%.")]
