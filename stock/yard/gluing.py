"""Four staves glued into a block; the block split at its joints, each stave turned about, and glued again.

The corners of a block are numbered 1 to 4, anticlockwise seen from the butt end. A stave that is glued in is used, not
deleted; a blank that gives several staves is named once for each.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from stock.book.facts import facts
from stock.book.held import HeldSet, held_sets
from stock.book.journal import Page
from stock.book.naming import Names
from stock.book.records import BlockEvent, BlockStave, Departure
from stock.dates import When, day_words
from stock.errors import Doubtful, Misused, NotNow
from stock.survey.blocks import StaveMoisture, moisture_of_staves, spread_pct
from stock.survey.courses import Reckoning
from stock.survey.holdings import flaws_of
from stock.typed import Typed
from stock.wood.chosen import MATCHED_SPREAD_PCT, WARN_SPREAD_PCT
from stock.wood.flaws import judge
from stock.wood.placed import corner_inward
from stock.yard.in_hand import Held, hold, hold_all
from stock.yard.keeping_sets import end
from stock.yard.making import Measures, NewPiece, make, one_of
from stock.yard.tagging import take_off
from stock.yard.values import dated, zero_up

JOINTS = ("paper", "ends", "full")
STAVES = 4
WEIGH_WITHIN_DAYS = 14
_TEMPORARY = ("paper", "ends")


@dataclass(frozen=True, slots=True)
class Glued:
    """A block as it was glued.

    Attributes:
        id, mark: of the block.
        staves: corner by corner, with what is known of their moisture.
        spread_pct: between the wettest and the driest, points; None if not known of all.
        matched: whether they may be called so, by their moisture.
        set_name, spare: the set that they were held as, and its spare, which is free again; None if there was none.
        warnings: what the person should know.
    """

    id: int
    mark: str
    staves: tuple[StaveMoisture, ...]
    spread_pct: float | None
    matched: bool
    set_name: str | None
    spare: str | None
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Reversed:
    """A block that was split at its joints, its staves turned about, and glued again."""

    id: int
    mark: str
    days_glued: int | None
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Gluing:
    """How it is glued.

    Attributes:
        joint: paper (a sheet in every joint), ends (glue at the ends only), or full.
        glue, paper: what was used, in words.
        clamp_h: hours in the clamps.
        wait_d: days that the glue's own sheet wants before the block is worked.
    """

    joint: str
    glue: str = ""
    paper: str = ""
    clamp_h: Typed | None = None
    wait_d: Typed | None = None


def glue(
    page: Page,
    *,
    on: When,
    how: Gluing,
    staves: Sequence[str] = (),
    set_name: str = "",
    corners_in: Sequence[int] = (),
    size: Measures | None = None,
    tag: str = "",
    insist: bool = False,
) -> Glued:
    """Glue four staves into a block.

    Args:
        page: the page that is being written.
        on: the day.
        how: the joint and the glue.
        staves: four marks in the order of the corners; a blank that gives several staves stands once for each.
        set_name: a held set to take them from instead.
        corners_in: which corner of each stave looks at the middle, 1 to 4; none if it was not noted.
        size: of the block.
        tag: a name for the block.
        insist: whether unsound staves, staves of another set and odd dates are taken all the same.

    Raises:
        Misused: not four staves, or both staves and a set.
        Unknown: no such piece or set.
        NotNow: a stave is gone.
        Doubtful: a stave with a defect that bars it, or one that another set holds.
    """
    one_of("joint", how.joint, JOINTS)
    names = Names(page.connection)
    marks, held_set = _staves(page, staves, set_name)
    held = {one.mark: one for one in hold_all(page, marks, on, "glued", names=names, needs="still", insist=insist)}
    order = [names.piece(text).mark for text in marks]
    odd = _doubts(page, held, held_set)
    if odd and not insist:
        raise Doubtful(odd[0], hint="Take another stave, or insist.", piece=order[0])
    reckoning = Reckoning(facts(page.connection, max(on.last, page.today), [one.id for one in held.values()]))
    moisture = moisture_of_staves(reckoning, [(corner, held[m].id) for corner, m in enumerate(order, 1)], on.last)
    plan = NewPiece("block", on, size=size or Measures(), origin="glued", tag=tag)
    (block,), warned = make(page, [plan], names)
    ids = [held[m].id for m in order]
    page.put_all(_stave_rows(block.id, ids, on, corners_in, held_set if set_name else None))
    _note(page, block.id, "glue", on, how)
    for mark, one in held.items():
        at = " and ".join(str(corner) for corner, m in enumerate(order, 1) if m == mark)
        page.put(
            Departure(piece_id=one.id, outcome="used", reason=f"glued into {block.mark}, corner {at}", **dated(on))
        )
        take_off(page, one.id, on)
    if held_set:
        end(page, held_set, f"glued into {block.mark}")
    apart = spread_pct(moisture)
    return Glued(
        id=block.id,
        mark=block.mark,
        staves=tuple(moisture),
        spread_pct=apart,
        matched=apart is not None and apart <= MATCHED_SPREAD_PCT,
        set_name=held_set.name if held_set else None,
        spare=held_set.spare if held_set else None,
        warnings=(*(w for one in held.values() for w in one.warnings), *odd, *warned, *_remarks(moisture, held)),
    )


def reverse(
    page: Page, *, block: str, on: When, how: Gluing, split_on: When | None = None, made: str = "", insist: bool = False
) -> Reversed:
    """Split a block at its joints, turn each stave half about on its own axis, and glue it again.

    Args:
        page: the page that is being written.
        block: its mark or tag.
        on: the day on which it was glued again.
        how: the joint and the glue, for good or not.
        split_on: the day of the splitting; None for the same day.
        made: what it is to be.
        insist: whether an odd order of things is taken all the same.

    Raises:
        Unknown: no such piece.
        NotNow: not a block, or one that was reversed already, or is gone.
        Doubtful: glued for good, or not yet glued by then.
    """
    one_of("joint", how.joint, JOINTS)
    held = hold(page, block, on, "reversed", needs="still", insist=insist)
    known = held.pieces.facts
    events = known.block_events.get(held.id, ())
    if held.piece.kind != "block":
        raise NotNow(f"{held.mark} is a {held.piece.kind}, not a block.", hint="rick glue makes one.", piece=held.mark)
    if any(event.kind == "reverse" for event in events):
        raise NotNow(f"{held.mark} was reversed already.", hint=f"Look: rick show {held.mark}", piece=held.mark)
    first = next((event for event in events if event.kind == "glue"), None)
    if first and first.joint not in _TEMPORARY and not insist:
        raise Doubtful(
            f"{held.mark} was glued for good: it does not come apart at its joints.",
            hint="Was it paper, or glue at the ends? Otherwise insist.",
            piece=held.mark,
        )
    warnings = list(held.warnings)
    opened = split_on or on
    if opened.last > on.last:
        raise Doubtful(f"{held.mark} would be split after it was glued again.", hint="Mend the dates.", piece=held.mark)
    days = (opened.last - first.on_last).days if first else None
    if first and first.wait_d and days is not None and days < first.wait_d:
        ready = first.on_last + timedelta(days=first.wait_d)
        warnings.append(f"its glue was to rest until {day_words(ready)}: look at the joints twice.")
    if split_on:
        page.put(BlockEvent(block_id=held.id, kind="split", **dated(split_on)))
    _note(page, held.id, "reverse", on, how, made)
    return Reversed(held.id, held.mark, days, tuple(warnings))


def _stave_rows(
    block_id: int, piece_ids: Sequence[int], on: When, corners_in: Sequence[int], chosen: HeldSet | None
) -> list[BlockStave]:
    """The staves in their corners; those of a set stand as the set had them, unless it was said how they stand."""
    rows = []
    for corner, piece_id in enumerate(piece_ids, 1):
        row = BlockStave(block_id=block_id, piece_id=piece_id, corner=corner, **dated(on))
        if corners_in:
            row.corner_in = corners_in[corner - 1]
        elif chosen and (turn_deg := chosen.staves[corner - 1].turn_deg) is not None:
            row.turn_deg, row.flipped = turn_deg, chosen.staves[corner - 1].flipped
            row.corner_in = corner_inward(corner, turn_deg, flipped=row.flipped)
        rows.append(row)
    return rows


def _staves(page: Page, staves: Sequence[str], set_name: str) -> tuple[list[str], HeldSet | None]:
    """The four marks, and the open set that they are, if any."""
    if bool(staves) == bool(set_name):
        raise Misused("glue takes four staves, or a held set.", hint='rick glue 231B 236G 232C 237H, or --set "vase"')
    known = held_sets(page.connection, page.today)
    if set_name:
        chosen = next((one for one in known if one.is_called(set_name)), None)
        if chosen is None:
            held = ", ".join(f'"{one.name}"' for one in known) or "none"
            raise NotNow(f'no set is held as "{set_name}".', hint=f"Held: {held}.")
        return [one.mark for one in chosen.staves], chosen
    if len(staves) != STAVES:
        raise Misused(
            f"{len(staves)} staves were named; a block takes four.",
            hint="A blank that gives two staves is named twice: rick glue 231B 231B 236G 236G",
        )
    names = Names(page.connection)
    wanted = {names.piece(text).id for text in staves}
    whole = next((one for one in known if {stave.piece_id for stave in one.staves} == wanted), None)
    return list(staves), whole


def _doubts(page: Page, held: dict[str, Held], own: HeldSet | None) -> tuple[str, ...]:
    """What speaks against gluing these: unsound wood, and another set that waits for one of them."""
    found = []
    for one in held.values():
        if one.piece.kind not in ("blank", "offcut"):
            found.append(f"{one.mark} is a {one.piece.kind}: a stave is sawn from it first.")
        for flaw in flaws_of(one.piece):
            barred, why = judge(flaw)
            if barred:
                found.append(f"{one.mark} carries a {flaw.where}{why}: it is no stave until that is cut off.")
    for other in held_sets(page.connection, page.today):
        if own is None or other.id != own.id:
            found += [f'{one.mark} is held for "{other.name}".' for one in other.members if one.mark in held]
    return tuple(found)


def _remarks(moisture: Sequence[StaveMoisture], held: dict[str, Held]) -> list[str]:
    told = []
    unknown = [one.mark for one in moisture if one.mc_pct is None]
    if unknown:
        told.append(f"moisture not known of {', '.join(dict.fromkeys(unknown))}: a joint of unlike moisture opens.")
    apart = spread_pct(moisture)
    if apart is not None and apart > WARN_SPREAD_PCT:
        word = "" if apart <= MATCHED_SPREAD_PCT else "; do not call them matched"
        told.append(f"their moisture lies {apart:.1f} points apart, more than {WARN_SPREAD_PCT:g}{word}.")
    old = [one.mark for one in moisture if one.days_ago is not None and one.days_ago > WEIGH_WITHIN_DAYS]
    if old:
        told.append(f"not weighed within {WEIGH_WITHIN_DAYS} days: {', '.join(dict.fromkeys(old))}.")
    woods = {one.piece.wood.name for one in held.values()}
    if len(woods) > 1:
        told.append(f"of different woods: {', '.join(sorted(woods))}; they move differently.")
    return told


def _note(page: Page, block_id: int, kind: str, on: When, how: Gluing, made: str = "") -> None:
    page.put(
        BlockEvent(
            block_id=block_id,
            kind=kind,
            joint=how.joint,
            glue=how.glue,
            paper=how.paper,
            clamp_h=zero_up("hours in clamps", how.clamp_h) if how.clamp_h else None,
            wait_d=zero_up("days to wait", how.wait_d) if how.wait_d else None,
            made_what=made,
            **dated(on),
        )
    )
