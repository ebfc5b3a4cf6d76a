"""demo: the four jobs on an invented yard, in a folder of its own."""

import contextlib
import io
import shlex
import shutil
import sys
from collections.abc import Sequence
from datetime import date
from importlib.resources import files
from pathlib import Path
from typing import Annotated

import typer

from stock.cli import desk, options
from stock.errors import BookTrouble, StockError

DEMO_DAY = date(2026, 11, 25)  # the invented yard stands still on this day
SIGN = "throw this folder away when you like.txt"

# What the demo types, job by job. {book} is left out of what is shown; {data} is the invented notebook.
STEPS: tuple[tuple[str, Sequence[str]], ...] = (
    (
        "The notebook of an invented yard: three trees, their logs and blanks, two years of weighings.",
        (
            "book import {data}",
            "book units metric",
            'book set target "heated house"',
        ),
    ),
    (
        "Job 1: log salvaged wood. A plum blew down; it goes from the tree to marked blanks.",
        (
            'fell --species "common plum" --on 2026-11-02 --how storm --site "behind the wash house" --tag plum',
            "cut plum --lengths 500mm+420mm --dia 210mm+195mm+190mm --tags P1+P2 --on 2026-11-04",
            "split P1 --tags P1a+P1b --on 2026-11-04",
            "saw P1a --blanks 2 --square 55mm --length 320mm --part heart --rings flat --tags plum-1+plum-2"
            " --on 2026-11-05",
        ),
    ),
    (
        "Job 2: weigh, and know the moisture. A slice of plum-1 goes to the oven; M1-4 was weighed for two years.",
        (
            "weigh plum-2 930g --on 2026-11-05",
            "oven plum-1 --before 942g --wet 72.4g --dry 44.9g --after 867g --length 296mm --on 2026-11-05",
            "dry plum-2 M1-4",
        ),
    ),
    (
        "Job 3: four matched staves, 46 mm square and 250 mm long.",
        ('match --square 46mm --length 250mm --species "black cherry" --best 1',),
    ),
    (
        "Job 4: what is ready? On the screen, and on paper: a table, a picture and a page to print.",
        ("ready", "report ready --to {folder}/ready"),
    ),
)


def demo(
    to: Annotated[str, typer.Option("--to", metavar="DIR", help="A folder of its own.")] = "rick-demo",
    json: options.Json = False,
) -> None:
    """The four jobs on an invented yard, in a folder of its own. Your own book is not touched.

    Example:  rick demo            rick demo --to ~/try-rick
    """
    here = desk.current()
    folder = Path(to).expanduser()
    data = demo_folder()
    _make_room(folder)
    book = folder / "book.rick"
    said: list[str] = []
    for title, commands in STEPS:
        if not here.json:
            here.out(f"\n{title}")
        for command in commands:
            words = [w.replace("{data}", str(data)).replace("{folder}", str(folder)) for w in shlex.split(command)]
            said.append(_run(words, book, quiet=here.json, shown=command.replace("{data}", "demo_data")))
    here.tell({"folder": folder.absolute(), "book": book.absolute(), "commands": said}, lambda: _farewell(folder, book))


def _run(words: list[str], book: Path, *, quiet: bool, shown: str) -> str:
    from stock.cli import main

    here = desk.current()
    line = f"rick {shown}".replace("{folder}", str(book.parent))
    if not quiet:
        here.out(f"$ {line}")
        sys.stdout.flush()
    with contextlib.redirect_stdout(io.StringIO()) if quiet else contextlib.nullcontext():
        code = main(["--book", str(book), *words], today=DEMO_DAY)
    if code:
        raise StockError(f"the demo stopped at: {line}", hint=f"Its folder is {book.parent}.")
    return line


def _farewell(folder: Path, book: Path) -> list[str]:
    return [
        "",
        f"The files are in {folder.absolute()}; the book is {book.name}, the report in ready/.",
        f"It is the yard as of {DEMO_DAY.isoformat()}. Try next:",
        f"  rick --book {book} show M1-4 --on {DEMO_DAY.isoformat()}",
        f"  rick --book {book} due --on {DEMO_DAY.isoformat()}",
        f"  rick --book {book} match --square 40mm --length 230mm --why-not C1-5 --on {DEMO_DAY.isoformat()}",
        "Your own book begins with: rick fell --help",
    ]


def demo_folder() -> Path:
    """The folder of the invented yard: in the installed package, or beside it in a checkout.

    Raises:
        StockError: it is in neither place.
    """
    package = Path(str(files("stock")))
    for folder in (package / "demo_data", package.parent / "demo_data"):
        if (folder / "trees.csv").exists():
            return folder
    raise StockError("the demo's data is not where it should be.", hint="Install rickyard again.")


def _make_room(folder: Path) -> None:
    """An empty folder with our sign in it; an earlier demo is thrown away, anything else is left alone."""
    try:
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            if not (folder / SIGN).exists():
                raise StockError(f"{folder} is in use.", hint="Name another folder: rick demo --to DIR.")
            shutil.rmtree(folder)
        folder.mkdir(parents=True, exist_ok=True)
        (folder / SIGN).write_text("This folder was made by rick demo, and is made anew by it.\n", encoding="utf-8")
    except OSError as trouble:
        raise BookTrouble(
            f"no demo can be made in {folder}: {trouble.strerror}.", hint="Name another: rick demo --to DIR."
        ) from None
