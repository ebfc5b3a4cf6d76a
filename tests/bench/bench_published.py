"""Weighings that people published, the later ones held back: what falls inside the ranges foretold. Run by hand:

    python tests/bench/bench_published.py

Sizes, green moisture and air are guesses (`tests/weigh_in_series.py`): a sanity check on real wood, not a calibration.
"""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))
sys.path.insert(0, str(Path(__file__).parents[1]))

from weigh_in_series import Held, held_back, published


def share(some: list[Held]) -> str:
    """How many of some lie in the 80 and in the 95 % range."""
    return f"{sum(one.inside_80 for one in some)} and {sum(one.inside_95 for one in some)} of {len(some)}"


def main() -> None:
    found = [one for series in published() for one in held_back(series)]
    print(f"{'piece':7}{'place':23}{'known':>6}{'day':>6}{'weighed':>9}{'likely':>8}   {'80 %':15}{'95 %':15}")
    for one in found:
        inside = "inside" if one.inside_80 else "inside 95 %" if one.inside_95 else "outside"
        near, far = f"{one.low:.0f} to {one.high:.0f}", f"{one.least:.0f} to {one.most:.0f}"
        print(
            f"{one.series.name:7}{one.series.place:23}{one.known:>6}{one.day:>6.0f}{one.mass_g:>9.0f}{one.median:>8.0f}"
            f"   {near:15}{far:15}{inside}"
        )
    first_days = [one for one in found if one.day < 10]
    print(f"inside 80 and 95 %: {share(found)}; of these in the first ten days {share(first_days)}")


if __name__ == "__main__":
    main()
