"""The commands of `rick`, by group. A command's module is loaded when that command is called, and not before."""

import difflib
import importlib
from typing import Annotated, Any, ClassVar

import typer
from typer.core import TyperGroup

from stock import __version__
from stock.cli.verb import Verb

# command -> module of this package that holds a function of that name (`_` for `-`, a final `_` for Python's words)
RECORD = {
    "fell": "record_trees",
    "add": "record_trees",
    "cut": "record_cuts",
    "split": "record_cuts",
    "saw": "record_cuts",
    "seal": "record_shapes",
    "trim": "record_shapes",
    "plane": "record_shapes",
    "treat": "record_shapes",
    "oven": "record_moisture",
    "weigh": "record_weights",
    "meter": "record_moisture",
    "defect": "record_looks",
    "figure": "record_looks",
    "move": "record_places",
    "air": "record_places",
    "scales": "record_scales",
    "glue": "record_blocks",
    "reverse": "record_blocks",
    "out": "record_places",
}
ASK = {
    "show": "ask_pieces",
    "list": "ask_pieces",
    "which": "ask_pieces",
    "dry": "ask_dry",
    "ready": "ask_ready",
    "due": "ask_duties",
    "match": "ask_match",
    "size": "ask_size",
    "species": "ask_species",
}
MAKE = {"report": "make_reports"}
KEEP = {"book": "keep_book", "demo": "keep_demo"}
GROUPS = {"Record": RECORD, "Ask": ASK, "Make": MAKE, "Keep": KEEP}
SETTINGS: dict[str, Any] = {"help_option_names": ["-h", "--help"], "max_content_width": 80}


class Lazy(TyperGroup):
    """A group of commands, each loaded from its module when it is called.

    `groups` is heading -> {command: module}; `opening` and `closing` frame the list in the help.
    """

    groups: ClassVar[dict[str, dict[str, str]]]
    closing = ""

    def list_commands(self, ctx: Any) -> list[str]:
        return [name for commands in self.groups.values() for name in commands]

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        for commands in self.groups.values():
            if cmd_name in commands:
                return load(cmd_name, commands[cmd_name])
        return None

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        name = args[0]
        if name not in self.list_commands(ctx) and not name.startswith("-"):
            near = difflib.get_close_matches(name, self.list_commands(ctx), n=2)
            ctx.fail(f'no command "{name}"' + (f"; did you mean {' or '.join(near)}?" if near else ""))
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        formatter.write("\n")
        wide = max(len(heading) for heading in self.groups)
        for heading, commands in self.groups.items():
            line = heading.ljust(wide)
            for name in commands:
                if len(line) + 2 + len(name) > formatter.width:
                    formatter.write(f"{line}\n")
                    line = " " * wide
                line += f"  {name}"
            formatter.write(f"{line}\n")
        if self.closing:
            formatter.write(f"\n  {self.closing}\n")


class Root(Lazy):
    groups = GROUPS
    closing = "First time: rick demo          Your own: rick fell --help"


def load(name: str, module: str) -> Any:
    """Build one command from the function of its name."""
    held = importlib.import_module(f"stock.cli.{module}")
    function = getattr(held, name.replace("-", "_"), None) or getattr(held, f"{name}_")
    if isinstance(function, TyperGroup):
        return function
    return command_of(name, function, getattr(held, "KINDS", {}).get(name, Verb))


def command_of(name: str, function: Any, kind: type[Verb] = Verb) -> Any:
    """A command of a function whose docstring is its help, with the examples at its end kept as they stand."""
    app = typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False)
    app.command(name, cls=kind, context_settings=SETTINGS)(function)
    return typer.main.get_command(app)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"rick {__version__}")
        raise typer.Exit


def _root(
    book: Annotated[str, typer.Option("--book", metavar="PATH", help="The book; else RICK_BOOK, else your own.")] = "",
    version: Annotated[bool, typer.Option("--version", callback=_version, is_eager=True, help="The version.")] = False,
) -> None:
    """The stock book of salvaged wood: from the fallen tree to four matched staves."""


def group_of(kind: type[Lazy], function: Any) -> Any:
    """A group of lazily loaded commands; the docstring of the function is its help."""
    app = typer.Typer(
        cls=kind,
        add_completion=False,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        no_args_is_help=True,
        subcommand_metavar="COMMAND ...",
        context_settings=SETTINGS,
    )
    app.callback()(function)
    return typer.main.get_command(app)


ROOT = group_of(Root, _root)
