"""size: what a finished form takes; what to saw green for it; what is left of a block that is reversed."""

from collections.abc import Iterator
from typing import Annotated

import typer

from stock.cli import desk, options, size_lines
from stock.cli.size_lines import Answer, Green
from stock.errors import Impossible, Misused, Unclear
from stock.wood import forms, movement, species
from stock.wood.cautions import for_act
from stock.wood.forms import STAVES, Allowances
from stock.wood.green_size import green_size
from stock.wood.movement import Shrinkages
from stock.wood.reversal import ReversedSection, reversed_section
from stock.wood.shrinkage import FIBRE_SATURATION_PCT
from stock.wood.species import Wood
from stock.writing import both_lengths

EXAMPLE = "rick size --diameter 4in --length 8in"


def size(
    diameter: Annotated[str, typer.Option("--diameter", metavar="SIZE", help="Of the finished form.")] = "",
    length: Annotated[str, typer.Option("--length", metavar="SIZE", help="Of the finished form.")] = "",
    square: Annotated[str, typer.Option("--square", metavar="SIZE", help="Side of the finished stave.")] = "",
    staves: Annotated[int, typer.Option("--staves", metavar="N", min=1, max=100, help="From one stick.")] = STAVES,
    first_cut: Annotated[
        str, typer.Option("--first-cut", metavar="DEPTH", help="In from the block's corner, before the reversal.")
    ] = "",
    green: Annotated[bool, typer.Option("--green", help="What to saw while the wood is wet.")] = False,
    wood: options.Species = "",
    rings: Annotated[str, typer.Option("--rings", metavar="ANGLE", help="flat, rift, quarter or degrees.")] = "",
    shrinkage: Annotated[
        str, typer.Option("--shrinkage", metavar="PCT", help="Your own, green to oven-dry: 7.1, or 3.7/7.1.")
    ] = "",
    moisture: Annotated[str, typer.Option("--moisture", metavar="PCT", help="As sawn; default green.")] = "",
    target: options.Target = "",
    planing: Annotated[str, typer.Option("--planing", metavar="SIZE", help="Off each side, both faces.")] = "",
    glue_end: Annotated[str, typer.Option("--glue-end", metavar="SIZE", help="Left square at each end.")] = "",
    chucking: Annotated[str, typer.Option("--chucking", metavar="SIZE", help="To hold and part, in all.")] = "",
    kerf: Annotated[str, typer.Option("--kerf", metavar="SIZE", help="Of the saw.")] = "",
    trim: Annotated[str, typer.Option("--trim", metavar="SIZE", help="Off each end of a stick.")] = "",
    json: options.Json = False,
) -> None:
    """The square and length that a finished form takes; what to saw green for it; wall and window of a reversed block.

    Example:  rick size --diameter 4in --length 8in --first-cut "1 1/4 in"

    rick size --square 46mm --green --species "black cherry" --rings flat
    """
    here = desk.current()
    typed = {"planing": planing, "glue_end": glue_end, "chucking": chucking, "kerf": kerf, "trim": trim}
    allow = Allowances(**{f"{name}_mm": mm for name, text in typed.items() if (mm := _mm(text, zero=True)) is not None})
    unit = _unit(square or diameter)
    diameter_mm, side_mm = _diameter_and_side(_mm(diameter), _mm(square), unit)
    wet = green or any((wood, rings, shrinkage, moisture))
    answer = Answer(
        unit=unit,
        side_mm=side_mm,
        diameter_mm=diameter_mm,
        largest=not diameter,
        length_mm=_mm(length),
        staves=staves,
        allow=allow,
        reversed=_reversed(_mm(first_cut), side_mm, diameter_mm),
        green=_green(forms.rough_side_mm(side_mm, allow), wood, rings, shrinkage, moisture, target) if wet else None,
    )
    here.tell(size_lines.document(answer), lambda: size_lines.lines(answer))
    here.cautions(_cautions(answer))


