"""How long plans of several blocks take, how much they are better than taking the best set again and again, and whether
they are the best there are.

    python tests/bench/bench_plans.py               pools of 20 to 1,000: about a minute
    python tests/bench/bench_plans.py --long        also those that empty pools of 100 and 200
    python tests/bench/bench_plans.py --check 500   so many random small pools against a program over all their sets

Run from the top folder with the project installed. Times are seconds on the clock, the best of three runs if they are
short, and everything from blanks to sets with their reasons is in them.
"""

import argparse
import random
from dataclasses import replace
from itertools import combinations
from time import perf_counter

from bench_matching import ASK, ready, stock

from stock.wood.likeness import Blank
from stock.wood.likeness_costs import Likeness
from stock.wood.plan import WORTH, Plan, plan
from stock.wood.plan_master import Column, chosen

USUAL = [(20, 3), (30, 6), (40, 6), (40, 10), (60, 6), (60, 15), (100, 6), (200, 6), (500, 6), (500, 30), (1000, 6)]
EMPTYING = [(100, 25), (200, 50), (2000, 6)]


def over_all_sets(blanks: list[Blank], blocks: int) -> int:
    """What the best plan gains, thousandths of a point, by a program that has every set as a column."""
    likeness, n, worth = Likeness(blanks, ASK), len(blanks), round(1000 * WORTH)
    pairs = {
        (i, j): sum(likeness.between(i, j).values()) if likeness.allowed(i, j) else worth
        for i, j in combinations(range(n), 2)
    }
    columns = []
    for four in combinations(range(n), 4):
        cost = sum(likeness.units[i][0] for i in four) + sum(pairs[two] for two in combinations(four, 2))
        if cost < worth:
            columns.append(Column(cost, four, 0, four))
    return -sum(column.cost - worth for column in chosen(columns, n, blocks, worth, 600.0)[0])


def timed_plan(n: int, blocks: int, seconds: float) -> tuple[float, Plan]:
    candidates, best, runs = ready(stock(n)), float("inf"), 3
    while runs:
        begin = perf_counter()
        answer = plan(candidates, ASK, blocks=blocks, seconds=seconds, clock=perf_counter)
        best = min(best, perf_counter() - begin)
        runs = runs - 1 if best < 2 else 0
    return best, answer


def row(n: int, blocks: int) -> None:
    seconds, answer = timed_plan(n, blocks, 60.0)
    base = "-"
    if n <= 40:
        begin = perf_counter()
        gain = over_all_sets(stock(n), blocks)
        base = f"{perf_counter() - begin:.2f} s"
        if answer.proven and round(1000 * answer.gain_points) != gain:
            raise SystemExit(f"{n} {blocks}: the plan gains {answer.gain_points}, a better one {gain / 1000}")
    gap = "?" if answer.gap_points is None else f"{answer.gap_points:.1f}"
    better = answer.gain_points - answer.greedy_points
    proven = "yes" if answer.proven else "no"
    cells = [n, blocks, len(answer.sets), f"{answer.gain_points:.1f}", f"{better:.1f}", proven, gap]
    print("".join(f"{cell!s:>13}" for cell in [*cells, f"{1000 * seconds:.0f} ms", base]), flush=True)


def check(instances: int) -> None:
    """Small pools of every tightness: the plan must be proven and gain what the program over all sets gains."""
    better = 0
    for seed in range(instances):
        dice = random.Random(seed)
        blanks = [replace(b, mc_sd_pct=dice.uniform(0, 0.6)) for b in stock(dice.randrange(8, 19))]
        blocks = dice.randrange(1, 5)
        answer = plan(ready(blanks), ASK, blocks=blocks)
        if not answer.proven or round(1000 * answer.gain_points) != over_all_sets(blanks, blocks):
            raise SystemExit(f"pool {seed}: not the best plan")
        better += answer.gain_points > answer.greedy_points
    print(f"{instances} plans proven, each the best of all; {better} of them better than the best set again and again")


def main() -> None:
    told = argparse.ArgumentParser(description="Time plans of several blocks, and check them.")
    told.add_argument("--long", action="store_true", help="also those that empty pools of 100 and 200")
    told.add_argument("--check", type=int, default=0, metavar="N", help="only check N random small pools")
    options = told.parse_args()
    if options.check:
        check(options.check)
        return
    heads = ["blanks", "wanted", "made", "gain", "over greedy", "proven", "gap", "time", "all sets"]
    print("".join(f"{head:>13}" for head in heads))
    for n, blocks in [*USUAL, *(EMPTYING if options.long else [])]:
        row(n, blocks)


if __name__ == "__main__":
    main()
