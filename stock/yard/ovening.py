"""Moisture sections: a slice cut from a piece, weighed wet, and weighed again until the oven has left only wood.

What was measured is stored: wet, on the way, and dry; the piece just before and after the cut. What the moisture is
follows from it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stock.book.facts import facts
from stock.book.journal import Page
from stock.book.naming import Names, fold
from stock.book.records import Operation, Oven, Section
from stock.dates import When
from stock.errors import Unclear
from stock.survey.doubting import dry_on
from stock.typed import Typed
from stock.wood.moisture import mc_pct
from stock.yard.drying import Slice, check_slice, remarks
from stock.yard.flaws import Cuts, after_trim
from stock.yard.in_hand import Held, hold
from stock.yard.making import Measures, size_row
from stock.yard.values import dated, positive, texts
from stock.yard.weights import Pair, pair

DOING = "cut for a moisture section"
STAY = ("offcut",)  # kinds that stay on hand when they are dried whole, as reference blocks do


@dataclass(frozen=True, slots=True)
class OvenDone:
    """A moisture section that is on the book now.

    Attributes:
        id: of the section; label: its name among the sections of its piece.
        mark: the piece.
        wet_g, dry_g: the slice, g; dry_g is None while it is in the oven.
        mc_pct: its moisture content when it was cut, percent of oven-dry mass; None while it is not known.
        oven_dry_g, oven_dry_sd_g: of the piece that remains, g, by all that is known now; None if nothing tells it.
        warnings: what the person should know.
    """

    id: int
    mark: str
    label: str
    wet_g: float
    dry_g: float | None
    mc_pct: float | None
    oven_dry_g: float | None
    oven_dry_sd_g: float | None
    defects: tuple[str, ...]
    warnings: tuple[str, ...]


def oven(
    page: Page,
    *,
    piece: str,
    on: When,
    wet: Typed,
    dry: Typed | None = None,
    oven_weights: Sequence[Typed] = (),
    before: Typed | None = None,
    after: Typed | None = None,
    step: Typed | None = None,
    length: Typed | None = None,
    position: Typed | None = None,
    end: str | None = None,
    label: str = "",
    volume: Typed | None = None,
    whole: bool = False,
    scorched: bool = False,
    scales: str = "",
    insist: bool = False,
    names: Names | None = None,
) -> OvenDone:
    """Record a moisture section, dried or just put into the oven.

    Args:
        page: the page that is being written.
        piece: the mark or tag of the piece it is cut from.
        on: the day it was cut.
        wet: the slice as cut, g.
        dry: oven-dry, g; None while it is in the oven (then `oven_result` later).
        oven_weights: weights on the way, in order, g.
        before, after: the piece just before and just after the cut, g.
        step: step of the scales the slice was weighed on, g; None takes what the digits tell.
        length: length of the piece that remains, mm.
        position: where the slice was, from the butt end of the piece as it was, mm.
        end: from which end it was cut: butt, top or middle.
        label: its name among the sections of the piece; "" takes the next number.
        volume: green volume of the slice, cm3.
        whole: the piece itself was dried, as a reference block is; it then ends, unless it is one.
        scorched: it smoked or browned: kept, but not used.
        scales: the scales that `before` and `after` were read on.
        insist: whether a date against the order of things is taken all the same.
        names: the names of the book, if they are at hand.

    Returns:
        Moisture of the slice and oven-dry mass of the piece, as far as they are known.

    Raises:
        Impossible: dry above wet, weights that rise in the oven, a slice heavier than its piece, a new length that is
            not shorter.
        NotNow: the piece is gone.
        Unclear: a label in use, or a word that is not known.
        Doubtful: cut before the piece can have existed.
    """
    what = Slice(
        wet, dry, tuple(oven_weights), before, after, step, length, position, end, label, volume, whole, scorched
    )
    held = hold(page, piece, on, DOING, names=names, insist=insist)
    done = _put(page, held, on, what, _taken_labels(held), pair_of(page, held, what, scales, names))
    if done.dry_g is None or scorched:
        return done
    return with_dry_mass(page, done, held.id, on)


def pair_of(page: Page, held: Held, what: Slice, scales: str, names: Names | None) -> Pair:
    """The piece's weights around the cut."""
    return pair(page, held.mark, what.before, what.after, "takes", "cutting a section", scales=scales, names=names)


