"""Where pieces are, and the air there."""

from sqlalchemy import Index
from sqlmodel import Field

from stock.book.records.limits import AIR_C, COUNT, FLAG, PERCENT, Fact, fact, of_piece

COVERS = ("open", "roofed", "unheated", "heated")


class Place(Fact, table=True):
    """A place, from the latest row of its name: a shed, a rack in it (`shed / rack 2` lies in `shed`)."""

    __tablename__ = "place"
    __table_args__ = fact(
        "place", {"walk_no": COUNT}, {"cover": COVERS}, Index("uq_place_folded", "folded", unique=True)
    )

    name: str
    folded: str
    parent_id: int | None = Field(default=None, foreign_key="place.id")
    walk_no: int | None = None
    cover: str | None = None


class Move(Fact, table=True):
    """A piece put in a place, or only seen there."""

    __tablename__ = "move"
    __table_args__ = fact("move", {"seen_only": FLAG}, None, of_piece("move"))

    piece_id: int = Field(foreign_key="piece.id")
    place_id: int = Field(foreign_key="place.id")
    seen_only: bool = False


class Air(Fact, table=True):
    """The air of a place: one reading, or the normal of a month, which has no year."""

    __tablename__ = "air"
    __table_args__ = fact(
        "air",
        {"month": "{c} >= 1 AND {c} <= 12", "temp_c": AIR_C, "rh_pct": PERCENT},
        {"source": ("reading", "normals", "logger")},
        Index("ix_air_place", "place_id", "on_last"),
    )

    place_id: int = Field(foreign_key="place.id")
    source: str = "reading"
    month: int | None = None
    at_time: str | None = None
    temp_c: float
    rh_pct: float
