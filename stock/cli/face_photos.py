"""figure --photo: what is asked of a photograph, and what it tells, in as many digits as are known."""

import dataclasses
import re
from collections.abc import Iterator, Sequence
from math import radians, tan
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stock.errors import Misused, Unclear

if TYPE_CHECKING:
    from stock.cli.desk import Desk
    from stock.wood.grey_card import Card
    from stock.wood.picture import Area
    from stock.yard.photographing import Kept, Photograph

CLEAR = 0.5  # strength of the lines from which their direction is called clear; a judgement
STRAIGHT_DEG, ACROSS_DEG = 1.5, 60.0


def measured(
    photo: str, surface: str, area: str, card: str, card_at: str
) -> "tuple[Photograph | None, tuple[str, ...]]":
    """The photograph that an option names, measured, and what the person should know; None if there is none.

    Args:
        photo: the file.
        surface: how the face was; it is checked where it is kept.
        area: the part of the picture that is the face, in percent; "" is the middle of it.
        card: `grey`, `white`, or how much of the light it throws back: `18%`.
        card_at: a corner, or a part of the picture in percent; "" to look in the corners.

    Raises:
        Misused: an option about a photograph without one, or a place of a card without the card.
        StockError: the file is no picture that can be measured.
    """
    if not photo:
        for name, text in (("--surface", surface), ("--area", area), ("--card", card), ("--card-at", card_at)):
            if text:
                raise Misused(f"{name} is about a photograph.", hint="Give the picture: --photo FILE.")
        return None, ()
    if card_at and not card:
        raise Misused("--card-at says where a card lies, not which.", hint="Say --card grey or --card white.")
    told = _card(card, card_at) if card else None
    part = _area("--area", area) if area else None

    from stock.cli import photo_files
    from stock.wood.face_photo import FACE, measure_face
    from stock.yard.photographing import Photograph

    file = photo_files.read(photo)
    measures = measure_face(file.picture, part or FACE, told)
    return Photograph(file.name, file.sha256, measures), (*file.warnings, *measures.doubts)


def without_folders(here: "Desk") -> "Desk":
    """The desk, its words naming a photograph without the folders it lies in: those are no business of the book."""
    words: list[str] = []
    rest = list(here.words)
    while rest:
        word = rest.pop(0)
        name, is_whole, value = word.partition("=")
        if name != "--photo":
            words.append(word)
            continue
        parts = [value] if is_whole else []
        while rest and not rest[0].startswith("-"):
            parts.append(rest.pop(0))
        words += [name, Path(" ".join(parts)).name]
    return dataclasses.replace(here, words=tuple(words))


def document(photo: "Photograph", kept: "Kept") -> dict[str, Any]:
    """A photograph for programs."""
    found = photo.measures
    return {
        "file": photo.name,
        "sha256": photo.sha256,
        "lab": found.lab,
        "lab_sd": found.lab_sd,
        "card": found.card or None,
        "lab_kept": kept.lab is not None,
        "why_lab_not_kept": kept.why_no_colour or None,
        "surface": kept.columns["surface"],
        "contrast": found.contrast,
        "grain_deg": found.grain_deg,
        "grain_strength": found.grain_strength,
    }


def lines(mark: str, photo: "Photograph", kept: "Kept") -> Iterator[str]:
    """A photograph for a person."""
    found = photo.measures
    if found.lab:
        lightness, red, yellow = found.lab
        how = "colour" if found.card else "colour as photographed"
        give = f", give or take {found.lab_sd:.0f}" if found.lab_sd is not None and kept.lab else ""
        yield f"{how}: lightness {lightness:.0f}, red {red:.0f}, yellow {yellow:.0f} (CIELAB){give}"
    if kept.lab:
        yield f"  kept, to compare with other {kept.columns['surface']} faces ({found.card})"
    else:
        yield f"  no colour is kept: {kept.why_no_colour}"
    yield f"contrast: {found.contrast:.1f} (how far its lightness spreads, of 100)"
    yield from _grain_lines(mark, photo, kept)


def _grain_lines(mark: str, photo: "Photograph", kept: "Kept") -> Iterator[str]:
    found = photo.measures
    if found.grain_deg is None:
        yield f"lines: no one way (strength {found.grain_strength:.2f} of 1)"
        return
    off = abs(found.grain_deg)
    way = "" if off < 0.5 else " anticlockwise" if found.grain_deg > 0 else " clockwise"
    side = "the long side" if found.along_long_side else "the level"
    how = "clear" if found.grain_strength >= CLEAR else "weak"
    yield f"lines: {off:.0f} degrees{way} off {side}; {how} (strength {found.grain_strength:.2f} of 1)"
    if kept.columns["grain_deg"] is None:
        yield "  on end grain these are the rings: no direction of the grain is kept"
    elif not found.along_long_side or found.grain_strength < CLEAR:
        return
    elif off >= ACROSS_DEG:
        yield f"  they run across the piece. Curl? You decide: rick figure {mark} curl"
    elif off >= STRAIGHT_DEG:
        yield f"  if that side is true to the piece: rick figure {mark} --run-out {1 / tan(radians(off)):.0f}"


def _card(text: str, at: str) -> "Card":
    from stock.wood.grey_card import CARDS, CORNERS, Card

    plain = text.strip().lower().replace("gray", "grey").removesuffix("card").strip()
    found = re.fullmatch(r"([0-9]{1,3}(?:[.,][0-9]+)?) ?%", plain)
    if found:
        share = float(found[1].replace(",", ".")) / 100
    elif plain in CARDS:
        share = CARDS[plain]
    else:
        raise Unclear(f'--card "{text}" is no card.', hint="It is grey, white, or what its maker says, such as 18%.")
    corner = "-".join(at.lower().replace("-", " ").split())
    if not at:
        return Card(plain, share)
    if corner in CORNERS:
        return Card(plain, share, CORNERS[corner], f"the {corner} corner")
    return Card(plain, share, _area("--card-at", at), f"the part {at}")


def _area(option: str, text: str) -> "Area":
    """Four percentages: left, top, right, bottom."""
    from stock.wood.picture import Area

    parts: Sequence[str] = [part for part in re.split(r"[,;\s]+", text.replace("%", " ").strip()) if part]
    if len(parts) != 4 or not all(re.fullmatch(r"[0-9]{1,3}(?:[.][0-9]+)?", part) for part in parts):
        corner = "a corner such as top-left, or " if option == "--card-at" else ""
        raise Unclear(
            f'{option} "{text}" is no part of a picture.',
            hint=f"It is {corner}left, top, right, bottom in percent of the picture: 20,20,80,80.",
        )
    return Area(*(float(part) / 100 for part in parts))
