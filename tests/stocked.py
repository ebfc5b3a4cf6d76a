"""Books with something on them, each made once and copied for every test that wants it."""

import contextlib
import io
import shlex
import shutil
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from desk_side import Rick, Said
from said import TODAY

from stock.cli import main

_KEPT = TemporaryDirectory(prefix="rick-books-")

# A cherry blank, weighed three times; its section says 67 %, its oven-dry mass is near 363 g.
BLANK = (
    "book units metric",
    "add --kind blank --species 'black cherry' --square 51mm --length 330mm --part heart --place 'shed / rack 2'"
    " --tag 'plum 3' --on 2026-02-02",
    "oven 1B --before 668g --wet 60.2g --dry 36.0g --after 605g --length 300mm --on 2026-02-02",
    "weigh 1B 500g --on 2026-04-02",
    "weigh 1B 470g --on 2026-05-02",
)
# Two blanks of one billet, steady near 400 and 440 g.
SISTERS = (
    "book units metric",
    "add --kind billet --species 'black cherry' --square 120mm --length 700mm --place shed --on 2024-01-01",
    "saw 1B --blanks 2 --length 330mm --square 51mm --on 2024-01-02",
    "weigh 2C 404g 3D 444g --on 2026-02-01",
    "weigh 2C 402g 3D 442g --on 2026-03-01",
    "weigh 2C 400g 3D 440g --on 2026-04-10",
)


@cache
def _made(commands: tuple[str, ...]) -> Path:
    path = Path(_KEPT.name) / f"{abs(hash(commands))}.rick"
    for command in commands:
        out, err = io.StringIO(), io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            code = main(["--book", str(path), *shlex.split(command)], today=TODAY)
        assert code == 0, f"{command}: {err.getvalue()}"
    return path


def copied(commands: Sequence[str], to: Path) -> Path:
    """A book on which these commands were run, as a file of its own."""
    to.parent.mkdir(parents=True, exist_ok=True)
    shutil.copyfile(_made(tuple(commands)), to)
    return to


def refused(rick: Rick, *words: str) -> Said:
    """Run what must be refused: one sentence and a way out, the same as JSON, nothing stored."""
    before = rick.entries()
    said = rick(*words)
    told = rick(*words, "--json")
    assert said.code == told.code != 0
    assert said.out == ""
    first, *others = said.err.splitlines()
    assert first.startswith("rick: ")
    assert first[-1] in ".?!:;"
    assert all(line.startswith("  ") for line in others)
    assert set(told.json) >= {"error", "code", "hint"}
    assert told.json["error"] == first.removeprefix("rick: ")
    assert told.json["hint"] or told.json.get("lines") or "the mark for" in first
    assert told.err == ""
    assert rick.entries() == before
    return said
