"""A value together with the text it was typed as."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Typed:
    """One measure as the person gave it.

    Attributes:
        value: the number in the house's unit for that quantity (mm, g, degC, percent, cm3).
        text: what was typed, unchanged.
        plus_minus: half of the last step that the text tells (812 g: 0.5), in the same unit; None if not known.
    """

    value: float
    text: str
    plus_minus: float | None = None