def _put(page: Page, held: Held, on: When, what: Slice, labels: set[str], weights: Pair) -> OvenDone:
    was_mm = held.size_on(on.last).length_mm
    step_g = check_slice(held, what, was_mm)
    label = _label(held, what.label, labels)
    operation, told = _cut(page, held, on, what, was_mm)
    if operation is not None:
        weights.put(page, held.id, operation, on)
    row = Section(
        piece_id=held.id,
        operation_id=operation,
        label=label,
        kind="whole" if what.whole else "slice",
        position_mm=what.position.value if what.position else None,
        end=what.end or None,
        volume_cm3=positive("a volume", what.volume, held.mark) if what.volume else None,
        wet_g=what.wet.value,
        step_g=step_g,
        scorched=what.scorched,
        typed=texts(wet_g=what.wet, position_mm=what.position, volume_cm3=what.volume, step_g=what.step),
        **dated(on),
    )
    section_id = page.put(row)
    page.put_all(oven_rows(section_id, what.oven_weights, what.dry, step_g, on))
    ended = what.whole and operation is not None
    kept = f"To keep it on hand as a reference block: rick air PLACE --block {held.mark}"
    return OvenDone(
        id=section_id,
        mark=held.mark,
        label=label,
        wet_g=what.wet.value,
        dry_g=what.dry.value if what.dry else None,
        mc_pct=mc_pct(what.wet.value, what.dry.value) if what.dry and not what.scorched else None,
        oven_dry_g=None,
        oven_dry_sd_g=None,
        defects=told,
        warnings=(*held.warnings, *remarks(held, what, step_g), *([kept] if ended else [])),
    )


def _cut(page: Page, held: Held, on: When, what: Slice, was_mm: float | None) -> tuple[int | None, tuple[str, ...]]:
    """The operation that a section is, with the new length; a reference block that was dried is not cut at all."""
    if what.whole and (held.piece.role == "reference" or held.piece.kind in STAY):
        return None, ()
    off = was_mm - what.length.value if was_mm and what.length else None
    operation = page.put(
        Operation(
            piece_id=held.id,
            kind="section",
            ends_piece=what.whole,
            butt_off_mm=off if what.end == "butt" else None,
            top_off_mm=off if what.end == "top" else None,
            **dated(on),
        )
    )
    if what.length:
        size = size_row(held.id, Measures(length=what.length), on, operation_id=operation, where=held.mark)
        page.put_all([size] if size else [])
    if off is None or what.end not in ("butt", "top"):
        return operation, ()
    cuts = Cuts(off if what.end == "butt" else 0.0, off if what.end == "top" else 0.0, was_mm)
    return operation, after_trim(page, held.piece.defects, cuts, operation, on)


def oven_rows(
    section_id: int, oven_weights: Sequence[Typed], dry: Typed | None, step_g: float | None, on: When
) -> list[Oven]:
    """The rows of what a section weighed in the oven; the dry weight is the final one."""
    weights = [(one, False) for one in oven_weights] + ([(dry, True)] if dry else [])
    return [
        Oven(section_id=section_id, mass_g=one.value, step_g=step_g, final=final, typed=texts(mass_g=one), **dated(on))
        for one, final in weights
    ]


def with_dry_mass(page: Page, done: OvenDone, piece_id: int, on: When) -> OvenDone:
    """Add the oven-dry mass of the piece, by the ledger with this section in it."""
    day = max(page.today, on.last)
    dry = dry_on(facts(page.connection, day, [piece_id]), piece_id, day)
    if dry is not None:
        return replace(done, oven_dry_g=dry[0], oven_dry_sd_g=dry[1])
    missing = f"the section tells its own moisture, not yet the dry mass of {done.mark}: weigh {done.mark} now."
    return replace(done, warnings=(*done.warnings, missing))


def _taken_labels(held: Held) -> set[str]:
    return {fold(one.label) for one in held.pieces.facts.sections.get(held.id, ())}


def _label(held: Held, wanted: str, taken: set[str]) -> str:
    """The label asked for, or the next number that is free; it is taken from now on."""
    label = " ".join(wanted.split())
    if not label:
        label = str(next(n for n in range(1, len(taken) + 2) if str(n) not in taken))
    elif fold(label) in taken:
        raise Unclear(
            f'{held.mark} has a section "{label}" already.',
            hint="Its result is added to it, or this one gets another label.",
            piece=held.mark,
        )
    taken.add(fold(label))
    return label
