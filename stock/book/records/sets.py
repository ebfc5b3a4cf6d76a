"""Defects, departures, projects, sets of staves and the blocks glued from them."""

from datetime import date
from typing import Any

from sqlalchemy import Index
from sqlmodel import JSON, Field

from stock.book.records.limits import COUNT, FLAG, POSITIVE, TURN, ZERO_UP, Fact, fact, of_piece

ENDS = ("butt", "top", "both")
OUTCOMES = ("used", "given", "sold", "firewood", "lost", "rotten")
SEVERITIES = ("slight", "moderate", "severe", "unknown")
CORNER = "{c} >= 1 AND {c} <= 5"


class Defect(Fact, table=True):
    """One look at a defect; `first_id` is the first look at the same one."""

    __tablename__ = "defect"
    __table_args__ = fact(
        "defect",
        {**dict.fromkeys(("from_butt_mm", "length_mm", "depth_mm", "width_mm"), ZERO_UP), "how_many": COUNT},
        {"end": ENDS, "severity": SEVERITIES},
        of_piece("defect"),
    )

    piece_id: int = Field(foreign_key="piece.id")
    first_id: int | None = Field(default=None, foreign_key="defect.id")
    kind: str
    end: str | None = None
    face: str | None = None
    from_butt_mm: float | None = None
    length_mm: float | None = None
    depth_mm: float | None = None
    width_mm: float | None = None
    how_many: int | None = None
    severity: str = "unknown"
    how_seen: str = ""
    cut_off_by_id: int | None = Field(default=None, foreign_key="operation.id")


class Departure(Fact, table=True):
    """A piece that left the stock, or came back (`outcome` empty)."""

    __tablename__ = "departure"
    __table_args__ = fact("departure", {}, {"outcome": OUTCOMES}, of_piece("departure"))

    piece_id: int = Field(foreign_key="piece.id")
    outcome: str | None = None
    reason: str = ""
    to_whom: str = ""
    back_on: date | None = None


class Project(Fact, table=True):
    """A question kept under a name: what staves are wanted."""

    __tablename__ = "project"
    __table_args__ = fact("project", {}, None, Index("uq_project_name", "name", unique=True))

    name: str
    ask: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)


class StaveSet(Fact, table=True):
    """Four staves and a spare held for a project; an empty outcome means still held."""

    __tablename__ = "stave_set"
    __table_args__ = fact("stave_set", {}, None)

    project_id: int | None = Field(default=None, foreign_key="project.id")
    name: str
    until: date | None = None
    outcome: str | None = None


class SetMember(Fact, table=True):
    """A piece in a set: corners 1 to 4, 5 is the spare."""

    __tablename__ = "set_member"
    __table_args__ = fact(
        "set_member",
        {"corner": CORNER, "turn_deg": TURN, "flipped": FLAG, "from_butt_mm": ZERO_UP, "length_mm": POSITIVE},
        None,
        of_piece("set_member"),
    )

    set_id: int = Field(foreign_key="stave_set.id", index=True)
    piece_id: int = Field(foreign_key="piece.id")
    corner: int
    turn_deg: float | None = None
    flipped: bool = False
    from_butt_mm: float | None = None
    length_mm: float | None = None


class BlockStave(Fact, table=True):
    """A stave glued into a block."""

    __tablename__ = "block_stave"
    __table_args__ = fact(
        "block_stave",
        {
            "corner": CORNER,
            "corner_in": CORNER,
            "turn_deg": TURN,
            "flipped": FLAG,
            "from_butt_mm": ZERO_UP,
            "length_mm": POSITIVE,
        },
        None,
        of_piece("block_stave"),
    )

    block_id: int = Field(foreign_key="piece.id")
    piece_id: int = Field(foreign_key="piece.id")
    corner: int
    corner_in: int | None = None
    turn_deg: float | None = None
    flipped: bool = False
    from_butt_mm: float | None = None
    length_mm: float | None = None


class BlockEvent(Fact, table=True):
    """A block glued, split or reversed."""

    __tablename__ = "block_event"
    __table_args__ = fact(
        "block_event",
        {"clamp_h": ZERO_UP, "wait_d": ZERO_UP},
        {"kind": ("glue", "split", "reverse"), "joint": ("paper", "ends", "full")},
    )

    block_id: int = Field(foreign_key="piece.id", index=True)
    kind: str
    joint: str | None = None
    glue: str = ""
    paper: str = ""
    clamp_h: float | None = None
    wait_d: float | None = None
    made_what: str = ""
