"""ready: what is ready to turn, what nearly is, and what is missing."""

from collections.abc import Iterator, Sequence
from typing import Annotated

import typer

from stock.book.held import held_sets
from stock.cli import desk, options
from stock.cli.printing import Column, age, csv_text, harmless, moisture_of, screen_width, size_words, table, wrapped
from stock.cli.sets_held import set_lines
from stock.dates import day_words
from stock.survey import answers, holdings
from stock.survey.courses import Reckoning
from stock.survey.filters import Filter
from stock.survey.held_sets import JudgedSet, judged
from stock.survey.holdings import Held, ReadyStock
from stock.survey.pieces import Piece, Size
from stock.wood.usable import Usable
from stock.writing import write_length

NOT_SOUNDNESS = "Moisture and size only. Soundness is yours to judge"


def ready(
    target: options.Target = "",
    species: options.Species = "",
    place: options.Place = "",
    part: options.Part = "",
    figure: options.Figure = "",
    find: options.Find = "",
    square: Annotated[str, typer.Option("--square", metavar="SIZE", help="A clear square of this size.")] = "",
    length: Annotated[str, typer.Option("--length", metavar="SIZE", help="Clear for this length.")] = "",
    on: options.AsOn = "",
    json: options.Json = False,
    csv: options.Csv = False,
) -> None:
    """What is ready to turn, what nearly is, and what is missing. About moisture and size; soundness is yours to judge.

    Example:  rick ready --species pear            rick ready --target 10% --csv
    """
    here = desk.current()
    least_square_mm, least_length_mm = at_least(square, length)
    wanted = Filter(
        species=species,
        place=place,
        part=part,
        figure=figure,
        text=find,
        min_square_mm=least_square_mm,
        min_length_mm=least_length_mm,
    )
    reckoning = Reckoning(here.facts(here.asked_on(on), with_notes=bool(find)), target)
    stock = holdings.ready(reckoning, wanted)
    if csv:
        here.out(csv_text(answers.ready_rows(stock), answers.READY_COLUMNS).rstrip("\n"))
        return
    with here.reading() as connection:
        sets = judged(reckoning, held_sets(connection, reckoning.facts.on))
    here.tell(answers.ready(stock, sets), lambda: ready_lines(stock, sets))


def at_least(square: str, length: str) -> tuple[float | None, float | None]:
    """The least square and length of a listing, mm, from what was typed."""
    here = desk.current()
    sides, long = here.square(square), here.length(length)
    return (min(side.value for side in sides) if sides else None), (long.value if long else None)


def ready_lines(stock: ReadyStock, sets: Sequence[JudgedSet] = ()) -> Iterator[str]:
    """The screen of `rick ready`."""
    here = desk.current()
    unit = here.unit("length") or "mm"
    yield (
        f"{day_words(stock.on)}, for {stock.target.words}: {stock.target.mc_pct:.0f} %, within 2."
        " Moisture in % of dry mass."
    )
    if not stock.target.given:
        yield "No target chosen yet; yours: rick book set target 8%"
    yield f"READY  {len(stock.ready)}"
    yield from _held_table(stock.ready, unit, reasons=False)
    yield f"NEARLY  {len(stock.nearly)}"
    yield from _held_table(stock.nearly, unit, reasons=True)
    if stock.others:
        yield f"{stock.others} other blanks are further off: rick dry"
    if sets:
        yield f"HELD  {len(sets)}"
        yield from (line for words in set_lines(sets) for line in wrapped(harmless(words)))
    flawed = sum(bool(one.piece.defects) for one in stock.ready)
    carry = f": {flawed} of the ready carry open defects" if flawed else ""
    yield from wrapped(f"{NOT_SOUNDNESS}{carry}.")
    if stock.ready:
        yield "Weigh the chosen four and a spare again within 14 days of milling."


def _held_table(some: Sequence[Held], unit: str, *, reasons: bool) -> Iterator[str]:
    columns = (
        Column("mark"),
        Column("wood", may_shrink=True),
        Column("part"),
        Column("clear size"),
        Column("moisture"),
        Column("weighed", right=True),
        Column("where", may_shrink=True),
    )
    rows = [
        (
            h.piece.mark,
            h.piece.wood.name,
            h.piece.look.part or "-",
            _clear(h, unit),
            moisture_of(h.dryness),
            age(h.dryness.weighed_days_ago),
            h.piece.place or "-",
        )
        for h in some
    ]
    lines = table(columns, rows, screen_width())
    yield from lines[:1]
    for line, held in zip(lines[1:], some, strict=True):
        yield line
        if reasons or held.dryness.verdict != "dry enough":
            needs = held.dryness.judgement.needs
            yield from wrapped(
                f"{held.dryness.verdict}: {held.dryness.judgement.why}{'; ' + needs if needs else ''}", 8
            )
        if held.piece.defects and held.usable:
            yield from wrapped(clear_words(held.piece, held.usable, unit), 8)


def clear_words(piece: Piece, usable: Usable, unit: str) -> str:
    """`check 22 mm at the butt end; 272 of 320 mm is clear`, and what bars it."""
    told = []
    for defect in piece.defects:
        where = f" at the {defect.end} end" if defect.end else f" on face {defect.face}" if defect.face else ""
        size = f" {write_length(defect.length_mm, unit)}" if defect.length_mm else ""
        told.append(f"{defect.kind}{size}{where}")
    clear = write_length(usable.length.mm, unit).removesuffix(unit).strip()
    whole = f" of {write_length(piece.size.length_mm, unit)}" if piece.size.length_mm else f" {unit}"
    told.append(f"{clear}{whole} is clear")
    return "; ".join([*told, *usable.barred])


def _clear(held: Held, unit: str) -> str:
    usable = held.usable
    if usable is None:
        return size_words(held.piece.size, unit)
    return size_words(Size(usable.length.mm, usable.square.mm, usable.square.mm), unit)
