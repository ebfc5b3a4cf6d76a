"""weigh: one weighing, several on a line, a file of them (`weight_files.py`), a round that asks (`rounds.py`)."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Annotated, Any, NamedTuple

import typer

from stock import measure
from stock.cli import desk, options
from stock.cli.about import about
from stock.cli.printing import Column, harmless, moisture_of, table
from stock.cli.telling import wrapped
from stock.cli.word_order import Dashed, unknown_option
from stock.dates import day_words
from stock.errors import Doubtful, Misused, StockError, Unclear
from stock.quantity import ALL
from stock.survey import duties
from stock.survey.courses import Dryness, Reckoning
from stock.survey.doubting import crossings
from stock.survey.expecting import Expectation, expect
from stock.survey.filters import Filter
from stock.typed import Typed
from stock.wood.cautions import for_act
from stock.writing import both_masses, write_mass

if TYPE_CHECKING:
    from stock.book.journal import Page
    from stock.dates import When
    from stock.wood.steady import Reading
    from stock.yard.weighing import Weighed

KINDS = {"weigh": Dashed}
MOST_WORDS = 8  # of one weight
INSIST = "Weigh again, or insist to keep it."  # as the yard says it
_PACES = (
    *((0.3, "far slower than"), (0.42, "a third as fast as"), (0.6, "half as fast as")),
    *((0.85, "slower than"), (1.2, "as fast as")),
)
PARTS = {"heart": " heartwood", "sap": " sapwood", "mixed": ", heart and sap"}


def weigh(
    words: Annotated[
        list[str] | None, typer.Argument(metavar="MARK WEIGHT", help="214H 408g, or 214H 1 lb 1 5/8 oz 215J 483g.")
    ] = None,
    from_: Annotated[str, typer.Option("--from", metavar="FILE.csv", help="Columns piece, on, mass.")] = "",
    scales: Annotated[str, typer.Option("--scales", metavar="NAME", help="On which scales.")] = "",
    step: Annotated[str, typer.Option("--step", metavar="WEIGHT", help="The step of the display: 1g, 1/8 oz.")] = "",
    state: Annotated[str, typer.Option("--state", help="clean, rain, dirty or bagged.")] = "clean",
    insist: options.Insist = False,
    encoding: Annotated[str, typer.Option("--encoding", help="Of the file, if not UTF-8: latin-1, cp1252.")] = "utf-8",
    delimiter: Annotated[str, typer.Option("--delimiter", help="Between the file's columns, if no comma.")] = ",",
    dates: options.Dates = "",
    on: options.On = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Record weighings, as the scales show them.

    A doubtful weight is asked about, never stored silently. Without words it asks along, place by place; there a
    number is a weight, 215J or /215 the next piece, + keeps and * stops: the number pad suffices.

    Example:  rick weigh 214H 1 lb 1 5/8 oz            rick weigh 214H 408g 215J 483g --on yesterday

    rick weigh --from weighings.csv --dry-run
    """
    asked = list(words or ())
    if unknown := unknown_option(asked):
        raise Misused(f"no such option: {unknown}.", hint="Look at: rick weigh --help")
    if from_:
        from stock.cli.weight_files import weigh_file

        if asked or on or step or state != "clean":
            raise Misused("a file has its own pieces and dates.", hint="Give --from alone, or with --scales, --note.")
        weigh_file(from_, scales, encoding, delimiter, insist=insist, note=note, dry_run=dry_run)
    elif asked:
        _weigh_line(asked, scales, step, state, insist=insist, on=on, note=note, dry_run=dry_run)
    else:
        from stock.cli.rounds import Manner, go_round

        go_round(Manner(on, scales, step, state, insist, note, dry_run))


# -- what was typed ---------------------------------------------------------------------------------------------------


