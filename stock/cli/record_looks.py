"""defect, figure: what is seen on a piece."""

from collections.abc import Iterator, Sequence
from functools import partial
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stock import measure
from stock.cli import desk, face_photos, options
from stock.cli.about import about, whole
from stock.cli.printing import harmless, title
from stock.cli.telling import tell, way_to_insist, when
from stock.cli.word_order import Looks, WordsFirst
from stock.dates import When, day_words
from stock.errors import Impossible, Unclear
from stock.survey.courses import Reckoning
from stock.survey.holdings import usable_of
from stock.survey.pieces import Piece
from stock.typed import Typed
from stock.wood.cautions import for_act
from stock.writing import both_lengths, write_length

if TYPE_CHECKING:
    from stock.yard.looking import Figured
    from stock.yard.noting import Noted
    from stock.yard.photographing import Photograph

KINDS = {"defect": WordsFirst, "figure": Looks}
PARTS = {"heart": "heartwood", "sap": "sapwood", "mixed": "heart and sap"}

Marked = Annotated[str, typer.Argument(metavar="PIECE", help="Its mark or tag.")]


def defect(
    piece: Marked,
    kind: Annotated[list[str], typer.Argument(metavar="KIND", help="end check, knot, bark inclusion, ...")],
    end: Annotated[str, typer.Option("--end", metavar="END", help="butt, top or both.")] = "",
    face: Annotated[str, typer.Option("--face", metavar="FACE", help="A to D, anticlockwise from the butt end.")] = "",
    length: Annotated[str, typer.Option("--length", metavar="SIZE", help="Along the grain.")] = "",
    depth: Annotated[str, typer.Option("--depth", metavar="SIZE", help="Into the wood.")] = "",
    width: Annotated[str, typer.Option("--width", metavar="SIZE", help="Across.")] = "",
    from_butt: Annotated[str, typer.Option("--from-butt", metavar="SIZE", help="Where it begins.")] = "",
    count: Annotated[str, typer.Option("--count", metavar="N", help="How many.")] = "",
    severity: Annotated[str, typer.Option("--severity", help="slight, moderate or severe.")] = "",
    seen: Annotated[str, typer.Option("--seen", metavar="HOW", help="by eye, feeler, saw cut, dye.")] = "",
    gone: Annotated[bool, typer.Option("--gone", help="Looked for, and not there any more.")] = False,
    insist: options.Insist = False,
    on: options.On = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Note a defect, or how far it has grown: the same kind at the same end and face is the same defect.

    What can be seen is noted; faults can run deeper.

    Example:  rick defect 214H end check --end butt --length 40mm            rick defect 215J metal --gone
    """
    from stock.yard import noting

    here = desk.current()
    day = here.day(on)
    told: dict[str, Any] = {"end": end or None, "face": face or None, "severity": severity.strip().lower() or "unknown"}
    with about(piece):
        told |= {"how_many": whole("--count", count), "how_seen": seen, "gone": gone}
        told |= {"length": _size(length), "depth": _size(depth), "width": _size(width), "from_butt": _size(from_butt)}
    with here.writing("defect", note=note, dry_run=dry_run) as page:
        with way_to_insist():
            done = noting.defect(page, piece=piece, kind=" ".join(kind), on=day, insist=insist, **told)
        reckoning, (piece_id,) = here.reckoning(page, [done.mark], max(day.last, here.today))
    held = reckoning.pieces[piece_id]
    tell(
        _defect_document(done, gone=gone),
        lambda: _defect_lines(done, held, reckoning, f"{_at(done.end, face)}{when(day)}", gone=gone),
        on=day,
        dry_run=dry_run,
        warnings=done.warnings,
        cautions=() if gone else for_act("defect", wood=held.wood.wood, kinds=[done.kind]),
        verb="defect",
    )


def _size(text: str) -> Typed | None:
    """A length of a defect; nothing at all is a length too: a check that has closed."""
    return Typed(0.0, text) if text.strip() == "0" else desk.current().length(text, zero=True)


def _defect_document(done: "Noted", *, gone: bool) -> dict[str, Any]:
    return {
        "mark": done.mark,
        "kind": done.kind,
        "end": done.end,
        "gone": gone,
        "length_mm": done.length_mm,
        "was_mm": done.was_mm,
        "grown_mm": done.grown_mm,
        "usable_length_before_mm": done.usable_before_mm,
        "usable_length_mm": done.usable_after_mm,
        "bars": done.bars,
        "sets": list(done.sets),
    }


def _at(end: str | None, face: str) -> str:
    if end:
        return " at both ends" if end == "both" else f" at the {end} end"
    return f" on face {face.strip().upper()}" if face else ""


def _defect_lines(done: "Noted", held: Piece, reckoning: Reckoning, seen: str, *, gone: bool) -> Iterator[str]:
    unit = desk.current().unit("length") or "mm"
    long = f" of {both_lengths(done.length_mm, unit)}" if done.length_mm and not gone else ""
    yield harmless(f"{done.mark}  {'gone: ' if gone else ''}{done.kind}{long}{seen}")
    if not gone and done.grown_mm is not None:
        yield f"{_grown(done.grown_mm, unit)} {_last_seen(done, reckoning)}"
    if done.bars:
        yield f"a {done.kind} bars a piece from being a stave, however small it is"
    usable = usable_of(held)
    if usable is not None and not done.bars:
        yield f"clear: {usable.length.words(partial(both_lengths, unit=unit))}"
        for why in usable.barred:
            yield f"no stave as it is: {why}"
    elif usable is None:
        yield f"its size is not on the book, so no clear length can be told: rick show {done.mark}"


def _grown(grown_mm: float, unit: str) -> str:
    if abs(grown_mm) < 0.05:
        return "as long as"
    return f"{write_length(abs(grown_mm), unit)} {'longer' if grown_mm > 0 else 'shorter'} than"


def _last_seen(done: "Noted", reckoning: Reckoning) -> str:
    """When the same defect was looked at before."""
    looks = [look for some in reckoning.facts.defects.values() for look in some]
    same = [look for look in looks if done.first_id in (look.id, look.first_id)]
    earlier = same[: next((at for at, look in enumerate(same) if look.id == done.id), 0)]
    return f"on {day_words(earlier[-1].on_last)}" if earlier else "when last seen"


# -- figure -----------------------------------------------------------------------------------------------------------


def figure(
    piece: Marked,
    traits: Annotated[list[str] | None, typer.Argument(metavar="TRAIT", help="curl, quilt, spalting, ...")] = None,
    part: options.Part = "",
    rings: Annotated[str, typer.Option("--rings", metavar="ANGLE", help="flat, rift, quarter or degrees.")] = "",
    bark_side: Annotated[str, typer.Option("--bark-side", metavar="FACE", help="The face nearest the bark.")] = "",
    sap_faces: Annotated[str, typer.Option("--sap-faces", metavar="FACES", help="Faces with sapwood: AB.")] = "",
    face: Annotated[str, typer.Option("--face", metavar="FACE", help="The face looked at; else the whole piece.")] = "",
    run_out: Annotated[str, typer.Option("--run-out", metavar="N", help="The grain runs out 1 in N.")] = "",
    pith: Annotated[bool | None, typer.Option("--pith/--no-pith", help="Whether the pith is in it.")] = None,
    grade: Annotated[str, typer.Option("--grade", metavar="WORD", help="A word of your own.")] = "",
    photo: Annotated[str, typer.Option("--photo", metavar="FILE", help="A photograph of the face, measured.")] = "",
    surface: Annotated[str, typer.Option("--surface", help="Then: planed, wiped (with spirit), sanded, rough.")] = "",
    card: Annotated[str, typer.Option("--card", help="The card beside it: grey, white, or such as 18%.")] = "",
    card_at: Annotated[str, typer.Option("--card-at", metavar="WHERE", help="Its corner: top-left; else found.")] = "",
    area: Annotated[str, typer.Option("--area", metavar="L,T,R,B", help="The face: % from left and top.")] = "",
    insist: options.Insist = False,
    on: options.On = "",
    note: options.Note = "",
    dry_run: options.DryRun = False,
    json: options.Json = False,
) -> None:
    """Note figure, part of the wood, rings and bark side; the newest word on each holds.

    Faces are A to D, anticlockwise seen from the butt end. Any other word for figure is kept as well.

    A photograph is measured in its middle: colour, contrast, and the way of the grain. The picture itself is not kept.
    Its colour is kept if a grey or white card fills a corner, in the same light, and the face is fresh-planed or wiped.

    Example:  rick figure 214H curl --face A --part heart            rick figure 215J --rings 20 --bark-side B
    rick figure 214H --photo a.jpg --card grey --surface planed
    """
    from stock.yard import looking

    here = face_photos.without_folders(desk.current())
    day = here.day(on)
    told: dict[str, Any] = {"part": part.strip().lower() or None, "pith_in": pith, "grade": grade or None}
    told |= {"bark_face": bark_side, "sap_faces": sap_faces, "face": face, "surface": surface}
    with about(piece):
        told |= {"rings": measure.angle(rings) if rings else None, "run_out": _run_out(run_out)}
        picture, doubts = face_photos.measured(photo, surface, area, card, card_at)
    words = _traits(traits or ())
    with here.writing("figure", note=note, dry_run=dry_run) as page:
        with way_to_insist():
            done = looking.figure(page, piece=piece, on=day, traits=words, photo=picture, insist=insist, **told)
        reckoning, (piece_id,) = here.reckoning(page, [done.mark], max(day.last, here.today))
    _tell_figure(done, reckoning.pieces[piece_id], picture, doubts, day, dry_run)


def _tell_figure(
    done: "Figured", held: Piece, picture: "Photograph | None", doubts: Sequence[str], day: When, dry_run: bool
) -> None:
    tell(
        _figure_document(done) | {"photo": face_photos.document(picture, done.photo) if picture else None},
        lambda: _figure_lines(done, held, when(day), picture),
        on=day,
        dry_run=dry_run,
        warnings=[*done.warnings, *doubts],
        cautions=for_act("figure", wood=held.wood.wood, kinds=done.traits),
        verb="figure",
    )


def _figure_document(done: "Figured") -> dict[str, Any]:
    fields = ("mark", "face", "traits", "part", "ring_deg", "bark_face", "sap_faces", "run_out", "pith_in", "grade")
    return {name: list(value) if isinstance(value := getattr(done, name), tuple) else value for name in fields}


def _traits(words: Sequence[str]) -> list[str]:
    """Traits of two words, such as `ray fleck`, are put together; a comma or + may part traits."""
    from stock.yard.looking import ALSO_CALLED, TRAITS

    known = {one for one in (*TRAITS, *ALSO_CALLED) if " " in one}
    found: list[str] = []
    for word in (part.strip() for text in words for part in text.replace("+", ",").split(",")):
        if found and f"{found[-1]} {word}".casefold() in known:
            found[-1] = f"{found[-1]} {word}"
        elif word:
            found.append(word)
    return found


def _run_out(text: str) -> float | None:
    """The n of `1 in n`."""
    if not text:
        return None
    plain = text.lower().replace("1 in", "").replace("1:", "").strip()
    try:
        value = float(plain)
    except ValueError:
        raise Unclear(f'"{text}" is no run-out.', hint="--run-out 12 for 1 in 12.") from None
    if not 0 < value < float("inf"):
        raise Impossible(f'a run-out of "{text}" cannot be.', hint="--run-out 12 for 1 in 12.")
    return value


def _figure_lines(done: "Figured", held: Piece, on: str, picture: "Photograph | None") -> Iterator[str]:
    told = list(done.traits)
    told += [PARTS[done.part]] if done.part else []
    told += [f"rings at {done.ring_deg:.0f} degrees"] if done.ring_deg is not None else []
    told += [f"bark side {done.bark_face}"] if done.bark_face else []
    told += [f"sap on {done.sap_faces}"] if done.sap_faces else []
    told += [f"runs out 1 in {done.run_out:g}"] if done.run_out else []
    told += ["pith in it" if done.pith_in else "no pith in it"] if done.pith_in is not None else []
    told += [f'"{done.grade}"'] if done.grade else []
    face = f" face {done.face}" if done.face else ""
    told += [f"photograph {picture.name}"] if picture else []
    yield harmless(f"{done.mark}{face}: {', '.join(told)}{on}")
    if picture:
        yield from face_photos.lines(done.mark, picture, done.photo)
    yield title(held, desk.current().unit("length") or "mm")
