"""Asking along on a terminal: one question after the other, and a tree that came down.

Every answer is tried before the next question, so that nothing is refused at the end. An empty answer is "not told";
q, or the end of the input, stops.
"""

import contextlib
from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

from stock.book import journal
from stock.book.journal import Page
from stock.cli import desk
from stock.cli.record_trees import Fallen, store
from stock.dates import When, words
from stock.errors import Misused, StockError, Unclear
from stock.yard import felling

T = TypeVar("T")

STOP = frozenset({"q", "quit"})
INDENT = " " * 5
_HOW = ("storm", "removal", "pruning", "other")
_SURE = ("certain", "probable", "guess")


class Left(Exception):
    """The person stopped answering."""


@contextlib.contextmanager
def listening() -> Iterator[None]:
    """While answers are waited for: the end of the input is a way to stop, an interruption leaves nothing behind.

    Raises:
        Left: nobody answers any more.
    """
    here = desk.current()
    try:
        yield
    except EOFError:
        here.say("")
        raise Left from None
    except KeyboardInterrupt:
        here.say("\nNothing of this conversation is stored.")
        raise


def ask(question: str) -> str:
    """One answer.

    Raises:
        Left: the person stops.
    """
    with listening():
        answer = desk.current().ask(question)
    if answer.lower() in STOP:
        raise Left
    return answer


def ask_until(question: str, read: Callable[[str], T]) -> T:
    """Ask again until the answer can be read, saying each time why it cannot."""
    while True:
        answer = ask(f"{question} > ")
        try:
            with listening():
                return read(answer)
        except StockError as trouble:
            refuse(trouble)


def refuse(trouble: StockError) -> None:
    """Say why an answer cannot be taken, and what could be."""
    here = desk.current()
    here.say(f"{INDENT}{trouble.message}")
    for line in trouble.hint.splitlines():
        here.say(f"{INDENT}{line}")


def one_word(known: Sequence[str]) -> Callable[[str], str]:
    """Reads one of some words, of which the beginning suffices; nothing is nothing."""

    def read(answer: str) -> str:
        fitting = [word for word in known if word.startswith(answer.lower())]
        if answer and len(fitting) != 1:
            raise Unclear(f'"{answer}"?', hint=f"One of: {', '.join(known)}.")
        return fitting[0] if answer else ""

    return read


def yes(answer: str) -> bool:
    """Reads yes or no; nothing is no."""
    return one_word(("yes", "no"))(answer) == "yes"


def needs_somebody(verb: str, instead: str) -> None:
    """Refuse to ask along where nobody is to be asked.

    Raises:
        Misused: no terminal; says what to type instead.
    """
    if not desk.current().is_terminal:
        raise Misused(f"rick {verb} without words asks along, and nobody answers here.", hint=f"Type it: {instead}")


@contextlib.contextmanager
def trial(verb: str) -> Iterator[Page]:
    """A page of the book on which a verb is tried: nothing of it is stored."""
    here = desk.current()
    with journal.writing(here.path, journal.Hand(verb, "", here.now, here.today, dry_run=True)) as page:
        yield page


def ask_of_tree(on: str, *, note: str, dry_run: bool) -> None:
    """Ask along about a tree that came down, and store it at the end.

    Args:
        on: the date as typed, if it was; else it is asked for.
        note, dry_run: as for every verb.
    """
    needs_somebody("fell", 'rick fell --species "black cherry" --on "spring 2024" --how storm')
    here = desk.current()
    told_on = here.day(on) if on else None
    here.say("A tree that came down. Enter: as each question says. q stops, and stores nothing.")
    try:
        fallen = _tree(told_on)
    except Left:
        here.say("Nothing was stored.")
        return
    store(fallen, note=note, dry_run=dry_run)


def _tree(told_on: When | None) -> Fallen:
    species = ask_until("What wood? (any name, or Enter: unknown)", _species)
    sure = by = ""
    if species:
        sure = ask_until(f"How sure: {', '.join(_SURE)}? (Enter: probable)", one_word(_SURE))
        by = ask("Who says so? (Enter: not told) > ")
    on = told_on or ask_until('When did it come down? (2024-05, "spring 2024", Enter: today)', _day)
    how = ask_until(f"How: {', '.join(_HOW)}? (Enter: not told)", one_word(_HOW))
    stood = ask_until("Did it stand alive or dead? (Enter: not told)", one_word(("alive", "dead")))
    site = ask("Where did it stand? (Enter: not told) > ")
    got_from = ask("Who gave it? (Enter: not told) > ")
    tag = ask_until("A name of your own for it? (Enter: none)", _free_tag)
    alive = {"alive": True, "dead": False, "": None}[stood]
    return Fallen(on, species, sure, by, "", how, alive, site, got_from, tag=tag)


def _species(answer: str) -> str:
    if answer:
        with trial("fell") as page:
            felling.told(page, answer, "probable")
    return answer


def _day(answer: str) -> When:
    here = desk.current()
    found = here.day(answer or None)
    if answer:
        here.say(f"{INDENT}{words(found)}")
    return found


def _free_tag(answer: str) -> str:
    if answer:
        with trial("fell") as page:
            felling.fell(page, species="", on=desk.current().day(None), tag=answer)
    return answer
