"""Where and when a piece settled: a weight that stays the same in air that somebody told is evidence of the dry mass.

Each stay of a piece in the air of one place, in each of its states and coats, is looked at by itself, and the last
time in it at which the piece had settled counts. So the evidence stays when the piece is moved, trimmed or planed.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from itertools import groupby

from stock.book.facts import Facts
from stock.survey.airs import PlaceAir
from stock.survey.lineage import Lineage, State
from stock.survey.reference_blocks import reference_blocks
from stock.survey.states import Weighed
from stock.wood import evidence
from stock.wood.evidence import Row
from stock.wood.steady import DRIFT, FEWEST, Reading, settled_g


@dataclass(frozen=True, slots=True)
class Stay:
    """The weighings of a piece in one state, under one coat, in the air of one place; `place_id` is where it lay last
    in that air."""

    place_id: int
    air_of: int
    state: int
    coated_all_over: bool
    weighings: tuple[Weighed, ...]

    def settled_by(self, day: date) -> float | None:
        """The net mass at which it had settled by a day, g, by the stricter rule; None if it had not."""
        return settled_g(self.readings, day)

    @property
    def readings(self) -> list[Reading]:
        return [Reading(w.on, w.net_g, w.step_g, w.scales_id) for w in self.weighings]

    def last_settled(self) -> tuple[float, Weighed] | None:
        """The last time in the stay at which it had settled: net mass (g), and the weighing that showed it."""
        readings = self.readings
        for count in range(len(readings), 2 * FEWEST - 2, -1):
            if _moving(readings[count - FEWEST : count]):
                continue
            if (net_g := settled_g(readings[:count], readings[count - 1].on)) is not None:
                return net_g, self.weighings[count - 1]
        return None


def _moving(last: Sequence[Reading]) -> bool:
    """Whether the last weighings, of three days on one scales, show at once that it had not settled."""
    if len({one.on for one in last}) < len(last) or len({one.scales for one in last}) > 1:
        return False
    masses = [one.net_g for one in last]
    return max(masses) - min(masses) > DRIFT * masses[-1]


def stays(lineage: Lineage, piece_id: int) -> list[Stay]:
    """The stays of a piece in which it was weighed, in order."""
    history = lineage.histories[piece_id]
    moves = _moves(lineage, piece_id)
    if not moves:
        return []

    def where(weighed: Weighed) -> tuple[int, int, int]:
        """The stay, the state, and the number of events that end a series or change the coat."""
        stay = max((i for i, (since, _, _) in enumerate(moves) if since <= weighed.on), default=-1)
        return stay, weighed.state, history.coatings(weighed.after_event)

    found = []
    for (stay, state, _), some in groupby(sorted(history.weighings, key=where), key=where):
        if stay >= 0:
            weighings = tuple(some)
            _, air, place_id = moves[stay]
            coated = history.coated_all_over(weighings[-1].after_event)
            found.append(Stay(place_id, air, state, coated, weighings))
    return found


def _moves(lineage: Lineage, piece_id: int) -> list[tuple[date, int, int]]:
    """(since when, whose air, which place) of each stay: of its own moves, else of the piece it came from."""
    facts = lineage.facts
    for one in lineage.pieces.up(piece_id):
        if own := facts.moves.get(one):
            found: list[tuple[date, int, int]] = []
            for move in own:
                air = air_place(facts, move.place_id)
                if not found or found[-1][1] != air:
                    found.append((move.on_last if found or one == piece_id else date.min, air, move.place_id))
            return found
    return []


def air_place(facts: Facts, place_id: int) -> int:
    """The place whose air a place has: its own, or that of the nearest place around it of which air was told."""
    at: int | None = place_id
    outermost = place_id
    while at is not None:
        if facts.air.get(at) or at in _told_by_blocks(facts):
            return at
        outermost = at
        place = facts.places.get(at)
        at = place.parent_id if place else None
    return outermost


@lru_cache(maxsize=4)
def _told_by_blocks(facts: Facts) -> frozenset[int]:
    """The places of whose air a reference block tells."""
    readings = (reading for block in reference_blocks(facts) for reading in block.readings)
    return frozenset(reading.place_id for reading in readings)


def settled_rows(lineage: Lineage) -> Iterator[Row]:
    """Weights that settled in told air; the pieces of one place share the error of its air."""
    rows: list[Row] = []
    airs: dict[int, float] = {}
    for piece_id in lineage.members:
        if lineage.facts.pieces[piece_id].role == "reference":
            continue  # it tells the air, and is not told by it
        for stay in stays(lineage, piece_id):
            told = not stay.coated_all_over and lineage.air(stay.place_id, stay.weighings[-1].on)
            if not told or (found := stay.last_settled()) is None:
                continue
            net_g, last = found
            air = lineage.air(stay.place_id, last.on)
            if air is None:
                continue
            airs[stay.air_of] = max(airs.get(stay.air_of, 0.0), air.sd_pct)
            rows.append(lineage.zeroed(_row(lineage, piece_id, stay, net_g, air), last))
    for place_id, sd_pct in airs.items():
        place = lineage.facts.places.get(place_id)
        words = f"the air of {place.name}" if place else "the air of its place"
        yield evidence.shared_error(("air", place_id), sd_pct, "air", words)
    yield from rows


def _row(lineage: Lineage, piece_id: int, stay: Stay, net_g: float, air: PlaceAir) -> Row:
    state: State = (piece_id, stay.state)
    row = evidence.plateau(state, ("air", stay.air_of), net_g, air.mean_pct)
    return row.said(f"{lineage.named(piece_id)} weight, settled where the air keeps wood near {air.mean_pct:.0f} %")


def had_settled(some: Sequence[Stay], day: date) -> bool:
    """Whether a piece had settled by a day in the stay it was weighed in then, not coated all over."""
    here = [stay for stay in some if stay.weighings[0].on <= day]
    return bool(here) and not here[-1].coated_all_over and here[-1].settled_by(day) is not None
