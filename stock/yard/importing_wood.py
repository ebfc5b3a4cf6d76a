"""The lines of a notebook that name trees and pieces, and the size and look that they tell."""

from stock.book.records.pieces import FACES, HOW, PARTS, ROLES, SURE, SURFACES
from stock.errors import Unclear
from stock.yard import cells as c
from stock.yard.cells import Cells
from stock.yard.importing_lines import At, PieceLine, TreeLine
from stock.yard.looking import ALSO_CALLED
from stock.yard.making import Looks, Measures

PIECE_KINDS = ("log", "billet", "blank", "offcut", "block")


def tree_line(at: At, cells: Cells) -> TreeLine:
    """A line of trees.csv."""
    tag, mark = cells.text("tag"), cells.text("mark")
    return TreeLine(
        at=at,
        tag=tag,
        mark=mark,
        species=cells.text("species"),
        on=cells.day("felled_on"),
        sure=cells.word("sure", SURE, "probable"),
        by_whom=cells.text("by_whom"),
        evidence=cells.text("evidence"),
        tree={
            "how": cells.word("how", HOW, "unknown"),
            "alive": cells.truth("alive", yes=("alive",), no=("dead",)),
            "limb_or_trunk": cells.text("limb_or_trunk"),
            "lean": cells.text("lean"),
            "site": cells.text("site"),
            "site_private": bool(cells.truth("site_private")),
            "got_from": cells.text("got_from"),
            "promise": cells.text("promise"),
        },
        typed=cells.typed(),
    )


def piece_line(at: At, cells: Cells) -> PieceLine:
    """A line of pieces.csv."""
    if cells.text("kind").casefold() == "tree":
        raise Unclear("a tree goes into trees.csv")
    cells.needed("kind")
    from_butt = cells.number("from_butt_mm", c.POSITION)
    return PieceLine(
        at=at,
        tag=cells.text("tag"),
        mark=cells.text("mark"),
        parent=cells.text("parent_tag"),
        kind=cells.word("kind", PIECE_KINDS),
        species=cells.text("species"),
        on=cells.day("made_on"),
        size=size_of(cells),
        looks=looks_of(cells),
        traits=traits_of(cells.text("figure")),
        from_butt=from_butt,
        order_no=cells.whole("order_no"),
        place=cells.text("place"),
        role=cells.word("role", ROLES, "stock"),
        bark_on=cells.truth("bark_on"),
        origin=cells.text("origin"),
        typed=cells.typed(from_butt_mm=from_butt),
    )


def size_of(cells: Cells) -> Measures:
    """The size that a line tells."""
    return Measures(
        length=cells.number("length_mm", c.LENGTH),
        width=cells.number("width_mm", c.LENGTH),
        thickness=cells.number("thickness_mm", c.LENGTH),
        dia_butt=cells.number("dia_butt_mm", c.LENGTH),
        dia_top=cells.number("dia_top_mm", c.LENGTH),
        surface=cells.word("surface", SURFACES) or None,
    )


def looks_of(cells: Cells) -> Looks:
    """Part of the wood, rings and faces that a line tells."""
    return Looks(
        part=cells.word("part", PARTS) or None,
        rings=cells.number("ring_deg", c.ANGLE),
        sap_faces=cells.text("sap_faces") or None,
        bark_face=face_of(cells, "bark_face"),
        pith_in=cells.truth("pith_in"),
    )


def face_of(cells: Cells, column: str) -> str | None:
    """A to D, butt or top."""
    by_word = {face.casefold(): face for face in FACES}
    found = cells.word(column, tuple(by_word))
    return by_word[found] if found else None


def traits_of(text: str) -> tuple[str, ...]:
    """The figure of a piece: one word or several, between + or ;."""
    parts = (" ".join(part.casefold().split()) for part in text.replace(";", "+").split("+"))
    return tuple(dict.fromkeys(ALSO_CALLED.get(part, part) for part in parts if part))
