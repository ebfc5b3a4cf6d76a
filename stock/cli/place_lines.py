"""What is said of pieces that moved, of the air of a place, and of what left the stock or came back."""

import shlex
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from stock.cli.printing import harmless
from stock.cli.telling import packed, run
from stock.survey.courses import Reckoning

if TYPE_CHECKING:
    from stock.yard.in_hand import Held
    from stock.yard.moving import Back, Moved, Out


def move_document(done: "Moved") -> dict[str, Any]:
    return {
        "place": done.place,
        "cover": done.cover,
        "seen_only": done.seen_only,
        "pieces": [{"mark": one.mark, "tag": one.tag or None, "was": one.was} for one in done.pieces],
        "new_places": list(done.new_places),
        "new_air": list(done.new_air),
    }


def move_lines(done: "Moved", reckoning: Reckoning, first_id: int, on: str, *, to_heat: bool) -> Iterator[str]:
    marks = [one.mark for one in done.pieces]
    was = {one.was for one in done.pieces}
    came = f", from {next(iter(was))}" if len(was) == 1 and None not in was and was != {done.place} else ""
    verb = "seen in" if done.seen_only else "now in"
    yield from packed(harmless(f"{verb} {done.place}{on}{came}:"), marks, 3, "and {} more")
    if done.new_places:
        cover = "" if done.cover else f". Its cover: rick move --place {shlex.quote(done.new_places[0])} --cover heated"
        yield harmless(f"new on the book: {', '.join(done.new_places)}{cover}")
    if done.seen_only:
        return
    if to_heat:
        yield "Heated: the clock of steadiness starts anew, and they will lose weight again."
    air = reckoning.air(reckoning.pieces[first_id].place_id)
    if air is not None:
        low, high = f"{air.low_pct:.0f}", f"{air.high_pct:.0f}"
        year = f" now, {low}-{high} over the year" if low != high else ""
        yield f"the air there keeps wood near {air.emc_pct:.0f} %{year}"
    else:
        yield from map(harmless, air_next(done.place))


def air_next(name: str) -> Iterator[str]:
    yield f"Its air tells how dry wood gets there: rick air {shlex.quote(name)} --temp 15C --rh 65%"


def out_document(one: "Out | Back") -> dict[str, Any]:
    return {"mark": one.mark, "tag": one.tag or None, "sets": list(getattr(one, "sets", ()))}


def out_lines(done: Sequence["Out | Back"], held: Sequence["Held"], way: str, to: str, on: str) -> Iterator[str]:
    marks = [one.mark for one in done]
    if way:
        whom = f" to {to}" if to else ""
        yield from packed(harmless(f"out{on}, {way}{whom}:"), marks, 3, "and {} more")
        tags = [harmless(f'"{one.tag}"') for one in done if one.tag]
        if tags:
            yield from packed(f"free again, the tag{'' if len(tags) == 1 else 's'}", tags, 2, "...")
        stays = "Its story stays" if len(done) == 1 else "Their stories stay"
        yield f"{stays}; back again: rick out {run(marks)} --back"
        return
    yield from packed(f"back in the stock{on}:", marks, 3, "and {} more")
    places = {one.piece.place for one in held}
    where = next(iter(places)) if len(places) == 1 else None
    known = f"on record in {where}" if where else "place not told" if places == {None} else "each where it was"
    yield harmless(f"{known}; if that has changed: rick move {run(marks)} --to PLACE")
