"""species: a wood by any of its names, its figures with their sources, its reported effects."""

from collections.abc import Iterator, Sequence
from typing import Annotated, Any

import typer

from stock.cli import desk, options
from stock.cli.printing import Column, csv_text, screen_width, table
from stock.errors import Misused, Unknown
from stock.wood import effects
from stock.wood import species as woods
from stock.wood.species import Value, Wood

VALUE_COLUMNS = ("species", "property", "value", "unit", "low", "high", "sd", "n", "basis", "source", "provenance")


def species(
    name: Annotated[list[str] | None, typer.Argument(metavar="NAME", help="Any name of a wood.")] = None,
    of: Annotated[str, typer.Option("--of", metavar="MARK", help="Say that this tree or piece is of that wood.")] = "",
    sure: Annotated[str, typer.Option("--sure", help="certain, probable, guess or unknown.")] = "probable",
    by: Annotated[str, typer.Option("--by", metavar="NAME", help="Who says so.")] = "",
    evidence: Annotated[str, typer.Option("--evidence", metavar="TEXT", help="From what: leaf, bark, fruit.")] = "",
    add: Annotated[str, typer.Option("--add", metavar="NAME", help="Put a number of your own on the book.")] = "",
    property: Annotated[str, typer.Option("--property", metavar="NAME", help="Which number.")] = "",
    value: Annotated[float, typer.Option("--value", metavar="NUMBER", help="The number, in its unit.")] = 0.0,
    source: Annotated[str, typer.Option("--source", metavar="TEXT", help="Where it comes from.")] = "",
    on: options.On = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
    csv: options.Csv = False,
) -> None:
    """Find a wood by any of its names; its figures with their sources; what is reported of its dust.

    Example:  rick species sycamore            rick species "Prunus serotina" --json

    rick species "common plum" --of T7H --sure certain --evidence fruit

    rick species --add pear --property shrinkage_radial_pct --value 4 --source me
    """
    here = desk.current()
    if add:
        _add(add, property, value, source, on, note, dry_run)
        return
    text = " ".join(name or [])
    if of:
        _held_to_be(text, of, sure, by, evidence, on, note, dry_run)
        return
    if not text:
        raise Misused("no wood was named.", hint="rick species cherry")
    found = [_with_own(one) for one in _meant(text)]
    document = [_document(one) for one in found]
    if csv:
        rows = [{"species": one.scientific, **_value_row(v)} for one in found for v in one.figures()]
        here.out(csv_text(rows, VALUE_COLUMNS).rstrip("\n"))
        return
    here.tell(document, lambda: _lines(found))


def _meant(text: str) -> Sequence[Wood]:
    """Every wood that a name may mean; it is no refusal here that there are several."""
    several = woods.candidates(text)
    if several:
        return several
    one = woods.find(text)
    if one is None:
        raise Unknown(
            "an unknown wood has no figures; its weights and moisture work all the same.", code="unknown-species"
        )
    return [one]


def _with_own(one: Wood) -> Wood:
    here = desk.current()
    if not here.path.exists():
        return one
    from stock.survey.pieces import own_figures

    return woods.with_values(one, own_figures(here.facts(pieces=[])).get(one.key, ()))


def _add(name: str, property: str, value: float, source: str, on: str, note: str, dry_run: bool) -> None:
    from stock.yard import figures

    here = desk.current()
    with here.writing("species", note=note, dry_run=dry_run) as page:
        done = figures.add_figure(page, species=name, property=property, value=value, source=source, on=here.day(on))
    document = {
        "wood": done.wood,
        "property": done.property,
        "value": done.value,
        "unit": done.unit,
        "source": done.source,
    }
    here.tell(document, lambda: [f"{done.wood}: {_property(done.property)} {done.value:g} {done.unit} ({done.source})"])


def _held_to_be(text: str, of: str, sure: str, by: str, evidence: str, on: str, note: str, dry_run: bool) -> None:
    """A new opinion on the wood of a tree; the old one stays on the book."""
    from stock.yard import felling

    here = desk.current()
    with here.writing("species", note=note, dry_run=dry_run) as page:
        done = felling.opinion(page, piece=of, species=text, on=here.day(on), sure=sure, by_whom=by, evidence=evidence)
    here.warn(done.warnings)
    document = {
        "mark": done.mark,
        "species": done.wood.scientific,
        "said": done.wood.said,
        "sure": done.wood.sure,
        "was": done.was,
        "pieces": done.pieces,
    }
    words = f"{done.mark}: {done.wood.name} ({done.wood.scientific}), {done.wood.sure}; it was held to be {done.was}"
    here.tell(document, lambda: [words, f"That is now the wood of the {done.pieces} pieces from it."])


def _lines(found: Sequence[Wood]) -> Iterator[str]:
    if len(found) > 1:
        columns = [Column("wood"), Column("scientific name"), Column("what tells it apart", may_shrink=True)]
        yield from table(columns, [(one.name, one.scientific, one.tell) for one in found], screen_width())
        yield "Ask for one of them for its figures: rick species " + _quoted(found[0].name)
        return
    (one,) = found
    yield f"{one.name} ({one.scientific}), {one.wood_class}" + (f"; {one.tell}" if one.tell else "")
    also = [name for name in woods.names(one) if name not in (one.name.casefold(), one.scientific.casefold())]
    if also:
        yield f"also called: {', '.join(also[:8])}"
    values = one.figures()
    if not values:
        yield "No figure for this wood. None is borrowed from its relatives; put in your own: rick species --add"
    rows = [(_property(v.property), _number(v), _trusted(v), _from(v)) for v in values]
    columns = [Column("figure"), Column("value"), Column("trust"), Column("source", may_shrink=True)]
    yield from table(columns, rows, screen_width())
    if values and woods.shrinkage(one, "tangential") is None:
        yield "No shrinkage figure for this wood: no movement is worked out for it."
    reported = effects.effects(one)
    yield reported or "No effect of its dust is listed here; unlisted does not mean harmless."


def _quoted(name: str) -> str:
    return f'"{name}"' if " " in name else name


def _property(name: str) -> str:
    words = name.removesuffix("_pct").removesuffix("_g_cm3").replace("_", " ")
    return words.replace("mc ", "moisture content ").replace(" 12", " at 12 %")


def _number(value: Value) -> str:
    unit = f" {value.unit}" if value.unit else ""
    spread = f" ({value.low:g}-{value.high:g})" if value.low is not None and value.high is not None else ""
    count = f", n {value.n}" if value.n else ""
    middle = f"{value.value:g}" if value.value is not None else ""
    return f"{middle}{spread}{unit}{count}".strip()


def _trusted(value: Value) -> str:
    return value.provenance if value.verified else "unverified"


def _from(value: Value) -> str:
    cited = value.source if value.provenance == "own" else woods.source(value.source)
    return f"{cited.rstrip('.')}, {value.detail}" if value.detail else cited


def _value_row(value: Value) -> dict[str, Any]:
    return {
        "property": value.property,
        "value": value.value,
        "unit": value.unit,
        "low": value.low,
        "high": value.high,
        "sd": value.sd,
        "n": value.n,
        "basis": value.basis,
        "source": value.source if value.provenance == "own" else woods.source(value.source),
        "provenance": value.provenance if value.verified else "unverified",
    }


def _document(one: Wood) -> dict[str, Any]:
    return {
        "key": one.key,
        "species": one.scientific,
        "name": one.name,
        "names": list(woods.names(one)),
        "wood_class": one.wood_class,
        "tell": one.tell or None,
        "figures": [_value_row(v) for v in one.figures()],
        "effects": effects.effects(one) or None,
    }
