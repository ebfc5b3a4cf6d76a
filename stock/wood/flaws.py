"""The defects of a blank, by the words of the trade, and what each takes from a stave.

What a kind does follows the catalogue of the trade: common practice, no source.
"""

from dataclasses import dataclass
from math import isfinite
from typing import Literal

from stock.errors import Impossible

Effect = Literal["bars", "shortens", "cut out", "planed off", "judge"]

EFFECTS: dict[str, Effect] = {
    "end check": "shortens",
    "split": "shortens",
    "surface check": "planed off",
    "honeycomb": "bars",
    "ring shake": "bars",
    "heart shake": "bars",
    "pith": "bars",
    "knot": "cut out",
    "loose knot": "bars",
    "bark inclusion": "bars",
    "spalt": "judge",
    "punk": "bars",
    "insect holes": "judge",
    "wane": "planed off",
    "reaction wood": "judge",
    "spiral grain": "judge",
    "twist": "planed off",
    "bow": "planed off",
    "crook": "planed off",
    "cup": "planed off",
    "collapse": "planed off",
    "case-hardening": "judge",
    "stain": "judge",
    "metal": "bars",
    "wetwood": "judge",
    "resin pocket": "judge",
    "glue failure": "bars",
    "repair": "cut out",
    "other": "judge",
}
DEFECT_KINDS = tuple(EFFECTS)
BARRING_KINDS = frozenset(kind for kind, effect in EFFECTS.items() if effect == "bars")

SIDES = {"A": "thickness", "C": "thickness", "B": "width", "D": "width"}
_MUST_BE_KNOWN = {"surface check", "repair"}  # across a glue face: without its depth or place it bars the blank
_LOOK = {
    "knot": "place not recorded: look whether it meets a glue face",
    "spalt": "decay goes on while the wood is damp: try it with a nail",
    "insect holes": "look for fresh dust",
    "reaction wood": "shortens and bows as it dries: better left out of a set",
    "spiral grain": "thin parts snap; steeper than 1 in 10 is too much for thin staves",
    "case-hardening": "saw oversize, let it rest, plane again; it can pinch the saw",
    "stain": "a blue-black streak may be metal: look before sawing",
    "wetwood": "weak along the rings",
}


@dataclass(frozen=True, slots=True)
class Flaw:
    """One defect, as last seen.

    Attributes:
        kind: one of DEFECT_KINDS.
        end: butt, top, both; None if it is at neither or not known.
        face: A to D, anticlockwise seen from the butt end; A and C bound the thickness, B and D the width.
        from_butt_mm: where it begins, from the butt end.
        length_mm: along the grain.
        depth_mm: into the wood; of a warp, the gap under a straightedge; of wane, the width missing.
        severity: slight, moderate, severe or unknown.
    """

    kind: str
    end: str | None = None
    face: str | None = None
    from_butt_mm: float | None = None
    length_mm: float | None = None
    depth_mm: float | None = None
    severity: str = "unknown"

    def __post_init__(self) -> None:
        if self.kind not in EFFECTS:
            raise Impossible(f'no defect is called "{self.kind}"', hint=f"Known: {', '.join(DEFECT_KINDS)}.")
        if self.end not in (None, "butt", "top", "both"):
            raise Impossible(f'a piece has no end "{self.end}"', hint="Known: butt, top, both.")
        for name in ("from_butt_mm", "length_mm", "depth_mm"):
            if (value := getattr(self, name)) is not None:
                measure(value, f"{name} of a {self.kind}")

    @property
    def where(self) -> str:
        """Its name and its end or face, in words."""
        if self.end:
            return f"{self.kind} at the {self.end} end" if self.end != "both" else f"{self.kind} at both ends"
        return f"{self.kind} on face {self.face}" if self.face in SIDES else self.kind


def judge(flaw: Flaw) -> tuple[bool, str]:
    """Whether a flaw bars a blank from being a stave, and what there is to say about it.

    Some kinds bar always, others when they are severe. A flaw that has to be cut or planed off bars while it is not
    recorded how far it goes, if it crosses a glue face or a glue end; otherwise the person is asked to look.
    """
    effect, look = EFFECTS[flaw.kind], _LOOK.get(flaw.kind, "")
    placed = flaw.from_butt_mm is not None or (flaw.end is not None and flaw.length_mm is not None)
    if effect == "bars":
        return True, ""
    if effect == "shortens" and flaw.length_mm is None:
        return True, ", length not recorded: measure it"
    if effect == "planed off" and flaw.depth_mm is None:
        bars = flaw.kind in _MUST_BE_KNOWN or flaw.severity == "severe"
        return bars, ", depth not recorded: measure it"
    if effect == "cut out" and not placed:
        bars = flaw.kind in _MUST_BE_KNOWN or flaw.severity == "severe"
        return bars, f", {look or 'place not recorded: measure it'}"
    if effect == "judge":
        return (True, ", severe") if flaw.severity == "severe" else (False, f", {look}" if look else "")
    return False, ""


def measure(value: float, what: str) -> float:
    if not (isfinite(value) and value >= 0):
        raise Impossible(f"{what} of {value:g} mm cannot be", hint="A length is a number from 0 up.")
    return value
