"""A piece without a label: which it may be, without deciding."""

from dataclasses import dataclass

from stock.survey.courses import Reckoning
from stock.survey.expecting import expect
from stock.survey.filters import Filter
from stock.survey.holdings import on_hand
from stock.survey.pieces import Piece

LENGTH_SLACK_MM, SQUARE_SLACK_MM = 12.0, 4.0  # a tape's error and what drying takes
WEIGHT_SLACK = 0.10


@dataclass(frozen=True, slots=True)
class Likely:
    """A candidate: how far off it is (0 is perfect) and what speaks for and against it."""

    piece: Piece
    distance: float
    fits: tuple[str, ...]
    differs: tuple[str, ...]
    last_g: float | None
    expected_g: tuple[float, float] | None


def likely(
    reckoning: Reckoning,
    wanted: Filter,
    *,
    length_mm: float | None = None,
    square_mm: tuple[float, float] | None = None,
    mass_g: float | None = None,
    most: int = 8,
) -> list[Likely]:
    """The pieces on hand nearest to what was measured of an unlabelled one.

    Args:
        reckoning: the moisture of the whole book.
        wanted: what is sure of it (wood, place, part).
        length_mm, square_mm, mass_g: what was measured; None if not.
        most: how many to give.

    Returns:
        Candidates, nearest first. None of them is decided for.
    """
    found: list[Likely] = []
    for piece in on_hand(reckoning, wanted):
        if piece.kind == "block":
            continue
        one = _compare(reckoning, piece, length_mm, square_mm, mass_g)
        if one.distance < 6:
            found.append(one)
    return sorted(found, key=lambda c: (c.distance, c.piece.made.series, c.piece.made.number))[:most]


def _compare(
    reckoning: Reckoning,
    piece: Piece,
    length_mm: float | None,
    square_mm: tuple[float, float] | None,
    mass_g: float | None,
) -> Likely:
    fits: list[str] = []
    differs: list[str] = []
    total = 0.0

    def judge(off: float, slack: float, what: str) -> None:
        nonlocal total
        total += min(off / slack, 4.0) ** 2
        (fits if off <= slack else differs).append(what)

    size = piece.size
    if length_mm is not None:
        if size.length_mm is None:
            total += 1
        else:
            judge(abs(size.length_mm - length_mm), LENGTH_SLACK_MM, "length")
    if square_mm is not None:
        if size.width_mm is None or size.thickness_mm is None:
            total += 1
        else:
            mine, theirs = sorted((size.width_mm, size.thickness_mm)), sorted(square_mm)
            judge(max(abs(a - b) for a, b in zip(mine, theirs, strict=True)), SQUARE_SLACK_MM, "square")
    expected = expect(reckoning.facts, piece.id, reckoning.facts.on)
    if mass_g is not None:
        if expected is None:
            total += 1
        else:
            low, high = expected.low_g, expected.high_g
            off = max(low - mass_g, mass_g - high, 0.0)
            judge(off, WEIGHT_SLACK * expected.last_g, "weight")
    return Likely(
        piece=piece,
        distance=total**0.5,
        fits=tuple(fits),
        differs=tuple(differs),
        last_g=expected.last_g if expected else None,
        expected_g=(expected.low_g, expected.high_g) if expected else None,
    )
