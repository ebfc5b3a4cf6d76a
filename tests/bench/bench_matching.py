"""How long the choice of four takes, beside looking at every set in the same run.

    python tests/bench/bench_matching.py            up to 10,000 blanks, enumeration up to 100: about a minute
    python tests/bench/bench_matching.py --long     enumeration up to 200, and the worst cases at 10,000: some minutes

Run from the top folder with the project installed. Every blank qualifies and all are of one wood, which is the hard
case. "stock" comes from logs, as a stock does; "strangers" share nothing, waste nothing and look independent, which is
the worst we know. Times include everything from blanks to the ten best sets, and are seconds of the processor, the best
of several runs, so that what else runs on the machine counts little; seconds on the clock stand beside them where they
differ. Every method that ran on a pool must give the same ten sets, or the benchmark stops.
"""

import argparse
import random
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from itertools import combinations
from time import perf_counter, process_time
from typing import Any

from stock.wood.best_sets import Four
from stock.wood.choosing import best_containing, choose
from stock.wood.grouping import Group
from stock.wood.likeness import Ask, Blank
from stock.wood.likeness_costs import Likeness
from stock.wood.matching import best_quads
from stock.wood.pools import Pools
from stock.wood.qualifying import Candidate

ASK = Ask(square_mm=46, length_mm=250, on=date(2026, 11, 25))
K = 10
PLAIN_LIMIT = 1000


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


def timed(work: Callable[[], Any]) -> tuple[float, float, Any]:
    """Seconds of the processor and on the clock, each the best of five runs if they are short, and what it gave."""
    best = clock = float("inf")
    runs = 5
    while runs:
        begin, began = perf_counter(), process_time()
        result = work()
        best, clock = min(best, process_time() - began), min(clock, perf_counter() - begin)
        runs = runs - 1 if best < 1 else 0
    return best, clock, result


def every_set(blanks: list[Blank]) -> list[tuple[int, Four]]:
    """The baseline: each of the n (n-1) (n-2) (n-3) / 24 sets is priced, as leanly as itertools allows."""
    likeness = Likeness(blanks, ASK)
    n = len(blanks)
    own = [costs[0] for costs in likeness.units]
    costs = [[10**12] * n for _ in range(n)]
    for i, j in combinations(range(n), 2):
        if likeness.allowed(i, j):
            costs[i][j] = costs[j][i] = 3 * sum(likeness.between(i, j).values()) + own[i] + own[j]
    best: list[tuple[int, Four]] = []
    worst = 10**12
    for four in combinations(range(n), 4):
        a, b, c, d = four
        p, q = costs[a], costs[b]
        cost = p[b] + p[c] + p[d] + q[c] + q[d] + costs[c][d]
        if cost < worst:
            best = sorted([*best, (cost, four)])[:K]
            worst = best[-1][0] if len(best) == K else worst
    return best


def search(blanks: list[Blank], *, large: bool) -> list[tuple[int, Four]]:
    return Pools(Likeness(blanks, ASK), large=large).at().best(K)


def shown(seconds: float | None, clock: float | None = None) -> str:
    if seconds is None:
        return "-"
    both = [seconds] if clock is None or clock < 1.2 * seconds else [seconds, clock]
    return " / ".join(f"{1000 * s:.1f} ms" if s < 1 else f"{s:.2f} s" for s in both)


def against_every_set(kind: str, blanks: list[Blank], enumerate_all: bool) -> None:
    n = len(blanks)
    base, answers, cells = None, [], [f"{n:,}"]
    if enumerate_all:
        base, _, found = timed(lambda: every_set(blanks))
        answers.append(found)
    cells.append(shown(base))
    for large in (False, True):
        if not large and n > PLAIN_LIMIT:
            cells += ["-", "-"]
            continue
        seconds, clock, found = timed(lambda large=large: search(blanks, large=large))
        answers.append(found)
        cells += [shown(seconds, clock), "-" if base is None else f"{base / seconds:,.0f} x"]
    if any(answer != answers[0] for answer in answers):
        raise SystemExit(f"{kind} {n}: the methods do not agree")
    print(f"{kind:<12}" + "".join(f"{cell:>20}" for cell in cells), flush=True)


