"""Asking along about cuts: from which piece, then a line a piece, each tried and given its mark before the next.

Nothing is stored before the end, so that it is one entry; the marks shown are those it will give. Whoever stops in
between keeps what was taken so far, and the piece itself stays on hand.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Generic, TypeVar

from stock.cli import desk
from stock.cli.conversations import INDENT, Left, ask, ask_until, listening, needs_somebody, refuse, trial, yes
from stock.cli.cut_lines import Length, read_blanks, read_lengths
from stock.cli.cut_orders import Crosscut, Sawing, both_systems, carry_out, size_of
from stock.cli.printing import title
from stock.cli.telling import run, wrapped
from stock.errors import Doubtful, Impossible, Misused, StockError
from stock.typed import Typed
from stock.writing import both_lengths
from stock.yard.cutting import Child
from stock.yard.in_hand import Held, hold
from stock.yard.lengthways import BlankPlan

P = TypeVar("P", Length, BlankPlan)
O = TypeVar("O", Crosscut, Sawing)  # noqa: E741

KEEP = frozenset({"k", "keep"})
_SPECK = Typed(1.0, "")  # as much wood as shows whether a piece can be cut at all


@dataclass
class Lines(Generic[P, O]):
    """The lines of one piece, as they come in.

    Attributes:
        order: what is cut from what, but for the pieces that come of it.
        read: a line, and what stands above it, to pieces.
        with_plans: an order and its pieces, to the whole order.
        look: what a piece is echoed with besides its mark and size.
    """

    order: O
    read: Callable[[str, Sequence[P]], list[P]]
    with_plans: Callable[[O, Sequence[P]], O]
    look: Callable[[P], str]
    plans: list[P] = field(default_factory=list)
    marks: list[str] = field(default_factory=list)

    @property
    def whole(self) -> O:
        return self.with_plans(self.order, self.plans)

    def take(self) -> None:
        """Take lines until an empty one.

        Raises:
            Left: the person stops, or ends without a line.
        """
        while answer := ask(f"{len(self.plans) + 1:>3}  "):
            if answer == "-":
                self._take_back()
                continue
            try:
                with listening():
                    new = self.read(answer, self.plans)
                self._try(new)
            except StockError as trouble:
                refuse(trouble)
        if not self.plans:
            raise Left

    def _try(self, new: Sequence[P]) -> None:
        order = self.with_plans(self.order, self.plans + list(new))
        with trial(order.verb) as page:
            done = order.write(page)
        self.plans += new
        self.marks = [child.mark for child in done.children]
        self._echo(done.children[-len(new) :], new[-1])

    def _echo(self, made: Sequence[Child], like: P) -> None:
        here = desk.current()
        size = both_systems(size_of(made[-1]), here.unit("length") or "mm")
        tag = f' "{made[-1].tag}"' if made[-1].tag else ""
        here.say(wrapped(f"{INDENT}{run([child.mark for child in made])}{tag}  {size}{self.look(like)}"))

    def _take_back(self) -> None:
        if self.plans:
            self.plans.pop()
            desk.current().say(f"{INDENT}{self.marks.pop()} taken back")


def ask_of_cut(order: Crosscut, *, note: str, dry_run: bool) -> None:
    """Ask along about a crosscut: what the line did not say.

    Args:
        order: what the line said.
        note, dry_run: as for every verb.
    """
    needs_somebody("cut", f"rick cut {order.piece or 'T7H'} --lengths 26in+26in+22in")
    if not order.lengths and (order.dias or order.tags):
        raise Misused("diameters or tags without lengths.", hint="Give --lengths, or all of it line by line.")
    try:
        held, order = _from_which(order, replace(order, lengths=(_SPECK,), dias=(), tags=()))
        if order.lengths:
            carry_out(order, note=note, dry_run=dry_run)
            return
        butt: Typed | None = None
        if held.piece.kind in ("tree", "log"):
            butt = ask_until("Diameter at the butt end? (Enter: not measured)", desk.current().length)
    except Left:
        desk.current().say("Nothing was stored.")
        return
    _explain("length, diameter at its top, tag" if butt else "length, tag", "length, from the butt")
    lines: Lines[Length, Crosscut] = Lines(
        order,
        lambda answer, before: read_lengths(answer, before, with_dia=butt is not None),
        lambda order, plans: _with_lengths(order, plans, butt),
        lambda plan: f", dia {both_lengths(plan.dia_top.value, _unit())} at its top" if plan.dia_top else "",
    )
    _take_and_store(lines, held, note=note, dry_run=dry_run)


def ask_of_saw(order: Sawing, *, note: str, dry_run: bool) -> None:
    """Ask along about a sawing into blanks: what the line did not say.

    Args:
        order: what the line said.
        note, dry_run: as for every verb.
    """
    needs_somebody("saw", f"rick saw {order.piece or '12N'} --blanks 6 --square 51mm")
    speck = BlankPlan(width=_SPECK, thickness=_SPECK, length=_SPECK)
    try:
        held, order = _from_which(order, replace(order, blanks=(speck,), as_marks=(), place=""))
    except Left:
        desk.current().say("Nothing was stored.")
        return
    if order.blanks:
        carry_out(order, note=note, dry_run=dry_run)
        return
    _explain("length, square, part, rings, tag, weight", "blank")
    lines: Lines[BlankPlan, Sawing] = Lines(
        order,
        read_blanks,
        lambda order, plans: replace(order, blanks=tuple(plans), as_marks=order.as_marks[: len(plans)]),
        _look,
    )
    _take_and_store(lines, held, note=note, dry_run=dry_run)


def _take_and_store(lines: Lines[P, O], held: Held, *, note: str, dry_run: bool) -> None:
    """Take the lines of a piece and store them, also those taken before the person stopped."""
    here = desk.current()
    try:
        lines.take()
        if held.piece.kind != "tree" and not lines.order.keep_rest:
            rest = ask_until(f"Is the rest of {held.mark} kept? (Enter: no)", yes)
            lines.order = replace(lines.order, keep_rest=rest)
        stopped = False
    except Left:
        if not lines.plans:
            here.say("Nothing was stored.")
            return
        stopped = True
        lines.order = _with_rest_if_any(lines)
    carry_out(lines.whole, note=note, dry_run=dry_run, foreseen=lines.marks)
    if stopped and (held.piece.kind == "tree" or lines.order.keep_rest):
        here.say(f"Stopped there. To go on: rick {lines.order.verb} {held.mark}")


def _with_rest_if_any(lines: Lines[P, O]) -> O:
    """Whoever stops half-way has more to come, unless nothing can be left of the piece."""
    kept = replace(lines.order, keep_rest=True)
    try:
        with trial(kept.verb) as page:
            lines.with_plans(kept, lines.plans).write(page)
    except Impossible:
        return lines.order
    return kept


def _from_which(order: O, speck: O) -> tuple[Held, O]:
    """The piece, asked for if the line did not name it, once it is sure that it can be cut.

    Args:
        order: what the line said.
        speck: the same, cutting next to nothing off the piece.

    Raises:
        Left: the person stops.
        StockError: the piece that the line named cannot be cut.
    """
    named = order.piece
    while True:
        piece = named or ask("From which piece? > ")
        try:
            with trial(order.verb) as page:
                held = hold(page, piece, order.on, order.done, needs="nothing")
                replace(speck, piece=piece, insist=order.insist, keep_rest=held.piece.kind != "tree").write(page)
        except Doubtful as doubt:
            refuse(doubt)
            if ask("k keeps the date all the same, Enter stops > ").lower() not in KEEP:
                raise Left from None
            named, order = piece, replace(order, insist=True)
        except StockError as trouble:
            if named:
                raise
            refuse(trouble)
        else:
            desk.current().say(f"{INDENT}{title(held.piece, _unit())}")
            return held, replace(order, piece=piece)


def _with_lengths(order: Crosscut, plans: Sequence[Length], butt: Typed | None) -> Crosscut:
    tops = [plan.dia_top for plan in plans if plan.dia_top]
    return replace(
        order,
        lengths=tuple(plan.length for plan in plans),
        dias=(butt, *tops) if butt else (),
        tags=tuple(plan.tag for plan in plans),
    )


def _explain(fields: str, each: str) -> None:
    here = desk.current()
    here.say(f"{fields}: a line a {each}")
    here.say(". is the same as above, x11 eleven more like it, - takes the last back;")
    here.say("an empty line ends, q stops. Stored at the end, with these marks.")


def _look(plan: BlankPlan) -> str:
    rings = f"rings {plan.rings.text}" if plan.rings else ""
    told = [plan.part or "", rings, plan.mass.text if plan.mass else ""]
    return "".join(f", {one}" for one in told if one)


def _unit() -> str:
    return desk.current().unit("length") or "mm"
