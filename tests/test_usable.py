"""What is left of a blank after its flaws. The allowances are common practice, no source; the sums are arithmetic."""

import random

import pytest

from stock.errors import Impossible
from stock.wood.flaws import BARRING_KINDS, DEFECT_KINDS, Flaw
from stock.wood.usable import CLEAN_MM, clear_lengths, usable, usable_length, usable_square

INCH = 25.4


def inches(mm):
    return f"{mm / INCH:g} in"


# length ------------------------------------------------------------------------------------------------------------


def test_trap_14_two_end_checks_leave_nine_of_twelve_inches_and_the_sum_is_shown():
    left = usable_length(12 * INCH, 1.25 * INCH, 0.75 * INCH)
    assert left.mm == pytest.approx(9 * INCH)
    assert left.words(inches) == (
        "length 12 in - 1.25 in end check at the butt end - 0.75 in end check at the top end"
        " - 0.5 in clean wood at the butt end - 0.5 in clean wood at the top end = 9 in"
    )
    assert left.arithmetic.startswith("length 304.8 mm - 31.8 mm end check at the butt end")
    assert left.arithmetic.endswith("= 228.6 mm")


def test_an_end_without_a_check_still_loses_its_clean_wood():
    assert usable_length(320, 22).mm == pytest.approx(320 - 22 - 2 * CLEAN_MM)
    assert usable_length(320).mm == pytest.approx(320 - 2 * CLEAN_MM)
    assert usable_length(320, clean_mm=0).mm == 320


def test_a_piece_checked_through_leaves_nothing_and_not_less():
    assert usable_length(100, 80, 80).mm == 0
    assert usable_length(20).mm == 0
    assert usable_length(100, 500).mm == 0


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), -1])
def test_lengths_that_cannot_be_are_refused(bad):
    for measures in ((bad, 0, 0), (300, bad, 0), (300, 0, bad), (300, 0, 0, bad)):
        with pytest.raises(Impossible):
            usable_length(*measures)


def test_clear_stretches_lie_between_the_flaws_longest_first():
    knot = Flaw("knot", face="A", from_butt_mm=150, length_mm=20)
    checks = Flaw("end check", end="both", length_mm=30)
    top, butt = clear_lengths(400, [knot, checks], clean_mm=10)
    assert (top.from_butt_mm, top.length.mm) == (180, 400 - 170 - 30 - 20)
    assert (butt.from_butt_mm, butt.length.mm) == (40, 150 - 30 - 20)
    assert "up to the knot" in top.length.arithmetic
    assert "beyond the knot" in butt.length.arithmetic


def test_the_longest_check_of_an_end_counts():
    checks = [Flaw("end check", end="top", length_mm=mm) for mm in (10, 40, 25)]
    assert clear_lengths(200, checks, 0)[0].length.mm == 160


def test_a_check_whose_end_is_not_known_is_put_where_it_leaves_less():
    butt = Flaw("end check", end="butt", length_mm=40)
    somewhere = Flaw("split", length_mm=30)
    assert clear_lengths(200, [butt, somewhere], 0)[0].length.mm == 130
    assert clear_lengths(200, [somewhere, butt], 0)[0].length.mm == 130


def test_a_split_in_the_middle_is_cut_out_there():
    longest = clear_lengths(200, [Flaw("split", from_butt_mm=20, length_mm=60)], 0)[0]
    assert (longest.from_butt_mm, longest.length.mm) == (80, 120)


def test_clear_stretches_against_a_stick_marked_millimetre_by_millimetre():
    dice = random.Random(7)
    for _ in range(200):
        length = dice.randrange(1, 120)
        flaws = [
            Flaw("knot", from_butt_mm=dice.randrange(length), length_mm=dice.randrange(1, 30))
            for _ in range(dice.randrange(5))
        ]
        flaws += [Flaw("end check", end=end, length_mm=dice.randrange(25)) for end in ("butt", "top")]
        clear = [True] * length
        for flaw in flaws:
            long = min(flaw.length_mm, length)
            start = {"butt": 0, "top": length - long, None: flaw.from_butt_mm}[flaw.end]
            clear[int(start) : int(start + long)] = [False] * len(clear[int(start) : int(start + long)])
        runs = sorted(map(len, "".join(" x"[c] for c in clear).split()), reverse=True)
        found = clear_lengths(length, flaws, clean_mm=0)
        assert [stretch.length.mm for stretch in found if stretch.length.mm] == runs
        for stretch in found:
            if stretch.length.mm:
                begin = int(stretch.from_butt_mm)
                assert all(clear[begin : begin + int(stretch.length.mm)])


# square ------------------------------------------------------------------------------------------------------------


def test_the_square_is_what_the_smaller_side_leaves_after_planing():
    left = usable_square(52, 50, planing_mm=1.5)
    assert left.mm == 47
    assert left.arithmetic == "thickness 50.0 mm - 3.0 mm planing of both faces = 47.0 mm"


def test_wane_is_taken_off_the_side_that_can_spare_it():
    assert usable_square(60, 51, planing_mm=1.5, wane_mm=5).mm == 48
    assert usable_square(51, 60, planing_mm=1.5, wane_mm=12).mm == 45
    assert usable_square(50, 50, planing_mm=1.5, wane_mm=4).mm == 43


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), -1])
def test_sides_that_cannot_be_are_refused(bad):
    for measures in ((bad, 50), (50, bad), (50, 50, bad), (50, 50, 1, bad)):
        with pytest.raises(Impossible):
            usable_square(*measures)


