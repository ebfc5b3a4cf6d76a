"""Refusals of a part of something larger: of one piece's measures, one line of a file, one answer of a round."""

from collections.abc import Iterator
from contextlib import contextmanager

from stock.errors import StockError


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
