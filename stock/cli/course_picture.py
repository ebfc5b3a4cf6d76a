"""The picture of one piece, in the units of the book: what is drawn of its weighings, its forecast and its target."""

from collections.abc import Sequence
from datetime import date

from stock.cli.course_chart import Height, Picture
from stock.survey.courses import Dryness
from stock.survey.futures import Arrival, Future
from stock.survey.pictured import Placed
from stock.writing import G_PER_OZ

LEAST_AHEAD_DAYS, YEAR_DAYS = 60, 365
MARGIN = 1.1  # beyond the last date shown, so that it does not stand at the edge
LATE_SHOWN = 2.0  # the late date is shown up to so many times the way to the likely one


def picture_of(dryness: Dryness, future: Future | None, weighings: Sequence[Placed], mass_unit: str) -> Picture | None:
    """What is to be drawn; None if the piece was never weighed.

    Args:
        dryness: the piece, for its target and whether its moisture is known.
        future: its future, with a curve; None draws the weighings alone.
        weighings: its weighings, as `pictured.placed` gives them.
        mass_unit: the book's unit of weights, for a piece whose moisture is not known.
    """
    if not weighings:
        return None
    moist = dryness.oven_dry_g is not None
    unit, size_g = ("%", 1.0) if moist else _mass(mass_unit)
    weighed = [
        (float(one.on.toordinal()), one.mc_pct if moist and one.mc_pct is not None else one.net_g / size_g)
        for one in weighings
    ]
    told = future.forecast if future else None
    if future is None or told is None or told.last_day is None:
        target = dryness.target.mc_pct if moist else None
        return Picture(weighed, unit, target=target, target_words=f"target {dryness.target.mc_pct:g} %")
    aim = future.enough if future.enough and future.enough.likely and not _comes(future.target) else future.target
    spreads = [(p.day, p.mc_pct if moist else p.net_g) for p in told.curve]
    curve = [Height(day, s.low / size_g, s.median / size_g, s.high / size_g) for day, s in spreads]
    dates = (aim.early, aim.likely, aim.late) if aim and _ahead(aim.likely, told.last_day) else (None, None, None)
    early, likely, late = (_ahead(day, told.last_day) for day in dates)
    mc_pct = aim.mc_pct if aim else None
    return Picture(
        weighed=weighed,
        unit=unit,
        curve=curve,
        last_day=told.last_day,
        until=_until(min(day for day, _ in weighed), told.last_day, likely, late),
        target=mc_pct if moist else None,
        target_words="" if mc_pct is None else f"{'dry enough,' if aim is future.enough else 'target'} {mc_pct:.3g} %",
        dates=(early, likely, late),
    )


def _comes(one: Arrival | None) -> bool:
    return one is not None and one.likely is not None


def _ahead(day: date | None, last_day: float) -> float | None:
    """A date to come after the last weighing; None for one that was, or never is."""
    return float(day.toordinal()) if day is not None and day.toordinal() > last_day + 1 else None


def _until(first: float, last: float, likely: float | None, late: float | None) -> float:
    """The last day shown: the way to the target, or, where it is not reached, a year to see the seasons."""
    if likely is None:
        return last + YEAR_DAYS
    farthest = late if late is not None and late - first <= LATE_SHOWN * (likely - first) else likely
    return max(first + MARGIN * (farthest - first), last + LEAST_AHEAD_DAYS)


def _mass(unit: str) -> tuple[str, float]:
    """The unit in which weights are drawn, and its size in g; pounds are drawn in ounces, which have decimals."""
    return {"kg": ("kg", 1000.0), "oz": ("oz", G_PER_OZ), "lb": ("oz", G_PER_OZ)}.get(unit, ("g", 1.0))
