"""Refusals of a part of something larger: of one piece's measures, one line of a file, one answer of a round."""

from collections.abc import Iterator
from contextlib import contextmanager

from stock.errors import StockError, Unclear


@contextmanager
def about(piece: str) -> Iterator[None]:
    """Where the measures of one piece are read: a refusal begins with the piece as typed."""
    try:
        yield
    except StockError as trouble:
        raise type(trouble)(f"{piece}: {trouble.message}", hint=trouble.hint, code=trouble.code, piece=piece) from None


def on_one_line(trouble: StockError) -> str:
    """A refusal and its way out as running text, where it is not the end of the command."""
    message = trouble.message
    stop = "" if message.endswith((".", "?", "!", ":")) else "."
    return " ".join(f"{message}{stop} {trouble.hint}".split())


def whole(what: str, text: str) -> int | None:
    """A whole number from 0 up that an option was given; None if it was not given.

    Args:
        what: the option, for the refusal.
        text: as typed.

    Raises:
        Unclear: anything else.
    """
    plain = text.strip()
    if not plain:
        return None
    if not (plain.isascii() and plain.isdigit() and len(plain) < 10):
        raise Unclear(f'{what} "{text}" is not a whole number.', hint="Count from 1: 1, 2, 3.")
    return int(plain)
