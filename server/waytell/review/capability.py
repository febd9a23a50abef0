"""Capability indices of one size with both limits, and their confidence limits, 95 %.

Sources: NIST/SEMATECH e-Handbook of Statistical Methods, 6.1.6, for the indices, for the limits of Cp by chi-square
and for the least number of parts (about 50 independent values); A. F. Bissell, Applied Statistics 39 (1990) 331-340,
for the limits of Cpk in large samples. All of it supposes sizes that are normally distributed and a steady process.
"""

from __future__ import annotations

from math import sqrt
from statistics import NormalDist

from waytell.documents.review import Index
from waytell.review.chi_square import quantile

MEANINGFUL_PARTS = 50
CONFIDENCE = 0.95


def cp(low_mm: float, high_mm: float, s_mm: float, parts: int) -> Index | None:
    """Width of the limits over six standard deviations; None for a single part or one without spread.

    >>> round(cp(8.0, 20.0, 2.0, 50).value, 3)
    1.0
    """
    if parts < 2 or s_mm <= 0.0:
        return None
    value, free = (high_mm - low_mm) / (6 * s_mm), parts - 1
    low, high = (value * sqrt(quantile(share, free) / free) for share in _shares())
    return Index(value=value, low=low, high=high, meaningful=parts >= MEANINGFUL_PARTS)


def cpk(low_mm: float, high_mm: float, mean_mm: float, s_mm: float, parts: int) -> Index | None:
    """Distance from the mean to the nearer limit over three standard deviations; below 0 where the mean is outside.

    >>> round(cpk(8.0, 20.0, 16.0, 2.0, 50).value, 4)
    0.6667
    """
    if parts < 2 or s_mm <= 0.0:
        return None
    value = min(high_mm - mean_mm, mean_mm - low_mm) / (3 * s_mm)
    wide = NormalDist().inv_cdf(_shares()[1]) * sqrt(1 / (9 * parts) + value**2 / (2 * (parts - 1)))
    return Index(value=value, low=value - wide, high=value + wide, meaningful=parts >= MEANINGFUL_PARTS)


def _shares() -> tuple[float, float]:
    return (1 - CONFIDENCE) / 2, (1 + CONFIDENCE) / 2
