"""What a piece is today: computed from its facts, and from those of the pieces it came from."""

from collections.abc import Iterator, Sequence
from datetime import date

from stock.book.facts import Facts
from stock.book.kinds import DefectFact, OperationFact
from stock.book.naming import fold
from stock.errors import StockError
from stock.marks import mark
from stock.survey.piece import Coat, Look, Piece, Size, WoodSaid
from stock.wood import species
from stock.wood.species import Value, Wood

__all__ = ["Coat", "Look", "Piece", "Pieces", "Size", "WoodSaid", "own_figures"]


class Pieces:
    """The pieces of some facts, each worked out once."""

    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self._known: dict[int, Piece] = {}
        self._woods: dict[int, WoodSaid] = {}
        self._own = own_figures(facts)

    def __getitem__(self, piece_id: int) -> Piece:
        if piece_id not in self._known:
            self._known[piece_id] = self._work_out(piece_id)
        return self._known[piece_id]

    def __contains__(self, piece_id: int) -> bool:
        return piece_id in self.facts.pieces

    def all(self) -> Iterator[Piece]:
        """Every piece, in the order of its mark."""
        for made in sorted(self.facts.pieces.values(), key=lambda p: (p.series, p.number)):
            yield self[made.id]

    def on_hand(self) -> Iterator[Piece]:
        """The pieces that can be put a hand on: made, not cut up, not gone; trees are not pieces on a shelf."""
        return (piece for piece in self.all() if piece.on_hand and piece.kind != "tree")

    def up(self, piece_id: int) -> list[int]:
        """The ids from a piece to its root, the piece first."""
        chain = [piece_id]
        while (parent := self.facts.pieces[chain[-1]].parent_id) is not None and parent in self.facts.pieces:
            chain.append(parent)
        return chain

    def down(self, piece_id: int) -> list[int]:
        """The ids of all pieces that came from a piece, in order."""
        found: list[int] = []
        for child in self.facts.children.get(piece_id, ()):
            found += [child, *self.down(child)]
        return found

    def ancestor(self, piece_id: int, kind: str) -> int | None:
        """The nearest piece of a kind above a piece (not itself), or None."""
        return next((i for i in self.up(piece_id)[1:] if self.facts.pieces[i].kind == kind), None)

    def root(self, piece_id: int) -> int:
        return self.up(piece_id)[-1]

    def along_mm(self, piece_id: int, base: str = "log") -> float | None:
        """How far the middle of a piece lay from the butt end of its log (or tree), or None if not recorded."""
        length = self[piece_id].size.length_mm
        if length is None:
            return None
        total = length / 2 + self._off_the_butt(piece_id, self.facts.on)
        for one in self.up(piece_id):
            made = self.facts.pieces[one]
            if made.kind == base or made.parent_id is None:
                return total if made.kind == base else None
            parent = self.facts.pieces.get(made.parent_id)
            total += self._off_the_butt(made.parent_id, made.on_last, before=made.made_by_id)
            if made.from_butt_mm is not None:
                total += made.from_butt_mm
            elif not (parent and self._same_length(one, parent.id)):
                return None
        return None

    def _off_the_butt(self, piece_id: int, until: date, before: int | None = None) -> float:
        """What had been cut off the butt end of a piece by a day, before one of its operations, mm."""
        total = 0.0
        for operation in self.facts.operations.get(piece_id, ()):
            if operation.id == before or operation.on_last > until:
                break
            total += operation.butt_off_mm or 0.0
        return total

    def _same_length(self, child: int, parent: int) -> bool:
        """A piece split lengthways starts where its parent starts."""
        made_by = self.facts.pieces[child].made_by_id
        return any(o.id == made_by and o.kind == "split" for o in self.facts.operations.get(parent, ()))

    def wood(self, piece_id: int) -> WoodSaid:
        """The newest opinion on a piece, or on the nearest above it that has one; a block is of its staves' wood."""
        chain = self.up(piece_id)
        if staves := [s.piece_id for s in self.facts.block_staves.get(piece_id, ()) if s.piece_id in self]:
            chain = [*chain, *self.up(staves[0])]
        for one in chain:
            if one in self._woods:
                return self._woods[one]
            if opinions := self.facts.opinions.get(one):
                last = opinions[-1]
                found = WoodSaid(self._wood(last.species_key), last.said, last.sure, last.by_whom, last.evidence)
                self._woods[one] = found
                return found
        return WoodSaid(None, "", "unknown", "", "")

    def _wood(self, key: str | None) -> Wood | None:
        """The wood of a key with the person's own numbers; None for no key, or one this version does not know."""
        if not key:
            return None
        try:
            return species.with_values(species.wood(key), self._own.get(key, ()))
        except StockError:
            return None

    def _work_out(self, piece_id: int) -> Piece:
        facts = self.facts
        made = facts.pieces[piece_id]
        place_id, since, seen = self._place(piece_id)
        tags = [t.text for t in facts.tags.get(piece_id, ()) if t.until is None or t.until > facts.on]
        place = facts.places.get(place_id) if place_id is not None else None
        return Piece(
            id=piece_id,
            mark=mark(made.number, made.series),
            tag=tags[-1] if tags else "",
            kind=made.kind,
            role=made.role,
            made=made,
            size=self._size(piece_id),
            look=self._look(piece_id),
            wood=self.wood(piece_id),
            place_id=place_id,
            place=place.name if place else None,
            here_since=since,
            seen_on=seen,
            gone=self._gone(piece_id),
            coat=_coat(facts.operations.get(piece_id, ())),
            defects=self._defects(piece_id),
        )

    def _size(self, piece_id: int) -> Size:
        now: dict[str, float | str | None] = {}
        for row in self.facts.sizes.get(piece_id, ()):
            for name in Size.__slots__:
                value = getattr(row, name)
                if value is not None and not (name == "wood_state" and value == "unknown"):
                    now[name] = value
        return Size(**now)  # type: ignore[arg-type]

    def _look(self, piece_id: int) -> Look:
        """The newest of each; the part of the wood is inherited from the piece above if never said."""
        rows = self.facts.looks.get(piece_id, ())
        now: dict[str, object] = {}
        traits: set[str] = set()
        for row in rows:
            for name in ("part", "sap_faces", "bark_face", "ring_deg", "pith_in", "run_out"):
                if (value := getattr(row, name)) is not None:
                    now[name] = value
            if row.trait:
                traits.add(row.trait)
            if row.lab_l is not None and row.lab_a is not None and row.lab_b is not None:
                now["lab"], now["lab_surface"] = (row.lab_l, row.lab_a, row.lab_b), row.surface
        parent_id = self.facts.pieces[piece_id].parent_id
        if "part" not in now and parent_id is not None and parent_id in self.facts.pieces:
            above = self._look(parent_id).part
            if above in ("heart", "sap"):
                now["part"] = above
        return Look(traits=frozenset(traits) if traits else None, **now)  # type: ignore[arg-type]

    def _place(self, piece_id: int) -> tuple[int | None, date | None, date | None]:
        place_id: int | None = None
        since: date | None = None
        seen: date | None = None
        for one in self.up(piece_id):
            moves = self.facts.moves.get(one, ())
            for move in moves:
                seen = move.on_last
                if move.place_id != place_id:
                    place_id, since = move.place_id, move.on_last
            if moves:
                break
        made_on = self.facts.pieces[piece_id].on_last
        return place_id, max(since, made_on) if since else None, seen

    def _gone(self, piece_id: int) -> str:
        for operation in self.facts.operations.get(piece_id, ()):
            if operation.ends_piece:
                return {"crosscut": "crosscut", "split": "split", "saw": "sawn up", "section": "oven-dried whole"}.get(
                    operation.kind, operation.kind
                )
        departures = self.facts.departures.get(piece_id, ())
        return departures[-1].outcome or "" if departures else ""

    def _defects(self, piece_id: int) -> tuple[DefectFact, ...]:
        latest: dict[int, DefectFact] = {}
        for row in self.facts.defects.get(piece_id, ()):
            latest[row.first_id or row.id] = row
        return tuple(d for d in latest.values() if d.cut_off_by_id is None and d.how_many != 0)


def _coat(operations: Sequence[OperationFact]) -> Coat | None:
    coat: Coat | None = None
    for operation in operations:
        if operation.kind == "coat on":
            where = operation.coat_where or "ends"
            if coat and coat.where == "all":
                where = "all"
            coat = Coat(operation.coat_kind or "coat", where)
        elif operation.kind == "coat off" or (operation.kind in ("plane", "turn") and coat and coat.where == "all"):
            coat = None
    return coat


def own_figures(facts: Facts) -> dict[str, tuple[Value, ...]]:
    """The person's own numbers for woods, by the key of the wood, or by the name as said if it has no key."""
    found: dict[str, tuple[Value, ...]] = {}
    for own in facts.own_figures:
        value = Value(own.property, own.value, own.unit, source=own.source)
        key = own.species_key or fold(own.said)
        found[key] = (value, *found.get(key, ()))
    return found
