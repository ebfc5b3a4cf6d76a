"""How often the tool is right about moisture, and about when wood will be dry. Run by hand:

python tests/bench/bench_coverage.py [--pieces 300] [--seed 41] [--finished 10] [--scatter 3.5]

Blanks of which the truth is known (`tests/truth.py`) go through the import of a notebook, a book a yard, and are asked
after as known on the days of their 3rd, 5th, 8th, 14th and 20th weighing. Does the 80 % interval of moisture hold the
truth in 80 of 100, by what the tool rests on? And the dates on which a blank comes to what the noted air of its place
keeps wood at, plus 2 points, and to 20 %, beside the rules of thumb that the tool replaces: the baseline, on the same
blanks in the same run. Dates are asked only of blanks that stay where they are; a rule that gives one day scores as an
interval of no width. Nobody knows which blanks are truly too wet: picking them by the truth picks those that dry
slower than anything told, so what the tool says of those it takes for too wet stands beside it. Errors after +- are
standard errors, the blanks of a tree taken as one draw. Seeds from 1000 on are never used for tuning.
"""

import argparse
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from datetime import date
from itertools import groupby
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))
sys.path.insert(0, str(Path(__file__).parents[1]))

import numpy as np
from truth import Truth, pieces
from truth_book import Asked, as_book, ask
from truth_dates import FAR_DAYS, TARGETS, days_to, stays, told, true_days, wanted_pct
from truth_rules import exponential, two_equal_weights, year_an_inch
from truth_scores import score

STAGES = (3, 5, 8, 14, 20)
SETTLED_SHARE = 0.1
Books = list[tuple[Path, list[Truth]]]
Dates = tuple[float, float, float]


def kind(asked: Asked, sections: dict[str, int]) -> str:
    """What the moisture of a blank rests on, in a few words."""
    own = asked.truth.section is not None
    others = sections[asked.truth.tree] - own
    if sum(one.share for one in asked.dryness.evidence if one.kind == "settled") >= SETTLED_SHARE:
        return "settled, with a section" if own or others else "settled, no section"
    if not others:
        return "own section alone" if own else "none"
    return f"own and {others} of sisters" if own else f"{others} of sisters"


def moisture(books: Books, sections: dict[str, int], whole: bool) -> None:
    """Print how well the moisture of the last weighing is known."""
    print("\nMoisture at the last weighing, points: 80 % interval, and z = error over the sd told (rms 1 is honest)")
    print(
        f"{'weigh-ins':>9}  {'rests on':26}{'n':>5}{'held':>6}{'+-':>5}{'below':>7}{'above':>7}"
        f"{'rms':>7}{'median':>8}{'bias':>7}{'half':>7}{'score':>7}{'z rms':>7}{'mean':>7}"
    )
    for stage in STAGES:
        groups: dict[str, list[Asked]] = defaultdict(list)
        verdicts: dict[str, list[Asked]] = defaultdict(list)
        for book, truths in books:
            for one in ask(book, truths, stage, whole=whole):
                groups[kind(one, sections)].append(one)
                verdicts[one.dryness.verdict].append(one)
        told = [one for some in groups.values() for one in some if one.dryness.mc_pct is not None]
        for name in sorted(groups):
            _moisture_line(stage, name, groups[name])
        _moisture_line(stage, "all", told)
        true = np.median([one.true_pct for one in told])
        print(f"{'':11}true moisture {true:.0f} % (median); {', '.join(map(_verdict, verdicts.values()))}")


def _verdict(some: Sequence[Asked]) -> str:
    """A verdict: how often, and if it counts as ready, how many truly lie more than 3 points above the target."""
    d = some[0].dryness
    wet = sum(one.true_pct > one.dryness.target.mc_pct + 3 for one in some)
    return (
        f"{len(some)} {d.verdict}{f' ({wet} truly wetter than {d.target.mc_pct + 3:g} %)' if d.judgement.ready else ''}"
    )


def _moisture_line(stage: int, name: str, asked: Sequence[Asked]) -> None:
    told = [one for one in asked if one.dryness.mc_pct is not None]
    if not told:
        print(f"{stage:>9}  {name:26}{len(asked):>5}  no number told")
        return
    found = [one.dryness for one in told]
    s = score(
        [d.mc_low_pct or 0.0 for d in found],
        [d.mc_pct or 0.0 for d in found],
        [d.mc_high_pct or 0.0 for d in found],
        [one.true_pct for one in told],
        [one.truth.tree for one in told],
    )
    z = np.array(
        [((d.mc_pct or 0.0) - one.true_pct) / (d.mc_sd_pct or 1.0) for d, one in zip(found, told, strict=True)]
    )
    print(
        f"{stage:>9}  {name:26}{s.n:>5}{s.coverage:>6.2f}{s.coverage_sd:>5.2f}{s.below:>7.2f}{s.above:>7.2f}"
        f"{s.rms:>7.2f}{s.median_error:>8.2f}{s.bias:>7.2f}{s.half_width:>7.2f}{s.interval_score:>7.1f}"
        f"{np.sqrt((z**2).mean()):>7.2f}{z.mean():>7.2f}"
    )


def dates(books: Books, whole: bool, seed: int) -> None:
    """Print how well the dates are known, by the tool and by the rules of thumb."""
    print("\nDays until it is dry, asked on the day of the weighing of blanks truly too wet: 80 % interval")
    print('"said too wet": by the tool, of those it takes for too wet, truly so or not (0 days)')
    print(
        f"{'weigh-ins':>9}  {'target':8}{'by':16}{'n':>5}{'held':>6}{'+-':>5}{'sooner':>8}{'later':>7}"
        f"{'median':>8}{'bias':>7}{'half':>7}{'score':>8}"
    )
    for stage in STAGES[:3]:
        for target in TARGETS:
            _dates_of(books, stage, target, whole, np.random.default_rng(seed))


