"""Pieces of wood: what they came from, what they are called, how big they are and how they look."""

from datetime import date

from sqlalchemy import DDL, Index, UniqueConstraint, event
from sqlmodel import Field, SQLModel

from stock.book.records.limits import (
    ANGLE,
    COUNT,
    FLAG,
    MOISTURE,
    POSITIVE,
    SIGNED,
    ZERO_UP,
    Fact,
    fact,
    of_piece,
)

KINDS = ("tree", "log", "billet", "blank", "offcut", "block")
ROLES = ("stock", "sample", "reference")
PARTS = ("heart", "sap", "mixed")
HOW = ("storm", "removal", "pruning", "other", "unknown")
SURE = ("certain", "probable", "guess", "unknown")
SURFACES = ("rough", "planed")
SIZE_COLUMNS = ("length_mm", "width_mm", "thickness_mm", "dia_butt_mm", "dia_top_mm", "plus_minus_mm")
FACES = ("A", "B", "C", "D", "butt", "top")


class Piece(Fact, table=True):
    """Anything with a mark, from the tree to the block; the date is when it was made or came down."""

    __tablename__ = "piece"
    __table_args__ = fact(
        "piece",
        {"number": "{c} >= 1 AND {c} < 1000000000", "from_butt_mm": ZERO_UP, "order_no": COUNT, "bark_on": FLAG},
        {"series": ("", "T", "B"), "kind": KINDS, "role": ROLES},
        UniqueConstraint("series", "number", name="uq_piece_mark"),
        Index("ix_piece_parent", "parent_id"),
    )

    series: str = ""
    number: int
    kind: str
    parent_id: int | None = Field(default=None, foreign_key="piece.id")
    made_by_id: int | None = Field(default=None, foreign_key="operation.id")
    order_no: int | None = None
    from_butt_mm: float | None = None
    bark_on: bool | None = None
    role: str = "stock"
    origin: str = ""


class Tree(Fact, table=True):
    """How a tree came down, where it stood, and who gave it."""

    __tablename__ = "tree"
    __table_args__ = fact(
        "tree",
        {"alive": FLAG, "site_private": FLAG},
        {"how": HOW},
        of_piece("tree"),
    )

    piece_id: int = Field(foreign_key="piece.id")
    how: str = "unknown"
    alive: bool | None = None
    limb_or_trunk: str = ""
    lean: str = ""
    site: str = ""
    site_private: bool = False
    got_from: str = ""
    promise: str = ""
    collected: date | None = None


class Opinion(Fact, table=True):
    """What wood somebody holds a tree or rootless piece to be. The newest one counts; all are kept."""

    __tablename__ = "opinion"
    __table_args__ = fact("opinion", {}, {"sure": SURE}, of_piece("opinion"))

    piece_id: int = Field(foreign_key="piece.id")
    said: str = ""
    species_key: str | None = None
    rank: str = ""
    sure: str = "unknown"
    by_whom: str = ""
    evidence: str = ""


class SpeciesValue(Fact, table=True):
    """A figure of the person's own for a wood, with its source."""

    __tablename__ = "species_value"
    __table_args__ = fact("species_value", {"value": SIGNED}, None, Index("ix_species_value_key", "species_key"))

    species_key: str | None = None
    said: str = ""
    property: str
    value: float
    unit: str
    source: str


class Tag(Fact, table=True):
    """A name of the person's own for a piece; `until` is set when it stops being that name."""

    __tablename__ = "tag"
    __table_args__ = fact(
        "tag",
        {},
        None,
        of_piece("tag"),
    )

    piece_id: int = Field(foreign_key="piece.id")
    text: str
    folded: str
    until: date | None = None


# A plain statement, because an index with a dialect's own keyword loads that dialect at every start.
event.listen(
    SQLModel.metadata.tables["tag"],
    "after_create",
    DDL("CREATE UNIQUE INDEX uq_tag_in_use ON tag (folded) WHERE until IS NULL"),  # type: ignore[no-untyped-call]
)


class Size(Fact, table=True):
    """The size of a piece from a day on: after it was made, cut, planed or measured again."""

    __tablename__ = "size"
    __table_args__ = fact(
        "size",
        dict.fromkeys(SIZE_COLUMNS, POSITIVE),
        {"surface": SURFACES, "wood_state": ("green", "dry", "unknown")},
        of_piece("size"),
    )

    piece_id: int = Field(foreign_key="piece.id")
    operation_id: int | None = Field(default=None, foreign_key="operation.id")
    length_mm: float | None = None
    width_mm: float | None = None
    thickness_mm: float | None = None
    dia_butt_mm: float | None = None
    dia_top_mm: float | None = None
    surface: str | None = None
    wood_state: str = "unknown"
    plus_minus_mm: float | None = None


class Look(Fact, table=True):
    """Figure, colour and grain of a face, or of the whole piece; the newest value that is not empty holds."""

    __tablename__ = "look"
    __table_args__ = fact(
        "look",
        {
            "ring_deg": ANGLE,
            "pith_deg": "{c} >= 0 AND {c} < 360",
            "pith_in": FLAG,
            "run_out": POSITIVE,
            "lab_l": "{c} >= 0 AND {c} <= 100",
            "lab_a": "{c} >= -200 AND {c} <= 200",
            "lab_b": "{c} >= -200 AND {c} <= 200",
            "lab_sd": ZERO_UP,
            "contrast": MOISTURE,
            "grain_deg": "{c} >= -360 AND {c} <= 360",
            "grain_strength": ZERO_UP,
        },
        {"face": FACES, "part": PARTS, "bark_face": FACES},
        of_piece("look"),
    )

    piece_id: int = Field(foreign_key="piece.id")
    face: str | None = None
    part: str | None = None
    sap_faces: str | None = None
    bark_face: str | None = None
    ring_deg: float | None = None
    pith_deg: float | None = None
    pith_in: bool | None = None
    trait: str | None = None
    grade: str | None = None
    run_out: float | None = None
    lab_l: float | None = None
    lab_a: float | None = None
    lab_b: float | None = None
    lab_sd: float | None = None
    surface: str | None = None
    contrast: float | None = None
    grain_deg: float | None = None
    grain_strength: float | None = None
    photo: str | None = None
