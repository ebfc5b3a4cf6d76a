"""The desk at which a command sits: the book, the clock, the streams, the units, and how to speak.

Every command asks `desk.current()`; nothing else in the house touches the streams, the clock or the environment.
"""

import contextlib
import shlex
import sys
import textwrap
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextvars import ContextVar
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from stock.cli.documents import json_text
from stock.errors import Misused, Unclear

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from stock.book.facts import Facts
    from stock.book.journal import Page
    from stock.dates import When
    from stock.survey.courses import Reckoning
    from stock.typed import Typed

_SEAT: ContextVar["Desk"] = ContextVar("desk")
_SECRET_WORDS = ("password", "token")


@dataclass
class Desk:
    """One command's circumstances: the words after `rick`, the environment, the moment with its zone, the day."""

    words: tuple[str, ...]
    environment: Mapping[str, str]
    now: datetime
    today: date
    _settings: dict[str, str] | None = field(default=None, init=False)

    @property
    def json(self) -> bool:
        """Whether the answer is to be one JSON document and nothing else."""
        return "--json" in self._before_dashes()

    @property
    def csv(self) -> bool:
        return "--csv" in self._before_dashes()

    def _before_dashes(self) -> tuple[str, ...]:
        return self.words[: self.words.index("--")] if "--" in self.words else self.words

    @property
    def is_terminal(self) -> bool:
        """Whether somebody is there to be asked."""
        return bool(sys.stdin and sys.stdin.isatty() and sys.stderr.isatty() and not self.json)

    @property
    def path(self) -> Path:
        """The path of the book: `--book` anywhere on the line, else RICK_BOOK, else the platform's data folder."""
        from stock.book import opening

        return opening.where(self._anywhere("--book"), self.environment)

    def _anywhere(self, option: str) -> str | None:
        """The value of an option that may stand anywhere on the line."""
        words = self._before_dashes()
        for i, word in enumerate(words):
            if word == option and i + 1 < len(words):
                return words[i + 1]
            if word.startswith(f"{option}="):
                return word.removeprefix(f"{option}=")
        return None

    @contextlib.contextmanager
    def reading(self) -> Iterator["Connection"]:
        """A reading connection. Read all, leave, then print."""
        from stock.book import opening

        with opening.reading(self.path) as connection:
            yield connection

    def facts(
        self, on: date | None = None, pieces: Sequence[str] | None = None, *, with_notes: bool = False
    ) -> "Facts":
        """Facts as known on a day, of the families of some pieces (named as typed), or of the whole book."""
        from stock.book.facts import facts
        from stock.book.naming import Names

        with self.reading() as connection:
            ids = None
            if pieces is not None:
                names = Names(connection)
                ids = [names.piece(text).id for text in pieces]
            return facts(connection, on or self.today, ids, with_notes=with_notes)

    def ids(self, pieces: Sequence[str]) -> list[int]:
        """The ids of pieces named as typed."""
        from stock.book.naming import Names

        with self.reading() as connection:
            names = Names(connection)
            return [names.piece(text).id for text in pieces]

    def reckoning(self, page: "Page", pieces: Iterable[str], on: date) -> "tuple[Reckoning, list[int]]":
        """What is known of some pieces on a day, with what the page has just put; and their ids, in order."""
        from stock.book.facts import facts
        from stock.book.naming import Names
        from stock.survey.courses import Reckoning

        ids = [named.id for named in map(Names(page.connection).piece, pieces)]
        known = facts(page.connection, on, ids)
        if not all(one in known.pieces for one in ids):  # insisted to have been there before it was made
            known = facts(page.connection, max(on, self.today), ids)
        return Reckoning(known), ids

    @contextlib.contextmanager
    def writing(self, verb: str, *, note: str = "", dry_run: bool = False) -> Iterator["Page"]:
        """A page of the book for one verb: one transaction, one journal entry; nothing if the verb refuses."""
        from stock.book import journal
        from stock.cli import sets_held

        path = self.path
        new = not path.exists()
        hand = journal.Hand(verb=verb, typed=self._typed(), now=self.now, today=self.today, note=note, dry_run=dry_run)
        broken: list[str] = []
        with journal.writing(path, hand, self._waiting) as page:
            yield page
            broken = sets_held.broken_by(page)
        self.warn(broken)
        if new and not dry_run and path.exists():
            self.say(f"A new book: {path}")
        if dry_run:
            self.say("Dry run: nothing was stored.")

    def _typed(self) -> str:
        kept = [w for w in self.words if not any(secret in w.lower() for secret in _SECRET_WORDS)]
        return shlex.join(["rick", *kept])

    def _waiting(self) -> None:
        self.say("rick: another rick is writing in the book; waiting ...")

    @property
    def settings(self) -> dict[str, str]:
        """The settings in force today, none if there is no book yet; `--dates` on the line comes before the book's."""
        if self._settings is None:
            from stock.book.facts import settings

            if not self.path.exists():
                self._settings = {}
            else:
                with self.reading() as connection:
                    self._settings = settings(connection, self.today)
            if order := self._anywhere("--dates"):
                self._settings["dates"] = order
        return self._settings

    def unit(self, quantity: str) -> str | None:
        """The book's unit for a bare number of a quantity (length, mass, temp), or None if it was never told."""
        return self.settings.get(f"unit.{quantity}")

    def unit_of_scales(self, name: str) -> str | None:
        """The unit in which some scales show, or None if they are not on the book."""
        from stock.book.naming import fold

        if not self.path.exists():
            return None
        known = [s for s in self.facts(pieces=[]).scales.values() if fold(s.name) == fold(name)]
        return known[-1].unit if known else None

    def day(self, text: str | None) -> "When":
        """The date of a fact: as typed, else today."""
        from stock import dates

        order = self.settings.get("dates") if text and "/" in text else None
        if order not in (None, "day-first", "month-first"):
            raise Unclear(f'"{order}" is no order of dates.', hint="Known: day-first, month-first.")
        return dates.read(
            text or "today",
            self.today,
            order=order,  # type: ignore[arg-type]
            southern=bool(text) and self.settings.get("hemisphere") == "south",
        )

    def asked_on(self, text: str | None) -> date:
        """The day as of which a question is asked: its last possible day."""
        return self.day(text).last if text else self.today

    def length(self, text: str | None, *, zero: bool = False) -> "Typed | None":
        from stock import measure

        return measure.length(text, self._bare("length", text), zero=zero) if text else None

    def lengths(self, text: str | None) -> "tuple[Typed, ...]":
        from stock import measure

        return measure.lengths(text, self._bare("length", text)) if text else ()

    def square(self, text: str | None) -> "tuple[Typed, Typed] | None":
        from stock import measure

        return measure.square(text, self._bare("length", text)) if text else None

    def mass(self, text: str | None) -> "Typed | None":
        from stock import measure

        return measure.mass(text, self._bare("mass", text)) if text else None

    def temp(self, text: str | None) -> "Typed | None":
        from stock import measure

        return measure.temp(text, self._bare("temp", text)) if text else None

    def _bare(self, quantity: str, text: str) -> str | None:
        """The unit for a number without one; asked for once on a terminal, never guessed."""
        if any(c.isalpha() or c in "\"'°%" for c in text.replace("x", "").replace("X", "")):
            return None
        known = self.unit(quantity)
        if known or not self.is_terminal:
            return known
        choices = {"length": "mm, cm, in or ft", "mass": "g, kg, oz or lb", "temp": "C or F"}[quantity]
        while True:
            answer = self.ask(f'"{text}" has no unit. Which unit for a bare {quantity} from now on: {choices}? ')
            if answer in choices.replace(" or ", ", ").split(", "):
                break
        from stock.yard import settling

        with self.writing("book units") as page:
            settling.setting(page, name=f"unit.{quantity}", value=answer, on=self.day(None))
        self._settings = None
        return answer

    def out(self, text: str) -> None:
        """A line of the result."""
        sys.stdout.write(f"{text}\n")

    def out_json(self, document: Any) -> None:
        sys.stdout.write(json_text(document))

    def say(self, text: str) -> None:
        """Talk, not the result: on stderr."""
        sys.stdout.flush()
        sys.stderr.write(f"{text}\n")
        sys.stderr.flush()

    def say_wrapped(self, text: str, lead: str = "") -> None:
        """Talk, in lines that fit a terminal of 80 columns."""
        if len(lead + text) > 80 and sys.stderr.isatty():
            lines = textwrap.wrap(text, 78 - len(lead), break_long_words=False, break_on_hyphens=False)
            text = f"\n{lead}  ".join(lines)
        self.say(lead + text)

    def warn(self, warnings: Iterable[str]) -> None:
        """Each warning on stderr."""
        for warning in warnings:
            self.say_wrapped(warning)

    def cautions(self, lines: Iterable[str]) -> None:
        """Each caution once a run, wrapped to the screen, on stderr."""
        for line in dict.fromkeys(lines):
            self.say(textwrap.fill(line, 80, subsequent_indent="  ", break_long_words=False))

    def tell(self, document: Any, lines: Callable[[], Iterable[str]]) -> None:
        """The answer: as JSON if asked for, else its lines."""
        if self.json:
            self.out_json(document)
        else:
            for line in lines():
                self.out(line)

    def ask(self, question: str) -> str:
        """One answer from the person, stripped. Raises EOFError if nobody answers."""
        sys.stderr.write(question)
        sys.stderr.flush()
        line = sys.stdin.readline() if sys.stdin else ""
        if not line:
            raise EOFError
        return line.strip()

    def nobody_to_ask(self, what: str) -> NoReturn:
        """Refuse a conversation where no terminal is."""
        raise Misused(f"{what} asks along, and nobody answers here.", hint="Give what it takes on the line: --help.")


def current() -> Desk:
    """The desk of the command that is running."""
    return _SEAT.get()


@contextlib.contextmanager
def sitting(desk: Desk) -> Iterator[Desk]:
    """Make a desk the current one."""
    token = _SEAT.set(desk)
    try:
        yield desk
    finally:
        _SEAT.reset(token)
