"""A command as people type it: nobody quotes for the shell, and its help ends with the cautions of its act."""

import inspect
from collections.abc import Iterator, Sequence
from typing import Any

from typer.core import TyperCommand


class Verb(TyperCommand):
    """A command whose surplus words belong to the option before them: `rick trim 214H --before 1 lb 1 5/8 oz`.

    A command that takes any number of pieces keeps all its words.
    """

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        return super().parse_args(ctx, joined(args, self._takes_value(), self._pieces()))

    def _takes_value(self) -> dict[str, bool]:
        """Each option as typed, and whether a value follows it."""
        options = [param for param in self.params if param.param_type_name == "option"]
        named = {name: not getattr(param, "is_flag", False) for param in options for name in param.opts}
        return named | {name: False for param in options for name in param.secondary_opts}

    def _pieces(self) -> int | None:
        """How many words stand before the options; None for any number."""
        counts = [param.nargs for param in self.params if param.param_type_name == "argument"]
        return None if -1 in counts else sum(counts)

    def format_help_text(self, ctx: Any, formatter: Any) -> None:
        """What it does; the examples of its docstring come last."""
        told, _, _ = self._told()
        formatter.write_paragraph()
        with formatter.indentation():
            formatter.write_text(told)

    def format_epilog(self, ctx: Any, formatter: Any) -> None:
        from stock.wood.cautions import more

        if cautions := more(self.name or ""):
            with formatter.section("Cautions"):
                formatter.write_text(cautions)
        _, _, examples = self._told()
        lines = [line.strip() for part in examples.split("\n") for line in part.split("            ") if line.strip()]
        if lines:
            with formatter.section("Example" if len(lines) == 1 else "Examples"):
                for line in lines:
                    formatter.write(f"{'':{formatter.current_indent}}{line}\n")

    def _told(self) -> tuple[str, str, str]:
        return inspect.cleandoc(self.help or "").partition("Example:")


def joined(words: Sequence[str], takes_value: dict[str, bool], pieces: int | None) -> list[str]:
    """The words of a line, with those that nobody quoted put back to the option that they belong to.

    Args:
        words: the words after the command.
        takes_value: each option, and whether a value follows it.
        pieces: how many words the command takes besides; None for any number, where nothing can be joined.

    Returns:
        The words as if they had been quoted; what cannot be understood is left as it is.
    """
    if pieces is None:
        return list(words)
    found: list[str] = []
    rest = iter(words)
    last: int | None = None  # where the value is that surplus words belong to
    for word in rest:
        name, is_whole, _ = word.partition("=")
        if word == "--":
            return [*found, word, *rest]
        if name in takes_value:
            found += [word, *_value(rest)] if takes_value[name] and not is_whole else [word]
            last = len(found) - 1 if takes_value[name] else None
        elif word.startswith("-") and not word[1:2].isdigit():
            found.append(word)
            last = None
        elif pieces > 0:
            found.append(word)
            pieces -= 1
        elif last is not None:
            found[last] += f" {word}"
        else:
            found.append(word)
    return found


def _value(rest: Iterator[str]) -> list[str]:
    value = next(rest, None)
    return [] if value is None else [value]
