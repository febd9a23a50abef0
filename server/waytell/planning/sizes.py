"""Limits of a size, from its tolerance class, its deviations, or the general tolerance of the part."""

from __future__ import annotations

from waytell.documents.part import Dimension, GeneralClass
from waytell.documents.plan import Limits
from waytell.planning import general_tolerances, limits_fits

GENERAL_WORDS = {"f": "fine", "m": "medium", "c": "coarse", "v": "very coarse"}


def limits_of(size: Dimension, general: GeneralClass) -> Limits:
    """Limits as a diameter or a length in mm.

    Raises:
        ValueError: the class or the size is not covered by the tables; the words say what is.
    """
    if size.tolerance_class is not None:
        lower, upper = limits_fits.deviations(size.mm, size.tolerance_class)
        words = f"{size.tolerance_class} (ISO 286)"
    elif size.upper_mm is not None and size.lower_mm is not None:
        lower, upper = size.lower_mm, size.upper_mm
        words = "as given"
    else:
        half = general_tolerances.linear_mm(size.mm, general)
        lower, upper = -half, half
        words = f"general tolerance {general}, {GENERAL_WORDS[general]} (ISO 2768-1)"
    return Limits(nominal_mm=size.mm, low_mm=size.mm + lower, high_mm=size.mm + upper, words=words)


def middle_mm(limits: Limits) -> float:
    """What to aim at: room for an error either way (common practice, no source)."""
    return (limits.low_mm + limits.high_mm) / 2


def width_mm(limits: Limits) -> float:
    return limits.high_mm - limits.low_mm
