"""The grammar of written measures: text -> exact numbers with their unit words, before any unit is understood.

Strict on purpose. General parsers read "12,5 mm" as 125 mm and "1 1/2 in" as half an inch; here a text is read in one
way or not at all. Numbers stay fractions, so that 2 1/8 is exactly that until the very end.
"""

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction

from stock.errors import Unclear

LONGEST = 80  # characters; nobody writes a measure longer than this

# The fractions of rules and kitchen scales; "1/7 in" is a slip.
_DENOMINATORS = {2, 3, 4, 5, 6, 8, 10, 12, 16, 32, 64}

_SIGNS = str.maketrans(
    {"“": '"', "”": '"', "″": '"', "‘": "'", "’": "'", "′": "'"}
    | {"−": "-", "–": "-", "‐": "-", "‑": "-", "⁄": "/", "º": "°", "≈": "~", "℃": "°c", "℉": "°f", "³": "^3"}
)
_VULGAR = re.compile("[¼-¾⅐-⅞]")
_WORDINGS = [
    (re.compile(r"''"), '"'),
    (re.compile(r"(?<=[a-z])\^3(?![0-9])"), "3"),
    (re.compile(r"(?<![a-z])(?:cu\.?|cubic) ?in(?:ch(?:es)?)?(?![a-z0-9])"), "in3"),
    (re.compile(r"(?:°|(?<![a-z])deg(?:rees?)?\.?) ?(?=[cf](?:elsius|ahrenheit)?(?![a-z]))"), ""),
    (re.compile(r"(?<![a-z])fl(?:uid)?\.? ?(?:oz|ounces?)(?![a-z])"), "floz"),
]
_WHOLE = r"(?:0|[1-9][0-9]*)"
_PART = re.compile(
    rf"(?:(?:(?P<whole>{_WHOLE})[ -])?(?P<top>{_WHOLE})/(?P<under>{_WHOLE})(?![0-9])|(?P<decimal>[0-9]*[.,]?[0-9]+))"
    r" ?(?P<unit>[a-z]++(?:3$)?|[\"'%°])?(?:(?<=[a-z])\.(?![0-9]))?"
)
_GAP = re.compile(r" (?=[0-9.,])|(?P<hyphen>-)(?=[0-9])|(?=[0-9])")


@dataclass(frozen=True, slots=True)
class Part:
    """One number with the unit word that follows it.

    Attributes:
        number: the exact number.
        step: the last step that its digits tell: 812 -> 1, 8.5 -> 1/10, 1 5/8 -> 1/8.
        unit: the unit word in lower case, or an empty text.
        whole: true for a plain whole number.
        top_heavy: true for a fraction of more than one without a whole number: 21/4.
        hyphen: true if a hyphen joins it to the part before.
    """

    number: Fraction
    step: Fraction
    unit: str
    whole: bool
    top_heavy: bool
    hyphen: bool


def quoted(text: str) -> str:
    """The text as typed, in quotes, fit for one line of a message: unprintable characters out, long texts cut."""
    plain = "".join(c if c.isprintable() else " " for c in text)
    return f'"{plain}"' if len(plain) <= LONGEST else f'"{plain[: LONGEST // 2]}..."'


def fold(text: str) -> str:
    """Lower case, single spaces, plain signs: `2½″` -> `2 1/2"`. Nothing is read yet and no number changes."""

    def spell(found: re.Match[str]) -> str:
        before, after = text[: found.start()][-1:], text[found.end() :][:1]
        fraction = unicodedata.normalize("NFKC", found[0])
        return f"{' ' if before.isdigit() or _VULGAR.match(before) else ''}{fraction}{' ' if after.isdigit() else ''}"

    folded = " ".join(_VULGAR.sub(spell, text).translate(_SIGNS).lower().split())
    for wording, plain in _WORDINGS:
        folded = wording.sub(plain, folded)
    return folded


def scan(folded: str) -> tuple[Part, ...]:
    """Read a folded text as numbers with unit words, from the first character to the last.

    Args:
        folded: a text from `fold`, without a sign in front.

    Returns:
        The parts in order: `3 lb 2 1/4 oz` gives two. At least one.

    Raises:
        Unclear: the text is anything else; the message is the reason alone, for the caller to put the text before; it
            has a hint if the way out lies in the text itself.
    """
    if not folded:
        raise Unclear("nothing there")
    _check_forms(folded)
    _check_commas(folded)
    parts: list[Part] = []
    at, hyphen = 0, False
    while True:
        found = _PART.match(folded, at)
        if not found:
            raise Unclear("cannot be read")
        parts.append(_part(found, hyphen))
        at = found.end()
        if at == len(folded):
            return tuple(parts)
        gap = _GAP.match(folded, at)
        if not gap:
            raise Unclear("cannot be read")
        at, hyphen = gap.end(), gap["hyphen"] is not None


def mend(folded: str) -> str:
    """The text, character by character, with the letters O, I and l beside digits taken for 0 and 1."""
    zeros = r"(?<![a-z])o(?=[0-9.,])|(?<=[0-9.,])o"
    ones = r"(?<![a-z])[il|](?=[0-9.,/])|(?<=[0-9.,/])[il|](?![a-z])"
    while True:
        mended = re.sub(ones, "1", re.sub(zeros, "0", folded))
        if mended == folded:
            return mended
        folded = mended


def _part(found: re.Match[str], hyphen: bool) -> Part:
    unit = found["unit"] or ""
    if found["decimal"]:
        digits = found["decimal"].replace(",", ".")
        step = Fraction(1, 10 ** len(digits.partition(".")[2]))
        return Part(Fraction(digits), step, unit, whole=digits.isdigit(), top_heavy=False, hyphen=hyphen)
    whole, top, under = (int(found[name] or 0) for name in ("whole", "top", "under"))
    if under not in _DENOMINATORS:
        raise Unclear(f"{top}/{under} is not a fraction of any rule or scales")
    if found["whole"] and top >= under:
        raise Unclear(f"{top}/{under} after a whole number is one or more")
    number = whole + Fraction(top, under)
    return Part(number, Fraction(1, under), unit, whole=False, top_heavy=top > under, hyphen=hyphen)


def _check_commas(folded: str) -> None:
    if "," not in folded:
        return
    thousands = re.search(r"(?<![0-9.,])[0-9]{1,3},[0-9]{3}(?![0-9.,])", folded)
    if thousands and folded.count(",") == 1:
        ways = f"Write {folded.replace(',', '.')} or {folded.replace(',', '')}"
        hint = f"{ways}." if re.search(r"[^0-9,]", folded) else f"{ways}, with its unit."
        raise Unclear("a decimal comma or a thousands mark?", hint=hint)
    if folded.count(",") > 1 or not re.search(r"(?<![0-9.,])[0-9]*,[0-9]{1,2}(?![0-9.,/])", folded):
        raise Unclear("only a single comma, with one or two digits behind it, is a decimal sign")


def _check_forms(folded: str) -> None:
    if re.search(r"(?<![a-z])(nan|inf(inity)?)(?![a-z])|∞", folded):
        raise Unclear("not a number")
    if re.search(r"[0-9]e[+-]?[0-9]|\^", folded):
        raise Unclear("powers of ten are not read; write the number out")
    if re.search(r"(?<![0-9])0x[0-9a-f]", folded):
        raise Unclear("hexadecimal numbers are not read")
