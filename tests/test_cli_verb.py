"""Words that nobody quoted go back to their option; the help of an act ends with its cautions."""

from typing import Annotated, Any

import pytest
import typer

from stock.cli.verb import Verb, joined

OPTIONS = {"--before": True, "--after": True, "--length": True, "--how": True, "--rest": False, "-h": False}


@pytest.mark.parametrize(
    ("typed", "pieces", "meant"),
    [
        ("214H --before 1 lb 1 5/8 oz --after 15 oz", 1, ["214H", "--before", "1 lb 1 5/8 oz", "--after", "15 oz"]),
        ("214H --length 2 1/8 in --rest", 1, ["214H", "--length", "2 1/8 in", "--rest"]),
        ("--length 280mm 214H", 1, ["--length", "280mm", "214H"]),
        ("--length 11 in 214H", 1, ["--length", "11 214H", "in"]),  # no such piece, no such length
        ("--how bark off", 0, ["--how", "bark off"]),
        ("214H --before=1 lb 2 oz", 1, ["214H", "--before=1 lb 2 oz"]),
        ("214H --rest 280 mm", 1, ["214H", "--rest", "280", "mm"]),  # a flag takes no words
        ("214H 215J --length 9 in", None, ["214H", "215J", "--length", "9", "in"]),
        ("214H --colour red wine", 1, ["214H", "--colour", "red", "wine"]),
        ("214H --length 9 in -- --before 3", 1, ["214H", "--length", "9 in", "--", "--before", "3"]),
        ("214H --length", 1, ["214H", "--length"]),
        ("", 1, []),
    ],
)
def test_surplus_words_belong_to_the_option_before_them(typed, pieces, meant):
    assert joined(typed.split(), OPTIONS, pieces) == meant


def command(function: Any, name: str) -> Any:
    app = typer.Typer(add_completion=False, rich_markup_mode=None)
    app.command(name, cls=Verb)(function)
    return typer.main.get_command(app)


def test_a_command_gets_them_as_one(capsys):
    got = {}

    def trim(
        piece: str,
        before: Annotated[str, typer.Option("--before")] = "",
        rest: Annotated[bool, typer.Option("--rest")] = False,
    ) -> None:
        """Shorter."""
        got.update(piece=piece, before=before, rest=rest)

    command(trim, "trim").main(["214H", "--before", "1", "lb", "2", "oz", "--rest"], standalone_mode=False)
    assert got == {"piece": "214H", "before": "1 lb 2 oz", "rest": True}


@pytest.mark.parametrize(("name", "ends"), [("saw", True), ("show", False)])
def test_the_help_of_an_act_ends_with_its_cautions(capsys, name, ends):
    def act(piece: str) -> None:
        """Do it."""

    command(act, name).main(["--help"], standalone_mode=False)
    told = capsys.readouterr().out
    assert ("Cautions:" in told) is ends
    assert ("licensed practice come first" in " ".join(told.split())) is ends
