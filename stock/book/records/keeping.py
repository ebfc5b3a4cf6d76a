"""The book itself: who it is, its running numbers, its journal and its settings."""

from typing import Any

from sqlalchemy import Index
from sqlmodel import JSON, Field, SQLModel

from stock.book.records.limits import COUNT, Fact, checks, fact


class BookRow(SQLModel, table=True):
    """One row: this book, and this copy of it."""

    __tablename__ = "book"
    __table_args__ = checks("book", {"id": "{c} = 1", "step": COUNT})

    id: int = Field(default=1, primary_key=True)
    uid: str
    copy_uid: str
    step: int
    made_by: str
    made_at: str


class Series(SQLModel, table=True):
    """The last number given out in each series of marks; never lowered."""

    __tablename__ = "series"
    __table_args__ = checks("series", {"last_number": COUNT, "limit_number": COUNT}, {"series": ("", "T", "B")})

    series: str = Field(primary_key=True)
    last_number: int = 0
    limit_number: int | None = None


class Entry(SQLModel, table=True):
    """One line of the journal: one verb, one transaction."""

    __tablename__ = "entry"
    __table_args__ = ({"sqlite_autoincrement": True},)

    id: int | None = Field(default=None, primary_key=True)
    uid: str = Field(unique=True)
    copy_uid: str
    at_utc: str
    verb: str
    typed: str = ""
    note: str = ""
    reason: str = ""
    undoes_id: int | None = Field(default=None, foreign_key="entry.id")
    corrects_id: int | None = Field(default=None, foreign_key="entry.id")
    digest: str = ""


class Change(SQLModel, table=True):
    """What an entry altered or removed. A row that an entry added is its own record."""

    __tablename__ = "change"
    __table_args__ = (Index("ix_change_entry", "entry_id"), {"sqlite_autoincrement": True})

    id: int | None = Field(default=None, primary_key=True)
    entry_id: int = Field(foreign_key="entry.id")
    table_name: str
    row_entry_uid: str
    row_no: int
    piece_id: int | None = None
    before: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)
    after: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)


class Setting(Fact, table=True):
    """A choice of the person's, from a day on: units, target, band, allowances, hemisphere."""

    __tablename__ = "setting"
    __table_args__ = fact("setting", {}, None, Index("ix_setting_name", "name", "on_last"))

    name: str
    value: str
