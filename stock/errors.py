"""What can go wrong, in words: every refusal is one sentence, and says what to do next.

A refusal is a `StockError`. Its text names what happened and to which piece; `hint` is the way out; `code` is the
word that `--json` gives; `exit_code` is what the command ends with.
"""

from collections.abc import Sequence
from enum import IntEnum


class Exit(IntEnum):
    """The exit codes of `rick`."""

    DONE = 0
    BUG = 1
    USAGE = 2
    REFUSED = 3
    FINDINGS = 4
    BOOK = 5
    INTERRUPTED = 130


class StockError(Exception):
    """The base of every refusal.

    Args:
        message: one sentence: what happened, to which piece, with the value as typed.
        hint: the way out, one sentence or a few short lines; may be empty.
        code: a word for programs, such as `unknown-piece`; each kind has its own default.
        piece: the mark of the piece concerned, if there is one.
    """

    code = "refused"
    exit_code = Exit.REFUSED

    def __init__(self, message: str, *, hint: str = "", code: str = "", piece: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint
        self.piece = piece
        if code:
            self.code = code


class Unclear(StockError):
    """A text that cannot be read, or can be read in two ways."""

    code = "unclear"


class Impossible(StockError):
    """A value that cannot be true."""

    code = "impossible-value"


class Unknown(StockError):
    """A piece, place, scales or wood that the book does not know."""

    code = "unknown-piece"


class Ambiguous(StockError):
    """A name that means several things."""

    code = "ambiguous-name"


class NotNow(StockError):
    """A thing that cannot be done to this piece in its present state."""

    code = "not-now"


class Doubtful(StockError):
    """A value that is possible but unlikely: the person may insist."""

    code = "doubtful-value"


class Misused(StockError):
    """A command called without what it needs."""

    code = "usage"
    exit_code = Exit.USAGE


class BadLines(StockError):
    """A file of which some lines cannot be read; nothing of it was stored.

    Args:
        message: how many of how many lines, of which file.
        lines: one text for each bad line, beginning with its number.
    """

    code = "bad-lines"

    def __init__(self, message: str, lines: Sequence[str], *, hint: str = "") -> None:
        super().__init__(message, hint=hint)
        self.lines = tuple(lines)


class BookTrouble(StockError):
    """The book cannot be opened: missing, foreign, newer, damaged, not writable or busy."""

    code = "book-trouble"
    exit_code = Exit.BOOK
