"""Whether what is said to be sawn from a piece can have been in it: lengths, squares and volume."""

import math
from collections.abc import Sequence

from stock.errors import Impossible
from stock.survey.pieces import Size
from stock.yard.in_hand import Held
from stock.yard.making import NewPiece
from stock.yard.values import said, slack_mm

# Measuring is not better than this: common practice, no source.
MOST_OF_VOLUME = 1.02
FULL_OF_ROUND = 0.90  # squares, kerfs and slabs leave no more of a round log


def volume_mm3(held: Held, size: Size) -> float | None:
    """The volume of a piece, mm3, or None if too little of it was measured.

    A squared piece is the product of its sides; a round one a frustum taken as its length times the mean of its two
    end areas (Smalian's formula, common practice), or times its one known area; a split one its share of the round
    one.
    """
    if size.length_mm is None:
        return None
    if size.width_mm and size.thickness_mm:
        return size.length_mm * size.width_mm * size.thickness_mm
    area = _round_area_mm2(held, held.id, size)
    return None if area is None else size.length_mm * area


def blanks_fit(held: Held, size: Size, plans: Sequence[NewPiece]) -> tuple[str, ...]:
    """Refuse blanks that cannot have come out of a piece; say so if they nearly cannot.

    Args:
        held: the piece they are sawn from.
        size: its size before.
        plans: the blanks.

    Raises:
        Impossible: a blank longer than the piece or wider than a squared one; more wood than it had.
    """
    for plan in plans:
        _length_fits(held, size, plan)
        _square_fits(held, size, plan)
    whole = volume_mm3(held, size)
    parts = [_blank_volume_mm3(plan) for plan in plans] + _already_out_mm3(held)
    known = [part for part in parts if part is not None]
    if whole is None or not known:
        return ()
    share = sum(known) / whole
    if share > MOST_OF_VOLUME:
        raise Impossible(
            f"{held.mark} has {_litres(whole)} of wood; the blanks from it would have {_litres(sum(known))}.",
            hint="Check the number of blanks, their square and length, and the size of the piece.",
            piece=held.mark,
        )
    is_round = not (size.width_mm and size.thickness_mm)
    if share > (FULL_OF_ROUND if is_round else 1.0):
        return (f"the blanks would be {share:.0%} of the wood of {held.mark}: saw cuts and slabs leave less.",)
    return ()


def _length_fits(held: Held, size: Size, plan: NewPiece) -> None:
    length = plan.size.length
    if size.length_mm is None or length is None:
        return
    end = length.value + (plan.from_butt_mm or 0.0)
    if end > size.length_mm + slack_mm(length):
        place = f" from {plan.from_butt_mm:.0f} mm on" if plan.from_butt_mm else ""
        raise Impossible(
            f'a blank of "{said(length)}"{place} is longer than {held.mark}, which has {size.length_mm:.0f} mm.',
            hint="Check the length and its unit.",
            piece=held.mark,
        )


def _square_fits(held: Held, size: Size, plan: NewPiece) -> None:
    """A blank resawn from a squared piece is no wider and no thicker than it was."""
    width, thickness = plan.size.width, plan.size.thickness
    if not (size.width_mm and size.thickness_mm and width and thickness):
        return
    small, large = sorted((width.value, thickness.value))
    parent_small, parent_large = sorted((size.width_mm, size.thickness_mm))
    slack = max(slack_mm(width), slack_mm(thickness))
    if small > parent_small + slack or large > parent_large + slack:
        raise Impossible(
            f"a blank of {large:.0f} x {small:.0f} mm is not in {held.mark}, "
            f"which is {parent_large:.0f} x {parent_small:.0f} mm.",
            hint="Check the square and its unit.",
            piece=held.mark,
        )


def _blank_volume_mm3(plan: NewPiece) -> float | None:
    length, width, thickness = plan.size.length, plan.size.width, plan.size.thickness
    if not (length and width and thickness):
        return None
    return length.value * width.value * thickness.value


def _already_out_mm3(held: Held) -> list[float | None]:
    """The volumes of the blanks sawn from the piece before, while the rest of it was kept."""
    volumes: list[float | None] = []
    for one in held.pieces.facts.children.get(held.id, ()):
        size = held.pieces[one].size
        if size.length_mm and size.width_mm and size.thickness_mm:
            volumes.append(size.length_mm * size.width_mm * size.thickness_mm)
    return volumes


def _round_area_mm2(held: Held, piece_id: int, size: Size) -> float | None:
    """The mean cross-section of a round piece, or of the share of one that a billet is."""
    dias = [dia for dia in (size.dia_butt_mm, size.dia_top_mm) if dia is not None]
    if dias:
        return math.fsum(math.pi * dia**2 / 4 for dia in dias) / len(dias)
    facts = held.pieces.facts
    made = facts.pieces[piece_id]
    if made.parent_id is None or made.parent_id not in held.pieces:
        return None
    made_by = next((o.kind for o in facts.operations.get(made.parent_id, ()) if o.id == made.made_by_id), "")
    if made_by not in ("split", "crosscut"):
        return None
    whole = _round_area_mm2(held, made.parent_id, held.pieces[made.parent_id].size)
    if whole is None or made_by == "crosscut":
        return whole
    sisters = [one for one in facts.children[made.parent_id] if facts.pieces[one].made_by_id == made.made_by_id]
    return whole / len(sisters)


def _litres(mm3: float) -> str:
    return f"{mm3 / 1e6:.3g} litres"