def test_a_surface_check_deeper_than_planing_costs_its_depth_on_its_face():
    clear = usable(52, 52, 300, [Flaw("surface check", face="A", depth_mm=3)], planing_mm=1.5)
    assert (clear.width_mm, clear.thickness_mm) == (52, 50.5)
    assert clear.square.mm == 47.5
    assert "3.0 mm surface check on face A" in clear.square.arithmetic
    assert not clear.barred


def test_a_surface_check_that_planing_takes_away_costs_nothing():
    shallow = Flaw("surface check", face="A", depth_mm=1)
    assert usable(52, 52, 300, [shallow]).square.mm == usable(52, 52, 300).square.mm


def test_flaws_on_opposite_faces_add_up_and_on_one_face_do_not():
    def square(*faces):
        flaws = [Flaw("surface check", face=face, depth_mm=depth) for face, depth in faces]
        return usable(52, 52, 300, flaws, planing_mm=1.5).square.mm

    assert square(("A", 3), ("A", 2)) == 47.5
    assert square(("A", 3), ("C", 2)) == 47
    assert square(("B", 3), ("D", 2)) == 47
    assert square(("A", 3), ("B", 2)) == 47.5


def test_a_warp_on_no_named_face_is_charged_to_the_smaller_side():
    clear = usable(60, 52, 300, [Flaw("bow", depth_mm=4), Flaw("twist", depth_mm=2.5)], planing_mm=1.5)
    assert clear.square.mm == 52 - 4 - 2.5
    assert clear.width_mm == 60


# what bars ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["ring shake", "heart shake", "punk", "bark inclusion", "loose knot"])
def test_shake_punk_bark_and_loose_knots_bar_always(kind):
    for severity in ("slight", "moderate", "severe", "unknown"):
        flaw = Flaw(kind, from_butt_mm=10, length_mm=1, depth_mm=1, severity=severity)
        assert usable(52, 52, 300, [flaw]).barred == (kind,)


def test_so_do_hidden_checks_pith_metal_and_a_joint_that_failed():
    assert {"honeycomb", "pith", "metal", "glue failure"} <= BARRING_KINDS


@pytest.mark.parametrize(
    ("flaw", "says"),
    [
        (Flaw("end check", end="butt"), "end check at the butt end, length not recorded"),
        (Flaw("split"), "split, length not recorded"),
        (Flaw("surface check", face="B"), "surface check on face B, depth not recorded"),
        (Flaw("repair"), "repair, place not recorded"),
        (Flaw("spalt", severity="severe"), "spalt, severe"),
        (Flaw("insect holes", severity="severe"), "insect holes, severe"),
        (Flaw("cup", severity="severe"), "cup, depth not recorded"),
    ],
)
def test_what_crosses_a_glue_face_bars_until_it_is_measured(flaw, says):
    (bar,) = usable(52, 52, 300, [flaw]).barred
    assert bar.startswith(says)


@pytest.mark.parametrize(
    "flaw",
    [
        Flaw("end check", end="top", length_mm=20),
        Flaw("surface check", face="B", depth_mm=2),
        Flaw("repair", from_butt_mm=30, length_mm=10),
        Flaw("knot", from_butt_mm=30, length_mm=10),
        Flaw("wane", depth_mm=3),
        Flaw("stain", severity="slight"),
        Flaw("other"),
    ],
)
def test_what_is_measured_or_only_looks_does_not(flaw):
    assert not usable(52, 52, 300, [flaw]).barred


@pytest.mark.parametrize(
    ("flaw", "says"),
    [
        (Flaw("stain"), "metal"),
        (Flaw("knot"), "glue face"),
        (Flaw("spalt", severity="slight"), "nail"),
        (Flaw("case-hardening"), "pinch"),
        (Flaw("twist"), "depth not recorded"),
    ],
)
def test_what_only_the_eye_can_judge_is_pointed_out(flaw, says):
    clear = usable(52, 52, 300, [flaw])
    assert not clear.barred
    assert says in clear.cautions[0]


def test_a_blank_without_flaws_has_nothing_to_say():
    clear = usable(52, 50, 300)
    assert (clear.barred, clear.cautions) == ((), ())
    assert (clear.width_mm, clear.thickness_mm, clear.from_butt_mm) == (52, 50, CLEAN_MM)


def test_every_kind_of_the_trade_is_known_and_takes_something_or_says_something():
    """Each kind at its worst bars, shortens or narrows; none passes in silence."""
    whole = usable(52, 52, 300)
    assert len(DEFECT_KINDS) == 29
    for kind in DEFECT_KINDS:
        worst = usable(52, 52, 300, [Flaw(kind, end="butt", length_mm=40, depth_mm=6, severity="severe")])
        assert worst.barred or worst.length.mm < whole.length.mm or worst.square.mm < whole.square.mm, kind


@pytest.mark.parametrize(
    "wrong",
    [
        {"kind": "crack"},
        {"kind": "knot", "end": "left"},
        {"kind": "knot", "length_mm": float("nan")},
        {"kind": "knot", "depth_mm": -1},
        {"kind": "knot", "from_butt_mm": float("inf")},
    ],
)
def test_flaws_that_cannot_be_are_refused(wrong):
    with pytest.raises(Impossible):
        Flaw(**wrong)
