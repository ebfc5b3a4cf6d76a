"""scales: what they show, in which steps, and what they read with a known weight on them."""

import shlex
from collections.abc import Sequence
from typing import Annotated, Any

import typer

from stock import measure
from stock.book.naming import fold
from stock.cli import desk, options
from stock.cli.printing import Column, harmless, mass_words, table
from stock.cli.telling import tell, way_to_insist, when
from stock.dates import day_words
from stock.errors import Misused
from stock.typed import Typed


def scales(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Such as kitchen; none lists what is known.")] = "",
    step: Annotated[str, typer.Option("--step", metavar="WEIGHT", help="The last step of the display.")] = "",
    unit: Annotated[str, typer.Option("--unit", metavar="UNIT", help="What they show: g, kg, oz or lb.")] = "",
    capacity: Annotated[str, typer.Option("--capacity", metavar="WEIGHT", help="The most they carry.")] = "",
    check: Annotated[str, typer.Option("--check", metavar="WEIGHT", help="A known weight put on them.")] = "",
    reads: Annotated[str, typer.Option("--reads", metavar="WEIGHT", help="What they show with it.")] = "",
    insist: options.Insist = False,
    on: options.On = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Put scales on the book, with their step and unit, or what they read with a check weight on them.

    Example:  rick scales kitchen --step 1g --capacity 5kg            rick scales kitchen --check 500g --reads 501g
    """
    here = desk.current()
    if not name:
        if any((step, unit, capacity, check, reads)):
            raise Misused("the scales have no name.", hint="rick scales kitchen --step 1g")
        _list_scales()
        return
    if bool(check) != bool(reads):
        raise Misused(f"{name}: a check takes the weight and its reading.", hint="--check 500g --reads 501g")
    from stock.yard import scaling

    own = unit.strip().lower() or (here.unit_of_scales(name) if here.path.exists() else None)
    measures = {what: _of_scales(text, own) for what, text in (("step", step), ("capacity", capacity))}
    true, read = (_of_scales(text, own) for text in (check, reads))
    day = here.day(on)
    document: dict[str, Any] = {}
    lines: list[str] = []
    warnings: tuple[str, ...] = ()
    with here.writing("scales", note=note, dry_run=dry_run) as page, way_to_insist():
        if not check or any((step, unit, capacity)):
            kept = scaling.scales(page, name=name, on=day, unit=unit.strip().lower() or None, **measures)
            document = {"name": kept.name, "unit": kept.unit, "step_g": kept.step_g, "capacity_g": kept.capacity_g}
            document["new"] = kept.is_new
            lines.append(_scales_line(kept.name, kept.unit, kept.step_g, kept.capacity_g))
            lines.append(f"Weigh on them: rick weigh 214H 408g --scales {shlex.quote(kept.name)}")
            warnings = kept.warnings
        if true and read:
            done = scaling.scales_check(page, name=name, true=true, read=read, on=day, insist=insist)
            document |= {"name": done.name, "true_g": true.value, "read_g": read.value, "offset_g": done.offset_g}
            document |= {"within_step": done.within_step}
            lines.append(f"{done.name}: {read.text} for {true.text}{when(day)}: {done.words}")
    tell(document, lambda: map(harmless, lines), on=day, dry_run=dry_run, warnings=warnings, verb="scales")


def _of_scales(text: str, unit: str | None) -> Typed | None:
    """A weight as scales show it: a bare number is in their unit."""
    if not text:
        return None
    return measure.mass(text, unit) if unit else desk.current().mass(text)


def _scales_line(name: str, unit: str, step_g: float | None, capacity_g: float | None) -> str:
    steps = f", steps of {mass_words(step_g, unit)}" if step_g else ", step not told"
    most = f", up to {mass_words(capacity_g, unit)}" if capacity_g else ""
    return f"{name}: shows {unit}{steps}{most}"


def _list_scales() -> None:
    here = desk.current()
    known = here.facts(pieces=[])
    rows: list[dict[str, Any]] = []
    for one in {fold(s.name): s for s in sorted(known.scales.values(), key=lambda s: s.id)}.values():
        checks = [
            c for i, s in known.scales.items() if fold(s.name) == fold(one.name) for c in known.scales_checks.get(i, ())
        ]
        last = sorted(checks, key=lambda c: c.on_last)[-1] if checks else None  # of one day the later
        row: dict[str, Any] = {"name": one.name, "unit": one.unit, "step_g": one.step_g, "capacity_g": one.capacity_g}
        row |= {"checked_on": last.on_last if last else None, "offset_g": last.read_g - last.true_g if last else None}
        rows.append(row)
    here.tell(rows, lambda: _scales_table(rows) if rows else ["No scales yet: rick scales kitchen --step 1g"])


def _scales_table(rows: Sequence[dict[str, Any]]) -> list[str]:
    columns = [Column("scales"), Column("shows"), Column("step", right=True), Column("up to", right=True)]
    columns += [Column("checked"), Column("reads high by", right=True)]
    cells = [
        (
            row["name"],
            row["unit"],
            mass_words(row["step_g"], row["unit"]) if row["step_g"] else "-",
            mass_words(row["capacity_g"], row["unit"]) if row["capacity_g"] else "-",
            day_words(row["checked_on"]) if row["checked_on"] else "never",
            "-" if row["offset_g"] is None else f"{row['offset_g']:.4g} g",
        )
        for row in rows
    ]
    return table(columns, cells)
