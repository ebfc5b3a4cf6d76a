"""How long a notebook takes to come in, and what that grows with. Run by hand: python tests/bench/bench_import.py

A made-up yard: trees, logs, billets, blanks, ten weighings a blank that fall as drying wood does, a seal each, and a
section for one blank in ten. The baseline is the same number of lines read by the csv module alone and put into a bare
SQLite table, in the same run; what is told is how many times that an import takes. Seconds are of the processor, so
that other work on the machine does not count.
"""

import csv
import math
import sqlite3
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from stock.book import journal, keeping, restoring
from stock.book.csvfiles import write
from stock.book.journal import Hand
from stock.yard.importing import import_folder

TODAY = date(2026, 6, 1)
NOW = datetime(2026, 6, 1, 12, tzinfo=UTC)
FELLED = date(2024, 3, 1)
BLANKS_A_BILLET, BILLETS_A_LOG, LOGS_A_TREE = 8, 2, 3
WEIGHINGS = 10


def notebook(folder: Path, blanks: int) -> int:
    """Write a notebook with so many blanks; gives its number of lines."""
    folder.mkdir()
    billets = math.ceil(blanks / BLANKS_A_BILLET)
    logs = math.ceil(billets / BILLETS_A_LOG)
    trees = math.ceil(logs / LOGS_A_TREE)
    day = (FELLED + timedelta(days=14)).isoformat()
    columns = ("tag", "parent_tag", "kind", "made_on", "species", "width_mm", "thickness_mm", "length_mm", "place")
    pieces: list[tuple[object, ...]] = [
        (f"L{n}", f"Tree {n // LOGS_A_TREE}", "log", day, "", "", "", 1000, "") for n in range(logs)
    ]
    pieces += [
        (f"H{n}", f"L{n // BILLETS_A_LOG}", "billet", day, "", 300, 150, 1000, f"rack {n % 5}") for n in range(billets)
    ]
    pieces += [
        (f"S{n}", f"H{n // BLANKS_A_BILLET}", "blank", day, "", 51, 51, 320, f"rack {n % 5}") for n in range(blanks)
    ]
    count = write(
        folder / "trees.csv",
        ("tag", "species", "felled_on"),
        [(f"Tree {n}", "black cherry", FELLED) for n in range(trees)],
    )
    count += write(folder / "pieces.csv", columns, pieces)
    count += write(folder / "weighings.csv", ("piece", "on", "mass_g"), weighings(blanks))
    seals = [(f"S{n}", day, "wax emulsion") for n in range(blanks)]
    count += write(folder / "seals.csv", ("piece", "on", "coat"), seals)
    sections = [(f"S{n}", day, 62.0, 38.0) for n in range(0, blanks, 10)]
    return count + write(folder / "sections.csv", ("piece", "on", "wet_g", "dry_g"), sections)


def weighings(blanks: int) -> Iterator[tuple[object, ...]]:
    for turn in range(WEIGHINGS):
        on = FELLED + timedelta(days=14 + 30 * turn)
        for n in range(blanks):
            yield f"S{n}", on, round(380 + n % 7 + 250 * math.exp(-turn / 3))


def import_s(folder: Path, book: Path) -> float:
    begun = time.process_time()
    with journal.writing(book, Hand("import", "", NOW, TODAY)) as page:
        import_folder(page, folder)
    return time.process_time() - begun


def baseline_s(folder: Path) -> float:
    """The same lines, read and put into one table, with nothing understood."""
    begun = time.process_time()
    connection = sqlite3.connect(folder / "bare.sqlite")
    connection.execute("CREATE TABLE line (file TEXT, a TEXT, b TEXT, c TEXT)")
    for path in sorted(folder.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            rows = [(path.name, *row[:3]) for row in csv.reader(file)]
        connection.executemany("INSERT INTO line VALUES (?, ?, ?, ?)", rows)
    connection.commit()
    connection.close()
    return time.process_time() - begun


def main() -> None:
    print(f"{'blanks':>7}{'lines':>8}{'import s':>10}{'ms a line':>11}{'x bare':>8}{'export s':>10}{'restore s':>11}")
    with tempfile.TemporaryDirectory() as scratch:
        for blanks in (250, 500, 1000, 2000):
            folder = Path(scratch, f"{blanks}")
            lines = notebook(folder, blanks)
            book = Path(scratch, f"{blanks}.rick")
            took, bare = import_s(folder, book), baseline_s(folder)
            begun = time.process_time()
            keeping.export(book, Path(scratch, f"out {blanks}"))
            exported = time.process_time()
            restoring.restore_json(Path(scratch, f"{blanks} again.rick"), Path(scratch, f"out {blanks}"))
            restored = time.process_time()
            print(
                f"{blanks:>7}{lines:>8}{took:>10.2f}{1000 * took / lines:>11.2f}{took / bare:>8.0f}"
                f"{exported - begun:>10.2f}{restored - exported:>11.2f}"
            )


if __name__ == "__main__":
    main()
