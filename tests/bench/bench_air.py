"""A year of a logger in the book: how long it takes in, and what it does to everyday verbs. Run by hand:

    python tests/bench/bench_air.py [readings]

Everyday verbs are timed on the same book before and after; the air is read as the mean of each day, against a reading
of every row in the same run.
"""

import os
import shlex
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date, datetime, timedelta
from math import cos, pi, sin
from pathlib import Path
from random import Random

ROOT = Path(__file__).parent.parent.parent
sys.path.insert(0, str(ROOT))

FIRST = datetime(2024, 5, 20)
SETUP = (
    "book units metric",
    "add --kind blank --species 'black cherry' --square 51mm --length 330mm --place shed --on 2025-01-02",
    "oven 1B --before 668g --wet 60.2g --dry 36.0g --after 605g --length 300mm --on 2025-01-02",
    "weigh 1B 600g --on 2025-02-02",
)


def write(path: Path, readings: int) -> None:
    """Readings of an open shed over a year: seasons, days and weather."""
    dice, step = Random(1), timedelta(days=365) / readings
    lines = ["on,temp_c,rh_pct"]
    for number in range(readings):
        at = FIRST + step * number
        season, hour = -cos(2 * pi * at.timetuple().tm_yday / 365), sin(2 * pi * (at.hour - 9) / 24)
        temp = 10 + 8 * season + 3 * hour + dice.gauss(0, 0.3)
        rh = min(75 - 8 * season - 8 * hour + dice.gauss(0, 2), 100.0)
        lines.append(f"{at:%Y-%m-%d %H:%M},{temp:.1f},{rh:.1f}")
    path.write_text("\n".join(lines), "utf-8")


def rick(book: Path, words: str) -> float:
    """Seconds of the processor that a command takes: the clock on the wall tells of its neighbours too."""
    environment = {**os.environ, "RICK_BOOK": str(book), "PYTHONPATH": str(ROOT)}
    began = sum(os.times()[2:4])
    subprocess.run(
        [sys.executable, "-m", "stock", *shlex.split(words)], env=environment, check=True, capture_output=True
    )
    return sum(os.times()[2:4]) - began


def best_of(book: Path, words: str) -> float:
    return min(rick(book, words) for _ in range(5))


def best(work: Callable[[Path], object], book: Path) -> float:
    found = []
    for _ in range(5):
        began = time.process_time()
        work(book)
        found.append(time.process_time() - began)
    return min(found)


def every_row(book: Path) -> int:
    from sqlalchemy import select

    from stock.book import opening
    from stock.book.records import METADATA

    with opening.reading(book) as connection:
        return len(connection.execute(select(METADATA.tables["air"])).all())


def by_day(book: Path) -> None:
    from stock.book import opening
    from stock.book.facts import facts
    from stock.survey.airs import air_of, climate_of

    with opening.reading(book) as connection:
        known = facts(connection, date(2026, 1, 1), [1])
    place = next(iter(known.places))
    for at in range(20):
        air_of(known, place, date(2025, 1, 1) + timedelta(days=7 * at))
    climate_of(known, place)


def main(readings: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        book, log = Path(folder) / "book.rick", Path(folder) / "log.csv"
        for words in SETUP:
            rick(book, words)
        write(log, readings)
        asked = {"show 1B": "show 1B", "weigh, dry run": "weigh 1B 598g --on 2025-02-20 --dry-run"}
        before = {name: best_of(book, words) for name, words in asked.items()}
        small = book.stat().st_size
        took = rick(book, f"air shed --from {log}")
        again = rick(book, f"air shed --from {log}")
        grown = book.stat().st_size
        print(f"{readings} readings: {took:.1f} s to bring in, {again:.1f} s again; {(grown - small) / 1e6:.1f} MB")
        for name, words in asked.items():
            after = best_of(book, words)
            print(f"{name:16} {before[name]:.2f} s before, {after:.2f} s after: {after / before[name]:.2f} times")
        raw, days = best(every_row, book), best(by_day, book)
        print(f"every row {1000 * raw:.0f} ms; by day, with the air of 20 days {1000 * days:.0f} ms: {days / raw:.2f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 60_000)
