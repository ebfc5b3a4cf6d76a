"""What an answer about moisture rests on, in words: the facts behind it, each with its share, one line a fact."""

from collections.abc import Sequence

from stock.survey.ledgers import BY_DENSITY
from stock.wood.ledger import Evidence

NEGLIGIBLE = 0.001  # a share of the evidence that is not told
TOLD_SHARE = 0.1  # from here on a fact is named as a basis
MOST_NAMED = 3
SHARED = {"air": "settled", "meter error": "meter"}  # an error is no fact of its own, but of those that share it


def together(evidence: Sequence[Evidence], mark: str) -> tuple[Evidence, ...]:
    """The evidence for a piece, the rows that carry one fact taken together, the weightiest first.

    Args:
        evidence: of a node of the piece.
        mark: of the piece; what is its own is called `its`.
    """
    found: dict[str, Evidence] = {}
    for one in evidence:
        words = f"its {one.words.removeprefix(f'{mark} ')}" if one.words.startswith(f"{mark} ") else one.words
        if one.kind == "volume" and not words.startswith("its"):
            words = "what its sisters weigh for their size"
        known = found.get(words)
        if known is None:
            found[words] = Evidence(one.kind, words, one.share, one.residual)
        else:
            worst = max(one.residual, known.residual, key=abs)
            found[words] = Evidence(one.kind, words, one.share + known.share, worst)
    told = [one for one in _density_and_size(_with_errors(found)) if one.share >= NEGLIGIBLE]
    return tuple(sorted(told, key=lambda one: -one.share))


def _with_errors(found: dict[str, Evidence]) -> dict[str, Evidence]:
    """The share of an error goes to the weightiest of the facts that share it."""
    facts = {words: one for words, one in found.items() if one.kind not in SHARED}
    for error in (one for one in found.values() if one.kind in SHARED):
        sharing = [one for one in facts.values() if one.kind == SHARED[error.kind]]
        if sharing:
            one = max(sharing, key=lambda fact: fact.share)
            facts[one.words] = Evidence(one.kind, one.words, one.share + error.share, one.residual)
    return facts


def _density_and_size(found: dict[str, Evidence]) -> list[Evidence]:
    """The density of the wood and the size of the piece say something only together."""
    density = next((one for one in found.values() if one.words.startswith("the density of ")), None)
    size = found.get("its size")
    if density is None or size is None:
        return list(found.values())
    words = f"{density.words} and its size"
    both = Evidence("density", words, density.share + size.share, max(density.residual, size.residual, key=abs))
    return [one for one in found.values() if one not in (density, size)] + [both]


def is_by_density(evidence: Sequence[Evidence]) -> bool:
    """Whether an answer rests mostly on what such wood usually weighs for its size, which is rough."""
    return sum(one.share for one in evidence if one.kind in BY_DENSITY) > 0.5


def basis(evidence: Sequence[Evidence]) -> str:
    """What an oven-dry mass is known from, in words; one by density and size says that it is rough."""
    if not evidence:
        return "none yet: no moisture section of it, of the piece it was cut from, or of its tree"
    shown = [one for one in evidence if one.share >= TOLD_SHARE] or list(evidence[:1])
    words = ", ".join(one.words for one in shown[:MOST_NAMED])
    return f"rough: {words}; oven-dry a section" if is_by_density(evidence) else words
