"""What a moisture section must be, and should be: masses that only fall, a slice of its piece, clear of the ends."""

from collections.abc import Sequence
from dataclasses import dataclass

from stock.errors import Impossible, Unclear
from stock.survey.slips import grams
from stock.typed import Typed
from stock.wood.moisture import balance_sd_g, mc_pct, section_sd_pct
from stock.yard.in_hand import Held
from stock.yard.making import one_of
from stock.yard.values import positive, said, zero_up

ENDS = ("butt", "top", "middle")
STILL_FALLING_G = 0.1  # a loss above this, and above a step of the scales, at the last weighing is not constant mass
WETTEST_PCT = 250.0  # the wettest sapwood of the handbook holds 249 %: Wood Handbook FPL-GTR-190 (2010), table 4-1
MOST_PCT = 1000.0
CLEAR_OF_END_MM = 50.0  # common practice, no source: nearer to an end a slice is drier than the piece
ROUGH_PCT = 2.0  # points of error from the scales alone above which they are too coarse for a section


@dataclass(frozen=True, slots=True)
class Slice:
    """A section as it was weighed and where it came from; see `ovening.oven` for the fields."""

    wet: Typed
    dry: Typed | None = None
    oven_weights: tuple[Typed, ...] = ()
    before: Typed | None = None
    after: Typed | None = None
    step: Typed | None = None
    length: Typed | None = None
    position: Typed | None = None
    end: str | None = None
    label: str = ""
    volume: Typed | None = None
    whole: bool = False
    scorched: bool = False


def check_slice(held: Held, what: Slice, was_mm: float | None) -> float | None:
    """Refuse a section that cannot be.

    Args:
        held: the piece it was cut from.
        what: the section.
        was_mm: length of the piece before, mm, if known.

    Returns:
        The step of the scales it was weighed on, g; None if not known.

    Raises:
        Impossible: weights that rise, a slice heavier than its piece, lengths that contradict.
        Unclear: an end that is none, or a whole piece with a rest.
    """
    mark = held.mark
    wet_g = positive("a wet weight", what.wet, mark)
    one_of("place of a section", what.end, ENDS)
    step_g = positive("a step", what.step, mark) if what.step else None
    if step_g is None and what.wet.plus_minus:
        step_g = 2 * what.wet.plus_minus
    check_falling(mark, wet_g, what.oven_weights, what.dry, step_g)
    if what.whole and (what.before or what.after or what.length or what.position or what.end):
        raise Unclear(
            f"{mark} was dried whole: nothing of it is left to weigh or measure beside it.",
            hint="Give its weight as the wet weight only, or leave out that it was whole.",
            piece=mark,
        )
    if what.before and wet_g >= what.before.value:
        raise Impossible(
            f'{mark}: the section ("{said(what.wet)}") is as heavy as the piece before it ("{said(what.before)}").',
            hint="Swapped, or another unit? If the whole piece went into the oven, say so.",
            piece=mark,
        )
    _check_lengths(mark, what, was_mm)
    return step_g


def _check_lengths(mark: str, what: Slice, was_mm: float | None) -> None:
    if what.length and was_mm and positive("a length", what.length, mark) >= was_mm:
        raise Impossible(
            f'{mark}: "{said(what.length)}" after the section is not shorter than the {was_mm:.0f} mm before it.',
            hint="The length of the piece that remains is wanted.",
            piece=mark,
        )
    if what.position and zero_up("a position", what.position, mark) > (was_mm or float("inf")):
        raise Impossible(
            f'{mark}: a section at "{said(what.position)}" is beyond its top end ({was_mm:.0f} mm).',
            hint="The position is measured from the butt end.",
            piece=mark,
        )


