"""What it does to a length that scale and work are not at 20 degrees Celsius (ISO 1)."""

from __future__ import annotations

from math import hypot, sqrt
from typing import NamedTuple

from waytell.engine.axes import REFERENCE_C

ALPHA_HALF_SHARE = 0.1
"""How well the expansion of a material is known; common practice, no source."""


class Expansion(NamedTuple):
    scale_um: float
    """How much longer the scale is over the length."""
    work_um: float
    error_um: float
    """How much too long the work reads if neither is corrected for."""
    u_um: float
    """Standard uncertainty of that."""


def expansion(length_mm: float, scale_um_m_k: float, work_um_m_k: float, celsius: float, u_k: float) -> Expansion:
    """Over a length; `u_k` is the standard uncertainty of the temperature.

    100 mm of aluminium (23.1) beside a glass scale (8.5) at 25 degrees reads 7.3 um too long:

    >>> round(expansion(100.0, 8.5, 23.1, 25.0, 0.0).error_um, 2)
    7.3
    """
    warm, metre = celsius - REFERENCE_C, length_mm * 1e-3
    scale, work = scale_um_m_k * warm * metre, work_um_m_k * warm * metre
    u_alpha = ALPHA_HALF_SHARE / sqrt(3) * hypot(scale, work)
    u_warm = abs(work_um_m_k - scale_um_m_k) * u_k * metre
    return Expansion(scale, work, work - scale, hypot(u_alpha, u_warm))
