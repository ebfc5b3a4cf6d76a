"""What each kind of evidence says of a piece, through the facts of a book: density, meters, settled weights, scales."""

from datetime import timedelta
from math import sqrt

import pytest

from stock.survey.courses import Reckoning
from stock.survey.ledgers import Family
from stock.survey.pieces import Pieces
from stock.yard.airing import air
from stock.yard.coating import seal
from stock.yard.metering import meter
from stock.yard.moving import move
from stock.yard.ovening import oven
from stock.yard.scaling import scales, scales_check
from stock.yard.shaping import plane, trim
from tests.lineages import MADE, ask, blank, iso, known, sawn, sectioned, weighed
from tests.said import day, g, mm, raw

# Wood Handbook FPL-GTR-282 (2021), Table 5-3b: black cherry, basic specific gravity 0.47; as it ships with the tool.
CHERRY_G = 0.47


def family_of(book, mark):
    some = known(book)
    pieces = Pieces(some)
    piece_id = next(piece.id for piece in pieces.all() if piece.mark == mark)
    root = pieces.root(piece_id)
    return Family(some, [root, *pieces.down(root)]), piece_id


# --- density and size


def test_density_and_size_alone_are_called_rough(page, book):
    (mark,) = sawn(page)
    weighed(page, mark, (20, 800))
    found = ask(book, mark)
    assert found.oven_dry_g == pytest.approx(1000 * CHERRY_G, rel=0.01)  # 2.5 x 2.5 x 40 cm sawn green
    assert found.oven_dry_sd_g / found.oven_dry_g == pytest.approx(sqrt(0.085**2 + 0.05**2 + 0.02**2), rel=0.02)
    assert found.by_density
    assert found.basis == "rough: the density of black cherry and its size; oven-dry a section"
    assert found.mc_high_pct - found.mc_low_pct > 40


def test_a_wood_without_a_figure_and_one_not_known_get_no_number(page, book):
    for species in ("", "unknown"):
        mark = blank(page, species)
        weighed(page, mark, (200, 560))
        found = ask(book, mark)
        assert found.mc_pct is found.oven_dry_g is None
        assert found.basis.startswith("none yet")


def test_a_rough_estimate_never_makes_a_piece_ready_nor_too_wet(page, book):
    """Steady weights near 8 % and near 13 % of a dry mass known to a tenth, where nobody told the air: unknown."""
    for mass in (508, 545):
        (mark,) = sawn(page)
        weighed(page, mark, *((at, mass) for at in range(100, 400, 30)))
        found = ask(book, mark, on=MADE + timedelta(days=390))
        assert found.verdict == "stable, moisture unknown"
        assert not found.judgement.ready
        assert "too roughly" in found.judgement.why


def test_a_section_takes_over_from_the_density(page, book):
    """W3 by weights: a density of sd 10 % is 5.5 % of an answer beside a section of sd 2.4 %."""
    (mark,) = sawn(page)
    sectioned(page, mark, after=760)
    weighed(page, mark, (200, 520))
    found = ask(book, mark)
    by_density = sum(one.share for one in found.evidence if one.kind in ("density", "volume"))
    assert 0.02 < by_density < 0.08
    assert not found.by_density
    assert found.oven_dry_g == pytest.approx(760 / (61.4 / 36.9), rel=0.01)


def test_a_wood_told_wrongly_is_named_and_makes_nothing_contradictory(page, book):
    """A section that says 0.75 g/cm3 of what is called black cherry: the wood or the size is asked about."""
    (mark,) = sawn(page)
    sectioned(page, mark, after=1165)
    weighed(page, mark, (200, 800))
    found = ask(book, mark)
    assert found.verdict != "contradictory"
    (doubt,) = found.doubts
    assert "section of 2 Mar 2025" in doubt
    assert doubt.endswith("is it this wood? its size?")
    assert found.oven_dry_g == pytest.approx(1165 / (61.4 / 36.9), rel=0.035)


def test_weighing_less_than_such_wood_can_is_a_contradiction_about_wood_and_size(page, book):
    (mark,) = sawn(page)
    weighed(page, mark, (200, 330))
    found = ask(book, mark)
    assert found.verdict == "contradictory"
    assert "is it this wood? its size?" in found.judgement.why


