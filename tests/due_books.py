"""Books of which something is due: blanks that dry by a known curve, and what is asked of them."""

import json
import shlex
from collections.abc import Sequence
from datetime import date, timedelta
from math import exp

from desk_side import Rick, Said
from said import TODAY

from stock.book import opening
from stock.book.facts import facts
from stock.survey.courses import Reckoning
from stock.survey.duties import Duties
from stock.survey.filters import Filter

SAWN = date(2025, 12, 2)
DRY_G, EMC, GREEN_OVER, DAYS = 360, 0.12, 0.50, 45  # of the curve: 62 % when sawn, slower by half every 31 days
EARLY, LATE = (10, 20, 30, 40), (10, 25, 45, 70, 100, 150)
SHED = (
    "book units metric",
    "air shed --temp 20C --rh 65% --on 2025-12-02",
    "move --place shed --walk 2 --on 2025-12-02",
)


def mass_g(days: float) -> float:
    """What a blank weighs so many days after it was sawn: exponential drying to the moisture of its air."""
    return DRY_G * (1 + EMC + GREEN_OVER * exp(-days / DAYS))


def drying(mark: str, days: Sequence[int] = LATE, *, place: str = "shed / rack 2", more: str = "") -> list[str]:
    """The commands of a blank that was weighed on some days after it was sawn."""
    told = [
        f"add --kind blank --species 'black cherry' --square 51mm --length 330mm --place '{place}' --on {SAWN} {more}",
        f"oven {mark} --before 648g --wet 64.8g --dry 40g --after 583g --length 297mm --on {SAWN}",
    ]
    return told + [f"weigh {mark} {mass_g(one):.0f}g --on {SAWN + timedelta(days=one)}" for one in days]


def tell(rick: Rick, *commands: str, today: date = TODAY) -> None:
    """Run commands that must succeed."""
    for command in commands:
        said = rick(*shlex.split(command), today=today)
        assert said.code == 0, f"{command}: {said.err}"


def due(rick: Rick, on: date, *words: str) -> dict[str, dict[str, object]]:
    """What `rick due` gives, by mark."""
    said: Said = rick("due", "--json", *words, today=on)
    assert said.code == 0, said.out
    return {one["mark"]: one for one in json.loads(said.out)}


def duties(rick: Rick, on: date, *, foretell: bool = True) -> Duties:
    """The duties of a book on a day."""
    with opening.reading(rick.book) as connection:
        return Duties(Reckoning(facts(connection, on)), Filter(), foretell=foretell)
