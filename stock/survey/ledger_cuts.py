"""What cuts, planing, decay and soaking keep of a piece, and what a piece keeps of the one it was cut from.

States are tied to each other by weights before and after, by lengths, by squares, or not at all. Where the weights
before and after planing or turning were read while the outside was drier than the core, what is left is wetter than
the whole was: that takes knowing the moisture first, so those rows are drawn up a second time.
"""

import math
from collections.abc import Iterator

from stock.book.kinds import OperationFact
from stock.dates import short_day
from stock.survey.lineage import Lineage, State
from stock.survey.states import History, Weighed
from stock.wood import evidence, operations
from stock.wood.evidence import Row
from stock.wood.ledger import Solution
from stock.wood.shrinkage import FIBRE_SATURATION_PCT

UNWEIGHED_CUT_SD = 0.10  # of ln m0: a cut of which neither weights nor lengths are known
UNWEIGHED_PLANING_SD = 0.04  # planed to a measured size: sizes are good to half a millimetre or so
BARK_SD = 0.03  # bark holds other moisture than wood
GREEN_SHELL_SD = 0.03  # planed while the inside was above fibre saturation: how far the shell had dried is not known
SLICE_AND_DUST, SLICE_AND_DUST_SD = 1.15, 0.1  # what a slice took, its sawdust included, against its own weight
MOST_CUT_AWAY = 0.5
GRADIENT_PCT = 2.0  # wetter than its air by more than this, a piece is drier outside than inside
PARED = frozenset({"plane", "turn"})


def cut_rows(lineage: Lineage, solution: Solution | None = None) -> Iterator[Row]:
    """The rows of all that was done to the pieces of a family; with a solution, dry shells are allowed for."""
    for history in lineage.histories.values():
        for number, event in enumerate(history.events):
            yield from _event_rows(lineage, history, number, event, solution)


def pared(lineage: Lineage) -> bool:
    """Whether some piece was planed or turned and weighed before and after, so that a dry shell may matter."""
    return any(
        event.kind in PARED and history.tied(event.id, "before") and history.tied(event.id, "after")
        for history in lineage.histories.values()
        for event in history.events
    )


def _event_rows(
    lineage: Lineage, history: History, number: int, event: OperationFact, solution: Solution | None
) -> Iterator[Row]:
    """The rows that tie the state before an event to the one after it."""
    old: State = (history.piece_id, history.state_after(number))
    new: State = (history.piece_id, history.state_after(number + 1))
    if old == new:
        return
    on = short_day(event.on_last)
    if event.kind == "decay":
        row = operations.decay(old, new, event.loss_pct or 6.0, event.loss_sd_pct or 4.0)
        yield row.said(f"the spalting by {on}")
        return
    if event.kind == "treat":
        return  # resin, glycol: nothing is known of the wood until new evidence
    if event.kind in ("soak", "boil", "steam"):
        yield operations.vague(old, new).said(f"the {event.kind} of {on}")
        return
    told = False
    before, after = history.tied(event.id, "before"), history.tied(event.id, "after")
    if before and after and after.net_g < before.net_g:
        row = _weighed_row(lineage, event, (old, new), (before, after), solution)
        yield row.said(f"the {event.kind} of {on}, weighed before and after")
        told = True
    if lengths := history.lengths(event):
        yield operations.trim_by_length(old, new, *lengths).said(f"the {event.kind} of {on}, by its lengths")
        told = True
    if not told and (kept := history.kept(event)):
        row = operations.trim_weighed(old, new, 1.0, kept, uniform_sd=UNWEIGHED_PLANING_SD)
        yield row.said(f"the {event.kind} of {on}, by its size")
        told = True
    if not told and (left := _left_by_slices(lineage, history, number, event)):
        kept, sd = left
        row = operations.trim_weighed(old, new, 1.0, kept, uniform_sd=sd)
        yield row.said(f"the section of {on}, by the weight of its slice")
        told = True
    if not told and event.kind not in ("saw", "split"):  # of those, what is left may be any part of it
        row = operations.vague(old, new, UNWEIGHED_CUT_SD)
        yield row.said(f"the {event.kind} of {on}, neither weighed nor measured")