def pairs(words: Sequence[str], bare: str | None) -> list[tuple[str, Typed]]:
    """Pieces and their weights from the words of a line: each piece is followed by the longest weight there is.

    A mark and a weight take turns, so `420g` is never taken for the piece 420G.

    Args:
        words: as typed.
        bare: the unit of a number without one: that of the scales; None takes the book's.

    Raises:
        StockError: a piece without a weight, or a weight that cannot be read.
    """
    found: list[tuple[str, Typed]] = []
    rest = list(words)
    while rest:
        piece = rest.pop(0)
        if not rest:
            raise Unclear(f"{piece} has no weight.", hint=f"rick weigh {piece} 408g, or 1 lb 1 5/8 oz.")
        lengths = range(min(len(rest), MOST_WORDS), 0, -1)
        taken = next((n for n in lengths if _reads(" ".join(rest[:n]), bare)), None)
        if taken and _is_unit(rest[taken : taken + 1]):  # `70 F` is not 70 g and a piece F
            taken = None
        text = " ".join(rest[:taken]) if taken else _meant_as_one(rest)
        with about(piece):
            found.append((piece, measure.mass(text, bare) if bare else _of_the_book(text)))
        del rest[: taken or len(rest)]
    return found


def _of_the_book(text: str) -> Typed:
    found = desk.current().mass(text)
    assert found is not None  # the text is not empty
    return found


def _reads(text: str, bare: str | None) -> bool:
    try:
        measure.mass(text, bare or "g")
    except StockError:
        return False
    return True


def _meant_as_one(rest: Sequence[str]) -> str:
    """What was meant as one weight, for the refusal: all words, up to the first that ends in a unit of any kind."""
    taken: list[str] = []
    for word in rest:
        taken.append(word)
        if _is_unit([word.lstrip("-+0123456789.,/")]):
            break
    return " ".join(taken)


def _is_unit(word: Sequence[str]) -> bool:
    return bool(word) and any(word[0].lower() in quantity.words for quantity in ALL)


# -- one line ---------------------------------------------------------------------------------------------------------


def _weigh_line(
    words: Sequence[str], scales: str, step: str, state: str, *, insist: bool, on: str, note: str, dry_run: bool
) -> None:
    from stock.yard import weighing

    here = desk.current()
    asked = pairs(words, here.unit_of_scales(scales) if scales else None)
    when, steps = here.day(on), here.mass(step)
    done: list[Weighed] = []
    doubts: list[Doubtful] = []
    with here.writing("weigh", note=note, dry_run=dry_run) as page:
        for piece, mass in asked:
            told: dict[str, Any] = {"scales": scales, "step": steps, "state": state, "insist": insist}
            try:
                done.append(weighing.weigh(page, piece=piece, mass=mass, on=when, **told))
            except Doubtful as doubt:
                doubts.append(doubt)
        if doubts:
            raise _doubted(page, doubts, asked, when)
        reckoning, ids = here.reckoning(page, [one.mark for one in done], when.last)
    odd = [(one.mark, one.expectation, one.mass_g) for one in done if one.doubt and one.expectation]
    dated = {"on": when.last, "on_text": when.text, "stored": not dry_run}
    document = [_document(one, reckoning.of(i)) | dated for one, i in zip(done, ids, strict=True)]
    told_lines = _lines_of_one if len(done) == 1 else _lines_of_many
    here.tell(document, lambda: told_lines([After(*pair, when) for pair in zip(done, ids, strict=True)], reckoning))
    here.warn(wrapped(warning) for warning in [*crossings(odd), *(w for one in done for w in one.warnings)])
    here.cautions(c for one in done for c in for_act("weigh", mass_kg=one.mass_g / 1000))


class After(NamedTuple):
    """A weighing that was stored, the id of its piece, and its date."""

    done: "Weighed"
    id: int
    when: "When"


def _doubted(page: "Page", doubts: Sequence[Doubtful], asked: Sequence[tuple[str, Typed]], when: "When") -> Doubtful:
    """One refusal for all doubtful weights of a line; if two look swapped, that comes first."""
    first, *others = doubts
    hints = [first.hint.removesuffix(INSIST).strip().replace("or insist.", "or insist on it: --insist.")]
    if others:
        masses = dict(zip(_marks(page, asked), (mass for _, mass in asked), strict=True))
        reckoning, ids = desk.current().reckoning(page, [doubt.piece for doubt in doubts], when.last)
        expected = [(doubt.piece, expect(reckoning.facts, i, when.last)) for doubt, i in zip(doubts, ids, strict=True)]
        odd = [(mark, one, masses[mark].value) for mark, one in expected if one is not None]
        hints = [*crossings(odd), *hints, *(f"Also {one.message}" for one in others)]
    if INSIST in first.hint:
        hints.append("Weigh again, or keep it: --insist.")
    return Doubtful(first.message, hint="\n".join(filter(None, hints)), piece=first.piece)


