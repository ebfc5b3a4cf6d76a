"""Commands whose measures stand without an option before them, or whose own words all come first."""

from collections.abc import Sequence
from typing import Any, ClassVar

from stock.cli.verb import Verb, joined


class Dashed(Verb):
    """A command that gets words such as `-5g`, to refuse them as measures that cannot be. Its options it checks with
    `unknown_option`."""

    ignore_unknown_options = True


class WordsFirst(Verb):
    """A command whose own words come before its options: what follows a value belongs to that option.

    `rick defect 214H end check --length 1 1/2 in`. If fewer than `least` words come first, nothing is joined.
    """

    least: ClassVar[int] = 2

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        takes_value = self._takes_value()
        first = next((at for at, word in enumerate(args) if _is_option(word, takes_value)), len(args))
        return super().parse_args(ctx, joined(args, takes_value, first) if first >= self.least else args)


class Looks(WordsFirst):
    """A command that a piece alone may be given to, with options."""

    least = 1


class Readings(WordsFirst, Dashed):
    """A command of a piece and plain numbers."""


def _is_option(word: str, takes_value: dict[str, bool]) -> bool:
    return word.partition("=")[0] in takes_value or (word.startswith("-") and not is_negative(word))


def is_negative(word: str) -> bool:
    """Whether a word is a negative number, and no option: `-5g`, `-.5kg`."""
    return word[:1] == "-" and (word[1:2].isdigit() or word[1:2] == ".")


def unknown_option(words: Sequence[str]) -> str:
    """The first word that was meant as an option but is none; "" if there is none."""
    return next((word for word in words if word[:1] == "-" and not is_negative(word)), "")
