"""How much of a blank is left as a stave after its flaws: plain subtraction, with the sum shown.

Nothing here says that a piece is sound: a check may run further than can be seen, and closes in damp weather without
healing.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from stock.wood.flaws import EFFECTS, SIDES, Flaw, judge, measure

CLEAN_MM = 12.7  # clean wood that is cut off beyond a check, and at an end without one: common practice, 1/2 in
PLANING_MM = 1.5  # off each rough face: common practice, about 1/16 in


@dataclass(frozen=True, slots=True)
class Sum:
    """A size and how it comes about: what there is, then what each thing takes off, mm."""

    gross: tuple[str, float]
    less: tuple[tuple[str, float], ...] = ()

    @property
    def mm(self) -> float:
        """What is left, mm; never below 0."""
        return max(0.0, self.gross[1] - sum(mm for _, mm in self.less))

    @property
    def arithmetic(self) -> str:
        return self.words(lambda mm: f"{mm:.1f} mm")

    def words(self, write: Callable[[float], str]) -> str:
        """The sum in words, each measure written by `write`, which is given mm."""
        taken = "".join(f" - {write(mm)} {what}" for what, mm in self.less)
        return f"{self.gross[0]} {write(self.gross[1])}{taken} = {write(self.mm)}"


@dataclass(frozen=True, slots=True)
class Stretch:
    """A clear stretch of a stick: where it begins, and the sum that gives its length."""

    from_butt_mm: float
    length: Sum


@dataclass(frozen=True, slots=True)
class Usable:
    """What a blank can give.

    Attributes:
        length: the longest clear length; from_butt_mm: where that begins.
        square: the largest square, after planing.
        width_mm, thickness_mm: the sides before planing, less what flaws take beyond it.
        barred: why it is no stave at all; empty if nothing bars it.
        cautions: what to look at by eye.
    """

    length: Sum
    from_butt_mm: float
    square: Sum
    width_mm: float
    thickness_mm: float
    barred: tuple[str, ...]
    cautions: tuple[str, ...]


def usable_length(
    length_mm: float, end_checks_butt_mm: float = 0.0, end_checks_top_mm: float = 0.0, clean_mm: float = CLEAN_MM
) -> Sum:
    """The length between the end checks.

    Args:
        length_mm: gross length, mm.
        end_checks_butt_mm, end_checks_top_mm: the longest check from each end, along the grain, mm; 0 for none.
        clean_mm: clean wood cut off at each end beyond the check, mm.

    Returns:
        The usable length with its sum, mm.

    Raises:
        Impossible: a measure below 0 or not finite.

    Range:
        What can be seen. In oak and walnut checks may run 12 in further inside. Common practice, no source: two checks
        of 1 1/4 and 3/4 in and 1/2 in of clean wood at each end leave 9 of 12 in.
    """
    ends = (("butt", end_checks_butt_mm), ("top", end_checks_top_mm))
    flaws = [Flaw("end check", end=end, length_mm=measure(mm, "an end check")) for end, mm in ends]
    return clear_lengths(length_mm, flaws, clean_mm)[0].length


def clear_lengths(length_mm: float, flaws: Iterable[Flaw] = (), clean_mm: float = CLEAN_MM) -> tuple[Stretch, ...]:
    """The clear stretches of a stick, between its ends and the flaws that are cut out of it.

    Args:
        length_mm: gross length, mm.
        flaws: end checks and splits, knots and repairs are cut out as far as their place is known; a check whose end is
            not known counts at the end that has the shorter one. Other kinds are not looked at.
        clean_mm: clean wood cut off at both ends of every stretch, mm.

    Returns:
        The stretches, longest first; always one at least, which may be of length 0.

    Raises:
        Impossible: a measure below 0 or not finite.
    """
    measure(length_mm, "a length")
    measure(clean_mm, "a clean allowance")
    found: list[Stretch] = []
    begin, behind = 0.0, ""
    for start, end, what in [*_cuts(length_mm, flaws), (length_mm, length_mm, "")]:
        if start > begin or (not found and start == length_mm):
            less = [(behind, begin)] if behind else []
            less += [(what if end == length_mm else f"beyond the {what}", length_mm - start)] if what else []
            less += [(f"clean wood at the {at} end", clean_mm) for at in ("butt", "top")]
            found.append(Stretch(begin + clean_mm, Sum(("length", length_mm), tuple(less))))
        if end > begin:
            begin, behind = end, what if start == 0 else f"up to the {what}"
    return tuple(sorted(found, key=lambda stretch: -stretch.length.mm))


def _cuts(length_mm: float, flaws: Iterable[Flaw]) -> list[tuple[float, float, str]]:
    """What is cut out of a stick, in order from the butt: where it begins and ends, and its name."""
    checks = {"butt": (0.0, ""), "top": (0.0, "")}
    cuts, loose = [], []
    for flaw in flaws:
        if EFFECTS[flaw.kind] not in ("shortens", "cut out"):
            continue
        long = min(flaw.length_mm or 0.0, length_mm)
        if flaw.end in ("butt", "top", "both"):
            for end in ("butt", "top") if flaw.end == "both" else (flaw.end,):
                checks[end] = max(checks[end], (long, f"{flaw.kind} at the {end} end"))
        elif flaw.from_butt_mm is not None:
            start = min(flaw.from_butt_mm, length_mm)
            cuts.append((start, min(start + long, length_mm), flaw.kind))
        elif long:
            loose.append((long, f"{flaw.kind} at one end"))
    for check in sorted(loose, reverse=True):
        end = min(checks, key=checks.__getitem__)
        checks[end] = max(checks[end], check)
    (butt, butt_name), (top, top_name) = checks["butt"], checks["top"]
    cuts += [(0.0, butt, butt_name)] if butt else []
    cuts += [(length_mm - top, length_mm, top_name)] if top else []
    return sorted(cuts)


def usable_square(width_mm: float, thickness_mm: float, planing_mm: float = PLANING_MM, wane_mm: float = 0.0) -> Sum:
    """The largest square left after planing the four faces.

    Args:
        width_mm, thickness_mm: the sides as they are, mm; of a piece that is still green, as they will be when dry.
        planing_mm: taken off each face, mm.
        wane_mm: the width missing at a waney corner, mm; it is taken off the larger side, where it hurts less.

    Returns:
        The side of the square with its sum, mm.

    Raises:
        Impossible: a measure below 0 or not finite.
    """
    return min(_sides(width_mm, thickness_mm, [], planing_mm, wane_mm).values(), key=lambda side: side.mm)


def usable(
    width_mm: float,
    thickness_mm: float,
    length_mm: float,
    flaws: Sequence[Flaw] = (),
    planing_mm: float = PLANING_MM,
    clean_mm: float = CLEAN_MM,
) -> Usable:
    """What a blank can give as a stave after its flaws.

    Args:
        width_mm, thickness_mm, length_mm: the blank as it is, mm.
        flaws: every defect seen on it that has not been cut off since.
        planing_mm: taken off each face, mm; a surface check or a warp deeper than this takes more.
        clean_mm: clean wood cut off at both ends of a clear stretch, mm.

    Returns:
        Length, square, and what bars it. Some kinds bar always, others when severe, and those that cross a glue face
        or end while their measure is not recorded: see `flaws.judge`.

    Raises:
        Impossible: a measure below 0 or not finite.
    """
    longest = clear_lengths(length_mm, flaws, clean_mm)[0]
    wane = max((f.depth_mm or 0.0 for f in flaws if f.kind == "wane"), default=0.0)
    sides = _sides(width_mm, thickness_mm, flaws, planing_mm, wane)
    judged = [(flaw, *judge(flaw)) for flaw in flaws]
    return Usable(
        length=longest.length,
        from_butt_mm=longest.from_butt_mm,
        square=min(sides.values(), key=lambda side: side.mm),
        width_mm=sides["width"].mm + 2 * planing_mm,
        thickness_mm=sides["thickness"].mm + 2 * planing_mm,
        barred=tuple(dict.fromkeys(f"{flaw.where}{why}" for flaw, bars, why in judged if bars)),
        cautions=tuple(dict.fromkeys(f"{flaw.where}{why}" for flaw, bars, why in judged if why and not bars)),
    )


def _sides(
    width_mm: float, thickness_mm: float, flaws: Sequence[Flaw], planing_mm: float, wane_mm: float
) -> dict[str, Sum]:
    """Width and thickness after planing, each face to the depth of its deepest flaw, and after wane."""
    gross = {"width": measure(width_mm, "a width"), "thickness": measure(thickness_mm, "a thickness")}
    measure(planing_mm, "planing")
    measure(wane_mm, "wane")
    off = dict.fromkeys(SIDES, (planing_mm, "planing"))
    smaller = min(gross, key=gross.__getitem__)
    for flaw in flaws:
        if EFFECTS[flaw.kind] != "planed off" or flaw.kind == "wane" or not flaw.depth_mm:
            continue
        faces = [f for f, side in SIDES.items() if side == smaller]  # where it hurts most, if the face is not known
        face = flaw.face if flaw.face in SIDES else min(faces, key=lambda f: off[f])
        off[face] = max(off[face], (flaw.depth_mm, flaw.where))
    sides = {}
    for side, mm in gross.items():
        less = [(what, depth) for face, (depth, what) in off.items() if SIDES[face] == side]
        if less[0] == less[1]:
            less = [("planing of both faces", 2 * planing_mm)]
        less += [("wane", wane_mm)] if wane_mm and side != smaller else []
        sides[side] = Sum((side, mm), tuple(less))
    return sides
