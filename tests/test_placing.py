"""Four staves placed: equal to trying everything on paper, and what it says is what lies there."""

from collections import Counter
from dataclasses import replace
from itertools import permutations
from random import Random

import placed_by_hand as hand
import pytest

from stock.errors import Impossible
from stock.wood.placing import Stave, Weights, arrange

TRAITS = (frozenset(), frozenset(["curl"]), frozenset(["curl", "spalting"]))


def some_stave(rng, key, letter="A"):
    """Of each thing often nothing is known."""

    def maybe(value, share=0.7):
        return value if rng.random() < share else None

    part = maybe(rng.choice(["heart", "sap", "mixed", "mixed"]))
    faces = "ABCD"
    return Stave(
        key=key,
        letter=letter,
        ring_deg=maybe(rng.choice([0, 15, 30, 45, 60, 75, 90, rng.uniform(0, 90)])),
        part=part,
        sap_faces=maybe("".join(f for f in faces if rng.random() < 0.5)) if part == "mixed" else None,
        bark_face=maybe(rng.choice(faces), 0.6),
        run_out=maybe(rng.uniform(5, 60), 0.6),
        run_out_face=maybe(rng.choice(faces), 0.6),
        labs={f: (rng.uniform(40, 80), rng.uniform(0, 20), rng.uniform(10, 30)) for f in faces if rng.random() < 0.5},
        traits={f: rng.choice(TRAITS) for f in faces if rng.random() < 0.5},
    )


def some_four(seed, pattern):
    rng = Random(f"{pattern} {seed}")
    letters = list("AAAA" if pattern == "matched" else "AABB")
    rng.shuffle(letters)
    return [some_stave(rng, f"{n}K", letter) for n, letter in enumerate(letters, 1)], rng.choice([None, "heart", "sap"])


