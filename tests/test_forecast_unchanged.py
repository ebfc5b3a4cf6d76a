"""What must not change a forecast, and what must: `stock.wood.forecast`."""

from dataclasses import replace
from itertools import pairwise
from math import inf, log, sqrt

import numpy as np
import pytest
from squares import ROUNDS, SHED, SHOP, YEARS, course, drying, weights, width

from stock.wood.drying import AboveAir, Air, Below, Drying
from stock.wood.forecast import forecast, forecast_many


def numbers(told):
    """All numbers of a forecast but its days."""
    dates = [day for reached in told.reached for day in (*reached.days, reached.never)]
    return [*told.mc_pct, *told.middle_pct, *told.ln_tau, *(inf if day is None else day for day in dates)]


@pytest.mark.parametrize("factor", [2.0, 0.45359237, 1000.0])
def test_the_unit_of_weight_does_not_matter(factor):
    asked = drying(5)
    its = asked.course
    scaled = replace(
        its,
        net_g=tuple(factor * net for net in its.net_g),
        sd_g=tuple(factor * sd for sd in its.sd_g),
        ln_dry=(its.ln_dry[0] + log(factor), its.ln_dry[1]),
        volume_cm3=factor * its.volume_cm3,
    )
    assert numbers(forecast(replace(asked, course=scaled))) == pytest.approx(numbers(forecast(asked)), abs=1e-7, rel=0)


@pytest.mark.parametrize("days", [365.0, 738000.0, -100.0])
def test_all_dates_moved_change_nothing_else(days):
    asked = drying(5, targets=(Below(15.0),))
    moved = replace(
        asked,
        course=replace(asked.course, days=tuple(day + days for day in asked.course.days)),
        air=replace(asked.air, days=tuple(day + days for day in asked.air.days)),
    )
    here, there = forecast(asked), forecast(moved)
    assert list(there.mc_pct) == pytest.approx(list(here.mc_pct), abs=1e-8, rel=0)
    assert [day - days for day in there.reached[0].days] == pytest.approx(list(here.reached[0].days), abs=1e-6, rel=0)
    assert there.last_day == here.last_day + days


def test_a_year_later_is_the_same_where_the_air_is_the_same():
    asked = drying(5, targets=(Below(15.0),))
    later = replace(asked, course=replace(asked.course, days=tuple(day + 365 for day in asked.course.days)))
    here, there = forecast(asked), forecast(later)
    assert [day - 365 for day in there.reached[0].days] == pytest.approx(list(here.reached[0].days), abs=1e-6, rel=0)


def some_pieces():
    """Pieces of all kinds, few and many weighings."""
    found = [drying(count) for count in (1, 2, 3, 5, 8, 12, 16)]
    found += [drying(count, air=SHOP, side_mm=30.0, dry_sd=0.1) for count in (4, 9)]
    found.append(drying(4, ln_dry=None, density_g_cm3=None))
    shared = course(weights(500, ROUNDS[:6]), shared_g=((10.0, 10.0, 9.0, 0.0, 0.0, 0.0), (3.0,) * 6))
    found.append(Drying(shared, SHED, (Below(15.0),)))
    return found


def test_what_stands_beside_a_piece_does_not_matter():
    pieces = some_pieces()
    together = forecast_many(pieces)
    assert together == [forecast(piece) for piece in pieces]
    assert together == forecast_many(pieces[::-1])[::-1]


def test_many_pieces_are_done_in_parts():
    few = [drying(count) for count in (3, 5, 8)]
    assert forecast_many(few * 100) == forecast_many(few) * 100


def test_the_seed_decides_and_hardly_matters():
    asked = drying(5)
    assert forecast(asked, seed=3) == forecast(asked, seed=3)
    many = [forecast(asked, seed=seed) for seed in range(5)]
    assert len({told.mc_pct.median for told in many}) > 1
    for value in (lambda told: told.mc_pct.low, lambda told: told.mc_pct.median, lambda told: told.mc_pct.high):
        assert np.ptp([value(told) for told in many]) < 0.3 * width(many[0].mc_pct)
    assert np.ptp([told.reached[0].p_by(300) for told in many]) < 0.15


