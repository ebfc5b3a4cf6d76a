"""Answers as plain dictionaries with fixed names: what `--json`, `--csv` and the reports give out.

The names are a contract with other programs: they carry their unit, and they do not change.
"""

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from stock.survey.blocks import StaveMoisture
from stock.survey.cards import Card, Happening, Kin
from stock.survey.courses import Dryness
from stock.survey.duties import Due
from stock.survey.held_sets import JudgedSet
from stock.survey.holdings import Held, ReadyStock
from stock.survey.likely import Likely
from stock.survey.pieces import Piece

if TYPE_CHECKING:
    from stock.survey.futures import Arrival, Future

READY_COLUMNS = (
    "state",
    "mark",
    "tag",
    "species",
    "wood",
    "part",
    "kind",
    "width_mm",
    "thickness_mm",
    "length_mm",
    "usable_square_mm",
    "usable_length_mm",
    "place",
    "on",
    "last_weighed_on",
    "mass_g",
    "oven_dry_g",
    "oven_dry_sd_g",
    "mc_pct",
    "mc_low_pct",
    "mc_high_pct",
    "emc_pct",
    "target_pct",
    "verdict",
    "why",
    "basis",
    "defects",
)


def dry(dryness: Dryness, future: "Future | None" = None, by: date | None = None) -> dict[str, Any]:
    """The object of `rick dry --json`; without a future, `forecast` is null and nothing is said about it.

    `by` is the day for which a chance was asked.
    """
    piece = dryness.piece
    answer = {
        "mark": piece.mark,
        "tag": piece.tag or None,
        "species": piece.wood.scientific,
        "kind": piece.kind,
        "on": dryness.on,
        "last_weighed_on": dryness.last_weighed_on,
        "mass_g": dryness.mass_g,
        "oven_dry_g": dryness.oven_dry_g,
        "oven_dry_sd_g": dryness.oven_dry_sd_g,
        "basis": dryness.basis,
        "mc_pct": dryness.mc_pct,
        "mc_low_pct": dryness.mc_low_pct,
        "mc_high_pct": dryness.mc_high_pct,
        "emc_pct": dryness.emc_pct,
        "target_pct": dryness.target.mc_pct,
        "verdict": dryness.verdict,
        "why": dryness.judgement.why,
        "needs": dryness.judgement.needs or None,
        "forecast": forecast(future),
    }
    return {**answer, **_about_forecast(future, by)} if future is not None else answer


def forecast(future: "Future | None") -> dict[str, Any] | None:
    """The dates of 10, 50 and 90 % chance of reaching the target; null if nothing can be said."""
    return _arrival(future.target) if future is not None else None


def _arrival(one: "Arrival | None") -> dict[str, Any] | None:
    return {"early": one.early, "likely": one.likely, "late": one.late} if one is not None else None


def _about_forecast(future: "Future", by: date | None) -> dict[str, Any]:
    """What is said of a forecast beside its dates: what was meant, why there is none, and the chances.

    `forecast_pct` is the moisture content meant, null for a loss of weight; `never` the chance that it is not reached
    in this place within three and a half years; `stays` the share of the ways to it that stay there for sixty days.
    """
    one = future.target
    return {
        "forecast_pct": one.mc_pct if one else None,
        "forecast_why": future.why or None,
        "forecast_assumed": future.assumed or None,
        "enough": _arrival(future.enough),
        "enough_pct": future.enough.mc_pct if future.enough else None,
        "never": one.never if one else None,
        "stays": one.stays if one else None,
        "by": by,
        "chance_by": one.by if one else None,
        "enough_chance_by": future.enough.by if future.enough else None,
        "finished_pieces": future.taught_by,
    }


def held(one: Held) -> dict[str, Any]:
    """An item of `rick ready --json`: the object of `dry`, with size, place and defects."""
    piece = one.piece
    return {
        **dry(one.dryness),
        "wood": piece.wood.name,
        "part": piece.look.part,
        "width_mm": piece.size.width_mm,
        "thickness_mm": piece.size.thickness_mm,
        "length_mm": piece.size.length_mm,
        "usable_length_mm": one.usable.length.mm if one.usable else None,
        "usable_square_mm": one.usable.square.mm if one.usable else None,
        "place": piece.place,
        "defects": defects(piece),
    }


def defects(piece: Piece) -> list[dict[str, Any]]:
    """The open defects of a piece."""
    return [
        {
            "kind": d.kind,
            "end": d.end,
            "face": d.face,
            "from_butt_mm": d.from_butt_mm,
            "length_mm": d.length_mm,
            "depth_mm": d.depth_mm,
            "severity": d.severity,
            "on": d.on_last,
        }
        for d in piece.defects
    ]


def ready(stock: ReadyStock, sets: Sequence[JudgedSet] = ()) -> dict[str, Any]:
    """The document of `rick ready --json`; `sets` are those that are held."""
    return {
        "on": stock.on,
        "target_pct": stock.target.mc_pct,
        "ready": [held(one) for one in stock.ready],
        "nearly": [held(one) for one in stock.nearly],
        "sets": [held_set(one) for one in sets],
    }


