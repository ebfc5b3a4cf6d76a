"""The command `rick`: the one place where a refusal becomes a sentence and an exit code."""

import gc
import os
import sys
from collections.abc import Sequence
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

from stock.errors import BadLines, Exit, StockError

if TYPE_CHECKING:
    from stock.cli import desk

ANYWHERE = ("--book", "--dates")


def main(argv: Sequence[str] | None = None, *, today: date | None = None) -> int:
    """Run one command.

    Args:
        argv: the words after `rick`; None takes those of the process.
        today: the day it is; None asks the clock.

    Returns:
        The exit code.
    """
    from stock.cli import desk

    if argv is None:
        gc.set_threshold(100_000, 20, 20)  # collecting garbage while libraries load is a tenth of start-up
    words = list(sys.argv[1:] if argv is None else argv)
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    now = datetime.now(UTC)
    mine = desk.Desk(words=tuple(words), environment=dict(os.environ), now=now, today=today or now.astimezone().date())
    with desk.sitting(mine):
        try:
            return _run(words)
        except StockError as refusal:
            return _refuse(mine, refusal)
        except (KeyboardInterrupt, EOFError):
            mine.say("\nrick: stopped; what was entered before is kept.")
            return Exit.INTERRUPTED
        except BrokenPipeError:
            sys.stdout = open(os.devnull, "w")  # noqa: SIM115
            return Exit.DONE
        except Exception as bug:
            if mine.environment.get("RICK_TRACEBACK"):
                raise
            return _bug(mine, bug)


def _run(words: list[str]) -> int:
    import typer

    from stock.cli import desk
    from stock.cli.app import ROOT

    try:
        result = ROOT.main(args=_for_command(words), prog_name="rick", standalone_mode=False)
    except typer.Abort:
        raise KeyboardInterrupt from None
    except Exception as trouble:
        # The library's usage errors share a public attribute, not a public name.
        if getattr(trouble, "exit_code", None) != Exit.USAGE or not hasattr(trouble, "format_message"):
            raise
        return _misused(desk.current(), trouble)
    return int(result) if isinstance(result, int) else int(Exit.DONE)


def _for_command(words: list[str]) -> list[str]:
    """The words without `--book PATH` and `--dates ORDER`, which may stand anywhere; the desk has read them."""
    kept: list[str] = []
    rest = iter(words)
    for word in rest:
        if word == "--":
            return [*kept, word, *rest]
        if word in ANYWHERE:
            if next(rest, None) is None:
                return [word]
        elif not word.startswith(tuple(f"{name}=" for name in ANYWHERE)):
            kept.append(word)
    return kept


def _bug(mine: "desk.Desk", bug: Exception) -> int:
    said = f"something went wrong inside ({type(bug).__name__}: {bug}); nothing half-done was stored"
    hint = "This is a bug. RICK_TRACEBACK=1 before the command shows where it is."
    if mine.json:
        mine.out_json({"error": f"{said}.", "code": "bug", "hint": hint})
    else:
        mine.say(f"rick: {said}.\n  {hint}")
    return Exit.BUG


def _misused(mine: "desk.Desk", trouble: Exception) -> int:
    context = getattr(trouble, "ctx", None)
    path = context.command_path if context else "rick"
    said = trouble.format_message().strip()  # type: ignore[attr-defined]
    if not said or type(trouble).__name__ == "NoArgsIsHelpError":
        mine.out(said or (context.get_help() if context else ""))
        return Exit.DONE if path == "rick" else Exit.USAGE
    said = said[0].lower() + said[1:].rstrip(".")
    if mine.json:
        mine.out_json({"error": f"{said}.", "code": "usage", "hint": f"{path} --help"})
    else:
        mine.say(f"rick: {said}.\n  Look at: {path} --help")
    return Exit.USAGE


def _refuse(mine: "desk.Desk", refusal: StockError) -> int:
    if mine.json:
        told = {"error": _sentence(refusal.message), "code": refusal.code, "hint": refusal.hint}
        if refusal.piece:
            told["piece"] = refusal.piece
        if isinstance(refusal, BadLines):
            told["lines"] = list(refusal.lines)  # type: ignore[assignment]
        mine.out_json(told)
        return refusal.exit_code
    mine.say(f"rick: {_sentence(refusal.message)}")
    if isinstance(refusal, BadLines):
        for line in refusal.lines:
            mine.say(f"  {line}")
    for line in refusal.hint.splitlines():
        mine.say_wrapped(line, "  ")
    return refusal.exit_code


def _sentence(text: str) -> str:
    return text if text.endswith((".", "?", "!", ":", ";")) else f"{text}."
