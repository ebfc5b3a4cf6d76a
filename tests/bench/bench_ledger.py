"""How the ledger's time grows: a lineage of n blanks, against one of 36 in the same run. Run by hand:

python tests/bench/bench_ledger.py
"""

import time

from stock.wood import evidence, operations
from stock.wood.evidence import Row, Slice
from stock.wood.ledger import solve


def lineage(blanks: int) -> list[Row]:
    """A tree of three logs, each of four billets with a section, its blanks trimmed once, every third sectioned."""
    rows = [evidence.tree_density("tree", 0.47)]
    each = max(1, blanks // 12)
    for billet in range(12):
        whole, moisture = ("billet", billet), ("moisture", billet)
        rows.append(evidence.section(moisture, [Slice(61.4, 36.9, 0.1, "butt")]))
        rows.append(evidence.weighed_at_section(whole, moisture, 5000, 1.0))
        rows.append(evidence.volume(whole, "tree", 6000, 0.05))
        for number in range(each):
            sawn, cut = (billet, number, 0), (billet, number, 1)
            rows.append(evidence.volume(sawn, "tree", 1000))
            rows.append(evidence.weighed_at_section(sawn, moisture, 840, 1.0, scatter_sd=evidence.CHILD_SCATTER_SD))
            rows.append(operations.trim_weighed(sawn, cut, 800, 700))
            rows.append(operations.trim_by_length(sawn, cut, 400, 350))
            if number % 3 == 0:
                rows.append(evidence.section(("own", sawn), [Slice(30, 20, 0.1, "top")]))
                rows.append(evidence.weighed_at_section(cut, ("own", sawn), 690, 1.0))
    return rows


def seconds(rows: list[Row]) -> tuple[float, float, float]:
    """Best of five: solving, all variances, all disagreements."""
    best = (9e9, 9e9, 9e9)
    for _ in range(5):
        start = time.perf_counter()
        solution = solve(rows)
        solved = time.perf_counter()
        for node in solution.nodes:
            solution.variance(node)
        spread = time.perf_counter()
        solution.disagreements()
        end = time.perf_counter()
        taken = (solved - start, spread - solved, end - spread)
        best = tuple(min(a, b) for a, b in zip(best, taken, strict=True))  # type: ignore[assignment]
    return best


def main() -> None:
    base = None
    for blanks in (36, 60, 300, 1200):
        rows = lineage(blanks)
        solve_s, spread_s, judge_s = seconds(rows)
        total = solve_s + spread_s + judge_s
        base = base or (total, len(rows))
        print(
            f"{blanks:5d} blanks {len(rows):5d} rows: solve {1e3 * solve_s:6.1f} ms,"
            f" variances {1e3 * spread_s:6.1f} ms, disagreements {1e3 * judge_s:6.1f} ms;"
            f" {total / base[0]:5.1f} times the first for {len(rows) / base[1]:5.1f} times the rows"
        )


if __name__ == "__main__":
    main()
