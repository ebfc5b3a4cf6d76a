"""The whole book as the sheets of a notebook: what each line of the CSV files of an export says.

Made for people and spreadsheets: pieces go by their marks, an act and its two weights stand on one line, the first
size, look and place of a piece stand on its own line. What has no column here is in `book.json`, which is complete.
"""

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from typing import Any

from stock.book.csvfiles import cell
from stock.book.layout import FILES
from stock.marks import mark

Row = Mapping[str, Any]
Tables = Mapping[str, Sequence[Row]]
_RELATIVE = ("today", "yesterday")
_COATS = ("coat on", "coat off")
_TREATMENTS = {**{one: one for one in ("bark off", "soak", "boil", "steam")}, "treat": "glycol", "decay": "spalt"}
_SHAPINGS = ("plane", "turn")
_SHORTEN = ("trim", "section")
_SEEN = tuple(name for name in FILES["figures.csv"].columns if name not in ("piece", "on", "face", "note"))


def sheets(tables: Tables) -> Iterator[tuple[str, tuple[str, ...], list[list[object]]]]:
    """The files of an export.

    Args:
        tables: every row of every table, by table.

    Yields:
        Name of the file, its columns, its lines.
    """
    notebook = _Notebook(tables)
    for name, layout in FILES.items():
        lines = [[line.get(column) for column in layout.columns] for line in notebook.lines(name)]
        yield name, layout.columns, lines


