"""What is put on wood or done to it whole: end coats and wax, bark off, soaking, steaming, glycol, resin, spalting."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from stock.book.journal import Page
from stock.book.naming import Names
from stock.book.records import Operation
from stock.dates import When
from stock.errors import Unclear
from stock.typed import Typed
from stock.yard.in_hand import hold, hold_all, not_a_tree
from stock.yard.making import one_of
from stock.yard.values import dated, percent, texts
from stock.yard.weights import Effect, Pair, pair

WHERE = ("ends", "all", "face")
# How it is done -> the kind of operation, what it can do to the weight, and how it is said.
TREATMENTS: dict[str, tuple[str, Effect, str]] = {
    "bark off": ("bark off", "takes", "taking the bark off"),
    "soak": ("soak", "adds", "soaking"),
    "boil": ("boil", "either", "boiling"),
    "steam": ("steam", "either", "steaming"),
    "glycol": ("treat", "either", "soaking in glycol"),
    "resin": ("treat", "adds", "soaking in resin"),
    "spalt": ("decay", "either", "spalting"),
}
# Dry wood lost while it spalts: about 6 %, give or take 4 (common practice, no source).
SPALT_LOSS_PCT, SPALT_LOSS_SD_PCT = 6.0, 4.0
MOST_COATS = 20


@dataclass(frozen=True, slots=True)
class Sealed:
    """Pieces that were coated, or stripped of their coat (`off`).

    `coat_g` is the mass that went on, or (negative) came off, by the two weights; None without them.
    """

    marks: tuple[str, ...]
    off: bool
    where: str
    coat: str
    coats: int
    before_g: float | None
    after_g: float | None
    coat_g: float | None
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Treated:
    """A piece that was treated. Masses in g; `loss_pct` is the dry wood lost, percent, None if none is."""

    mark: str
    how: str
    before_g: float | None
    after_g: float | None
    loss_pct: float | None
    warnings: tuple[str, ...]


def seal(
    page: Page,
    *,
    pieces: Sequence[str],
    on: When,
    where: str = "ends",
    coat: str = "wax emulsion",
    coats: int = 1,
    before: Typed | None = None,
    after: Typed | None = None,
    after_is: Literal["wet", "dry"] = "dry",
    off: bool = False,
    scales: str = "",
    insist: bool = False,
    names: Names | None = None,
) -> Sealed:
    """Coat the ends of pieces, or all of them, or take the coat off.

    The coat is a weight of its own: it never counts as wood.

    Args:
        page: the page that is being written.
        pieces: their marks or tags.
        on: when.
        where: ends, all or face.
        coat: what was put on.
        coats: how many times.
        before, after: the weight before, and with the coat, g; of one piece.
        after_is: whether the coat was still wet when weighed, or dry.
        off: whether the coat was taken off.
        scales: the name of the scales.
        insist: whether a date against the order of things is taken all the same.
        names: the names of the book, if they are at hand.

    Returns:
        The pieces, and the weight of the coat if it was weighed.

    Raises:
        Impossible: a weight that cannot be, or that a coat cannot make.
        NotNow: a piece is gone, or is a tree.
        Doubtful: dates against the order of things.
        Unclear: no pieces, weights for more than one, or a word that is not known.
    """
    _coat_is_clear(pieces, where, coats, before, after, after_is)
    doing = "stripped of its coat" if off else "coated"
    all_held = hold_all(page, pieces, on, doing, names=names, insist=insist)
    for held in all_held:
        not_a_tree(held, doing)
    first = all_held[0]
    effect: Effect = "takes" if off else ("adds" if after_is == "wet" else "either")
    act = "taking a coat off" if off else "a wet coat"
    weights = pair(page, first.mark, before, after, effect, act, scales=scales, names=names)
    warnings: tuple[str, ...] = ()
    for held in all_held:
        operation = page.put(
            Operation(
                piece_id=held.id,
                kind="coat off" if off else "coat on",
                coat_kind=None if off else coat.strip() or None,
                coats=None if off else coats,
                coat_where=where,
                coat_state=after_is if after and not off else None,
                **dated(on),
            )
        )
        weights.put(page, held.id, operation, on)
        warnings += held.warnings
        if off and held.piece.coat is None:
            warnings += (f"no coat of {held.mark} was on record.",)
    coat_g = _gain_g(weights)
    if coat_g is not None and not off and coat_g < 0:
        warnings += (f"{first.mark} lost {-coat_g:.3g} g while its coat dried: the coat's own weight does not show.",)
    marks = tuple(held.mark for held in all_held)
    return Sealed(marks, off, where, coat, coats, weights.before_g, weights.after_g, coat_g, warnings)


def treat(
    page: Page,
    *,
    piece: str,
    on: When,
    how: str,
    before: Typed | None = None,
    after: Typed | None = None,
    loss: Typed | None = None,
    scales: str = "",
    insist: bool = False,
    names: Names | None = None,
) -> Treated:
    """Record what was done to the wood of a piece.

    Args:
        page: the page that is being written.
        piece: its mark or tag.
        on: when.
        how: bark off, soak, boil, steam, glycol, resin or spalt.
        before, after: its weight before and after, g.
        loss: dry wood lost by spalting, percent; 6, give or take 4, if not said.
        scales: the name of the scales.
        insist: whether a date against the order of things is taken all the same.
        names: the names of the book, if they are at hand.

    Returns:
        The piece and its weights.

    Raises:
        Impossible: a weight that cannot be, or that the treatment cannot make.
        NotNow: the piece is gone, or is a tree.
        Doubtful: dates against the order of things.
        Unclear: no such treatment, or a loss where none is.
    """
    one_of("treatment", how or "nothing", tuple(TREATMENTS))
    kind, effect, act = TREATMENTS[how]
    held = hold(page, piece, on, "treated", names=names, insist=insist)
    not_a_tree(held, "treated")
    if loss and kind != "decay":
        raise Unclear(f"{held.mark}: {act} takes no dry wood away.", hint="Leave the loss out.", piece=held.mark)
    weights = pair(page, held.mark, before, after, effect, act, scales=scales, names=names)
    loss_pct = None
    if kind == "decay":
        loss_pct = percent("a loss of dry wood", loss, held.mark) if loss else SPALT_LOSS_PCT
    operation = page.put(
        Operation(
            piece_id=held.id,
            kind=kind,
            treatment=how,
            loss_pct=loss_pct,
            loss_sd_pct=SPALT_LOSS_SD_PCT if kind == "decay" else None,
            typed=texts(loss_pct=loss),
            **dated(on),
        )
    )
    weights.put(page, held.id, operation, on)
    return Treated(held.mark, how, weights.before_g, weights.after_g, loss_pct, held.warnings)


def _coat_is_clear(
    pieces: Sequence[str], where: str, coats: int, before: Typed | None, after: Typed | None, after_is: str
) -> None:
    if not pieces:
        raise Unclear("no piece was named.", hint="Give their marks or tags.")
    one_of("place of a coat", where or "nothing", WHERE)
    one_of("state of a coat", after_is, ("wet", "dry"))
    if not 1 <= coats <= MOST_COATS:
        raise Unclear(f"{coats} coats?", hint=f"Give a number from 1 to {MOST_COATS}.")
    if len(pieces) > 1 and (before or after):
        raise Unclear(f"one weight for {len(pieces)} pieces.", hint="Seal the pieces that were weighed one at a time.")


def _gain_g(weights: Pair) -> float | None:
    if weights.before_g is None or weights.after_g is None:
        return None
    return weights.after_g - weights.before_g
