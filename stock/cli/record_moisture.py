"""oven, meter: what the oven and a moisture meter say."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stock import measure
from stock.cli import desk, options
from stock.cli.about import about
from stock.cli.moisture_lines import corrected_mean_pct, mean_pct, meter_lines, section_document, section_lines
from stock.cli.telling import tell, way_to_insist, when
from stock.cli.word_order import Readings, unknown_option
from stock.errors import Misused, Unclear
from stock.quantity import MASS, own_unit
from stock.typed import Typed
from stock.wood.cautions import for_act

if TYPE_CHECKING:
    from stock.book.journal import Page
    from stock.survey.pieces import Piece
    from stock.yard.ovening import OvenDone

KINDS = {"meter": Readings}
ENDS = ("butt", "top")  # a coat on the ends is on a slice from there
BEYOND = ("above", "below")


def oven(
    piece: Annotated[str, typer.Argument(metavar="PIECE", help="The piece it was cut from: mark or tag.")],
    wet: Annotated[str, typer.Option("--wet", metavar="WEIGHT", help="The slice as cut.")] = "",
    dry: Annotated[str, typer.Option("--dry", metavar="WEIGHT", help="Oven-dry; later, if it is still in.")] = "",
    oven_: Annotated[str, typer.Option("--oven", metavar="LIST", help="On the way, in order: 41.2+40.3+40.1g.")] = "",
    before: Annotated[str, typer.Option("--before", metavar="WEIGHT", help="The piece just before the cut.")] = "",
    after: Annotated[str, typer.Option("--after", metavar="WEIGHT", help="The piece just after the cut.")] = "",
    length: Annotated[str, typer.Option("--length", metavar="SIZE", help="Of the piece that remains.")] = "",
    end: Annotated[str, typer.Option("--end", metavar="END", help="Cut from the butt, top or middle.")] = "",
    position: Annotated[str, typer.Option("--position", metavar="SIZE", help="How far from the butt end.")] = "",
    label: Annotated[str, typer.Option("--label", metavar="NAME", help="Its name; else the next number.")] = "",
    volume: Annotated[str, typer.Option("--volume", metavar="VOLUME", help="Of the green slice: 37 cm3.")] = "",
    step: Annotated[str, typer.Option("--step", metavar="WEIGHT", help="Step of the scales the slice was on.")] = "",
    scales: Annotated[str, typer.Option("--scales", metavar="NAME", help="The scales the piece was on.")] = "",
    whole: Annotated[bool, typer.Option("--whole", help="The piece itself was dried.")] = False,
    scorched: Annotated[bool, typer.Option("--scorched", help="It smoked or browned: kept, not used.")] = False,
    insist: options.Insist = False,
    on: options.On = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Record a moisture section: a slice cut from a piece, weighed, oven-dried and weighed again.

    Without --dry it counts as still in the oven; a later --dry, without --wet, finishes it.

    Example:  rick oven 214H --before 500g --wet 60.2g --after 438g --length 305mm

    rick oven 214H --oven 40.9+40.3g --dry 40.1g
    """
    here = desk.current()
    told: dict[str, Any] = {"on": here.day(on), "label": label, "scorched": scorched}
    cut: dict[str, Any] = {"end": end.strip().lower() or None, "whole": whole, "scales": scales}
    with about(piece):
        wet_mass = here.mass(wet)
        told |= {"dry": here.mass(dry), "oven_weights": masses(oven_)}
        cut |= {"before": here.mass(before), "after": here.mass(after), "step": here.mass(step)}
        cut |= {"length": here.length(length), "position": here.length(position, zero=True)}
        cut |= {"volume": measure.volume(volume) if volume else None}
    if wet_mass is None and (any(cut.values()) or not (told["dry"] or told["oven_weights"])):
        what = "the wet weight of the slice is missing" if any(cut.values()) else "no weight was given"
        raise Misused(f"{piece}: {what}.", hint=f"rick oven {piece} --wet 60.2g, later --dry 40.1g.")
    with here.writing("oven", note=note, dry_run=dry_run) as page, way_to_insist():
        done = _record(page, piece, wet_mass, told, cut, insist=insist)
        reckoning, (piece_id,) = here.reckoning(page, [done.mark], told["on"].last)
    dryness = reckoning.of(piece_id)
    if wet_mass is not None:
        here.cautions(_oven_cautions(dryness.piece, cut["end"]))
    step_g = cut["step"].value if cut["step"] else _step_g(wet_mass)
    tell(
        section_document(done, dryness, step_g, scorched=scorched),
        lambda: section_lines(done, dryness, step_g, scorched=scorched, after=cut["after"]),
        on=told["on"],
        dry_run=dry_run,
        warnings=done.warnings,
        verb="oven",
    )


def _record(
    page: "Page", piece: str, wet: Typed | None, told: dict[str, Any], cut: dict[str, Any], *, insist: bool
) -> "OvenDone":
    """A slice that was cut now, or what one in the oven weighs by now."""
    if wet is None:
        from stock.yard import oven_results

        return oven_results.oven_result(page, piece=piece, **told)
    from stock.yard import ovening

    return ovening.oven(page, piece=piece, wet=wet, insist=insist, **told, **cut)


