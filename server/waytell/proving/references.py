"""How long what a scale is compared with is at its temperature, and how well that is known."""

from __future__ import annotations

from math import hypot, sqrt

from waytell.documents.config import Scale
from waytell.documents.proving import Reference
from waytell.engine.uncertainty import TEMPERATURE_HALF_WIDTH_K
from waytell.proving.expansion import expansion

# Limit deviation of length of gauge blocks in micrometres, grades 0, 1, 2, by the largest length in mm. Source: table
# after DIN 861 that says it corresponds with ISO 3650 (two copies agree).
GAUGE_BLOCKS = (
    (10.0, (0.12, 0.20, 0.45)),
    (25.0, (0.14, 0.30, 0.60)),
    (50.0, (0.20, 0.40, 0.80)),
    (75.0, (0.25, 0.50, 1.00)),
    (100.0, (0.30, 0.60, 1.20)),
    (150.0, (0.40, 0.80, 1.60)),
    (200.0, (0.50, 1.00, 2.00)),
    (250.0, (0.60, 1.20, 2.40)),
)
# Half-widths in micrometres; common practice, no source.
USUAL_UM = {"dial": 10.0, "setting_bar": 2.0, "other": 10.0}
WRINGING_UM = 1.0
"""How well a slide meets a block through a stop or a dial: half-width; common practice, no source."""
K = 2.0
STEEL_UM_M_K = 11.5
"""Swyt, Journal of Research of NIST 99, 31 (1994)."""


def gauge_block_limit_um(length_mm: float, grade: int) -> float:
    """Limit deviation of a block's length; longer ones than the table as its last row in proportion.

    >>> gauge_block_limit_um(25.0, 1), gauge_block_limit_um(25.1, 2)
    (0.3, 0.8)
    """
    row = next((limits for longest, limits in GAUGE_BLOCKS if length_mm <= longest), None)
    if row is not None:
        return row[grade]
    longest, limits = GAUGE_BLOCKS[-1]
    return limits[grade] * length_mm / longest


def standard_um(reference: Reference, length_mm: float) -> float:
    """Standard uncertainty (GUM: half-widths of rectangles by sqrt 3; a stated U by its k of 2), in micrometres."""
    if reference.u_um > 0:
        return reference.u_um / K
    if reference.kind == "gauge_block":
        limit = gauge_block_limit_um(abs(length_mm), reference.grade)
        return sqrt(limit**2 + WRINGING_UM**2) / sqrt(3)
    return USUAL_UM[reference.kind] / sqrt(3)


def true_length_mm(reference: Reference, length_mm: float, celsius: float) -> float:
    """How long it is when it is warm: blocks and bars are of steel and stated at 20 degrees Celsius (ISO 1).

    >>> round(true_length_mm(Reference(), 100.0, 25.0), 5)
    100.00575
    """
    return length_mm + expansion(length_mm, 0.0, _alpha(reference), celsius, 0.0).work_um * 1e-3


def compared_um(reference: Reference, length_mm: float, scale: Scale, celsius: float) -> float:
    """Standard uncertainty of comparing a scale with it over a length, that of their temperature included."""
    u_k = TEMPERATURE_HALF_WIDTH_K / sqrt(3)
    warm = expansion(abs(length_mm), scale.expansion_um_m_k, _alpha(reference), celsius, u_k)
    return hypot(standard_um(reference, length_mm), warm.u_um)


def _alpha(reference: Reference) -> float:
    """A dial tells what the slide goes, whatever its temperature."""
    return STEEL_UM_M_K if reference.kind in ("gauge_block", "setting_bar") else 0.0
