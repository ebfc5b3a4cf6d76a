"""Whether a piece is dry enough to be turned and glued: the verdict, its reason, and what is missing.

The verdict is about moisture alone. Soundness and size stand beside it, and nothing here says that a piece may be
turned. The verdicts are tried in order and the first that applies is given:

An estimate with more than 5 points to its upper end that does not rule the target out is rough: it is shown, but the
verdict is given as if nothing told the moisture content.

* `contradictory`: facts that cannot all be true were found, or it weighs less than its own dry wood.
* `not judged`: never weighed.
* `cannot tell`: the scales are too coarse, or the weighings too few. Not so for few weighings if the moisture content
  decides by itself: clearly too wet (`drying`), or at the target with its whole interval (`dry enough`, told to be by
  its section alone), or if two weighings already show a change that the scales cannot explain.
* `re-weigh`: last weighed more than 12 months ago if it was steady in a heated place and has not moved, otherwise more
  than 3 months ago, be it wet or dry; more than two weeks ago if it was dry enough then and has since moved to where
  the air keeps wood wetter than the target, or to where no air is recorded and nothing is heated.
* `drying`: losing weight, unless slowly (1 % a month at most) and already at the target, or in balance. Also a
  piece of few weighings that is clearly too wet.
* `getting wetter`: gaining weight beyond what its place's air explains. A piece more than the band drier than the
  target may gain.
* `in balance`: ready. Gaining, or losing and as light as once before, with a moisture content that stayed inside the
  yearly swing of the place, give or take a point, and is near the target; so a shop in July is not empty. Where no
  swing is recorded, 2 points either side of the place's air are taken (common practice, no source); where no air is,
  the change may be 1 % a month. Near the target is as for dry enough; one point more where the middle of the place's
  year lies within the band of it. If the moisture content is unknown, the middle of the place's year must lie within
  the band, and the change be no larger than the swing. Never for a piece coated all over.
* `stable, moisture unknown`: steady, but neither evidence nor air tells how dry, or the evidence only roughly; or
  coated all over, so that being steady proves nothing; or it was steady before it moved.
* `stable, too wet`: steady, but only as dry as its place makes it.
* `drier than target`: ready; more than the band below the target.
* `dry enough`: ready. The estimate is at most 2 points above the target and its upper end at most 3; or it has been
  steady since it came to a place whose recorded air keeps wood within 2 points of the target, whatever is thought of
  its dry mass.

The clock of steadiness starts anew at a move, as other air sets wood moving again; a change that only the weighings
before and after the move together show still counts. The limits are common practice made exact; the 2 points about the
place of use follow university extension advice relayed in the trade.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from stock.errors import Unknown
from stock.wood.case import Case, Cover, Look
from stock.wood.steady import Steadiness

__all__ = ["READY", "TARGETS_PCT", "Case", "Cover", "Judgement", "Verdict", "judge", "named_target"]

Verdict = Literal[
    "contradictory",
    "not judged",
    "cannot tell",
    "re-weigh",
    "drying",
    "getting wetter",
    "in balance",
    "stable, moisture unknown",
    "stable, too wet",
    "drier than target",
    "dry enough",
]
READY: frozenset[Verdict] = frozenset({"in balance", "drier than target", "dry enough"})

TARGETS_PCT = {"dry inland": 6.0, "heated house": 8.0, "British or Irish house": 10.0, "damp coast": 11.0}
QUARTER_DAYS, YEAR_DAYS = 92, 366  # three and twelve calendar months at their longest
MOVED_DAYS = 14  # in damper air dry wood takes up water within weeks; common practice, no source


@dataclass(frozen=True, slots=True)
class Judgement:
    """A verdict: whether it counts as ready, why in one sentence, the steadiness behind it (None if never weighed),
    the age of the last weighing in days, and what is missing or to do ("" if nothing)."""

    verdict: Verdict
    ready: bool
    why: str
    steadiness: Steadiness | None
    weighed_days_ago: int | None
    needs: str


def named_target(name: str) -> float:
    """The moisture content to aim at for a kind of place.

    Args:
        name: "dry inland", "heated house", "British or Irish house" or "damp coast".

    Returns:
        Percent of oven-dry mass: 6, 8, 10, 11.

    Raises:
        Unknown: another name.

    Source:
        6, 8 and 11: Wood Handbook Fig. 13-1, interior wood in the United States (as quoted). 10: the middle of the 9 to
        12 of trade guidance for 50 to 60 % humidity.
    """
    for known, target_pct in TARGETS_PCT.items():
        if known.casefold() == " ".join(name.split()).casefold():
            return target_pct
    names = ", ".join(TARGETS_PCT)
    raise Unknown(f'no target is called "{name}"', hint=f"One of {names}; or a figure: 8%.", code="unknown-target")


def judge(case: Case) -> Judgement:
    """The first verdict that applies, by the rules at the head of this file."""
    look = Look(case)
    for verdict, rule in _RULES:
        found = rule(look)
        if found:
            why, needs = found
            return Judgement(verdict, verdict in READY, why, look.looked if look.known else None, look.age_days, needs)
    raise AssertionError("the last rule always applies")


Found = tuple[str, str] | None  # why, and what is missing


def _contradictory(look: Look) -> Found:
    mc = look.mc
    under = ("it weighs less than its own dry wood would",) if look.known and mc and mc[2] < 0 else ()
    why = "; ".join((*look.case.contradictions, *under))
    return (why, "look at the piece, its trims and the units; weigh it again") if why else None


def _not_judged(look: Look) -> Found:
    return None if look.known else ("it was never weighed", "weigh it")


def _cannot_tell(look: Look) -> Found:
    why = look.looked.why + look.since_move
    if look.word == "scales too coarse":
        return why, "weigh it on finer scales: two steps must be less than 1 % of its weight"
    if look.word != "too few" or look.at_target or look.clearly_wet:
        return None
    if look.mc is None:
        return f"{why}; {look.moisture()}", "weigh it again, or cut a moisture section"
    return f"{look.moisture()}: too close to say, and {why}", "weigh it again"


def _re_weigh(look: Look) -> Found:
    lasting = look.word == "steady" and look.case.place_cover == "heated" and not look.moved_after
    limit = MOVED_DAYS if look.now_in_damper_air else YEAR_DAYS if lasting else QUARTER_DAYS
    if look.age_days is None or look.age_days <= limit:
        return None
    moved = ", before it moved" if look.moved_after else ""
    return f"last weighed {look.age_days} days ago{moved}; then: {look.moisture()}", "weigh it again"


def _drying(look: Look) -> Found:
    if look.word == "too few" and look.clearly_wet:
        return f"{look.moisture()}", "weigh it again every few weeks"
    if look.word != "losing" or (look.at_target and look.slow) or look.seasonal():
        return None
    return f"{look.looked.why}; {look.moisture()}", "weigh it again every few weeks"


def _getting_wetter(look: Look) -> Found:
    if look.word != "gaining" or (look.at_target and look.too_dry) or look.seasonal():
        return None
    if look.within_swing():
        air = f"as its place does over the year ({_swing(look)})"
        return f"{look.looked.why}, {air}; {look.moisture()}", "bring it to drier air"
    air = f"more than its place explains ({_swing(look)})" if look.swing else "and no air is recorded that explains it"
    needs = "look for rain, a damper place, another piece or other scales; weigh it again"
    return f"{look.looked.why}, {air}; {look.moisture()}", needs


def _in_balance(look: Look) -> Found:
    if not look.seasonal():
        return None
    air = f"its place swings between {_swing(look)} in a year" if look.swing else "slowly, as the seasons do"
    return f"{look.looked.why}; {air}; {look.moisture()}", ""


def _moisture_unknown(look: Look) -> Found:
    close = look.mc is not None and look.mc[0] <= look.reach and not look.at_target
    if look.word != "steady" or look.settled_air is not None or not (look.mc is None or close):
        return None
    why = f"steady ({look.looked.why}), but "
    if look.rough or close:
        return f"{why}its moisture is known too roughly: {look.moisture()}", "cut a moisture section"
    if look.case.waxed_all_over:
        return f"{why}coated all over, so that drying would hardly show", "cut a moisture section"
    if look.moved_after:
        return f"{why}that was before it moved", "weigh it again here, or cut a moisture section"
    return f"{why}nothing tells how dry", "record the air of its place, or cut a moisture section"


def _too_wet(look: Look) -> Found:
    if look.word != "steady" or look.at_target or (look.settled_air is not None and look.settled_air <= look.reach):
        return None
    outside = look.case.place_cover in ("open", "roofed", "unheated")
    place = "this shed" if outside else "its place"
    needs = "bring it indoors" if outside else "move it to drier air"
    if look.air is not None and look.air > look.reach:
        return f"steady, but only as dry as {place}, where wood stays near {look.air:.0f} %; {look.moisture()}", needs
    return f"steady, but too wet: {look.moisture()}", needs


def _drier(look: Look) -> Found:
    low = look.case.target_pct - look.case.target_band
    needs = "let it rest where it will live before it is glued"
    if look.at_target:
        return (f"{look.moisture()}: it will take up moisture", needs) if look.too_dry else None
    if look.settled_air is not None and look.settled_air < low:
        return f"steady where the air keeps wood at {look.settled_air:.0f} %; {look.moisture()}", needs
    return None


def _dry_enough(look: Look) -> Found:
    if not look.at_target:
        doubt = "; its own dry mass says otherwise" if look.clearly_wet else ""
        return f"steady where the air keeps wood near {look.settled_air or 0:.0f} %{doubt}; {look.moisture()}", ""
    if look.word == "too few":
        return f"{look.moisture()}; by its dry mass alone, as {look.looked.why}{look.since_move}", "weigh it again"
    return f"{look.moisture()}; {look.looked.why}", ""


def _swing(look: Look) -> str:
    low, high = look.swing or (0.0, 0.0)
    return f"{low:.0f} and {high:.0f} %"


_RULES: tuple[tuple[Verdict, Callable[[Look], Found]], ...] = (
    ("contradictory", _contradictory),
    ("not judged", _not_judged),
    ("cannot tell", _cannot_tell),
    ("re-weigh", _re_weigh),
    ("drying", _drying),
    ("getting wetter", _getting_wetter),
    ("in balance", _in_balance),
    ("stable, moisture unknown", _moisture_unknown),
    ("stable, too wet", _too_wet),
    ("drier than target", _drier),
    ("dry enough", _dry_enough),
)