def _oven_cautions(piece: "Piece", end: str | None) -> list[str]:
    """Before anything is heated: said first."""
    coated = piece.coat and (piece.coat.where == "all" or end in ENDS)
    *others, last = for_act("oven", wood=piece.wood.wood, coat=piece.coat.kind if piece.coat and coated else "")
    return [*others, f"{last} More: rick oven --help"]


def masses(text: str) -> tuple[Typed, ...]:
    """Weights joined by `+`: each with its unit, all bare, or one unit at the end for all.

    Raises:
        Unclear: one is missing or cannot be read.
    """
    if not text:
        return ()
    here = desk.current()
    terms = [term.strip() for term in text.split("+")]
    if "" in terms:
        raise Unclear(f'"{text}": a weight is missing.', hint="Write it like 41.2+40.3+40.1g.")
    shared = own_unit(terms[-1], MASS)
    if shared:
        terms = [term if own_unit(term, MASS) is not None else f"{term} {shared}" for term in terms]
    found = [here.mass(term) for term in terms]
    return tuple(one for one in found if one is not None)


def _step_g(wet: Typed | None) -> float | None:
    return 2 * wet.plus_minus if wet and wet.plus_minus else None


# -- a moisture meter -------------------------------------------------------------------------------------------------


def meter(
    piece: Annotated[str, typer.Argument(metavar="PIECE", help="Its mark or tag.")],
    readings: Annotated[list[str], typer.Argument(metavar="READING", help="12.5 13, or above 30.")],
    wood_temp: Annotated[str, typer.Option("--wood-temp", metavar="TEMP", help="Temperature of the wood.")] = "",
    meter_: Annotated[str, typer.Option("--meter", metavar="NAME", help="Which meter.")] = "",
    kind: Annotated[str, typer.Option("--kind", metavar="KIND", help="pin or pinless.")] = "unknown",
    set_for: Annotated[str, typer.Option("--set-for", metavar="WOOD", help="The wood it was set for.")] = "",
    corrected: Annotated[bool, typer.Option("--corrected", help="It corrects for temperature itself.")] = False,
    insist: options.Insist = False,
    on: options.On = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Record what a moisture meter showed, in percent of dry mass. Above 30 % and below 6 % it gives no number.

    Example:  rick meter 214H 12.5 13 12 --wood-temp 18C            rick meter 215J above 30
    """
    from stock.yard import metering

    here = desk.current()
    if unknown := unknown_option(readings):
        raise Misused(f"no such option: {unknown}.", hint="Look at: rick meter --help")
    shown = read_meter(piece, readings)
    day = here.day(on)
    with about(piece):
        temp = here.temp(wood_temp)
    told: dict[str, Any] = {
        "meter": meter_,
        "kind": kind,
        "set_for": set_for,
        "already_corrected": corrected,
        "insist": insist,
    }
    with here.writing("meter", note=note, dry_run=dry_run) as page, way_to_insist():
        done = [
            metering.meter(page, piece=piece, on=day, reading=reading, beyond=beyond, wood=temp, **told)
            for reading, beyond in shown
        ]
        reckoning, (piece_id,) = here.reckoning(page, [done[0].mark], day.last)
    dryness = reckoning.of(piece_id)
    document = {
        "mark": done[0].mark,
        "readings": [{"reading_pct": one.reading_pct, "beyond": one.beyond or None} for one in done],
        "mean_pct": mean_pct(done),
        "corrected_pct": corrected_mean_pct(done),
        "wood_c": done[0].wood_c,
        "meter": meter_ or None,
        "mc_pct": dryness.mc_pct,
        "mc_low_pct": dryness.mc_low_pct,
        "mc_high_pct": dryness.mc_high_pct,
    }
    tell(
        document,
        lambda: meter_lines(done, dryness, when(day)),
        on=day,
        dry_run=dry_run,
        warnings=tuple(dict.fromkeys(warning for one in done for warning in one.warnings)),
        verb="meter",
    )


def read_meter(piece: str, words: Sequence[str]) -> list[tuple[Typed | None, str | None]]:
    """The readings of a line: numbers, or `above 30` and `below 6` where a meter shows only that.

    Raises:
        Unclear: not a number of percent.
        Impossible: one that cannot be.
    """
    found: list[tuple[Typed | None, str | None]] = []
    rest = list(words)
    while rest:
        word = rest.pop(0)
        if word == "%":
            continue
        beyond = {">": "above", "<": "below"}.get(word, word.lower())
        if beyond not in BEYOND:
            found.append((_percent(piece, word), None))
            continue
        limit = _percent(piece, rest.pop(0)) if rest and rest[0].rstrip("%").replace(".", "").isdigit() else None
        found.append((None, beyond))
        if limit and (limit.value < 30 if beyond == "above" else limit.value > 6):
            raise Unclear(
                f'{piece}: "{word} {limit.text}" is within the range of a meter.',
                hint=f"Give {limit.text} as the reading, or what the meter showed at its end: above 30, below 6.",
                piece=piece,
            )
    return found


def _percent(piece: str, text: str) -> Typed:
    with about(piece):
        return measure.percent(text)
