"""The moisture content that wood is wanted at: as asked, as chosen for the book, or that of a heated house."""

from collections.abc import Mapping
from dataclasses import dataclass

from stock.wood.air import emc_or_edge
from stock.wood.readiness import named_target

DEFAULT_TARGET = "heated house"


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
        StockError: a target that cannot be read.
    """
    text = asked or settings.get("target", "")
    given = bool(text)
    text = text or DEFAULT_TARGET
    words = text.split()
    if words[0] == "room" and len(words) == 3:
        mc, _ = emc_or_edge(float(words[1]), float(words[2]))
        return Target(mc, f"a room of {words[1]} C and {words[2]} %", given)
    try:
        return Target(float(text.rstrip(" %")), f"{text.rstrip(' %')} %", given)
    except ValueError:
        return Target(named_target(text), f"a {text}" if not text.startswith(("a ", "the ")) else text, given)
