"""The tables of the book. Always loaded whole: a flush fails if a table it refers to is not known.

Facts only. What follows from them (size now, place now, moisture, readiness) is computed, never stored.
"""

from sqlmodel import SQLModel

from stock.book.records.keeping import BookRow, Change, Entry, Series, Setting
from stock.book.records.limits import Fact
from stock.book.records.moisture import MeterReading, Operation, Oven, Scales, ScalesCheck, Section, Weighing
from stock.book.records.pieces import Look, Opinion, Piece, Size, SpeciesValue, Tag, Tree
from stock.book.records.places import Air, Move, Place
from stock.book.records.sets import (
    BlockEvent,
    BlockStave,
    Defect,
    Departure,
    Project,
    SetMember,
    StaveSet,
)

FACTS: tuple[type[Fact], ...] = (
    Setting,
    Piece,
    Tree,
    Opinion,
    SpeciesValue,
    Tag,
    Size,
    Look,
    Operation,
    Scales,
    ScalesCheck,
    Weighing,
    Section,
    Oven,
    MeterReading,
    Place,
    Move,
    Air,
    Defect,
    Departure,
    Project,
    StaveSet,
    SetMember,
    BlockStave,
    BlockEvent,
)

METADATA = SQLModel.metadata

__all__ = [
    "FACTS",
    "METADATA",
    "Air",
    "BlockEvent",
    "BlockStave",
    "BookRow",
    "Change",
    "Defect",
    "Departure",
    "Entry",
    "Fact",
    "Look",
    "MeterReading",
    "Move",
    "Operation",
    "Opinion",
    "Oven",
    "Piece",
    "Place",
    "Project",
    "Scales",
    "ScalesCheck",
    "Section",
    "Series",
    "SetMember",
    "Setting",
    "Size",
    "SpeciesValue",
    "StaveSet",
    "Tag",
    "Tree",
    "Weighing",
]
