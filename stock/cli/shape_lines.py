"""What is said after a piece was sealed, trimmed, planed or treated: what it is now, and its dry mass."""

from collections.abc import Iterator
from typing import Any

from stock.book.journal import Page
from stock.cli import desk
from stock.cli.printing import harmless, moisture_of
from stock.cli.telling import counted, packed, when
from stock.dates import When
from stock.survey.courses import Dryness
from stock.writing import both_lengths, both_masses, both_squares, write_length, write_mass, write_square
from stock.yard.coating import Sealed, Treated
from stock.yard.shaping import Planed, Trimmed

MOST_MARKS_LINES = 3
KG_FROM_G = 10_000.0
ACTED = {
    "bark off": "bark taken off",
    "soak": "soaked",
    "boil": "boiled",
    "steam": "steamed",
    "glycol": "soaked in glycol",
    "resin": "soaked in resin",
    "spalt": "left to spalt",
}


def dryness(page: Page, piece: str) -> Dryness:
    """What is known of the moisture of a piece, with all that is on the page.

    Raises:
        Unknown: no such piece.
    """
    reckoning, (piece_id,) = desk.current().reckoning(page, [piece], page.today)
    return reckoning.of(piece_id)


def moisture_document(was: Dryness, now: Dryness) -> dict[str, Any]:
    """Dry mass before and after, and moisture after, for programs."""
    return {
        "oven_dry_before_g": was.oven_dry_g,
        "oven_dry_g": now.oven_dry_g,
        "mc_pct": now.mc_pct,
        "mc_low_pct": now.mc_low_pct,
        "mc_high_pct": now.mc_high_pct,
    }


def sealed_lines(done: Sealed, on: When, *, wet: bool, stored: bool) -> Iterator[str]:
    """Which pieces have which coat now, what it weighs, and the next step."""
    where = {"ends": "ends", "all": "all over", "face": "a face"}[done.where]
    coats = counted(done.coats, "coat")
    what = "coat taken off" if done.off else f"{where} sealed: {done.coat}, {coats}"
    if done.where == "all" and not done.off:
        what = f"sealed {where}: {done.coat}, {coats}"
    if len(done.marks) == 1:
        yield harmless(f"{done.marks[0]}  {what}{when(on)}")
    else:
        yield harmless(f"{counted(len(done.marks), 'piece')}: {what}{when(on)}")
        yield from packed(" ", done.marks, MOST_MARKS_LINES, "... {} more")
    if done.coat_g:
        verb = "weighed" if done.off else "weighs"
        state = "" if done.off else " wet" if wet else " dry"
        yield f"the coat {verb} {both_masses(abs(done.coat_g))}{state}; it never counts as wood"
    if stored and not done.off and (wet or done.coat_g is None):
        yield f"Next: weigh when the coat is dry: rick weigh {done.marks[0]} ..."
    elif stored and done.off:
        yield f"Next: weigh now; a new course starts: rick weigh {done.marks[0]} ..."


def trimmed_lines(done: Trimmed, was: Dryness, now: Dryness, on: When, *, stored: bool) -> Iterator[str]:
    """How short it is, what that did to dry mass and defects, and the next step."""
    unit = desk.current().unit("length") or "mm"
    came_from = f" from {write_length(done.length_before_mm, unit)}" if done.length_before_mm else ""
    to = f" to {both_lengths(done.length_after_mm, unit)}" if done.length_after_mm else ""
    yield f"{done.mark}  trimmed{came_from}{to}{when(on)}{_agreement(done.agree, 'length', done)}"
    yield from _dry_line(was, now, "a trim does not dry wood")
    for told in done.defects[:2]:
        yield harmless(told)
    if stored:
        yield f"Fresh ends: rick seal {done.mark}, then weigh it; that weight starts the new course."


def planed_lines(done: Planed, was: Dryness, now: Dryness, on: When, *, stored: bool) -> Iterator[str]:
    """Its square now, what that did to its dry mass, and the next step."""
    unit = desk.current().unit("length") or "mm"
    came_from = to = ""
    if done.width_mm and done.thickness_mm and not _same_square(done):
        to = f" to {both_squares(done.width_mm, done.thickness_mm, unit)}"
        if done.width_before_mm and done.thickness_before_mm:
            came_from = f" from {write_square(done.width_before_mm, done.thickness_before_mm, unit)}"
    act = "turned" if done.turned else "planed"
    yield f"{done.mark}  {act}{came_from}{to}{when(on)}{_agreement(done.agree, 'square', done)}"
    yield from _dry_line(was, now, f"{'turning' if done.turned else 'planing'} does not dry wood")
    if stored:
        yield f"Next: weigh it; that weight starts a new course: rick weigh {done.mark} ..."


def treated_lines(done: Treated, was: Dryness, now: Dryness, on: When, *, stored: bool) -> Iterator[str]:
    """What was done, what that did to weight and dry mass, and the next step."""
    yield f"{done.mark}  {ACTED[done.how]}{when(on)}{_weights(done)}"
    if done.loss_pct is not None:
        yield f"dry wood lost: taken as {done.loss_pct:g} %"
    if was.oven_dry_g is not None and now.oven_dry_g is None:
        yield "its dry mass is no longer known: a new section or a settled weight will tell"
    else:
        yield from _dry_line(was, now, "")
    if stored:
        yield f"Next: weigh it; that weight starts a new course: rick weigh {done.mark} ..."


def _same_square(done: Planed) -> bool:
    return (done.width_mm, done.thickness_mm) == (done.width_before_mm, done.thickness_before_mm)


def _agreement(agree: bool | None, what: str, done: Trimmed | Planed) -> str:
    if agree is None or not done.before_g or not done.after_g:
        return ""
    left = f"{100 * done.after_g / done.before_g:.0f} %"
    return f"; weight and {what} agree ({left})" if agree else f"; weight and {what} do not agree"


def _weights(done: Treated) -> str:
    if done.before_g is None or done.after_g is None:
        return ""
    unit = desk.current().unit("mass") or ("kg" if done.before_g >= KG_FROM_G else "g")
    return f": {write_mass(done.before_g, unit)} before, {write_mass(done.after_g, unit)} after"


def _dry_line(was: Dryness, now: Dryness, why: str) -> Iterator[str]:
    """`dry mass 420 g -> 356 g; moisture still 19 % (16-22): a trim does not dry wood`."""
    if was.oven_dry_g is None or now.oven_dry_g is None:
        return
    unit = desk.current().unit("mass") or "g"
    told = f"dry mass {write_mass(round(was.oven_dry_g), unit)} -> {write_mass(round(now.oven_dry_g), unit)}"
    if now.mc_pct is not None:
        still = "still " if was.mc_pct is not None and abs(now.mc_pct - was.mc_pct) < 1 else ""
        told += f"; moisture {still}{moisture_of(now).replace(' (', ' % (')}"
        told += f": {why}" if why and still else ""
    yield told
