"""Four chosen staves placed in their corners, and how much the block will move where it is to live."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stock.survey.courses import Reckoning
from stock.survey.piece import Piece
from stock.wood import placing
from stock.wood.colour import ciede2000
from stock.wood.movement import Mismatch, Movement, Shrinkages, Side, mismatch, movement, shrinkages
from stock.wood.placed import Arrangement, Lab, Stave


@dataclass(frozen=True, slots=True)
class PlacedSet:
    """Four staves in their corners.

    Attributes:
        arrangement: who stands where, and what meets at each joint.
        pieces: the blank of each stave, by the key of the stave: its mark, with `.2` and so on behind it where one
            blank gives several.
        shrinkages: of their wood; None if it has no figure, and then nothing can be said of movement.
        to_mc_pct: the moisture content at which the piece is to live.
        movements: of each stave from its own moisture to that, by key; none where either is not known.
        mismatches: of each joint, in the order of the arrangement; None where something is not known.
    """

    arrangement: Arrangement
    pieces: Mapping[str, Piece]
    shrinkages: Shrinkages | None
    to_mc_pct: float
    movements: Mapping[str, Movement]
    mismatches: tuple[Mismatch | None, ...]

    @property
    def widest(self) -> Mismatch | None:
        """The worst of the joints; None if none is known."""
        known = [one for one in self.mismatches if one is not None]
        return max(known, key=lambda one: one.mm, default=None)

    @property
    def most_lean_deg(self) -> float | None:
        """How far the corners of the worst stave go out of square, degrees."""
        return max((one.lean_deg for one in self.movements.values()), default=None)


def placed(
    reckoning: Reckoning,
    staves: Sequence[tuple[int, str]],
    *,
    square_mm: float,
    pattern: str = "matched",
    show: str | None = None,
    end_for_end: bool = False,
) -> PlacedSet:
    """Place four staves.

    Args:
        reckoning: the moisture of their families.
        staves: the id of the blank, and the letter of its kind in the pattern, of each.
        square_mm: side of the finished stave.
        pattern: as `placing.arrange` takes it.
        show: heart or sap, what the finished outside is to show.
        end_for_end: whether a stave may be turned end for end.
    """
    keys = keys_of([reckoning.pieces[piece_id].mark for piece_id, _ in staves])
    pieces = {key: reckoning.pieces[piece_id] for key, (piece_id, _) in zip(keys, staves, strict=True)}
    four = [_stave(reckoning, key, piece_id, letter) for key, (piece_id, letter) in zip(keys, staves, strict=True)]
    arrangement = placing.arrange(four, pattern, show=show, end_for_end=end_for_end, apart=ciede2000)
    wood = pieces[keys[0]].wood.wood
    figures = shrinkages(wood) if wood else None
    to_mc_pct = reckoning.target.mc_pct
    wet = {key: reckoning.of(piece.id).mc_pct for key, piece in pieces.items()}
    movements: dict[str, Movement] = {}
    mismatches: list[Mismatch | None] = [None] * len(arrangement.joints)
    if figures is not None and figures.radial_pct is not None:
        radial, tangential = figures.radial_pct, figures.tangential_pct
        for stave in four:
            if (mc := wet[stave.key]) is not None:
                movements[stave.key] = movement(
                    square_mm, square_mm, mc, to_mc_pct, radial, tangential, stave.ring_deg_of(0)
                )
        for at, joint in enumerate(arrangement.joints):
            sides = [
                Side(mc_pct=mc, radial_pct=radial, tangential_pct=tangential, ring_deg=angle)
                for key, angle in zip(joint.first.keys, joint.first.rings_deg, strict=True)
                if (mc := wet[key]) is not None
            ]
            if len(sides) == 2:
                mismatches[at] = mismatch(square_mm, sides[0], sides[1], to_mc_pct)
    return PlacedSet(arrangement, pieces, figures, to_mc_pct, movements, tuple(mismatches))


def keys_of(marks: Sequence[str]) -> list[str]:
    """A key for each stave: the mark of its blank, and from the second stave of one blank on `.2`, `.3`, `.4`."""
    found: list[str] = []
    for at, mark in enumerate(marks):
        before = marks[:at].count(mark)
        found.append(f"{mark}.{before + 1}" if before else mark)
    return found


def _stave(reckoning: Reckoning, key: str, piece_id: int, letter: str) -> Stave:
    """A blank as the end of a stave; colour and figure face by face where they were looked at so."""
    look = reckoning.pieces[piece_id].look
    labs: dict[str, Lab] = {}
    traits: dict[str, set[str]] = {}
    for row in reckoning.facts.looks.get(piece_id, ()):
        if row.face not in ("A", "B", "C", "D"):
            continue
        if row.lab_l is not None and row.lab_a is not None and row.lab_b is not None and row.surface:
            labs[row.face] = (row.lab_l, row.lab_a, row.lab_b)
        if row.trait:
            traits.setdefault(row.face, set()).add(row.trait)
    return Stave(
        key=key,
        letter=letter,
        ring_deg=look.ring_deg,
        part=look.part,
        sap_faces=look.sap_faces,
        bark_face=look.bark_face,
        run_out=look.run_out,
        labs=labs,
        traits={face: frozenset(some) for face, some in traits.items()},
    )
