"""The density of a blank against the others of its tree: an alarm for a wrong piece, a wrong weight or a wrong size."""

from collections.abc import Hashable, Iterable
from statistics import median

from stock.wood.likeness import Blank

ODD_SHARE = 0.15  # from the median of the others; about twice the scatter inside one tree: common practice, no source
_OTHERS = 2  # fewer do not tell which of them is odd


def odd_densities(blanks: Iterable[Blank]) -> dict[str, str]:
    """The blanks whose density does not fit their tree.

    Args:
        blanks: all blanks there are; those without a density or a tree are left out.

    Returns:
        key -> what to say, for blanks that lie more than 15 % from the median of the others of their tree, if that has
        two others or more.
    """
    trees: dict[Hashable, list[tuple[str, float]]] = {}
    for blank in blanks:
        if blank.tree is not None and blank.density_kg_m3 is not None:
            trees.setdefault(blank.tree, []).append((blank.key, blank.density_kg_m3))
    odd = {}
    for known in trees.values():
        for i, (key, density) in enumerate(known):
            others = [other for j, (_, other) in enumerate(known) if j != i]
            if len(others) < _OTHERS:
                continue
            off = density / median(others) - 1
            if abs(off) > ODD_SHARE:
                word = "denser" if off > 0 else "lighter"
                odd[key] = (
                    f"{key} is {100 * abs(off):.0f} % {word} than the {len(others)} others of its tree: "
                    "a wrong piece, weight or size?"
                )
    return odd
