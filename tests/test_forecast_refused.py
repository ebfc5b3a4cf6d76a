"""Where no forecast can be made, and courses, airs and questions that cannot be: `stock.wood.forecast`."""

from dataclasses import replace
from math import inf, log, nan

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from squares import ROUNDS, SHED, SHOP, course, drying, weights

from stock.errors import Impossible
from stock.wood.drying import AboveAir, Air, Below, Course, Drying, LosingLess, Lost
from stock.wood.forecast import forecast, forecast_many


@pytest.mark.parametrize(
    ("more", "word"),
    [
        ({"in_bark": True}, "bark"),
        ({"side_mm": None}, "square"),
        ({"ln_dry": None, "volume_cm3": None}, "oven-dry mass"),
    ],
)
def test_why_nothing_can_be_said(more, word):
    told = forecast(drying(4, **more))
    assert word in told.why
    assert (told.mc_pct, told.reached, told.curve) == (None, (), ())
    assert told.weighings == 4


def test_a_piece_never_weighed():
    assert "never weighed" in forecast(Drying(course([]), SHED)).why


def test_one_that_cannot_be_told_does_not_disturb_the_others():
    pieces = [drying(4), drying(4, side_mm=None), drying(6)]
    told = forecast_many(pieces)
    assert [bool(one.why) for one in told] == [False, True, False]
    assert told[2] == forecast(pieces[2])
    assert forecast_many([]) == []


@pytest.mark.parametrize("count", [1, 2, 3, 20, 100])
def test_any_number_of_weighings(count):
    days = tuple(range(0, 7 * count, 7))
    told = forecast(Drying(course(weights(500, days, noise=1), days), SHED, (Below(15.0),)))
    assert told.weighings == count
    assert told.mc_pct.low < told.mc_pct.high
    assert told.effective > 5


@pytest.mark.parametrize(
    "net_g",
    [
        (700, 720, 740, 760, 800),  # rising
        (600, 600, 600, 600),  # still
        (400, 390, 380),  # below its own dry wood
        (700, 690, 20, 680, 670),  # a slip of the keyboard
        (900, 550, 900, 550),  # two pieces under one name
        (5000, 4990),  # far more than the wood can hold
    ],
)
def test_odd_weighings_get_an_answer(net_g):
    told = forecast(Drying(course([float(net) for net in net_g]), SHED, (Below(12.0), LosingLess(2.0), Lost(5.0))))
    assert all(np.isfinite(value) for value in (*told.mc_pct, *told.middle_pct, *told.ln_dry, told.effective))


def test_all_weighings_on_one_day():
    told = forecast(Drying(course([700.0, 702.0, 701.0], (5, 5, 5)), SHED, (Below(15.0),)))
    assert told.weighings == 1
    assert told.mc_pct.median == pytest.approx(40.2, abs=1.5)


def test_a_course_of_many_years():
    days = (*ROUNDS, 1500, 2600, 5000)
    told = forecast(Drying(course(weights(500, days, noise=1), days), SHED, (Below(15.0),)))
    assert told.reached[0].days.likely == 5000


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    days=st.lists(st.integers(0, 900), min_size=1, max_size=6),
    net_g=st.lists(st.floats(1, 5000), min_size=6, max_size=6),
    dry_g=st.floats(5, 3000),
    dry_sd=st.floats(0.001, 0.5),
    sd_g=st.floats(0.01, 50),
    side_mm=st.floats(5, 300),
    emc=st.floats(1, 25),
    temp_c=st.floats(-30, 45),
    target=st.floats(0, 60),
)
def test_no_course_breaks_it(days, net_g, dry_g, dry_sd, sd_g, side_mm, emc, temp_c, target):
    its = Course(
        tuple(float(day) for day in days),
        tuple(net_g[: len(days)]),
        (sd_g,) * len(days),
        side_mm=side_mm,
        ln_dry=(log(dry_g), dry_sd),
    )
    asked = Drying(its, Air((0.0,), (emc,), (temp_c,)), (Below(target), AboveAir(1.0), LosingLess(1.0), Lost(1.0)))
    told = forecast(asked, draws=16)
    assert all(np.isfinite(value) for value in (*told.mc_pct, *told.middle_pct, *told.ln_tau, *told.ln_emission))
    assert list(told.mc_pct) == sorted(told.mc_pct)
    for reached in told.reached:
        dates = [inf if day is None else day for day in reached.days]
        assert dates == sorted(dates)
        assert max(days) <= dates[0]
        assert 0 <= reached.never <= 1 + 1e-9


@pytest.mark.parametrize(
    ("more", "word"),
    [
        ({"net_g": (700.0, nan)}, "net mass"),
        ({"net_g": (700.0, 0.0)}, "net mass"),
        ({"net_g": (700.0, inf)}, "net mass"),
        ({"days": (0.0, nan)}, "day"),
        ({"sd_g": (1.0, 0.0)}, "spread"),
        ({"side_mm": -5.0}, "size"),
        ({"volume_cm3": nan}, "size"),
        ({"ln_dry": (nan, 0.1)}, "oven-dry"),
        ({"ln_dry": (6.0, 0.0)}, "oven-dry"),
        ({"shared_g": ((1.0, inf),)}, "shared"),
        ({"ln_slower": nan}, "slower"),
        ({"ln_slower": 35.0}, "slower"),
        ({"shared_g": ((1.0,),)}, "each weighing"),
        ({"days": (0.0,)}, "each weighing"),
    ],
)
def test_courses_that_cannot_be(more, word):
    with pytest.raises(Impossible, match=word):
        replace(course([700.0, 690.0]), **more)


@pytest.mark.parametrize(
    "more",
    [
        {"emc_pct": (nan,)},
        {"emc_pct": (0.0,)},
        {"emc_pct": (55.0,)},
        {"temp_c": (inf,)},
        {"emc_sd_pct": 0.0},
        {"days": ()},
        {"days": (0.0, 5.0), "emc_pct": (9.0,)},
        {"days": (5.0, 0.0), "emc_pct": (9.0, 9.0), "temp_c": (20.0, 20.0)},
    ],
)
def test_airs_that_cannot_be(more):
    with pytest.raises(Impossible):
        replace(SHOP, **more)


@pytest.mark.parametrize("more", [{"draws": 15}, {"draws": 8}, {"horizon_days": 0}, {"horizon_days": nan}])
def test_questions_that_cannot_be(more):
    with pytest.raises(Impossible):
        forecast(drying(3), **more)
