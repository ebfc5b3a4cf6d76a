"""How well the dates of the past were kept: asked for, counted with a word on progress, and told."""

import time
from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

from stock.cli.desk import Desk
from stock.cli.printing import wrapped
from stock.errors import Misused
from stock.survey.courses import Reckoning
from stock.survey.past_forecasts import MANY, SCORED, Past, Score, past_forecasts, score_of
from stock.wood.drying import AboveAir, LosingLess, Target

_PATIENCE_S, _AGAIN_S = 1.0, 5.0


def pasts_of(here: Desk, reckoning: Reckoning, piece_ids: Sequence[int], aim: Target) -> list[Past]:
    """The forecasts of the past for some pieces, with word of how far it is when it takes longer than a second.

    Raises:
        Misused: a target that is no moisture content.
    """
    from stock.book.facts import Facts, facts
    from stock.survey.learning import ids_to_read

    if isinstance(aim, LosingLess):
        raise Misused(
            "How often the dates were kept goes by moisture.", hint="Give --target 10% or emc+2, or none with --score."
        )

    def as_of(on: date, ids: Sequence[int]) -> Facts:
        with here.reading() as connection:
            return facts(connection, on, [*ids, *ids_to_read(connection, on)])

    found: list[Past] = []
    say_at = time.monotonic() + _PATIENCE_S
    for done, days, pasts in past_forecasts(reckoning, as_of, piece_ids, aim):
        found += pasts
        if time.monotonic() > say_at:
            here.say(f"looking back: {done} of {days} days of weighing")
            say_at = time.monotonic() + _AGAIN_S
    return found


def score_document(pasts: Sequence[Past], aim: Target) -> dict[str, Any]:
    """The document of `rick dry --score --json`."""
    return {
        "target": _aim_words(aim),
        **_counts(score_of(pasts)),
        "few_weighings": _counts(score_of(_few(pasts))),
        "many_weighings": _counts(score_of(_many(pasts))),
        "past": [
            {
                "mark": one.mark,
                "on": one.on,
                "weighings": one.weigh_ins,
                "early": one.early,
                "likely": one.likely,
                "late": one.late,
                "reached": one.reached,
                "fell": one.fell,
            }
            for one in pasts
        ],
    }


def score_lines(pasts: Sequence[Past], aim: Target) -> Iterator[str]:
    """How often the dates were kept, in words."""
    yield from wrapped(f"Dates that would have been given at each weighing, from the third on, for {_aim_words(aim)}:")
    whole = score_of(pasts)
    if not whole.told:
        so_far = f"{_many_of(whole.forecasts, 'forecast')} of {_many_of(whole.pieces, 'piece')}"
        yield from wrapped(f"too few to say: {so_far} came to their day so far")
        yield from wrapped("One counts once the piece got there, was weighed about that day, and was not moved since.")
        return
    yield from wrapped(
        f"of {whole.forecasts} forecasts for {_many_of(whole.pieces, 'piece')}, {whole.inside} fell inside the 80 %"
        f" range ({100 * whole.inside / whole.forecasts:.0f} %)"
    )
    yield from wrapped(f"{whole.sooner} came sooner, {whole.later} later{_overdue(whole)}")
    if aim != SCORED:
        yield from wrapped("The nearer to what its air allows, the less a day can be told, and the better this looks.")
    for some, words in ((_few(pasts), f"3 to {MANY - 1} weighings"), (_many(pasts), f"{MANY} weighings and more")):
        yield from wrapped(_line(score_of(some), words))


def _line(score: Score, words: str) -> str:
    if not score.told:
        return f"  by {words}: too few to say ({score.forecasts})"
    off = ""
    if score.median_off_days is not None and score.lean_days is not None:
        way = "later" if score.lean_days > 0 else "sooner"
        lean = f", on the whole {abs(score.lean_days):.0f} days {way} than told" if abs(score.lean_days) >= 1 else ""
        off = f"; likely day off by {score.median_off_days:.0f} days (median){lean}"
    return f"  by {words}: {score.inside} of {score.forecasts} inside{off}"


def _overdue(score: Score) -> str:
    return f" ({score.overdue} of these not yet, though weighed after their late day)" if score.overdue else ""


def _few(pasts: Sequence[Past]) -> list[Past]:
    return [one for one in pasts if one.weigh_ins < MANY]


def _many(pasts: Sequence[Past]) -> list[Past]:
    return [one for one in pasts if one.weigh_ins >= MANY]


def _counts(score: Score) -> dict[str, Any]:
    return {
        "forecasts": score.forecasts,
        "pieces": score.pieces,
        "inside": score.inside,
        "sooner": score.sooner,
        "later": score.later,
        "overdue": score.overdue,
        "enough_to_say": score.told,
        "median_off_days": score.median_off_days,
        "lean_days": score.lean_days,
    }


def _aim_words(aim: Target) -> str:
    if isinstance(aim, AboveAir):
        return f"{aim.points:g} points above what the air of its place keeps wood at"
    return f"{getattr(aim, 'mc_pct', 0):g} %"


def _many_of(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"
