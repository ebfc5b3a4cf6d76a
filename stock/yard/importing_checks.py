"""Whether what a notebook says can be true: dates along the chain, lengths, squares and volumes, weights, woods.

The pieces are on the page already, so that the questions are those that are asked of any piece; what is bad is noted
by its line, and refused at the end with all the rest.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace

from stock.book.journal import Page
from stock.errors import Impossible, StockError
from stock.survey.pieces import Pieces
from stock.typed import Typed
from stock.yard.fitting import blanks_fit
from stock.yard.importing_chain import Cutting
from stock.yard.importing_lines import ActLine, Bad, FactLine, PieceLine, SeenLine, WeighingLine
from stock.yard.importing_names import Member
from stock.yard.in_hand import Held, not_a_tree
from stock.yard.lifetimes import Lifetimes
from stock.yard.seen import look_row
from stock.yard.telling import Told
from stock.yard.values import slack_mm
from stock.yard.weights import Effect, pair

TAPE_ERROR = 1.02  # lengths add up no better than this: common practice, no source
_EFFECTS: dict[str, Effect] = {
    **dict.fromkeys(("section", "trim", "plane", "turn", "bark off", "coat off"), "takes"),
    "soak": "adds",
}
SaidOf = FactLine | SeenLine | WeighingLine | ActLine


class Checks:
    """The checks of one import.

    Args:
        page: the page that is being written.
        pieces: every piece that the folder brings or speaks of, as known today.
        bad: where bad lines go.
    """

    def __init__(self, page: Page, pieces: Pieces, bad: Bad) -> None:
        self._page = page
        self._pieces = pieces
        self._bad = bad
        self._lives = Lifetimes(pieces)
        self.warnings: list[str] = []

    def chain(self, members: Sequence[Member], cuts: Sequence[Cutting]) -> None:
        """Check what came from what."""
        for member in members:
            if member.parent is not None and member.on is not None:
                try:
                    name = self._name(member.parent.id)
                    self._lives.check(member.parent.id, name, member.on, f"cut into {member.name}")
                    self._length(member)
                except StockError as trouble:
                    self._bad.add(member.line.at, trouble)
        for cut in cuts:
            self._fits(cut)

    def woods(self, told: Mapping[Member, Told]) -> dict[int, tuple[Member, Told]]:
        """Check the wood said of pieces against that of the tree they came from.

        Returns:
            By its id, a root of unknown wood, and a piece of it that tells what it is.
        """
        news: dict[int, tuple[Member, Told]] = {}
        for member, wood in told.items():
            root = self._pieces.root(member.id)
            held_to_be = self._pieces.wood(root)
            key = held_to_be.wood.key if held_to_be.wood else ""
            first = news.get(root, (member, wood))[1] if not key else None
            if wood.key and ((key and wood.key != key) or (first and first.key != wood.key)):
                known = held_to_be.name if key else first.name if first else ""
                self._bad.add(
                    member.line.at,
                    f'species "{wood.said}": {self._name(root)}, which it came from, is {known}; one of them is wrong',
                )
            elif wood.key and not key:
                news.setdefault(root, (member, wood))
        return news

    def said(self, line: SaidOf, piece_id: int) -> None:
        """Check one line that says something of a piece."""
        try:
            if not (isinstance(line, FactLine) and line.doing == "back"):
                self._lives.check(piece_id, line.piece, line.on, line.doing)
            held = Held(self._pieces[piece_id], self._pieces)
            if isinstance(line, SeenLine):
                look_row(held, line.on, line.seen)
            if isinstance(line, ActLine):
                self._act(held, line)
        except StockError as trouble:
            self._bad.add(line.at, trouble)

    def sizes(self, acts: Sequence[tuple[ActLine, int]]) -> list[tuple[ActLine, int]]:
        """Check that nothing grows by what is done to it, and work out what is not told of a cut.

        Args:
            acts: what was done, with the pieces, in order of time.

        Returns:
            The acts: a trim of which only the ends are told with its new length, a section from an end with what came
            off it.
        """
        told: dict[int, list[ActLine]] = defaultdict(list)
        known: list[tuple[ActLine, int]] = []
        for act, piece_id in acts:
            for column in ("length_mm", "width_mm", "thickness_mm"):
                new = getattr(act.size, column.removesuffix("_mm"))
                was = self._was(piece_id, column, act, told[piece_id])
                if new is not None and was is not None and new.value > was + slack_mm(new):
                    self._bad.add(
                        act.at,
                        f'{column} "{new.text}": {act.piece} had {was:g} mm before it was {act.doing}; '
                        "look at the size and its unit",
                    )
            whole = self._was(piece_id, "length_mm", act, told[piece_id])
            act = self._worked_out(act, whole) if whole is not None else act
            told[piece_id].append(act)
            known.append((act, piece_id))
        return known

    def _worked_out(self, act: ActLine, was_mm: float) -> ActLine:
        off = sum(act.operation.get(column) or 0.0 for column in ("butt_off_mm", "top_off_mm"))
        if off >= was_mm:
            self._bad.add(act.at, f"{act.piece} was {was_mm:g} mm long; {off:g} mm cannot come off it")
        elif off and act.size.length is None:
            return replace(act, size=replace(act.size, length=Typed(was_mm - off, "")))
        end = next((getattr(said.row, "end", None) for said in act.sections), None)
        if act.size.length is not None and end in ("butt", "top"):
            operation = {**act.operation, f"{end}_off_mm": max(was_mm - act.size.length.value, 0.0)}
            return replace(act, operation=operation)
        return act

    def _was(self, piece_id: int, column: str, act: ActLine, earlier: Sequence[ActLine]) -> float | None:
        """The size of a piece just before an act: by earlier acts of the folder, else by the book."""
        field = column.removesuffix("_mm")
        acts = [(one.on.last, size.value) for one in earlier if (size := getattr(one.size, field))]
        rows = [
            (row.on_last, value)
            for row in self._pieces.facts.sizes.get(piece_id, ())
            if row.on_last <= act.on.last and (value := getattr(row, column)) is not None
        ]
        known = sorted([*rows, *acts], key=lambda one: one[0])
        return known[-1][1] if known else None

    def _act(self, held: Held, act: ActLine) -> None:
        not_a_tree(held, act.doing)
        effect = _EFFECTS.get(act.operation["kind"], "either")
        pair(self._page, act.piece, act.before, act.after, effect, f"being {act.doing}")

    def _length(self, member: Member) -> None:
        line, parent = member.line, member.parent
        if not isinstance(line, PieceLine) or parent is None or line.size.length is None:
            return
        whole = self._first_length(parent.id)
        if whole is None:
            return
        length = line.size.length
        if length.value > whole + slack_mm(length):
            raise Impossible(
                f'length_mm "{length.text}" is more than {self._name(parent.id)} has, which it came from: {whole:g} mm'
            )
        end = length.value + (line.from_butt.value if line.from_butt else 0.0)
        if end > whole * TAPE_ERROR:
            self.warnings.append(
                f"{line.at}: {member.name} would end {end:g} mm from the butt end of {self._name(parent.id)}, "
                f"which has {whole:g} mm."
            )

    def _fits(self, cut: Cutting) -> None:
        """Whether the lengths, or the wood, of some pieces can have been in what they were cut from."""
        if cut.parent.id not in self._pieces or cut.parent.kind == "tree":
            return
        held = Held(self._pieces[cut.parent.id], self._pieces)
        last = cut.children[-1].line.at
        try:
            if cut.kind == "saw":
                self.warnings += [f"{last}: {told}" for told in blanks_fit(held, held.size_on(cut.on.last), [])]
            elif cut.kind == "crosscut":
                self._lengths_fit(cut)
        except StockError as trouble:
            self._bad.add(last, trouble)

    def _lengths_fit(self, cut: Cutting) -> None:
        whole = self._first_length(cut.parent.id)
        parts = [child.line.size.length for child in cut.children if isinstance(child.line, PieceLine)]
        total = sum(part.value for part in parts if isinstance(part, Typed))
        if whole is not None and total > whole * TAPE_ERROR:
            name = self._name(cut.parent.id)
            raise Impossible(f"the lengths cut from {name} add up to {total:g} mm; it has {whole:g} mm")

    def _first_length(self, piece_id: int) -> float | None:
        rows = self._pieces.facts.sizes.get(piece_id, ())
        return next((row.length_mm for row in rows if row.length_mm is not None), None)

    def _name(self, piece_id: int) -> str:
        piece = self._pieces[piece_id]
        return piece.tag or piece.mark
