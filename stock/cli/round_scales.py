"""The scales of a round: as told, the only ones, or asked for; then their check weight, if they have one."""

from collections.abc import Callable
from typing import NamedTuple

from stock import measure
from stock.book.kinds import ScalesFact
from stock.book.naming import Names, fold
from stock.cli import desk
from stock.cli.about import on_one_line
from stock.cli.telling import wrapped
from stock.dates import When
from stock.errors import StockError
from stock.typed import Typed
from stock.writing import write_mass

UNITS = ("g", "kg", "oz", "lb")


class Pan(NamedTuple):
    """The scales of a round: their name, "" if they are not told, and the unit of a bare number, None if not known."""

    name: str
    unit: str | None


def choose(asked: str, on: When, ask: Callable[[str], str], *, note: str = "", dry_run: bool = False) -> Pan:
    """Settle on scales.

    Args:
        asked: their name as typed; "" asks if there is a choice.
        on: the day of the round.
        ask: asks the person.
        note, dry_run: as for every verb.

    Raises:
        Unknown: no such scales.
    """
    here = desk.current()
    known = here.facts(on.last, pieces=[])
    by_name = {fold(one.name): one for one in sorted(known.scales.values(), key=lambda one: one.id)}
    if asked:
        with here.reading() as connection:
            scales = known.scales.get(Names(connection).scales(asked))
    else:
        scales = _which(list(by_name.values()), ask)
    if scales is None:
        return Pan("", here.unit("mass") or _unit(ask))
    same = [i for i, one in known.scales.items() if fold(one.name) == fold(scales.name)]
    weights_g = [check.true_g for i in same for check in known.scales_checks.get(i, ())]
    _check(scales, weights_g, on, ask, note, dry_run)
    return Pan(scales.name, scales.unit)


def _which(scales: list[ScalesFact], ask: Callable[[str], str]) -> ScalesFact | None:
    if len(scales) < 2:
        return scales[0] if scales else None
    listed = ", ".join(f"{number} {one.name}" for number, one in enumerate(scales, 1))
    while True:
        answer = ask(f"Which scales: {listed}? (Enter: not told) > ")
        if not answer:
            return None
        for number, one in enumerate(scales, 1):
            if answer == str(number) or fold(answer) == fold(one.name):
                return one


def _unit(ask: Callable[[str], str]) -> str | None:
    """The unit of bare numbers, for this round; not asked where nobody sits: there they are refused."""
    while desk.current().is_terminal:
        answer = ask("Bare numbers in this round are g, kg, oz or lb? > ").lower()
        if answer in UNITS:
            return answer
    return None


def _check(
    scales: ScalesFact, weights_g: list[float], on: When, ask: Callable[[str], str], note: str, dry_run: bool
) -> None:
    here = desk.current()
    steps = f" ({write_mass(scales.step_g, scales.unit)} steps)" if scales.step_g else ""
    if not weights_g:
        here.say(f"Scales: {scales.name}{steps}.")
        return
    true_g = weights_g[-1]
    weight = write_mass(true_g, scales.unit)
    while answer := ask(f"Scales: {scales.name}{steps}. Check weight {weight} reads? (Enter: not now) > "):
        from stock.yard import scaling

        try:
            read = measure.mass(answer, scales.unit)
            with here.writing("scales", note=note, dry_run=dry_run) as page:
                done = scaling.scales_check(page, name=scales.name, true=Typed(true_g, weight), read=read, on=on)
        except StockError as trouble:
            here.say(wrapped(f"  {on_one_line(trouble)}"))
            continue
        here.say(f"  {done.words}")
        return
