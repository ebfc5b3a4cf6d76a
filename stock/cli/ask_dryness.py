"""dry, ready, due: how much water, what is ready, what to weigh."""

from collections.abc import Iterator, Sequence
from typing import Annotated

import typer

from stock.cli import desk, options
from stock.cli.future_lines import above_air, future_lines, place_id
from stock.cli.printing import (
    Column,
    age,
    csv_text,
    harmless,
    mass_words,
    moisture_of,
    screen_width,
    size_words,
    table,
    title,
    wrapped,
)
from stock.dates import day_words
from stock.errors import Unknown
from stock.survey import answers, holdings
from stock.survey.courses import Dryness, Reckoning
from stock.survey.filters import Filter
from stock.survey.holdings import Held, ReadyStock
from stock.survey.pieces import Piece, Size
from stock.wood.usable import Usable
from stock.writing import write_length

NOT_SOUNDNESS = "Moisture and size only. Soundness is yours to judge"


def dry(
    pieces: Annotated[list[str] | None, typer.Argument(metavar="[MARK]...", help="Marks or tags; none: all.")] = None,
    target: Annotated[
        str, typer.Option("--target", metavar="PCT", help="8%, or emc+2: above what the air keeps.")
    ] = "",
    in_: Annotated[str, typer.Option("--in", metavar="PLACE", help="As if they went to that place today.")] = "",
    species: options.Species = "",
    place: options.Place = "",
    on: options.AsOn = "",
    json: options.Json = False,
    csv: options.Csv = False,
) -> None:
    """How much water is in a piece, how sure that is, on what it rests, and when it will be dry.

    Moisture content is percent of oven-dry mass, of the last weighing; the range holds four of five.

    Example:  rick dry 214H            rick dry 214H --in shop --target 8%

    rick dry --species cherry --csv
    """
    here = desk.current()
    day = here.asked_on(on)
    ids = here.ids(pieces) if pieces else None
    points = above_air(target)
    reckoning = Reckoning(here.facts(day, pieces or None), "" if points is not None else target)
    there = place_id(reckoning, in_) if in_ else None
    if ids is None:
        ids = [p.id for p in holdings.on_hand(reckoning, Filter(species=species, place=place))]
    else:
        ids = [i for i in ids if _known(reckoning, i, pieces or [], ids)]
    found = [reckoning.of(i) for i in ids]
    if csv or (not pieces and not here.json):
        rows = [answers.dry(one) for one in found]
        if csv:
            here.out(csv_text(rows, [name for name in rows[0] if name != "forecast"]).rstrip("\n") if rows else "")
        else:
            here.tell(rows, lambda: _dry_lines(found))
        return
    from stock.survey.futures import futures

    asked = [one.piece.id for one in found if target or in_ or not one.judgement.ready]
    coming = futures(reckoning, asked, above_air=points, place_id=there, band=not target)
    rows = [answers.dry(one, coming.get(one.piece.id)) for one in found]
    here.tell(rows, lambda: (line for d in found for line in [*dry_lines(d), *future_lines(coming.get(d.piece.id))]))


def _known(reckoning: Reckoning, piece_id: int, asked: Sequence[str], ids: Sequence[int]) -> bool:
    """Refuse a piece that did not exist yet on the day asked for."""
    if piece_id in reckoning.pieces:
        return True
    named = asked[list(ids).index(piece_id)]
    raise Unknown(f"{named} was not on the book on {day_words(reckoning.facts.on)}.", hint="Ask for a later day: --on.")


def _dry_lines(found: Sequence[Dryness]) -> Iterator[str]:
    if not found:
        yield "Nothing on hand."
        return
    yield f"{day_words(found[0].on)}. Moisture in % of dry mass; the range holds four of five."
    columns = (
        Column("mark"),
        Column("wood", may_shrink=True),
        Column("moisture"),
        Column("weighed", right=True),
        Column("verdict"),
        Column("where", may_shrink=True),
    )
    rows = [
        (d.piece.mark, d.piece.wood.name, moisture_of(d), age(d.weighed_days_ago), d.verdict, d.piece.place or "-")
        for d in found
    ]
    yield from table(columns, rows, screen_width())


def dry_lines(one: Dryness) -> Iterator[str]:
    """The answer about one piece."""
    here = desk.current()
    length, mass = here.unit("length") or "mm", here.unit("mass") or "g"
    yield title(one.piece, length)
    if one.mass_g is not None and one.last_weighed_on is not None:
        yield f"{mass_words(one.mass_g, mass)} on {day_words(one.last_weighed_on)}, {age(one.weighed_days_ago)} ago"
    if one.mc_pct is not None and one.oven_dry_g is not None and one.oven_dry_sd_g is not None:
        yield (
            f"moisture {moisture_of(one).replace(' (', ' % (')} of dry mass"
            f" {one.oven_dry_g:.0f} g (sd {one.oven_dry_sd_g:.0f}): {one.verdict}"
        )
        told = [f"{harmless(e.words)} ({100 * e.share:.0f} %)" for e in one.evidence[:4] if e.share >= 0.1]
        yield from wrapped(f"known from {', '.join(told)}")
    else:
        yield f"moisture not known: {one.verdict}"
        yield _how_to_know(one)
    yield from wrapped(one.judgement.why)
    if one.judgement.needs:
        yield from wrapped(one.judgement.needs)
    if one.air:
        edge = "; some of it lay beyond the handbook's table, whose edge was taken" if one.air.at_edge else ""
        yield from wrapped(
            f"air of {one.piece.place}: keeps wood near {one.air.emc_pct:.0f} % now,"
            f" {one.air.low_pct:.0f}-{one.air.high_pct:.0f} % over the year ({one.air.told_by}{edge})"
        )
    elif one.piece.place:
        yield f'air of {one.piece.place}: not told. rick air "{one.piece.place}" --temp 15C --rh 65%'


def _how_to_know(one: Dryness) -> str:
    mark = one.piece.mark
    if one.oven_dry_g is not None:
        return f"dry mass {one.oven_dry_g:.0f} g is known from {one.basis}; weigh it: rick weigh {mark} ..."
    if one.last_weighed_on is None:
        return f"weigh it (rick weigh {mark} ...) and oven-dry a slice of it: rick oven {mark} --wet ... --dry ..."
    return (
        f"missing: its oven-dry mass. Oven-dry a 25 mm slice of it or of a sister:\n"
        f"  rick oven {mark} --before 500g --wet 60.2g --dry 40.1g --after 440g"
    )


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
    here.tell(answers.ready(stock), lambda: ready_lines(stock))


def at_least(square: str, length: str) -> tuple[float | None, float | None]:
    """The least square and length of a listing, mm, from what was typed."""
    here = desk.current()
    sides, long = here.square(square), here.length(length)
    return (min(side.value for side in sides) if sides else None), (long.value if long else None)


def ready_lines(stock: ReadyStock) -> Iterator[str]:
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
