"""What is known of the moisture of one piece, in words."""

from collections.abc import Iterator

from stock.cli import desk
from stock.cli.printing import age, harmless, mass_words, moisture_of, title, wrapped
from stock.dates import day_words
from stock.survey.courses import Dryness


def dry_lines(one: Dryness) -> Iterator[str]:
    """The answer about one piece."""
    here = desk.current()
    length, mass = here.unit("length") or "mm", here.unit("mass") or "g"
    yield title(one.piece, length)
    if one.mass_g is not None and one.last_weighed_on is not None:
        yield f"{mass_words(one.mass_g, mass)} on {day_words(one.last_weighed_on)}, {age(one.weighed_days_ago)} ago"
    if one.mc_pct is not None and one.oven_dry_g is not None and one.oven_dry_sd_g is not None:
        yield (
            f"moisture {moisture_of(one).replace(' (', ' % (')} of dry mass"
            f" {one.oven_dry_g:.0f} g (sd {one.oven_dry_sd_g:.0f}): {one.verdict}"
        )
        told = [f"{harmless(e.words)} ({100 * e.share:.0f} %)" for e in one.evidence[:4] if e.share >= 0.1]
        yield from wrapped(f"known from {', '.join(told)}")
    else:
        yield f"moisture not known: {one.verdict}"
        yield _how_to_know(one)
    yield from wrapped(one.judgement.why)
    if one.judgement.needs:
        yield from wrapped(one.judgement.needs)
    if one.air:
        edge = "; some of it lay beyond the handbook's table, whose edge was taken" if one.air.at_edge else ""
        yield from wrapped(
            f"air of {one.piece.place}: keeps wood near {one.air.emc_pct:.0f} % now,"
            f" {one.air.low_pct:.0f}-{one.air.high_pct:.0f} % over the year ({one.air.told_by}{edge})"
        )
    elif one.piece.place:
        yield f'air of {one.piece.place}: not told. rick air "{one.piece.place}" --temp 15C --rh 65%'


def _how_to_know(one: Dryness) -> str:
    mark = one.piece.mark
    if one.oven_dry_g is not None:
        return f"dry mass {one.oven_dry_g:.0f} g is known from {one.basis}; weigh it: rick weigh {mark} ..."
    if one.last_weighed_on is None:
        return f"weigh it (rick weigh {mark} ...) and oven-dry a slice of it: rick oven {mark} --wet ... --dry ..."
    return (
        f"missing: its oven-dry mass. Oven-dry a 25 mm slice of it or of a sister:\n"
        f"  rick oven {mark} --before 500g --wet 60.2g --dry 40.1g --after 440g"
    )