def _mm(text: str, *, zero: bool = False) -> float | None:
    """A length as typed, mm. A question makes no book: without one a number must have its unit."""
    here = desk.current()
    if not text:
        return None
    if here.path.exists():
        typed = here.length(text, zero=zero)
        return typed.value if typed else None
    from stock import measure

    return measure.length(text, zero=zero).value


def _unit(text: str) -> str:
    """The unit of the answer: the book's, else the one typed."""
    from stock.quantity import LENGTH, own_unit

    told = own_unit(text, LENGTH)
    return desk.current().unit("length") or told or ("mm" if told is None else "in")


def _diameter_and_side(diameter_mm: float | None, side_mm: float | None, unit: str) -> tuple[float, float]:
    if diameter_mm is None and side_mm is None:
        raise Misused("a size needs the finished form: its diameter, or the side of its staves.", hint=EXAMPLE)
    if side_mm is None or diameter_mm is None:
        side = forms.stave_side_mm(diameter_mm) if diameter_mm is not None else (side_mm or 0.0)
        return 2 * side, side
    if diameter_mm > 2 * side_mm * (1 + 1e-9):
        raise Impossible(
            f"staves of {both_lengths(side_mm, unit)} give {both_lengths(2 * side_mm, unit)} across at most,"
            f" not {both_lengths(diameter_mm, unit)}.",
            hint=f"It takes staves of {size_lines.up(diameter_mm / 2, unit)}.",
        )
    return diameter_mm, side_mm


def _reversed(first_cut_mm: float | None, side_mm: float, diameter_mm: float) -> ReversedSection | None:
    return None if first_cut_mm is None else reversed_section(side_mm, first_cut_mm, diameter_mm / 2)


def _green(dry_mm: float, name: str, rings: str, shrinkage: str, moisture: str, target: str) -> Green:
    """The green size, or why there is none."""
    from stock import measure
    from stock.survey.targets import target_of

    if not name and not shrinkage:
        raise Misused(
            "the green size needs the wood, or your own shrinkage.", hint='--species "black cherry", or --shrinkage 7.1'
        )
    wood = _wood(name) if name else None
    figures = _own(shrinkage) if shrinkage else movement.shrinkages(wood, largest=True) if wood else None
    finish = target_of(desk.current().settings, target)
    now_pct = measure.percent(moisture).value if moisture else FIBRE_SATURATION_PCT
    ring = measure.angle(rings) if rings else None
    ring_deg = ring.value if ring else None
    found = None
    if figures:
        found = green_size(
            dry_mm,
            finish.mc_pct,
            figures.tangential_pct,
            figures.radial_pct,
            ring_deg,
            ring_plus_minus_deg=(ring.plus_minus or 0.0) if ring else 0.0,
            now_mc_pct=now_pct,
        )
    return Green(
        wood=wood,
        figures=figures,
        size=found,
        ring_deg=ring_deg,
        now_pct=now_pct if moisture else None,
        finish_pct=finish.mc_pct,
        finish=finish.words,
    )


def _wood(name: str) -> Wood | None:
    """The wood of a name, with the person's own figures if there is a book; None for one that nobody knows."""
    one = species.find(name)
    here = desk.current()
    if one is None or not here.path.exists():
        return one
    from stock.survey.pieces import own_figures

    return species.with_values(one, own_figures(here.facts(pieces=[])).get(one.key, ()))


def _own(text: str) -> Shrinkages:
    """The person's own shrinkage: `7.1` for whichever way the rings run, `3.7/7.1` radial and tangential."""
    from stock import measure

    parts = [measure.percent(part).value for part in text.split("/")]
    if len(parts) > 2:
        raise Unclear(f'"{text}": one shrinkage, or radial/tangential.', hint="--shrinkage 3.7/7.1")
    radial = parts[0] if len(parts) == 2 else None
    return Shrinkages(radial, parts[-1], "your own figure")


def _cautions(answer: Answer) -> Iterator[str]:
    """Those of the act that the answer is for: sawing wet wood, turning a glued block, turning a reversed one."""
    if answer.green:
        wood = answer.green.wood
        yield from for_act("saw", wood=wood, dry=False)
    else:
        yield from for_act("glue")
    if answer.reversed:
        yield from for_act("reverse")