def test_a_size_measured_long_after_had_shrunk(page, book):
    """Black cherry shrinks 11.5 % in volume (Wood Handbook FPL-GTR-190, Table 4-3): half of it is put back."""
    (fresh,), (old,) = sawn(page), sawn(page, felled="2023-02")
    weighed(page, fresh, (20, 900))
    weighed(page, old, (20, 900))
    first, second = ask(book, fresh), ask(book, old)
    assert second.oven_dry_g / first.oven_dry_g == pytest.approx(1 / (1 - 0.5 * 0.115), rel=0.002)
    assert second.oven_dry_sd_g / second.oven_dry_g > first.oven_dry_sd_g / first.oven_dry_g


def test_a_genus_or_a_guess_is_a_wider_start(page, book):
    sure, guess = blank(page, "black cherry", sure="certain"), blank(page, "black cherry", sure="guess")
    for mark in (sure, guess):
        weighed(page, mark, (20, 900))
    narrow, wide = ask(book, sure), ask(book, guess)
    assert wide.oven_dry_g == pytest.approx(narrow.oven_dry_g, rel=0.001)
    assert wide.oven_dry_sd_g > 1.2 * narrow.oven_dry_sd_g


def test_the_section_of_one_sister_sharpens_the_density_of_the_tree(page, book):
    """W4: a sister without a section, 7.2 % instead of 10.1 %."""
    one, other = sawn(page, 2)
    weighed(page, other, (100, 800))
    before = ask(book, other)
    with page() as p:
        oven(p, piece=one, on=day(iso(200)), wet=g(45), dry=g(40), after=g(560), step=g(0.1))
    after = ask(book, other)
    assert after.oven_dry_sd_g / after.oven_dry_g == pytest.approx(0.072, abs=0.003)
    assert after.oven_dry_sd_g < 0.8 * before.oven_dry_sd_g
    assert after.by_density


def test_a_section_with_its_volume_is_a_sample_of_the_density(page, book):
    one, other = sawn(page, 2)
    weighed(page, other, (200, 560))
    before = ask(book, other)
    with page() as p:
        oven(p, piece=one, on=day(iso(100)), wet=g(45), dry=g(40), volume=raw(70, "70 cm3"), step=g(0.1))
    after = ask(book, other)
    assert before.oven_dry_g < after.oven_dry_g < 1000 * 40 / 70  # denser than cherry is said to be
    assert "section's density" in after.basis


# --- meters


def read(page, mark, pct, on=200, **told):
    with page() as p:
        meter(p, piece=mark, reading=raw(pct, f"{pct} %"), on=day(iso(on)), **told)


def test_a_meter_reading_beside_a_weighing_tells_the_dry_mass(page, book):
    mark = blank(page)
    weighed(page, mark, (201, 560))
    read(page, mark, 20, wood=raw(20.0, "20C"))
    found = ask(book, mark)
    assert found.oven_dry_g == pytest.approx(560 / 1.2, rel=0.001)
    # 3.5 points, half as much again as nobody knows whether it had settled, of 120; a weighing a day apart adds 0.3 %
    assert found.oven_dry_sd_g / found.oven_dry_g == pytest.approx(1.5 * 0.035 / 1.2, rel=0.01)
    assert found.basis == "its meter reading of 18 Sep 2025, 20 %"


def test_cold_wood_is_corrected_unless_the_meter_does_it(page, book):
    """Pfaff and Garrahan (1986), computed table: 15 % in wood at 5 C is 16.7 %."""
    for corrected, expected in ((False, 16.7), (True, 15.0)):
        mark = blank(page)
        weighed(page, mark, (200, 560))
        read(page, mark, 15, wood=raw(5.0, "5C"), already_corrected=corrected)
        assert ask(book, mark).mc_pct == pytest.approx(expected, abs=0.06)


@pytest.mark.parametrize("shown", [27.0, 5.0])
def test_readings_out_of_range_or_far_from_a_weighing_tell_nothing(page, book, shown):
    mark = blank(page)
    weighed(page, mark, (200, 560))
    read(page, mark, shown)
    read(page, mark, 12, on=210)
    assert ask(book, mark).mc_pct is None


def test_twenty_readings_do_not_outvote_a_section(page, book):
    mark = blank(page)
    sectioned(page, mark)
    weighed(page, mark, (200, 590))
    alone = ask(book, mark)
    for _ in range(20):
        read(page, mark, 10)
    after = ask(book, mark)
    by_meter = sum(one.share for one in after.evidence if one.kind == "meter")
    assert by_meter < 0.3
    assert alone.mc_pct - 2 < after.mc_pct < alone.mc_pct


