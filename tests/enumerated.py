"""Every set there is, by looking at each: the authority for every search. It shares no line with them."""

from collections import Counter
from itertools import combinations, combinations_with_replacement
from math import floor

from stock.wood.likeness_costs import pair
from stock.wood.waste import waste

FAR = 6 * 2**28


def of_table(links, units, kinds=None, extra=None, apiece=4):
    """All sets of a table of links: what each costs, and its staves; cheapest first, of equal ones the smallest tuple.

    Args:
        links: what each two blanks cost each other, FAR where they may not share a block.
        units: for each blank what it costs when it gives one stave, two, ...
        kinds: 0 or 1 for each blank, for sets of two and two; None for one kind.
        extra: what a set costs besides.
        apiece: how many staves one blank may give.
    """
    found = []
    choose = combinations if apiece == 1 else combinations_with_replacement
    for four in choose(range(len(units)), 4):
        given = Counter(four)
        if any(staves > min(apiece, len(units[i])) for i, staves in given.items()):
            continue
        if kinds is not None and [kinds[i] for i in four].count(0) != 2:
            continue
        cost = sum(units[i][staves - 1] for i, staves in given.items())
        cost += sum(links[i][j] for i, j in combinations(four, 2) if i != j)
        if extra is not None:
            cost += extra(four)
        if cost < FAR:
            found.append((cost, four))
    return sorted(found)


def kind(blank, by):
    if by == "part":
        return {"heart": 0, "sap": 1}.get(blank.part)
    if blank.traits is None:
        return None
    return len(blank.traits) > 0 if by == "figure" else by not in blank.traits


def of_blanks(blanks, ask, weights=None, covariance=None):
    """All sets of some blanks that qualify: what each costs, thousandths of a point, its keys in order, and its square.

    What two blanks cost each other and what one wastes are asked of the code; what a set is made of is worked out here.
    """
    two_kinds = ask.pattern != "matched"
    kinds = [kind(blank, ask.by) if two_kinds else 0 for blank in blanks]
    pairs = {}
    for i, j in combinations(range(len(blanks)), 2):
        terms = pair(blanks[i], blanks[j], ask, weights, covariance)
        pairs[i, j] = None if terms is None else sum(round(1000 * points) for points in terms.values())
    step = ask.square_step_mm
    squares = []
    for blank in blanks:
        over = min(blank.width_mm, blank.thickness_mm) - ask.planing_mm - ask.square_mm
        squares.append(ask.square_mm + (step * floor(over / step + 1e-6) if step else 0.0))
    sets = []
    for four in combinations_with_replacement(range(len(blanks)), 4):
        given = Counter(four)
        if any(n > ask.per_blank or n * ask.cut_mm > blanks[i].usable_length_mm + 1e-9 for i, n in given.items()):
            continue
        if two_kinds and sorted(Counter(kinds[i] for i in four).items()) != [(0, 2), (1, 2)]:
            continue
        links = [pairs[i, j] for i, j in combinations(four, 2) if i != j]
        if None in links:
            continue
        square = min(squares[i] for i in given)
        cost = sum(links)
        for i, staves in given.items():
            lost = waste(blanks[i], ask, weights, staves=staves, square_mm=square)
            cost += sum(round(1000 * points) for points in lost.values())
            apart = [far - near for near, far in combinations(range(staves), 2)]
            cost += sum(round(1000 * min(0.01 * n * ask.cut_mm, 10.0)) for n in apart)  # along one stick
        sets.append((cost, tuple(blanks[i].key for i in four), square))
    return sorted(sets, key=lambda entry: (entry[0], entry[1]))
