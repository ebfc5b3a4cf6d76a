"""Making a piece smaller while it stays itself: trimmed shorter, planed thinner, turned."""

from dataclasses import dataclass

from stock.book.journal import Page
from stock.book.naming import Names
from stock.book.records import Operation
from stock.dates import When
from stock.errors import Impossible, Unclear
from stock.survey.pieces import Size
from stock.typed import Typed
from stock.yard.flaws import Cuts, after_trim
from stock.yard.in_hand import Held, hold, not_a_tree
from stock.yard.making import Measures, size_row
from stock.yard.values import dated, positive, said, slack_mm, texts, zero_up
from stock.yard.weights import pair

AGREE_WITHIN = 0.05  # weight and length of a trimmed piece, as shares of what they were
KERF_SLACK_MM = 3.0  # a cut may or may not be counted in what was cut off


@dataclass(frozen=True, slots=True)
class Trimmed:
    """A piece that is shorter now. Masses in g, lengths in mm, None if not known.

    `agree` tells whether weight and length were shortened alike; `defects` what became of those on record.
    """

    mark: str
    before_g: float | None
    after_g: float | None
    length_before_mm: float | None
    length_after_mm: float | None
    agree: bool | None
    defects: tuple[str, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Planed:
    """A piece that was planed or turned. Masses in g, sizes in mm, None if not known."""

    mark: str
    before_g: float | None
    after_g: float | None
    width_before_mm: float | None
    thickness_before_mm: float | None
    width_mm: float | None
    thickness_mm: float | None
    turned: bool
    agree: bool | None
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Shorter:
    """A new length, and what came off which end, mm; None if not known."""

    length_mm: float | None
    butt_off_mm: float | None
    top_off_mm: float | None

    @property
    def ends_known(self) -> bool:
        return self.butt_off_mm is not None or self.top_off_mm is not None


def trim(
    page: Page,
    *,
    piece: str,
    on: When,
    before: Typed | None = None,
    after: Typed | None = None,
    length: Typed | None = None,
    butt_off: Typed | None = None,
    top_off: Typed | None = None,
    scales: str = "",
    insist: bool = False,
    names: Names | None = None,
) -> Trimmed:
    """Cut something off the ends of a piece.

    Weights just before and just after tell what share of the dry wood is left; without them the lengths do.

    Args:
        page: the page that is being written.
        piece: its mark or tag.
        on: when it was trimmed.
        before, after: its weight just before and just after, on the same scales, g.
        length: its new length, mm.
        butt_off, top_off: what was cut off which end, mm.
        scales: the name of the scales.
        insist: whether a date against the order of things is taken all the same.
        names: the names of the book, if they are at hand.

    Returns:
        The piece as it was and is.

    Raises:
        Impossible: heavier or longer than before, or lengths that contradict each other.
        NotNow: the piece is gone, or is a tree.
        Doubtful: dates against the order of things.
        Unclear: neither weights nor lengths.
    """
    held = hold(page, piece, on, "trimmed", names=names, insist=insist)
    not_a_tree(held, "trimmed")
    if not (before or after or length or butt_off or top_off):
        raise Unclear(
            f"{held.mark}: nothing says what was trimmed.",
            hint="Give the weights before and after, or the new length, or what came off which end.",
            piece=held.mark,
        )
    weights = pair(page, held.mark, before, after, "takes", "trimming", scales=scales, names=names)
    was_mm = held.size_on(on.last).length_mm
    now = _shorter(held, was_mm, length, butt_off, top_off)
    operation = page.put(
        Operation(
            piece_id=held.id,
            kind="trim",
            butt_off_mm=now.butt_off_mm,
            top_off_mm=now.top_off_mm,
            typed=texts(butt_off_mm=butt_off, top_off_mm=top_off),
            **dated(on),
        )
    )
    weights.put(page, held.id, operation, on)
    if now.length_mm is not None:
        measures = Measures(length=length or Typed(now.length_mm, ""))
        size = size_row(held.id, measures, on, operation_id=operation, where=held.mark)
        page.put_all([size] if size else [])
    cuts = Cuts(now.butt_off_mm or 0.0, now.top_off_mm or 0.0, was_mm)
    told = after_trim(page, held.piece.defects, cuts, operation, on) if now.ends_known else ()
    kept = None if now.length_mm is None or was_mm is None else now.length_mm / was_mm
    agree = None if kept is None or weights.kept is None else abs(kept - weights.kept) <= AGREE_WITHIN
    warnings = held.warnings + _about_weights(held, weights.kept, kept, agree, "length", "about 2 %")
    if not now.ends_known and held.piece.defects:
        warnings += (f"which end of {held.mark} was cut is not said: its defects are left as they were.",)
    return Trimmed(held.mark, weights.before_g, weights.after_g, was_mm, now.length_mm, agree, told, warnings)


def plane(
    page: Page,
    *,
    piece: str,
    on: When,
    width: Typed | None = None,
    thickness: Typed | None = None,
    before: Typed | None = None,
    after: Typed | None = None,
    turned: bool = False,
    scales: str = "",
    insist: bool = False,
    names: Names | None = None,
) -> Planed:
    """Plane a piece thinner, or turn it.

    Args:
        page: the page that is being written.
        piece: its mark or tag.
        on: when it was planed.
        width, thickness: its new square, mm.
        before, after: its weight just before and just after, on the same scales, g.
        turned: whether it was turned, not planed.
        scales: the name of the scales.
        insist: whether a date against the order of things is taken all the same.
        names: the names of the book, if they are at hand.

    Returns:
        The piece as it was and is.

    Raises:
        Impossible: heavier, wider or thicker than before.
        NotNow: the piece is gone, or is a tree.
        Doubtful: dates against the order of things.
    """
    doing = "turned" if turned else "planed"
    held = hold(page, piece, on, doing, names=names, insist=insist)
    not_a_tree(held, doing)
    effect = "turning" if turned else "planing"
    weights = pair(page, held.mark, before, after, "takes", effect, scales=scales, names=names)
    was = held.size_on(on.last)
    _not_larger(held, "width", was.width_mm, width)
    _not_larger(held, "thickness", was.thickness_mm, thickness)
    operation = page.put(Operation(piece_id=held.id, kind="turn" if turned else "plane", **dated(on)))
    weights.put(page, held.id, operation, on)
    measures = Measures(width=width, thickness=thickness, surface=None if turned else "planed")
    size = size_row(held.id, measures, on, operation_id=operation, where=held.mark)
    page.put_all([size] if size else [])
    kept = _square_kept(was, width, thickness)
    agree = None if kept is None or weights.kept is None else abs(kept - weights.kept) <= AGREE_WITHIN
    warnings = held.warnings + _about_weights(held, weights.kept, kept, agree, "square", "about 3 %")
    return Planed(
        held.mark,
        weights.before_g,
        weights.after_g,
        was.width_mm,
        was.thickness_mm,
        width.value if width else was.width_mm,
        thickness.value if thickness else was.thickness_mm,
        turned,
        agree,
        warnings,
    )


def _shorter(
    held: Held, was_mm: float | None, length: Typed | None, butt_off: Typed | None, top_off: Typed | None
) -> _Shorter:
    butt = zero_up("what came off the butt end", butt_off, held.mark) if butt_off else None
    top = zero_up("what came off the top end", top_off, held.mark) if top_off else None
    off = (butt or 0.0) + (top or 0.0)
    if length:
        new = positive("a length", length, held.mark)
        if was_mm is None:
            return _Shorter(new, butt, top)
        return _Shorter(new, *_ends(held, was_mm, length, butt, top))
    if was_mm is None or not off:
        return _Shorter(None, butt, top)
    if off >= was_mm:
        raise Impossible(
            f"{held.mark} was {was_mm:.0f} mm long; {off:.0f} mm cannot come off it.",
            hint="Check the lengths and their unit.",
            piece=held.mark,
        )
    return _Shorter(was_mm - off, butt, top)


def _ends(
    held: Held, was_mm: float, length: Typed, butt: float | None, top: float | None
) -> tuple[float | None, float | None]:
    """What came off each end, from the two lengths and what is known of the ends."""
    slack = slack_mm(length)
    removed = was_mm - length.value
    if removed < -slack:
        raise Impossible(
            f'{held.mark} was {was_mm:.0f} mm long; trimming does not make it "{said(length)}".',
            hint="Check the length and its unit.",
            piece=held.mark,
        )
    over = removed - (butt or 0.0) - (top or 0.0)
    both, none = butt is not None and top is not None, butt is None and top is None
    if not none and (over < -slack - KERF_SLACK_MM or (both and over > slack + KERF_SLACK_MM)):
        raise Impossible(
            f'{held.mark}: from {was_mm:.0f} mm to "{said(length)}" is {removed:.0f} mm, '
            f"not the {removed - over:.0f} mm that came off its ends.",
            hint="Check the three lengths, or leave one out.",
            piece=held.mark,
        )
    if none or both:
        return butt, top
    other = over if over > slack + KERF_SLACK_MM else None
    return (butt, other) if top is None else (other, top)


def _not_larger(held: Held, what: str, was_mm: float | None, measure: Typed | None) -> None:
    if measure is None:
        return
    if positive(f"a {what}", measure, held.mark) > (was_mm or measure.value) + slack_mm(measure):
        raise Impossible(
            f'{held.mark} had a {what} of {was_mm:.0f} mm; it cannot be "{said(measure)}" now.',
            hint="Check the size and its unit.",
            piece=held.mark,
        )


def _square_kept(was: Size, width: Typed | None, thickness: Typed | None) -> float | None:
    """The share of the square that is left, or None if it is not known."""
    if not (was.width_mm and was.thickness_mm) or not (width or thickness):
        return None
    new_width = width.value if width else was.width_mm
    new_thickness = thickness.value if thickness else was.thickness_mm
    return new_width * new_thickness / (was.width_mm * was.thickness_mm)


def _about_weights(
    held: Held, by_weight: float | None, by_size: float | None, agree: bool | None, what: str, spread: str
) -> tuple[str, ...]:
    """What the weights, or their absence, mean for the dry mass."""
    if by_weight is not None and by_size is not None and agree is False:
        return (
            f"{held.mark}: by weight {by_weight:.0%} of it is left, by {what} {by_size:.0%}: one of them is wrong.",
        )
    if by_weight is not None:
        return ()
    if by_size is not None:
        return (
            f"{held.mark} was not weighed before and after: its dry mass follows the {what}, within {spread}, "
            "and its moisture is less sure.",
        )
    return (f"{held.mark}: nothing tells how much wood is left, so its dry mass is lost; its weights start anew.",)
