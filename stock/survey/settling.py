"""The present series of weighings of a piece, and whether it has settled in the air of its place."""

from datetime import date

from stock.book.facts import Facts
from stock.survey.airs import air_of
from stock.survey.states import History
from stock.wood.steady import Reading, settled_g


def readings_here(facts: Facts, history: History) -> tuple[int | None, tuple[Reading, ...]]:
    """The place a piece lies in, and its weighings there in its present state, as the scales showed them, net."""
    moves = facts.moves.get(history.piece_id, ())
    place_id: int | None = None
    since = date.min
    for move in moves:
        if move.place_id != place_id:
            place_id, since = move.place_id, move.on_last
    start = history.series_start()
    found = tuple(
        Reading(w.on, w.net_g, w.step_g, w.fact.scales_id)
        for w in history.weighings
        if w.after_event >= start and w.state == history.last_state and w.on >= since
    )
    return place_id, found


def settled(facts: Facts, history: History) -> tuple[int, float, float] | None:
    """The place in whose air a piece has settled, its net mass (g), and the moisture (%) at which that air keeps wood.

    None if it has not settled, by the stricter rule: within 0.5 % over at least sixty days, twice in a row, in a place
    whose air was told, and not coated all over.
    """
    place_id, readings = readings_here(facts, history)
    if place_id is None or not readings:
        return None
    coats = [e for e in history.events if e.kind in ("coat on", "coat off")]
    if coats and coats[-1].kind == "coat on" and any(e.coat_where == "all" for e in coats):
        return None
    net_g = settled_g(readings, facts.on)
    air = air_of(facts, place_id, readings[-1].on)
    if net_g is None or air is None:
        return None
    return place_id, net_g, air.mean_pct
