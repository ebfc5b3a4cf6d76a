"""The lines that say something of a piece: weights, looks, defects, moves, and what was done to it."""

from stock.book.records import Departure, Look, MeterReading, Move, Opinion
from stock.book.records.moisture import WEIGHED_ROLES, WEIGHED_STATES
from stock.book.records.pieces import SURE
from stock.book.records.sets import ENDS, OUTCOMES, SEVERITIES
from stock.errors import Unclear
from stock.wood.moisture import METER_RANGE_PCT
from stock.yard import cells as c
from stock.yard.cells import Cells
from stock.yard.importing_lines import At, FactLine, SeenLine, WeighingLine
from stock.yard.importing_wood import face_of, looks_of, size_of, traits_of
from stock.yard.making import size_row
from stock.yard.metering import BEYOND
from stock.yard.seen import Seen
from stock.yard.values import dated


def opinion_line(at: At, cells: Cells) -> FactLine:
    """A line of opinions.csv."""
    on = cells.needed_day("on")
    row = Opinion(
        piece_id=0,
        sure=cells.word("sure", SURE, "probable"),
        by_whom=cells.text("by_whom"),
        evidence=cells.text("evidence"),
        typed=cells.typed(),
        **dated(on),
    )
    return FactLine(at, cells.needed("piece"), on, row, "named", species=cells.text("species"))


def size_line(at: At, cells: Cells) -> FactLine:
    """A line of sizes.csv: a piece measured again."""
    on = cells.needed_day("on")
    row = size_row(0, size_of(cells), on)
    if row is None:
        raise Unclear("no size is given")
    row.typed = {**row.typed, **cells.typed()}
    return FactLine(at, cells.needed("piece"), on, row, "measured")


def figure_line(at: At, cells: Cells) -> FactLine:
    """A line of figures.csv."""
    on = cells.needed_day("on")
    looks, traits, run_out = looks_of(cells), traits_of(cells.text("trait")), cells.number("run_out", c.RUN_OUT)
    if len(traits) > 1:
        raise Unclear(f'trait "{c.shown(cells.text("trait"))}": one figure a line')
    row = Look(
        piece_id=0,
        face=face_of(cells, "face"),
        part=looks.part,
        ring_deg=looks.rings.value if looks.rings else None,
        sap_faces=looks.sap_faces,
        bark_face=looks.bark_face,
        pith_in=looks.pith_in,
        trait=traits[0] if traits else None,
        grade=cells.text("grade") or None,
        run_out=run_out.value if run_out else None,
        typed=cells.typed(ring_deg=looks.rings, run_out=run_out),
        **dated(on),
    )
    told = (row.part, row.ring_deg, row.sap_faces, row.bark_face, row.pith_in, row.trait, row.grade, row.run_out)
    if all(value is None for value in told):
        raise Unclear("neither a trait nor anything else of its look is given")
    return FactLine(at, cells.needed("piece"), on, row, "looked at")


def meter_line(at: At, cells: Cells) -> FactLine:
    """A line of meters.csv."""
    on = cells.needed_day("on")
    reading, beyond = cells.number("reading_pct", c.MOISTURE), cells.word("beyond", BEYOND)
    low, high = METER_RANGE_PCT
    if reading and not beyond:
        beyond = "above" if reading.value > high else "below" if reading.value < low else ""
    if reading is None and not beyond:
        raise Unclear("reading_pct is empty, and beyond does not say above or below")
    wood = cells.number("wood_c", c.WOOD_TEMP)
    row = MeterReading(
        piece_id=0,
        reading_pct=None if beyond or reading is None else reading.value,
        beyond=beyond or None,
        limit_pct={"above": high, "below": low}.get(beyond),
        wood_c=wood.value if wood else None,
        meter=cells.text("meter"),
        typed=cells.typed(reading_pct=reading, wood_c=wood),
        **dated(on),
    )
    return FactLine(at, cells.needed("piece"), on, row, "read with a meter")


def move_line(at: At, cells: Cells) -> FactLine:
    """A line of moves.csv."""
    on = cells.needed_day("on")
    row = Move(piece_id=0, place_id=0, seen_only=bool(cells.truth("seen_only")), typed=cells.typed(), **dated(on))
    return FactLine(at, cells.needed("piece"), on, row, "moved", place=cells.needed("place"))


def departure_line(at: At, cells: Cells) -> FactLine:
    """A line of departures.csv; "back" is a return."""
    on = cells.needed_day("on")
    cells.needed("outcome")
    outcome = cells.word("outcome", (*OUTCOMES, "back"))
    row = Departure(
        piece_id=0,
        outcome=None if outcome == "back" else outcome,
        reason=cells.text("reason"),
        to_whom=cells.text("to_whom"),
        typed=cells.typed(),
        **dated(on),
    )
    return FactLine(at, cells.needed("piece"), on, row, "back" if outcome == "back" else "given away or lost")


def defect_line(at: At, cells: Cells) -> SeenLine:
    """A line of defects.csv: one look at a defect; no more of it than 0 is gone."""
    on, how_many = cells.needed_day("on"), cells.whole("how_many")
    seen = Seen(
        kind=cells.needed("kind"),
        end=cells.word("end", ENDS) or None,
        face=face_of(cells, "face"),
        length=cells.number("length_mm", c.POSITION),
        depth=cells.number("depth_mm", c.POSITION),
        width=cells.number("width_mm", c.POSITION),
        from_butt=cells.number("from_butt_mm", c.POSITION),
        how_many=how_many,
        severity=cells.word("severity", SEVERITIES, "unknown"),
        how_seen=cells.text("how_seen"),
        gone=how_many == 0,
    )
    return SeenLine(at, cells.needed("piece"), on, seen, cells.text("note"))


def weighing_line(at: At, cells: Cells) -> WeighingLine:
    """A line of weighings.csv."""
    return WeighingLine(
        at=at,
        piece=cells.needed("piece"),
        on=cells.needed_day("on"),
        mass=cells.needed_number("mass_g", c.MASS),
        scales=cells.text("scales"),
        role=cells.word("role", WEIGHED_ROLES, "none"),
        step=cells.number("step_g", c.MASS),
        state=cells.word("state", WEIGHED_STATES, "clean"),
        at_time=cells.text("at_time"),
        note=cells.text("note"),
    )
