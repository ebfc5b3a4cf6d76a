"""What is said of the air of a place, as it was recorded and as it is known by now."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from stock.cli import desk
from stock.cli.printing import harmless, mass_words
from stock.dates import day_words
from stock.survey.airs import PlaceAir
from stock.survey.climates import TOLD_SD_PCT
from stock.writing import write_temp

if TYPE_CHECKING:
    from stock.yard.airing import Aired, AirRow
    from stock.yard.reference_blocks import BlockKept

Z_80 = 1.2816  # four chances of five lie within so many standard deviations


def air_document(done: "Aired", rows: Sequence["AirRow"], emc: Sequence[float]) -> dict[str, Any]:
    """What was recorded; `emc` is the moisture (%) at which the air of each day, or month, keeps wood."""
    return {
        "place": done.place,
        "count": done.count,
        "repeated": done.repeated,
        "differing": done.differing,
        "gaps": [{"first": first, "last": last} for first, last in done.gaps],
        "month": rows[0].month if len(rows) == 1 else None,
        "temp_c": done.temp_c,
        "rh_pct": done.rh_pct,
        "emc_pct": done.emc_pct,
        "emc_low_pct": min(emc),
        "emc_high_pct": max(emc),
        "new_places": list(done.new_places),
    }


def known_document(air: PlaceAir | None) -> dict[str, Any]:
    """What is known of the air of the place by now."""
    if air is None:
        return {"air": None}
    return {
        "air": {
            "emc_pct": air.emc_pct,
            "year_low_pct": air.low_pct,
            "year_high_pct": air.high_pct,
            "mean_90_days_pct": air.mean_pct,
            "sd_pct": air.sd_pct,
            "told_by": air.told_by,
        }
    }


def one_line(done: "Aired", row: "AirRow", on: str) -> str:
    """One reading or normal, in both units, and where wood would settle in it."""
    unit = desk.current().unit("temp") or "C"
    temp = f"{write_temp(done.temp_c, unit)} ({write_temp(done.temp_c, 'F' if unit == 'C' else 'C')})"
    at = f" in month {row.month}" if row.month is not None else on
    return harmless(f"{done.place}: {temp}, {done.rh_pct:g} %{at}: wood settles near {done.emc_pct:.1f} %")


def file_lines(done: "Aired", rows: Sequence["AirRow"], emc: Sequence[float]) -> Iterator[str]:
    """What a file held."""
    low, high = f"{min(emc):.0f}", f"{max(emc):.0f}"
    settle = f"in which wood would settle {f'at {low} to {high}' if low != high else f'near {low}'} %"
    if not done.count:
        yield harmless(f"{done.place}: nothing new in the file")
        return
    if rows[0].month is not None:
        yield harmless(f"{done.place}: {done.count} months, {settle}")
        return
    days = [row.on.last for row in rows]
    first, last = day_words(min(days)), day_words(max(days))
    when = f"of {first}" if first == last else f"from {first} to {last}"
    by_day = ", taken by the day" if len(emc) > 1 else ""
    yield harmless(f"{done.place}: {done.count} readings {when}, {settle}{by_day}")


def known_lines(air: PlaceAir | None) -> Iterator[str]:
    """What all that was told of the air of a place comes to."""
    if air is None:
        return
    year = f"{air.low_pct:.0f}-{air.high_pct:.0f} % over the year, give or take {Z_80 * air.sd_pct:.0f}"
    yield f"By all that is known its air keeps wood near {air.emc_pct:.0f} % now, {year}."
    yield harmless(f"Known: {air.told_by}.")
    yield "Wood that dries from green stops a little above that."
    if air.sd_pct > TOLD_SD_PCT * 1.2:
        if air.told_by.startswith("its reference block"):
            yield "Surer: weigh its reference block again, on fine scales."
        else:
            yield "Surer: its twelve months or a logger (--from), or a reference block (--block)."


def block_document(done: "BlockKept") -> dict[str, Any]:
    """A reference block for programs."""
    return {
        "mark": done.mark,
        "tag": done.tag or None,
        "role": "reference",
        "place": done.place,
        "oven_dry_g": done.dry_g,
        "counts_from": done.counts_from,
        "days_to_balance": done.days,
        "new": done.is_new,
        "new_places": list(done.new_places),
    }


def block_lines(done: "BlockKept") -> Iterator[str]:
    """A reference block, from when it counts, and how it is read."""
    tag = f' "{done.tag}"' if done.tag else ""
    unit = desk.current().unit("mass") or "g"
    dry = f", {mass_words(done.dry_g, unit)} oven-dry" if done.dry_g else ""
    yield harmless(f"{done.mark}{tag} is the reference block of {done.place}{dry}; no stock, no stave")
    if done.counts_from is not None:
        yield f"its weighings tell the air there from {day_words(done.counts_from)} on: rick weigh {done.mark} ..."
    if done.dry_g:
        grams = mass_words(1.12 * done.dry_g, "g")
        own = f" ({mass_words(1.12 * done.dry_g, unit)})" if unit not in ("g", "kg") else ""
        yield f"At 12 % it will weigh {grams}{own}."
