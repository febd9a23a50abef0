"""Whether a size is within its limits, with the uncertainty of the measurement taken into account."""

from __future__ import annotations

from math import inf

from waytell.documents.sizes import Verdict

# Decimal fractions are not exact in binary: a size on the very edge is judged as it is written.
HAIR_MM = 1e-9


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


def verdict_words(found: Verdict, at_mm: float, high_mm: float | None) -> str:
    """What it says of a size, to follow it after a comma; empty without limits.

    >>> verdict_words("outside", 9.005, 9.0), verdict_words("open", 8.998, 9.0)
    ('proved above its upper limit', 'too near a limit to tell')
    """
    side = "above its upper limit" if high_mm is not None and at_mm > high_mm else "below its lower limit"
    return {
        "within": "proved within its limits",
        "outside": f"proved {side}",
        "open": "too near a limit to tell",
        "reads_within": "reads within its limits, not proved: how sure it is was not given",
        "reads_outside": f"reads {side}, not proved: how sure it is was not given",
        "no_limits": "",
    }[found]
