"""How much water is in a piece, how sure that is, and whether it is dry enough: of one piece or of many."""

import math
from dataclasses import dataclass, replace
from datetime import date
from functools import partial

from stock.book.facts import Facts
from stock.survey.airs import PlaceAir, air_of, cover_of
from stock.survey.disagreeing import AIR_SLACK_PCT, contradictions, doubts
from stock.survey.dryness import Dryness
from stock.survey.further import Further, further
from stock.survey.grounds import NEGLIGIBLE, together
from stock.survey.ledgers import Family, State
from stock.survey.pieces import Piece, Pieces
from stock.survey.states import Weighed
from stock.survey.targets import target_of
from stock.wood.driest import no_drier_than
from stock.wood.moisture import mc_interval_pct
from stock.wood.readiness import Case, Judgement, judge
from stock.wood.steady import Reading

__all__ = ["Dryness", "Reckoning"]

DRY_PCT = 0.0  # no wood is drier than dry, where nobody told of air that keeps it moister
COLD_MONTHS = {"north": (11, 12, 1, 2, 3), "south": (5, 6, 7, 8, 9)}


@dataclass(frozen=True, slots=True)
class WeighedKnown:
    """The moisture of a piece at its last weighing.

    `mc_pct` is median, low, high; `points` are worth one unit of ln of the oven-dry mass. Where the air's floor was
    felt, `dry_ratio` is by how much it made the oven-dry mass smaller, and `narrowed` its spread.
    """

    root: int
    node: State
    points: float
    mc_pct: tuple[float, float, float]
    sd_pct: float
    dry_ratio: float
    narrowed: float


