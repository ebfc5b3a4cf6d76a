"""Rick as somebody runs it, in this process: words and answers in, exit code, result and talk out."""

import io
import json
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from found import rows
from said import TODAY

from stock.cli import main

CTRL_C = "\x03"


@dataclass(frozen=True)
class Said:
    """What came of a command; `asked` counts the answers that it took."""

    code: int
    out: str
    err: str
    asked: int = 0

    @property
    def json(self) -> Any:
        return json.loads(self.out)

    @property
    def lines(self) -> list[str]:
        return (self.out + self.err).splitlines()


class Typist(io.StringIO):
    """A terminal at which somebody answers; the end of the answers is Ctrl-D."""

    def __init__(self, answers: Sequence[str]) -> None:
        super().__init__()
        self.left = list(answers)
        self.asked = 0

    def isatty(self) -> bool:
        return True

    def readline(self, size: int | None = -1) -> str:
        if not self.left:
            return ""
        answer = self.left.pop(0)
        if answer == CTRL_C:
            raise KeyboardInterrupt
        self.asked += 1
        return f"{answer}\n"


class Rick:
    """`rick("fell", "--species", "gum")`; with `answers` on a terminal."""

    def __init__(self, book: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
        self.book = book
        self.patch = monkeypatch
        self.caught = capsys
        monkeypatch.setenv("RICK_BOOK", str(book))
        monkeypatch.delenv("RICK_TRACEBACK", raising=False)

    def __call__(self, *words: str, answers: Sequence[str] | None = None, today: date = TODAY) -> Said:
        typist = Typist(answers or ())
        with self.patch.context() as patch:
            patch.setattr(sys, "stdin", io.StringIO() if answers is None else typist)
            patch.setattr(sys.stderr, "isatty", lambda: answers is not None)
            code = main(words, today=today)
        out, err = self.caught.readouterr()
        assert "Traceback" not in out + err
        return Said(code, out, err, typist.asked)

    def done(self, *words: str, answers: Sequence[str] | None = None) -> Said:
        """Run what must succeed."""
        said = self(*words, answers=answers)
        assert said.code == 0, said.err
        return said

    def entries(self) -> int:
        return len(rows(self.book, "entry")) if self.book.exists() else 0
