"""dry: how much water is in a piece, how sure that is, and when it will be dry."""

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Annotated

import typer

from stock.cli import desk, options
from stock.cli.desk import Desk
from stock.cli.dry_lines import dry_lines
from stock.cli.dry_targets import aim_of, coming_day, place_id
from stock.cli.future_lines import course_lines, future_lines
from stock.cli.printing import Column, age, csv_text, moisture_of, screen_width, table
from stock.dates import day_words
from stock.errors import Misused, Unknown
from stock.survey import answers, holdings
from stock.survey.courses import Dryness, Reckoning
from stock.survey.filters import Filter
from stock.survey.futures import Future, Question, futures
from stock.wood.drying import Below, Target

CHART_WIDTH = 80
CONTRADICTORY = "its weights contradict each other; look at the piece, its cuts and its sections, and weigh it again"
WETTER = "it is getting wetter than its air explains; find out why, and weigh it again"


def dry(
    pieces: Annotated[list[str] | None, typer.Argument(metavar="[MARK]...", help="Marks or tags; none: all.")] = None,
    target: Annotated[
        str,
        typer.Option("--target", metavar="PCT", help="8%; emc+2: above what the air keeps; '2 g/month': losing less."),
    ] = "",
    in_: Annotated[str, typer.Option("--in", metavar="PLACE", help="As if they went to that place today.")] = "",
    by: Annotated[str, typer.Option("--by", metavar="DATE", help="The chance of being there by that day.")] = "",
    score: Annotated[bool, typer.Option("--score", help="How often the dates of the past were kept.")] = False,
    no_chart: Annotated[bool, typer.Option("--no-chart", help="No picture of the course.")] = False,
    species: options.Species = "",
    place: options.Place = "",
    on: options.AsOn = "",
    json: options.Json = False,
    csv: options.Csv = False,
) -> None:
    """How much water is in a piece, how sure that is, on what it rests, and when it will be dry.

    Moisture content is percent of oven-dry mass, of the last weighing; the range holds four of five. Finished pieces of
    the book teach how fast new ones dry. Of one piece the course is drawn too.

    Example:  rick dry 214H            rick dry 214H --in shop --by 2027-03-01

    rick dry --species cherry --csv            rick dry --score
    """
    here = desk.current()
    if pieces and (species or place):
        raise Misused("marks and a filter at once.", hint="Name the pieces, or ask by --species and --place.")
    day = here.asked_on(on)
    until = coming_day(here, by, day) if by else None
    aim = aim_of(here, target)
    if not pieces and not score and not here.json and (in_ or by or aim is not None):
        raise Misused("dates are told of pieces that are named, or of all with --json.", hint="rick dry 214H --in shop")
    reckoning, ids = _read(here, day, pieces or [], "" if aim is not None else target)
    there = place_id(reckoning, in_) if in_ else None
    if not pieces:
        ids = [p.id for p in holdings.on_hand(reckoning, Filter(species=species, place=place))]
    if score:
        _score(
            here,
            reckoning,
            _scored(reckoning, ids, pieces, species, place),
            aim or (Below(reckoning.target.mc_pct) if target else None),
        )
        return
    found = [reckoning.of(i) for i in ids]
    if csv or (not pieces and not here.json):
        rows = [answers.dry(one) for one in found]
        if csv:
            here.out(csv_text(rows, [name for name in rows[0] if name != "forecast"]).rstrip("\n") if rows else "")
        else:
            here.tell(rows, lambda: _dry_lines(found))
        return
    drawn = len(found) == 1 and not (no_chart or here.json)
    asked = [one.piece.id for one in found if target or in_ or by or not one.judgement.ready]
    wanted = [one.piece.id for one in found] if drawn else asked
    coming = futures(reckoning, wanted, Question(aim, not target, there, until, drawn))
    if there is None:
        coming |= {d.piece.id: Future(why=WETTER) for d in found if d.verdict == "getting wetter"}
    coming |= {d.piece.id: Future(why=CONTRADICTORY) for d in found if d.verdict == "contradictory"}
    told = {one: coming[one] for one in asked}
    rows = [answers.dry(one, told.get(one.piece.id, Future()), until) for one in found]
    here.tell(rows, lambda: _told(here, reckoning, found, told, coming if drawn else {}, until))


def _read(here: Desk, on: date, pieces: Sequence[str], target: str) -> tuple[Reckoning, list[int]]:
    """What is known of some pieces, and of those that teach how they dry; of the whole book if none are named."""
    from stock.book.facts import facts
    from stock.book.naming import Names
    from stock.survey.learning import ids_to_read

    with here.reading() as connection:
        names = Names(connection)
        ids = [names.piece(text).id for text in pieces]
        known = facts(connection, on, [*ids, *ids_to_read(connection, on)] if ids else None)
    for text, piece_id in zip(pieces, ids, strict=True):
        if piece_id not in known.pieces:
            raise Unknown(f"{text} was not on the book on {day_words(on)}.", hint="Ask for a later day: --on.")
    return Reckoning(known, target), ids


def _told(
    here: Desk,
    reckoning: Reckoning,
    found: Sequence[Dryness],
    futures_told: dict[int, Future],
    drawn: dict[int, Future],
    by: date | None,
) -> Iterator[str]:
    """The answers about some pieces; the course of the one that is drawn comes before its dates."""
    mass = here.unit("mass") or "g"
    for one in found:
        yield from dry_lines(one)
        if one.piece.id in drawn:
            yield from _course(reckoning, one, drawn[one.piece.id], mass)
        yield from future_lines(futures_told.get(one.piece.id), one, mass, by)


def _course(reckoning: Reckoning, one: Dryness, future: Future, mass: str) -> Iterator[str]:
    from stock.cli.course_chart import draw
    from stock.cli.course_picture import picture_of
    from stock.survey import pictured

    picture = picture_of(one, future, pictured.placed(reckoning, one, future.forecast), mass)
    if picture is not None:
        yield from draw(picture, min(screen_width() or CHART_WIDTH, CHART_WIDTH))
    passed, gain = pictured.passed(future, one), pictured.damp_air(reckoning, one)
    yield from course_lines(passed, pictured.AIR_DRY_PCT, gain, mass)


def _scored(
    reckoning: Reckoning, ids: Sequence[int], pieces: Sequence[str] | None, species: str, place: str
) -> list[int]:
    """The pieces to score: those named, else all that the filter lets through, those gone included."""
    if pieces:
        return list(ids)
    wanted = holdings.listed(reckoning, Filter(species=species, place=place), gone=True)
    return [one.id for one in wanted if reckoning.facts.weighings.get(one.id)]


def _score(here: Desk, reckoning: Reckoning, some: Sequence[int], aim: Target | None) -> None:
    """How well the dates of the past were kept, of some pieces."""
    from stock.cli.score_lines import pasts_of, score_document, score_lines
    from stock.survey.past_forecasts import SCORED

    goal = aim or SCORED
    pasts = pasts_of(here, reckoning, some, goal)
    here.tell(score_document(pasts, goal), lambda: score_lines(pasts, goal))


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
