"""A fresh book, the day it is, and a page to write on: what every test of the yard needs."""

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from stock.book import journal, opening
from stock.book.journal import Hand, Page

TODAY = date(2026, 6, 1)

Pages = Callable[..., AbstractContextManager[Page]]


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """The path of an empty book."""
    path = tmp_path / "book.rick"
    opening.make(path, datetime(2026, 1, 1, tzinfo=UTC))
    return path


@pytest.fixture
def hand() -> Callable[..., Hand]:
    """Who writes: hand("cut"), hand("cut", today=date(2026, 7, 1), dry_run=True)."""

    def make(verb: str = "test", *, today: date = TODAY, note: str = "", dry_run: bool = False) -> Hand:
        now = datetime(today.year, today.month, today.day, 12, tzinfo=UTC)
        return Hand(verb=verb, typed=f"rick {verb}", now=now, today=today, note=note, dry_run=dry_run)

    return make


@pytest.fixture
def page(book: Path, hand: Callable[..., Hand]) -> Pages:
    """One entry of the book: `with page() as p: fell(p, ...)`. Takes what `hand` takes."""

    @contextmanager
    def open_page(verb: str = "test", **circumstances: object) -> Iterator[Page]:
        with journal.writing(book, hand(verb, **circumstances)) as written:
            yield written

    return open_page
