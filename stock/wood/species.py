"""Finding a wood by any of its names; the public door to woods and their numbers.

"Unknown" is a full answer: `find` gives None for it, and weights and moisture work without a name. A name that means
several trees is never guessed at. Names, and what tells the trees apart, are general botanical knowledge.
"""

import re
import unicodedata
from collections.abc import Iterable
from functools import cache
from typing import NamedTuple

from stock.errors import Ambiguous, Unknown
from stock.wood.values import Value, source, table
from stock.wood.woods import (
    WAY_OUT,
    Wood,
    best_basic_specific_gravity,
    genus_of,
    shrinkage,
    with_values,
    wood,
    woods,
)

__all__ = [
    "Value",
    "Wood",
    "best_basic_specific_gravity",
    "candidates",
    "find",
    "genus_of",
    "names",
    "shrinkage",
    "source",
    "with_values",
    "wood",
    "woods",
]

SCREEN_COLUMNS = 80
_NOT_TOLD = frozenset(
    {"unknown", "unk", "unidentified", "unsure", "mystery", "na", "none", "tbd", "notknown", "notsure", "dontknow"}
    | {"noidea", "unknownwood", "unknownspecies", "unknowntree", "mysterywood"}
    | {"hardwood", "softwood", "unknownhardwood", "unknownsoftwood"}
)
_NOT_LETTERS = re.compile(r"[\W_]+")
_TRAILING = frozenset({"wood", "tree", "timber", "log", "sp", "spp", "species"})


class _Meaning(NamedTuple):
    key: str
    note: str


def find(text: str) -> Wood | None:
    """The one wood that a common or scientific name means.

    Case, spaces, hyphens, accents and punctuation do not matter; "cherry, black" is "black cherry".

    Args:
        text: the name as typed.

    Returns:
        The wood; None for the empty text, "unknown", "?" and the like.

    Raises:
        Ambiguous: the name means several woods; the hint lists them with what tells them apart.
        Unknown: no wood goes by that name; the hint lists the nearest. Code `unknown-species`.
    """
    if _is_not_told(text):
        return None
    meanings = _meanings(text)
    if len(meanings) == 1:
        return wood(meanings[0].key)
    if not meanings:
        raise _not_known(text)
    genera = {wood(meaning.key).genus for meaning in meanings}
    trees = "several unrelated trees" if len(genera) > 1 else "several trees"
    hint = "\n".join([*_listing(meanings), WAY_OUT])
    raise Ambiguous(f'"{_shown(text)}" is the name of {trees}; say which:', hint=hint)


def candidates(text: str) -> tuple[Wood, ...]:
    """All woods that a name, genus or group may stand for, as a filter needs it.

    Args:
        text: "cherry" gives every wood whose name ends so, "Acer" all maples, "red oak group" its members,
            "black cherry" that one.

    Returns:
        The woods, those that bear the name itself first; empty for unknown woods and names.
    """
    if _is_not_told(text):
        return ()
    keys = [meaning.key for meaning in _meanings(text)]
    if len(keys) == 1:
        keys += [other.key for other in woods() if _belongs(other, wood(keys[0]))]
    elif words := _fold(text):
        bearing = (found for name, found in _by_words().items() if name.endswith(" " + words))
        keys += [meaning.key for found in bearing for meaning in found]
        keys += [other.key for other in woods() if words in (other.genus.lower(), other.group)]
    return tuple(wood(key) for key in dict.fromkeys(keys))


def names(one: Wood) -> tuple[str, ...]:
    """Every name that means this wood, also those that mean other woods too; the scientific name first."""
    return tuple(name for name, key, *_ in table("names.csv") if key == one.key)


@cache
def _by_words() -> dict[str, list[_Meaning]]:
    meanings: dict[str, list[_Meaning]] = {}
    for name, key, _, note in table("names.csv"):
        meanings.setdefault(_fold(name), []).append(_Meaning(key, note))
    return meanings


@cache
def _by_letters() -> dict[str, dict[str, _Meaning]]:
    meanings: dict[str, dict[str, _Meaning]] = {}
    for words, found in _by_words().items():
        meanings.setdefault(words.replace(" ", ""), {}).update((meaning.key, meaning) for meaning in found)
    return meanings


def _fold(text: str) -> str:
    """Lower-case words without accents and punctuation; the x of a hybrid is left out."""
    if not text.isascii():
        text = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
    words = _NOT_LETTERS.sub(" ", text.casefold()).split()
    return " ".join(word for word in words if word != "x")


def _is_not_told(text: str) -> bool:
    letters = _fold(text).replace(" ", "")
    return letters in _NOT_TOLD or (not letters and not re.search(r"[^\s?.,;:/*_!'\"()\-–—]", text))


def _meanings(text: str) -> list[_Meaning]:
    """What a name may mean: as typed, with the parts at commas turned round, or as "name (name)"."""
    turned = " ".join(reversed(text.split(",")))
    if found := _listed(text) or _listed(turned):
        return list(found.values())
    before, bracket, inside = text.rstrip(" )").partition("(")
    both = [listed for part in (inside, before) if bracket and (listed := _listed(part))]
    return [meaning for key, meaning in both[0].items() if key in both[-1]] if both else []


def _listed(text: str) -> dict[str, _Meaning]:
    """The meanings of a name as it is listed, or without a last "tree", "wood" or "spp."."""
    words = _fold(text).split()
    while words:
        if found := _by_letters().get("".join(words)):
            return found
        if words.pop() not in _TRAILING:
            break
    return {}


def _belongs(other: Wood, one: Wood) -> bool:
    if one.rank == "genus":
        return other.genus == one.genus
    if one.rank == "group":
        return bool(one.group) and other.group == one.group
    return other.rank == "form" and other.key.startswith(one.key + "-")


def _not_known(text: str) -> Unknown:
    import difflib

    words = _fold(text)[:60]
    near = difflib.get_close_matches(words, _by_words(), n=4, cutoff=0.7)
    keys = [meaning.key for name in near for meaning in _by_words()[name]]
    keys += [one.key for one in candidates(words.rpartition(" ")[2])]
    nearest = [_Meaning(key, "") for key in dict.fromkeys(keys)][:6]
    hint = "\n".join(["nearest:", *_listing(nearest), WAY_OUT] if nearest else [WAY_OUT])
    return Unknown(f'no wood goes by the name "{_shown(text)}"', hint=hint, code="unknown-species")


def _listing(meanings: Iterable[_Meaning]) -> list[str]:
    """One line a wood, aligned: name, scientific name, what tells it apart, cut at a comma to fit the screen."""
    rows = [(wood(meaning.key), meaning.note) for meaning in meanings]
    latin = [one.scientific.partition(" (")[0] for one, _ in rows]
    name_width, latin_width = max(len(one.name) for one, _ in rows), max(map(len, latin))
    lines = []
    for (one, note), scientific in zip(rows, latin, strict=True):
        head = f"  {one.name:{name_width}}  {scientific:{latin_width}}  " + (f"{note}: " if note else "")
        phrases = one.tell.split(", ")
        while len(phrases) > 1 and len(head) + len(", ".join(phrases)) > SCREEN_COLUMNS:
            phrases.pop()
        lines.append((head + ", ".join(phrases)).rstrip(": "))
    return lines


def _shown(text: str) -> str:
    """The text as typed, on one line and no longer than can be read."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return line if len(line) <= 60 else line[:57] + "..."
