"""What must hold for the verdict on every piece, however odd its history."""

from dataclasses import replace
from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from stock.wood.readiness import READY, Case, judge
from stock.wood.steady import Reading


def day(number: int) -> date:
    return date(2025, 3, 1) + timedelta(days=number)


anything = st.builds(
    Case,
    readings=st.lists(
        st.builds(
            Reading,
            st.integers(0, 300).map(day),
            st.one_of(st.floats(425, 435), st.floats(380, 700)),
            st.sampled_from([0.1, 1.0, 5.0, None]),
            st.sampled_from([None, "kitchen"]),
        ),
        max_size=7,
    ).map(tuple),
    on=st.integers(0, 500).map(day),
    target_pct=st.floats(5, 14),
    mc=st.one_of(st.none(), st.tuples(st.floats(3, 30), st.floats(0, 4), st.floats(0, 6)).map(
        lambda m: (m[0], max(0.0, m[0] - m[1]), m[0] + m[2]))),
    emc_pct=st.one_of(st.none(), st.floats(4, 18)),
    emc_low_pct=st.one_of(st.none(), st.floats(4, 9)),
    emc_high_pct=st.one_of(st.none(), st.floats(9, 18)),
    place_cover=st.sampled_from(["open", "roofed", "unheated", "heated", None]),
    moved_on=st.one_of(st.none(), st.integers(0, 400).map(day)),
    waxed_all_over=st.booleans(),
    smallest_mm=st.sampled_from([40.0, 80.0, None]),
    winter=st.booleans(),
)  # fmt: skip


@given(anything)
def test_every_case_gets_a_verdict_a_reason_and_a_way_on(case):
    found = judge(case)
    assert found.ready == (found.verdict in READY)
    assert found.why
    assert "None" not in found.why
    assert "nan" not in found.why
    assert found.ready or found.needs
    assert (found.weighed_days_ago is None) == (found.verdict == "not judged")


@given(anything)
def test_ready_always_rests_on_moisture_or_air_near_the_target(case):
    found = judge(case)
    if found.ready:
        reach = case.target_pct + case.target_band + 1
        by_moisture = case.mc is not None and case.mc[0] <= reach
        by_air = case.emc_pct is not None or case.emc_low_pct is not None
        assert by_moisture or (by_air and found.steadiness.word in ("steady", "losing", "gaining"))
        assert found.steadiness.word != "scales too coarse"


@given(anything)
def test_a_verdict_looks_at_nothing_later(case):
    earlier = replace(case, readings=tuple(one for one in case.readings if one.on <= case.on))
    assert judge(case) == judge(earlier)


@given(anything, st.floats(0.1, 5))
def test_a_higher_target_never_makes_ready_wood_too_wet(case, more):
    if judge(case).ready:
        assert judge(replace(case, target_pct=case.target_pct + more)).verdict not in ("drying", "stable, too wet")
