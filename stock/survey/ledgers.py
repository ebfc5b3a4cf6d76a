"""From the facts of a family of pieces to the rows of its moisture ledger.

Every state of a piece is a node, ln of its oven-dry mass. A moisture section gives a node of its own, ln(1 + moisture
content) of the piece it was cut from on that day; the piece itself and the children sawn from it are tied to that node
by what they weighed within three days. While its wood is green, the moisture of the tree is a node too: the sectioned
pieces lie about it, and so do those that were only weighed. Operations tie states to each other by weights, by
lengths, or not at all.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from stock.book.facts import Facts
from stock.book.kinds import OperationFact, SectionFact
from stock.dates import short_day
from stock.marks import mark
from stock.survey.settling import settled
from stock.survey.states import History, Weighed, step_of_digits
from stock.wood import evidence, ledger
from stock.wood.evidence import Row, Slice
from stock.wood.moisture import balance_sd_g

FRESH_DAYS = 30  # how long after it was made a piece is taken to be as moist as its sisters
AIR_SD_PCT = 0.8  # of the air told for a place; the rest of the spread of a settled weight is the piece's own
UNWEIGHED_CUT_SD = 0.10  # of ln m0: a cut of which neither weights nor lengths are known
UNWEIGHED_PLANING_SD = 0.04  # planed to a measured size: sizes are good to half a millimetre or so

State = tuple[int, int]  # piece id, number of the state
Moisture = tuple[str, int, date]  # a piece's moisture content on the day of a section


@dataclass(frozen=True, slots=True)
class SectionResult:
    """A section that came out of the oven: masses, and what it says."""

    fact: SectionFact
    dry_g: float
    balance_sd_g: float

    @property
    def mc(self) -> float:
        """Moisture content, kg of water to a kg of oven-dry wood."""
        return self.fact.wet_g / self.dry_g - 1


@dataclass(frozen=True, slots=True)
class Moment:
    """The sections cut from one piece on one day; `node` is ln(1 + moisture content) of that piece then."""

    piece_id: int
    day: date
    results: tuple[SectionResult, ...]

    @property
    def node(self) -> Moisture:
        return ("moisture", self.piece_id, self.day)

    @property
    def mc(self) -> float:
        return sum(r.mc for r in self.results) / len(self.results)


def dried(facts: Facts, section: SectionFact) -> SectionResult | None:
    """The result of a section, or None while it has none, was scorched, or cannot be."""
    weights = facts.ovens.get(section.id, ())
    final = [w for w in weights if w.final]
    if not final or section.scorched or final[-1].mass_g > section.wet_g:
        return None
    step = final[-1].step_g or section.step_g or step_of_digits(final[-1].mass_g)
    return SectionResult(section, final[-1].mass_g, balance_sd_g(step))


class Family:
    """The ledger of one family: histories, rows, and the solution, each worked out when first asked for.

    Args:
        facts: the facts.
        members: the ids of the pieces of one tree (or of one rootless piece and its children).
    """

    def __init__(self, facts: Facts, members: Iterable[int]) -> None:
        self.facts = facts
        self.members = list(members)
        self.histories = {i: History(facts, i) for i in self.members}
        self.rows: tuple[Row, ...] = tuple(self._rows())
        self.solution = ledger.solve(self.rows)

    @cached_property
    def without_course(self) -> ledger.Solution:
        """What is known without where weighings settled: for a forecast, which looks at those weighings itself."""
        return ledger.solve(row for row in self.rows if row.kind != "settled")

    def _rows(self) -> Iterator[Row]:
        tied: set[int] = set()  # children tied to a section of their parent
        moments = [moment for piece_id in self.members for moment in self._moments(piece_id)]
        for piece_id in self.members:
            yield from self._whole_rows(piece_id)
        for moment in moments:
            yield from self._section_rows(moment, tied)
        yield from self._tree_rows(moments, tied)
        for piece_id in self.members:
            history = self.histories[piece_id]
            for number, event in enumerate(history.events):
                yield from _operation_rows(history, number, event)
        for piece_id in self.members:
            if piece_id not in tied:
                yield from self._birth_rows(piece_id)
        for piece_id in self.members:
            yield from self._settled_rows(piece_id)

    def _whole_rows(self, piece_id: int) -> Iterator[Row]:
        """A piece that was dried itself, such as a reference block."""
        for section in self.facts.sections.get(piece_id, ()):
            if section.kind == "whole" and (result := dried(self.facts, section)):
                state: State = (piece_id, self.histories[piece_id].last_state)
                yield evidence.whole_piece_dry(state, result.dry_g, result.balance_sd_g).said("itself, dried whole")

    def _moments(self, piece_id: int) -> list[Moment]:
        """The days on which sections of a piece were cut that have come out of the oven."""
        by_day: dict[date, list[SectionResult]] = {}
        for section in self.facts.sections.get(piece_id, ()):
            if section.kind == "slice" and (result := dried(self.facts, section)):
                by_day.setdefault(section.on_last, []).append(result)
        return [Moment(piece_id, day, tuple(results)) for day, results in by_day.items()]

    def _section_rows(self, moment: Moment, tied: set[int]) -> Iterator[Row]:
        """A section, tied by weight to its own piece and to those sawn from it."""
        piece_id, day = moment.piece_id, moment.day
        words = f"{self._named(piece_id)} section of {short_day(day)}"
        slices = [Slice(r.fact.wet_g, r.dry_g, r.balance_sd_g, _where(r.fact)) for r in moment.results]
        yield evidence.section(moment.node, slices).said(words)
        own = self._weighed_at(piece_id, day, moment.results)
        if own is not None:
            yield _tie(piece_id, own, moment.node, day, 0.0).said(words)
        for child in self.facts.children.get(piece_id, ()):
            if child not in self.histories or not self._is_fresh(child, day, evidence.REACH_DAYS):
                continue
            if beside := self.histories[child].near(day, evidence.REACH_DAYS):
                tied.add(child)
                yield _tie(child, beside, moment.node, day, evidence.CHILD_SCATTER_SD).said(words)

    def _tree_rows(self, moments: Sequence[Moment], tied: set[int]) -> Iterator[Row]:
        """The moisture that the green pieces of a tree had about, on the days on which some of them were sectioned.

        Each sectioned piece, and each that was only weighed, lies off it by the scatter within a tree; so many sections
        of sisters never outvote a piece's own. A piece that has lain for months says nothing of its sisters here.
        """
        green = sorted((m for m in moments if self._is_fresh(m.piece_id, m.day, FRESH_DAYS)), key=lambda m: m.day)
        while green:
            day = green[0].day
            some = [m for m in green if (m.day - day).days <= evidence.REACH_DAYS]
            green = green[len(some) :]
            node: Moisture = ("tree moisture", 0, day)
            scatter = evidence.tree_scatter_sd(100 * sum(m.mc for m in some) / len(some))
            words = f"what its tree was like on {short_day(day)}"
            known = tied | {m.piece_id for m in some}
            yield from (evidence.alike(m.node, node, scatter).said(words) for m in some)
            for other in self.members:
                if other in known or not self._is_fresh(other, day, FRESH_DAYS):
                    continue
                if beside := self.histories[other].near(day, evidence.REACH_DAYS):
                    yield _tie(other, beside, node, day, scatter).said(words)

    def _is_fresh(self, piece_id: int, day: date, days: int) -> bool:
        """Whether a piece was made in the days before a day, or in the few after it."""
        return -evidence.REACH_DAYS <= (day - self.facts.pieces[piece_id].on_last).days <= days

    def _named(self, piece_id: int) -> str:
        made = self.facts.pieces[piece_id]
        return mark(made.number, made.series)

    def _weighed_at(self, piece_id: int, day: date, results: Sequence[SectionResult]) -> Weighed | None:
        """What the piece weighed at its section: before the cut, else after it, else the nearest within three days."""
        history = self.histories[piece_id]
        operations = [r.fact.operation_id for r in results if r.fact.operation_id is not None]
        for role, order in (("before", operations), ("after", list(reversed(operations)))):
            for operation_id in order:
                if weighed := history.tied(operation_id, role):
                    return weighed
        return history.near(day, evidence.REACH_DAYS)

    def _settled_rows(self, piece_id: int) -> Iterator[Row]:
        """A weight that has settled in air that somebody told: the pieces of one place share the error of that air."""
        found = settled(self.facts, self.histories[piece_id])
        if found is None:
            return
        place_id, net_g, emc_pct = found
        node = ("air", place_id)
        held = 100 + emc_pct + evidence.PLATEAU_LAG_PCT
        words = f"settled in air that keeps wood near {emc_pct:.0f} %"
        yield Row(((node, 1.0),), math.log(held / 100), (AIR_SD_PCT / held) ** 2, "settled", words, True)
        state: State = (piece_id, self.histories[piece_id].last_state)
        own_sd = math.sqrt(evidence.PLATEAU_LAG_SD_PCT**2 - AIR_SD_PCT**2) / held
        yield Row(((state, 1.0), (node, 1.0)), math.log(net_g), own_sd**2, "settled", words)

    def _birth_rows(self, piece_id: int) -> Iterator[Row]:
        """Tie a piece to the one it was cut from, by weights, else by lengths where the two are alike."""
        made = self.facts.pieces[piece_id]
        if made.parent_id is None or made.parent_id not in self.histories:
            return
        parent = self.histories[made.parent_id]
        operation = next(
            (o for o in self.facts.operations.get(made.parent_id, ()) if o.id == made.made_by_id),
            None,
        )
        old: State = (made.parent_id, parent.state_after(parent.events_by(made.on_last)))
        new: State = (piece_id, 0)
        mine = self.histories[piece_id].near(made.on_last, evidence.REACH_DAYS)
        whole = parent.near(made.on_last, evidence.REACH_DAYS)
        if mine and whole and mine.net_g < whole.net_g and mine.state == 0:
            yield evidence.resawn((made.parent_id, whole.state), new, mine.net_g, whole.net_g)
        elif (
            operation
            and operation.kind == "crosscut"
            and made.kind == self.facts.pieces[made.parent_id].kind
            and (lengths := self._birth_lengths(piece_id, made.parent_id))
        ):
            yield evidence.trim_by_length(old, new, *lengths)

    def _birth_lengths(self, piece_id: int, parent_id: int) -> tuple[float, float] | None:
        was = [s.length_mm for s in self.facts.sizes.get(parent_id, ()) if s.length_mm]
        now = [s.length_mm for s in self.facts.sizes.get(piece_id, ()) if s.length_mm]
        return (was[-1], now[0]) if was and now and now[0] < was[-1] else None


def _tie(piece_id: int, weighed: Weighed, node: Moisture, day: date, scatter: float) -> Row:
    return evidence.weighed_at_section(
        (piece_id, weighed.state),
        node,
        weighed.net_g,
        weighed.variance_g2,
        days_apart=abs((weighed.on - day).days),
        scatter_sd=scatter,
    )


def _operation_rows(history: History, number: int, event: OperationFact) -> Iterator[Row]:
    """The rows that tie the state before an event to the one after it."""
    old: State = (history.piece_id, history.state_after(number))
    new: State = (history.piece_id, history.state_after(number + 1))
    if old == new:
        return
    if event.kind == "decay":
        yield evidence.decay(old, new, event.loss_pct or 6.0, event.loss_sd_pct or 4.0)
        return
    if event.kind == "treat":
        return  # resin, glycol: nothing is known of the wood until new evidence
    if event.kind in ("soak", "boil", "steam"):
        yield evidence.vague(old, new)
        return
    before, after = history.tied(event.id, "before"), history.tied(event.id, "after")
    on = short_day(event.on_last)
    told = False
    if before and after and after.net_g < before.net_g:
        uniform_sd = 0.03 if event.kind == "bark off" else 0.01
        row = evidence.trim_weighed(old, new, before.net_g, after.net_g, before.variance_g2, uniform_sd)
        yield row.said(f"the {event.kind} of {on}, weighed before and after")
        told = True
    if lengths := history.lengths(event):
        yield evidence.trim_by_length(old, new, *lengths).said(f"the {event.kind} of {on}, by its lengths")
        told = True
    if not told and (kept := history.kept(event)):
        row = evidence.trim_weighed(old, new, 1.0, kept, uniform_sd=UNWEIGHED_PLANING_SD)
        yield row.said(f"the {event.kind} of {on}, by its size")
        told = True
    if not told and event.kind not in ("saw", "split"):  # of those, what is left may be any part of it
        yield evidence.vague(old, new, UNWEIGHED_CUT_SD).said(f"the {event.kind} of {on}, neither weighed nor measured")


def _where(section: SectionFact) -> str | int:
    """Sections from one end tell the same; those from both ends, or from places apart, average."""
    if section.end:
        return section.end
    return round(section.position_mm / 50) if section.position_mm is not None else "somewhere"