class Reckoning:
    """Moisture and readiness of the pieces of some facts. Each family's ledger is solved once, when first needed.

    Args:
        facts: the facts, of whole families.
        target: a target for this question; empty takes the book's.
    """

    def __init__(self, facts: Facts, target: str = "") -> None:
        self.facts = facts
        self.pieces = Pieces(facts)
        self.target = target_of(facts.settings, target)
        self._families: dict[int, Family] = {}
        self._dryness: dict[int, Dryness] = {}
        self._known: dict[int, WeighedKnown | None] = {}
        self._airs: dict[tuple[int | None, date], PlaceAir | None] = {}

    def family(self, piece_id: int) -> Family:
        root = self.pieces.root(piece_id)
        if root not in self._families:
            self._families[root] = Family(self.facts, [root, *self.pieces.down(root)], self.pieces, self._air_on)
        return self._families[root]

    def air(self, place_id: int | None) -> PlaceAir | None:
        return self._air_on(place_id, self.facts.on)

    def _air_on(self, place_id: int | None, on: date) -> PlaceAir | None:
        if (place_id, on) not in self._airs:
            self._airs[place_id, on] = air_of(self.facts, place_id, on)
        return self._airs[place_id, on]

    def covariance(self, a: int, b: int) -> float:
        """The covariance of two pieces' moisture contents at their last weighings, points squared.

        Sisters share the error of a section cut from their parent, so the difference of their moisture is better
        known than either.
        """
        one, other = self._weighed_known(a), self._weighed_known(b)
        if one is None or other is None or one.root != other.root:
            return 0.0
        shared = self._families[one.root].whole.covariance(one.node, other.node)
        return one.points * one.narrowed * other.points * other.narrowed * shared

    def _weighed_known(self, piece_id: int) -> WeighedKnown | None:
        """What is known of the moisture of a piece at its last weighing; None if nothing is."""
        if piece_id not in self._known:
            self._known[piece_id] = self._weigh_up(piece_id)
        return self._known[piece_id]

    def _weigh_up(self, piece_id: int) -> WeighedKnown | None:
        family = self.family(piece_id)
        last = self._last(family, piece_id)
        if last is None or (dry := family.ln_dry(piece_id, last)) is None:
            return None
        node = (piece_id, last.state)
        mean, variance = dry
        mc = mc_interval_pct(last.net_g, mean, variance, last.variance_g2)
        points = 100 * last.net_g / math.exp(mean)
        whole = variance + last.variance_g2 / last.net_g**2
        sd = points * math.sqrt(whole)
        cut = no_drier_than(last.net_g, mean, whole, self._air_floor_pct(piece_id, last.on) or DRY_PCT)
        if cut is None or cut.left > 1 - NEGLIGIBLE:
            median, low, high = (max(one, 0.0) for one in mc)  # less than no water contradicts the dry mass
            return WeighedKnown(self.pieces.root(piece_id), node, points, (median, low, high), sd, 1.0, 1.0)
        low, median, high = cut.mc_pct
        narrowed = cut.ln_sd / math.sqrt(whole)
        ratio = (100 + mc[0]) / (100 + median)
        root = self.pieces.root(piece_id)
        return WeighedKnown(root, node, points / ratio, (median, low, high), sd * narrowed / ratio, ratio, narrowed)

    def _air_floor_pct(self, piece_id: int, on: date) -> float | None:
        """The moisture content below which a piece cannot have dried by a day: that of the driest air it was in.

        None if it did not come from a tree of the book, or lay where nobody told the air.
        """
        if self.facts.pieces[self.pieces.root(piece_id)].kind != "tree":
            return None
        places = [
            m.place_id for one in self.pieces.up(piece_id) for m in self.facts.moves.get(one, ()) if m.on_last <= on
        ]
        airs = [self.air(place) for place in places]
        told = [air.low_pct for air in airs if air is not None]
        return min(told) - AIR_SLACK_PCT if told and len(told) == len(airs) else None

    def of(self, piece_id: int) -> Dryness:
        """Everything about the moisture of one piece, worked out once."""
        if piece_id not in self._dryness:
            self._dryness[piece_id] = self._work_out(piece_id)
        return self._dryness[piece_id]

    def _work_out(self, piece_id: int) -> Dryness:
        piece = self.pieces[piece_id]
        family = self.family(piece_id)
        whole = family.whole
        last = self._last(family, piece_id)
        now = (piece_id, family.histories[piece_id].last_state)
        oven_dry = oven_dry_sd = None
        mc = sd = None
        if whole.knows(now):
            oven_dry = math.exp(whole.mean(now))
            oven_dry_sd = oven_dry * math.sqrt(whole.variance(now))
        if last is not None and (known := self._weighed_known(piece_id)) is not None:
            mc, sd, now = known.mc_pct, known.sd_pct, known.node
            if oven_dry is not None and oven_dry_sd is not None:  # the floor of the air bears on the dry mass too
                oven_dry *= known.dry_ratio
                oven_dry_sd *= known.dry_ratio * known.narrowed
        readings = self._readings(family, piece_id)
        driest = self._air_floor_pct(piece_id, last.on) if last else None
        judgement = judge(self._case(piece, readings, mc, contradictions(family, piece_id, last, driest)))
        shown = tuple(max(one, DRY_PCT) for one in mc) if mc else (None, None, None)
        return Dryness(
            piece=piece,
            on=self.facts.on,
            last_weighed_on=last.on if last else None,
            mass_g=last.fact.mass_g if last else None,
            oven_dry_g=oven_dry,
            oven_dry_sd_g=oven_dry_sd,
            mc_pct=shown[0],
            mc_low_pct=shown[1],
            mc_high_pct=shown[2],
            mc_sd_pct=sd,
            air=self.air(piece.place_id),
            target=self.target,
            judgement=judgement,
            readings=readings,
            density_share=partial(_density_share, family, now),
            ask_evidence=lambda: together(whole.evidence(now), piece.mark),
            ask_doubts=partial(doubts, family, piece_id),
            ask_further=partial(_further, family, piece_id, last, driest or DRY_PCT, judgement),
        )

    def _last(self, family: Family, piece_id: int) -> Weighed | None:
        weighings = family.histories[piece_id].weighings
        return weighings[-1] if weighings else None

    def _readings(self, family: Family, piece_id: int) -> tuple[Reading, ...]:
        """The present series of weighings, each made comparable with the piece as it is now."""
        history = family.histories[piece_id]
        start = history.series_start()
        found: list[Reading] = []
        for weighed in history.weighings:
            if weighed.after_event < start:
                continue
            net = weighed.net_g
            if weighed.state != history.last_state:
                shrunk, _ = family.solution.ratio((piece_id, history.last_state), (piece_id, weighed.state))
                net *= math.exp(shrunk)
            found.append(Reading(weighed.on, net, weighed.step_g, weighed.scales_id))
        return tuple(found)

    def _case(
        self,
        piece: Piece,
        readings: tuple[Reading, ...],
        mc: tuple[float, float, float] | None,
        contradictions: tuple[str, ...],
    ) -> Case:
        air = self.air(piece.place_id)
        cover = cover_of(self.facts, piece.place_id)
        moved = piece.here_since if piece.here_since and piece.here_since > piece.made.on_last else None
        cold = COLD_MONTHS.get(self.facts.settings.get("hemisphere", "north"), COLD_MONTHS["north"])
        month = readings[-1].on.month if readings else self.facts.on.month
        return Case(
            readings=readings,
            mc=mc,
            target_pct=self.target.mc_pct,
            emc_pct=air.mean_pct if air else None,
            emc_low_pct=air.low_pct if air else None,
            emc_high_pct=air.high_pct if air else None,
            place_cover=cover,
            moved_on=moved,
            waxed_all_over=bool(piece.coat and piece.coat.where == "all"),
            contradictions=contradictions,
            smallest_mm=piece.size.smallest_mm,
            on=self.facts.on,
            winter=month in cold,
        )


def _further(family: Family, piece_id: int, last: Weighed | None, floor_pct: float, judgement: Judgement) -> Further:
    """What more could be known; a section narrows nothing where the facts there are contradict each other."""
    found = further(family, piece_id, last, floor_pct)
    return replace(found, narrowed=None) if judgement.verdict == "contradictory" else found


def _density_share(family: Family, node: State) -> float:
    """About how much of what is known of a dry mass is owed to the density of such wood: 1 is all of it."""
    if not family.solution.knows(node):
        return 1.0
    return 1 - family.whole.variance(node) / family.solution.variance(node)
