"""How far a position can be relied on, as an expanded uncertainty U (95 %), until the scales have been proved.

GUM (JCGM 100): half-widths of rectangular distributions divided by sqrt 3, standard deviations as they are, combined
by root of squares, coverage factor 2. Resolution enters twice: when the datum was set, and now.
"""

from __future__ import annotations

import math

COVERAGE = 2.0


def expanded_mm(resolution_mm: float, accuracy_mm: float, touch_mm: float, noise_mm: float) -> float:
    """U (95 %) of a position.

    `resolution_mm` is one count, `accuracy_mm` the half-width of the scale's error, `touch_mm` that of the touching
    off, `noise_mm` a standard deviation at rest.
    """
    variance = (2 * (resolution_mm / 2) ** 2 + accuracy_mm**2 + touch_mm**2) / 3 + noise_mm**2
    return COVERAGE * math.sqrt(variance)


def decimals(u_mm: float, resolution_mm: float, unit_mm: float = 1.0) -> int:
    """Digits after the point that mean something in a unit: U keeps two digits (GUM 7.2.6), half a count is the least.

    >>> decimals(0.013, 0.005), decimals(0.13, 0.005), decimals(0.013, 0.005, 25.4)
    (3, 2, 4)
    """
    step = max(u_mm / 10, resolution_mm / 2) / unit_mm
    # A step a little below a power of ten, such as half of 0.0002 inch in mm, is no reason for one digit more.
    return max(0, min(5, math.ceil(-math.log10(step) - 0.05))) if step > 0 else 3
