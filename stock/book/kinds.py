"""The kinds of facts that are handed out of the book: plain tuples, named like the columns they come from."""

from datetime import date
from typing import NamedTuple


class PieceFact(NamedTuple):
    id: int
    series: str
    number: int
    kind: str
    parent_id: int | None
    made_by_id: int | None
    order_no: int | None
    from_butt_mm: float | None
    bark_on: bool | None
    role: str
    origin: str
    on_first: date | None
    on_last: date
    on_text: str


class TreeFact(NamedTuple):
    piece_id: int
    how: str
    alive: bool | None
    limb_or_trunk: str
    lean: str
    site: str
    site_private: bool
    got_from: str
    promise: str
    on_last: date


class OpinionFact(NamedTuple):
    piece_id: int
    said: str
    species_key: str | None
    sure: str
    by_whom: str
    evidence: str
    on_last: date


class TagFact(NamedTuple):
    piece_id: int
    text: str
    until: date | None


class SizeFact(NamedTuple):
    piece_id: int
    operation_id: int | None
    length_mm: float | None
    width_mm: float | None
    thickness_mm: float | None
    dia_butt_mm: float | None
    dia_top_mm: float | None
    surface: str | None
    wood_state: str
    on_last: date


class LookFact(NamedTuple):
    piece_id: int
    face: str | None
    part: str | None
    sap_faces: str | None
    bark_face: str | None
    ring_deg: float | None
    pith_in: bool | None
    trait: str | None
    grade: str | None
    run_out: float | None
    lab_l: float | None
    lab_a: float | None
    lab_b: float | None
    surface: str | None
    on_last: date


class OperationFact(NamedTuple):
    id: int
    entry_id: int
    row_no: int
    day_order: int
    piece_id: int
    kind: str
    ends_piece: bool
    kerf_mm: float | None
    butt_off_mm: float | None
    top_off_mm: float | None
    kept_fraction: float | None
    coat_kind: str | None
    coats: int | None
    coat_where: str | None
    coat_state: str | None
    solids: float | None
    treatment: str | None
    loss_pct: float | None
    loss_sd_pct: float | None
    on_first: date | None
    on_last: date


class WeighingFact(NamedTuple):
    id: int
    entry_id: int
    row_no: int
    day_order: int
    piece_id: int
    at_time: str | None
    mass_g: float
    step_g: float | None
    scales_id: int | None
    state: str
    role: str
    operation_id: int | None
    insisted: bool
    on_first: date | None
    on_last: date


class SectionFact(NamedTuple):
    id: int
    piece_id: int
    operation_id: int | None
    label: str
    kind: str
    position_mm: float | None
    end: str | None
    volume_cm3: float | None
    wet_g: float
    step_g: float | None
    scorched: bool
    on_last: date


class OvenFact(NamedTuple):
    section_id: int
    mass_g: float
    step_g: float | None
    final: bool
    on_last: date


class MeterFact(NamedTuple):
    piece_id: int
    reading_pct: float | None
    beyond: str | None
    limit_pct: float | None
    wood_c: float | None
    meter: str
    meter_kind: str
    set_for: str
    already_corrected: bool
    on_last: date


class MoveFact(NamedTuple):
    piece_id: int
    place_id: int
    seen_only: bool
    on_last: date


class DefectFact(NamedTuple):
    id: int
    piece_id: int
    first_id: int | None
    kind: str
    end: str | None
    face: str | None
    from_butt_mm: float | None
    length_mm: float | None
    depth_mm: float | None
    width_mm: float | None
    how_many: int | None
    severity: str
    cut_off_by_id: int | None
    on_last: date


class DepartureFact(NamedTuple):
    piece_id: int
    outcome: str | None
    reason: str
    to_whom: str
    back_on: date | None
    on_last: date


class MemberFact(NamedTuple):
    set_id: int
    piece_id: int
    corner: int
    on_last: date


class BlockStaveFact(NamedTuple):
    block_id: int
    piece_id: int
    corner: int
    corner_in: int | None
    turn_deg: float | None
    flipped: bool
    on_last: date


class BlockEventFact(NamedTuple):
    block_id: int
    kind: str
    joint: str | None
    glue: str
    paper: str
    clamp_h: float | None
    wait_d: float | None
    made_what: str
    on_last: date


class PlaceFact(NamedTuple):
    id: int
    name: str
    folded: str
    parent_id: int | None
    walk_no: int | None
    cover: str | None


class AirFact(NamedTuple):
    """The normal air of a month, or the mean of the readings of a day and how far their humidity swung about it."""

    place_id: int
    source: str
    month: int | None
    temp_c: float
    rh_pct: float
    on_last: date
    readings: int = 1
    rh_sd_pct: float = 0.0


class ScalesFact(NamedTuple):
    id: int
    name: str
    unit: str
    step_g: float | None
    capacity_g: float | None


class ScalesCheckFact(NamedTuple):
    scales_id: int
    true_g: float
    read_g: float
    on_last: date


class SetFact(NamedTuple):
    id: int
    name: str
    until: date | None
    outcome: str | None


class OwnFigureFact(NamedTuple):
    species_key: str | None
    said: str
    property: str
    value: float
    unit: str
    source: str


class NoteFact(NamedTuple):
    piece_id: int
    on_last: date
    text: str
