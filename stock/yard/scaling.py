"""Scales, and the known weights put on them. A reading is never mended: what the scales read high is reckoned off."""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import func, select

from stock.book.journal import Page
from stock.book.records import Scales, ScalesCheck
from stock.dates import When
from stock.errors import Doubtful, Unclear, Unknown
from stock.survey.slips import grams
from stock.survey.states import step_of_digits
from stock.typed import Typed
from stock.yard.making import one_of
from stock.yard.values import dated, positive, said, texts

UNITS = ("g", "kg", "oz", "lb")
MOST_OFF = 0.05  # of the check weight; scales further off are broken, or the weight is another


@dataclass(frozen=True, slots=True)
class ScalesKept:
    """Scales that are on the book now. Masses in g, None if not known."""

    id: int
    name: str
    unit: str
    step_g: float | None
    capacity_g: float | None
    is_new: bool
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ScalesChecked:
    """What a check weight showed.

    Attributes:
        name: the scales.
        offset_g: by how much they read high, g; negative is low.
        step_g: their step, g.
        within_step: whether that is no more than one step: noise, and nothing is reckoned off.
        words: the finding, in words.
    """

    name: str
    offset_g: float
    step_g: float
    within_step: bool
    words: str


def scales(
    page: Page,
    *,
    name: str,
    on: When,
    step: Typed | None = None,
    unit: str | None = None,
    capacity: Typed | None = None,
) -> ScalesKept:
    """Put scales on the book, or add to what is known of them.

    Args:
        page: the page that is being written.
        name: such as "kitchen"; case and spaces play no part.
        on: from when they are known.
        step: the last step of the display, g.
        unit: what they show: g, kg, oz or lb; None leaves it, g for new ones.
        capacity: what they can carry, g.

    Raises:
        Unclear: no name, or not a unit.
        Impossible: a step or capacity that cannot be.
    """
    name = " ".join(name.split())
    if not name:
        raise Unclear("the scales have no name.", hint='Give them one, such as "kitchen".')
    one_of("unit of scales", unit, UNITS)
    told = {"step_g": step, "capacity_g": capacity}
    values: dict[str, Any] = {
        field: positive(f"a {field.removesuffix('_g')}", measure, name) for field, measure in told.items() if measure
    }
    if unit:
        values["unit"] = unit
    row = _newest(page, name)
    if row is None:
        row = Scales(name=name, **{"unit": "g", **values}, typed=texts(**told), **dated(on))
        page.put(row)
        return _kept(row, is_new=True)
    changed = {field: value for field, value in values.items() if getattr(row, field) != value}
    if not changed:
        return _kept(row, warnings=(f"nothing new is said of the {row.name} scales.",))
    page.alter(row, **changed)
    return _kept(row)


def scales_check(page: Page, *, name: str, true: Typed, read: Typed, on: When, insist: bool = False) -> ScalesChecked:
    """Note what scales read with a known weight on them.

    From that day on, readings of these scales are reckoned with what they read high, if it is more than one step;
    the readings themselves stay as they were.

    Args:
        page: the page that is being written.
        name: the scales.
        true: the weight, g.
        read: what they showed, g.
        on: the day.
        insist: whether a reading more than 5 % off is taken all the same.

    Raises:
        Unknown: no such scales.
        Impossible: a weight that cannot be.
        Doubtful: more than 5 % off.
    """
    row = _newest(page, " ".join(name.split()))
    if row is None or row.id is None:
        raise Unknown(f'no scales "{name}" are on the book.', hint="Put them on it first.", code="unknown-scales")
    true_g = positive("a check weight", true, row.name)
    read_g = positive("a reading", read, row.name)
    off = read_g - true_g
    if abs(off) > MOST_OFF * true_g and not insist:
        raise Doubtful(
            f'{row.name}: "{said(read)}" read for "{said(true)}" is {100 * off / true_g:+.0f} % off.',
            hint="Another check weight, another unit, or the tare left on? Try again, or insist.",
        )
    page.put(
        ScalesCheck(scales_id=row.id, true_g=true_g, read_g=read_g, typed=texts(true_g=true, read_g=read), **dated(on))
    )
    step = row.step_g or (2 * read.plus_minus if read.plus_minus else step_of_digits(read_g))
    within = abs(off) <= step * (1 + 1e-9)
    way = "high" if off > 0 else "low"
    words = (
        "within one step: taken as right"
        if within
        else f"reads {grams(abs(off), step)} {way}: reckoned with from this day on"
    )
    return ScalesChecked(row.name, off, step, within, words)


def _newest(page: Page, name: str) -> Scales | None:
    query = select(Scales).where(func.lower(Scales.name) == name.lower()).order_by(Scales.id.desc())  # type: ignore[union-attr]
    return page.session.scalars(query).first()


def _kept(row: Scales, *, is_new: bool = False, warnings: tuple[str, ...] = ()) -> ScalesKept:
    assert row.id is not None
    return ScalesKept(row.id, row.name, row.unit, row.step_g, row.capacity_g, is_new, warnings)
