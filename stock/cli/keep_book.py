"""book: where it is, its units and settings, all of it out and a folder of files in."""

from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, ClassVar

import typer

from stock.cli import desk, options
from stock.cli.app import Lazy, group_of
from stock.dates import Order
from stock.errors import Misused, Unclear

COMMANDS = ("where", "units", "set", "tag", "export", "import")
UNITS = {
    "metric": {"length": "mm", "mass": "g", "temp": "C"},
    "inch": {"length": "in", "mass": "oz", "temp": "F"},
}


class Book(Lazy):
    groups: ClassVar[dict[str, dict[str, str]]] = {"The book": dict.fromkeys(COMMANDS, "keep_book")}


def where(json: options.Json = False) -> None:
    """Where the book is, and how big.

    Example:  rick book where
    """
    here = desk.current()
    path = here.path.absolute()
    there = path.exists()
    size = path.stat().st_size if there else 0
    count = None
    if there:
        facts = here.facts()
        count = len(facts.pieces)
    document = {"path": path, "exists": there, "bytes": size, "pieces": count}
    state = f"{size / 1000:.0f} kB, {count} pieces and trees" if there else "not there yet; the first entry makes it"
    here.tell(document, lambda: [f"{path}", state])


def units(
    preset: Annotated[str, typer.Argument(metavar="[metric|inch]", help="All three at once.")] = "",
    length: Annotated[str, typer.Option("--length", metavar="UNIT", help="mm, cm, in or ft.")] = "",
    mass: Annotated[str, typer.Option("--mass", metavar="UNIT", help="g, kg, oz or lb.")] = "",
    temp: Annotated[str, typer.Option("--temp", metavar="UNIT", help="C or F.")] = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """What a bare number means, for each quantity; without words: what it means now.

    Example:  rick book units --length in --mass g --temp F            rick book units metric
    """
    here = desk.current()
    if preset and preset not in UNITS:
        raise Unclear(f'no units are called "{preset}".', hint=f"Known: {', '.join(UNITS)}; or --length in --mass g.")
    wanted = dict(UNITS.get(preset, {}))
    wanted |= {name: unit for name, unit in (("length", length), ("mass", mass), ("temp", temp)) if unit}
    now = {name: here.unit(name) for name in ("length", "mass", "temp")}
    if wanted:
        from stock.yard import settling

        with here.writing("book units", note=note, dry_run=dry_run) as page:
            for name, unit in wanted.items():
                now[name] = settling.setting(page, name=f"unit.{name}", value=unit, on=here.day(None)).value
    here.tell(
        now,
        lambda: (f"a bare {name} is in {unit}" if unit else f"a bare {name} is refused" for name, unit in now.items()),
    )


def set_(
    name: Annotated[str, typer.Argument(metavar="NAME", help="target, band, dates, hemisphere, pause.")] = "",
    value: Annotated[list[str] | None, typer.Argument(metavar="VALUE", help="Its value.")] = None,
    on: options.On = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Choose the moisture content wanted, how dates are written, the hemisphere; pause the reminders to weigh.

    Without words: what is chosen. A pause lasts until a day, or until it is off.

    Targets by custom: dry inland 6, heated house 8, British or Irish house 10, damp coast 11; or your own room's air.

    Example:  rick book set target room 21C 45%            rick book set pause 2027-03-01
    """
    here = desk.current()
    if not name:
        here.tell(here.settings, lambda: [f"{n}: {v}" for n, v in here.settings.items()] or ["nothing chosen yet"])
        return
    if not value:
        raise Misused(f"{name} needs a value.", hint=f"rick book set {name} ...")
    from stock.yard import settling

    with here.writing("book set", note=note, dry_run=dry_run) as page:
        done = settling.setting(page, name=name, value=" ".join(value), on=here.day(on), date_order=_date_order())
    document = {"name": done.name, "value": done.value, "was": done.was or None}
    comes_to = ""
    if done.name == "target" and not done.value.rstrip(" %").replace(".", "").isdigit():
        from stock.survey.targets import target_of

        target = target_of({"target": done.value})
        comes_to = f", {target.words}: wood at {target.mc_pct:.1f} %"
    ends = "; to end it sooner: rick book set pause off" if done.name == "pause" and done.value != "off" else ""
    was = f" (was {done.was})" if done.was else ""
    here.tell(document, lambda: [f"{done.name}: {done.value}{comes_to}{was}{ends}"])


def tag(
    piece: Annotated[str, typer.Argument(metavar="MARK", help="Its mark or present tag.")],
    name: Annotated[str, typer.Argument(metavar="NAME", help="The new tag; empty takes the old one off.")],
    on: options.On = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Give a piece a name of your own, another one, or none.

    Example:  rick book tag 214H "plum 3"
    """
    from stock.yard import felling

    here = desk.current()
    with here.writing("book tag", note=note, dry_run=dry_run) as page:
        done = felling.put_tag(page, piece=piece, text=name, on=here.day(on))
    here.warn(done.warnings)
    was = f' (was "{done.was}")' if done.was and done.was != done.tag else ""
    told = f'{done.mark} is "{done.tag}"{was}' if done.tag else f"{done.mark} has no tag{was}"
    here.tell({"mark": done.mark, "tag": done.tag or None, "was": done.was or None}, lambda: [told])


def export(
    folder: Annotated[str, typer.Argument(metavar="DIR", help="A new folder.")],
    force: Annotated[bool, typer.Option("--force", help="Replace the files of an earlier export.")] = False,
    json: options.Json = False,
) -> None:
    """All of the book as CSV files and one JSON file, which make an equal book when imported.

    Example:  rick book export rick-2026-11
    """
    from stock.book import keeping

    here = desk.current()
    done = keeping.export(here.path, Path(folder).expanduser(), force=force)
    document = {"folder": done.folder, "files": dict(done.files), "rows": dict(done.rows)}

    def lines() -> Iterator[str]:
        yield f"{done.folder}: {sum(done.files.values())} lines in {len(done.files)} CSV files, and book.json"

    here.tell(document, lines)


def import_(
    folder: Annotated[str, typer.Argument(metavar="DIR", help="A folder of CSV files, or of an export.")],
    encoding: Annotated[str, typer.Option("--encoding", help="Of the files, if not UTF-8: latin-1, cp1252.")] = "utf-8",
    delimiter: Annotated[str, typer.Option("--delimiter", help="Between the columns, if no comma.")] = ",",
    dates: options.Dates = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Bring in a folder of CSV files, whole or not at all; every bad line is named.

    An export with its book.json makes an equal book, if nothing was ever written in this one.

    Example:  rick book import notebook --dry-run
    """
    here = desk.current()
    path = Path(folder).expanduser()
    if (path / "book.json").exists() and not _in_use():
        from stock.book import keeping

        done = keeping.restore_json(here.path, path, dry_run=dry_run)
        rows = {name: count for name, count in done.rows.items() if count}
        here.tell({"restored": rows}, lambda: [f"{done.path}: an equal book, {sum(rows.values())} rows"])
        if dry_run:
            here.say("Dry run: nothing was stored.")
        return
    from stock.yard import importing

    with here.writing("book import", note=note, dry_run=dry_run) as page:
        result = importing.import_folder(
            page,
            path,
            encoding=encoding,
            delimiter="\t" if delimiter in ("\\t", "tab") else delimiter,
            date_order=_date_order(),
        )
    here.warn(result.warnings)
    counts = dict(result.files)
    marks = {one.tag: one.mark for one in result.pieces if one.tag}
    here.tell(
        {"lines": counts, "marks": marks, "warnings": list(result.warnings)},
        lambda: [f"{path}: " + ", ".join(f"{count} {name.removesuffix('.csv')}" for name, count in counts.items())],
    )


def _date_order() -> Order | None:
    """How to read 3/4/2021, as told on the line or chosen for the book."""
    order = desk.current().settings.get("dates")
    if order is None or order == "day-first" or order == "month-first":
        return order  # type: ignore[return-value]
    raise Unclear(f'"{order}" is no order of dates.', hint="Known: day-first, month-first.")


def _in_use() -> bool:
    from stock.book import keeping

    here = desk.current()
    if not here.path.exists():
        return False
    with here.reading() as connection:
        return not keeping.is_empty(connection)


def _book() -> None:
    """The book itself: where it is, its units and settings, all of it out, a folder of files in."""


book = group_of(Book, _book)
