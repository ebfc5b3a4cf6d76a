"""The numbers that handbooks print for woods, each with its basis, its source and how far it is to be trusted."""

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

# How a number was come by, the most trustworthy first; see `Value.provenance`.
TRUST = ("own", "fetched", "confirmed", "computed", "range", "secondary", "doubtful", "unverified")
UNSURE = ("doubtful", "unverified")


@dataclass(frozen=True, slots=True)
class Value:
    """One number of one wood.

    Attributes:
        property: standard name with its kind in it: `basic_specific_gravity` (oven-dry mass over green volume),
            `specific_gravity_12` (over the volume at 12 %), `shrinkage_radial_pct`, `shrinkage_tangential_pct`,
            `shrinkage_volumetric_pct` (green to oven-dry, percent of green size), `shrinkage_to_12_..._pct` (green to
            12 %), `dimensional_change_radial`, `dimensional_change_tangential` (fraction per 1 % moisture),
            `differential_shrinkage_..._pct` (percent per 1 % moisture), `green_mc_heartwood_pct`,
            `green_mc_sapwood_pct`, `green_mc_tree_pct` (percent of oven-dry mass), `basic_density_g_cm3`,
            `basic_density_model_g_cm3`, `density_oven_dry_g_cm3`, `density_12_g_cm3`, `density_12_15_g_cm3`.
        value: the number; None where only a range is known.
        unit: `%`, `g/cm3`, `per 1 %`, `% per 1 %`, or empty for a ratio.
        low, high: the ends of the records or sources, same unit; None if not printed.
        sd, n: standard deviation (same unit) and number of published records; None if not printed.
        basis: what the number is a fraction of.
        source: an id that `source` turns into a citation; several are joined by " + ".
        detail: table, page or remark.
        provenance: `own` (the person's), `fetched` (seen in the source), `confirmed` (recalled, and agreeing with
            fetched numbers), `computed` (mean of published records), `range` (joined from several), `secondary` (seen
            where another text relays the source), `doubtful` (seen, but which wood or which basis is in doubt) or
            `unverified` (recalled, not seen).
        verified: False for a number that must be shown with the word "unverified".
    """

    property: str
    value: float | None
    unit: str = ""
    low: float | None = None
    high: float | None = None
    sd: float | None = None
    n: int | None = None
    basis: str = ""
    source: str = ""
    detail: str = ""
    provenance: str = "own"
    verified: bool = True

    def central(self) -> float | None:
        """The number, or the middle of the range where no single number is known; same unit."""
        if self.value is not None or self.low is None or self.high is None:
            return self.value
        return (self.low + self.high) / 2

    def ends(self) -> tuple[float, ...]:
        """All numbers given: the value and the ends of its range; same unit."""
        return tuple(number for number in (self.value, self.low, self.high) if number is not None)


def trust(value: Value) -> tuple[int, bool]:
    """A sorting key: the most trustworthy first, the handbook before other sources of the same kind."""
    rank = TRUST.index(value.provenance) if value.provenance in TRUST else len(TRUST)
    return rank, not value.source.startswith("wood-handbook")


def joined(values: Sequence[Value]) -> Value:
    """The range over several numbers of one kind, without a single value; verified only if every one of them is."""
    first = values[0]
    ends = [end for value in values for end in value.ends()]
    return Value(
        property=first.property,
        value=None,
        unit=first.unit,
        low=min(ends),
        high=max(ends),
        basis=first.basis,
        source=" + ".join(dict.fromkeys(value.source for value in values)),
        detail="; ".join(dict.fromkeys(value.detail for value in values if value.detail)),
        provenance="range",
        verified=all(value.verified for value in values),
    )


def source(id: str) -> str:
    """The full citation of a source id, or of several joined by " + "; the person's own words as they are."""
    known = _sources()
    parts = id.split(" + ")
    return " ".join(known[part] for part in parts) if all(part in known for part in parts) else id


@cache
def table(name: str) -> list[list[str]]:
    """The rows of one of the data files that ship with the program, without the heading."""
    text = files("stock").joinpath("data", name).read_text("utf-8")
    return list(csv.reader(text.splitlines()))[1:]


@cache
def printed(key: str) -> tuple[Value, ...]:
    """Every number that ships for the wood of this key, as the sources print them."""
    return tuple(_read(row) for row in _rows_by_key().get(key, ()))


@cache
def _sources() -> dict[str, str]:
    return {row[0]: row[1] for row in table("sources.csv")}


@cache
def _rows_by_key() -> dict[str, list[list[str]]]:
    rows: dict[str, list[list[str]]] = {}
    for row in table("species.csv"):
        rows.setdefault(row[0], []).append(row)
    return rows


def _read(row: list[str]) -> Value:
    _, property, value, unit, low, high, sd, n, basis, cited, detail, provenance = row
    return Value(
        property=property,
        value=_number(value),
        unit=unit,
        low=_number(low),
        high=_number(high),
        sd=_number(sd),
        n=int(n) if n else None,
        basis=basis,
        source=cited,
        detail=detail,
        provenance=provenance,
        verified=provenance not in UNSURE,
    )


def _number(text: str) -> float | None:
    return float(text) if text else None