def check_falling(
    mark: str,
    wet_g: float,
    oven_weights: Sequence[Typed],
    dry: Typed | None,
    step_g: float | None,
    so_far: Sequence[float] = (),
) -> None:
    """Refuse weights that rise in the oven by more than a step of the scales, and a dry weight above the wet one.

    Raises:
        Impossible: they rise, or hold more than ten times their dry mass in water.
    """
    slack = step_g or 0.0
    last_g = min([wet_g, *so_far])
    for one in [*oven_weights, *([dry] if dry else [])]:
        mass_g = positive("an oven weight", one, mark)
        if one is dry and mass_g > wet_g:
            raise Impossible(
                f"{mark}: a dry weight of {_said(one)} is above the wet one ({grams(wet_g, step_g)}).",
                hint="Swapped? Otherwise look at the unit.",
                piece=mark,
            )
        if mass_g > last_g + slack:
            raise Impossible(
                f"{mark}: {_said(one)} is more than the weight before it ({grams(last_g, step_g)}): "
                "nothing grows heavier in the oven.",
                hint="Look at the order, the scales, and whether it is the same section.",
                piece=mark,
            )
        last_g = min(last_g, mass_g)
    if dry and mc_pct(wet_g, dry.value) > MOST_PCT:
        raise Impossible(
            f'{mark}: "{said(dry)}" dry from {grams(wet_g)} wet would be {mc_pct(wet_g, dry.value):.0f} % moisture.',
            hint="Two different units?",
            piece=mark,
        )


def remarks(held: Held, what: Slice, step_g: float | None, so_far: Sequence[float] = ()) -> tuple[str, ...]:
    """What is odd about a section, or makes it less sure, one sentence each."""
    return tuple(
        remark
        for remark in (
            _not_constant(what, step_g, so_far),
            _scorched(what),
            _too_wet(held, what),
            _coarse(what, step_g),
            _near_an_end(held, what),
            _lost(held, what, step_g),
            _coated(held),
        )
        if remark
    )


def _said(mass: Typed) -> str:
    """A weight as typed, with its grams unless those were typed."""
    plain = grams(mass.value, 2 * mass.plus_minus if mass.plus_minus else None)
    return f'"{said(mass)}"' if said(mass) == plain else f'"{said(mass)}" ({plain})'


def _not_constant(what: Slice, step_g: float | None, so_far: Sequence[float]) -> str:
    course = [*so_far, *(one.value for one in what.oven_weights)]
    if what.dry is None or not course:
        return ""
    fell = course[-1] - what.dry.value
    if fell <= max(step_g or 0.0, STILL_FALLING_G) * (1 + 1e-9):
        return ""
    return f"it still lost {grams(fell, 0.1)} at the last weighing: not yet constant; dry on until two weighings agree."


def _scorched(what: Slice) -> str:
    return "a scorched section lost more than water: it is kept, and not used." if what.scorched else ""


def _too_wet(held: Held, what: Slice) -> str:
    if not what.dry or (mc := mc_pct(what.wet.value, what.dry.value)) <= WETTEST_PCT:
        return ""
    return f"{mc:.0f} % is more water than wood is known to hold: are both weights of {held.mark} in one unit?"


def _coarse(what: Slice, step_g: float | None) -> str:
    if not what.dry or not step_g:
        return ""
    points = section_sd_pct(what.wet.value, what.dry.value, balance_sd_g(step_g))
    if points <= ROUGH_PCT:
        return ""
    return f"steps of {step_g:.2g} g leave {points:.0f} points unsure on so small a section: use finer scales."


def _near_an_end(held: Held, what: Slice) -> str:
    if what.position is None:
        return ""
    length = held.piece.size.length_mm
    nearest = min(what.position.value, length - what.position.value) if length else what.position.value
    if nearest >= CLEAR_OF_END_MM:
        return ""
    return f"the section was {nearest:.0f} mm from an end, where wood is drier than the rest of {held.mark}."


def _lost(held: Held, what: Slice, step_g: float | None) -> str:
    if not (what.before and what.after):
        return ""
    lost = what.before.value - what.after.value
    slack = (what.before.plus_minus or 0.5) + (what.after.plus_minus or 0.5) + (step_g or 0.0)
    if what.wet.value <= lost + 2 * slack:
        return ""
    return f"the section weighs {grams(what.wet.value)}, but {held.mark} lost only {grams(lost, slack)} by it."


def _coated(held: Held) -> str:
    if held.piece.coat is None or held.piece.coat.where != "all":
        return ""
    return (
        f"{held.mark} is coated all over ({held.piece.coat.kind}): only bare wood belongs in an oven, wax can ignite."
    )
