"""Which stave goes into which corner of the block, and which way round.

Look at the block from the end that shows the butts. Its corners are numbered 1 to 4, anticlockwise. A stave has faces
A, B, C, D, anticlockwise seen from its butt end, and corners 1 between A and B, 2 between B and C, 3 between C and D, 4
between D and A. Its *state* says which face looks at the next stave, and whether it is turned end for end. Call the
faces, anticlockwise from the one that looks at the next stave, f0, f1, f2, f3. Of a stave and the next:

    first glue-up                         f0 of the one meets f1 of the next
    after the reversal                    f2 of the one meets f3 of the next
    side by side on the finished outside  f1 of the one, f0 of the next

The corner between f0 and f1 lies at the middle first and is what the finished piece shows; after the reversal, every
stave turned half about on its own axis, the opposite corner lies at the middle.

Opposite faces of a stave have the same ring angle, so whatever match of rings the first glue-up has the second has too.
The ring angle is taken to face A (and C), and is 90 degrees less that at B and D; where the face nearest the bark is
known, it is that face and its opposite which the rings lie flatter to. Its sign is not known: rings that lean one way
and rings that lean the other count alike.

Turning the whole block changes nothing, so there are 6 orders and 4 states a stave, 1,536 arrangements; with staves
turned end for end, when the block may be turned end for end too, 3 orders and 8 states, 12,288. The cheapest of all is
found, exactly: staves in opposite corners share no joint, so with two opposite ones set the other two are chosen each
by itself.

The weights are judgements, not measurements; no source. What is not known costs something in the middle.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from itertools import permutations

from stock.errors import Impossible
from stock.wood.placed import FACES, PATTERNS, Arrangement, Faces, Joint, Lab, Placed, State, Stave, Weights
from stock.wood.placing_terms import apart_cie76, joint_terms, shown_terms

__all__ = ["PATTERNS", "Arrangement", "Joint", "Placed", "Stave", "Weights", "arrange"]

STATES = tuple(
    State(tuple((first + step * k) % 4 for k in range(4)), step < 0) for step in (1, -1) for first in range(4)
)
ORDERS = tuple((0, *rest) for rest in permutations((1, 2, 3)))
SHOW = ("heart", "sap")

_Costs = list[list[list[list[int]]]]  # of a stave, the next stave, and the states of both


def arrange(
    staves: Sequence[Stave],
    pattern: str = "matched",
    *,
    show: str | None = None,
    end_for_end: bool = False,
    weights: Weights | None = None,
    apart: Callable[[Lab, Lab], float] = apart_cie76,
) -> Arrangement:
    """The best arrangement of four staves.

    Args:
        staves: the four, in any order: the answer is the same.
        pattern: `matched`; `alternating`, staves of one letter at opposite corners; `halves`, side by side.
        show: `heart` or `sap`: what the finished outside is to show; None for whatever matches best.
        end_for_end: whether a stave may be turned end for end.
        weights: how much each thing counts, points.
        apart: how far two colours are apart.

    Returns:
        The cheapest arrangement there is. Of equal ones that with the fewest staves turned end for end, then the first
        in the order of keys, corners and states, so that the same four always give the same.

    Raises:
        Impossible: not four different staves; letters that cannot make the pattern; a pattern or a wish not known.
    """
    four = sorted(staves, key=lambda stave: stave.key)
    word = _checked(four, pattern, show)
    w = weights or Weights()
    states = STATES if end_for_end else STATES[:4]
    own = [[sum(shown_terms(stave, state, show, w).values()) for state in states] for stave in four]
    costs = [[_costs(one, other, states, w, apart) for other in four] for one in four]
    _, _, order, chosen = min(_each_order(costs, own, states, tuple(_orders(four, word, end_for_end))))
    ring = [(four[i], states[k]) for i, k in zip(order, chosen, strict=True)]
    return _told(_from_corner_one(ring, word), w, show, apart)


def _costs(
    one: Stave, other: Stave, states: Sequence[State], w: Weights, apart: Callable[[Lab, Lab], float]
) -> list[list[int]]:
    """What it costs that a stave in each state is followed by another in each of its states."""
    return [[sum(joint_terms(one, s, other, t, w, apart).values()) for t in states] for s in states]


def _checked(four: Sequence[Stave], pattern: str, show: str | None) -> str:
    """The word that the pattern reads round the ring."""
    if len(four) != 4 or len({stave.key for stave in four}) != 4:
        raise Impossible(f"a block takes four different staves, not {len(four)}", hint="Name each once.")
    if pattern not in PATTERNS:
        raise Impossible(f'no pattern is called "{pattern}"', hint=f"Known: {', '.join(PATTERNS)}.")
    if show not in (None, *SHOW):
        raise Impossible(f'a block cannot show "{show}"', hint=f"Known: {', '.join(SHOW)}.")
    word = PATTERNS[pattern]
    letters = Counter(stave.letter for stave in four)
    if pattern != "matched" and letters != Counter(word):
        told = ", ".join(f"{stave.key} {stave.letter}" for stave in four)
        raise Impossible(f"{pattern} takes two staves of A and two of B, not {told}", hint="Choose another four.")
    return word


def _orders(four: Sequence[Stave], word: str, end_for_end: bool) -> Iterator[tuple[int, ...]]:
    """The orders round the ring, of those that differ only in how the block lies just one."""
    for order in ORDERS:
        if end_for_end and order[1] > order[3]:
            continue
        if len(set(word)) == 1 or "".join(four[i].letter for i in order) in word + word:
            yield order


def _each_order(
    costs: _Costs, own: list[list[int]], states: Sequence[State], orders: Sequence[tuple[int, ...]]
) -> Iterator[tuple[int, int, tuple[int, ...], tuple[int, ...]]]:
    """The cheapest of each order and each two states of opposite staves: cost, staves turned, order, states."""
    every = range(len(states))
    turned = [int(state.flipped) for state in states]
    for order in orders:
        a, b, c, d = order
        ab, bc, cd, da = costs[a][b], costs[b][c], costs[c][d], costs[d][a]
        for s in every:
            for t in every:
                b_cost, b_turned, u = min((own[b][k] + ab[s][k] + bc[k][t], turned[k], k) for k in every)
                d_cost, d_turned, v = min((own[d][k] + cd[t][k] + da[k][s], turned[k], k) for k in every)
                cost = own[a][s] + own[c][t] + b_cost + d_cost
                yield cost, turned[s] + turned[t] + b_turned + d_turned, order, (s, u, t, v)


_Ring = list[tuple[Stave, State]]


def _from_corner_one(ring: _Ring, word: str) -> _Ring:
    """The same block laid so that most butts look up and the word reads from corner 1, the first key foremost."""
    down = sum(state.flipped for _, state in ring)
    if down > 2 or (down == 2 and min(ring, key=lambda one: one[0].key)[1].flipped):
        ring = [(stave, state.from_the_other_end) for stave, state in reversed(ring)]
    turns = [ring[k:] + ring[:k] for k in range(4)]
    if len(set(word)) > 1:
        turns = [turn for turn in turns if "".join(stave.letter for stave, _ in turn) == word]
    return min(turns, key=lambda turn: [stave.key for stave, _ in turn])


def _told(ring: _Ring, w: Weights, show: str | None, apart: Callable[[Lab, Lab], float]) -> Arrangement:
    terms: Counter[str] = Counter()
    guessed: set[str] = set()
    joints = []
    for p, (stave, state) in enumerate(ring):
        other, its = ring[(p + 1) % 4]
        costs = joint_terms(stave, state, other, its, w, apart)
        terms.update(dict.fromkeys(costs, 0) | costs)
        terms.update(shown_terms(stave, state, show, w))
        joints.append(
            Joint(
                corners=(p + 1, (p + 1) % 4 + 1),
                first=Faces.between(stave, state.faces[0], other, its.faces[1]),
                after=Faces.between(stave, state.faces[2], other, its.faces[3]),
                outside=Faces.between(stave, state.faces[1], other, its.faces[0]),
                terms={name: points / 1000 for name, points in costs.items()},
            )
        )
        guessed.update(stave.unknown)
    return Arrangement(
        staves=tuple(_placed(p, stave, state) for p, (stave, state) in enumerate(ring)),
        joints=tuple(joints),
        terms={name: points / 1000 for name, points in terms.items()},
        guessed=tuple(name for name in terms if name in guessed),
    )


def _placed(p: int, stave: Stave, state: State) -> Placed:
    """In corner 1, at the lower left, f0 looks to the right; every corner on, it is a quarter turn further."""
    return Placed(
        key=stave.key,
        corner=p + 1,
        corner_in=state.corner_in,
        corner_in_after=(state.corner_in + 1) % 4 + 1,
        turn_deg=90 * ((state.faces.index(FACES.index("A")) + p + 1) % 4),
        flipped=state.flipped,
    )