def test_the_order_of_weighings_does_not_matter():
    asked = drying(6)
    its = asked.course
    mixed = (3, 0, 5, 1, 4, 2)
    shuffled = replace(its, days=tuple(its.days[i] for i in mixed), net_g=tuple(its.net_g[i] for i in mixed))
    assert forecast(replace(asked, course=shuffled)) == forecast(asked)


def test_weighings_of_one_day_are_averaged():
    asked = drying(4)
    its = asked.course
    twice = replace(
        its,
        days=(*its.days, its.days[-1]),
        net_g=(*its.net_g[:-1], its.net_g[-1] - 2, its.net_g[-1] + 2),
        sd_g=(1.0, 1.0, 1.0, sqrt(2), sqrt(2)),
    )
    told, plain = forecast(replace(asked, course=twice)), forecast(asked)
    assert told.weighings == 4
    assert numbers(told) == pytest.approx(numbers(plain))


@pytest.mark.parametrize("at", range(1, 6))
def test_one_blunder_moves_it_a_little(at):
    asked = drying(7, noise=0.5)
    its = asked.course
    plain = forecast(asked)
    for wrong in (30.0, -30.0):
        net = tuple(net + wrong * (i == at) for i, net in enumerate(its.net_g))
        told = forecast(replace(asked, course=replace(its, net_g=net)))
        assert abs(told.mc_pct.median - plain.mc_pct.median) < 1.0 * width(plain.mc_pct)
        remaining = plain.reached[0].days.likely - plain.last_day
        assert told.reached[0].days.likely - told.last_day == pytest.approx(remaining, rel=0.35)


@pytest.mark.parametrize("wrong", [30.0, -30.0])
@pytest.mark.parametrize("at", [0, -1])
@pytest.mark.parametrize("count", [6, 8])
def test_a_blunder_at_an_end_moves_it_by_no_more_than_it_weighs(count, at, wrong):
    """All drying is counted from the first weight, and no later one contradicts the newest: it is believed, and the
    moisture moves by what 30 g are of the dry wood. The date moves by up to a factor of two. That is why a surprising
    weight is asked about when it is entered."""
    asked = drying(count, air=SHOP, noise=0.5, targets=(Below(12.0),))
    its = asked.course
    net = list(its.net_g)
    net[at] += wrong
    plain, told = forecast(asked), forecast(replace(asked, course=replace(its, net_g=tuple(net))))
    moved = told.mc_pct.median - plain.mc_pct.median
    assert abs(moved) < 0.3 * width(plain.mc_pct) if at == 0 else 0.4 < moved / (100 * wrong / 500) < 1.1
    here, there = (one.reached[0].days.likely - one.last_day for one in (plain, told))
    assert 1 / 2 < there / here < 2


@pytest.mark.parametrize("at", [2, 4])
def test_a_large_blunder_moves_it_no_more_than_a_middling_one(at):
    """A digit lost: beyond some size a weight is no longer believed at all."""
    asked = drying(7, noise=0.5)
    its = asked.course
    plain = forecast(asked).mc_pct
    moved = []
    for wrong in (150.0, 300.0, 500.0):
        net = tuple(net + wrong * (i == at) for i, net in enumerate(its.net_g))
        moved.append(abs(forecast(replace(asked, course=replace(its, net_g=net))).mc_pct.median - plain.median))
    assert max(moved) < 1.0 * width(plain)
    assert moved[2] <= moved[0] + 0.5


def test_a_better_section_never_widens_the_moisture():
    for count in (2, 5, 9):
        widths = [width(forecast(drying(count, dry_sd=sd)).mc_pct) for sd in (0.10, 0.05, 0.025, 0.0125)]
        assert widths == sorted(widths, reverse=True)


