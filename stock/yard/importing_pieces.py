"""The trees and pieces of a notebook, put on the book: parents before children, each level of the chain at once."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from sqlalchemy import select, update

from stock.book.facts import facts
from stock.book.journal import Page
from stock.book.naming import Named, NamedPlace, Names
from stock.book.records import METADATA, Look, Move, Operation, Tree
from stock.errors import NotNow
from stock.marks import mark
from stock.survey.pieces import Pieces
from stock.yard.importing_chain import Cutting, depth_of, key_of, when
from stock.yard.importing_lines import PieceLine, TreeLine
from stock.yard.importing_names import Member, numbered
from stock.yard.making import NewPiece, make
from stock.yard.telling import Told, opinion_row
from stock.yard.values import dated


def put_pieces(
    page: Page,
    names: Names,
    members: Sequence[Member],
    cuts: Sequence[Cutting],
    woods: Mapping[Member, Told],
    places: Mapping[str, NamedPlace],
) -> tuple[str, ...]:
    """Put the trees and pieces of a folder on the book, with their tags, sizes, looks, woods and first places.

    Args:
        page: the page that is being written.
        names: the names of the book; they learn the new ones.
        members: the pieces; each gets its id and mark.
        cuts: the cuts that made them.
        woods: the woods of trees and rootless pieces, where the folder says them.
        places: the places by their names in the folder.

    Returns:
        What the person should know.
    """
    numbers = numbered(page, members)
    for series in {one.series for one in numbers.values()}:
        _raise_series(page, series, max(one.number for one in numbers.values() if one.series == series))
    made_by = {id(child): cut for cut in cuts for child in cut.children}
    order = _orders(page, members)
    warnings: list[str] = []
    levels: dict[int, list[Member]] = defaultdict(list)
    for member in members:
        levels[depth_of(member)].append(member)
    for _, level in sorted(levels.items()):
        here = list({id(cut): cut for m in level if (cut := made_by.get(id(m)))}.values())
        rows = [Operation(piece_id=cut.parent.id, kind=cut.kind, ends_piece=cut.ends, **dated(cut.on)) for cut in here]
        page.put_all([*rows])
        ids = {id(child): row.id for cut, row in zip(here, rows, strict=True) for child in cut.children}
        made, told = make(page, [_plan(m, ids.get(id(m)), order[id(m)], numbers[m].number) for m in level], names)
        warnings += told
        for member, named in zip(level, made, strict=True):
            member.id, member.mark = named.id, named.mark
        _put_beside(page, level, woods, places)
    return tuple(warnings)


def _orders(page: Page, members: Sequence[Member]) -> dict[int, int | None]:
    """The place of each piece among its sisters: as given, else after those before it in the file."""
    parents = sorted({m.parent.id for m in members if isinstance(m.parent, Named)})
    last: dict[object, int] = {}
    if parents:
        pieces = Pieces(facts(page.connection, page.today, parents))
        for one in parents:
            below = [pieces.facts.pieces[child].order_no or 0 for child in pieces.facts.children.get(one, ())]
            last["book", one] = max(below, default=0)
    orders: dict[int, int | None] = {}
    for member in members:
        if member.parent is None or not isinstance(member.line, PieceLine):
            orders[id(member)] = None
            continue
        key = key_of(member.parent)
        given = member.line.order_no
        orders[id(member)] = number = last.get(key, 0) + 1 if given is None else given
        last[key] = max(last.get(key, 0), number)
    return orders


def _plan(member: Member, made_by: int | None, order_no: int | None, number: int) -> NewPiece:
    line = member.line
    if isinstance(line, TreeLine):
        return NewPiece("tree", when(member), tag=line.tag, number=number, typed=line.typed)
    return NewPiece(
        line.kind,
        when(member),
        size=line.size,
        looks=line.looks,
        parent_id=member.parent.id if member.parent else None,
        made_by_id=made_by,
        order_no=order_no,
        from_butt_mm=line.from_butt.value if line.from_butt else None,
        typed=line.typed,
        bark_on=line.bark_on,
        role=line.role,
        origin=line.origin,
        tag=line.tag,
        number=number,
    )


def _put_beside(
    page: Page, level: Sequence[Member], woods: Mapping[Member, Told], places: Mapping[str, NamedPlace]
) -> None:
    trees = [Tree(piece_id=m.id, **m.line.tree, **dated(when(m))) for m in level if isinstance(m.line, TreeLine)]
    page.put_all([*trees])
    opinions = []
    for member in level:
        if member in woods:
            line = member.line
            by, seen = (line.by_whom, line.evidence) if isinstance(line, TreeLine) else ("", "")
            opinions.append(opinion_row(member.id, woods[member], when(member), by, seen))
    page.put_all([*opinions])
    page.put_all([*_figures(level)])
    moves = [
        Move(piece_id=m.id, place_id=places[m.line.place].id, **dated(when(m)))
        for m in level
        if isinstance(m.line, PieceLine) and m.line.place in places
    ]
    page.put_all([*moves])


def _figures(level: Sequence[Member]) -> Iterator[Look]:
    for member in level:
        if isinstance(member.line, PieceLine):
            for trait in member.line.traits:
                yield Look(piece_id=member.id, trait=trait, **dated(when(member)))


def _raise_series(page: Page, series: str, number: int) -> None:
    """Let a series of marks go on after a number that is given out here."""
    table = METADATA.tables["series"]
    row = page.connection.execute(select(table).where(table.c.series == series)).one()
    if row.limit_number is not None and number > row.limit_number:
        raise NotNow(
            f"the folder needs marks up to {mark(number, series)}; this copy of the book ends at "
            f"{mark(row.limit_number, series)}.",
            hint="Lend it more from the main copy, or import the folder there.",
        )
    if number > row.last_number:
        page.connection.execute(update(table).where(table.c.series == series).values(last_number=number))
