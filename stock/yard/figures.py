"""A number of the person's own for a wood, with its source: what no handbook prints, or prints otherwise."""

from dataclasses import dataclass

from stock.book.journal import Page
from stock.book.records import SpeciesValue
from stock.dates import When
from stock.errors import Impossible, Unclear, Unknown
from stock.wood import species as woods

# property -> (unit, lowest, highest) that a person may give
PROPERTIES: dict[str, tuple[str, float, float]] = {
    "basic_specific_gravity": ("", 0.05, 1.5),
    "shrinkage_radial_pct": ("%", 0.1, 20.0),
    "shrinkage_tangential_pct": ("%", 0.1, 30.0),
    "shrinkage_volumetric_pct": ("%", 0.1, 40.0),
    "green_mc_tree_pct": ("%", 20.0, 400.0),
    "green_mc_heartwood_pct": ("%", 20.0, 400.0),
    "green_mc_sapwood_pct": ("%", 20.0, 400.0),
}


@dataclass(frozen=True, slots=True)
class Figured:
    """A number that is on the book now."""

    wood: str
    property: str
    value: float
    unit: str
    source: str


def add_figure(page: Page, *, species: str, property: str, value: float, source: str, on: When) -> Figured:
    """Put a number for a wood on the book.

    Args:
        page: the page that is being written.
        species: any name of the wood; a name that no handbook has is kept as said.
        property: one of `PROPERTIES`, in the unit that is given there.
        value: the number.
        source: where it comes from: a book and page, or "measured here".
        on: when it was found.

    Raises:
        Unclear: no such property, or no source.
        Impossible: a number that no wood has.
        Ambiguous: the name means several woods.
    """
    if property not in PROPERTIES:
        raise Unclear(f'no number is called "{property}".', hint=f"Known: {', '.join(PROPERTIES)}.")
    if not source.strip():
        raise Unclear("a number needs its source.", hint='--source "measured here, 2 May" or a book and its page.')
    unit, low, high = PROPERTIES[property]
    if not low <= value <= high:
        raise Impossible(f"{property} of {value:g} {unit}".rstrip() + f" is outside {low:g} to {high:g}.")
    said = " ".join(species.split())
    if not said:
        raise Unclear("no wood was named.", hint="rick species --add pear ...")
    try:
        found = woods.find(said)
    except Unknown:
        found = None
    page.put(
        SpeciesValue(
            species_key=found.key if found else None,
            said=said,
            property=property,
            value=value,
            unit=unit,
            source=source.strip(),
            on_first=on.first,
            on_last=on.last,
            on_text=on.text,
        )
    )
    return Figured(found.name if found else said, property, value, unit, source.strip())
