"""The moisture content that wood is wanted at: as asked, as chosen for the book, or that of a heated house."""

from collections.abc import Mapping
from dataclasses import dataclass

from stock.errors import Impossible, Unclear
from stock.wood.air import emc_or_edge
from stock.wood.readiness import named_target

DEFAULT_TARGET = "heated house"
LEAST_PCT, MOST_PCT = 3.0, 60.0  # below it no room keeps wood; above it wood is as green as many a tree


@dataclass(frozen=True, slots=True)
class Target:
    """The moisture content that wood is wanted at, %, and in what words it was given; `given` if it was chosen."""

    mc_pct: float
    words: str
    given: bool


def target_of(settings: Mapping[str, str], asked: str = "") -> Target:
    """The target: as asked, else as set in the book, else that of a heated house.

    Args:
        settings: the settings in force; `target` is `8`, a name such as `damp coast`, or `room 21 45` (degC, % RH).
        asked: the same, for this question only.

    Raises:
        StockError: a target that cannot be read, or that no wood is wanted at.
    """
    text = asked or settings.get("target", "")
    given = bool(text)
    text = text or DEFAULT_TARGET
    words = text.split()
    if words[:1] == ["room"] and len(words) == 3:
        mc, _ = emc_or_edge(_number(words[1].rstrip("Cc"), text), _number(words[2].rstrip("%"), text))
        return Target(mc, f"a room of {words[1]} C and {words[2]} %", given)
    try:
        mc = float(text.rstrip(" %"))
    except ValueError:
        return Target(named_target(text), f"a {text}" if not text.startswith(("a ", "the ")) else text, given)
    if not LEAST_PCT <= mc <= MOST_PCT:
        raise Impossible(
            f'"{text}" is no moisture content to dry wood to.',
            hint=f"From {LEAST_PCT:.0f} to {MOST_PCT:.0f} % of its dry mass, such as 8%.",
        )
    return Target(mc, f"{text.rstrip(' %')} %", given)


def _number(word: str, text: str) -> float:
    try:
        return float(word)
    except ValueError:
        raise Unclear(f'"{text}" is no room.', hint="Write its temperature and humidity: room 21 45.") from None
