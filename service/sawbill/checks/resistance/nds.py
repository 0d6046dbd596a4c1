"""Wood as the NDS reckons it: National Design Specification for Wood Construction, 2018, allowable stress design.

Dry lumber at room temperature, not incised: CM, Ct and Ci are 1. Stresses [MPa], lengths [mm].
"""

from __future__ import annotations

from math import sqrt
from typing import Final

from sawbill.trade.design_values import NdsValues
from sawbill.trade.lumber import Section

SOURCE: Final = "National Design Specification for Wood Construction (NDS), 2018"
_CF_BENDING: Final = ((4, 1.5), (5, 1.4), (6, 1.3), (8, 1.2), (10, 1.1), (12, 1.0))
"""Size factors for Fb by nominal width up to which they hold [in] (Table 4A, Adjustment Factors)."""
_CF_BENDING_THICK: Final = ((4, 1.5), (5, 1.4), (6, 1.3), (8, 1.3), (10, 1.2), (12, 1.1))
"""The same for a nominal thickness of 4 in (from memory beyond 6 in)."""
_CF_COMPRESSION: Final = ((4, 1.15), (6, 1.1), (8, 1.05), (12, 1.0))
_CFU: Final = ((3, 1.0), (5, 1.1), (8, 1.15), (12, 1.2))
"""Flat use factors for a nominal thickness of 2 in and 3 in."""
_CFU_THICK: Final = ((4, 1.0), (8, 1.05), (12, 1.1))
"""The same for 4 in (from memory)."""
_INCH: Final = 25.4
_LIGHT_FRAMING: Final = frozenset({"Construction", "Standard"})


def size_factor(values: NdsValues, section: Section, *, compression: bool = False) -> float:
    """CF for bending or for compression along the grain, of a section with nominal sizes."""
    wide, thick = _nominal(section)
    if values.sized or values.grade in _LIGHT_FRAMING:
        return 1.0
    if values.grade == "Utility":
        return (1.0 if wide > 3 else 0.6) if compression else (1.0 if wide > 3 else 0.4)
    if values.grade == "Stud":
        return (1.05 if wide <= 4 else 1.0) if compression else (1.1 if wide <= 4 else 1.0)
    if compression:
        return _factor(_CF_COMPRESSION, wide)
    return _factor(_CF_BENDING_THICK if thick >= 4 else _CF_BENDING, wide)


def flat_use_factor(section: Section) -> float:
    """Cfu for bending about the weak axis, of a section with nominal sizes."""
    wide, thick = _nominal(section)
    if thick < 2:
        return 1.0  # the tables tell none of boards
    return _factor(_CFU_THICK if thick >= 4 else _CFU, wide)


def beam_stability_factor(fb_star: float, e_min: float, le: float, b: float, d: float) -> float:
    """CL of a bending member of an effective length (3.3.3); 1 where it is no deeper than wide."""
    if d <= b:
        return 1.0
    fbe = 1.20 * e_min * b * b / (le * d)
    return _interaction(fbe / fb_star, 0.95)


def effective_length(lu: float, d: float) -> float:
    """Le of a beam between supports under any load (Table 3.3.3, note 1)."""
    if lu < 7 * d:
        return 2.06 * lu
    return 1.63 * lu + 3 * d if lu <= 14.3 * d else 1.84 * lu


def column_stability_factor(fc_star: float, e_min: float, le: float, d: float) -> float:
    """CP of a column of sawn lumber of an effective length, d its side that gives way (3.7.1)."""
    fce = 0.822 * e_min * (d / le) ** 2
    return _interaction(fce / fc_star, 0.8, 2 * 0.8)


def bending(
    values: NdsValues, section: Section, depth: float, width: float, lu: float, cd: float, backed: float = 0.0
) -> float:
    """Fb' of a member so deep and wide as it stands, unsupported sideways for a length (Table 4.3.1).

    backed: how wide it is with what is glued beside it, if anything.
    """
    fb_star = values.fb * cd * size_factor(values, section)
    flat = flat_use_factor(section) if depth < width else 1.0
    le, b = effective_length(lu, depth), max(width, backed)
    return fb_star * flat * beam_stability_factor(fb_star, values.e_min, le, b, depth)


def shear(values: NdsValues, cd: float) -> float:
    """Fv' (Table 4.3.1)."""
    return values.fv * cd


def bearing(values: NdsValues, long: float, wide: float, ends: tuple[float, float]) -> float:
    """What wood pressed across its grain bears [N], so long along its grain and so wide (3.10.2, 3.10.4).

    ends: how far the face is from either end of the member: the bearing area factor Cb holds from 3 in on, for faces
    under 6 in long. No load duration factor (2.3.2).
    """
    factor = (long + 0.375 * _INCH) / long if long < 6 * _INCH and min(ends) >= 3 * _INCH else 1.0
    return values.fc_perp * factor * long * wide


def bolted_end(values: NdsValues, depth: float, width: float, effective: float, *, near: bool) -> float:
    """Vr' of a bending member carried by bolts [N], with CD 1 (3.4.3.3).

    effective: from its loaded edge to the furthest bolt; near: whether that is within five depths of its end.
    """
    bears = 2 / 3 * values.fv * width * effective
    return bears * (effective / depth) ** 2 if near else bears


def compression(values: NdsValues, section: Section, le: float, side: float, cd: float) -> float:
    """Fc' of a column, side: the one that gives way (Table 4.3.1)."""
    fc_star = values.fc * cd * size_factor(values, section, compression=True)
    return fc_star * column_stability_factor(fc_star, values.e_min, le, side)


def _interaction(ratio: float, c: float, divisor: float = 1.9) -> float:
    """The form that CL (3.3-6) and CP (3.7-1) share; ratio: Euler's stress to that of a short member."""
    middle = (1 + ratio) / divisor
    return middle - sqrt(middle * middle - ratio / c)


def _nominal(section: Section) -> tuple[int, int]:
    assert section.nominal_width is not None and section.nominal_thickness is not None
    return int(section.nominal_width), int(section.nominal_thickness)


def _factor(steps: tuple[tuple[int, float], ...], wide: int) -> float:
    """The factor of the first step that is no narrower; the last for all beyond."""
    return next((factor for most, factor in steps if wide <= most), steps[-1][1])