def test_a_meter_set_for_the_wood_is_surer(page, book):
    spreads = []
    for set_for in ("oak", "black cherry"):
        mark = blank(page, "black cherry")
        weighed(page, mark, (200, 560))
        read(page, mark, 12, set_for=set_for)
        spreads.append(next(r.variance for r in family_of(book, mark)[0].rows if "meter reading" in r.words))
    assert spreads[1] < 0.5 * spreads[0]


# --- settled weights


def settled(page, mark, place, mass, first, temp=20.0, rh=45.0):
    """Lie in a place of told air (45 % at 20 C keeps wood at 8.4 %) and weigh the same for half a year."""
    with page() as p:
        move(p, pieces=[mark], to=place, on=day(iso(first)))
        for month in range(1, 13):
            air(p, place=place, on=day(iso(first)), temp=raw(temp, str(temp)), rh=raw(rh, str(rh)), month=month)
    weighed(page, mark, *((at, mass) for at in range(first + 30, first + 220, 30)))


def test_a_weight_that_settled_tells_the_dry_mass(page, book):
    """EMC of 20 C and 45 %: 8.4 % (Wood Handbook FPL-GTR-282, Table 4-2: 8.5 at 21 C); wood stays a point above."""
    mark = blank(page)
    settled(page, mark, "shop", 548, 0)
    found = ask(book, mark, on=MADE + timedelta(days=230))
    assert found.mc_pct == pytest.approx(8.4 + 1.0, abs=0.15)
    assert found.mc_sd_pct == pytest.approx(sqrt(0.9**2 + found.air.sd_pct**2), rel=0.1)
    assert "weight, settled where the air keeps wood near 8 %" in found.basis


def test_it_still_tells_it_after_a_move_and_a_trim(page, book):
    mark = blank(page)
    settled(page, mark, "shop", 548, 0)
    before = ask(book, mark, on=MADE + timedelta(days=230))
    with page() as p:
        move(p, pieces=[mark], to="attic", on=day(iso(240)))
        trim(p, piece=mark, on=day(iso(241)), before=g(548), after=g(411))
        plane(p, piece=mark, on=day(iso(242)), width=mm(48), thickness=mm(48), before=g(411), after=g(379))
    weighed(page, mark, (250, 379))
    after = ask(book, mark, on=MADE + timedelta(days=260))
    assert after.mc_pct == pytest.approx(before.mc_pct, abs=0.2)
    assert after.oven_dry_g == pytest.approx(before.oven_dry_g * 379 / 548, rel=0.003)
    assert any("settled" in one.words for one in after.evidence)


def test_a_piece_coated_all_over_settles_nowhere(page, book):
    mark = blank(page)
    with page() as p:
        seal(p, pieces=[mark], on=day(iso(0)), where="all", before=g(560), after=g(560))
    settled(page, mark, "shop", 548, 1)
    assert ask(book, mark, on=MADE + timedelta(days=231)).mc_pct is None


def test_what_settled_before_the_coat_still_counts(page, book):
    mark = blank(page)
    settled(page, mark, "shop", 548, 0)
    with page() as p:
        seal(p, pieces=[mark], on=day(iso(230)), where="all", before=g(548), after=g(554))
    weighed(page, mark, (231, 554))
    assert ask(book, mark, on=MADE + timedelta(days=240)).mc_pct == pytest.approx(9.4, abs=0.5)


def test_sisters_that_settled_in_one_place_share_the_error_of_its_air(page, book):
    one, other = sawn(page, 2, species="unknown")
    settled(page, one, "shop", 548, 0)
    settled(page, other, "shop", 530, 0)
    reckoning = Reckoning(known(book, MADE + timedelta(days=230)))
    ids = {piece.mark: piece.id for piece in reckoning.pieces.all()}
    first = reckoning.of(ids[one])
    shared = reckoning.covariance(ids[one], ids[other])
    assert sqrt(shared) == pytest.approx(first.air.sd_pct, rel=0.15)
    assert shared < first.mc_sd_pct**2


# --- scales that were never checked


