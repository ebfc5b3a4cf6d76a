"""Moisture sections as rows of the ledger: of the piece itself, of the pieces sawn from it, and of its tree.

A section gives a node of its own, ln(1 + moisture content) of the piece it was cut from on that day; the piece itself
and the children sawn from it are tied to that node by what they weighed within three days. While its wood is green,
the moisture of the tree is a node too: the sectioned pieces lie about it, and so do those that were only weighed.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from stock.book.facts import Facts
from stock.book.kinds import SectionFact
from stock.dates import short_day
from stock.survey.lineage import Lineage, State
from stock.survey.states import Weighed, step_of_digits
from stock.wood import evidence
from stock.wood.evidence import Node, Row, Slice
from stock.wood.moisture import balance_sd_g

FRESH_DAYS = 30  # how long after it was made a piece is taken to be as moist as its sisters

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


def moments(facts: Facts, piece_id: int) -> list[Moment]:
    """The days on which sections of a piece were cut that have come out of the oven."""
    by_day: dict[date, list[SectionResult]] = {}
    for section in facts.sections.get(piece_id, ()):
        if section.kind == "slice" and (result := dried(facts, section)):
            by_day.setdefault(section.on_last, []).append(result)
    return [Moment(piece_id, day, tuple(results)) for day, results in by_day.items()]


def section_rows(lineage: Lineage, tied: set[int]) -> Iterator[Row]:
    """All that sections say; `tied` takes the children that are tied to a section of their parent."""
    every = [moment for piece_id in lineage.members for moment in moments(lineage.facts, piece_id)]
    for piece_id in lineage.members:
        yield from _whole_rows(lineage, piece_id)
    for moment in every:
        yield from _moment_rows(lineage, moment, tied)
    yield from _tree_rows(lineage, every, tied)


def _whole_rows(lineage: Lineage, piece_id: int) -> Iterator[Row]:
    """A piece that was dried itself, such as a reference block."""
    for section in lineage.facts.sections.get(piece_id, ()):
        if section.kind == "whole" and (result := dried(lineage.facts, section)):
            state: State = (piece_id, lineage.histories[piece_id].last_state)
            yield evidence.whole_piece_dry(state, result.dry_g, result.balance_sd_g).said("itself, dried whole")


def _moment_rows(lineage: Lineage, moment: Moment, tied: set[int]) -> Iterator[Row]:
    """A section, tied by weight to its own piece and to those sawn from it."""
    piece_id, day = moment.piece_id, moment.day
    words = f"{lineage.named(piece_id)} section of {short_day(day)}"
    slices = [Slice(r.fact.wet_g, r.dry_g, r.balance_sd_g, _where(r.fact)) for r in moment.results]
    yield evidence.section(moment.node, slices).said(words)
    own = _weighed_at(lineage, moment)
    if own is not None:
        yield tie(lineage, piece_id, own, moment.node, day, 0.0).said(words)
    for child in lineage.facts.children.get(piece_id, ()):
        if child not in lineage.histories or not lineage.is_fresh(child, day, evidence.REACH_DAYS):
            continue
        if beside := lineage.histories[child].near(day, evidence.REACH_DAYS):
            tied.add(child)
            yield tie(lineage, child, beside, moment.node, day, evidence.CHILD_SCATTER_SD).said(words)


def _tree_rows(lineage: Lineage, every: Sequence[Moment], tied: set[int]) -> Iterator[Row]:
    """The moisture that the green pieces of a tree had about, on the days on which some of them were sectioned.

    Each sectioned piece, and each that was only weighed, lies off it by the scatter within a tree; so many sections
    of sisters never outvote a piece's own. A piece that has lain for months says nothing of its sisters here.
    """
    green = sorted((m for m in every if lineage.is_fresh(m.piece_id, m.day, FRESH_DAYS)), key=lambda m: m.day)
    while green:
        day = green[0].day
        some = [m for m in green if (m.day - day).days <= evidence.REACH_DAYS]
        green = green[len(some) :]
        node: Moisture = ("tree moisture", 0, day)
        scatter = evidence.tree_scatter_sd(100 * sum(m.mc for m in some) / len(some))
        words = f"what its tree was like on {short_day(day)}"
        known = tied | {m.piece_id for m in some}
        yield from (evidence.alike(m.node, node, scatter).said(words) for m in some)
        for other in lineage.members:
            if other in known or not lineage.is_fresh(other, day, FRESH_DAYS):
                continue
            if beside := lineage.histories[other].near(day, evidence.REACH_DAYS):
                yield tie(lineage, other, beside, node, day, scatter).said(words)


def _weighed_at(lineage: Lineage, moment: Moment) -> Weighed | None:
    """What the piece weighed at its section: before the cut, else after it, else the nearest within three days."""
    history = lineage.histories[moment.piece_id]
    operations = [r.fact.operation_id for r in moment.results if r.fact.operation_id is not None]
    for role, order in (("before", operations), ("after", list(reversed(operations)))):
        for operation_id in order:
            if weighed := history.tied(operation_id, role):
                return weighed
    return history.near(moment.day, evidence.REACH_DAYS)


def tie(lineage: Lineage, piece_id: int, weighed: Weighed, node: Node, day: date, scatter: float) -> Row:
    """A weighing near the day of a section, of a piece as moist as the node but for a scatter in ln(1 + M)."""
    row = evidence.weighed_at_section(
        (piece_id, weighed.state),
        node,
        weighed.net_g,
        weighed.variance_g2,
        days_apart=abs((weighed.on - day).days),
        scatter_sd=scatter,
    )
    return lineage.zeroed(row, weighed)


def _where(section: SectionFact) -> str | int:
    """Sections from one end tell the same; those from both ends, or from places apart, average."""
    if section.end:
        return section.end
    return round(section.position_mm / 50) if section.position_mm is not None else "somewhere"
