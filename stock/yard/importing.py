"""A notebook typed into a spreadsheet: a folder of CSV files, taken whole or not at all.

Any subset of the files will do. They are read first, every one to its last line; then the pieces are put on the page,
and what is said of them is held against them; then either every bad line is told of and nothing is stored, or the rest
is put. History may come in any order of lines: what counts are the dates.
"""

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TypeVar

from stock.book.csvfiles import Sheet
from stock.book.facts import facts
from stock.book.journal import Page
from stock.book.naming import Named, NamedPlace, Names
from stock.book.records import Departure, Move, Opinion
from stock.dates import Order, When
from stock.errors import StockError
from stock.survey.pieces import Pieces
from stock.wood.woods import WAY_OUT
from stock.yard import importing_acts as acts
from stock.yard import importing_done as done
from stock.yard import importing_facts as said
from stock.yard import importing_shop as shop
from stock.yard.cells import Cells
from stock.yard.importing_chain import Cutting, cuttings, fill_dates, find_parents, key_of
from stock.yard.importing_checks import Checks
from stock.yard.importing_folder import read_folder
from stock.yard.importing_lines import (
    ActLine,
    At,
    Bad,
    FactLine,
    PieceLine,
    SeenLine,
    TreeLine,
    WeighingLine,
    count_of,
    lines_of,
    sentence,
)
from stock.yard.importing_names import Meant, Member, Who, check_names
from stock.yard.importing_pieces import put_pieces
from stock.yard.importing_wood import piece_line, tree_line
from stock.yard.tagging import take_off
from stock.yard.telling import Told, opinion_row, told

MOST_FAMILIES_APART = 500  # pieces; for more the whole book is read

T = TypeVar("T")
SaidOf = FactLine | SeenLine | WeighingLine | ActLine
SAID: dict[str, Callable[[At, Cells], SaidOf]] = {
    "opinions.csv": said.opinion_line,
    "sizes.csv": said.size_line,
    "figures.csv": said.figure_line,
    "weighings.csv": said.weighing_line,
    "sections.csv": done.section_line,
    "trims.csv": done.trim_line,
    "planes.csv": done.plane_line,
    "seals.csv": done.seal_line,
    "treatments.csv": done.treatment_line,
    "meters.csv": said.meter_line,
    "defects.csv": said.defect_line,
    "moves.csv": said.move_line,
    "departures.csv": said.departure_line,
}


@dataclass(frozen=True, slots=True)
class Imported:
    """A notebook that is on the book now.

    Attributes:
        files: the lines taken of each file, in the order of `FILES`.
        pieces: the trees and pieces that are new, with their marks.
        warnings: what the person should know, one sentence each.
    """

    files: Mapping[str, int]
    pieces: tuple[Named, ...]
    warnings: tuple[str, ...]


def import_folder(
    page: Page, folder: Path, *, encoding: str = "utf-8", delimiter: str = ",", date_order: Order | None = None
) -> Imported:
    """Take a folder of CSV files into the book.

    Args:
        page: the page that is being written.
        folder: the folder; of its files those named in `stock.book.layout.FILES` are read.
        encoding: how the letters of the files are coded.
        delimiter: what stands between their cells: `,` `;` `|` or a tab, or its name.
        date_order: how dates like 03/04/2026 are read; None asks the settings. ISO dates are always right.

    Returns:
        What was taken, and what is odd about it.

    Raises:
        StockError: no such folder, none of the files in it, or one that cannot be read as a whole.
        BadLines: some lines cannot be taken; each is named with its file, number, value and reason.
    """
    sheets, warnings = read_folder(folder, encoding, delimiter)
    return _Import(page, sheets, date_order, warnings).done()


