"""Four staves stood up as squares on paper: every face an arrow, every joint found where two faces lie together.

An independent way to what `stock.wood.placing` answers: nothing of its table of states is used here.
"""

from collections.abc import Iterator
from itertools import permutations, product
from math import cos, dist, hypot, radians

CORNERS = ((-1, -1), (1, -1), (1, 1), (-1, 1))  # the middles of four staves two wide; 1 to 4, anticlockwise
LETTERS = "ABCD"
UNLIKE = {
    ("heart", "heart"): 0,
    ("sap", "sap"): 0,
    ("some sap", "some sap"): 0.25,
    ("sap", "some sap"): 0.5,
    ("heart", "some sap"): 0.75,
    ("heart", "sap"): 1,
}
WORDS = {"matched": "AAAA", "alternating": "ABAB", "halves": "AABB"}


def arrows(turn, flipped):
    """Where each face looks: face A down, anticlockwise B right, C up, D left; an end-for-end stave is mirrored."""
    looks = {"A": (0, -1), "B": (-1 if flipped else 1, 0), "C": (0, 1), "D": (1 if flipped else -1, 0)}
    for _ in range(turn):
        looks = {face: (-y, x) for face, (x, y) in looks.items()}
    return looks


def about(looks):
    """Every stave turned half about on its own axis."""
    return {face: (-x, -y) for face, (x, y) in looks.items()}


def meeting(at, looks, there, its):
    """The faces of two staves that lie together."""
    found = [
        (f, g)
        for (f, n), (g, m) in product(looks.items(), its.items())
        if (at[0] + n[0], at[1] + n[1]) == (there[0] + m[0], there[1] + m[1])
    ]
    (pair,) = found
    return pair


def beside(at, looks, there, its):
    """The faces of two neighbours that make one plane on the outside."""
    found = [
        (f, g)
        for (f, n), (g, m) in product(looks.items(), its.items())
        if n == m and n[0] * at[0] + n[1] * at[1] > 0 and n[0] * there[0] + n[1] * there[1] > 0
    ]
    (pair,) = found
    return pair


def inward(at, looks):
    """The two faces whose corner is at the middle of the block."""
    return {face for face, n in looks.items() if n[0] * at[0] < 0 or n[1] * at[1] < 0}


def rings(stave, face):
    if stave.ring_deg is None:
        return None
    to_a = stave.ring_deg
    if stave.bark_face:
        flat = min(to_a, 90 - to_a)
        to_a = flat if stave.bark_face in "AC" else 90 - flat
    return to_a if face in "AC" else 90 - to_a


def wood(stave, face):
    if stave.part == "mixed":
        return None if not stave.sap_faces else "some sap" if face in stave.sap_faces else "heart"
    return stave.part


def unlike(a, b):
    return 0.5 if a is None or b is None else UNLIKE[tuple(sorted((a, b)))]


def _joint(one, at, looks, flipped, other, there, its, its_flipped):
    """What a joint costs, in thousandths, with the weights as they ship."""
    first = meeting(at, looks, there, its)
    after = meeting(at, about(looks), there, about(its))
    out = beside(at, about(looks), there, about(its))
    a, b = rings(one, first[0]), rings(other, first[1])
    points = [4.0 if a is None or b is None else 8 * abs(cos(radians(a)) ** 2 - cos(radians(b)) ** 2)]
    pairs = ((2, first), (4, after), (8, out))
    points.append(sum(weight * unlike(wood(one, f), wood(other, g)) for weight, (f, g) in pairs))
    points.append(4 * _bark(one, at, looks, other, there, its))
    points.append(_grain(one, looks, flipped, other, its, its_flipped))
    p, q = one.labs.get(out[0]), other.labs.get(out[1])
    points.append(10.0 if p is None or q is None else min(20.0, 2 * dist(p, q)))
    r, s = one.traits.get(out[0]), other.traits.get(out[1])
    points.append(3.0 if r is None or s is None else 6.0 * (r != s))
    points.append(1.0 * (flipped != its_flipped))
    return sum(round(1000 * x) for x in points)


def _bark(one, at, looks, other, there, its):
    if not one.bark_face or not other.bark_face:
        return 0.5
    x, y = looks[one.bark_face]
    image = (-x, y) if at[1] == there[1] else (x, -y)  # in the plane of the joint
    m = its[other.bark_face]
    return {1: 0, 0: 0.5, -1: 1}[image[0] * m[0] + image[1] * m[1]]


def _grain(one, looks, flipped, other, its, its_flipped):
    if one.run_out is None or other.run_out is None:
        return 2.0
    a, b = 1 / one.run_out, 1 / other.run_out
    if not one.run_out_face or not other.run_out_face:
        return min(8.0, 40 * hypot(a, b))
    a, b = (-a if flipped else a), (-b if its_flipped else b)
    (x, y), (u, v) = looks[one.run_out_face], its[other.run_out_face]
    return min(8.0, 40 * hypot(a * x - b * u, a * y - b * v))


def states(end_for_end):
    return list(product(range(4), (False, True) if end_for_end else (False,)))


def cost(four, order, chosen, show=None):
    """What one arrangement costs: the staves by number and their (turn, flipped), corner by corner."""
    total = 0
    for p in range(4):
        q = (p + 1) % 4
        (turn, flip), (its_turn, its_flip) = chosen[p], chosen[q]
        one, other = four[order[p]], four[order[q]]
        looks, its = arrows(turn, flip), arrows(its_turn, its_flip)
        total += _joint(one, CORNERS[p], looks, flip, other, CORNERS[q], its, its_flip)
        total += _shown(one, CORNERS[p], looks, show)
    return total


def _shown(stave, at, looks, show):
    return round(1000 * 100 * sum(unlike(show, wood(stave, f)) for f in inward(at, looks)) / 2) if show else 0


def every_cost(four, pattern="matched", show=None, end_for_end=False) -> Iterator[int]:
    """What each of all arrangements costs, no symmetry used: 24 orders, every state of every stave."""
    word, all_states = WORDS[pattern], states(end_for_end)
    looks = [arrows(*state) for state in all_states]
    every, n = range(len(all_states)), range(4)
    tables = {}
    for p, i, j in product(n, n, n):
        if i != j:
            at, there = CORNERS[p], CORNERS[(p + 1) % 4]
            tables[p, i, j] = [
                [
                    _joint(four[i], at, looks[s], all_states[s][1], four[j], there, looks[t], all_states[t][1])
                    + _shown(four[i], at, looks[s], show)
                    for t in every
                ]
                for s in every
            ]
    turned = {word[k:] + word[:k] for k in n}
    for order in permutations(n):
        if pattern != "matched" and "".join(four[i].letter for i in order) not in turned:
            continue
        t0, t1, t2, t3 = (tables[p, order[p], order[(p + 1) % 4]] for p in n)
        for a, b, c, d in product(every, repeat=4):
            yield t0[a][b] + t1[b][c] + t2[c][d] + t3[d][a]
