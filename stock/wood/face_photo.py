"""What a photograph tells of a face: its colour, its contrast, which way the grain runs, and how far to trust each.

A photograph decides nothing: it gives numbers to compare. Its colour counts only beside a card of known grey, and only
with faces that were prepared alike.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from stock.errors import Impossible
from stock.wood.colour import Lab, lab_of_light
from stock.wood.grain_lines import LONGEST_BY_WIDTH, Lines, lines
from stock.wood.grey_card import Card, Patch, find_card
from stock.wood.picture import Area, Picture

FACE = Area(0.2, 0.2, 0.8, 0.8)  # where the face is, if nobody says
LUMINANCE = (0.2126, 0.7152, 0.0722)  # IEC 61966-2-1:1999, second row of the matrix to XYZ

# Judgements, no source.
LEAST_PX = 120  # of the shorter side of the face, in the file
FEW_PX = 400
PLAIN = 0.05  # one standard deviation of L*: no face of wood is so even
CLIPPED_MOST = 0.01
DIM = 0.01  # luminance below which eight bits hold too few steps
UNEVEN_LIGHT = 1.3  # one corner of the face as many times as bright as the one opposite
FINE_LEAST = 1.3  # a made-up face of 25 rings measures 1.6 sharp and 1.15 blurred by a fifth of a ring
DIRECTED = 0.2  # coherence from which lines have a direction worth telling
CARD_SD = 3.0  # dE: cameras bend tones and balance white in ways of their own; simulated, that leaves 1.5 to 7
SD_MOST = 6.0  # dE: beyond it a colour is no measure


@dataclass(frozen=True, slots=True)
class FaceMeasures:
    """What was measured of a face.

    Attributes:
        lab: mean colour, L*, a*, b*, of light averaged as light; None of a picture without colour.
        lab_sd: one standard deviation of its error, dE; None if there was no card: then it cannot be compared.
        card: which card, and where it was; "" for none.
        not_a_measure: why the colour cannot be compared with that of other photographs; "" if it can.
        contrast, grain_deg, grain_strength: see `Lines`; no direction if its strength is below 0.2.
        along_long_side: whether `grain_deg` is from the longer side (of a square part: from the level).
        doubts: what makes the numbers less sure, a sentence each.
    """

    lab: Lab | None
    lab_sd: float | None
    card: str
    not_a_measure: str
    contrast: float
    grain_deg: float | None
    grain_strength: float
    along_long_side: bool
    doubts: tuple[str, ...]


def measure_face(picture: Picture, area: Area = FACE, card: Card | None = None) -> FaceMeasures:
    """Measure a face in a picture.

    Args:
        picture: the whole picture, the right way up.
        area: where the face is.
        card: what card lies beside it, if there is one.

    Returns:
        The measures.

    Raises:
        Impossible: the part is too small or too narrow, partly transparent, or all one colour.
        Unclear, Impossible: the card is not found, or is none to go by.

    Source:
        CIE 15:2004 for L*a*b*; light is averaged before it is turned into colour, for light adds and lightness does
        not. See `lines` and `find_card`.
    """
    part = picture.part(area)
    _must_do(part)
    light = part.light.reshape(-1, 3).mean(axis=0, dtype="float64")
    patch = find_card(picture, light, card) if card else None
    if patch and area.holds(patch.middle):
        raise Impossible(
            "the card lies in the part that is measured.", hint="Leave it out of the face: --area 20,20,80,80."
        )
    gains = patch.gains(card) if patch and card else 1.0
    found = lines((part.light * gains) @ LUMINANCE)
    if found.contrast < PLAIN:
        raise Impossible("the picture is all one colour there: no face of wood is seen.", hint="Was the lens covered?")
    lab = lab_of_light(light * gains) if picture.has_colour else None
    sd = _sd(lab, found, patch, area) if lab and patch else None
    return FaceMeasures(
        lab=lab,
        lab_sd=sd,
        card=f"{card.name} card, {patch.where}" if card and patch else "",
        not_a_measure=_not_a_measure(part, card, sd),
        contrast=found.contrast,
        grain_deg=found.grain_deg if found.strength >= DIRECTED else None,
        grain_strength=found.strength,
        along_long_side=part.across_px != part.down_px,
        doubts=tuple(_doubts(part, found, dim=float(light @ LUMINANCE) < DIM)),
    )


def _must_do(part: Picture) -> None:
    short, long = sorted((part.across_px, part.down_px))
    if short < LEAST_PX:
        raise Impossible(
            f"the face is only {part.across_px} by {part.down_px} points: too small to measure.",
            hint=f"At least {LEAST_PX} each way: photograph it from nearer, so that it fills the picture.",
        )
    if long > LONGEST_BY_WIDTH * short:
        raise Impossible(
            f"the face of {part.across_px} by {part.down_px} points is too narrow to measure.",
            hint="Photograph a shorter length of it.",
        )
    if float(part.clear.max()) > 0:
        raise Impossible("part of the face is transparent.", hint="Save the picture without transparency.")


def _sd(lab: Lab, found: Lines, patch: Patch, area: Area) -> float:
    """One standard deviation of a colour beside a card: cameras and cards, and that the light may fall off from the
    face to the card as it does across the face. Of L*, the share of a change of light is (L* + 16) / 3."""
    across = found.across / (area.right - area.left) * (patch.middle[0] - area.middle[0])
    down = found.down / (area.bottom - area.top) * (patch.middle[1] - area.middle[1])
    return math.hypot(CARD_SD, (lab[0] + 16) / 3 * (across + down))


def _not_a_measure(part: Picture, card: Card | None, sd: float | None) -> str:
    if not part.has_colour:
        return "the picture has no colour"
    if card is None or sd is None:
        return "without a grey or white card in the picture it depends on the light and on the camera"
    if float(part.clipped.mean()) > CLIPPED_MOST:
        return "part of the face is burnt out or black"
    if sd > SD_MOST:
        return "the light falls off towards the card, or the wood there is of two colours"
    return ""


def _doubts(part: Picture, found: Lines, *, dim: bool) -> Iterator[str]:
    if dim:
        yield "the face is very dark in the picture: little can be told of it"
    if (share := float(part.clipped.mean())) > CLIPPED_MOST:
        yield f"{100 * share:.0f} % of the face is burnt out or black: there is more contrast than was measured"
    if (ratio := found.brightness_ratio) > UNEVEN_LIGHT:
        yield f"one corner is {ratio:.1f} times as bright as the opposite one: uneven light, or two colours of wood"
    if found.strength >= DIRECTED and found.fineness < FINE_LEAST:
        yield "no fine lines are seen: blurred, or taken from too far; there is more contrast than was measured"
    if min(part.across_px, part.down_px) < FEW_PX:
        yield f"the face is only {part.across_px} by {part.down_px} points: its finer lines are lost"
