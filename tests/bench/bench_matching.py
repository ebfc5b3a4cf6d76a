"""How long the choice of four takes, beside looking at every set in the same run.

    python tests/bench/bench_matching.py            up to 2,000 blanks, enumeration up to 100: about half a minute
    python tests/bench/bench_matching.py --long     up to 10,000 blanks, enumeration up to 200: some minutes

Run from the top folder with the project installed. Every blank qualifies and all are of one wood, which is the hard
case. "stock" comes from logs, as a stock does; "strangers" share nothing, waste nothing and look independent, which is
the worst we know. Times include everything from blanks to the ten best sets; each is the best of three if short. Every
method that ran on a pool must give the same ten sets, or the benchmark stops.
"""

import argparse
import random
from collections.abc import Callable
from datetime import date
from itertools import combinations
from time import perf_counter
from typing import Any

from stock.wood.choosing import choose
from stock.wood.likeness import Ask, Blank, Likeness
from stock.wood.matching import Four, Rows, best_quads, best_quads_large, checked
from stock.wood.qualifying import Candidate

ASK = Ask(square_mm=46, length_mm=250, on=date(2026, 11, 25))
K = 10
PLAIN_LIMIT = 2000


def stock(n: int) -> list[Blank]:
    """n blanks from logs: some fifteen to a log, three logs to a tree, sawn from billets in order."""
    dice = random.Random(n)
    logs = max(1, n // 15)
    moisture = [dice.gauss(9, 0.6) for _ in range(logs)]
    lightness = [dice.gauss(62, 3) for _ in range(logs)]
    blanks = []
    for number in range(n):
        log = dice.randrange(logs)
        billet = 8 * log + dice.randrange(4)
        blanks.append(
            Blank(
                key=f"{number:05d}",
                width_mm=dice.choice([49, 52, 60]) + dice.gammavariate(2, 0.8),
                thickness_mm=dice.choice([49, 52]) + dice.gammavariate(2, 0.8),
                usable_length_mm=255 + dice.gammavariate(1.6, 90),
                mc_pct=moisture[log] + dice.gauss(0, 0.3),
                mc_sd_pct=dice.uniform(0.1, 0.4),
                species="prunus-serotina",
                tree=log // 3,
                log=log,
                billet=billet,
                along_mm=dice.uniform(100, 2500),
                part=dice.choice(["heart", "heart", "mixed", "sap"]),
                traits=frozenset(dice.choice([(), (), ("curl",)])),
                ring_deg=dice.uniform(0, 90),
                lab=(lightness[log] + dice.gauss(0, 1), 14 + dice.gauss(0, 0.5), 24 + dice.gauss(0, 1)),
                lab_surface="planed",
                density_kg_m3=dice.gauss(540, 25),
                t_minus_r_pct=3.4,
            )
        )
    return blanks


def strangers(n: int) -> list[Blank]:
    """n blanks of n trees, equal in size, independent in everything else."""
    dice = random.Random(n)
    return [
        Blank(
            key=f"{number:05d}",
            width_mm=50,
            thickness_mm=50,
            usable_length_mm=260,
            mc_pct=dice.uniform(7, 11),
            mc_sd_pct=0.1,
            species="prunus-serotina",
            tree=number,
            part=dice.choice(["heart", "mixed", "sap"]),
            traits=frozenset(dice.choice([(), ("curl",), ("spalt",)])),
            ring_deg=dice.uniform(0, 90),
            lab=(dice.uniform(54, 70), dice.uniform(8, 16), dice.uniform(16, 30)),
            lab_surface="planed",
            density_kg_m3=dice.uniform(450, 650),
            t_minus_r_pct=3.4,
        )
        for number in range(n)
    ]


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    """Seconds, the best of three if they are short, and what the work gave."""
    best, runs = float("inf"), 3
    while runs:
        begin = perf_counter()
        result = work()
        best = min(best, perf_counter() - begin)
        runs = runs - 1 if best < 1 else 0
    return best, result


def every_set(costs: list[list[int]]) -> list[tuple[int, Four]]:
    """The baseline: each of the n (n-1) (n-2) (n-3) / 24 sets is priced, as leanly as itertools allows."""
    best: list[tuple[int, Four]] = []
    worst = float("inf")
    for four in combinations(range(len(costs)), 4):
        a, b, c, d = four
        p, q = costs[a], costs[b]
        cost = p[b] + p[c] + p[d] + q[c] + q[d] + costs[c][d]
        if cost < worst:
            best = sorted([*best, (cost, four)])[:K]
            worst = best[-1][0] if len(best) == K else worst
    return best


def whole(seconds: float | None) -> str:
    if seconds is None:
        return "-"
    return f"{1000 * seconds:.1f} ms" if seconds < 1 else f"{seconds:.2f} s"


def ratio(baseline: float | None, seconds: float | None) -> str:
    return "-" if baseline is None or seconds is None else f"{baseline / seconds:,.0f} x"


def row(kind: str, blanks: list[Blank], enumerate_all: bool) -> None:
    n = len(blanks)
    enumeration = search = plain = costs_s = None
    answers = []
    if n <= PLAIN_LIMIT:
        costs_s, costs = timed(lambda: Likeness(blanks, ASK).edges())
        rows = checked(costs)
        search, found = timed(lambda: Rows(rows).best(K))
        plain = costs_s + search
        answers.append(found)
        if enumerate_all:
            enumeration, found = timed(lambda: every_set(rows))
            answers.append(found)
    numpy_s, found = timed(lambda: best_quads_large(Likeness(blanks, ASK).edge(), n, K))
    answers.append(found)
    if any(answer != answers[0] for answer in answers):
        raise SystemExit(f"{kind} {n}: the methods do not agree")
    both = None if enumeration is None or costs_s is None else enumeration + costs_s
    cells = [f"{n:,}", whole(enumeration), whole(search), whole(plain), whole(numpy_s)]
    cells += [ratio(enumeration, search), ratio(both, plain), ratio(both, numpy_s)]
    print(f"{kind:<10}" + "".join(f"{cell:>13}" for cell in cells), flush=True)


def flat(n: int) -> None:
    """All costs equal, and costs of two values: nothing but ties."""
    dice = random.Random(n)
    equal = [[7] * n for _ in range(n)]
    two = [[0] * n for _ in range(n)]
    for a, b in combinations(range(n), 2):
        two[a][b] = two[b][a] = dice.randrange(2)
    for name, costs in (("all equal", equal), ("two values", two)):
        seconds, _ = timed(lambda costs=costs: best_quads(costs, K))
        print(f"{name:<12} {n:>6,} blanks {whole(seconds):>12}", flush=True)


def main() -> None:
    asked = argparse.ArgumentParser(description="Time the choice of four staves against looking at every set.")
    asked.add_argument("--long", action="store_true", help="up to 10,000 blanks, and enumeration up to 200")
    long = asked.parse_args().long
    heads = ["blanks", "every set", "star search", "plain, whole", "numpy, whole", "search", "plain", "numpy"]
    print(f"{'':<10}" + "".join(f"{head:>13}" for head in heads))
    for n in [20, 50, 100, 200, 500, 1000, 2000, *([5000, 10_000] if long else [])]:
        row("stock", stock(n), n <= (200 if long else 100))
    for n in [100, 200, 500, 1000, *([2000, 5000] if long else [])]:
        row("strangers", strangers(n), False)
    for n in (200, 400):
        flat(n)
    for n in (50, 200, 500):
        candidates = [
            Candidate(blank=one, ready=True, verdict="dry enough", last_weighed_on=ASK.on) for one in stock(n)
        ]
        seconds, _ = timed(lambda candidates=candidates: choose(candidates, ASK))
        print(f"{'choose, all':<12} {n:>6,} blanks {whole(seconds):>12}", flush=True)


if __name__ == "__main__":
    main()