@pytest.mark.parametrize(("draws", "rounding_pct"), [(128, 0.8), (2048, 0.1)])
@pytest.mark.parametrize(("tau", "emission"), [(45, 1.0), (90, 3.0), (180, 1.0)])
def test_a_true_weighing_never_widens_what_is_known(tau, emission, draws, rounding_pct):
    """Weighings of wood that dries as the law has it, added one by one, in air without seasons: what they leave open of
    the moisture at the newest grows by less than moisture is rounded to. What growth there is comes of the draws: with
    sixteen times as many it is a tenth of a point, and of the dates a twentieth."""
    net = weights(500, ROUNDS[:11], SHOP, tau=tau, emission=emission, noise=1.0)
    told = [forecast(Drying(course(net[:count]), SHOP, (Below(12.0),)), draws=draws) for count in range(2, 12)]
    for before, after in pairwise(told):
        assert width(after.mc_pct) <= width(before.mc_pct) + rounding_pct
        if draws > 1000:
            assert after.ln_dry[1] <= before.ln_dry[1] + 0.0005
            apart = [one.reached[0].days.late - one.reached[0].days.early for one in (before, after)]
            assert apart[1] <= 1.05 * apart[0]
    assert width(told[-1].mc_pct) < 0.5 * width(told[0].mc_pct)


def test_unsure_air_makes_unsure_dates():
    sure, unsure = (
        forecast(drying(7, air=replace(SHED, emc_sd_pct=sd), targets=(AboveAir(2.0),))).reached[0] for sd in (0.3, 2.0)
    )
    assert unsure.never > sure.never + 0.05
    assert sure.days.late is not None
    assert unsure.days.last is None


def test_damper_air_dries_later():
    damp = replace(SHED, emc_pct=tuple(emc + 2 for emc in SHED.emc_pct))
    dry, wet = (forecast(drying(4, air=air, targets=(Below(16.0),))).reached[0] for air in (SHED, damp))
    assert wet.days.likely > dry.days.likely + 20


def test_cold_air_dries_later():
    cold = replace(SHED, temp_c=tuple(temp - 10 for temp in SHED.temp_c))
    warm, late = (forecast(drying(1, air=air, targets=(Below(20.0),))).reached[0] for air in (SHED, cold))
    assert late.days.likely > 1.4 * warm.days.likely


def test_a_move_to_a_heated_shop_dries_sooner():
    at = float(ROUNDS[3])
    days = tuple(day for day in YEARS if day < at)
    moved = Air(
        (*days, at, at + 0.01),
        (*SHED.emc_pct[: len(days)], SHED.emc_pct[len(days) - 1], 9.0),
        (*SHED.temp_c[: len(days)], SHED.temp_c[len(days) - 1], 20.0),
    )
    stays, moves = (forecast(drying(4, air=air, targets=(Below(14.0),))).reached[0] for air in (SHED, moved))
    assert moves.days.likely < 0.6 * stays.days.likely


def test_before_it_is_weighed_again_size_wood_and_wax_decide():
    """With one weighing the answer is that of any such square: by 1.8 powers of side and density."""

    def likely(**more):
        told = forecast(drying(1, air=SHOP, targets=(Below(20.0),), **more))
        assert told.weighings == 1
        return told.reached[0].days.likely

    plain = likely()
    assert 1.8 < likely(side_mm=75.0) / plain < 2.4
    assert likely(density_g_cm3=0.7) > 1.2 * plain
    assert likely(coated=True) > 1.5 * plain
    assert 1.2 < likely(ln_slower=0.3) / plain < 1.4


def test_a_slow_wood_is_brought_to_a_common_one_before_it_is_learnt_from():
    """Of two courses alike, that of an oak tells of a shop in which other woods dry faster."""
    plain, oak = forecast(drying(12)), forecast(drying(12, ln_slower=0.3))
    assert 0.1 < plain.ln_tau[0] - oak.ln_tau[0] < 0.3  # all of it, but for what the belief draws back
    assert oak.mc_pct.median == pytest.approx(plain.mc_pct.median, abs=0.3)


def test_an_unknown_wood_is_unsure_but_not_refused():
    told = forecast(drying(4, ln_dry=None, density_g_cm3=None))
    known = forecast(drying(4, ln_dry=None))
    assert not told.why
    assert width(told.mc_pct) > 1.3 * width(known.mc_pct)
    its = course([750.0], ln_dry=None, density_g_cm3=None)
    assert its.ln_dry_believed() == (pytest.approx(log(909 * 0.55)), 0.30)
    assert its.ln_density_believed() == (log(0.55), 0.30)


def test_a_piece_of_known_dry_mass_tells_its_density():
    its = course([750.0], density_g_cm3=None)
    assert its.ln_density_believed() == (pytest.approx(log(500 / 909)), 0.025)
