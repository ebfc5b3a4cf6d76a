"""What is due to be weighed, in words and columns."""

from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path

from stock.cli import desk, printing
from stock.cli.printing import Column, age, harmless, mass_words, size_words, table, wrapped
from stock.dates import day_words, short_day
from stock.survey.duties import Due
from stock.survey.walks import ALONG_DAYS, Walk

NOWHERE = "no place told"
SIZE = 2  # the column that is left out where a screen is too narrow for it


def due_lines(found: Sequence[Due], hide: bool) -> Iterator[str]:
    """What to weigh, place by place."""
    places = dict.fromkeys(one.piece.place or NOWHERE for one in found)
    along = sum(one.along for one in found)
    taken = f", {along} of them taken along (due within {ALONG_DAYS} days)" if along else ""
    yield f"{len(found)} to weigh in {len(places)} place{'s' if len(places) > 1 else ''}{taken}."
    for place in places:
        yield harmless(place)
        mine = [one for one in found if (one.piece.place or NOWHERE) == place]
        yield from (f"  {line}" for line in _fitted([_cells(one, hide) for one in mine]))


def _cells(one: Due, hide: bool) -> tuple[str, ...]:
    here = desk.current()
    mass = here.unit("mass") or "g"
    outlook = None if hide else one.outlook
    expect = f"{_bare(outlook.low_g, mass)}-{mass_words(max(round(outlook.high_g), 0), mass)}" if outlook else ""
    return (
        one.piece.mark,
        one.piece.wood.name,
        size_words(one.piece.size, here.unit("length") or "mm"),
        "" if hide or one.last_g is None else mass_words(one.last_g, mass),
        age((one.on - one.last_on).days if one.last_on else None),
        "along" if one.along else f"{one.days_late} d late" if one.days_late else _when(one),
        expect,
        _why(one, mass),
    )


def _bare(grams: float, unit: str) -> str:
    """A weight without its unit where that is at its end."""
    told = mass_words(max(round(grams), 0), unit)
    return told.removesuffix(unit).strip() if unit in ("g", "kg") else told


def _when(one: Due) -> str:
    days = (one.due_on - one.on).days
    return f"in {days} d" if days else "today"


def _why(one: Due, unit: str) -> str:
    if (outlook := one.outlook) and (grams := outlook.lighter_by_step_g):
        return f"about {mass_words(grams, unit)} lighter {one.by_when}"
    return one.why


def _fitted(rows: Sequence[Sequence[str]]) -> list[str]:
    """The rows as lines; a screen too narrow for them goes without the sizes, and when is told by another column."""
    columns = [Column("mark"), Column("wood", may_shrink=True), Column("size"), Column("last", right=True)]
    columns += [Column("age", right=True), Column("due"), Column("expect"), Column("why", may_shrink=True)]
    width = printing.screen_width()
    used = [i for i, column in enumerate(columns) if column.heading != "expect" or any(row[i] for row in rows)]
    columns, rows = [columns[i] for i in used], [[row[i] for i in used] for row in rows]
    if width is not None and max(len(line) for line in table(columns, rows)) > width - 2:
        columns = columns[:SIZE] + columns[SIZE + 1 :]
        rows = [
            [*row[:SIZE], *row[SIZE + 1 : -1], row[-1].removesuffix(" by now").removesuffix(" by then")] for row in rows
        ]
    return table(columns, rows, width - 2 if width else None)


def next_lines(following: Sequence[Due]) -> Iterator[str]:
    """That nothing is due, and when something will be."""
    if not following:
        yield "Nothing is due, and nothing on hand is to be weighed."
        return
    first = following[0]
    days = (first.due_on - first.on).days
    where = ", ".join(dict.fromkeys(one.piece.place or NOWHERE for one in following))
    count = f"{len(following)} piece{'' if len(following) == 1 else 's'}"
    told = f"Nothing is due. Next: {count} on {day_words(first.due_on)}, in {days} day{'' if days == 1 else 's'}"
    yield from wrapped(f"{told} ({where}).")


def pause_lines(until: date, count: int) -> list[str]:
    """That reminders are paused, what would be due, and the ways out."""
    would = f"{count} would be due; to see them: rick due --anyway" if count else "nothing would be due"
    return [f"Paused until {day_words(until)}; {would}", "To end the pause: rick book set pause off"]


def walk_lines(found: Sequence[Walk], path: Path, days: int, paused: date | None) -> Iterator[str]:
    """What was written to a calendar."""
    if paused:
        yield f"Paused until {day_words(paused)}: no walk before that day."
    if not found:
        yield f"Nothing is to be weighed in the coming {days} days; no file was written."
        return
    yield f"{path}: {len(found)} walk{'' if len(found) == 1 else 's'}"
    for walk in found:
        yield harmless(f"  {short_day(walk.on)}  {walk.place or NOWHERE}: {len(walk.pieces)}")
    yield "Take it into a calendar of its own: a walk that is no longer needed stays until you delete it."
