"""What `rick dry` does not pretend: options it cannot follow, weights that contradict, and air that is not its own."""

from datetime import date, timedelta

import pytest
from desk_side import Rick
from stocked import BLANK, copied

FIRST = date(2024, 1, 10)


@pytest.fixture
def rick(tmp_path, monkeypatch, capsys) -> Rick:
    return Rick(copied(BLANK, tmp_path / "book.rick"), monkeypatch, capsys)


@pytest.mark.parametrize(
    "words",
    [
        ("dry", "--in", "shop"),
        ("dry", "--by", "2026-12-01"),
        ("dry", "--target", "emc+2"),
        ("dry", "1B", "--species", "cherry"),
        ("dry", "1B", "--place", "shed"),
    ],
    ids=" ".join,
)
def test_an_option_that_cannot_be_followed_is_refused(rick, words):
    said = rick(*words)
    assert said.code == 2
    assert "dates are told" in said.err or "filter" in said.err


def test_weights_that_contradict_get_no_date_and_no_water_below_nothing(rick):
    rick.done("oven", "1B", "--before", "1000g", "--wet", "60g", "--dry", "40g", "--on", "2025-01-01", "--insist")
    rick.done("weigh", "1B", "300g", "--on", "2025-06-01", "--insist")
    (told,) = rick.done("dry", "1B", "--json").json
    assert told["verdict"] == "contradictory"
    assert told["mc_low_pct"] >= 0
    assert told["forecast"] is None
    assert "contradict" in told["forecast_why"]


def test_no_humidity_at_all_is_doubted(rick):
    said = rick("air", "shed", "--month", "1", "--temp", "20C", "--rh", "0%")
    assert said.code == 3
    assert "0" in said.err


def test_a_piece_settles_by_the_block_of_its_own_place_not_of_its_neighbours(rick):
    """Two rooms of one yard, each told by a block alone: 15 % in the one, 7.5 % in the other."""
    for place in ("yard / shed", "yard / shop"):
        rick.done(
            "add", "--kind", "offcut", "--length", "25mm", "--square", "51mm", "--on", "2024-01-10", "--tag", place
        )
        rick.done("air", place, "--block", place, "--dry", "40.0g", "--on", "2024-01-10")
    added = rick.done("add", "--kind", "blank", "--square", "50mm", "--length", "400mm", "--on", "2024-01-10", "--json")
    mark = added.json["mark"]
    rick.done("move", mark, "--to", "yard / shed", "--on", "2024-01-10")
    for day in ("2024-04-01", "2024-08-01", "2024-12-01", "2025-04-01", "2025-08-01", "2025-12-01"):
        rick.done("weigh", "yard / shed", "46.0g", "--on", day, "--insist")
        rick.done("weigh", "yard / shop", "43.0g", "--on", day, "--insist")
    rick.done("move", mark, "--to", "yard / shop", "--on", "2024-06-01")
    for turn in range(9):
        day = date(2025, 1, 15) + timedelta(days=20 * turn)
        rick.done("weigh", mark, "542.5g", "--on", day.isoformat(), "--insist")
    (told,) = rick.done("dry", mark, "--on", "2025-07-10", "--json").json
    assert told["mc_pct"] == pytest.approx(8.5, abs=1)
    assert "near 8 %" in told["basis"]
