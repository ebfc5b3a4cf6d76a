"""What comes out of the oven later: the weights of a section that was put into it on an earlier day."""

from collections.abc import Sequence

from stock.book.journal import Page
from stock.book.kinds import SectionFact
from stock.book.naming import Names, fold
from stock.book.records import Section
from stock.dates import When
from stock.errors import Ambiguous, Impossible, NotNow
from stock.typed import Typed
from stock.wood.moisture import mc_pct
from stock.yard.drying import Slice, check_falling, remarks
from stock.yard.in_hand import Held, at, hold
from stock.yard.ovening import OvenDone, oven_rows, with_dry_mass


def oven_result(
    page: Page,
    *,
    piece: str,
    dry: Typed | None,
    on: When,
    label: str = "",
    oven_weights: Sequence[Typed] = (),
    scorched: bool = False,
    names: Names | None = None,
) -> OvenDone:
    """Add what a section weighed since it was put into the oven.

    Args:
        page: the page that is being written.
        piece: the piece it was cut from.
        dry: oven-dry, g; None adds `oven_weights` only.
        on: the day of the weighing.
        label: which section; "" is the only one still in the oven.
        oven_weights: weights on the way, g.
        scorched: it smoked or browned: kept, but not used.
        names: the names of the book, if they are at hand.

    Raises:
        NotNow: no section of the piece is in the oven, or not this one.
        Ambiguous: several are, and none was named.
        Impossible: above wet or above an earlier oven weight, or a day before it was cut.
    """
    held = hold(page, piece, on, "read", names=names, needs="nothing")
    section = _in_oven(held, label)
    row = page.session.get(Section, section.id)
    assert row is not None
    if row.on_first is not None and on.last < row.on_first:
        cut = at(When(row.on_first, row.on_last, row.on_text))
        raise Impossible(
            f"section {section.label} of {held.mark} weighed {at(on)}, but it was cut {cut}.",
            hint="One of the two dates is wrong.",
            piece=held.mark,
        )
    so_far = [one.mass_g for one in held.pieces.facts.ovens.get(section.id, ())]
    check_falling(held.mark, section.wet_g, oven_weights, dry, section.step_g, so_far)
    page.put_all(oven_rows(section.id, oven_weights, dry, section.step_g, on))
    if scorched and not section.scorched:
        page.alter(row, scorched=True)
    what = Slice(Typed(section.wet_g, ""), dry, tuple(oven_weights), scorched=scorched or section.scorched)
    done = OvenDone(
        id=section.id,
        mark=held.mark,
        label=section.label,
        wet_g=section.wet_g,
        dry_g=dry.value if dry else None,
        mc_pct=mc_pct(section.wet_g, dry.value) if dry and not what.scorched else None,
        oven_dry_g=None,
        oven_dry_sd_g=None,
        defects=(),
        warnings=remarks(held, what, section.step_g, so_far),
    )
    return done if done.mc_pct is None else with_dry_mass(page, done, held.id, on)


def _in_oven(held: Held, label: str) -> SectionFact:
    """The section of a piece that has no oven-dry weight yet."""
    ovens = held.pieces.facts.ovens
    sections = held.pieces.facts.sections.get(held.id, ())
    if label and not any(fold(one.label) == fold(label) for one in sections):
        labels = ", ".join(one.label for one in sections) or "none"
        raise NotNow(f'{held.mark} has no section "{label}".', hint=f"Its sections: {labels}.", piece=held.mark)
    wanted = [one for one in sections if not label or fold(one.label) == fold(label)]
    still = [one for one in wanted if not any(weight.final for weight in ovens.get(one.id, ()))]
    if not still:
        named = f"section {label}" if label else "no section"
        state = "is dry already" if label else "is in the oven"
        raise NotNow(f"{held.mark}: {named} {state}.", hint="A wrong result is mended, not added to.", piece=held.mark)
    if len(still) > 1:
        labels = ", ".join(one.label for one in still)
        raise Ambiguous(f"{held.mark} has {len(still)} sections in the oven: {labels}.", hint="Say which.")
    return still[0]
