"""Whether a size is within its limits, with the uncertainty of the measurement taken into account."""

from __future__ import annotations

from math import inf
from typing import Literal

# Decimal fractions are not exact in binary: a size on the very edge is judged as it is written.
HAIR_MM = 1e-9
Verdict = Literal["within", "outside", "open", "reads_within", "reads_outside", "no_limits"]


def verdict(at_mm: float, u_mm: float, low_mm: float | None, high_mm: float | None) -> Verdict:
    """By the decision rule of ISO 14253-1: proved within the limits drawn in by U, proved outside beyond them by U.

    Where U is not known (0) nothing is proved: the size only reads within or outside.

    >>> verdict(8.995, 0.004, 8.98, 9.0), verdict(8.998, 0.004, 8.98, 9.0), verdict(9.005, 0.004, 8.98, 9.0)
    ('within', 'open', 'outside')
    """
    if low_mm is None and high_mm is None:
        return "no_limits"
    inside_mm = min(at_mm - (-inf if low_mm is None else low_mm), (inf if high_mm is None else high_mm) - at_mm)
    if u_mm <= 0.0:
        return "reads_within" if inside_mm >= -HAIR_MM else "reads_outside"
    if inside_mm >= u_mm - HAIR_MM:
        return "within"
    return "outside" if inside_mm < -u_mm - HAIR_MM else "open"
