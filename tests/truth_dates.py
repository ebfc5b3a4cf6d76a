"""When made-up blanks will be dry, by the tool and in truth, in days from the day of asking."""

from datetime import date
from typing import NamedTuple

from truth import Truth
from truth_book import Asked

from stock.survey.futures import futures

FAR_DAYS = 1500.0  # a date that is not reached counts as this far
TARGETS = ("EMC + 2", "20 %")


class Told(NamedTuple):
    """What the tool says of a blank: days to the early, likely and late date, and whether it is too wet today."""

    early: float
    likely: float
    late: float
    too_wet: bool


def wanted_pct(target: str, one: Truth, on: date) -> float:
    """A moisture content: 20 %, or 2 points above what the noted air of its place keeps wood at over the year."""
    return 20.0 if target == "20 %" else round(one.yard.places[one.place(on)].told_emc_pct + 2, 2)


def days_to(asked: Asked, on: object) -> float:
    """Days from asking to a date, none below 0; `FAR_DAYS` for no date or one farther off."""
    return min(max(float((on - asked.on).days), 0.0), FAR_DAYS) if isinstance(on, date) else FAR_DAYS


def true_days(asked: Asked, wanted: float) -> float:
    """Days until it is truly at a moisture content; 0 if it is today."""
    return 0.0 if asked.true_pct <= wanted else days_to(asked, asked.truth.first_at(wanted, asked.on))


def told(asked: Asked, wanted: float) -> Told | None:
    """What the tool says, its reckoning having the wanted moisture content for a target; None if it gives no date."""
    (future,) = futures(asked.reckoning, [asked.dryness.piece.id]).values()
    if future.target is None or future.forecast is None or future.forecast.mc_pct is None:
        return None
    when = future.target
    too_wet = future.forecast.mc_pct.median > wanted
    return Told(days_to(asked, when.early), days_to(asked, when.likely), days_to(asked, when.late), too_wet)


def stays(asked: Asked) -> bool:
    """Whether it lies where it will stay: a move that nobody could foresee is no fault of a date."""
    return asked.truth.places[-1][0] <= asked.on