def ready_rows(stock: ReadyStock) -> list[dict[str, Any]]:
    """The rows of `rick ready --csv` and of the report: the same numbers, one row a blank."""
    rows = []
    for state, some in (("ready", stock.ready), ("nearly", stock.nearly)):
        for one in some:
            row = {**held(one), "state": state}
            row["defects"] = "; ".join(_defect_words(d) for d in row["defects"])
            rows.append({name: row[name] for name in READY_COLUMNS})
    return rows


def _defect_words(defect: dict[str, Any]) -> str:
    where = f" {defect['end']}" if defect["end"] else f" face {defect['face']}" if defect["face"] else ""
    size = f" {defect['length_mm']:g} mm" if defect["length_mm"] is not None else ""
    return f"{defect['kind']}{where}{size}"


def listed(piece: Piece) -> dict[str, Any]:
    """A row of `rick list`."""
    return {
        "mark": piece.mark,
        "tag": piece.tag or None,
        "kind": piece.kind,
        "species": piece.wood.scientific,
        "wood": piece.wood.name,
        "sure": piece.wood.sure,
        "part": piece.look.part,
        "figure": ", ".join(sorted(piece.look.traits)) if piece.look.traits else None,
        "width_mm": piece.size.width_mm,
        "thickness_mm": piece.size.thickness_mm,
        "length_mm": piece.size.length_mm,
        "dia_butt_mm": piece.size.dia_butt_mm,
        "dia_top_mm": piece.size.dia_top_mm,
        "surface": piece.size.surface,
        "made_on": piece.made.on_last,
        "place": piece.place,
        "gone": piece.gone or None,
    }


def due(one: Due) -> dict[str, Any]:
    """A row of `rick due`."""
    return {
        "mark": one.piece.mark,
        "tag": one.piece.tag or None,
        "wood": one.piece.wood.name,
        "place": one.piece.place,
        "due_on": one.due_on,
        "days_late": one.days_late,
        "why": one.why,
        "last_weighed_on": one.last_on,
        "last_mass_g": one.last_g,
        "expected_low_g": one.expected.low_g if one.expected else None,
        "expected_high_g": one.expected.high_g if one.expected else None,
    }


def likely(one: Likely) -> dict[str, Any]:
    """A row of `rick which`."""
    low, high = one.expected_g or (None, None)
    return {
        **listed(one.piece),
        "distance": one.distance,
        "fits": list(one.fits),
        "differs": list(one.differs),
        "last_mass_g": one.last_g,
        "expected_low_g": low,
        "expected_high_g": high,
    }


def card(one: Card, held: Sequence[JudgedSet] = ()) -> dict[str, Any]:
    """The document of `rick show --json`; `held` are the sets that the piece is held in."""
    piece = one.piece
    return {
        **listed(piece),
        "role": piece.role,
        "origin": piece.made.origin or None,
        "species_said": piece.wood.said or None,
        "species_by": piece.wood.by_whom or None,
        "species_evidence": piece.wood.evidence or None,
        "tree_site": one.site or None,
        "tree_how": one.how or None,
        "tree_alive": one.alive,
        "along_log_mm": one.along_log_mm,
        "ring_deg": piece.look.ring_deg,
        "coat": f"{piece.coat.kind}, {piece.coat.where}" if piece.coat else None,
        "defects": defects(piece),
        "moisture": dry(one.dryness),
        "up": [_kin(k) for k in one.up],
        "down": [_kin(k) for k in one.down],
        "story": [_happening(h) for h in one.story],
        "staves": [stave(s) for s in one.block.staves] if one.block else None,
        "held": [held_set(s) for s in held],
    }


def stave(one: StaveMoisture) -> dict[str, Any]:
    """A stave of a block: its corner, and its moisture when it was last weighed."""
    return {
        "corner": one.corner,
        "mark": one.mark,
        "mc_pct": one.mc_pct,
        "mc_low_pct": one.mc_low_pct,
        "mc_high_pct": one.mc_high_pct,
        "weighed_days_ago": one.days_ago,
        "corner_in": one.corner_in,
    }


def held_set(one: JudgedSet) -> dict[str, Any]:
    """A set that is held, and whether it still is what was chosen."""
    return {
        "name": one.held.name,
        "staves": [
            {"corner": s.corner, "mark": s.mark, "turn_deg": s.turn_deg, "flipped": s.flipped} for s in one.held.staves
        ],
        "spare": one.held.spare,
        "broken": list(one.broken),
        "weigh": list(one.weigh),
        "spread_pct": one.spread_pct,
    }


def _kin(kin: Kin) -> dict[str, Any]:
    return {
        "mark": kin.mark,
        "tag": kin.tag or None,
        "kind": kin.kind,
        "made_on": kin.made_on,
        "made_text": kin.made_text,
        "order_no": kin.order_no,
        "from_butt_mm": kin.from_butt_mm,
        "length_mm": kin.length_mm,
        "gone": kin.gone or None,
    }


def _happening(one: Happening) -> dict[str, Any]:
    return {"on": one.on, "what": one.what, "mass_g": one.amount_g, "length_mm": one.amount_mm}
