"""Which piece a line of a notebook means: one that the folder brings, or one that is on the book already."""

import difflib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

from sqlalchemy import select

from stock import marks
from stock.book.facts import facts
from stock.book.journal import Page
from stock.book.naming import Named, Names, fold
from stock.book.records import METADATA
from stock.dates import When
from stock.errors import StockError, Unclear, Unknown
from stock.marks import Mark
from stock.survey.pieces import Pieces
from stock.yard.importing_lines import Bad, PieceLine, TreeLine

MOST_NEAR = 200  # unknown names for which near ones are looked up


@dataclass(slots=True, eq=False)
class Member:
    """A piece that the folder brings; `id`, `mark` and `on` are known once it is made.

    Attributes:
        parent: what it came from: of the folder, or of the book; None for a tree or a rootless piece.
        on: when it was made.
    """

    line: TreeLine | PieceLine
    parent: "Member | Named | None" = None
    on: When | None = None
    id: int = 0
    mark: str = ""

    @property
    def name(self) -> str:
        return self.line.tag or self.line.mark or f"the piece of {self.line.at}"

    @property
    def kind(self) -> str:
        return self.line.kind if isinstance(self.line, PieceLine) else "tree"

    @property
    def series(self) -> str:
        return {"tree": "T", "block": "B"}.get(self.kind, "")


Meant: TypeAlias = Member | Named


class Who:
    """The pieces of a folder by their names, before those of the book.

    Args:
        names: the names of the book; all of them learned.
        lines: the trees and pieces of the folder.
        bad: where bad lines go; what is said of a piece on one is not judged.
    """

    def __init__(self, names: Names, lines: Sequence[TreeLine | PieceLine], bad: Bad) -> None:
        self._names = names
        self._bad = bad
        self._by_mark: dict[str, Member] = {}
        self._by_tag: dict[str, Member] = {}
        self._found: dict[str, Meant | StockError | None] = {}
        self._unknown = 0
        self.members: list[Member] = []
        for line in lines:
            self._enter(Member(line))

    def lose(self, member: Member, trouble: StockError | str) -> None:
        """Give up a piece whose line is bad; what is said of it elsewhere is not judged."""
        self._bad.add(member.line.at, trouble)
        self.drop(member)

    def drop(self, member: Member) -> None:
        """Leave a piece out without a word, as when what it came from is lost."""
        self.members.remove(member)
        self._found.clear()
        for names in (self._by_mark, self._by_tag):
            for name in [name for name, one in names.items() if one is member]:
                del names[name]
                self._bad.names.add(fold(name))

    def find(self, text: str) -> Meant | None:
        """The piece that a text means; None if it is one whose own line is bad.

        Raises:
            Unknown, Unclear: no such piece; near names are given.
        """
        if text not in self._found:
            try:
                self._found[text] = self._look_up(text)
            except StockError as trouble:
                self._found[text] = trouble
        found = self._found[text]
        if isinstance(found, StockError):
            raise found
        return found

    def _look_up(self, text: str) -> Meant | None:
        if text in self._by_mark:
            return self._by_mark[text]
        if fold(text) in self._bad.names:
            return None
        own = self._by_tag.get(fold(text))
        if own is not None and not marks.exact(text):
            return own
        try:
            return self._names.piece(text) if self._unknown < MOST_NEAR or own else self._plain(text)
        except StockError as trouble:
            if own is not None:
                return own
            self._unknown += 1
            raise self._with_near(text, trouble) from None

    def _plain(self, text: str) -> Named:
        raise Unknown(f'no piece "{text[:40]}"')

    def _with_near(self, text: str, trouble: StockError) -> StockError:
        if self._unknown > MOST_NEAR:
            return trouble
        near = difflib.get_close_matches(text, [member.line.tag for member in self._by_tag.values()], n=3, cutoff=0.6)
        return Unknown(trouble.message, hint=f"Nearest tags: {', '.join(near)}.") if near else trouble

    def _enter(self, member: Member) -> None:
        line = member.line
        self.members.append(member)
        for name, known in ((line.mark, self._by_mark), (fold(line.tag), self._by_tag)):
            if name and name in known:
                what = "mark" if known is self._by_mark else "tag"
                shown = line.mark if known is self._by_mark else line.tag
                self.members.remove(member)
                self._bad.add(line.at, f'the {what} "{shown}" is on {known[name].line.at} already')
                return
        for name, known in ((line.mark, self._by_mark), (fold(line.tag), self._by_tag)):
            if name:
                known[name] = member


def check_names(page: Page, names: Names, who: Who) -> None:
    """Give up the pieces whose mark or tag cannot be theirs.

    Args:
        page: the page that is being written.
        names: the names of the book; all of them learned.
        who: the pieces of the folder.
    """
    for member in list(who.members):
        try:
            if member.line.mark:
                _check_mark(names, member)
        except StockError as trouble:
            who.lose(member, trouble)
    to_come = set(numbered(page, who.members).values())
    taken: list[tuple[Member, StockError, Named]] = []
    for member in list(who.members):
        tag = member.line.tag
        if not tag:
            continue
        try:
            _check_not_a_mark(member, to_come)
            names.tag_is_free(tag)
        except StockError as trouble:
            holder = _holder(names, tag)
            if holder:
                taken.append((member, trouble, holder))
            else:
                who.lose(member, trouble)
    if taken:
        pieces = Pieces(facts(page.connection, page.today, [holder.id for _, _, holder in taken]))
        for member, refusal, holder in taken:
            if not (holder.id in pieces and pieces[holder.id].gone):
                who.lose(member, refusal)


def numbered(page: Page, members: Sequence[Member]) -> dict[Member, Mark]:
    """The mark of each piece: the one its line gives, else the next of its series, in the order of the lines.

    Args:
        page: the page that is being written.
        members: the pieces of the folder.
    """
    table = METADATA.tables["series"]
    last = {row.series: int(row.last_number) for row in page.connection.execute(select(table))}
    given = {member: marks.parse(member.line.mark) for member in members if member.line.mark}
    for mark in given.values():
        last[mark.series] = max(last.get(mark.series, 0), mark.number)
    found: dict[Member, Mark] = {}
    for member in members:
        if member not in given:
            last[member.series] = last.get(member.series, 0) + 1
        found[member] = given.get(member) or Mark(member.series, last[member.series])
    return found


def _check_mark(names: Names, member: Member) -> None:
    text = member.line.mark
    mark = marks.exact(text)
    if mark is None:
        raise Unclear(f'mark "{text}" is not a mark as it is written on wood', hint="Leave it empty for a new one.")
    if mark.series != member.series:
        raise Unclear(f"the mark {text} is not one of a {member.kind}", hint="Leave it empty for a new one.")
    try:
        found = names.piece(text)
    except StockError:
        return
    if found.mark == text:
        raise Unclear(f"{text} is on the book already", hint="A folder adds pieces; it does not change them.")


def _holder(names: Names, tag: str) -> Named | None:
    try:
        found = names.piece(tag)
    except StockError:
        return None
    return found if fold(found.tag) == fold(tag) else None


def _check_not_a_mark(member: Member, to_come: set[Mark]) -> None:
    tag = member.line.tag
    try:
        mark = marks.parse(tag)
    except StockError:
        return
    if mark in to_come and tag != member.line.mark:
        raise Unclear(
            f'the tag "{tag}" would read as the mark of another piece', hint="Change it, by a hyphen perhaps."
        )
