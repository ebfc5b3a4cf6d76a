"""The answer of `rick size`: its screen, and its document."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

from stock.cli.printing import wrapped
from stock.wood import forms, species
from stock.wood.forms import Allowances, Total
from stock.wood.green_size import GreenSize
from stock.wood.movement import Shrinkages
from stock.wood.reversal import KEEP_SQUARE_MM, ReversedSection
from stock.wood.species import Wood
from stock.writing import MM_PER_IN, both_lengths, write_length

INDENT = 9


@dataclass(frozen=True, slots=True)
class Green:
    """What was asked of wet wood, and what came of it; `size` is None where the wood has no figure.

    `now_pct` is None for green wood; `finish` is the target in words.
    """

    wood: Wood | None
    figures: Shrinkages | None
    size: GreenSize | None
    ring_deg: float | None
    now_pct: float | None
    finish_pct: float
    finish: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """A finished form and what it takes, mm; `length_mm` is None if it was not told, `largest` if no diameter was."""

    unit: str
    side_mm: float
    diameter_mm: float
    largest: bool
    length_mm: float | None
    staves: int
    allow: Allowances
    reversed: ReversedSection | None
    green: Green | None

    @property
    def stave(self) -> Total | None:
        return None if self.length_mm is None else forms.stave_length(self.length_mm, self.allow)

    @property
    def stick(self) -> Total | None:
        return None if self.stave is None else forms.stick_length(self.staves, self.stave.mm, self.allow)


def up(mm: float, unit: str) -> str:
    """A size to saw in both systems, each rounded up: `2 1/4 in (57 mm)`."""
    other = "mm" if unit in ("in", "ft") else "in"
    own, its = (write_length(forms.rounded_up_mm(mm, u), u) for u in (unit, other))
    return f"{own} ({its})"


def fine(mm: float, unit: str) -> str:
    """A width that is seldom on a mark of the rule: `0.10 in (2.5 mm)`."""
    metric, inches = f"{mm:.1f} mm", f"{mm / MM_PER_IN:.2f} in"
    return f"{inches} ({metric})" if unit in ("in", "ft") else f"{metric} ({inches})"


def lines(answer: Answer) -> Iterator[str]:
    """The screen of `rick size`."""
    unit = answer.unit
    near, write = partial(both_lengths, unit=unit), partial(write_length, unit=unit)
    long = "" if answer.length_mm is None else f", {near(answer.length_mm)} long"
    most = " at most" if answer.largest else ""
    yield from wrapped(f"A form {near(answer.diameter_mm)} across{most}{long}:")
    stave = f"{up(answer.side_mm, unit)} square, planed"
    if answer.stave:
        yield from _item("stave", f"{stave}; {up(answer.stave.mm, unit)} long")
        yield from wrapped(f"= {answer.stave.words(write)}", INDENT)
    else:
        yield from _item("stave", stave)
    rough = forms.rough_side_mm(answer.side_mm, answer.allow)
    yield from _item("blank", f"{up(rough, unit)} square, dry and rough: {write(answer.allow.planing_mm)} to plane")
    if answer.stick:
        yield from _item("stick", f"{up(answer.stick.mm, unit)} long")
        yield from wrapped(f"= {answer.stick.words(write)}", INDENT)
    quartered = forms.quartered_side_mm(answer.side_mm, answer.allow)
    yield from _item("or", f"one dry square of {up(quartered, unit)}, free of pith, ripped in four")
    diagonal = forms.diagonal_mm(answer.side_mm)
    yield from _item("block", f"{near(2 * answer.side_mm)} square, {near(diagonal)} from corner to corner")
    if answer.green:
        yield from _green_lines(answer.green, unit)
    if answer.reversed:
        yield from _reversed_lines(answer.reversed, unit)


def _item(name: str, text: str) -> Iterator[str]:
    first, *rest = wrapped(f"{name:<{INDENT - 1}} {text}")
    yield first
    for line in rest:
        yield from wrapped(line, INDENT)


def _green_lines(green: Green, unit: str) -> Iterator[str]:
    if green.size is None or green.figures is None:
        yield from _item("green", f"not known: {no_figure(green)}")
        return
    state = "green" if green.now_pct is None else f"at {green.now_pct:g} %"
    yield from _item("green", f"saw it {up(green.size.square_mm, unit)} square, {state}")
    told = "" if green.figures.verified else ", unverified"
    counted = f"shrinkage {green.size.shrinkage_pct:.1f} % green to oven-dry{told}; for {_finish(green)}"
    larger = green.ring_deg is None and green.figures.radial_pct is not None
    rings = " The ring angle is not told: counted as the larger." if larger else ""
    yield from wrapped(f"= {write_length(green.size.dry_mm, unit)} dry and rough; {counted}.{rings}", INDENT)
    if green.size.drying:
        most = "at most " if green.size.drying.at_most else ""
        lean = f"{green.size.drying.lean_deg:.1f} degrees, {fine(green.size.drying.lean_mm, unit)} over a side"
        yield from wrapped(f"Its corners go out of square by {most}{lean}: counted.", INDENT)
    yield from wrapped(f"Source: {_source(green.figures)}", INDENT)


def _finish(green: Green) -> str:
    number = f"{green.finish_pct:g} %"
    return number if green.finish == number else f"{green.finish}, {number}"


def no_figure(green: Green) -> str:
    name = green.wood.name if green.wood else "an unknown wood"
    own = "your own: --shrinkage 7.1" + (", or rick species --add" if green.wood else "")
    return f"no shrinkage figure for {name}, and none is borrowed; {own}"


def _source(figures: Shrinkages) -> str:
    worked = " Worked out from its coefficients of dimensional change." if figures.from_coefficients else ""
    return f"{species.source(figures.source).rstrip('.')}.{worked}"


def _reversed_lines(section: ReversedSection, unit: str) -> Iterator[str]:
    near = partial(both_lengths, unit=unit)
    yield from wrapped(
        f"First cut {fine(section.first_cut_mm, unit)} in from the corner:"
        f" {fine(2 * section.first_radius_mm, unit)} across is left there."
        f" Reversed and turned to {near(2 * section.second_radius_mm)}:"
    )
    if section.falls_apart:
        yield from _item("wall", "none: nothing is left there, and the block falls apart")
        yield from _item("", f"cut less than {near(section.second_radius_mm)} deep")
    else:
        weak = ": fragile, below 1/8 in" if section.fragile else ""
        yield from _item("wall", f"{fine(section.wall_mm, unit)} on the diagonal{weak}")
        window = f"{fine(section.window_mm, unit)} wide" if section.window_mm else "none: the staves touch"
        yield from _item("window", window)
    yield from _item("hollow", f"a circle {near(2 * section.first_cut_mm)} across fits in")
    if section.only_the_ends_hold:
        least, most = (write_length(mm, unit) for mm in KEEP_SQUARE_MM)
        keep = f"{least.removesuffix(f' {unit}')} to {most}"
        yield from _item("glue", f"none there: only the ends hold. Keep each full square for {keep}")
    else:
        yield from _item("glue", f"{fine(section.glue_mm, unit)} wide at each joint there")
    yield "Geometry, not strength."


def document(answer: Answer) -> dict[str, Any]:
    """The document of `rick size --json`: exact, and `saw_` sizes rounded up in the unit of the answer."""
    unit, stave, stick = answer.unit, answer.stave, answer.stick
    rough = forms.rough_side_mm(answer.side_mm, answer.allow)
    quartered = forms.quartered_side_mm(answer.side_mm, answer.allow)
    return {
        "unit": unit,
        "form": {"diameter_mm": answer.diameter_mm, "length_mm": answer.length_mm},
        "stave": {
            "square_mm": answer.side_mm,
            "length_mm": stave.mm if stave else None,
            "saw_length_mm": forms.rounded_up_mm(stave.mm, unit) if stave else None,
        },
        "blank": {"square_mm": rough, "saw_square_mm": forms.rounded_up_mm(rough, unit)},
        "stick": {
            "staves": answer.staves,
            "length_mm": stick.mm if stick else None,
            "saw_length_mm": forms.rounded_up_mm(stick.mm, unit) if stick else None,
        },
        "quartered": {"square_mm": quartered, "saw_square_mm": forms.rounded_up_mm(quartered, unit)},
        "block": {"square_mm": 2 * answer.side_mm, "diagonal_mm": forms.diagonal_mm(answer.side_mm)},
        "allowances": {name: getattr(answer.allow, name) for name in Allowances.__slots__},
        "green": _green_document(answer.green, unit) if answer.green else None,
        "reversed": _reversed_document(answer.reversed) if answer.reversed else None,
    }


def _green_document(green: Green, unit: str) -> dict[str, Any]:
    found, figures = green.size, green.figures
    drying = found.drying if found else None
    return {
        "species": green.wood.scientific if green.wood else None,
        "square_mm": found.square_mm if found else None,
        "saw_square_mm": forms.rounded_up_mm(found.square_mm, unit) if found else None,
        "dry_square_mm": found.dry_mm if found else None,
        "shrinkage_pct": found.shrinkage_pct if found else None,
        "radial_pct": figures.radial_pct if figures else None,
        "tangential_pct": figures.tangential_pct if figures else None,
        "verified": figures.verified if figures else None,
        "source": _source(figures) if figures else None,
        "ring_deg": green.ring_deg,
        "moisture_pct": green.now_pct,
        "target_pct": green.finish_pct,
        "lean_deg": drying.lean_deg if drying else None,
        "lean_mm": drying.lean_mm if drying else None,
        "lean_at_most": drying.at_most if drying else None,
        "why": None if found else no_figure(green),
    }


def _reversed_document(section: ReversedSection) -> dict[str, Any]:
    return {
        "first_cut_mm": section.first_cut_mm,
        "first_diameter_mm": 2 * section.first_radius_mm,
        "second_diameter_mm": 2 * section.second_radius_mm,
        "wall_mm": section.wall_mm,
        "window_mm": section.window_mm,
        "glue_mm": section.glue_mm,
        "fragile": section.fragile,
        "falls_apart": section.falls_apart,
        "only_the_ends_hold": section.only_the_ends_hold,
        "note": "geometry, not strength",
    }
