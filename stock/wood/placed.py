"""What placing four staves takes and gives: the ends of the staves, their places, and what meets at each joint."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from math import isfinite

from stock.errors import Impossible

FACES = "ABCD"  # anticlockwise, seen from the butt end
PATTERNS = {"matched": "AAAA", "alternating": "ABAB", "halves": "AABB"}  # how the letters read round the ring

Lab = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class State:
    """How a stave stands in its corner.

    Attributes:
        faces: numbers of its faces, 0 for A to 3 for D, anticlockwise from the one that looks at the next stave.
        flipped: whether it is turned end for end, its butt down.
    """

    faces: tuple[int, ...]
    flipped: bool = False

    @property
    def corner_in(self) -> int:
        """The corner of the stave that lies at the middle, 1 to 4."""
        return (self.faces[1] if self.flipped else self.faces[0]) + 1

    @property
    def from_the_other_end(self) -> State:
        """The same stave when the block is looked at from its other end, where its neighbours change sides."""
        f0, f1, f2, f3 = self.faces
        return State((f1, f0, f3, f2), not self.flipped)


def corner_inward(corner: int, turn_deg: float, *, flipped: bool = False) -> int:
    """The corner of a stave that lies at the middle of its block, 1 to 4.

    Args:
        corner: of the block, 1 to 4, anticlockwise from the lower left.
        turn_deg: how far its face A is turned, anticlockwise, from lying at the bottom, degrees.
        flipped: whether it is turned end for end.
    """
    at_a = (round(turn_deg / 90) - corner) % 4  # how many faces, anticlockwise, from the one to the next stave to A
    return (at_a - 1) % 4 + 1 if flipped else (-at_a) % 4 + 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Stave:
    """One stave as placing sees it; what is not known is None, or left out.

    Attributes:
        key: its mark.
        letter: A or B, which kind it is of in an alternating block or one of halves.
        ring_deg: angle of the rings to face A (and C), 0 flat to 90 quarter; if the face nearest the bark is known, to
            whichever of the two pairs of faces makes that face the flatter one.
        part: heart, sap or mixed; sap_faces: the faces of a mixed one that have sapwood, such as "AB".
        bark_face: the face nearest the bark.
        run_out: the grain leaves the length by 1 in so many; run_out_face: towards which face, going up from the butt.
        labs: colour of each face that was read, CIE L*a*b*, all on like surfaces.
        traits: figure of each face that was looked at, an empty set for plain wood.
    """

    key: str
    letter: str = "A"
    ring_deg: float | None = None
    part: str | None = None
    sap_faces: str | None = None
    bark_face: str | None = None
    run_out: float | None = None
    run_out_face: str | None = None
    labs: Mapping[str, Lab] = field(default_factory=dict)
    traits: Mapping[str, frozenset[str]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.ring_deg is not None and not 0 <= self.ring_deg <= 90:
            raise Impossible(f"a ring angle of {self.ring_deg:g} degrees cannot be", piece=self.key)
        if self.run_out is not None and not (isfinite(self.run_out) and self.run_out > 0):
            raise Impossible(f"a run-out of 1 in {self.run_out:g} cannot be", piece=self.key)
        for face in (self.bark_face, self.run_out_face, *(self.sap_faces or ()), *self.labs, *self.traits):
            if face is not None and (len(face) != 1 or face not in FACES):
                raise Impossible(f'{self.key} has no face "{face}"', hint="Faces are A to D.", piece=self.key)
        if any(not isfinite(channel) for lab in self.labs.values() for channel in lab):
            raise Impossible(f"the colour of {self.key} is no colour", piece=self.key)

    def ring_deg_of(self, face: int) -> float | None:
        """Angle of the rings to a face, 0 flat to 90 quarter."""
        if self.ring_deg is None:
            return None
        angle = self.ring_deg if face % 2 == 0 else 90 - self.ring_deg
        if self.bark_face is None:
            return angle
        flatter = min(angle, 90 - angle)
        return flatter if face % 2 == FACES.index(self.bark_face) % 2 else 90 - flatter

    def wood_of(self, face: int) -> str | None:
        """`heart`, `sap` or `some sap` at a face; None if not known."""
        if self.part != "mixed":
            return self.part
        if not self.sap_faces:
            return None
        return "some sap" if FACES[face] in self.sap_faces else "heart"

    @property
    def unknown(self) -> tuple[str, ...]:
        """The terms that have to guess at this stave."""
        known = {
            "ring angle": self.ring_deg is not None,
            "heart and sap": self.wood_of(0) is not None,
            "bark side": self.bark_face is not None,
            "run-out": self.run_out is not None and self.run_out_face is not None,
            "colour": len(self.labs) == len(FACES),
            "figure": len(self.traits) == len(FACES),
            "shown": self.wood_of(0) is not None,
        }
        return tuple(name for name, is_known in known.items() if not is_known)


@dataclass(frozen=True, slots=True, kw_only=True)
class Weights:
    """How much each thing counts at a joint, points; `*_unknown`: if it is not known of one of the two staves.

    Heart and sap count at the first glue-up, at the second, and side by side on the finished outside; `shown` is for a
    stave that shows nothing of what was wished for, and outweighs the rest: it is a wish, not a guess.
    """

    ring: float = 8.0
    ring_unknown: float = 4.0
    part_first: float = 2.0
    part_second: float = 4.0
    part_outside: float = 8.0
    bark: float = 4.0
    run_out: float = 40.0
    run_out_most: float = 8.0
    run_out_unknown: float = 2.0
    colour: float = 2.0
    colour_most: float = 20.0
    colour_unknown: float = 10.0
    figure: float = 6.0
    figure_unknown: float = 3.0
    end_for_end: float = 1.0
    shown: float = 100.0

    def __post_init__(self) -> None:
        for one in fields(self):
            value = getattr(self, one.name)
            if not (isfinite(value) and value >= 0):
                raise Impossible(f"the weight {one.name} cannot be {value:g}", hint="It is a number from 0 up.")


@dataclass(frozen=True, slots=True)
class Faces:
    """Two faces that meet at a joint, or lie side by side on the outside.

    Attributes:
        here, there: the letters of the face of the one stave and of the next.
        rings_deg: the angles of the rings to them; None if not known.
        woods: `heart`, `sap`, `some sap`, or None.
        keys: the two staves.
    """

    here: str
    there: str
    rings_deg: tuple[float | None, float | None]
    woods: tuple[str | None, str | None]
    keys: tuple[str, str]

    @classmethod
    def between(cls, one: Stave, face: int, other: Stave, its: int) -> Faces:
        return cls(
            FACES[face],
            FACES[its],
            (one.ring_deg_of(face), other.ring_deg_of(its)),
            (one.wood_of(face), other.wood_of(its)),
            (one.key, other.key),
        )

    @property
    def words(self) -> str:
        """`B of 231B (flat, heart) against A of 236G (flat, some sap)`."""
        both = zip(self.keys, (self.here, self.there), self.rings_deg, self.woods, strict=True)
        return " against ".join(_face_words(*one) for one in both)


def _face_words(key: str, face: str, ring_deg: float | None, wood: str | None) -> str:
    rings = None if ring_deg is None else "flat" if ring_deg < 30 else "rift" if ring_deg < 60 else "quarter"
    told = ", ".join(word for word in (rings, wood) if word)
    return f"{face} of {key}" + (f" ({told})" if told else "")


@dataclass(frozen=True, slots=True)
class Joint:
    """The joint of the staves in two neighbouring corners.

    Attributes:
        corners: of the block, such as (1, 2).
        first: the faces that meet in the first glue-up; after: those that meet after the reversal.
        outside: the faces that lie side by side on the finished outside.
        terms: what the joint costs, points, by what.
    """

    corners: tuple[int, int]
    first: Faces
    after: Faces
    outside: Faces
    terms: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Placed:
    """A stave in its place.

    Attributes:
        key: its mark.
        corner: of the block, 1 to 4, anticlockwise seen from the end that is up; 1 is at the lower left.
        corner_in: the corner of the stave at the middle in the first glue-up, which the finished piece shows.
        corner_in_after: the corner at the middle after the reversal, the opposite one.
        turn_deg: how far its face A is turned, anticlockwise, from lying at the bottom: 0, 90, 180 or 270.
        flipped: whether it is turned end for end, its butt down.
    """

    key: str
    corner: int
    corner_in: int
    corner_in_after: int
    turn_deg: int
    flipped: bool

    @property
    def faces_in(self) -> str:
        """The two faces of the corner at the middle in the first glue-up, such as "AB"."""
        return _faces_at(self.corner_in)

    @property
    def faces_in_after(self) -> str:
        """The two faces of the corner at the middle after the reversal, such as "CD"."""
        return _faces_at(self.corner_in_after)

    @property
    def words(self) -> str:
        """`corner 1: 231B, butt up, corner AB in first, CD after the reversal`."""
        end = "turned end for end, butt down" if self.flipped else "butt up"
        return (
            f"corner {self.corner}: {self.key}, {end}, corner {self.faces_in} in first,"
            f" {self.faces_in_after} after the reversal"
        )


def _faces_at(corner: int) -> str:
    return (FACES + FACES[0])[corner - 1 : corner + 1]


@dataclass(frozen=True, slots=True)
class Arrangement:
    """Four staves placed.

    Attributes:
        staves: by corner of the block.
        joints: between corners 1 and 2, 2 and 3, 3 and 4, 4 and 1.
        terms: what it costs, points, by what; guessed: the terms that rest on something not known of a stave.
    """

    staves: tuple[Placed, ...]
    joints: tuple[Joint, ...]
    terms: Mapping[str, float]
    guessed: tuple[str, ...]

    @property
    def cost_points(self) -> float:
        """What it costs, points, to the last thousandth."""
        return sum(round(1000 * points) for points in self.terms.values()) / 1000
