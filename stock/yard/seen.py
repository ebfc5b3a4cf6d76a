"""A defect in the words of the trade: what it is called, where it is, how far it goes."""

import difflib
from dataclasses import dataclass
from typing import Any

from stock.book.records import Defect
from stock.book.records.sets import ENDS, SEVERITIES
from stock.dates import When
from stock.errors import Impossible, Unclear
from stock.typed import Typed
from stock.wood.flaws import DEFECT_KINDS
from stock.yard.in_hand import Held
from stock.yard.making import one_of
from stock.yard.values import dated, said, slack_mm, texts, zero_up

FACES = ("A", "B", "C", "D")
# Other words of the trade for the same thing.
ALSO_CALLED = {
    **{"shake": "ring shake", "heart check": "heart shake", "pith check": "heart shake"},
    **{"spalting": "spalt", "decay": "punk", "rot": "punk", "punky": "punk", "insect hole": "insect holes"},
    **{"worm holes": "insect holes", "bark pocket": "bark inclusion", "included bark": "bark inclusion"},
    **{"bark edge": "wane", "pitch pocket": "resin pocket", "wind": "twist", "nail": "metal", "wire": "metal"},
}


@dataclass(frozen=True, slots=True)
class Seen:
    """A defect as it was seen; lengths in mm, None if not measured.

    Attributes:
        kind: a word of the trade.
        end: butt, top or both, for a defect that starts there.
        face: A to D, anticlockwise seen from the butt end.
        length, depth, width: along the grain, into the wood, across.
        from_butt: where it begins, from the butt end.
        how_many: how many of them.
        severity: slight, moderate, severe or unknown.
        how_seen: by eye, with a feeler, by a saw cut, with dye.
        gone: it was looked for and is not there any more, as metal that was pulled.
    """

    kind: str
    end: str | None = None
    face: str | None = None
    length: Typed | None = None
    depth: Typed | None = None
    width: Typed | None = None
    from_butt: Typed | None = None
    how_many: int | None = None
    severity: str = "unknown"
    how_seen: str = ""
    gone: bool = False


def kind_of(kind: str, end: str | None = None, face: str | None = None) -> str:
    """The word for a defect as typed.

    Args:
        kind: the word; a plain "check" is an end check if an end is named, a surface check if a face is.
        end, face: where it is.

    Raises:
        Unclear: no such defect; the nearest words are given.
    """
    word = " ".join(kind.casefold().replace("_", " ").replace("-", " ").split())
    if word == "case hardening":
        return "case-hardening"
    if word == "check" and bool(end) != bool(face):
        return "end check" if end else "surface check"
    word = ALSO_CALLED.get(word, word)
    if word in DEFECT_KINDS:
        return word
    near = difflib.get_close_matches(word, DEFECT_KINDS, n=4, cutoff=0.5) or DEFECT_KINDS
    raise Unclear(
        f'no defect is called "{kind}".', hint=f"{'Nearest' if near != DEFECT_KINDS else 'Known'}: {', '.join(near)}."
    )


def look_row(held: Held, on: When, seen: Seen) -> Defect:
    """The row of one look at a defect of a piece.

    Raises:
        Unclear: a kind, end or face that is not known.
        Impossible: longer than the piece, or a measure that cannot be.
    """
    end, face = (seen.end or "").casefold() or None, (seen.face or "").strip() or None
    if face and face.casefold() in ("butt", "top") and end is None:
        end, face = face.casefold(), None
    one_of("end of a piece", end, ENDS)
    face = face.upper() if face else None
    one_of("face of a piece", face, FACES)
    one_of("severity", seen.severity, SEVERITIES)
    told = {"length_mm": seen.length, "depth_mm": seen.depth, "width_mm": seen.width, "from_butt_mm": seen.from_butt}
    kind = kind_of(seen.kind, end, face)
    values: dict[str, Any] = {name: zero_up(_a(kind), measure, held.mark) for name, measure in told.items() if measure}
    _fits(held, on, kind, seen)
    if seen.how_many is not None and not 0 <= seen.how_many < 1_000_000:
        raise Impossible(f"{held.mark}: {seen.how_many} of a {kind} cannot be.", piece=held.mark)
    return Defect(
        piece_id=held.id,
        kind=kind,
        end=end,
        face=face,
        **values,
        how_many=0 if seen.gone else seen.how_many,
        severity=seen.severity or "unknown",
        how_seen=seen.how_seen,
        typed=texts(**told),
        **dated(on),
    )


def _a(kind: str) -> str:
    return f"an {kind}" if kind[0] in "eio" else f"a {kind}"


def _fits(held: Held, on: When, kind: str, seen: Seen) -> None:
    """Refuse a defect that reaches beyond its piece."""
    length_mm = held.size_on(on.last).length_mm
    if length_mm is None:
        return
    start = seen.from_butt.value if seen.from_butt else 0.0
    long = seen.length.value if seen.length else 0.0
    slack = max([slack_mm(one) for one in (seen.from_butt, seen.length) if one], default=0.0)
    if start + long > length_mm + slack:
        where = f' from "{said(seen.from_butt)}"' if seen.from_butt else ""
        much = f' of "{said(seen.length)}"' if seen.length else ""
        raise Impossible(
            f"{held.mark}: {_a(kind)}{much}{where} is beyond its length of {length_mm:.0f} mm.",
            hint="Look at the unit; lengths are along the grain, places from the butt end.",
            piece=held.mark,
        )
