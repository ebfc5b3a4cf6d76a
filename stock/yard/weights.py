"""Weights taken just before and just after something is done to a piece, on the same scales."""

from dataclasses import dataclass
from typing import Literal

from stock.book.journal import Page
from stock.book.naming import Names
from stock.book.records import METADATA, Weighing
from stock.dates import When
from stock.errors import Impossible
from stock.typed import Typed
from stock.yard.values import dated, positive, said, texts

# What an act can do to the weight: only take from it, only add to it, or either.
Effect = Literal["takes", "adds", "either"]


@dataclass(frozen=True, slots=True)
class Pair:
    """The two weights, g; either may be missing."""

    before: Typed | None
    after: Typed | None
    scales_id: int | None
    step_g: float | None

    @property
    def before_g(self) -> float | None:
        return self.before.value if self.before else None

    @property
    def after_g(self) -> float | None:
        return self.after.value if self.after else None

    @property
    def kept(self) -> float | None:
        """After over before, or None if one is missing."""
        return self.after.value / self.before.value if self.before and self.after else None

    def put(self, page: Page, piece_id: int, operation_id: int, on: When) -> None:
        """Store the weights, tied to what was done between them."""
        rows: list[Weighing] = []
        for role, measure in (("before", self.before), ("after", self.after)):
            if measure is None:
                continue
            rows.append(
                Weighing(
                    piece_id=piece_id,
                    operation_id=operation_id,
                    role=role,
                    mass_g=measure.value,
                    plus_minus_g=measure.plus_minus,
                    step_g=self.step_g or (2 * measure.plus_minus if measure.plus_minus else None),
                    scales_id=self.scales_id,
                    typed=texts(mass_g=measure),
                    **dated(on),
                )
            )
        page.put_all([*rows])


def pair(
    page: Page,
    mark: str,
    before: Typed | None,
    after: Typed | None,
    effect: Effect,
    doing: str,
    *,
    scales: str = "",
    names: Names | None = None,
) -> Pair:
    """Take two weights, if they can be.

    Args:
        page: the page that is being written.
        mark: the piece.
        before, after: the weights, g.
        effect: what the act can do to the weight.
        doing: the act, for the message: "trimming".
        scales: the name of the scales they were read on.
        names: the names of the book, if they are at hand.

    Raises:
        Impossible: a weight that cannot be, or a change the act cannot make.
        Unknown: no such scales.
    """
    if before:
        positive("the weight before", before, mark)
    if after:
        positive("the weight after", after, mark)
    if before and after:
        grown, shrunk = after.value > before.value, after.value < before.value
        if (effect == "takes" and grown) or (effect == "adds" and shrunk):
            does = "adds no weight" if grown else "takes no weight away"
            raise Impossible(
                f'{mark}: "{said(after)}" after and "{said(before)}" before: {doing} {does}.',
                hint="Weigh again, or look whether the two weights changed places.",
                piece=mark,
            )
    scales_id = (names or Names(page.connection)).scales(scales) if scales else None
    return Pair(before, after, scales_id, _step_g(page, scales_id))


def _step_g(page: Page, scales_id: int | None) -> float | None:
    if scales_id is None:
        return None
    table = METADATA.tables["scales"]
    step = page.connection.execute(table.select().where(table.c.id == scales_id)).one().step_g
    return None if step is None else float(step)
