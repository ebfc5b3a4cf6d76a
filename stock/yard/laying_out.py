"""Where cuts lie along a piece: the start of each length from the butt, the kerfs between them, and what is left."""

from collections.abc import Sequence
from dataclasses import dataclass

from stock.errors import Impossible
from stock.survey.pieces import Size
from stock.typed import Typed
from stock.yard.in_hand import Held
from stock.yard.values import positive, zero_up

CHAIN_SAW_KERF_MM = 8.0  # 6 to 10 mm: common practice, no source
TABLE_SAW_KERF_MM = 3.0  # 3.2 mm: common practice, no source
TAPE_ERROR = 0.02  # lengths of a log add up no better than this: common practice, no source


@dataclass(frozen=True, slots=True)
class Line:
    """Where the cuts of one piece lie along it: the start of each length from the butt end, mm, and what is left."""

    starts: tuple[float | None, ...]
    used_mm: float
    rest_mm: float | None
    warnings: tuple[str, ...]


def kerf_of_mm(held: Held, kerf: Typed | None) -> float:
    """The kerf as given, else that of the saw such a piece is crosscut with, mm."""
    if kerf:
        return zero_up("a kerf", kerf, held.mark)
    return TABLE_SAW_KERF_MM if held.piece.kind in ("blank", "offcut") else CHAIN_SAW_KERF_MM


def lay_out(held: Held, lengths: Sequence[Typed], kerf_mm: float, size: Size, *, keep_rest: bool) -> Line:
    """Lay lengths along a piece, from the butt, with a kerf between each two.

    Args:
        held: the piece; on a tree they begin beyond the logs already cut from it.
        lengths: mm.
        kerf_mm: width of each cut, mm.
        size: the piece's size before.
        keep_rest: whether what is left is wanted.

    Raises:
        Impossible: a length that cannot be, more lengths than the piece has, or no rest where one is wanted.
    """
    values = [positive("a length", length, held.mark) for length in lengths]
    start = _first_start(held, kerf_mm)
    starts: list[float | None] = []
    at = start
    for value in values:
        starts.append(at)
        at = None if at is None else at + value + kerf_mm
    used = sum(values) + kerf_mm * (len(values) - 1)
    if size.length_mm is None or start is None:
        return Line(tuple(starts), used + kerf_mm, None, ())
    warnings = _fits(held, start + sum(values), start + used, size.length_mm)
    rest = max(size.length_mm - start - used - kerf_mm, 0.0)
    if keep_rest and not rest:
        raise Impossible(
            f"{held.mark}: nothing would be left of its {size.length_mm:.0f} mm.",
            hint="Give shorter lengths, or do not keep the rest.",
            piece=held.mark,
        )
    if not keep_rest and held.piece.kind != "tree" and rest > min(values):
        warnings += (f"{rest:.0f} mm of {held.mark} is left over and no longer on the book.",)
    return Line(tuple(starts), used + kerf_mm, rest, warnings)


def _first_start(held: Held, kerf_mm: float) -> float | None:
    """Where the first cut starts: at the butt end, or on a tree beyond the logs already cut from it."""
    start = 0.0
    if held.piece.kind != "tree":
        return start
    for one in held.pieces.facts.children.get(held.id, ()):
        log = held.pieces[one]
        at, length = log.made.from_butt_mm, _first_length(held, one)
        if at is None or length is None:
            return None
        start = max(start, at + length + kerf_mm)
    return start


def _first_length(held: Held, child_id: int) -> float | None:
    sizes = held.pieces.facts.sizes.get(child_id, ())
    return next((size.length_mm for size in sizes if size.length_mm is not None), None)


def _fits(held: Held, total: float, with_kerfs: float, length_mm: float) -> tuple[str, ...]:
    if total > length_mm * (1 + TAPE_ERROR):
        raise Impossible(
            f"{held.mark} is {length_mm:.0f} mm long; the lengths add up to {total:.0f} mm.",
            hint="Check the lengths and their unit.",
            piece=held.mark,
        )
    if total > length_mm:
        return (f"the lengths add up to {total:.0f} mm; {held.mark} was measured as {length_mm:.0f} mm.",)
    if with_kerfs > length_mm:
        return (f"lengths and kerfs add up to {with_kerfs:.0f} mm; {held.mark} has {length_mm:.0f} mm.",)
    return ()
