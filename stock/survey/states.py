"""The states that a piece goes through: what each weighing weighed, and what of it was wood and water.

A *state* is a piece between two operations that change its oven-dry mass (a trim, a moisture section, planing, decay,
a soak). Coats do not change the state: they add a mass that is neither wood nor water. Each weighing falls into one
state and carries the coat of its moment, the error of its scales and, if the scales were checked, their zero.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from stock.book.facts import Facts
from stock.book.kinds import OperationFact, ScalesCheckFact, SizeFact, WeighingFact

RESHAPING = frozenset({"trim", "plane", "turn", "section", "bark off", "crosscut", "split", "saw"})
UNMAKING = frozenset({"soak", "boil", "steam", "treat"})  # what the old weights said no longer holds
COATING = frozenset({"coat on", "coat off"})
CHANGES_STATE = RESHAPING | UNMAKING | {"decay"}
# A series of weighings that follows drying ends at these; a shorter length or a slice does not end it.
ENDS_SERIES = COATING | UNMAKING | {"plane", "turn", "bark off", "decay", "split", "saw"}

EMULSION_SOLIDS, EMULSION_SOLIDS_SD = 0.45, 0.10  # share of a wet emulsion coat that stays (from memory, no source)


@dataclass(frozen=True, slots=True)
class Coating:
    """The mass on a piece that is neither wood nor water, g."""

    mass_g: float = 0.0
    sd_g: float = 0.0


@dataclass(frozen=True, slots=True)
class Weighed:
    """A weighing, placed in the history of its piece.

    `net_g` is wood and water alone; `variance_g2` covers scales and coat; `after_event` counts the events before it;
    `checked` is whether its scales had been checked against a known weight by then; `scales_id` are those named with
    it, or the only ones of the book where none were (for comparing; their zero is not reckoned off then), or None.
    """

    fact: WeighingFact
    on: date
    state: int
    after_event: int
    net_g: float
    variance_g2: float
    step_g: float
    checked: bool
    scales_id: int | None


class History:
    """The events of one piece in order, and its weighings among them."""

    def __init__(self, facts: Facts, piece_id: int) -> None:
        self.piece_id = piece_id
        self._facts = facts
        everything = facts.operations.get(piece_id, ())
        self.events: list[OperationFact] = [
            o for o in everything if not o.ends_piece and (o.kind in CHANGES_STATE or o.kind in COATING)
        ]
        self._index = {event.id: i for i, event in enumerate(self.events)}
        self.ending = next((o for o in everything if o.ends_piece), None)
        self.coats = self._coats()
        self.weighings = [self._placed(w) for w in facts.weighings.get(piece_id, ()) if w.state in ("clean", "bagged")]
        self.weighings.sort(key=lambda w: (w.on, w.after_event, w.fact.day_order, w.fact.entry_id, w.fact.row_no))

    def state_after(self, events: int) -> int:
        """The number of the state after the first so many events."""
        return sum(event.kind in CHANGES_STATE for event in self.events[:events])

    @property
    def last_state(self) -> int:
        return self.state_after(len(self.events))

    def events_by(self, day: date) -> int:
        """How many events lie on or before a day."""
        return sum(event.on_last <= day for event in self.events)

    def events_through(self, operation_id: int | None) -> int | None:
        """How many events an operation is the last of; None if it is none of this piece's events."""
        return self._index[operation_id] + 1 if operation_id in self._index else None

    def coatings(self, events: int) -> int:
        """How often a coat went on or off in the first so many events."""
        return sum(event.kind in COATING for event in self.events[:events])

    def series_start(self) -> int:
        """The number of events after which the present series of weighings begins."""
        ends = [i + 1 for i, event in enumerate(self.events) if event.kind in ENDS_SERIES]
        return ends[-1] if ends else 0

    def tied(self, event_id: int, role: str) -> Weighed | None:
        """The weighing before or after an operation."""
        found = (w for w in self.weighings if w.fact.operation_id == event_id and w.fact.role == role)
        return next(found, None)

    def near(self, day: date, within_days: int = 3) -> Weighed | None:
        """The nearest weighing to a day, earlier first on a tie."""
        close = [w for w in self.weighings if abs((w.on - day).days) <= within_days]
        return min(close, key=lambda w: (abs((w.on - day).days), w.on), default=None)

    def lengths(self, event: OperationFact) -> tuple[float, float] | None:
        """Length before and after an event, mm, if both are known."""
        before, after = self._sizes_around(event)
        if before and after and before.length_mm and after.length_mm and after.length_mm < before.length_mm:
            return before.length_mm, after.length_mm
        return None

    def kept(self, event: OperationFact) -> float | None:
        """The share of the wood that an event left, as told, or by the cross-sections before and after it."""
        if event.kept_fraction:
            return event.kept_fraction
        before, after = self._sizes_around(event)
        was, now = (_area(before) if before else None), (_area(after) if after else None)
        return now / was if was and now and now < was else None

    def _sizes_around(self, event: OperationFact) -> tuple[SizeFact | None, SizeFact | None]:
        sizes = list(self._facts.sizes.get(self.piece_id, ()))
        own = next((i for i, s in enumerate(sizes) if s.operation_id == event.id), None)
        if own is None:
            return None, None
        return _merged(sizes[:own]), _merged(sizes[: own + 1])

    def _coats(self) -> list[Coating]:
        """The coat after each number of events, from none."""
        coats = [Coating()]
        for event in self.events:
            coats.append(self._coat_after(event, coats[-1]))
        return coats

    def _coat_after(self, event: OperationFact, now: Coating) -> Coating:
        if event.kind == "coat on":
            gain = self._gain(event)
            if gain is None:
                return now
            if event.coat_state == "wet":
                solids = event.solids or EMULSION_SOLIDS
                added, sd = gain * solids, gain * EMULSION_SOLIDS_SD
            else:
                added, sd = gain, 0.2 * gain
            return Coating(max(now.mass_g + added, 0.0), math.hypot(now.sd_g, sd, 1.0))
        if event.kind == "coat off":
            loss = self._gain(event)
            if loss is None:
                return Coating()
            left = max(now.mass_g + loss, 0.0)
            return Coating(left, 0.2 * left)
        if event.kind in ("trim", "section", "crosscut") and now.mass_g:
            kept = self._coat_kept(event)
            return Coating(now.mass_g * kept, now.sd_g * kept)
        if event.kind in ("plane", "turn") and self.coated_all_over(self._index[event.id]):
            return Coating()
        return now

    def coated_all_over(self, events: int) -> bool:
        """Whether a coat of all faces was on the piece after the first so many events."""
        everywhere = False
        for event in self.events[:events]:
            if event.kind == "coat on":
                everywhere = everywhere or event.coat_where == "all"
            elif event.kind in ("coat off", "plane", "turn"):
                everywhere = False
        return everywhere

    def _coat_kept(self, event: OperationFact) -> float:
        """The share of a coat that stays on a piece cut shorter: all but an end, or by the length of its faces."""
        if self.coated_all_over(self._index[event.id]):
            lengths = self.lengths(event)
            return lengths[1] / lengths[0] if lengths else 1.0
        return 1.0 - 0.5 * sum(bool(off) for off in (event.butt_off_mm, event.top_off_mm))

    def _gain(self, event: OperationFact) -> float | None:
        masses = {w.role: w.mass_g for w in self._facts.weighings.get(self.piece_id, ()) if w.operation_id == event.id}
        if "before" in masses and "after" in masses:
            return masses["after"] - masses["before"]
        return None

    def _placed(self, fact: WeighingFact) -> Weighed:
        events = self._events_before(fact)
        coat = self.coats[events]
        scales_id = self._scales_id(fact)
        scales = self._facts.scales.get(scales_id) if scales_id is not None else None
        step = fact.step_g or (scales.step_g if scales else None) or step_of_digits(fact.mass_g)
        zero = self._zero(fact, step)
        return Weighed(
            fact=fact,
            on=fact.on_last,
            state=self.state_after(events),
            after_event=events,
            net_g=max(fact.mass_g - zero - coat.mass_g, 0.1),
            variance_g2=step**2 + step**2 / 12 + coat.sd_g**2,
            step_g=step,
            checked=bool(self._checks(fact)),
            scales_id=scales_id,
        )

    def _scales_id(self, fact: WeighingFact) -> int | None:
        if fact.scales_id is not None:
            return fact.scales_id
        return next(iter(self._facts.scales)) if len(self._facts.scales) == 1 else None

    def _events_before(self, fact: WeighingFact) -> int:
        """A weight tied to an operation knows its side of it; any other is of the piece that remains that day."""
        if fact.operation_id in self._index:
            return self._index[fact.operation_id] + (fact.role == "after")
        return self.events_by(fact.on_last)

    def _zero(self, fact: WeighingFact, step_g: float) -> float:
        """By how much the scales read high, g; within one step it is noise."""
        checks = self._checks(fact)
        if not checks:
            return 0.0
        off = checks[-1].read_g - checks[-1].true_g
        return off if abs(off) > step_g * (1 + 1e-9) else 0.0

    def _checks(self, fact: WeighingFact) -> list[ScalesCheckFact]:
        """The checks of the scales of a weighing up to its day."""
        checks = self._facts.scales_checks.get(fact.scales_id, ()) if fact.scales_id is not None else ()
        return [c for c in checks if c.on_last <= fact.on_last]


def step_of_digits(mass_g: float) -> float:
    """The step that a mass tells by its digits, g: 408 g was read to 1 g, 36.9 g to 0.1 g."""
    text = f"{mass_g:.4f}".rstrip("0")
    return 10.0 ** -len(text.partition(".")[2])


def _area(size: SizeFact) -> float | None:
    return size.width_mm * size.thickness_mm if size.width_mm and size.thickness_mm else None


def _merged(sizes: Sequence[SizeFact]) -> SizeFact | None:
    """The size that holds after several rows: the newest value of each measure."""
    if not sizes:
        return None
    now = sizes[0]
    for size in sizes[1:]:
        known = {
            name: v for name in ("length_mm", "width_mm", "thickness_mm") if (v := getattr(size, name)) is not None
        }
        now = now._replace(**known)
    return now
