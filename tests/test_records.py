"""What the tables hold, tried past our own code: no number without a limit, no word not known, no orphan."""

import math
import sqlite3
from pathlib import Path

import pytest
from found import raw, rows
from said import day, mm

from stock.book.records import FACTS, METADATA
from stock.yard.felling import add

ON = day("2026-05-03")


@pytest.fixture
def blank(page) -> str:
    with page("add") as p:
        return add(p, kind="blank", on=ON, length=mm(330), width=mm(52), thickness=mm(51)).mark


INSERT = {
    "weighing": {"piece_id": 1, "mass_g": 500.0, "state": "clean", "role": "none", "insisted": 0},
    "size": {"piece_id": 1, "length_mm": 300.0, "wood_state": "unknown"},
    "operation": {"piece_id": 1, "kind": "trim", "ends_piece": 0},
    "section": {
        "piece_id": 1,
        "label": "",
        "kind": "slice",
        "wet_g": 83.4,
        "method": "oven",
        "scorched": 0,
    },
    "look": {"piece_id": 1},
    "defect": {"piece_id": 1, "kind": "end check", "severity": "unknown", "how_seen": ""},
    "piece": {"series": "", "number": 9, "kind": "log", "role": "stock", "origin": ""},
    "meter_reading": {"piece_id": 1, "meter": "", "meter_kind": "unknown", "set_for": "", "already_corrected": 0},
}


def insert(path: Path, table: str, **changes: object) -> None:
    fact = {"entry_id": 1, "row_no": 99, "on_last": "2026-05-03", "on_text": "", "day_order": 0, "typed": "{}"}
    values = {**fact, **INSERT[table], **changes}
    columns, marks = ", ".join(values), ", ".join("?" * len(values))
    with raw(path) as connection:
        connection.execute(f"INSERT INTO {table} ({columns}) VALUES ({marks})", list(values.values()))


@pytest.mark.parametrize("table", INSERT)
def test_a_row_as_it_should_be_is_taken(book, blank, table):
    insert(book, table)


def test_a_number_in_writing_becomes_a_number(book, blank):
    insert(book, "weighing", mass_g="812")
    assert rows(book, "weighing")[0]["mass_g"] == 812.0


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, -1.0, 0.0, 1e7, "heavy", b"\x01", None])
def test_a_weight_is_a_number_above_nothing(book, blank, value):
    with pytest.raises(sqlite3.IntegrityError):
        insert(book, "weighing", mass_g=value)


@pytest.mark.parametrize(
    ("table", "column", "values"),
    [
        ("size", "length_mm", [math.inf, -math.inf, -3, 0, 1e7, "long", b"\x01"]),
        ("size", "dia_top_mm", [math.inf, -3, 0, "wide"]),
        ("size", "surface", ["shiny", "", 3]),
        ("size", "wood_state", ["damp", None]),
        ("operation", "kind", ["explode", "", None]),
        ("operation", "kerf_mm", [-1, math.inf, "thin"]),
        ("operation", "loss_pct", [-1, 101, "some"]),
        ("operation", "kept_fraction", [0, 1.01, -1]),
        ("operation", "ends_piece", [2, "yes", -1]),
        ("operation", "coat_where", ["nowhere"]),
        ("section", "wet_g", [-1, 0, math.inf, math.nan, "wet", None]),
        ("look", "ring_deg", [-1, 91, math.inf, "flat"]),
        ("look", "part", ["middle"]),
        ("defect", "end", ["left"]),
        ("defect", "length_mm", [-1, math.inf]),
        ("piece", "kind", ["plank", None]),
        ("piece", "series", ["X", None]),
        ("piece", "number", [0, -1, 10**9, "nine", None]),
        ("piece", "role", ["pet"]),
        ("meter_reading", "reading_pct", [-1, math.inf, "wet"]),
        ("meter_reading", "beyond", ["far"]),
        ("weighing", "on_first", ["2026-05-04"]),
        ("weighing", "state", ["muddy"]),
        ("weighing", "role", ["between"]),
    ],
)
def test_what_cannot_be_is_refused_by_the_book_itself(book, blank, table, column, values):
    for value in values:
        with pytest.raises(sqlite3.IntegrityError):
            insert(book, table, **{column: value})
        assert len(rows(book, table)) == (table in ("size", "piece"))


def test_a_nan_never_becomes_a_size(book, blank):
    """SQLite keeps a NaN as an empty field: no CHECK can see it there. So nothing of it is stored, at most nothing."""
    insert(book, "size", length_mm=math.nan)
    with raw(book) as connection:
        assert connection.execute("SELECT length_mm FROM size WHERE row_no = 99").fetchone() == (None,)


@pytest.mark.parametrize(
    ("table", "column"),
    [
        ("weighing", "piece_id"),
        ("weighing", "entry_id"),
        ("weighing", "operation_id"),
        ("weighing", "scales_id"),
        ("section", "piece_id"),
        ("piece", "parent_id"),
        ("piece", "made_by_id"),
        ("defect", "first_id"),
    ],
)
def test_orphans_are_refused(book, blank, table, column):
    with pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"):
        insert(book, table, **{column: 4711})


@pytest.mark.parametrize("table", ["piece", "entry"])
def test_nothing_that_is_referred_to_can_be_deleted(book, blank, table):
    with raw(book) as connection, pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"):
        connection.execute(f"DELETE FROM {table}")


def test_a_mark_is_on_one_piece(book, blank):
    with pytest.raises(sqlite3.IntegrityError, match="UNIQUE"):
        insert(book, "piece", number=1)


def test_every_number_and_word_of_every_fact_has_a_limit(book):
    free = {"day_order", "row_no", "day"}
    for record in FACTS:
        table = METADATA.tables[str(record.__tablename__)]
        limits = " ".join(str(c.sqltext) for c in table.constraints if hasattr(c, "sqltext"))
        for column in table.columns:
            number = column.type.python_type in (int, float, bool)
            if number and not column.foreign_keys and not column.primary_key and column.name not in free:
                assert column.name in limits, f"{table.name}.{column.name} has no limit"
