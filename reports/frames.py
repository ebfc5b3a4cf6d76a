"""From answers to data frames: fixed column types, units in the names, right also when nothing is there."""

from collections.abc import Sequence
from datetime import date
from typing import Any

import pandas as pd

from stock.survey import answers
from stock.survey.holdings import ReadyStock

NUMBERS = (
    "width_mm",
    "thickness_mm",
    "length_mm",
    "usable_square_mm",
    "usable_length_mm",
    "mass_g",
    "oven_dry_g",
    "oven_dry_sd_g",
    "mc_pct",
    "mc_low_pct",
    "mc_high_pct",
    "emc_pct",
    "target_pct",
)
DATES = ("on", "last_weighed_on")


def ready(stock: ReadyStock) -> pd.DataFrame:
    """Ready stock, one row a blank: the rows and the order of `rick ready --csv`.

    Args:
        stock: what is ready and nearly ready.

    Returns:
        A frame with `answers.READY_COLUMNS`: numbers as float64 in the unit of the name, dates as datetime64, the rest
        as text; the same types when it is empty.
    """
    return typed(answers.ready_rows(stock), answers.READY_COLUMNS, NUMBERS, DATES)


def typed(
    rows: Sequence[dict[str, Any]], columns: Sequence[str], numbers: Sequence[str], dates: Sequence[str]
) -> pd.DataFrame:
    """Rows as a frame of given column types."""
    series: dict[str, Any] = {}
    for name in columns:
        values = [row[name] for row in rows]
        if name in numbers:
            series[name] = pd.Series([float("nan") if v is None else float(v) for v in values], dtype="float64")
        elif name in dates:
            stamps = [v.isoformat() if isinstance(v, date) else None for v in values]
            series[name] = pd.to_datetime(pd.Series(stamps, dtype="object"), format="%Y-%m-%d")
        else:
            series[name] = pd.Series(["" if v is None else str(v) for v in values], dtype="str")
    return pd.DataFrame(series, columns=list(columns))


def counted(frame: pd.DataFrame, by: str) -> pd.DataFrame:
    """How many blanks are ready and nearly ready, for each value of a column, the fullest first.

    Returns:
        A frame indexed by that column with integer columns `ready` and `nearly`.
    """
    named = frame.assign(**{by: frame[by].replace("", "not told")})
    counts = {str(name): some["state"].value_counts() for name, some in named.groupby(by)}
    table = pd.DataFrame(
        {state: {name: int(of.get(state, 0)) for name, of in counts.items()} for state in ("ready", "nearly")},
        dtype="int64",
    )
    return table.iloc[sorted(range(len(table)), key=lambda i: (*(-table.to_numpy()[i]), table.index[i]))]
