"""How wood changes size with moisture, and what it weighs for its size.

Shrinkage is percent of the green size, from green to oven-dry, in one direction: radial across the growth rings,
tangential along them. Wood changes size only below fibre saturation, taken as 30 % for every wood, and evenly between
there and oven-dry. A wood without a published figure gets no answer here: none is borrowed from a cousin.
"""

from math import cos, isfinite, radians, sin

from stock.errors import Impossible

FIBRE_SATURATION_PCT = 30.0  # Wood Handbook FPL-GTR-190 (2010), p. 4-2: about 30, several points either way


def _share_left(mc_pct: float, shrinkage_pct: float) -> float:
    """The size at a moisture content as a share of the green size: Wood Handbook ch. 4, S_M = S_0 (30 - M) / 30."""
    if not (isfinite(mc_pct) and mc_pct >= 0):
        raise Impossible(f"a moisture content of {mc_pct:g} % cannot be", hint="It is percent of oven-dry mass.")
    if not 0 <= shrinkage_pct < 50:
        raise Impossible(
            f"a shrinkage of {shrinkage_pct:g} % cannot be", hint="Percent from green to oven-dry, such as 7.1."
        )
    below = FIBRE_SATURATION_PCT - min(mc_pct, FIBRE_SATURATION_PCT)
    return 1 - shrinkage_pct / 100 * below / FIBRE_SATURATION_PCT


def _size(size_mm: float) -> float:
    if not (isfinite(size_mm) and size_mm > 0):
        raise Impossible(f"a size of {size_mm:g} mm cannot be", hint="A size is a number above zero.")
    return size_mm


def size_at(size_mm: float, from_mc_pct: float, to_mc_pct: float, shrinkage_pct: float) -> float:
    """Size of a piece at another moisture content.

    Args:
        size_mm: size now, mm.
        from_mc_pct: moisture content now, percent of oven-dry mass; anything above 30 is green size.
        to_mc_pct: moisture content then, percent of oven-dry mass.
        shrinkage_pct: shrinkage in that direction, percent of green size, green to oven-dry, 0 to under 50.

    Returns:
        Size then, mm: exact on the green size, so that there and back is the same size again.

    Raises:
        Impossible: a size, moisture content or shrinkage that cannot be.

    Source:
        Wood Handbook FPL-GTR-282 (2021), ch. 4 and eq. 13-3 (recalled; its coefficients, which follow from it, were
        read and agree, see `shrinkage_from_coefficient`). Single pieces vary; a turned or knotty piece does not move as
        a board does.
    """
    green_mm = _size(size_mm) / _share_left(from_mc_pct, shrinkage_pct)
    return green_mm * _share_left(to_mc_pct, shrinkage_pct)


def shrinkage_from_coefficient(coefficient: float) -> float:
    """The shrinkage of a wood for which a handbook prints only its coefficient of dimensional change.

    Args:
        coefficient: C_R or C_T, the change for each point of moisture as a fraction of the size at 10 %.

    Returns:
        Radial or tangential shrinkage, percent of green size, green to oven-dry.

    Raises:
        Impossible: a coefficient that cannot be.

    Source:
        Footnote of Wood Handbook Table 13-5 (words from memory), solved for the shrinkage; of the 36 woods whose
        shrinkage (Table 4-3) and coefficients (Table 13-5) were both read, it gives 33 within 0.03 percentage points,
        the rounding of the coefficient; the other three print the figures of a sister species. Not for western
        redcedar, northern white-cedar and redwood, which saturate near 22 %.
    """
    if not 0 <= coefficient < 0.02:
        raise Impossible(f"a coefficient of {coefficient:g} cannot be", hint="A fraction per point, such as 0.00248.")
    return 100 * FIBRE_SATURATION_PCT * coefficient / (1 + (FIBRE_SATURATION_PCT - 10) * coefficient)


def shrinkage_at_angle(radial_pct: float, tangential_pct: float, ring_deg: float) -> float:
    """Shrinkage across a face whose growth rings lie at an angle to it.

    The strains of wood along and across its rings are the two principal strains; across any other direction the
    strain is their mix by squared sine and cosine, the small-strain rotation. The same rotation leaves a shear that
    pulls a square into a diamond; that is not in this figure.

    Args:
        radial_pct: radial shrinkage, percent.
        tangential_pct: tangential shrinkage, percent.
        ring_deg: angle between the rings and the face, degrees: 0 flat-sawn (the width is tangential), 90 quarter-sawn
            (the width is radial).

    Returns:
        Shrinkage across the face, percent of green size.

    Raises:
        Impossible: shrinkages that cannot be, or an angle that is no number.

    Source:
        Rotation of a plane strain (any text on strength of materials); exact for small strains; 0.06 percentage
        points off for beech (5.5 and 11.9 %) at 45 degrees, where the error is largest.
    """
    if not isfinite(ring_deg):
        raise Impossible(f"a ring angle of {ring_deg:g} degrees cannot be", hint="0 is flat-sawn, 90 quarter-sawn.")
    for shrinkage_pct in (radial_pct, tangential_pct):
        _share_left(0, shrinkage_pct)
    along, across = cos(radians(ring_deg)) ** 2, sin(radians(ring_deg)) ** 2
    return tangential_pct * along + radial_pct * across


def density_kg_m3(sg_gx: float, mc_pct: float) -> float:
    """What a cubic metre of wood weighs with its water in it.

    Args:
        sg_gx: specific gravity on oven-dry mass and the volume at that moisture content.
        mc_pct: moisture content, percent of oven-dry mass.

    Returns:
        Density, kg/m3.

    Raises:
        Impossible: a specific gravity or moisture content that cannot be.

    Source:
        Wood Handbook FPL-GTR-190 (2010), ch. 4: 1000 kg/m3 x G_x (1 + x / 100).
    """
    if not 0 < sg_gx <= 1.54:
        raise Impossible(f"a specific gravity of {sg_gx:g} cannot be", hint="Wood lies between about 0.1 and 1.3.")
    if not (isfinite(mc_pct) and mc_pct >= 0):
        raise Impossible(f"a moisture content of {mc_pct:g} % cannot be", hint="It is percent of oven-dry mass.")
    return 1000 * sg_gx * (1 + mc_pct / 100)