def test_the_zero_of_unchecked_scales_counts_once_where_there_are_two(page, book):
    """Luggage scales of 5 g, never checked: a step off zero on 560 g is 0.9 %, beside a section of 2.4 %."""

    def spread(check: bool) -> float:
        mark = blank(page)
        with page() as p:
            scales(p, name=f"fine {check}", step=g(0.1), on=day(iso(0)))
            scales(p, name=f"coarse {check}", step=g(5), on=day(iso(0)))
            if check:
                scales_check(p, name=f"coarse {check}", true=g(500), read=g(500), on=day(iso(1)))
        sectioned(page, mark)
        weighed(page, mark, (0, 842), scales=f"fine {check}")
        weighed(page, mark, (200, 560), scales=f"coarse {check}")
        return ask(book, mark).mc_sd_pct ** 2

    unchecked, checked = spread(False), spread(True)
    points = 560 / 506.02
    assert unchecked - checked == pytest.approx((100 * points * 5 / 560) ** 2, rel=0.05)


def test_on_one_scales_no_zero_is_reckoned(page, book):
    mark = blank(page)
    sectioned(page, mark)
    weighed(page, mark, (200, 560))
    family, _ = family_of(book, mark)
    assert not any(row.kind == "zero" for row in family.rows)


# --- two facts that disagree


def test_two_facts_that_disagree_are_both_named_with_what_to_look_at(page, book):
    mark = blank(page)
    sectioned(page, mark)
    weighed(page, mark, (200, 590))
    with page() as p:  # a second section that was forgotten on the bench: 2 %, where the first says 16.6
        oven(p, piece=mark, on=day(iso(200)), wet=g(36), dry=g(35.3), step=g(0.1))
    found = ask(book, mark)
    assert found.verdict == "contradictory"
    for words in ("section of 2 Mar 2025", "section of 18 Sep 2025", "was the slice weighed at once"):
        assert words in found.judgement.why


def test_a_meter_against_a_section_says_what_to_look_at(page, book):
    mark = blank(page, "black cherry", sure="certain", side=58)
    sectioned(page, mark)
    weighed(page, mark, (200, 700))
    read(page, mark, 8, set_for="black cherry")
    found = ask(book, mark)
    assert found.verdict == "contradictory"
    assert "did it read the surface only" in found.judgement.why


# --- what more could be known


def test_what_a_second_section_would_bring(page, book):
    mark = blank(page)
    sectioned(page, mark)
    weighed(page, mark, (200, 590))
    found = ask(book, mark)
    more = found.further.narrowed
    assert more.which == "a second section"
    assert more.now_pct == pytest.approx((found.mc_low_pct, found.mc_high_pct), abs=0.01)
    with page() as p:
        oven(p, piece=mark, on=day(iso(200)), wet=g(37 * 1.166), dry=g(37), after=g(590), step=g(0.1))
    then = ask(book, mark)
    assert then.mc_high_pct - then.mc_low_pct == pytest.approx(more.then_pct[1] - more.then_pct[0], rel=0.1)


def test_its_own_section_against_one_of_a_sister(page, book):
    one, other = sawn(page, 2)
    for mark in (one, other):
        weighed(page, mark, (200, 560))
    more = ask(book, one).further.narrowed
    assert more.which == "a section of it"
    sister, by_hers = more.by_sister
    assert sister == other
    widths = [high - low for low, high in (more.then_pct, by_hers, more.now_pct)]
    assert widths == sorted(widths)


def test_a_piece_of_which_nothing_is_known_hears_what_a_section_would_tell(page, book):
    mark = blank(page)
    weighed(page, mark, (200, 560))
    more = ask(book, mark).further.narrowed
    assert more.now_pct is None
    assert 4 < more.then_pct[1] - more.then_pct[0] < 8


def test_a_slice_in_the_oven_and_why_a_sisters_section_does_not_count(page, book):
    one, other = sawn(page, 2)
    with page() as p:
        oven(p, piece=one, on=day(iso(0)), wet=g(61.4), dry=g(36.9), before=g(842), step=g(0.1))
    weighed(page, other, (20, 700))
    with page() as p:
        oven(p, piece=other, on=day(iso(20)), wet=g(50), after=g(650))
    more = ask(book, other).further
    assert more.in_oven == (("1", MADE + timedelta(days=20)),)
    assert more.not_counted == (
        f"the section of {one} of 2 Mar 2025 does not tell its moisture: it was not weighed within 3 days of it"
    )


def test_a_section_of_a_sister_that_lay_long_does_not_count(page, book):
    one, other = sawn(page, 2)
    with page() as p:
        oven(p, piece=one, on=day(iso(300)), wet=g(43.6), dry=g(40), before=g(440), step=g(0.1))
    weighed(page, other, (300, 470))
    assert ask(book, other).further.not_counted.endswith("one of them had lain for more than 30 days")
