"""What a column may hold, as named CHECKs that every SQL database understands.

A range such as `mass_g > 0 AND mass_g < 1e7` alone keeps out NaN, the infinities, text and blobs, in SQLite and in
PostgreSQL; an empty field (NULL) passes unless the column forbids it.
"""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from sqlalchemy import CheckConstraint, Index, UniqueConstraint
from sqlmodel import JSON, Field, SQLModel

POSITIVE = "{c} > 0 AND {c} < 10000000"
ZERO_UP = "{c} >= 0 AND {c} < 10000000"
SIGNED = "{c} > -10000000 AND {c} < 10000000"
PERCENT = "{c} >= 0 AND {c} <= 100"
MOISTURE = "{c} >= 0 AND {c} <= 1000"
FRACTION = "{c} > 0 AND {c} <= 1"
AIR_C = "{c} >= -80 AND {c} <= 200"
ANGLE = "{c} >= 0 AND {c} <= 90"
TURN = "{c} >= 0 AND {c} < 360"
COUNT = "{c} >= 0 AND {c} < 1000000000"
FLAG = "{c} IN (TRUE, FALSE)"


def checks(
    table: str, ranges: Mapping[str, str], words: Mapping[str, Sequence[str]] | None = None
) -> tuple[CheckConstraint, ...]:
    """Named CHECKs for a table.

    Args:
        table: the table's name, part of each constraint's name.
        ranges: column -> one of the patterns above.
        words: column -> the words it may hold.
    """
    made = [CheckConstraint(rule.format(c=column), name=f"ck_{table}_{column}") for column, rule in ranges.items()]
    for column, known in (words or {}).items():
        listed = ", ".join(f"'{word}'" for word in known)
        made.append(CheckConstraint(f"{column} IN ({listed})", name=f"ck_{table}_{column}"))
    return tuple(made)


class Fact(SQLModel):
    """What every dated fact carries.

    `on_first` to `on_last` are the days between which it happened (`on_first` empty: some day before); a fact is known
    on day D if `on_last` is not after D. `day_order` orders the facts of one day, `row_no` those of one entry. `typed`
    keeps the measures as they were typed, field by field.
    """

    model_config = {"defer_build": True}

    id: int | None = Field(default=None, primary_key=True)
    entry_id: int = Field(default=0, foreign_key="entry.id")
    row_no: int = 0
    on_first: date | None = None
    on_last: date
    on_text: str = ""
    day_order: int = 0
    typed: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)


def fact(
    table: str,
    ranges: Mapping[str, str] | None = None,
    words: Mapping[str, Sequence[str]] | None = None,
    *more: CheckConstraint | Index | UniqueConstraint,
) -> tuple[Any, ...]:
    """The table arguments of a fact: its own limits, one row number an entry, dates in order, ids never reused."""
    return (
        *checks(table, ranges or {}, words),
        CheckConstraint("on_first IS NULL OR on_first <= on_last", name=f"ck_{table}_dates"),
        UniqueConstraint("entry_id", "row_no", name=f"uq_{table}_entry_row"),
        *more,
        {"sqlite_autoincrement": True},
    )


def of_piece(table: str) -> Index:
    """The index by which the facts of one piece are found."""
    return Index(f"ix_{table}_piece", "piece_id", "on_last")
