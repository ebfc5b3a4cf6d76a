"""What is on hand, what is ready, what nearly is and what is missing."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from stock.survey.courses import Dryness, Reckoning
from stock.survey.filters import Filter, Sieve
from stock.survey.pieces import Piece
from stock.survey.targets import Target
from stock.wood.flaws import DEFECT_KINDS, Flaw
from stock.wood.usable import PLANING_MM, Usable, usable

READY_KINDS = ("blank",)
NEARLY_POINTS = 5.0  # how far above the target an estimate may lie and still be called nearly ready


@dataclass(frozen=True, slots=True)
class Held:
    """A blank with its moisture and what of it is clear."""

    dryness: Dryness
    usable: Usable | None

    @property
    def piece(self) -> Piece:
        return self.dryness.piece


@dataclass(frozen=True, slots=True)
class ReadyStock:
    """The blanks that are ready on a day, and those that nearly are."""

    on: date
    target: Target
    ready: tuple[Held, ...]
    nearly: tuple[Held, ...]
    others: int


def flaws_of(piece: Piece) -> tuple[Flaw, ...]:
    """The open defects of a piece, as the arithmetic of usable wood takes them."""
    return tuple(
        Flaw(
            kind=d.kind if d.kind in DEFECT_KINDS else "other",
            end=d.end,
            face=d.face,
            from_butt_mm=d.from_butt_mm,
            length_mm=d.length_mm,
            depth_mm=d.depth_mm,
            severity=d.severity,
        )
        for d in piece.defects
    )


def usable_of(piece: Piece) -> Usable | None:
    """What of a blank is clear, with the sum that says so; None if its sizes are not known."""
    size = piece.size
    if not (size.length_mm and size.width_mm and size.thickness_mm):
        return None
    planing_mm = 0.0 if size.surface == "planed" else PLANING_MM
    return usable(size.width_mm, size.thickness_mm, size.length_mm, flaws_of(piece), planing_mm=planing_mm)


def on_hand(reckoning: Reckoning, wanted: Filter) -> Iterator[Piece]:
    """The pieces on hand that a filter lets through, in the order of their marks."""
    sieve = Sieve(reckoning.pieces, wanted)
    return (piece for piece in reckoning.pieces.on_hand() if sieve.lets_through(piece))


def ready(reckoning: Reckoning, wanted: Filter) -> ReadyStock:
    """The blanks that are ready and nearly ready, those of one wood together, the driest first.

    Args:
        reckoning: the book's wood, reckoned.
        wanted: what is asked for; its sizes are of clear wood here, between the checks and after planing.
    """
    ready_now: list[Held] = []
    nearly: list[Held] = []
    others = 0
    for piece in on_hand(reckoning, replace(wanted, min_length_mm=None, min_square_mm=None)):
        if piece.kind not in READY_KINDS or piece.role == "reference":
            continue
        clear = usable_of(piece)
        if not _large_enough(clear, wanted):
            continue
        held = Held(reckoning.of(piece.id), clear)
        if held.dryness.judgement.ready:
            ready_now.append(held)
        elif is_nearly(held.dryness):
            nearly.append(held)
        else:
            others += 1
    return ReadyStock(
        on=reckoning.facts.on,
        target=reckoning.target,
        ready=tuple(sorted(ready_now, key=_by_wood)),
        nearly=tuple(sorted(nearly, key=_by_wood)),
        others=others,
    )


def _large_enough(clear: Usable | None, wanted: Filter) -> bool:
    if wanted.min_length_mm is None and wanted.min_square_mm is None:
        return True
    return (
        clear is not None
        and clear.length.mm >= (wanted.min_length_mm or 0)
        and clear.square.mm >= (wanted.min_square_mm or 0)
    )


def is_nearly(dryness: Dryness) -> bool:
    """Whether a piece that is not ready is close: steady but not dry, to be weighed again, or a few points too wet."""
    near = dryness.mc_pct is not None and dryness.mc_pct <= dryness.target.mc_pct + NEARLY_POINTS
    if dryness.verdict in ("drying", "getting wetter", "stable, too wet", "re-weigh", "cannot tell"):
        return near
    return dryness.verdict == "stable, moisture unknown"


def _by_wood(held: Held) -> tuple[str, float, str, int]:
    made = held.piece.made
    mc = held.dryness.mc_pct
    return held.piece.wood.name, mc if mc is not None else 999.0, made.series, made.number


def listed(reckoning: Reckoning, wanted: Filter, *, gone: bool = False) -> Iterator[Piece]:
    """The pieces of a listing: those on hand, or with `gone` every piece that was ever on the book."""
    if not gone:
        yield from on_hand(reckoning, wanted)
        return
    sieve = Sieve(reckoning.pieces, wanted)
    yield from (piece for piece in reckoning.pieces.all() if sieve.lets_through(piece))
