"""What is known of the moisture of one piece, in words."""

from collections.abc import Iterator

from stock.cli import desk
from stock.cli.printing import age, harmless, mass_words, moisture_of, title, wrapped
from stock.dates import day_words, short_day
from stock.survey.courses import Dryness


def dry_lines(one: Dryness) -> Iterator[str]:
    """The answer about one piece."""
    here = desk.current()
    length, mass = here.unit("length") or "mm", here.unit("mass") or "g"
    yield title(one.piece, length)
    if one.mass_g is not None and one.last_weighed_on is not None:
        yield f"{mass_words(one.mass_g, mass)} on {day_words(one.last_weighed_on)}, {age(one.weighed_days_ago)} ago"
    yield from _moisture_lines(one)
    yield from wrapped(one.judgement.why)
    if one.judgement.needs:
        yield from wrapped(one.judgement.needs)
    if one.judgement.ready:
        yield "mean moisture at target does not mean an even core: let it rest once turned"
    for doubt in one.doubts:
        yield from wrapped(harmless(doubt))
    yield from _further_lines(one)
    if one.air:
        edge = "; some of it lay beyond the handbook's table, whose edge was taken" if one.air.at_edge else ""
        yield from wrapped(
            f"air of {one.piece.place}: keeps wood near {one.air.emc_pct:.0f} % now,"
            f" {one.air.low_pct:.0f}-{one.air.high_pct:.0f} % over the year ({one.air.told_by}{edge})"
        )
    elif one.piece.place:
        yield f'air of {one.piece.place}: not told. rick air "{one.piece.place}" --temp 15C --rh 65%'


def _moisture_lines(one: Dryness) -> Iterator[str]:
    """What is known of its moisture, and from what."""
    if one.mc_pct is None or one.oven_dry_g is None or one.oven_dry_sd_g is None:
        yield f"moisture not known: {one.verdict}"
        yield _how_to_know(one)
        return
    dry_mass = f"of dry mass {one.oven_dry_g:.0f} g (sd {one.oven_dry_sd_g:.0f}): {one.verdict}"
    if one.by_density:
        yield from wrapped(f"moisture roughly {interval(one.mc_low_pct, one.mc_high_pct)} % {dry_mass}")
    else:
        yield f"moisture {moisture_of(one).replace(' (', ' % (')} {dry_mass}"
    told = [f"{harmless(e.words)} ({100 * e.share:.0f} %)" for e in one.evidence[:4] if e.share >= 0.1]
    rough = "rough: known from " if one.by_density else "known from "
    yield from wrapped(f"{rough}{', '.join(told)}{'; oven-dry a section' if one.by_density else ''}")


def _further_lines(one: Dryness) -> Iterator[str]:
    """What one more section would bring, what is still in the oven, and why another section does not count."""
    more = one.further
    for label, day in more.in_oven:
        named = "" if label == "1" else f" --label {label}"
        slice_ = f"a slice of it is still in the oven (section {label}, cut {short_day(day)})"
        yield from wrapped(harmless(f"{slice_}: rick oven {one.piece.mark} --dry ...{named}"))
    if more.narrowed and not one.judgement.ready and not more.in_oven:
        then = f"{interval(*more.narrowed.then_pct)} %"
        if more.narrowed.now_pct is None:
            low, high = more.narrowed.then_pct
            told = f"{more.narrowed.which} would tell its moisture within about {(high - low) / 2:.0f} points"
        else:
            told = f"{more.narrowed.which} would narrow {interval(*more.narrowed.now_pct)} % to {then}"
        if more.narrowed.by_sister:
            mark, by_sister = more.narrowed.by_sister
            told += f", one of {mark} to {interval(*by_sister)} %"
        yield from wrapped(told)
    if more.not_counted:
        yield from wrapped(harmless(more.not_counted))


def interval(low: float | None, high: float | None) -> str:
    """`13-20`, of points; one decimal where they are less than two apart."""
    if low is None or high is None:
        return "-"
    digits = 1 if high - low < 2 else 0
    return f"{low:.{digits}f}-{high:.{digits}f}"


def _how_to_know(one: Dryness) -> str:
    mark = one.piece.mark
    if one.oven_dry_g is not None and one.by_density:
        return f"its dry mass is roughly {one.oven_dry_g:.0f} g, by its wood and size; weigh it: rick weigh {mark} ..."
    if one.oven_dry_g is not None:
        return f"dry mass {one.oven_dry_g:.0f} g is known from {one.basis}; weigh it: rick weigh {mark} ..."
    if one.last_weighed_on is None:
        return f"weigh it (rick weigh {mark} ...) and oven-dry a slice of it: rick oven {mark} --wet ... --dry ..."
    return (
        f"missing: its oven-dry mass. Oven-dry a 25 mm slice of it or of a sister:\n"
        f"  rick oven {mark} --before 500g --wet 60.2g --dry 40.1g --after 440g"
    )
