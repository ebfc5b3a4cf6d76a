"""Reference blocks: what their weighings say of the air of the places in which they lie.

A weighing counts once the block has lain in one place, bare and uncut since it was dried, for as long as its size needs
(`stock.wood.reference_blocks.days_to_balance`). A block tells of the place in which it was put itself.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from stock.book.facts import Facts
from stock.book.kinds import SectionFact
from stock.marks import mark
from stock.survey.pieces import Pieces
from stock.survey.states import History, Weighed, step_of_digits
from stock.wood.moisture import balance_sd_g, mc_pct
from stock.wood.reference_blocks import days_to_balance, reading_sd_pct

LIKELY_PCT = (1.0, 30.0)  # no air of a place that one works in keeps wood outside these


@dataclass(frozen=True, slots=True)
class BlockReading:
    """One weighing of a block in balance: the place, the day, and the moisture content (%) with its spread."""

    mark: str
    place_id: int
    on: date
    emc_pct: float
    sd_pct: float
    dry_sd_pct: float


@dataclass(frozen=True, slots=True)
class ReferenceBlock:
    """A reference block on a day.

    Attributes:
        id, mark: the piece.
        place_id: where it was put last; None if it never was.
        dry_g: its oven-dry mass, g; None if it was never dried whole.
        counts_from: the day from which its weighings tell of its place; None while that cannot be said.
        readings: those weighings that do, in order, of all places it was in.
    """

    id: int
    mark: str
    place_id: int | None
    dry_g: float | None
    counts_from: date | None
    readings: tuple[BlockReading, ...]


@dataclass(frozen=True, slots=True)
class _Dried:
    """The last time a block came out of the oven: the day, its mass (g), and how sure that is, sd in g."""

    on: date
    dry_g: float
    sd_g: float


def reference_blocks(facts: Facts) -> Iterator[ReferenceBlock]:
    """The reference blocks of the book, in the order of their marks.

    Args:
        facts: the facts; the blocks need not be of the families that were asked for.
    """
    known = facts.references
    if known is None:
        return
    for made in sorted(known.pieces.values(), key=lambda piece: (piece.series, piece.number)):
        yield _block(known, made.id, mark(made.number, made.series))


def dried_whole(facts: Facts, piece_id: int) -> tuple[SectionFact, date, float] | None:
    """The last time a piece was dried whole: the section, the day it came out, its oven-dry mass (g); None if never."""
    for section in reversed(facts.sections.get(piece_id, ())):
        final = [weight for weight in facts.ovens.get(section.id, ()) if weight.final]
        if section.kind == "whole" and not section.scorched and final:
            return section, max(final[-1].on_last, section.on_last), final[-1].mass_g
    return None


def _block(facts: Facts, piece_id: int, name: str) -> ReferenceBlock:
    moves = facts.moves.get(piece_id, ())
    stays: list[tuple[date, int]] = []
    for move in moves:
        if not stays or stays[-1][1] != move.place_id:
            stays.append((move.on_last, move.place_id))
    place_id = stays[-1][1] if stays else None
    dried = _dried(facts, piece_id)
    if dried is None:
        return ReferenceBlock(piece_id, name, place_id, None, None, ())
    size = Pieces(facts)[piece_id].size
    needs = timedelta(days=days_to_balance(size.width_mm, size.thickness_mm, size.length_mm))
    history = History(facts, piece_id)
    bare = history.events_by(dried.on) == len(history.events)
    counts_from = max(dried.on, stays[-1][0]) + needs if stays and bare else None
    readings = tuple(_readings(history, name, dried, stays, needs))
    return ReferenceBlock(piece_id, name, place_id, dried.dry_g, counts_from, readings)


def _dried(facts: Facts, piece_id: int) -> _Dried | None:
    found = dried_whole(facts, piece_id)
    if found is None:
        return None
    section, day, dry_g = found
    return _Dried(day, dry_g, balance_sd_g(section.step_g or step_of_digits(dry_g)))


def _readings(
    history: History, name: str, dried: _Dried, stays: list[tuple[date, int]], needs: timedelta
) -> Iterator[BlockReading]:
    untouched = history.events_by(dried.on)
    for weighed in history.weighings:
        stay = next(((since, place) for since, place in reversed(stays) if since <= weighed.on), None)
        if stay is None or weighed.on <= dried.on or weighed.after_event != untouched:
            continue
        if weighed.on - max(dried.on, stay[0]) >= needs and _is_likely(weighed, dried):
            yield BlockReading(
                mark=name,
                place_id=stay[1],
                on=weighed.on,
                emc_pct=mc_pct(weighed.net_g, dried.dry_g),
                sd_pct=reading_sd_pct(dried.dry_g, weighed.step_g),
                dry_sd_pct=100 * dried.sd_g / dried.dry_g,
            )


def _is_likely(weighed: Weighed, dried: _Dried) -> bool:
    low, high = LIKELY_PCT
    return low <= 100 * (weighed.net_g / dried.dry_g - 1) <= high
