"""The air a piece lies in, and the moisture content wood settles at in it.

Moisture content is percent of oven-dry mass, relative humidity percent of saturation, temperature degrees Celsius.
Nothing here knows a place, a date or a book.
"""

from math import isfinite

from stock.errors import Impossible

# Wood Handbook, FPL-GTR-282 (2021), eq. 4-5, Celsius form: coefficients of T**0, T**1, T**2.
_W = (349.0, 1.29, 0.0135)
_K = (0.805, 0.000736, -0.00000273)
_K1 = (6.27, -0.00938, -0.000303)
_K2 = (1.91, 0.0407, -0.000293)

TABLE_RANGE_C = (-1.2, 132.3)  # Table 4-2 runs from 30 to 270 degF


def emc_pct(temp_c: float, rh_pct: float) -> float:
    """Equilibrium moisture content of wood in still air.

    Args:
        temp_c: dry-bulb temperature, degC; the handbook's table covers -1.1 to 132.2.
        rh_pct: relative humidity, percent, 0 to 100.

    Returns:
        Moisture content, percent of oven-dry mass, to which wood tends. The handbook's data lie between drying and
        wetting; wood that dries from green stops about 0.5 to 3 points higher (hysteresis), and species differ little
        below 80 % humidity.

    Raises:
        Impossible: humidity outside 0 to 100, or temperature outside the table.

    Source:
        Wood Handbook FPL-GTR-282 (2021), eq. 4-5, the two-hydrate sorption model; reproduces the cells of Table 4-2
        from 30 to 200 degF within 0.06 points.
    """
    if not 0 <= rh_pct <= 100:
        raise Impossible(
            f"relative humidity {rh_pct:g} % is outside 0 to 100 %", hint="Give a percentage: 45, not 0.45."
        )
    if not TABLE_RANGE_C[0] <= temp_c <= TABLE_RANGE_C[1]:
        raise Impossible(
            f"{temp_c:g} degC is outside the handbook's table, -1 to 132 degC", hint="Is the unit right, F or C?"
        )
    w, k, k1, k2 = (a + b * temp_c + c * temp_c**2 for a, b, c in (_W, _K, _K1, _K2))
    kh = k * rh_pct / 100
    hydrates = (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2)
    return 1800 / w * (kh / (1 - kh) + hydrates)


def emc_or_edge(temp_c: float, rh_pct: float) -> tuple[float, bool]:
    """Equilibrium moisture content, at the edge of the handbook's table where the air lies beyond it.

    Frost is the common case: an open shed in January is colder than the table. Wood settles slowly there and the
    figure changes little with temperature, so the edge serves, as long as whoever shows it says so.

    Args:
        temp_c: dry-bulb temperature, degC, any finite value.
        rh_pct: relative humidity, percent, 0 to 100.

    Returns:
        Moisture content in percent of oven-dry mass, and True if the table's edge stood in for the temperature.

    Raises:
        Impossible: humidity outside 0 to 100, or a temperature that is no number.

    Source:
        As `emc_pct`; taking the edge is our own choice, no source.
    """
    if not isfinite(temp_c):
        raise Impossible(f"a temperature of {temp_c:g} degC is no temperature", hint="Give a number, such as 21 C.")
    low_c, high_c = TABLE_RANGE_C
    within_c = min(max(temp_c, low_c), high_c)
    return emc_pct(within_c, rh_pct), within_c != temp_c