def _weighed_row(
    lineage: Lineage,
    event: OperationFact,
    states: tuple[State, State],
    weights: tuple[Weighed, Weighed],
    solution: Solution | None,
) -> Row:
    """A cut weighed before and after: the ratio of the weights, unless a dry shell went."""
    old, new = states
    before, after = weights
    masses = (before.net_g, after.net_g, before.variance_g2)
    if event.kind not in PARED or solution is None or not solution.knows(old):
        return operations.trim_weighed(old, new, *masses, BARK_SD if event.kind == "bark off" else 0.01)
    mc_pct = 100 * (before.net_g / math.exp(solution.mean(old)) - 1)
    air = lineage.air(_place_on(lineage, old[0], event), event.on_last)
    if air is None or mc_pct <= air.emc_pct + GRADIENT_PCT:
        return operations.trim_weighed(old, new, *masses)
    if mc_pct > FIBRE_SATURATION_PCT:
        return operations.trim_weighed(old, new, *masses, GREEN_SHELL_SD)
    square = lineage.histories[old[0]].kept(event) or after.net_g / before.net_g
    return operations.dry_shell_removed(
        old, new, *masses, mc_pct=mc_pct, emc_pct=air.emc_pct, kept=min(math.sqrt(square), 1.0)
    )


def _left_by_slices(
    lineage: Lineage, history: History, number: int, event: OperationFact
) -> tuple[float, float] | None:
    """The share of a piece that cutting slices off it left, by their weight and that of the piece; and its sd."""
    slices_g = sum(s.wet_g for s in lineage.facts.sections.get(history.piece_id, ()) if s.operation_id == event.id)
    weights = (history.tied(event.id, "before"), history.tied(event.id, "after"))
    whole = weights[0] or weights[1] or history.near(event.on_last, evidence.REACH_DAYS)
    if event.kind != "section" or whole is None or not slices_g:
        return None
    cut_g, cut_sd_g = SLICE_AND_DUST * slices_g, SLICE_AND_DUST_SD * slices_g
    whole_g = whole.net_g + (cut_g if whole.after_event > number else 0.0)
    if cut_g > MOST_CUT_AWAY * whole_g:
        return None
    left_g = whole_g - cut_g
    return left_g / whole_g, math.hypot(0.005, cut_sd_g / left_g)


def _place_on(lineage: Lineage, piece_id: int, event: OperationFact) -> int | None:
    for one in lineage.pieces.up(piece_id):
        if moves := [move for move in lineage.facts.moves.get(one, ()) if move.on_last <= event.on_last]:
            return moves[-1].place_id
    return None


def birth_rows(lineage: Lineage, tied: set[int]) -> Iterator[Row]:
    """Tie each piece that no section of its parent ties already to that parent, by weights, else by lengths."""
    for piece_id in lineage.members:
        if piece_id not in tied:
            yield from _birth_row(lineage, piece_id)


def _birth_row(lineage: Lineage, piece_id: int) -> Iterator[Row]:
    facts = lineage.facts
    made = facts.pieces[piece_id]
    if made.parent_id is None or made.parent_id not in lineage.histories:
        return
    parent = lineage.histories[made.parent_id]
    operation = next((o for o in facts.operations.get(made.parent_id, ()) if o.id == made.made_by_id), None)
    old: State = (made.parent_id, parent.state_after(parent.events_by(made.on_last)))
    new: State = (piece_id, 0)
    mine = lineage.histories[piece_id].near(made.on_last, evidence.REACH_DAYS)
    whole = parent.near(made.on_last, evidence.REACH_DAYS)
    share = f"{lineage.named(piece_id)} share of {lineage.named(made.parent_id)}"
    if mine and whole and mine.net_g < whole.net_g and mine.state == 0:
        row = operations.resawn((made.parent_id, whole.state), new, mine.net_g, whole.net_g)
        yield row.said(f"{share}, {100 * mine.net_g / whole.net_g:.0f} % of its weight")
    elif (
        operation
        and operation.kind == "crosscut"
        and made.kind == facts.pieces[made.parent_id].kind
        and (lengths := _birth_lengths(lineage, piece_id, made.parent_id))
    ):
        yield operations.trim_by_length(old, new, *lengths).said(f"{share}, by their lengths")


def _birth_lengths(lineage: Lineage, piece_id: int, parent_id: int) -> tuple[float, float] | None:
    was = [s.length_mm for s in lineage.facts.sizes.get(parent_id, ()) if s.length_mm]
    now = [s.length_mm for s in lineage.facts.sizes.get(piece_id, ()) if s.length_mm]
    return (was[-1], now[0]) if was and now and now[0] < was[-1] else None