def ready(blanks: list[Blank]) -> list[Candidate]:
    return [Candidate(blank=one, ready=True, verdict="dry enough", last_weighed_on=ASK.on) for one in blanks]


def asked(n: int) -> dict[str, tuple[Ask, list[Blank]]]:
    """Every way of asking, with a stock that has what is asked for."""
    dice = random.Random(n)
    blanks = stock(n)
    long = [replace(b, usable_length_mm=b.usable_length_mm * dice.choice([1, 1, 1, 2, 3, 4.5])) for b in blanks]
    parts = [replace(b, part=dice.choice(["heart", "sap"])) for b in blanks]
    free = replace(ASK, square_mm=30, square_step_mm=0.5)
    return {
        "matched": (ASK, blanks),
        "long blanks": (replace(ASK, per_blank=4), long),
        "heart and sap": (replace(ASK, pattern="alternating"), parts),
        "plain, figured": (replace(ASK, pattern="halves", by="figure"), blanks),
        "free square": (free, blanks),
        "free and long": (replace(free, per_blank=4), long),
    }


def every_way(n: int) -> None:
    """The search alone, then the whole answer with its reasons, then why one blank is not in it."""
    for name, (ask, blanks) in asked(n).items():
        candidates = ready(blanks)
        key = blanks[n // 2].key
        works: list[Callable[[], Any]] = [
            lambda ask=ask, blanks=blanks: Group(blanks, ask, None, None).pool.best(K),
            lambda ask=ask, candidates=candidates: choose(candidates, ask),
            lambda ask=ask, candidates=candidates, key=key: best_containing(candidates, ask, key),
        ]
        cells = [f"{n:,}", *(shown(*timed(work)[:2]) for work in works)]
        print(f"{name:<16}" + "".join(f"{cell:>20}" for cell in cells), flush=True)


def flat(n: int) -> None:
    """All costs equal, and costs of two values: nothing but ties."""
    dice = random.Random(n)
    equal = [[7] * n for _ in range(n)]
    two = [[0] * n for _ in range(n)]
    for a, b in combinations(range(n), 2):
        two[a][b] = two[b][a] = dice.randrange(2)
    for name, costs in (("all equal", equal), ("two values", two)):
        print(f"{name:<16}{n:>20,}{shown(timed(lambda costs=costs: best_quads(costs, K))[0]):>20}", flush=True)


def bad(n: int) -> None:
    """Large pools unlike a stock: one tree, no tree known, nothing in common, and a thousand alike."""
    pools = {
        "one tree": [replace(b, tree=1) for b in stock(n)],
        "no tree known": [replace(b, tree=None, log=None, billet=None) for b in stock(n)],
        "strangers": strangers(n),
        "identical": [replace(stock(1)[0], key=f"{i:05d}") for i in range(min(n, 1000))],
    }
    for name, blanks in pools.items():
        seconds, clock, _ = timed(lambda blanks=blanks: search(blanks, large=True))
        print(f"{name:<16}{len(blanks):>20,}{shown(seconds, clock):>20}", flush=True)


def main() -> None:
    told = argparse.ArgumentParser(description="Time the choice of four staves against looking at every set.")
    told.add_argument("--long", action="store_true", help="enumeration up to 200, and the worst cases at 10,000")
    long = told.parse_args().long
    heads = ["blanks", "every set", "plain", "faster by", "numpy", "faster by"]
    print(f"{'':<12}" + "".join(f"{head:>20}" for head in heads))
    for n in (20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000):
        against_every_set("stock", stock(n), n <= (200 if long else 100))
    for n in (100, 200, 500, 1000, 2000):
        against_every_set("strangers", strangers(n), False)
    print(f"\n{'':<16}" + "".join(f"{head:>20}" for head in ("blanks", "search", "choose", "why not")))
    for n in (50, 200, 500, *((10_000,) if long else ())):
        every_way(n)
    print()
    for n in (200, 400):
        flat(n)
    bad(10_000 if long else 2000)


if __name__ == "__main__":
    main()
