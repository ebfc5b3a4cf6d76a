"""Small notebooks for the tests of importing: a folder of CSV files, and what is on the book after it."""

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

from sqlalchemy import select

from stock.book import opening
from stock.book.facts import facts
from stock.book.records import METADATA
from stock.survey.pieces import Piece, Pieces

TREES = "tag,species,felled_on,site\nT1,black cherry,2024-03-01,churchyard wall\n"
PIECES = (
    "tag,parent_tag,kind,species,made_on,width_mm,thickness_mm,length_mm,part,figure,ring_deg,from_butt_mm,place\n"
    "L1,T1,log,,2024-03-10,,,1000,,,,0,shed\n"
    "H1,L1,billet,,2024-03-12,300,150,1000,,,,0,shed\n"
    "S1,H1,blank,,2024-03-20,51,51,320,heart,curl,15,20,shed / rack 2\n"
    "S2,H1,blank,,2024-03-20,51,51,320,sap,,30,350,shed / rack 2\n"
)
WEIGHINGS = "piece,on,mass_g\nS1,2024-03-21,600\nS1,2024-05-21,520\nS2,2024-03-21,590.5\n"


def write(folder: Path, files: Mapping[str, str]) -> Path:
    """Write a folder of files; `trees` is trees.csv."""
    folder.mkdir(exist_ok=True)
    for name, text in files.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    return folder


def chain(**more: str) -> dict[str, str]:
    """One tree, one log, one billet, two blanks, and what else is said."""
    return {"trees": TREES, "pieces": PIECES, **more}


def rows(book: Path, table: str) -> list[Any]:
    """Every row of a table."""
    with opening.reading(book) as connection:
        found = METADATA.tables[table]
        return list(connection.execute(select(found).order_by(*found.primary_key.columns)))


def pieces(book: Path, on: date) -> dict[str, Piece]:
    """Every piece by its tag, or by its mark if it has none."""
    with opening.reading(book) as connection:
        known = Pieces(facts(connection, on))
    return {piece.tag or piece.mark: piece for piece in known.all()}
