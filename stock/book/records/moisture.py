"""What was done to a piece, what it weighed, and what the oven and the meter said."""

from sqlalchemy import Index
from sqlmodel import Field

from stock.book.records.limits import (
    AIR_C,
    COUNT,
    FLAG,
    FRACTION,
    MOISTURE,
    PERCENT,
    POSITIVE,
    ZERO_UP,
    Fact,
    fact,
    of_piece,
)

OPERATIONS = (
    "crosscut",
    "split",
    "saw",
    "trim",
    "plane",
    "turn",
    "section",
    "bark off",
    "coat on",
    "coat off",
    "soak",
    "boil",
    "steam",
    "treat",
    "decay",
)
WEIGHED_STATES = ("clean", "rain", "dirty", "bagged")
WEIGHED_ROLES = ("none", "before", "after")


class Operation(Fact, table=True):
    """Something done to a piece that changes its shape, its coat or its wood."""

    __tablename__ = "operation"
    __table_args__ = fact(
        "operation",
        {
            "ends_piece": FLAG,
            "kerf_mm": ZERO_UP,
            "butt_off_mm": ZERO_UP,
            "top_off_mm": ZERO_UP,
            "kept_fraction": FRACTION,
            "coats": COUNT,
            "solids": FRACTION,
            "loss_pct": PERCENT,
            "loss_sd_pct": PERCENT,
        },
        {
            "kind": OPERATIONS,
            "coat_where": ("ends", "all", "face"),
            "coat_state": ("wet", "dry"),
        },
        of_piece("operation"),
    )

    piece_id: int = Field(foreign_key="piece.id")
    kind: str
    ends_piece: bool = False
    kerf_mm: float | None = None
    butt_off_mm: float | None = None
    top_off_mm: float | None = None
    kept_fraction: float | None = None
    coat_kind: str | None = None
    coats: int | None = None
    coat_where: str | None = None
    coat_state: str | None = None
    solids: float | None = None
    treatment: str | None = None
    loss_pct: float | None = None
    loss_sd_pct: float | None = None


class Scales(Fact, table=True):
    """A scales: its unit, its step and what it can carry."""

    __tablename__ = "scales"
    __table_args__ = fact(
        "scales",
        {"step_g": POSITIVE, "capacity_g": POSITIVE},
        {"unit": ("g", "kg", "oz", "lb")},
        Index("ix_scales_name", "name"),
    )

    name: str
    unit: str = "g"
    step_g: float | None = None
    capacity_g: float | None = None


class ScalesCheck(Fact, table=True):
    """A known weight put on a scales, and what it read."""

    __tablename__ = "scales_check"
    __table_args__ = fact("scales_check", {"true_g": POSITIVE, "read_g": POSITIVE}, None)

    scales_id: int = Field(foreign_key="scales.id")
    true_g: float
    read_g: float


class Weighing(Fact, table=True):
    """A mass as the scales showed it. Weights before and after an operation are weighings tied to it."""

    __tablename__ = "weighing"
    __table_args__ = fact(
        "weighing",
        {"mass_g": POSITIVE, "plus_minus_g": ZERO_UP, "step_g": POSITIVE, "insisted": FLAG},
        {"state": WEIGHED_STATES, "role": WEIGHED_ROLES},
        of_piece("weighing"),
    )

    piece_id: int = Field(foreign_key="piece.id")
    at_time: str | None = None
    mass_g: float
    plus_minus_g: float | None = None
    step_g: float | None = None
    scales_id: int | None = Field(default=None, foreign_key="scales.id")
    state: str = "clean"
    role: str = "none"
    operation_id: int | None = Field(default=None, foreign_key="operation.id")
    insisted: bool = False
    doubt: str | None = None


class Section(Fact, table=True):
    """A moisture section: a slice for the oven, or a whole piece that is dried itself."""

    __tablename__ = "section"
    __table_args__ = fact(
        "section",
        {
            **dict.fromkeys(("along_mm", "width_mm", "thickness_mm", "volume_cm3", "wet_g", "step_g"), POSITIVE),
            "position_mm": ZERO_UP,
            "delay_h": ZERO_UP,
            "oven_c": AIR_C,
            "scorched": FLAG,
        },
        {"kind": ("slice", "whole"), "end": ("butt", "top", "middle")},
        of_piece("section"),
    )

    piece_id: int = Field(foreign_key="piece.id")
    operation_id: int | None = Field(default=None, foreign_key="operation.id")
    label: str = ""
    kind: str = "slice"
    position_mm: float | None = None
    end: str | None = None
    along_mm: float | None = None
    width_mm: float | None = None
    thickness_mm: float | None = None
    volume_cm3: float | None = None
    wet_g: float
    step_g: float | None = None
    delay_h: float | None = None
    method: str = "oven"
    oven_c: float | None = None
    scorched: bool = False
    scales_id: int | None = Field(default=None, foreign_key="scales.id")


class Oven(Fact, table=True):
    """One weighing of a section on its way to constant mass; `final` is the oven-dry one."""

    __tablename__ = "oven"
    __table_args__ = fact("oven", {"mass_g": POSITIVE, "step_g": POSITIVE, "final": FLAG}, None)

    section_id: int = Field(foreign_key="section.id", index=True)
    at_time: str | None = None
    mass_g: float
    step_g: float | None = None
    final: bool = False


class MeterReading(Fact, table=True):
    """What a moisture meter showed, and in wood of what temperature."""

    __tablename__ = "meter_reading"
    __table_args__ = fact(
        "meter_reading",
        {
            "reading_pct": MOISTURE,
            "limit_pct": MOISTURE,
            "wood_c": AIR_C,
            "calibrated_c": AIR_C,
            "already_corrected": FLAG,
            "depth_mm": ZERO_UP,
        },
        {"beyond": ("above", "below"), "meter_kind": ("pin", "pinless", "unknown")},
        of_piece("meter_reading"),
    )

    piece_id: int = Field(foreign_key="piece.id")
    reading_pct: float | None = None
    beyond: str | None = None
    limit_pct: float | None = None
    wood_c: float | None = None
    meter: str = ""
    meter_kind: str = "unknown"
    calibrated_c: float | None = None
    set_for: str = ""
    already_corrected: bool = False
    depth_mm: float | None = None
    face: str | None = None
