"""The density of a tree as a row of the ledger, and the green sizes of its pieces, which tie them to it.

The published density of a wood is where a dry mass starts from when nobody has dried anything: rough, and a small share
of the answer once a section is known. A wood without a published figure starts from nothing.

A size is only as good as what is known of when it was measured: sawn from a fresh tree it is the green size; long
after, the wood has shrunk by some part of its shrinkage. Which part is common practice, no source.
"""

from collections.abc import Hashable, Iterator
from dataclasses import dataclass
from functools import cache

from stock.book.kinds import SizeFact
from stock.survey.ledger_sections import dried
from stock.survey.lineage import Lineage, State
from stock.survey.piece import WoodSaid
from stock.survey.states import History
from stock.wood import evidence, species
from stock.wood.evidence import Row
from stock.wood.species import Value, Wood

TREE_SD, UNSURE_SD = 0.085, 0.14  # of ln of a density: of trees of a wood, and where the wood itself is not sure
GREEN_DAYS = 180  # after it came down: until then what is sawn from a tree has hardly shrunk inside
SHRUNK = {"green": (0.0, 0.0), "dry": (0.65, 0.15), "long after": (0.5, 0.3), "not known": (0.25, 0.35)}
SIZE_SD = {"blank": 0.02, "offcut": 0.05, "billet": 0.08}  # of ln of a volume; a log is no square, nor a half in bark


@dataclass(frozen=True, slots=True)
class Measured:
    """The first full size of a piece: the number of its state then, its volume, and how green it was."""

    state: int
    volume_cm3: float
    age: str


def density_rows(lineage: Lineage) -> Iterator[Row]:
    """The published density of each wood of a family, and what sizes and sections tie to it."""
    known: dict[Hashable, WoodSaid] = {}
    ties: list[Row] = []
    for piece_id in lineage.members:
        said = lineage.pieces.wood(piece_id)
        tree: Hashable = ("density", lineage.root, said.wood.key if said.wood else "")
        before = len(ties)
        ties += _size_rows(lineage, piece_id, tree, said.wood)
        ties += _section_rows(lineage, piece_id, tree)
        if len(ties) > before:
            known.setdefault(tree, said)
    for node, said in known.items():
        if said.wood and (figure := _figure(said.wood)):
            value, sure = figure
            sd = TREE_SD if sure and said.sure in ("certain", "probable") else UNSURE_SD
            yield evidence.tree_density(node, value, sd).said(f"the density of {said.wood.name}")
    yield from ties


@cache
def _figure(wood: Wood) -> tuple[float, bool] | None:
    """The basic specific gravity of a wood, and whether it is one number of one species."""
    found = species.best_basic_specific_gravity(wood)
    value = found.central() if found else None
    if found is None or value is None:
        return None
    return value, found.value is not None and found.verified and wood.rank not in ("genus", "group")


@cache
def _shrinkage_pct(wood: Wood) -> float | None:
    found: Value | None = species.shrinkage(wood, "volumetric")
    return found.central() if found and found.verified else None


def _size_rows(lineage: Lineage, piece_id: int, tree: Hashable, wood: Wood | None) -> Iterator[Row]:
    measured = first_size(lineage, piece_id)
    if measured is None:
        return
    shrinkage_pct = _shrinkage_pct(wood) if wood else None
    volume_cm3, shrunk_sd = evidence.green_volume(measured.volume_cm3, shrinkage_pct, *SHRUNK[measured.age])
    sd = (SIZE_SD[lineage.facts.pieces[piece_id].kind] ** 2 + shrunk_sd**2) ** 0.5
    state: State = (piece_id, measured.state)
    yield evidence.volume(state, tree, volume_cm3, sd).said(f"{lineage.named(piece_id)} size")


def _section_rows(lineage: Lineage, piece_id: int, tree: Hashable) -> Iterator[Row]:
    for section in lineage.facts.sections.get(piece_id, ()):
        if section.volume_cm3 and section.kind == "slice" and (result := dried(lineage.facts, section)):
            row = evidence.section_density(tree, result.dry_g, section.volume_cm3)
            yield row.said(f"{lineage.named(piece_id)} section's density")


def first_size(lineage: Lineage, piece_id: int) -> Measured | None:
    """The first size of a piece with all three measures; None if it has none or is not square.

    Only the first counts: what a piece weighs for its size is one fact, however often it is measured.
    """
    made = lineage.facts.pieces[piece_id]
    if made.kind not in SIZE_SD or made.bark_on or (made.kind == "billet" and made.bark_on is not False):
        return None
    history = lineage.histories[piece_id]
    length = width = thickness = None
    for number, size in enumerate(lineage.facts.sizes.get(piece_id, ())):
        length, width = size.length_mm or length, size.width_mm or width
        thickness = size.thickness_mm or thickness
        if length and width and thickness:
            state = _state_of(history, size, is_first=number == 0)
            return Measured(state, length * width * thickness / 1000, _age(lineage, size))
    return None


def _state_of(history: History, size: SizeFact, *, is_first: bool) -> int:
    """The state a size is of: after its own operation, else after those by its day; the first comes before any."""
    after = history.events_through(size.operation_id)
    if after is not None:
        return history.state_after(after)
    return 0 if is_first else history.state_after(history.events_by(size.on_last))


def _age(lineage: Lineage, size: SizeFact) -> str:
    """How far the wood had shrunk when it was measured: a key of SHRUNK."""
    if size.wood_state in ("green", "dry"):
        return size.wood_state
    root = lineage.facts.pieces[lineage.root]
    if root.kind != "tree":
        return "not known"
    stood_dead = any(tree.alive is False for tree in lineage.facts.trees.get(root.id, ()))
    days = (size.on_last - root.on_last).days
    return "long after" if stood_dead or days > GREEN_DAYS else "green"
