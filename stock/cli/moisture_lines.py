"""What is said of a moisture section, and of what a meter showed."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from stock.cli import desk
from stock.cli.printing import harmless, mass_words, moisture, moisture_of
from stock.dates import day_words
from stock.survey.courses import Dryness
from stock.survey.grounds import TOLD_SHARE
from stock.typed import Typed
from stock.wood.moisture import Z_80, balance_sd_g, section_sd_pct
from stock.writing import both_masses, write_temp

if TYPE_CHECKING:
    from stock.yard.metering import Metered
    from stock.yard.ovening import OvenDone
TELLING_PCT = 0.5  # a correction of less is not told


def _section_range(done: "OvenDone", step_g: float | None) -> tuple[float, float] | None:
    """The 80 % range of the section's own moisture, by its scales alone, percent."""
    if done.mc_pct is None or done.dry_g is None:
        return None
    half = Z_80 * section_sd_pct(done.wet_g, done.dry_g, balance_sd_g(step_g or 0.1))
    return max(done.mc_pct - half, 0.0), done.mc_pct + half


def _dry_mass(done: "OvenDone", dryness: Dryness) -> tuple[float | None, float | None]:
    """The oven-dry mass (g) and its sd by all that is known, if the section tells of it at all."""
    if done.oven_dry_g is None:
        return None, None
    return dryness.oven_dry_g, dryness.oven_dry_sd_g


def section_document(done: "OvenDone", dryness: Dryness, step_g: float | None, *, scorched: bool) -> dict[str, Any]:
    low, high = _section_range(done, step_g) or (None, None)
    dry_g, dry_sd_g = _dry_mass(done, dryness)
    return {
        "mark": done.mark,
        "section": done.label,
        "wet_g": done.wet_g,
        "dry_g": done.dry_g,
        "in_oven": done.dry_g is None,
        "scorched": scorched,
        "section_mc_pct": done.mc_pct,
        "section_mc_low_pct": low,
        "section_mc_high_pct": high,
        "oven_dry_g": dry_g,
        "oven_dry_sd_g": dry_sd_g,
        "mc_pct": dryness.mc_pct,
        "mc_low_pct": dryness.mc_low_pct,
        "mc_high_pct": dryness.mc_high_pct,
        "verdict": dryness.verdict,
        "defects": list(done.defects),
    }


def section_lines(
    done: "OvenDone", dryness: Dryness, step_g: float | None, *, scorched: bool, after: Typed | None
) -> Iterator[str]:
    name = f"{done.mark}  section {done.label}"
    if done.dry_g is None:
        yield harmless(f"{name}: {both_masses(done.wet_g)} wet, in the oven")
        yield "Dry it until two weighings some hours apart agree; then:"
        yield f"rick oven {done.mark} --dry {done.wet_g / 1.5:.1f}g" + (
            "" if done.label == "1" else f" --label {done.label}"
        )
        return
    if done.mc_pct is None:
        yield harmless(f"{name}: {_plain(done.wet_g)} g wet, {_plain(done.dry_g)} g dry, scorched: kept, and not used")
        return
    low, high = _section_range(done, step_g) or (done.mc_pct, done.mc_pct)
    water = moisture(done.mc_pct, low, high).replace(" (", " % (")
    yield harmless(f"{name}: {_plain(done.wet_g)} to {_plain(done.dry_g)} g is {water} of dry mass")
    dry_g, dry_sd_g = _dry_mass(done, dryness)
    if dry_g is not None and dry_sd_g is not None:
        half = Z_80 * dry_sd_g
        spread = f"({max(dry_g - half, 0):.0f}-{dry_g + half:.0f})"
        unit = desk.current().unit("mass") or "g"
        own = f", {mass_words(dry_g, unit)}" if unit in ("oz", "lb") else ""
        yield f"oven-dry mass of {done.mark}: {dry_g:.0f} g {spread}{own}, by all that is known"
    if dryness.piece.gone:
        yield f"{done.mark} was dried whole: it is no longer on hand"
        return
    if dryness.mc_pct is not None and dryness.last_weighed_on is not None:
        water = moisture_of(dryness).replace(" (", " % (")
        yield f"moisture of {done.mark} {water} on {day_words(dryness.last_weighed_on)}: {dryness.verdict}"
    yield from done.defects
    if after:
        yield harmless(f"Seal the fresh end, then weigh: rick weigh {done.mark} {after.text}")
    else:
        yield f"Weigh: rick weigh {done.mark} ..."


def mean_pct(done: Sequence["Metered"]) -> float | None:
    known = [one.reading_pct for one in done if one.reading_pct is not None]
    return sum(known) / len(known) if known else None


def _plain(grams: float) -> str:
    """As fine as scales for slices show it: 60.2, 36, 60.24."""
    return f"{grams:.2f}".rstrip("0").rstrip(".")


def meter_lines(done: Sequence["Metered"], dryness: Dryness, on: str) -> Iterator[str]:
    shown = [
        f"{one.reading_pct:g} %" if one.reading_pct is not None else f"{one.beyond} {one.limit_pct:g} %" for one in done
    ]
    wood_c = done[0].wood_c
    unit = desk.current().unit("temp") or "C"
    temp = f", wood at {write_temp(wood_c, unit)}" if wood_c is not None else ""
    yield harmless(f"{done[0].mark}  meter {', '.join(shown)}{temp}{on}")
    mean, right = mean_pct(done), corrected_mean_pct(done)
    if mean is not None and len(done) > 1:
        yield f"mean {mean:.1f} %, as shown"
    if mean is not None and right is not None and wood_c is not None and abs(right - mean) >= TELLING_PCT:
        yield f"{mean:.3g} % in wood at {write_temp(wood_c, unit)} is {right:.0f} %"
    yield from _against_weight(done[0].mark, dryness)


def _against_weight(mark: str, dryness: Dryness) -> Iterator[str]:
    """What the weights say of its moisture, and whether the reading counts for that."""
    if dryness.mc_pct is None or dryness.last_weighed_on is None:
        yield "A meter feels the outer wood; a moisture section tells the whole: rick oven --help"
        return
    water = moisture_of(dryness).replace(" (", " % (")
    if any(one.kind == "meter" and one.share >= TOLD_SHARE for one in dryness.evidence):
        yield f"with it, {mark} held {water} on {day_words(dryness.last_weighed_on)}"
    elif dryness.by_density:
        rough = f"{dryness.mc_low_pct:.0f}-{dryness.mc_high_pct:.0f} %"
        yield f"its weight and its size said roughly {rough} on {day_words(dryness.last_weighed_on)}"
    else:
        yield f"its weight said {water} on {day_words(dryness.last_weighed_on)}"


def corrected_mean_pct(done: Sequence["Metered"]) -> float | None:
    """The mean of the readings corrected for the temperature of the wood, percent; None if one gives no number."""
    known = [one.corrected_pct for one in done if one.corrected_pct is not None]
    return sum(known) / len(known) if known and len(known) == len(done) else None
