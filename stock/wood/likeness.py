"""What makes two blanks alike: what is known of a blank, what is wanted, and how much each thing counts.

One *point* is the wood of 1 % of one finished stave. A set of four costs the waste of its four blanks and, for each of
its six pairs, what makes the two unlike. Every term is rounded once, to whole thousandths of a point; from there on all
sums are exact, ties are real ties, and the terms of a set add up to its cost to the last digit.

The weights are judgements, not measurements; no source. What is not known costs something in the middle, never
nothing: knowing must be able to help. Run-out alone counts only where it is known of both, for it is noted where it
shows. No term speaks of soundness.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass, fields
from datetime import date
from math import isfinite

from stock.errors import Impossible
from stock.wood import patterns

Covariance = Callable[[str, str], float]  # of the errors of two moisture contents, by key; points squared

Z_80 = 1.2816  # the half-width of the interval that holds four of five, in standard deviations
USUAL_T_MINUS_R_PCT = 3.6  # median of 48 hardwoods of Wood Handbook FPL-GTR-190 (2010), Table 4-3
HIGH_T_MINUS_R_PCT = 5.7  # nine of ten of them lie below: what an unknown wood is taken for
USUAL_SWING_PCT = 4.0  # of moisture over the year in a heated house; common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """One square blank as the search sees it; what is not known is None.

    Attributes:
        key: its mark; every key is given once.
        width_mm, thickness_mm: its sides before planing, less what flaws take.
        usable_length_mm: its longest clear length.
        mc_pct: moisture content, percent of oven-dry mass; mc_sd_pct: one standard deviation, points.
        stable_since: the day since when it has been stable where it lies; place: where that is.
        species: the key of its wood.
        tree, log, billet, stick: the ids of the pieces it came from.
        along_mm: its middle, along the log from the butt.
        part: heart, sap or mixed; sap_faces: the faces of a mixed one that are sapwood, such as "AB".
        traits: its figure, an empty set for plain wood.
        ring_deg: the angle of the rings to a face, 0 to 90.
        lab: colour, CIE L*a*b*; lab_surface: the surface it was read on. Only like surfaces are compared.
        density_kg_m3: oven-dry mass over size.
        t_minus_r_pct: tangential less radial shrinkage of its wood, green to oven-dry.
        run_out: the grain runs out of a face by 1 in so many.
        clear_from_mm: where its clear length begins, from its butt end.
    """

    key: str
    width_mm: float
    thickness_mm: float
    usable_length_mm: float
    mc_pct: float | None = None
    mc_sd_pct: float | None = None
    stable_since: date | None = None
    place: Hashable = None
    species: str | None = None
    tree: Hashable = None
    log: Hashable = None
    billet: Hashable = None
    stick: Hashable = None
    along_mm: float | None = None
    part: str | None = None
    sap_faces: str | None = None
    traits: frozenset[str] | None = None
    ring_deg: float | None = None
    lab: tuple[float, float, float] | None = None
    lab_surface: str | None = None
    density_kg_m3: float | None = None
    t_minus_r_pct: float | None = None
    run_out: float | None = None
    clear_from_mm: float = 0.0

    def __post_init__(self) -> None:
        numbers = {f.name: v for f in fields(self) if isinstance(v := getattr(self, f.name), int | float)}
        for name in ("tree", "log", "billet", "stick", "place"):
            numbers.pop(name, None)
        for name, value in numbers.items():
            _within(value, 0, f"{name} of {self.key}")
        for channel in self.lab or ():
            if not isfinite(channel):
                raise Impossible(f"the colour of {self.key} cannot be {channel:g}", piece=self.key)
        if self.density_kg_m3 == 0:
            raise Impossible(f"{self.key} cannot weigh nothing", piece=self.key)
        if self.run_out == 0:
            raise Impossible(f"the grain of {self.key} cannot run out 1 in 0", piece=self.key)

    @property
    def wood(self) -> Hashable:
        """The same for blanks that are of one wood: of one species, or of one tree whose species nobody knows."""
        if self.species is not None:
            return self.species
        known = (i for i in ("tree", "log", "billet", "stick", "key") if getattr(self, i) is not None)
        origin = next(known)
        return (origin, getattr(self, origin))


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """What is wanted: four staves of one wood.

    Attributes:
        square_mm, length_mm: the finished stave.
        species: keys of the woods that will do; None for any. A set is always of one wood.
        band_pct: how far the moisture contents of two staves may lie apart, points.
        z: how sure the band must hold. 1.2816 asks that the 80 % interval of the difference of two staves lie inside
            the band, the same 80 % in which every moisture content is shown.
        planing_mm: what planing takes off each side, both faces together. Common practice, no source: about 1/8 in.
        kerf_mm: for cutting to length. Common practice, no source: about 1/8 in.
        swing_pct: how far the moisture of the finished piece will go up and down over the year, points.
        target_pct: the moisture content wanted, to say by how much a blank is too wet.
        on: the day of the question; None if staves that lie stable together are not to count as within the band.
        together_days: how long they must have lain so.
        pattern: a name of `patterns.PATTERNS`.
        by: what tells the two kinds of a pattern of two letters apart; see `patterns.kinds`.
        per_blank: how many staves one blank may give, 1 to 4.
        square_step_mm: None for a square that is fixed. Otherwise `square_mm` is the least that will do, and every set
            is taken at the largest square that its four allow, in such steps above the least; see `squares`.
    """

    square_mm: float
    length_mm: float
    species: frozenset[str] | None = None
    band_pct: float = 2.0
    z: float = Z_80
    planing_mm: float = 3.0
    kerf_mm: float = 3.0
    swing_pct: float = USUAL_SWING_PCT
    target_pct: float | None = None
    on: date | None = None
    together_days: int = 60
    pattern: str = "matched"
    by: str = patterns.PART
    per_blank: int = 1
    square_step_mm: float | None = None

    def __post_init__(self) -> None:
        for name in ("band_pct", "z", "planing_mm", "kerf_mm", "swing_pct"):
            _within(getattr(self, name), 0, name)
        patterns.word(self.pattern)
        if self.per_blank not in range(1, 5):
            raise Impossible(f"one blank cannot give {self.per_blank} of four staves", hint="Ask for 1 to 4.")
        if self.square_step_mm is not None and not _within(self.square_step_mm, 0, "a step of the square"):
            raise Impossible("the square cannot grow in steps of 0 mm")
        for name in ("square_mm", "length_mm"):
            if not _within(getattr(self, name), 0, name):
                raise Impossible(f"a stave of {self.square_mm:g} by {self.length_mm:g} mm cannot be")

    @property
    def side_mm(self) -> float:
        """The least side of a blank that will do."""
        return self.square_mm + self.planing_mm

    @property
    def cut_mm(self) -> float:
        """The least usable length that will do."""
        return self.length_mm + self.kerf_mm

    @property
    def of_one_letter(self) -> int:
        """How many staves of a set are to be alike."""
        return patterns.word(self.pattern).count("A")

    @property
    def two_kinds(self) -> bool:
        return self.of_one_letter == 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Weights:
    """How much each thing counts, in points; see the terms for what each multiplies. `*_unknown`: if not known."""

    planing: float = 1.0
    planing_free_pct: float = 10.0
    offcut: float = 0.25
    moisture: float = 2.0
    moisture_unknown: float = 2.0
    same_stick: float = 0.0
    same_billet: float = 3.0
    same_log: float = 6.0
    other_log: float = 15.0
    other_tree: float = 40.0
    origin_unknown: float = 20.0
    along_per_mm: float = 0.01
    along_most: float = 10.0
    colour: float = 2.0
    colour_unknown: float = 10.0
    figure: float = 6.0
    figure_unknown: float = 3.0
    heart_sap: float = 8.0
    mixed: float = 4.0
    mixed_alike: float = 2.0
    part_unknown: float = 4.0
    ring: float = 4.0
    density_per_pct: float = 0.2
    density_most: float = 5.0
    density_unknown: float = 1.0
    run_out_per_pct: float = 0.5
    run_out_most: float = 5.0

    def __post_init__(self) -> None:
        for field in fields(self):
            _within(getattr(self, field.name), 0, f"the weight {field.name}")


def _within(value: float, least: float, what: str) -> float:
    if not (isfinite(value) and value >= least):
        raise Impossible(f"{what} cannot be {value:g}", hint=f"It is a number from {least:g} up.")
    return value