def _dates_of(books: Books, stage: int, target: str, whole: bool, rng: np.random.Generator) -> None:
    by: dict[str, list[tuple[Dates, float, str]]] = defaultdict(list)
    asked = 0

    def wish(one: Truth, on: date) -> str:
        return f"{wanted_pct(target, one, on):.2f}"

    for book, truths in books:
        for one in filter(stays, ask(book, truths, stage, wish, whole=whole)):
            wanted = wanted_pct(target, one.truth, one.on)
            days, tool = true_days(one, wanted), told(one, wanted)
            if tool and tool.too_wet:
                by["said too wet"].append((tool[:3], days, one.truth.tree))
            if one.true_pct <= wanted:
                continue
            asked += 1
            given = {
                "the tool": tool and tool[:3],
                "exponential": _exponential(one, wanted, rng),
                "a year an inch": (days_to(one, year_an_inch(one.truth)),) * 3,
                "equal weights": (days_to(one, two_equal_weights(one.truth, rng)),) * 3,
            }
            for who, when in given.items():
                if when:
                    by[who].append((when, days, one.truth.tree))
    for who, pairs in sorted(by.items(), key=lambda item: item[0] != "the tool"):
        columns = list(zip(*(one[0] for one in pairs), strict=True))
        s = score(*columns, [one[1] for one in pairs], [one[2] for one in pairs])
        print(
            f"{stage:>9}  {target:8}{who:16}{s.n:>5}{s.coverage:>6.2f}{s.coverage_sd:>5.2f}"
            f"{s.below:>8.2f}{s.above:>7.2f}{s.median_error:>8.0f}"
            f"{s.bias:>7.0f}{s.half_width:>7.0f}{s.interval_score:>8.0f}   ({asked} too wet)"
        )


def _exponential(one: Asked, target_pct: float, rng: np.random.Generator) -> Dates | None:
    """The same by a line through the logarithm of the excess, with the tool's own dry mass and the noted air."""
    d, begun = one.dryness, one.truth.made_on
    if d.oven_dry_g is None:
        return None
    days = [float((r.on - begun).days) for r in d.readings]
    mc = [100 * (r.net_g / d.oven_dry_g - 1) for r in d.readings]
    found = exponential(days, mc, one.truth.yard.places[one.truth.place(one.on)].told_emc_pct, target_pct, rng)
    if found is None:
        return None
    early, likely, late = (min(max(when - (one.on - begun).days, 0.0), FAR_DAYS) for when in found)
    return early, likely, late


def rules(truths: Iterable[Truth], seed: int) -> None:
    """Print what the two rules of thumb call dry, and how wet it is."""
    rng = np.random.default_rng(seed)
    print("\nCalled dry by a rule of thumb: true moisture above what the noted air of the place keeps wood at, points")
    rule: dict[str, Callable[[Truth], date | None]] = {
        "a year an inch": year_an_inch,
        "two equal monthly weights": lambda one: two_equal_weights(one, rng),
    }
    some = list(truths)
    for name, call in rule.items():
        called = [(one, on) for one in some if (on := call(one)) is not None]
        excess = [one.true_mc_pct(on) - (wanted_pct("EMC + 2", one, on) - 2) for one, on in called]
        dry = [(on, one.first_at(wanted_pct("EMC + 2", one, on), one.made_on)) for one, on in called]
        off = [(on - first).days for on, first in dry if first]
        low, middle, high = np.percentile(excess, (10, 50, 90))
        print(
            f"  {name:27}{len(called):4} of {len(some)}; {100 * np.mean(np.array(excess) > 2):.0f} % of them still more"
            f" than 2 points above; excess {middle:.1f} ({low:.1f} to {high:.1f}); against the first day within"
            f" 2 points {np.median(off):+.0f} days (median), off by {np.median(np.abs(off)):.0f}"
        )


def main() -> None:
    words = argparse.ArgumentParser(
        description="Coverage of the tool's intervals on blanks of which the truth is known."
    )
    words.add_argument("--pieces", type=int, default=300)
    words.add_argument("--seed", type=int, default=41)
    words.add_argument("--finished", type=int, default=0, help="blanks of each yard that dried years before")
    words.add_argument("--scatter", type=float, default=3.5, help="between a section and its blank, points at 70 %%")
    asked = words.parse_args()
    begun = time.perf_counter()
    truths = pieces(
        asked.pieces, asked.seed, weigh_ins=max(STAGES), finished=asked.finished, section_sd_pct=asked.scatter
    )
    print(f"{len(truths)} blanks of seed {asked.seed} dried in {time.perf_counter() - begun:.0f} s")
    sections = {tree: sum(one.section is not None for one in some) for tree, some in groupby(truths, lambda t: t.tree)}
    with tempfile.TemporaryDirectory() as scratch:
        books: Books = []
        for name in sorted({one.yard.name for one in truths}):
            here = [one for one in truths if one.yard.name == name]
            (folder := Path(scratch, name)).mkdir()
            books.append((as_book(here, folder), [one for one in here if not one.finished]))
        moisture(books, sections, asked.finished > 0)
        dates(books, asked.finished > 0, asked.seed)
    rules((one for one in truths if not one.finished), asked.seed)
    print(f"\n{time.perf_counter() - begun:.0f} s in all")


if __name__ == "__main__":
    main()