class _Import:
    """One import, step by step."""

    def __init__(self, page: Page, sheets: Mapping[str, Sheet], order: Order | None, warnings: list[str]) -> None:
        self.page = page
        self.sheets = sheets
        self.warnings = warnings
        self.bad = Bad()
        self._reading = shop.reading_of(page, sheets.get("settings.csv"), order)
        self._days: dict[str, When] = {}
        self._woods: dict[tuple[str, str], Told | StockError] = {}
        self.names = Names(page.connection)
        self.names.learn_all()

    def done(self) -> Imported:
        """Read everything, put the pieces, hold against them what is said of them, and put that too."""
        trees, pieces = self._lines("trees.csv", tree_line), self._lines("pieces.csv", piece_line)
        said_lines = [line for name, how in SAID.items() for line in self._lines(name, how)]
        who = Who(self.names, [*trees, *pieces], self.bad)
        woods = {member: wood for member in who.members if (wood := self._wood_of(member))}
        check_names(self.page, self.names, who)
        find_parents(who)
        meant = [(line, one) for line in said_lines if (one := self._meant(who, line))]
        days = self._days_of(meant)
        if undated := fill_dates(who.members, days, self.page.today):
            self.warnings.append(f"{undated} pieces have no date: taken as made before anything else is said of them.")
        cuts = cuttings(self.page, who.members, {key: max(some) for key, some in days.items()})
        places = self._put_shop(pieces, said_lines)
        rooted = {member: wood for member, wood in woods.items() if member.parent is None}
        self.warnings += put_pieces(self.page, self.names, who.members, cuts, rooted, places)
        self._put_said(who, meant, cuts, {m: wood for m, wood in woods.items() if m.parent is not None}, places)
        made = tuple(Named(m.id, m.mark, m.kind, m.line.tag) for m in who.members)
        return Imported({name: len(sheet.lines) for name, sheet in self.sheets.items()}, made, tuple(self.warnings))

    def _lines(self, name: str, how: Callable[[At, Cells], T]) -> list[T]:
        return lines_of(self.sheets.get(name), how, self._reading, self._days, self.bad)

    def _wood_of(self, member: Member) -> Told | None:
        """The wood that the line of a piece says; None if it says none, or one that is not known."""
        line = member.line
        if not line.species.strip():
            return None
        try:
            return self._told(line.species, line.sure if isinstance(line, TreeLine) else "probable")
        except StockError as trouble:
            self.bad.add(line.at, f"species {sentence(trouble)}")
            return None

    def _told(self, species: str, sure: str) -> Told:
        if (species, sure) not in self._woods:
            try:
                self._woods[species, sure] = told(self.page, species, sure)
            except StockError as trouble:
                hint = trouble.hint.replace(WAY_OUT, "or write unknown: weights and moisture work without a name.")
                self._woods[species, sure] = type(trouble)(trouble.message, hint=hint)
        found = self._woods[species, sure]
        if isinstance(found, StockError):
            raise found
        return found

    def _meant(self, who: Who, line: SaidOf) -> Meant | None:
        """The piece that a line speaks of; None if there is none, or its own line is bad."""
        try:
            return who.find(line.piece)
        except StockError as trouble:
            self.bad.add(line.at, trouble)
            return None

    def _days_of(self, meant: Sequence[tuple[SaidOf, Meant]]) -> dict[object, list[date]]:
        """The days on which something is said of a piece, by what tells it from others."""
        days: dict[object, list[date]] = defaultdict(list)
        for line, one in meant:
            days[key_of(one)].append(line.on.last)
        return days

    def _put_shop(self, pieces: Sequence[PieceLine], lines: Sequence[SaidOf]) -> dict[str, NamedPlace]:
        """Put settings, scales, places and air; gives the places by their names."""
        page, bad = self.page, self.bad
        today = When(page.today, page.today, "")
        shop.put_settings(page, self._lines("settings.csv", shop.setting_line), bad)
        weighed_on: dict[str, list[At]] = defaultdict(list)
        for line in lines:
            if isinstance(line, WeighingLine) and line.scales:
                weighed_on[line.scales].append(line.at)
        scales, checks = (
            self._lines("scales.csv", shop.scales_line),
            self._lines("scale_checks.csv", shop.scales_check_line),
        )
        self.warnings += shop.put_scales(page, scales, checks, weighed_on, bad)
        used = [(line.place, line.on or today, line.at) for line in pieces if line.place]
        used += [(line.place, line.on, line.at) for line in lines if isinstance(line, FactLine) and line.place]
        places = shop.put_places(page, self._lines("places.csv", shop.place_line), used, bad)
        self.warnings += shop.put_air(page, self._lines("air.csv", shop.air_line(page.today)), bad)
        return places

    def _put_said(
        self,
        who: Who,
        meant: Sequence[tuple[SaidOf, Meant]],
        cuts: Sequence[Cutting],
        woods: Mapping[Member, Told],
        places: Mapping[str, NamedPlace],
    ) -> None:
        """Check all that is said of pieces, refuse if any line is bad, and put it."""
        page = self.page
        facts_said = [(line, one.id) for line, one in meant if isinstance(line, FactLine)]
        leaving = [(line, one) for line, one in facts_said if isinstance(line.row, Departure)]
        acts.put_facts(page, leaving)
        pieces = self._known(who, meant)
        checks = Checks(page, pieces, self.bad)
        checks.chain(who.members, cuts)
        roots = checks.woods(woods)
        for line, one in meant:
            checks.said(line, one.id)
        deeds = acts.in_order((line, one.id) for line, one in meant if isinstance(line, ActLine))
        acts.label_sections(deeds, pieces, self.bad)
        deeds = acts.one_cut_each(checks.sizes(deeds))
        staying = [(line, one) for line, one in facts_said if not isinstance(line.row, Departure)]
        placed = [pair for pair in staying if self._placed(pieces, *pair, places)]
        weighings = [(line, one.id, one.mark) for line, one in meant if isinstance(line, WeighingLine)]
        new = acts.not_yet_stored(pieces, weighings)
        self.bad.refuse(count_of(self.sheets.values()))
        if again := len(weighings) - len(new):
            self.warnings.append(
                f"weighings.csv: {again} of {len(weighings)} weighings are on the book already, with the same day and "
                "weight; they are not stored twice."
            )
        self.warnings += checks.warnings
        self._put_roots(roots)
        acts.put_facts(page, placed)
        seen = [(line, one.mark) for line, one in meant if isinstance(line, SeenLine)]
        acts.put_defects(page, self.names, seen)
        flawed = {one.id for line, one in meant if isinstance(line, SeenLine)} | set(pieces.facts.defects)
        operations = acts.put_acts(page, deeds, flawed)
        self.warnings += acts.put_weighings(page, self.names, new, operations)
        self._free_tags(leaving)

    def _known(self, who: Who, meant: Sequence[tuple[SaidOf, Meant]]) -> Pieces:
        """Every piece that the folder brings or speaks of, as it is on the page now."""
        ids = sorted({m.id for m in who.members} | {one.id for _, one in meant})
        return Pieces(facts(self.page.connection, self.page.today, ids if len(ids) <= MOST_FAMILIES_APART else None))

    def _placed(self, pieces: Pieces, line: FactLine, piece_id: int, places: Mapping[str, NamedPlace]) -> bool:
        """Complete a row by what only now is known: the place of a move, the wood and the tree of an opinion."""
        if isinstance(line.row, Move):
            if line.place not in places:
                return False  # its line is bad
            line.row.place_id = places[line.place].id
        if isinstance(line.row, Opinion):
            try:
                wood = self._told(line.species, line.row.sure)
            except StockError as trouble:
                self.bad.add(line.at, f"species {sentence(trouble)}")
                return False
            line.row.said, line.row.species_key, line.row.rank = wood.said, wood.key or None, wood.rank
            line.row.sure = wood.sure
            if (root := pieces.root(piece_id)) != piece_id:
                self.bad.add(line.at, f"{line.piece} is wood of {pieces[root].mark}: say it of that")
        return True

    def _put_roots(self, roots: Mapping[int, tuple[Member, Told]]) -> None:
        """Put the woods of trees that only their pieces tell."""
        for root, (member, wood) in roots.items():
            assert member.on is not None
            self.page.put(opinion_row(root, wood, member.on, "", ""))
            self.warnings.append(f"{member.line.at}: that {member.name} is {wood.name} is taken as said of its tree.")

    def _free_tags(self, leaving: Sequence[tuple[FactLine, int]]) -> None:
        """Free the tags of the pieces that are out in the end."""
        last = {one: line for line, one in sorted(leaving, key=lambda pair: pair[0].on.last)}
        for one, line in last.items():
            if isinstance(line.row, Departure) and line.row.outcome:
                take_off(self.page, one, line.on)