class _Notebook:
    def __init__(self, tables: Tables) -> None:
        self.tables = {name: sorted(rows, key=_order) for name, rows in tables.items()}
        self.marks = {row["id"]: mark(row["number"], row["series"]) for row in tables["piece"]}
        self.places = {row["id"]: row["name"] for row in tables["place"]}
        self.scales = {row["id"]: row["name"] for row in tables["scales"]}
        self.steps = {row["id"]: row["step_g"] for row in tables["scales"]}
        self.operations = {row["id"]: row for row in tables["operation"]}
        self.entry_notes = {row["id"]: row["note"] for row in tables["entry"]}
        self.made = {row["id"]: row for row in tables["piece"]}
        self.tags = self._tags()
        self.masses: dict[int, dict[str, Row]] = defaultdict(dict)
        for row in self.tables["weighing"]:
            if row["operation_id"] is not None and row["role"] != "none":
                self.masses[row["operation_id"]].setdefault(row["role"], row)
        self.after = {row["operation_id"]: row for row in self.tables["size"] if row["operation_id"] is not None}
        cuts = (row for row in tables["operation"] if row["kind"] in _SHORTEN)
        self.cuts = {(row["piece_id"], row["entry_id"], row["on_last"]) for row in cuts}
        self.first = {
            name: self._first_of_piece(name, condition)
            for name, condition in {
                "size": lambda row: row["operation_id"] is None,
                "opinion": lambda row: True,
                "look": lambda row: all(row[name] is None for name in ("trait", "face", "grade", "run_out")),
                "trait": lambda row: row["trait"] is not None and row["face"] is None,
                "move": lambda row: not row["seen_only"],
            }.items()
        }

    def lines(self, name: str) -> Iterator[dict[str, object]]:
        """The lines of one file."""
        lines: Callable[[], Iterator[dict[str, object]]] = getattr(self, "_" + name.removesuffix(".csv"))
        return lines()

    def _tags(self) -> dict[int, str]:
        """The last tag of each piece; one that is on another piece now is left to that piece."""
        tags = {row["piece_id"]: row for row in self.tables["tag"]}
        holders: dict[str, list[Row]] = defaultdict(list)
        for row in tags.values():
            holders[row["folded"]].append(row)
        now = [max(rows, key=lambda row: (row["until"] is None, row["id"])) for rows in holders.values()]
        return {row["piece_id"]: row["text"] for row in now}

    def _first_of_piece(self, name: str, condition: Callable[[Row], bool]) -> dict[int, Row]:
        """The rows that belong on the line of the piece itself: dated as it was made."""
        found: dict[int, Row] = {}
        for row in self.tables["look" if name == "trait" else name]:
            made = self.made[row["piece_id"]]
            if row["piece_id"] not in found and condition(row) and _dates(row) == _dates(made):
                found[row["piece_id"]] = row
        return found

    def _later(self, name: str, *firsts: str) -> Iterator[tuple[Row, dict[str, object]]]:
        taken = {row["id"] for first in firsts for row in self.first[first].values()}
        return ((row, self._of_piece(row)) for row in self.tables[name] if row["id"] not in taken)

    def _of_piece(self, row: Row) -> dict[str, object]:
        return {**row, "piece": self.marks[row["piece_id"]], "on": _on(row), "note": self._note(row)}

    def _note(self, row: Row) -> str:
        """The note of a line; that of a whole entry stands with its first fact."""
        return str(row["typed"].get("note") or (self.entry_notes[row["entry_id"]] if row["row_no"] == 1 else ""))

    def _settings(self) -> Iterator[dict[str, object]]:
        return ({**row, "on": _on(row)} for row in self.tables["setting"])

    def _scales(self) -> Iterator[dict[str, object]]:
        return ({**row, "scales": row["name"]} for row in self.tables["scales"])

    def _scale_checks(self) -> Iterator[dict[str, object]]:
        return ({**row, "scales": self.scales[row["scales_id"]], "on": _on(row)} for row in self.tables["scales_check"])

    def _places(self) -> Iterator[dict[str, object]]:
        return ({**row, "place": row["name"], "note": self._note(row)} for row in self.tables["place"])

    def _air(self) -> Iterator[dict[str, object]]:
        for row in self.tables["air"]:
            on = None if row["source"] == "normals" else _on(row)
            yield {**row, "place": self.places[row["place_id"]], "on": on}

    def _trees(self) -> Iterator[dict[str, object]]:
        trees = {row["piece_id"]: row for row in self.tables["tree"]}
        for piece in self._by_mark():
            if piece["kind"] == "tree":
                tree = trees.get(piece["id"], {})
                alive = None if tree.get("alive") is None else "alive" if tree["alive"] else "dead"
                yield {**tree, **self._named(piece), "felled_on": _on(piece), "alive": alive}

    def _pieces(self) -> Iterator[dict[str, object]]:
        for piece in self._by_mark():
            if piece["kind"] == "tree":
                continue
            size, look = self.first["size"].get(piece["id"], {}), self.first["look"].get(piece["id"], {})
            move, trait = self.first["move"].get(piece["id"]), self.first["trait"].get(piece["id"])
            yield {
                **{name: look.get(name) for name in _SEEN},
                **size,
                **piece,
                **self._named(piece),
                "made_on": _on(piece),
                "parent_tag": self.marks.get(piece["parent_id"]),
                "figure": trait["trait"] if trait else None,
                "place": self.places[move["place_id"]] if move else None,
            }

    def _by_mark(self) -> list[Row]:
        return sorted(self.tables["piece"], key=lambda row: (row["series"], row["number"]))

    def _named(self, piece: Row) -> dict[str, object]:
        opinion = self.first["opinion"].get(piece["id"])
        said = _wood_said(opinion) if opinion else {}
        return {
            **said,
            "mark": self.marks[piece["id"]],
            "tag": self.tags.get(piece["id"]),
            "note": self._note(piece),
        }

    def _opinions(self) -> Iterator[dict[str, object]]:
        return ({**line, **_wood_said(row)} for row, line in self._later("opinion", "opinion"))

    def _sizes(self) -> Iterator[dict[str, object]]:
        """Sizes measured again; that after a trim or plane stands on the line of that act."""
        acts = (*_SHORTEN, *_SHAPINGS)
        for row, line in self._later("size", "size"):
            if row["operation_id"] is None or self.operations[row["operation_id"]]["kind"] not in acts:
                yield line

    def _figures(self) -> Iterator[dict[str, object]]:
        """What was seen; of a photograph alone there is nothing that this file has a column for."""
        for row, line in self._later("look", "look", "trait"):
            if any(row[name] is not None for name in _SEEN):
                yield line

    def _weighings(self) -> Iterator[dict[str, object]]:
        told = {row["id"] for masses in self.masses.values() for row in masses.values()}
        for row in self.tables["weighing"]:
            if row["id"] not in told:
                yield {
                    **self._of_piece(row),
                    "scales": self.scales.get(row["scales_id"]),
                    "role": None if row["role"] == "none" else row["role"],
                    "state": None if row["state"] == "clean" else row["state"],
                    "step_g": None if row["step_g"] == self._step_g(row) else row["step_g"],
                }

    def _step_g(self, row: Row) -> float:
        """The step that a weighing has if none is told: that of its scales, else that of its digits."""
        own = self.steps.get(row["scales_id"])
        return own if own is not None else 10.0 ** -len(cell(row["mass_g"]).partition(".")[2])

    def _sections(self) -> Iterator[dict[str, object]]:
        dried = {row["section_id"]: row for row in self.tables["oven"] if row["final"]}
        for row, line in self._later("section"):
            dry = dried.get(row["id"])
            dried_on = _on(dry) if dry and _dates(dry) != _dates(row) else None
            dry_g = dry["mass_g"] if dry else None
            more = {"dry_g": dry_g, "dried_on": dried_on, "whole": row["kind"] == "whole"}
            yield {**line, **self._weights(row["operation_id"]), **more}

    def _trims(self) -> Iterator[dict[str, object]]:
        return self._acts("trim")

    def _planes(self) -> Iterator[dict[str, object]]:
        return ({**line, "turned": line["kind"] == "turn"} for line in self._acts(*_SHAPINGS))

    def _seals(self) -> Iterator[dict[str, object]]:
        for line in self._acts(*_COATS):
            wet, off = line["coat_state"] == "wet", line["kind"] == "coat off"
            yield {**line, "coat": line["coat_kind"], "where": line["coat_where"], "wet": wet, "off": off}

    def _treatments(self) -> Iterator[dict[str, object]]:
        for line in self._acts(*_TREATMENTS):
            yield {**line, "how": line["treatment"] or _TREATMENTS[str(line["kind"])]}

    def _acts(self, *kinds: str) -> Iterator[dict[str, object]]:
        for row in self.tables["operation"]:
            if row["kind"] in kinds:
                yield {**self._of_piece(row), **self._weights(row["id"])}

    def _weights(self, operation_id: int | None) -> dict[str, object]:
        """The weights before and after an act, and the size that it left."""
        if operation_id is None:
            return {}
        masses, size = self.masses.get(operation_id, {}), self.after.get(operation_id, {})
        sizes = {column: size.get(column) for column in ("length_mm", "width_mm", "thickness_mm")}
        return {**sizes, **{f"{role}_g": row["mass_g"] for role, row in masses.items()}}

    def _meters(self) -> Iterator[dict[str, object]]:
        return (line for _, line in self._later("meter_reading"))

    def _defects(self) -> Iterator[dict[str, object]]:
        """Looks at defects; what only follows from a trim is left to follow from it again."""
        for row, line in self._later("defect"):
            if not self._follows(row):
                yield {**line, "how_many": 0 if row["cut_off_by_id"] is not None else row["how_many"]}

    def _follows(self, row: Row) -> bool:
        if row["cut_off_by_id"] is not None:
            return self.operations[row["cut_off_by_id"]]["kind"] in _SHORTEN
        day = (row["piece_id"], row["entry_id"], row["on_last"])
        return row["first_id"] is not None and not row["typed"] and row["length_mm"] is not None and day in self.cuts

    def _moves(self) -> Iterator[dict[str, object]]:
        return ({**line, "place": self.places[row["place_id"]]} for row, line in self._later("move", "move"))

    def _departures(self) -> Iterator[dict[str, object]]:
        return ({**line, "outcome": row["outcome"] or "back"} for row, line in self._later("departure"))


def _order(row: Row) -> tuple[object, ...]:
    if "on_last" not in row:
        return (date.min, 0, row.get("id", 0), 0)
    return (row["on_last"], row["day_order"], row["entry_id"], row["row_no"])


def _dates(row: Row) -> tuple[object, object]:
    return row["on_first"], row["on_last"]


def _on(row: Row) -> str:
    """A date as it will be read again: ISO if it is one day, else as it was typed."""
    first, last, text = row["on_first"], row["on_last"], row["on_text"]
    if first == last:
        return str(last.isoformat())
    if first is None:
        return f"before {(last + timedelta(days=1)).isoformat()}"
    return str(text) if text and text.lower() not in _RELATIVE else str(last.isoformat())


def _wood_said(opinion: Row) -> dict[str, object]:
    said = opinion["said"] or (opinion["species_key"] or "").replace("-", " ")
    return {"species": said, **{column: opinion[column] for column in ("sure", "by_whom", "evidence")}}
