"""What is known of one piece on a day: its size, its look, its wood, its place and what became of it."""

from dataclasses import dataclass
from datetime import date

from stock.book.kinds import DefectFact, PieceFact
from stock.wood.species import Wood

UNKNOWN_WOOD = "unknown"


@dataclass(frozen=True, slots=True)
class Size:
    """The size of a piece; what was never measured is None. All in mm."""

    length_mm: float | None = None
    width_mm: float | None = None
    thickness_mm: float | None = None
    dia_butt_mm: float | None = None
    dia_top_mm: float | None = None
    surface: str | None = None
    wood_state: str = "unknown"

    @property
    def smallest_mm(self) -> float | None:
        sides = [side for side in (self.width_mm, self.thickness_mm) if side is not None]
        return min(sides) if sides else None


@dataclass(frozen=True, slots=True)
class Look:
    """Figure, part, rings and colour, the newest known of each."""

    part: str | None = None
    sap_faces: str | None = None
    bark_face: str | None = None
    ring_deg: float | None = None
    pith_in: bool | None = None
    traits: frozenset[str] | None = None
    run_out: float | None = None
    lab: tuple[float, float, float] | None = None
    lab_surface: str | None = None


@dataclass(frozen=True, slots=True)
class WoodSaid:
    """The wood of a piece: as told, as known, and how sure."""

    wood: Wood | None
    said: str
    sure: str
    by_whom: str
    evidence: str

    @property
    def scientific(self) -> str:
        return self.wood.scientific if self.wood else UNKNOWN_WOOD

    @property
    def name(self) -> str:
        return self.wood.name if self.wood else (self.said or UNKNOWN_WOOD)


@dataclass(frozen=True, slots=True)
class Coat:
    """The coat that is on a piece."""

    kind: str
    where: str


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece as it is on the day of its facts."""

    id: int
    mark: str
    tag: str
    kind: str
    role: str
    made: PieceFact
    size: Size
    look: Look
    wood: WoodSaid
    place_id: int | None
    place: str | None
    here_since: date | None
    seen_on: date | None
    gone: str  # "" while on hand; otherwise what became of it
    coat: Coat | None
    defects: tuple[DefectFact, ...]

    @property
    def on_hand(self) -> bool:
        return not self.gone
