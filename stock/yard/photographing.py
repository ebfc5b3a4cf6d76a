"""What is kept of a photograph of a face: its measures and its name, not the picture."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from stock.errors import Unclear
from stock.yard.making import one_of

if TYPE_CHECKING:
    from stock.wood.colour import Lab
    from stock.wood.face_photo import FaceMeasures

ENDS = ("butt", "top")
# Whether colours read on such a face may be compared: wood darkens in the light, and dust and roughness pale it.
SURFACES = {"planed": True, "wiped": True, "sanded": False, "rough": False}
LONGEST_NAME = 120


@dataclass(frozen=True, slots=True)
class Photograph:
    """A photograph that was measured: the name of its file, without folders, its digest, and the measures."""

    name: str
    sha256: str
    measures: "FaceMeasures"


@dataclass(frozen=True, slots=True)
class Kept:
    """What the book keeps of a photograph.

    Attributes:
        columns: of the look.
        typed: how it was come by.
        lab: the colour that is kept, if any.
        why_no_colour: why it is not; "" if it is.
    """

    columns: dict[str, Any]
    typed: dict[str, str]
    lab: "Lab | None"
    why_no_colour: str


def kept(photo: Photograph | None, face: str | None, surface: str | None) -> Kept:
    """What the book keeps of a photograph of a face.

    The colour is kept only where it may be compared with others: against a card, and of a face that was fresh-planed or
    wiped with spirit; of end grain, which is darker, never. The lie of the lines on end grain is that of the rings, and
    is not kept as that of the grain.

    Args:
        photo: the photograph; None keeps nothing.
        face: the face that it shows.
        surface: how the face was: one of `SURFACES`.

    Raises:
        Unclear: no such surface, or a surface without a photograph.
    """
    how = (surface or "").strip().lower()
    one_of("surface", how, tuple(SURFACES))
    if photo is None:
        if how:
            raise Unclear("a surface goes with a photograph.", hint="Give the picture as well.")
        return Kept({}, {}, None, "")
    found = photo.measures
    why = _why_no_colour(found, face, how)
    lab = None if why else found.lab
    columns: dict[str, Any] = {
        "contrast": found.contrast,
        "grain_deg": None if face in ENDS else found.grain_deg,
        "grain_strength": found.grain_strength,
        "surface": how or None,
        "photo": f"{photo.name[-LONGEST_NAME:]} sha256:{photo.sha256}",
    }
    if lab:
        columns |= dict(zip(("lab_l", "lab_a", "lab_b"), lab, strict=True)) | {"lab_sd": found.lab_sd}
    return Kept(columns, {"card": found.card} if lab else {}, lab, why)


def _why_no_colour(found: "FaceMeasures", face: str | None, surface: str) -> str:
    if found.not_a_measure:
        return found.not_a_measure
    if face in ENDS:
        return "end grain is darker than the faces it would be compared with"
    if not surface:
        return "only like surfaces are compared: say --surface planed or wiped"
    if not SURFACES[surface]:
        return f"a {surface} face is paler than its wood: fresh-plane it, or wipe it with spirit"
    return ""
