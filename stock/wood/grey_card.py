"""A grey or white card in a picture: what was photographed beside it may then be compared with other photographs.

The card says how bright, and of what colour, the light was; the picture is set right channel by channel. That undoes
exposure and white balance as far as the camera did them channel by channel; it does not undo the way cameras bend
tones, and a card that lies in other light than the face says nothing of the face.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stock.errors import Impossible, StockError, Unclear
from stock.wood.colour import ciede2000, lab_of_light
from stock.wood.picture import Area, Picture

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# Reflectance of the cards that have a name; common practice, no source: 18 % is what is sold as a grey card, and plain
# white paper is near 90 %. One and the same card for all pieces makes the exact value matter little.
CARDS = {"grey": 0.18, "white": 0.90}
_NEAR, _FAR = 0.01, 0.11  # a card that fills a corner is looked at from 1 to 11 % of each side
CORNERS = {
    "top-left": Area(_NEAR, _NEAR, _FAR, _FAR),
    "top-right": Area(1 - _FAR, _NEAR, 1 - _NEAR, _FAR),
    "bottom-left": Area(_NEAR, 1 - _FAR, _FAR, 1 - _NEAR),
    "bottom-right": Area(1 - _FAR, 1 - _FAR, 1 - _NEAR, 1 - _NEAR),
}
# When a patch passes for a plain card; judgements, no source.
UNEVEN_MOST = 2.5  # one standard deviation of L*, the patch brought to L* 50
CLIPPED_MOST = 0.01
DARKEST = 0.02  # linear light of the weakest channel: below, eight bits hold too few steps
CAST_MOST = 5.0  # the strongest channel over the weakest: lamp light taken for daylight is near 3
UNLIKE_LEAST = 8.0  # dE of card and face as photographed
SAME_CARD = 5.0  # dE of two corners with one card

_SAY = "Let it fill a corner, evenly lit; or say where it lies: --card-at 2,2,12,12."


@dataclass(frozen=True, slots=True)
class Card:
    """A card as told.

    Attributes:
        name: what the person calls it.
        reflectance: how much of the light it throws back, 0 to 1, the same in every colour.
        at: where it lies; None to look for it in the corners.
        where: `at` in words.
    """

    name: str
    reflectance: float
    at: Area | None = None
    where: str = ""

    def __post_init__(self) -> None:
        if not 0.03 <= self.reflectance <= 1:
            raise Impossible(
                f"a card that throws back {100 * self.reflectance:g} % of the light is no reference.",
                hint="A grey card has 18 %, white paper about 90 %; a maker may give another, 3 to 100 %.",
            )


@dataclass(frozen=True, slots=True)
class Patch:
    """A card as found in a picture.

    Attributes:
        light: its mean linear light, red, green, blue.
        uneven: one standard deviation of its L*, brought to L* 50.
        middle: where it lies, across and down, shares of the picture.
        where: the same in words.
        flaw: why it is no card that could be used; "" if it is.
    """

    light: NDArray[np.float64]
    uneven: float
    middle: tuple[float, float]
    where: str
    flaw: str

    def gains(self, card: Card) -> NDArray[np.float64]:
        """What the light of the picture is multiplied by, channel by channel."""
        return card.reflectance / self.light


def find_card(picture: Picture, face_light: NDArray[np.float64], card: Card) -> Patch:
    """The card in a picture.

    Args:
        picture: the whole picture.
        face_light: mean linear light of the face, red, green, blue.
        card: what was told of it.

    Raises:
        Unclear: no corner, or more than one, looks like a card; or what was pointed at is not plain.
        Impossible: the card is burnt out, too dark, of the colour of the face, or darker than a face can be beside it.
    """
    if card.at is not None:
        patch = _patch(picture, card.at, card.where)
        if patch.flaw:
            raise Unclear(f"{patch.where} of the picture is no card to go by: {patch.flaw}.", hint=_SAY, code="no-card")
        if trouble := _trouble(patch, face_light, card):
            raise trouble
        return patch
    patches = [_patch(picture, area, f"the {where} corner") for where, area in CORNERS.items()]
    cards = [patch for patch in patches if not patch.flaw and not _trouble(patch, face_light, card)]
    if not cards:
        raise Unclear(f"no {card.name} card is seen in a corner of the picture.", hint=_SAY, code="no-card")
    found = max(cards, key=lambda patch: float(patch.light.sum()))
    if any(ciede2000(lab_of_light(found.light), lab_of_light(other.light)) > SAME_CARD for other in cards):
        where = " or ".join(patch.where for patch in cards)
        raise Unclear(f"the {card.name} card may be in {where}.", hint=_SAY, code="no-card")
    return found


def _patch(picture: Picture, area: Area, where: str) -> Patch:
    import numpy as np

    part = picture.part(area)
    light = part.light.reshape(-1, 3).astype(np.float64)
    mean = light.mean(axis=0)
    lightness = np.cbrt(light.sum(axis=1) / max(float(mean.sum()), 1e-9))
    uneven = float(66 * lightness.std())  # L* 50 is 66 less 16
    flaw = ""
    if float(part.clipped.mean()) > CLIPPED_MOST:
        flaw = "it is burnt out or black"
    elif float(mean.min()) < DARKEST:
        flaw = "it is too dark"
    elif uneven > UNEVEN_MOST:
        flaw = "it is not one plain colour"
    elif float(mean.max() / mean.min()) > CAST_MOST:
        flaw = "it is neither grey nor white, even in coloured light"
    return Patch(mean, uneven, area.middle, where, flaw)


def _trouble(patch: Patch, face_light: NDArray[np.float64], card: Card) -> StockError | None:
    """Why a patch cannot be the card beside this face."""
    if ciede2000(lab_of_light(patch.light), lab_of_light(face_light)) < UNLIKE_LEAST:
        return Unclear(
            f"{patch.where} of the picture has the colour of the face: is the card there?",
            hint=_SAY,
            code="no-card",
        )
    if float((face_light * patch.gains(card)).max()) > 1:
        return Impossible(
            f"beside a {card.name} card in {patch.where} the face would be whiter than white.",
            hint="Is it that card, and does it lie in the same light as the face?",
        )
    return None
