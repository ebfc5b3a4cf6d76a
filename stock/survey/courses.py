"""How much water is in a piece, how sure that is, and whether it is dry enough: of one piece or of many."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from stock.book.facts import Facts
from stock.survey.airs import PlaceAir, air_of, cover_of
from stock.survey.ledgers import Family, State
from stock.survey.pieces import Piece, Pieces
from stock.survey.states import Weighed
from stock.wood.air import emc_or_edge
from stock.wood.ledger import Evidence
from stock.wood.moisture import mc_interval_pct
from stock.wood.readiness import Case, Judgement, judge, named_target
from stock.wood.steady import Reading

DEFAULT_TARGET = "heated house"
NEGLIGIBLE = 0.001  # a share of the evidence that is not told
COLD_MONTHS = {"north": (11, 12, 1, 2, 3), "south": (5, 6, 7, 8, 9)}


@dataclass(frozen=True, slots=True)
class Target:
    """The moisture content that wood is wanted at, %, and in what words it was given; `given` if it was chosen."""

    mc_pct: float
    words: str
    given: bool


@dataclass(frozen=True, slots=True)
class Dryness:
    """What is known of the moisture of a piece on a day.

    Moisture contents are percent of oven-dry mass, of the last weighing on or before the day; `low` and `high` bound
    four chances of five. `oven_dry_g` is of the piece as it is now. `share` of the evidence sums to 1.
    """

    piece: Piece
    on: date
    last_weighed_on: date | None
    mass_g: float | None
    oven_dry_g: float | None
    oven_dry_sd_g: float | None
    basis: str
    mc_pct: float | None
    mc_low_pct: float | None
    mc_high_pct: float | None
    mc_sd_pct: float | None
    air: PlaceAir | None
    target: Target
    judgement: Judgement
    evidence: tuple[Evidence, ...]
    readings: tuple[Reading, ...]

    @property
    def emc_pct(self) -> float | None:
        return self.air.emc_pct if self.air else None

    @property
    def verdict(self) -> str:
        return self.judgement.verdict

    @property
    def weighed_days_ago(self) -> int | None:
        return (self.on - self.last_weighed_on).days if self.last_weighed_on else None


def target_of(settings: Mapping[str, str], asked: str = "") -> Target:
    """The target: as asked, else as set in the book, else that of a heated house.

    Args:
        settings: the settings in force; `target` is `8`, a name such as `damp coast`, or `room 21 45` (degC, % RH).
        asked: the same, for this question only.

    Raises:
        StockError: a target that cannot be read.
    """
    text = asked or settings.get("target", "")
    given = bool(text)
    text = text or DEFAULT_TARGET
    words = text.split()
    if words[0] == "room" and len(words) == 3:
        mc, _ = emc_or_edge(float(words[1]), float(words[2]))
        return Target(mc, f"a room of {words[1]} C and {words[2]} %", given)
    try:
        return Target(float(text.rstrip(" %")), f"{text.rstrip(' %')} %", given)
    except ValueError:
        return Target(named_target(text), f"a {text}" if not text.startswith(("a ", "the ")) else text, given)


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
        self._known: dict[int, tuple[int, State, float] | None] = {}
        self._airs: dict[int | None, PlaceAir | None] = {}

    def family(self, piece_id: int) -> Family:
        root = self.pieces.root(piece_id)
        if root not in self._families:
            self._families[root] = Family(self.facts, [root, *self.pieces.down(root)])
        return self._families[root]

    def air(self, place_id: int | None) -> PlaceAir | None:
        if place_id not in self._airs:
            self._airs[place_id] = air_of(self.facts, place_id, self.facts.on)
        return self._airs[place_id]

    def covariance(self, a: int, b: int) -> float:
        """The covariance of two pieces' moisture contents at their last weighings, points squared.

        Sisters share the error of a section cut from their parent, so the difference of their moisture is better
        known than either.
        """
        one, other = self._weighed_known(a), self._weighed_known(b)
        if one is None or other is None or one[0] != other[0]:
            return 0.0
        return one[2] * other[2] * self._families[one[0]].solution.covariance(one[1], other[1])

    def _weighed_known(self, piece_id: int) -> tuple[int, State, float] | None:
        """Root, state at the last weighing, and points of moisture for a unit of ln of the oven-dry mass."""
        if piece_id not in self._known:
            family = self.family(piece_id)
            last = self._last(family, piece_id)
            node = (piece_id, last.state) if last else None
            if last is None or node is None or not family.solution.knows(node):
                self._known[piece_id] = None
            else:
                points = 100 * last.net_g / math.exp(family.solution.mean(node))
                self._known[piece_id] = (self.pieces.root(piece_id), node, points)
        return self._known[piece_id]

    def of(self, piece_id: int) -> Dryness:
        """Everything about the moisture of one piece."""
        piece = self.pieces[piece_id]
        family = self.family(piece_id)
        history = family.histories[piece_id]
        solution = family.solution
        last = self._last(family, piece_id)
        now = (piece_id, history.last_state)
        oven_dry = oven_dry_sd = None
        if solution.knows(now):
            oven_dry = math.exp(solution.mean(now))
            oven_dry_sd = oven_dry * math.sqrt(solution.variance(now))
        mc = sd = None
        evidence: tuple[Evidence, ...] = ()
        if last is not None and solution.knows((piece_id, last.state)):
            node = (piece_id, last.state)
            mean, variance = solution.mean(node), solution.variance(node)
            mc = mc_interval_pct(last.net_g, mean, variance, last.variance_g2)
            sd = 100 * last.net_g / math.exp(mean) * math.sqrt(variance + last.variance_g2 / last.net_g**2)
            evidence = _together(solution.evidence(node), piece.mark)
        elif oven_dry is not None:
            evidence = _together(solution.evidence(now), piece.mark)
        readings = self._readings(family, piece_id)
        case = self._case(piece, readings, mc, self._contradictions(family, piece_id, last))
        return Dryness(
            piece=piece,
            on=self.facts.on,
            last_weighed_on=last.on if last else None,
            mass_g=last.fact.mass_g if last else None,
            oven_dry_g=oven_dry,
            oven_dry_sd_g=oven_dry_sd,
            basis=_basis(evidence),
            mc_pct=mc[0] if mc else None,
            mc_low_pct=mc[1] if mc else None,
            mc_high_pct=mc[2] if mc else None,
            mc_sd_pct=sd,
            air=self.air(piece.place_id),
            target=self.target,
            judgement=judge(case),
            evidence=evidence,
            readings=readings,
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
            found.append(Reading(weighed.on, net, weighed.step_g, weighed.fact.scales_id))
        return tuple(found)

    def _contradictions(self, family: Family, piece_id: int, last: Weighed | None) -> tuple[str, ...]:
        found: list[str] = []
        if last is not None and family.solution.knows(node := (piece_id, last.state)):
            mean, variance = family.solution.mean(node), family.solution.variance(node)
            if math.log(last.net_g) < mean - 2.5 * math.sqrt(variance + last.variance_g2 / last.net_g**2):
                found.append(
                    f"{last.fact.mass_g:g} g is below its oven-dry mass of {math.exp(mean):.0f} g: "
                    "look at the weight, its unit, a trim not noted, or the piece"
                )
        for row, residual in family.solution.disagreements():
            if any(isinstance(node, tuple) and node[0] == piece_id for node, _ in row.terms):
                found.append(f"{row.words}: not in line with the rest ({abs(residual):.1f} standard deviations)")
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


def _together(evidence: tuple[Evidence, ...], mark: str) -> tuple[Evidence, ...]:
    """The evidence for a piece, the rows that carry one fact taken together, the weightiest first."""
    own = f"{mark} section"
    found: dict[str, Evidence] = {}
    for one in evidence:
        if one.share < NEGLIGIBLE:
            continue
        words = f"its{one.words[len(mark) :]}" if one.words.startswith(own) else one.words
        known = found.get(words)
        if known is None:
            found[words] = Evidence(one.kind, words, one.share, one.residual)
        else:
            worst = max(one.residual, known.residual, key=abs)
            found[words] = Evidence(one.kind, words, one.share + known.share, worst)
    return tuple(sorted(found.values(), key=lambda one: -one.share))


def _basis(evidence: tuple[Evidence, ...]) -> str:
    """What an oven-dry mass is known from, in words."""
    if not evidence:
        return "none yet: no moisture section of it, of the piece it was cut from, or of its tree"
    shown = [one for one in evidence if one.share >= 0.1] or list(evidence[:1])
    return ", ".join(one.words for one in shown[:3])
