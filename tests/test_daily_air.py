"""The air of a whole day from its means: against the mean over every reading of it."""

from math import pi, sin, sqrt

import pytest

from stock.errors import Impossible
from stock.wood.air import emc_or_edge, emc_pct
from stock.wood.daily_air import day_emc_pct


def swinging(temp_c: float, temp_swing: float, rh_pct: float, rh_swing: float) -> list[tuple[float, float]]:
    """A day of ten-minute readings: warm and dry at noon, cool and damp at night."""
    turns = [2 * pi * at / 144 for at in range(144)]
    return [(temp_c + temp_swing * sin(turn), rh_pct - rh_swing * sin(turn)) for turn in turns]


def means(day: list[tuple[float, float]]) -> tuple[float, float, float]:
    temp_c, rh_pct = (sum(values) / len(day) for values in zip(*day, strict=True))
    return temp_c, rh_pct, sqrt(max(sum(rh**2 for _, rh in day) / len(day) - rh_pct**2, 0))


@pytest.mark.parametrize(
    ("temp_c", "temp_swing", "rh_pct", "rh_swing", "within"),
    [(20, 2, 45, 8, 0.02), (10, 3, 75, 8, 0.02), (18, 6, 72, 20, 0.1), (15, 7, 70, 27, 0.2), (22, 8, 60, 35, 0.3)],
)
def test_a_day_weighs_as_its_readings_do(temp_c, temp_swing, rh_pct, rh_swing, within):
    day = swinging(temp_c, temp_swing, rh_pct, rh_swing)
    true = sum(emc_pct(*one) for one in day) / len(day)
    assert day_emc_pct(*means(day))[0] == pytest.approx(true, abs=within)
    assert abs(emc_pct(temp_c, rh_pct) - true) > abs(day_emc_pct(*means(day))[0] - true)


def test_damp_nights_weigh_more_than_dry_noons():
    assert day_emc_pct(18, 72, 14)[0] > emc_pct(18, 72) + 0.5


def test_a_single_reading_is_its_own_day():
    assert day_emc_pct(21.1, 50) == emc_or_edge(21.1, 50)


def test_frost_takes_the_edge_and_saturated_nights_stay_at_100():
    assert day_emc_pct(-15, 85, 5)[1]
    assert day_emc_pct(10, 97, 10)[0] == pytest.approx((emc_pct(10, 87) + emc_pct(10, 100)) / 2)
    with pytest.raises(Impossible):
        day_emc_pct(10, 120, 5)
