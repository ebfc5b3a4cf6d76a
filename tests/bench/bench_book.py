"""Questions to a book of many pieces, and a sheet of many weighings: times, and what they scale with. Run by hand:

    python tests/bench/bench_book.py [pieces ...]

Each size is timed against the first one of the same run; each piece has ten weighings and every tenth a section.
"""

import csv
import os
import random
import sqlite3
import subprocess
import sys
import tempfile
import time
from datetime import date, timedelta
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
FIRST = date(2023, 3, 1)


def write(folder: Path, pieces: int) -> None:
    """A folder to import: trees of 40 blanks, each weighed ten times on its way down from 60 to 10 %."""
    dice = random.Random(1)
    with (folder / "trees.csv").open("w", newline="") as file:
        rows = csv.writer(file)
        rows.writerow(["tag", "species", "felled_on", "site"])
        for tree in range(-(-pieces // 40)):
            rows.writerow([f"tree {tree}", dice.choice(["black cherry", "sugar maple", "unknown"]), "2023-02", "yard"])
    with (
        (folder / "pieces.csv").open("w", newline="") as blanks,
        (folder / "weighings.csv").open("w", newline="") as weighings,
        (folder / "sections.csv").open("w", newline="") as sections,
    ):
        out, weights, slices = csv.writer(blanks), csv.writer(weighings), csv.writer(sections)
        out.writerow(
            [
                "tag",
                "parent_tag",
                "kind",
                "species",
                "made_on",
                "width_mm",
                "thickness_mm",
                "length_mm",
                "part",
                "place",
            ]
        )
        weights.writerow(["piece", "on", "mass_g"])
        slices.writerow(["piece", "on", "wet_g", "dry_g", "before_g"])
        for number in range(pieces):
            tag, dry = f"p{number}", dice.uniform(380, 520)
            part = dice.choice(["heart", "sap"])
            out.writerow(
                [tag, f"tree {number // 40}", "blank", "", FIRST.isoformat(), 51, 51, 330, part, "shed / rack"]
            )
            for turn in range(10):
                mc = 0.09 + 0.5 * 0.6**turn
                day = FIRST + timedelta(days=45 * turn)
                weights.writerow([tag, day.isoformat(), round(dry * (1 + mc))])
            if number % 10 == 0:
                slices.writerow([tag, FIRST.isoformat(), 63.6, 40.0, round(dry * 1.59)])


def timed(words: list[str], env: dict[str, str]) -> float:
    start = time.perf_counter()
    done = subprocess.run([sys.executable, "-m", "stock", *words], env=env, capture_output=True, text=True, check=False)
    if done.returncode:
        raise SystemExit(f"{words}: {done.stderr}")
    return time.perf_counter() - start


def main() -> None:
    sizes = [int(word) for word in sys.argv[1:]] or [500, 2000]
    first: dict[str, float] = {}
    for pieces in sizes:
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name) / "in"
            folder.mkdir()
            write(folder, pieces)
            env = {**os.environ, "RICK_BOOK": str(Path(name) / "book.rick"), "PYTHONPATH": str(ROOT)}
            times = {"book import": timed(["book", "import", str(folder)], env)}
            day = (FIRST + timedelta(days=420)).isoformat()
            times["list"] = timed(["list", "--on", day], env)
            times["ready"] = timed(["ready", "--on", day], env)
            times["due"] = timed(["due", "--on", day], env)
            times["match"] = timed(["match", "--square", "46mm", "--length", "250mm", "--on", day, "--all"], env)
            times["show one"] = timed(["show", "p7"], env)
            sheet = Path(name) / "sheet.csv"
            with sheet.open("w", newline="") as file:
                rows = csv.writer(file)
                rows.writerow(["piece", "on", "mass", "unit"])
                for number in range(pieces):
                    for turn in range(10):
                        on = FIRST + timedelta(days=460 + 7 * turn)
                        rows.writerow([f"p{number}", on.isoformat(), 480 - turn, "g"])
            times[f"weigh --from ({10 * pieces} lines)"] = timed(["weigh", "--from", str(sheet)], env)
            size = sqlite3.connect(env["RICK_BOOK"]).execute("PRAGMA page_count").fetchone()[0] * 4096
        print(f"{pieces} pieces, {20 * pieces} weighings at the end, book of {size / 1e6:.1f} MB")
        for what, took in times.items():
            key = what.split(" (")[0]
            first.setdefault(key, took)
            print(f"  {what:32s} {took:6.2f} s   {took / first[key]:5.2f} times the first size")


if __name__ == "__main__":
    main()
