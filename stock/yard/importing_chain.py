"""The pieces of a notebook as a chain: what came from what, when, and by which cut.

A notebook says what a piece came from, not what was done: that follows. A log comes off a tree by a crosscut, a billet
off a log by splitting, a blank by sawing, and a piece of the same kind by a crosscut along its length. What was cut up
is no longer on hand, unless the notebook goes on to speak of it.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from stock.book.facts import facts
from stock.book.journal import Page
from stock.book.naming import Named
from stock.dates import When
from stock.errors import NotNow, StockError
from stock.yard.importing_lines import PieceLine, sentence
from stock.yard.importing_names import Meant, Member, Who
from stock.yard.values import slack_mm

# How far along the chain a kind is; nothing comes from what is further along.
_STAGE = {"tree": 0, "log": 1, "billet": 2, "offcut": 2, "block": 2, "blank": 3}


@dataclass(frozen=True, slots=True)
class Cutting:
    """A cut that made pieces: what was cut, how and when, and whether nothing of it is left."""

    parent: Meant
    kind: str
    on: When
    children: tuple[Member, ...]
    ends: bool


def find_parents(who: Who) -> None:
    """Find what each piece came from; pieces that cannot have come from it are given up, with all that came from them.

    Args:
        who: the pieces of the folder.
    """
    orphans: set[Member] = set()
    for member in list(who.members):
        line = member.line
        if not isinstance(line, PieceLine) or not line.parent:
            continue
        try:
            member.parent = who.find(line.parent)
            if member.parent is None:
                orphans.add(member)
            else:
                _check_kinds(member, member.parent, line.parent)
        except StockError as trouble:
            who.lose(member, f"parent_tag {sentence(trouble)}")
            orphans.add(member)
    for member in list(who.members):
        if loop := _loop(member):
            who.lose(member, f"it would come from itself: {' from '.join(one.name for one in loop)}")
            orphans.add(member)
    while lost := [m for m in who.members if m in orphans or m.parent in orphans]:
        for member in lost:
            orphans.add(member)
            who.drop(member)


def fill_dates(members: Sequence[Member], spoken_of: Mapping[object, Sequence[date]], today: date) -> int:
    """Give every piece a date: one that has none was made before the first day on which it is spoken of.

    Args:
        members: the pieces of the folder.
        spoken_of: the last days of what is said of a piece, by `key_of`.
        today: the day of the import.

    Returns:
        How many had none.
    """
    children: dict[int, list[Member]] = defaultdict(list)
    for member in members:
        if isinstance(member.parent, Member):
            children[id(member.parent)].append(member)
    for member in sorted(members, key=depth_of, reverse=True):
        days = [*spoken_of.get(key_of(member), ()), *(child.on.last for child in children[id(member)] if child.on)]
        member.on = member.line.on or When(None, min(days, default=today), "")
    return sum(member.line.on is None for member in members)


def cuttings(page: Page, members: Sequence[Member], busy: Mapping[object, date]) -> list[Cutting]:
    """The cuts that made the pieces of a folder.

    Args:
        page: the page that is being written.
        members: the pieces, dated.
        busy: by what was cut (`key_of`), the last day on which the folder speaks of it.
    """
    by_parent: dict[object, list[Member]] = defaultdict(list)
    for member in members:
        if member.parent is not None:
            by_parent[key_of(member.parent)].append(member)
    known = _last_days_on_book(page, members)
    found: list[Cutting] = []
    for key, children in by_parent.items():
        parent = children[0].parent
        assert parent is not None
        groups: dict[tuple[str, date | None, date], list[Member]] = defaultdict(list)
        for child in children:
            on = when(child)
            groups[_how(parent, child), on.first, on.last].append(child)
        ending = _ending(parent, groups, max(busy.get(key, date.min), known.get(key, date.min)))
        for group, some in groups.items():
            found.append(Cutting(parent, group[0], when(some[0]), tuple(some), group == ending))
    return found


def key_of(meant: Meant) -> object:
    """What tells one piece from another, whether it has an id yet or not."""
    return ("book", meant.id) if isinstance(meant, Named) else ("folder", id(meant))


def _check_kinds(member: Member, parent: Meant, said: str) -> None:
    if member.kind == "block":
        raise NotNow(f'"{said}": a block is glued from staves and came from no piece')
    if member.kind != "offcut" and _STAGE[parent.kind] > _STAGE[member.kind]:
        raise NotNow(f'"{said}" is a {parent.kind}: no {member.kind} comes from one')


def _loop(member: Member) -> list[Member]:
    """The pieces from a piece back to itself; empty if it has a root."""
    chain: list[Member] = []
    at: Meant | None = member
    while isinstance(at, Member):
        if at is member and chain:
            return [*chain, member]
        if at in chain:
            return []
        chain.append(at)
        at = at.parent
    return []


def depth_of(member: Member) -> int:
    """How many pieces of the folder a piece came through."""
    depth, at = 0, member.parent
    while isinstance(at, Member):
        depth, at = depth + 1, at.parent
    return depth


def when(member: Member) -> When:
    """When a piece was made, once all are dated."""
    assert member.on is not None
    return member.on


def _how(parent: Meant, child: Member) -> str:
    """What was done to make a piece, by its kind, that of its parent, and their lengths."""
    if child.kind == "offcut" or parent.kind == "tree":
        return "crosscut"
    if parent.kind != child.kind:
        return {"billet": "split"}.get(child.kind, "saw")
    if child.kind == "log":
        return "crosscut"
    if _as_long(parent, child):
        return "split" if child.kind == "billet" else "saw"
    return "crosscut"


def _as_long(parent: Meant, child: Member) -> bool:
    if isinstance(parent, Named) or not isinstance(parent.line, PieceLine) or not isinstance(child.line, PieceLine):
        return False
    whole, part = parent.line.size.length, child.line.size.length
    return whole is not None and part is not None and whole.value - part.value <= slack_mm(part)


def _ending(
    parent: Meant, groups: Mapping[tuple[str, date | None, date], list[Member]], busy: date
) -> tuple[str, date | None, date] | None:
    """The cut after which nothing is left: the last one, unless the piece is spoken of later."""
    cuts = [group for group, some in groups.items() if any(child.kind != "offcut" for child in some)]
    if parent.kind == "tree" or not cuts:
        return None
    last = max(cuts, key=lambda group: (group[2], group[1] or date.min))
    return None if busy > last[2] else last


def _last_days_on_book(page: Page, members: Sequence[Member]) -> dict[object, date]:
    """The last day on which the book speaks of a parent; for one that is cut up already, a day that never comes."""
    parents = {m.parent.id for m in members if isinstance(m.parent, Named)}
    if not parents:
        return {}
    known = facts(page.connection, page.today, sorted(parents))
    found: dict[object, date] = {}
    for one in parents:
        said = [known.weighings, known.operations, known.sections, known.moves, known.defects, known.departures]
        days = [row.on_last for rows in said for row in rows.get(one, ())]  # type: ignore[attr-defined]
        ended = any(row.ends_piece for row in known.operations.get(one, ()))
        found["book", one] = date.max if ended else max(days, default=date.min)
    return found