def cost_on_paper(four, placed, show):
    """The cost of an answer, from the turns that it tells the person."""
    by_key = {stave.key: n for n, stave in enumerate(four)}
    order = [by_key[one.key] for one in placed.staves]
    return hand.cost(four, order, [(one.turn_deg // 90, one.flipped) for one in placed.staves], show)


@pytest.mark.parametrize(("pattern", "many"), [("matched", 170), ("alternating", 170), ("halves", 170)])
def test_nothing_is_cheaper_of_all_there_is(pattern, many):
    for seed in range(many):
        four, show = some_four(seed, pattern)
        found = arrange(four, pattern, show=show)
        least = min(hand.every_cost(four, pattern, show))
        assert round(1000 * found.cost_points) == least == cost_on_paper(four, found, show), (pattern, seed)
        if pattern != "matched":
            letters = {stave.key: stave.letter for stave in four}
            assert "".join(letters[one.key] for one in found.staves) == hand.WORDS[pattern]


@pytest.mark.parametrize("pattern", ["matched", "alternating", "halves"])
def test_nothing_is_cheaper_with_staves_turned_end_for_end(pattern):
    for seed in range(1000, 1004):
        four, show = some_four(seed, pattern)
        found = arrange(four, pattern, show=show, end_for_end=True)
        least = min(hand.every_cost(four, pattern, show, end_for_end=True))
        assert round(1000 * found.cost_points) == least == cost_on_paper(four, found, show), (pattern, seed)
        assert least <= round(1000 * arrange(four, pattern, show=show).cost_points)
        assert sum(one.flipped for one in found.staves) <= 2


def test_there_are_as_many_arrangements_as_the_note_says():
    """Six orders of 4^4 without turning end for end; all 24 orders count each block four times."""
    four, _ = some_four(1, "matched")
    assert sum(1 for _ in hand.every_cost(four)) == 4 * 1536
    four, _ = some_four(1, "alternating")
    assert sum(1 for _ in hand.every_cost(four, "alternating")) == 8 * 4**4


def test_what_it_says_is_what_lies_there():
    for seed in range(40):
        four, show = some_four(seed, "matched")
        found = arrange(four, show=show, end_for_end=True)
        looks = [hand.arrows(one.turn_deg // 90, one.flipped) for one in found.staves]
        for p, (one, here) in enumerate(zip(found.staves, looks, strict=True)):
            assert one.corner == p + 1
            assert set(one.faces_in) == hand.inward(hand.CORNERS[p], here)
            assert set(one.faces_in_after) == hand.inward(hand.CORNERS[p], hand.about(here))
            assert {one.corner_in, one.corner_in_after} in ({1, 3}, {2, 4})
        for p, joint in enumerate(found.joints):
            q = (p + 1) % 4
            sides = (hand.CORNERS[p], looks[p], hand.CORNERS[q], looks[q])
            turned = (sides[0], hand.about(looks[p]), sides[2], hand.about(looks[q]))
            assert joint.corners == (p + 1, q + 1)
            assert (joint.first.here, joint.first.there) == hand.meeting(*sides)
            assert (joint.after.here, joint.after.there) == hand.meeting(*turned)
            assert (joint.outside.here, joint.outside.there) == hand.beside(*turned)
            assert joint.first.rings_deg == joint.after.rings_deg  # opposite faces: what matches once matches again


def test_the_terms_add_up_and_name_what_they_guess():
    for seed in range(20):
        four, show = some_four(seed, "matched")
        found = arrange(four, show=show)
        shown = found.terms.get("shown", 0)
        joints = Counter()
        for joint in found.joints:
            joints.update({name: round(1000 * points) for name, points in joint.terms.items()})
        assert sum(joints.values()) + round(1000 * shown) == round(1000 * found.cost_points)
        assert ("ring angle" in found.guessed) == any(stave.ring_deg is None for stave in four)
        assert "end for end" not in found.guessed


def test_the_same_four_in_any_order_are_placed_alike():
    for seed in range(10):
        four, show = some_four(seed, "matched")
        assert len({str(arrange(list(any_order), show=show)) for any_order in permutations(four)}) == 1


def test_four_that_nothing_is_known_of_are_placed_in_the_order_of_their_marks():
    found = arrange([Stave(key=key) for key in ("4D", "2B", "3C", "1A")], end_for_end=True)
    assert [one.key for one in found.staves] == ["1A", "2B", "3C", "4D"]
    assert {(one.faces_in, one.flipped) for one in found.staves} == {("AB", False)}
    assert found.cost_points > 0  # not known is never as good as alike
    assert found.guessed == ("ring angle", "heart and sap", "bark side", "run-out", "colour", "figure")


def test_the_corner_that_is_asked_for_comes_to_the_middle():
    four = [Stave(key=f"{n}K", part="mixed", sap_faces=faces) for n, faces in enumerate(("AB", "BC", "CD", "DA"), 1)]
    to_show = arrange(four, show="sap")
    assert {one.key: one.faces_in for one in to_show.staves} == {"1K": "AB", "2K": "BC", "3K": "CD", "4K": "DA"}
    to_hide = arrange(four, show="heart")
    assert {one.key: one.faces_in_after for one in to_hide.staves} == {"1K": "AB", "2K": "BC", "3K": "CD", "4K": "DA"}


def test_four_quarters_of_one_square_go_back_as_they_were_mirrored():
    """Ripped twice from a flat-sawn square, bark at the top: neighbours mirror each other, and every joint matches."""
    four = [Stave(key=f"{n}K", ring_deg=0, bark_face="C", part="heart") for n in range(1, 5)]
    found = arrange(four)
    assert found.terms["ring angle"] == found.terms["bark side"] == found.terms["heart and sap"] == 0
    four[3] = replace(four[3], bark_face=None)
    assert arrange(four).terms["bark side"] == 2 * 0.5 * Weights().bark


def test_the_bark_tells_which_faces_the_rings_lie_flat_to():
    """The face nearest the bark is the one that the rings run most nearly along."""
    plain, told = Stave(key="1A", ring_deg=15), Stave(key="1A", ring_deg=15, bark_face="D")
    assert [plain.ring_deg_of(face) for face in range(4)] == [15, 75, 15, 75]
    assert [told.ring_deg_of(face) for face in range(4)] == [75, 15, 75, 15]


def test_the_same_corner_of_all_four_sets_flat_against_quarter():
    """With all rings flat to A and the same corner inward everywhere, every joint is the worst; placing avoids it."""
    four = [Stave(key=f"{n}K", ring_deg=0) for n in range(1, 5)]
    same = sum(
        hand._joint(
            four[p],
            hand.CORNERS[p],
            hand.arrows(p, False),
            False,
            four[(p + 1) % 4],
            hand.CORNERS[(p + 1) % 4],
            hand.arrows((p + 1) % 4, False),
            False,
        )
        for p in range(4)
    )
    found = arrange(four)
    assert found.terms["ring angle"] == 0
    assert same - 1000 * found.cost_points == pytest.approx(4 * 8000)


def test_turning_end_for_end_is_used_when_it_helps_and_counted_when_told():
    """Grain that runs out to A in all but one, and bark sides that keep them from being turned about instead."""
    runs = [Stave(key=f"{n}K", run_out=6, run_out_face="A", bark_face="A") for n in range(1, 4)]
    four = [*runs, Stave(key="4K", run_out=6, run_out_face="C", bark_face="A")]
    still, turned = arrange(four), arrange(four, end_for_end=True)
    assert not any(one.flipped for one in still.staves)
    assert turned.cost_points < still.cost_points
    down = [one for one in turned.staves if one.flipped]
    assert 1 <= len(down) <= 2
    assert f"{down[0].key}, turned end for end, butt down" in down[0].words


def test_words():
    four = [Stave(key="1A", ring_deg=10, part="heart"), Stave(key="2B", ring_deg=45, part="mixed", sap_faces="AB")]
    found = arrange([*four, Stave(key="3C", ring_deg=80, part="sap"), Stave(key="4D")])
    first = found.staves[0]
    assert (
        first.words
        == f"corner 1: 1A, butt up, corner {first.faces_in} in first, {first.faces_in_after} after the reversal"
    )
    told = " ".join(side.words for joint in found.joints for side in (joint.first, joint.after, joint.outside))
    for words in ("of 1A (flat, heart)", "of 1A (quarter, heart)", "of 2B (rift, some sap)", "of 4D against"):
        assert words in f"{told} against", words


@pytest.mark.parametrize(
    ("four", "wish"),
    [
        ([Stave(key="1A")] * 4, {}),
        ([Stave(key=key) for key in "123"], {}),
        ([Stave(key=key) for key in "12345"], {}),
        ([Stave(key=key) for key in "1234"], {"pattern": "alternating"}),
        ([Stave(key=key, letter=letter) for key, letter in zip("1234", "ABBB", strict=True)], {"pattern": "halves"}),
        ([Stave(key=key) for key in "1234"], {"pattern": "spiral"}),
        ([Stave(key=key) for key in "1234"], {"show": "curl"}),
    ],
)
def test_what_cannot_be_placed_is_refused(four, wish):
    with pytest.raises(Impossible):
        arrange(four, **wish)


@pytest.mark.parametrize(
    "odd",
    [
        {"ring_deg": 91},
        {"ring_deg": float("nan")},
        {"run_out": 0},
        {"run_out": float("inf")},
        {"bark_face": "E"},
        {"bark_face": "AB"},
        {"sap_faces": "AE"},
        {"run_out_face": ""},
        {"labs": {"A": (float("nan"), 0, 0)}},
        {"labs": {"F": (50, 0, 0)}},
        {"traits": {"X": frozenset()}},
    ],
)
def test_what_no_stave_can_be_is_refused(odd):
    with pytest.raises(Impossible):
        Stave(key="1A", **odd)


@pytest.mark.parametrize("odd", [-1, float("nan"), float("inf")])
def test_weights_that_cannot_be_are_refused(odd):
    with pytest.raises(Impossible):
        Weights(ring=odd)
