"""Numbers in sentences, in the units the person chose."""

from __future__ import annotations

from waytell.documents.base import Axis, Slide
from waytell.documents.config import Units

MM_PER_INCH = 25.4


def length(mm: float, units: Units) -> str:
    """A length as a person reads it.

    >>> length(0.3, Units()), length(25.4, Units(length="inch"))
    ('0.30 mm', '1.0000 in')
    """
    return f"{mm:.2f} mm" if units.length == "mm" else f"{mm / MM_PER_INCH:.4f} in"


def fine_length(mm: float, units: Units) -> str:
    return f"{mm:.3f} mm" if units.length == "mm" else f"{mm / MM_PER_INCH:.4f} in"


def coordinate(axis: Axis, mm: float, units: Units) -> str:
    """A place on an axis: X as the person reads it, diameter or radius."""
    if axis == "Z":
        return f"Z {fine_length(mm, units)}"
    if units.x_as == "diameter":
        return f"diameter {fine_length(2 * mm, units)}"
    return f"radius {fine_length(mm, units)}"


def travel(axis: Axis, mm: float, units: Units) -> str:
    """A distance along an axis, doubled and said so where X is read as a diameter.

    >>> travel("X", 0.25, Units()), travel("Z", 0.25, Units())
    ('0.50 mm on the diameter', '0.25 mm')
    """
    if axis == "X" and units.x_as == "diameter":
        return f"{length(2 * mm, units)} on the diameter"
    return length(mm, units)


SLIDES: dict[Slide, str] = {
    "cross": "cross-slide", "carriage": "carriage", "compound": "compound slide", "tailstock": "tailstock quill",
}  # fmt: skip


def slide(axis: Axis) -> str:
    return "cross-slide" if axis == "X" else "carriage"
