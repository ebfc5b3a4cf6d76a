"""The end-grain view of a block: four squares with their rings, heart and sap, marks and faces, and the middle corners.

Seen from the end that shows the butts. Corner 1 is at the lower left, the others follow anticlockwise. Drawn so that it
is read in black and white: rings are lines, sapwood is dotted, the corner to mark is a black triangle. `1st` and `2nd`
stand at the joints in the order in which they are glued: two pairs, then the pairs.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import cos, radians, sin

from matplotlib.axes import Axes
from matplotlib.patches import Polygon, Rectangle

from reports import style

FACES = "ABCD"
CENTRES = {1: (-0.5, -0.5), 2: (0.5, -0.5), 3: (0.5, 0.5), 4: (-0.5, 0.5)}  # of the staves, sides of one
HALF = 0.485  # a hair less than half a side: the joints show
RINGS = 6
SAP_BAND = 0.22  # of the side: how far sapwood is drawn in from a face; how far it goes is not recorded
TICK = 0.13


@dataclass(frozen=True, slots=True)
class End:
    """One stave as it is drawn.

    Attributes:
        corner: of the block, 1 to 4.
        mark: what is written on it.
        turn_deg: how far its face A is turned, anticlockwise, from lying at the bottom.
        flipped: whether its butt is down, so that its faces follow clockwise.
        ring_deg: angle of the rings to face A; None draws none.
        part: heart, sap or mixed; None is drawn as not known.
        sap_faces: the faces of a mixed one with sapwood.
    """

    corner: int
    mark: str
    turn_deg: float
    flipped: bool = False
    ring_deg: float | None = None
    part: str | None = None
    sap_faces: str = ""

    def side_of(self, face: str) -> int:
        """Where a face lies: 0 bottom, 1 right, 2 top, 3 left."""
        step = -1 if self.flipped else 1
        return (round(self.turn_deg / 90) + step * FACES.index(face)) % 4


def draw(axes: Axes, ends: Sequence[End], title: str) -> None:
    """Draw a block.

    Args:
        axes: where to.
        ends: its four staves.
        title: what stands above it.
    """
    axes.set_aspect("equal")
    axes.set_xlim(-1.22, 1.22)
    axes.set_ylim(-1.22, 1.3)
    axes.set_axis_off()
    axes.set_title(title, loc="left", fontsize=9)
    for end in ends:
        _stave(axes, end)
    for x, y, order in ((0, 1.07, "1st"), (0, -1.07, "1st"), (1.1, 0, "2nd"), (-1.1, 0, "2nd")):
        axes.text(x, y, order, ha="center", va="center", fontsize=7, color=style.QUIET)


def _stave(axes: Axes, end: End) -> None:
    x, y = CENTRES[end.corner]
    square = Rectangle((x - HALF, y - HALF), 2 * HALF, 2 * HALF, facecolor="white", edgecolor=style.INK, linewidth=1.2)
    axes.add_patch(square)
    for patch in _sap(end, x, y):
        axes.add_patch(patch)
    for line_x, line_y in _rings(end):
        (line,) = axes.plot([x + v for v in line_x], [y + v for v in line_y], color=style.QUIET, linewidth=0.7)
        line.set_clip_path(square)
    axes.add_patch(_middle_corner(x, y))
    box = {"boxstyle": "round,pad=0.25", "facecolor": "white", "edgecolor": "none"}
    axes.text(x, y, end.mark, ha="center", va="center", fontsize=13, weight="bold", bbox=box)
    axes.text(x * 2.3, y * 2.3, str(end.corner), ha="center", va="center", fontsize=10, color=style.QUIET)
    for face in FACES:
        dx, dy = _outward(end.side_of(face))
        axes.text(x + 0.4 * dx, y + 0.4 * dy, face, ha="center", va="center", fontsize=7, bbox={**box, "pad": 0.1})


def _outward(side: int) -> tuple[int, int]:
    return ((0, -1), (1, 0), (0, 1), (-1, 0))[side]


def _sap(end: End, x: float, y: float) -> Iterator[Rectangle]:
    """Sapwood: all of it, or a band along the faces that show it."""
    look = {"facecolor": "none", "edgecolor": style.QUIET, "hatch": "....", "linewidth": 0.0}
    if end.part == "sap":
        yield Rectangle((x - HALF, y - HALF), 2 * HALF, 2 * HALF, **look)  # type: ignore[arg-type]
    elif end.part == "mixed":
        for face in end.sap_faces:
            dx, dy = _outward(end.side_of(face))
            wide, high = (2 * HALF, SAP_BAND) if dy else (SAP_BAND, 2 * HALF)
            left = x - HALF if dx <= 0 else x + HALF - wide
            low = y - HALF if dy <= 0 else y + HALF - high
            yield Rectangle((left, low), wide, high, **look)  # type: ignore[arg-type]


def _rings(end: End) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    """Straight lines at the angle of the rings to face A."""
    if end.ring_deg is None:
        return
    lean = end.ring_deg if not end.flipped else -end.ring_deg
    angle = radians(end.turn_deg + lean)
    along, across = (cos(angle), sin(angle)), (-sin(angle), cos(angle))
    for k in range(RINGS):
        off = (k + 0.5) / RINGS * 1.6 - 0.8
        middle = (off * across[0], off * across[1])
        yield (middle[0] - along[0], middle[0] + along[0]), (middle[1] - along[1], middle[1] + along[1])


def _middle_corner(x: float, y: float) -> Polygon:
    """The corner at the middle of the block, filled: it is to be marked on the wood."""
    inner = (x - HALF if x > 0 else x + HALF, y - HALF if y > 0 else y + HALF)
    away = (1 if x > 0 else -1, 1 if y > 0 else -1)
    points = [inner, (inner[0] + TICK * away[0], inner[1]), (inner[0], inner[1] + TICK * away[1])]
    return Polygon(points, closed=True, facecolor=style.INK, edgecolor="none")
