"""What a notebook says of its pieces, put on the book: looks and moves, what was done, and what they weighed.

The acts of one piece are put in order of time, and those of one day in the order in which they are done: off with the
coat, the slice for the oven, the trim, the plane, and last the new coat. All pieces go along together, so that the
number of statements grows with the acts of the busiest piece, not with the lines.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import count
from typing import Any

from stock.book.facts import facts
from stock.book.journal import Page
from stock.book.kinds import ScalesFact
from stock.book.naming import Names, fold
from stock.book.records import Defect, Fact, Operation, Oven, Section, Weighing
from stock.errors import Unclear
from stock.survey.pieces import Pieces
from stock.typed import Typed
from stock.yard.flaws import Cuts, after_trim
from stock.yard.importing_lines import ActLine, Bad, FactLine, SeenLine, WeighingLine
from stock.yard.making import size_row
from stock.yard.noting import DefectLine, defect_many
from stock.yard.ovening import oven_rows
from stock.yard.reading import Pan, pan_of, weighing_row
from stock.yard.sheet import WeighLine, weigh_many
from stock.yard.values import dated

_DAY_ORDER = ("coat off", "bark off", "section", "trim", "plane", "turn", "soak", "boil", "steam", "treat", "decay")


def in_order(acts: Iterable[tuple[ActLine, int]]) -> list[tuple[ActLine, int]]:
    """Acts with their pieces in order of time, those of a day in the order in which they are done."""
    rank = {kind: n for n, kind in enumerate(_DAY_ORDER)}
    return sorted(acts, key=lambda one: (one[0].on.last, rank.get(one[0].operation["kind"], 99), one[0].at.number))


def one_cut_each(acts: Sequence[tuple[ActLine, int]]) -> list[tuple[ActLine, int]]:
    """Join the sections of one piece and day that tell the same two weights: several slices of one cut."""
    cuts: dict[tuple[Any, ...], tuple[ActLine, int]] = {}
    for act, piece_id in acts:
        key: tuple[Any, ...] = (act.at,)
        if act.sections and not act.operation["ends_piece"]:
            weights = tuple(one.value if one else None for one in (act.before, act.after))
            key = (piece_id, act.on.first, act.on.last, weights)
        if key in cuts:
            first = cuts[key][0]
            lengths = [one for one in (first.size.length, act.size.length) if one]
            shortest = min(lengths, key=lambda one: one.value, default=None)
            sections = first.sections + act.sections
            act = replace(first, size=replace(first.size, length=shortest), sections=sections)
        cuts[key] = (act, piece_id)
    return list(cuts.values())


def label_sections(acts: Sequence[tuple[ActLine, int]], pieces: Pieces, bad: Bad) -> None:
    """Give each section a label of its own among those of its piece: the one told, or the next number."""
    taken = {one: {fold(s.label) for s in rows} for one, rows in pieces.facts.sections.items()}
    for act, piece_id in acts:
        here = taken.setdefault(piece_id, set())
        for said in act.sections:
            row = said.row
            assert isinstance(row, Section)
            if row.label and fold(row.label) in here:
                bad.add(act.at, Unclear(f'{act.piece} has a section "{row.label}" already'))
            row.label = row.label or next(str(n) for n in count(1) if str(n) not in here)
            here.add(fold(row.label))


def put_facts(page: Page, lines: Sequence[tuple[FactLine, int]]) -> None:
    """Put looks, sizes, meter readings, moves and opinions."""
    by_kind: dict[type[Fact], list[Fact]] = defaultdict(list)
    for line, piece_id in sorted(lines, key=lambda one: one[0].on.last):
        line.row.piece_id = piece_id
        by_kind[type(line.row)].append(line.row)
    for rows in by_kind.values():
        page.put_all(rows)


def put_defects(page: Page, names: Names, lines: Sequence[tuple[SeenLine, str]]) -> None:
    """Put looks at defects, with the marks of their pieces, in order of time."""
    lines = sorted(lines, key=lambda one: one[0].on.last)
    noted = defect_many(page, [DefectLine(mark, line.on, line.seen) for line, mark in lines], names)
    for (line, _), one in zip(lines, noted, strict=True):
        row = page.session.get(Defect, one.id)
        if line.note and row is not None:
            row.typed = {**row.typed, "note": line.note}


def put_acts(page: Page, acts: Sequence[tuple[ActLine, int]], flawed: set[int]) -> dict[tuple[int, Any], list[int]]:
    """Put what was done, with its weights, sections and new sizes.

    Args:
        page: the page that is being written.
        acts: with their pieces, in order of time.
        flawed: the pieces that have a defect on the book.

    Returns:
        The operations by piece and last day, for weights that stand elsewhere.
    """
    turns: dict[int, list[ActLine]] = defaultdict(list)
    for act, piece_id in acts:
        turns[piece_id].append(act)
    done: dict[tuple[int, Any], list[int]] = defaultdict(list)
    for turn in range(max(map(len, turns.values()), default=0)):
        here = [(piece_id, some[turn]) for piece_id, some in turns.items() if turn < len(some)]
        operations = [_operation(act, piece_id) for piece_id, act in here]
        page.put_all([*operations])
        ids = [operation.id or 0 for operation in operations]
        page.put_all([row for (p, act), i in zip(here, ids, strict=True) for row in _weights(act, p, i)])
        _put_sections(page, here, ids)
        sizes = [size_row(p, act.size, act.on, operation_id=i) for (p, act), i in zip(here, ids, strict=True)]
        page.put_all([row for row in sizes if row is not None])
        for (piece_id, act), operation_id in zip(here, ids, strict=True):
            done[piece_id, act.on.last].append(operation_id)
            if piece_id in flawed:
                _shorten_defects(page, piece_id, act, operation_id)
    return done


def not_yet_stored(
    pieces: Pieces, lines: Sequence[tuple[WeighingLine, int, str]]
) -> list[tuple[WeighingLine, int, str]]:
    """The weighings that are not on the book, as when a spreadsheet that grows is imported again."""
    known = {
        (one, row.on_first, row.on_last, row.mass_g, row.role)
        for one, rows in pieces.facts.weighings.items()
        for row in rows
    }
    return [
        (line, one, mark)
        for line, one, mark in lines
        if (one, line.on.first, line.on.last, line.mass.value, line.role) not in known
    ]


def put_weighings(
    page: Page,
    names: Names,
    lines: Sequence[tuple[WeighingLine, int, str]],
    acts: Mapping[tuple[int, Any], list[int]],
) -> tuple[str, ...]:
    """Put weighings: plain ones as any sheet is put, those with more to tell row by row.

    Args:
        page: the page that is being written.
        names: the names of the book.
        lines: with the id and mark of their pieces.
        acts: the operations by piece and last day.

    Returns:
        What the person should know.
    """
    warnings: list[str] = []
    plain = [one for one in lines if _is_plain(one[0])]
    known = _scales(page)
    rows: list[Weighing] = []
    for line, piece_id, _ in lines:
        if _is_plain(line):
            continue
        pan = pan_of(known.get(fold(line.scales)), line.step, line.mass)
        row = weighing_row(
            piece_id, line.mass, line.on, pan, state=line.state, at_time=line.at_time or None, note=line.note
        )
        row.role = line.role
        if line.role != "none":
            beside = acts.get((piece_id, line.on.last), [])
            row.operation_id = beside[0] if beside else None
            if not beside:
                warnings.append(f"{line.at}: nothing was done to {line.piece} that day; {line.role} what is not known.")
        rows.append(row)
    page.put_all([*rows])
    if plain:
        sheet = [WeighLine(line.at.number, mark, line.mass, line.on, line.scales, line.note) for line, _, mark in plain]
        told = weigh_many(page, sheet, names=names, source=plain[0][0].at.file)
        file = plain[0][0].at.file
        warnings += [f"{file}{' ' if text.startswith('line ') else ': '}{text}" for text in told.warnings]
    return tuple(warnings)


def _is_plain(line: WeighingLine) -> bool:
    return line.role == "none" and line.step is None and line.state == "clean" and not line.at_time


def _scales(page: Page) -> dict[str, ScalesFact]:
    return {fold(one.name): one for one in facts(page.connection, page.today, []).scales.values()}


def _operation(act: ActLine, piece_id: int) -> Operation:
    return Operation(piece_id=piece_id, typed=dict(act.typed), **act.operation, **dated(act.on))


def _weights(act: ActLine, piece_id: int, operation_id: int) -> list[Weighing]:
    rows: list[Weighing] = []
    for role, measure in (("before", act.before), ("after", act.after)):
        if measure is not None:
            row = weighing_row(piece_id, measure, act.on, Pan(None, _step_g(measure), None))
            row.role, row.operation_id = role, operation_id
            rows.append(row)
    return rows


def _step_g(measure: Typed) -> float | None:
    return 2 * measure.plus_minus if measure.plus_minus else None


def _put_sections(page: Page, here: Sequence[tuple[int, ActLine]], ids: Sequence[int]) -> None:
    sections: list[Section] = []
    for (piece_id, act), operation_id in zip(here, ids, strict=True):
        for said in act.sections:
            assert isinstance(said.row, Section)
            said.row.piece_id, said.row.operation_id = piece_id, operation_id
            sections.append(said.row)
    page.put_all([*sections])
    ovens: list[Oven] = []
    for _, act in here:
        for said in act.sections:
            assert isinstance(said.row, Section)
            ovens += oven_rows(said.row.id or 0, (), said.dry, said.row.step_g, said.dried_on)
    page.put_all([*ovens])


def _shorten_defects(page: Page, piece_id: int, act: ActLine, operation_id: int) -> None:
    """Note what a trim leaves of the defects that were known by then."""
    butt, top = (act.operation.get(column) or 0.0 for column in ("butt_off_mm", "top_off_mm"))
    if not (butt or top):
        return
    then = Pieces(facts(page.connection, act.on.last, [piece_id]))[piece_id]
    was = then.size.length_mm + butt + top if act.size.length and then.size.length_mm else then.size.length_mm
    after_trim(page, then.defects, Cuts(butt, top, was), operation_id, act.on)
