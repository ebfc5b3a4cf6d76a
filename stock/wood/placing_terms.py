"""What a joint of two staves costs, term by term, in whole thousandths of a point."""

from collections.abc import Callable
from math import cos, dist, hypot, radians

from stock.wood.placed import FACES, Lab, State, Stave, Weights

# How unlike the wood of two faces is, 0 to 1. The line between heart and sap runs differently in every stave, so that
# two faces with some sapwood are not free.
_UNLIKE = {
    frozenset(("heart",)): 0.0,
    frozenset(("sap",)): 0.0,
    frozenset(("some sap",)): 0.25,
    frozenset(("some sap", "sap")): 0.5,
    frozenset(("some sap", "heart")): 0.75,
    frozenset(("heart", "sap")): 1.0,
}
_UNKNOWN = 0.5
_MIRRORED = (1, 0, 3, 2)  # where f0, f1, f2, f3 of a stave are found in its mirror image beyond the joint


def apart_cie76(one: Lab, other: Lab) -> float:
    """How far two colours are apart. Source: CIE 015, Colorimetry: the 1976 L*a*b* colour difference."""
    return dist(one, other)


def joint_terms(
    one: Stave, state: State, other: Stave, its: State, w: Weights, apart: Callable[[Lab, Lab], float]
) -> dict[str, int]:
    """What it costs that a stave is followed by another.

    Args:
        one, state: a stave, and how it stands.
        other, its: the next stave anticlockwise, and how that stands.
        w: how much each thing counts.
        apart: how far two colours are apart.

    Returns:
        Thousandths of a point by name: "ring angle" over both gluings, "heart and sap" over both and the outside, "bark
        side" for staves that are not mirrored, "run-out", "colour" and "figure" on the outside, "end for end".
    """
    f, g = state.faces, its.faces
    wood = (
        w.part_first * _unlike(one.wood_of(f[0]), other.wood_of(g[1]))
        + w.part_second * _unlike(one.wood_of(f[2]), other.wood_of(g[3]))
        + w.part_outside * _unlike(one.wood_of(f[1]), other.wood_of(g[0]))
    )
    here, there = FACES[f[1]], FACES[g[0]]  # side by side on the outside
    points = {
        "ring angle": _rings(one.ring_deg_of(f[0]), other.ring_deg_of(g[1]), w),
        "heart and sap": wood,
        "bark side": w.bark * _bark(one, state, other, its),
        "run-out": _run_out(one, state, other, its, w),
        "colour": _colour(one.labs.get(here), other.labs.get(there), w, apart),
        "figure": _figure(one.traits.get(here), other.traits.get(there), w),
        "end for end": w.end_for_end * (state.flipped != its.flipped),
    }
    return {name: round(1000 * value) for name, value in points.items()}


def shown_terms(stave: Stave, state: State, show: str | None, w: Weights) -> dict[str, int]:
    """What it costs that the two faces that the finished piece shows are not what was wished for."""
    if show is None:
        return {}
    unlike = sum(_unlike(show, stave.wood_of(face)) for face in state.faces[:2]) / 2
    return {"shown": round(1000 * w.shown * unlike)}


def _unlike(one: str | None, other: str | None) -> float:
    return _UNKNOWN if one is None or other is None else _UNLIKE[frozenset((one, other))]


def _rings(one: float | None, other: float | None, w: Weights) -> float:
    """In proportion to the mismatch of the two faces as they move, which goes by the squared cosine of the angle."""
    if one is None or other is None:
        return w.ring_unknown
    return w.ring * abs(cos(radians(one)) ** 2 - cos(radians(other)) ** 2)


def _bark(one: Stave, state: State, other: Stave, its: State) -> float:
    """0 if the bark sides mirror each other across the joint, 1 if they lie opposite to that."""
    if one.bark_face is None or other.bark_face is None:
        return _UNKNOWN
    here = state.faces.index(FACES.index(one.bark_face))
    there = its.faces.index(FACES.index(other.bark_face))
    quarters = (there - _MIRRORED[here]) % 4
    return min(quarters, 4 - quarters) / 2


def _run_out(one: Stave, state: State, other: Stave, its: State, w: Weights) -> float:
    """By the difference of the two slopes, as arrows across the end of the block; the reversal turns both alike."""
    if one.run_out is None or other.run_out is None:
        return w.run_out_unknown
    a, b = 1 / one.run_out, 1 / other.run_out
    here, there = _towards(one, state), _towards(other, its)
    if here is None or there is None:
        return min(w.run_out_most, w.run_out * hypot(a, b))  # as if square to each other, the middle of what it can be
    quarters = (there + 1 - here) % 4  # the next corner is a quarter turn on
    apart = (abs(a - b), hypot(a, b), a + b, hypot(a, b))[quarters]
    return min(w.run_out_most, w.run_out * apart)


def _towards(stave: Stave, state: State) -> int | None:
    """Which of f0 to f3 the grain runs out to, going up the block; a stave with its butt down runs the other way."""
    if stave.run_out_face is None:
        return None
    return (state.faces.index(FACES.index(stave.run_out_face)) + 2 * state.flipped) % 4


def _colour(one: Lab | None, other: Lab | None, w: Weights, apart: Callable[[Lab, Lab], float]) -> float:
    if one is None or other is None:
        return w.colour_unknown
    return min(w.colour_most, w.colour * apart(one, other))


def _figure(one: frozenset[str] | None, other: frozenset[str] | None, w: Weights) -> float:
    if one is None or other is None:
        return w.figure_unknown
    return 0.0 if one == other else w.figure