def _marks(page: "Page", asked: Sequence[tuple[str, Typed]]) -> list[str]:
    from stock.book.naming import Names

    names = Names(page.connection)
    return [names.piece(piece).mark for piece, _ in asked]


def _document(one: "Weighed", dryness: Dryness) -> dict[str, Any]:
    expected = one.expectation
    return {
        "mark": one.mark,
        "tag": one.tag or None,
        "mass_g": one.mass_g,
        "previous_mass_g": one.previous_g,
        "previous_on": one.previous_on,
        "expected_low_g": expected.low_g if expected else None,
        "expected_high_g": expected.high_g if expected else None,
        "mc_pct": dryness.mc_pct,
        "mc_low_pct": dryness.mc_low_pct,
        "mc_high_pct": dryness.mc_high_pct,
        "basis": dryness.basis,
        "verdict": dryness.verdict,
        "why": dryness.judgement.why,
        "insisted": bool(one.doubt),
        "warnings": list(one.warnings),
    }


# -- what is said -----------------------------------------------------------------------------------------------------


def _lines_of_one(some: Sequence[After], reckoning: Reckoning) -> Iterator[str]:
    """What was stored, what changed, what it means, what comes next."""
    (after,) = some
    here = desk.current()
    one, dryness = after.done, reckoning.of(after.id)
    piece = dryness.piece
    place = f", {piece.place}" if piece.place else ""
    mass = both_masses(one.mass_g, here.unit("mass") or "g")
    yield wrapped(harmless(f"{one.mark}  {mass}  {piece.wood.name}{PARTS.get(piece.look.part or '', '')}{place}"))
    dated = "" if after.when.last == here.today else f"on {day_words(after.when.last)}: "
    pace = _pace(dryness.readings)
    yield f"{dated}{changed(one.mass_g, one.expectation)}{f', {pace}' if pace else ''}"
    if dryness.mc_pct is not None:
        moisture = moisture_of(dryness).replace(" (", " % (")
        yield wrapped(harmless(f"moisture {moisture} of dry mass, from {dryness.basis}"))
    elif dryness.oven_dry_g is None:
        yield "moisture not known: it takes a section of it or of a sister (rick oven --help)"
    yield wrapped(harmless(f"{dryness.verdict}: {dryness.judgement.why}"))
    due = duties.due(reckoning, Filter(text=piece.mark), within_days=duties.SEASON * 4)
    if due and due[0].due_on > here.today:
        yield f"next weighing about {day_words(due[0].due_on)}"


def _lines_of_many(some: Sequence[After], reckoning: Reckoning) -> Iterator[str]:
    unit = desk.current().unit("mass") or "g"
    rows = []
    for one, piece_id, _ in some:
        dryness = reckoning.of(piece_id)
        row = (one.mark, write_mass(one.mass_g, unit), changed(one.mass_g, one.expectation), moisture_of(dryness))
        rows.append((*row, dryness.verdict))
    columns = [Column("mark"), Column("weight", right=True), Column("since the last"), Column("moisture")]
    yield from table([*columns, Column("verdict")], rows)


def changed(mass_g: float, expectation: Expectation | None) -> str:
    """`lost 11 g (3/8 oz) in 27 days`; against the last weight as it would be after the cuts and coats since."""
    if expectation is None:
        return "nothing to compare it with yet"
    days = expectation.days
    grams = mass_g - expectation.last_g
    span = f"in {days} day{'s' if days != 1 else ''}" if days else "since earlier that day"
    if abs(grams) < expectation.step_g / 2:
        return f"no change {span}"
    amount = f"{write_mass(abs(grams), 'g')} ({write_mass(abs(grams), 'oz')})"
    return f"{'gained' if grams > 0 else 'lost'} {amount} {span}"


def _pace(readings: Sequence["Reading"]) -> str:
    """How the last loss compares with the one before, if both are more than the scales' noise."""
    if len(readings) < 3:
        return ""
    paces: list[float] = []
    for earlier, later in zip(readings[-3:-1], readings[-2:], strict=True):
        days, lost = (later.on - earlier.on).days, earlier.net_g - later.net_g
        if days < 1 or lost < 2 * max(earlier.step_g or 0.0, later.step_g or 0.0) or lost <= 0:
            return ""
        paces.append(lost / days)
    ratio = paces[1] / paces[0]
    return next((f"{said} before" for most, said in _PACES if ratio <= most), "faster than before")
