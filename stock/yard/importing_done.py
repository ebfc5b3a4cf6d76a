"""The lines of a notebook that say what was done to a piece: sections, trims, planing, coats and treatments."""

from collections.abc import Mapping
from typing import Any

from stock.book.records import Section
from stock.errors import Unclear
from stock.typed import Typed
from stock.yard import cells as c
from stock.yard.cells import Cells
from stock.yard.coating import SPALT_LOSS_PCT, SPALT_LOSS_SD_PCT, TREATMENTS, WHERE
from stock.yard.drying import ENDS, check_falling
from stock.yard.importing_lines import ActLine, At, SectionSaid
from stock.yard.making import Measures
from stock.yard.values import dated


def section_line(at: At, cells: Cells) -> ActLine:
    """A line of sections.csv: a slice, and the piece before and after the cut."""
    on, piece = cells.needed_day("on"), cells.needed("piece")
    wet, dry = cells.needed_number("wet_g", c.MASS), cells.number("dry_g", c.MASS)
    step, position = cells.number("step_g", c.MASS), cells.number("position_mm", c.POSITION)
    volume, length = cells.number("volume_cm3", c.VOLUME), cells.number("length_mm", c.LENGTH)
    before, after = cells.number("before_g", c.MASS), cells.number("after_g", c.MASS)
    step_g = step.value if step else 2 * wet.plus_minus if wet.plus_minus else None
    check_falling(piece, wet.value, [], dry, step_g)
    if before and wet.value >= before.value:
        raise Unclear(f'wet_g "{wet.text}" is as much as the piece before it, before_g "{before.text}": swapped?')
    whole = bool(cells.truth("whole"))
    if whole and (before or after or length):
        raise Unclear("a piece dried whole leaves nothing to weigh or measure beside it")
    row = Section(
        piece_id=0,
        label=cells.text("label"),
        kind="whole" if whole else "slice",
        position_mm=position.value if position else None,
        end=cells.word("end", ENDS) or None,
        volume_cm3=volume.value if volume else None,
        wet_g=wet.value,
        step_g=step_g,
        scorched=bool(cells.truth("scorched")),
        typed=cells.typed(wet_g=wet, position_mm=position, volume_cm3=volume, step_g=step),
        **dated(on),
    )
    dried_on = cells.day("dried_on") or on
    if on.first and dried_on.last < on.first:
        raise Unclear(f'dried_on "{dried_on.text}" is before the section was cut, "{on.text}"')
    said = SectionSaid(row, dry, dried_on)
    return ActLine(
        at,
        piece,
        on,
        {"kind": "section", "ends_piece": whole},
        "cut for a moisture section",
        before,
        after,
        Measures(length=length),
        (said,),
    )


def trim_line(at: At, cells: Cells) -> ActLine:
    """A line of trims.csv."""
    on, piece = cells.needed_day("on"), cells.needed("piece")
    length, before, after = cells.number("length_mm", c.LENGTH), *_weights(cells)
    offs = {column: cells.number(column, c.POSITION) for column in ("butt_off_mm", "top_off_mm")}
    if not (length or before or after or any(offs.values())):
        raise Unclear("nothing says what was trimmed: give the new length, what came off an end, or two weights")
    operation = {"kind": "trim", **_values(offs)}
    return ActLine(
        at, piece, on, operation, "trimmed", before, after, Measures(length=length), typed=cells.typed(**offs)
    )


def plane_line(at: At, cells: Cells) -> ActLine:
    """A line of planes.csv: planed or turned."""
    on, turned = cells.needed_day("on"), bool(cells.truth("turned"))
    size = Measures(
        width=cells.number("width_mm", c.LENGTH),
        thickness=cells.number("thickness_mm", c.LENGTH),
        surface=None if turned else "planed",
    )
    kind, doing = ("turn", "turned") if turned else ("plane", "planed")
    return ActLine(at, cells.needed("piece"), on, {"kind": kind}, doing, *_weights(cells), size, typed=cells.typed())


def seal_line(at: At, cells: Cells) -> ActLine:
    """A line of seals.csv: a coat put on, or taken off."""
    on, off, wet = cells.needed_day("on"), bool(cells.truth("off")), bool(cells.truth("wet"))
    before, after = _weights(cells)
    operation: dict[str, Any] = {
        "kind": "coat off" if off else "coat on",
        "coat_where": cells.word("where", WHERE, "ends"),
    }
    if not off:
        coats = cells.whole("coats")
        operation |= {"coat_kind": cells.text("coat") or None, "coats": 1 if coats is None else coats}
        operation |= {"coat_state": ("wet" if wet else "dry") if after else None}
    doing = "stripped of its coat" if off else "coated"
    return ActLine(at, cells.needed("piece"), on, operation, doing, before, after, typed=cells.typed())


def treatment_line(at: At, cells: Cells) -> ActLine:
    """A line of treatments.csv."""
    on = cells.needed_day("on")
    cells.needed("how")
    how = cells.word("how", tuple(TREATMENTS))
    kind, loss = TREATMENTS[how][0], cells.number("loss_pct", c.PERCENT)
    operation: dict[str, Any] = {"kind": kind, "treatment": how}
    if kind == "decay":
        operation |= {"loss_pct": loss.value if loss else SPALT_LOSS_PCT, "loss_sd_pct": SPALT_LOSS_SD_PCT}
    elif loss:
        raise Unclear(f'loss_pct "{loss.text}": only spalting takes dry wood away')
    return ActLine(
        at, cells.needed("piece"), on, operation, "treated", *_weights(cells), typed=cells.typed(loss_pct=loss)
    )


def _weights(cells: Cells) -> tuple[Typed | None, Typed | None]:
    return cells.number("before_g", c.MASS), cells.number("after_g", c.MASS)


def _values(numbers: Mapping[str, Typed | None]) -> dict[str, float | None]:
    return {column: one.value if one else None for column, one in numbers.items()}
