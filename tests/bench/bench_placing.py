"""How long four staves take to place, against trying every arrangement on paper in the same run. Run by hand:

python tests/bench/bench_placing.py
"""

import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

import placed_by_hand as hand
from test_placing import some_four

from stock.wood.placing import arrange


def seconds(work: Callable[[], object]) -> float:
    """Best of three."""
    times = []
    for _ in range(3):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def main() -> None:
    print(f"{'pattern':12} {'turning':8} {'arrangements':>12} {'search':>9} {'every one':>10} {'ratio':>6}")
    for end_for_end in (False, True):
        for pattern in hand.WORDS:
            found = every = 0.0
            many = 3 if end_for_end else 20
            for seed in range(many):
                four, show = some_four(seed, pattern)
                found += seconds(lambda: arrange(four, pattern, show=show, end_for_end=end_for_end))  # noqa: B023
                every += seconds(lambda: min(hand.every_cost(four, pattern, show, end_for_end)))  # noqa: B023
            count = sum(1 for _ in hand.every_cost(four, pattern, show, end_for_end))
            turning = "yes" if end_for_end else "no"
            times = f"{1e3 * found / many:6.2f} ms {1e3 * every / many:7.1f} ms"
            print(f"{pattern:12} {turning:8} {count:12,} {times} {every / found:6.0f}")


if __name__ == "__main__":
    main()
