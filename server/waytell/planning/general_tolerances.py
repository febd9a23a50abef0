"""General tolerances of ISO 2768-1: what a size without a tolerance of its own may depart by, to either side.

Classes: f fine, m medium, c coarse, v very coarse. Sizes are as they are measured: a diameter, a length.
"""

from __future__ import annotations

from bisect import bisect_left
from typing import TypeVar

from waytell.planning.limits_fits import NotCovered

Row = TypeVar("Row")

CLASSES = ("f", "m", "c", "v")
SMALLEST_MM = 0.5

# Each step is over the one before it, up to and including its own end; the first begins with 0.5 mm itself.
LINEAR_STEPS_MM = (3, 6, 30, 120, 400, 1000, 2000, 4000)
LINEAR_MM = {
    "f": (0.05, 0.05, 0.1, 0.15, 0.2, 0.3, 0.5, None),
    "m": (0.1, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2, 2.0),
    "c": (0.2, 0.3, 0.5, 0.8, 1.2, 2.0, 3.0, 4.0),
    "v": (None, 0.5, 1.0, 1.5, 2.5, 4.0, 6.0, 8.0),
}

# The last steps of chamfers and angles have no end.
CHAMFER_STEPS_MM = (3, 6)
CHAMFER_MM = {"f": (0.2, 0.5, 1.0), "m": (0.2, 0.5, 1.0), "c": (0.4, 1.0, 2.0), "v": (0.4, 1.0, 2.0)}

ANGLE_STEPS_MM = (10, 50, 120, 400)
ANGLE_MIN = {"f": (60, 30, 20, 10, 5), "m": (60, 30, 20, 10, 5), "c": (90, 60, 30, 15, 10), "v": (180, 120, 60, 30, 20)}


def linear_mm(nominal_mm: float, tolerance_class: str) -> float:
    """Half width, ± mm, of a length or diameter from 0.5 up to 4000 mm. Raises NotCovered."""
    row = _row(LINEAR_MM, tolerance_class)
    _from_the_smallest(nominal_mm)
    if nominal_mm > LINEAR_STEPS_MM[-1]:
        raise NotCovered(f"ISO 2768-1 ends at {LINEAR_STEPS_MM[-1]} mm, below {nominal_mm:g} mm. {_STATE}")
    half = row[bisect_left(LINEAR_STEPS_MM, nominal_mm)]
    if half is None:
        raise NotCovered(
            f"ISO 2768-1 has no class {tolerance_class} at {nominal_mm:g} mm: f ends at 2000 mm, v begins over 3 mm. "
            f"Choose another class. {_STATE}"
        )
    return half


def chamfer_mm(size_mm: float, tolerance_class: str) -> float:
    """Half width, ± mm, of a chamfer or of a corner's radius, from 0.5 mm. Raises NotCovered."""
    row = _row(CHAMFER_MM, tolerance_class)
    _from_the_smallest(size_mm)
    return row[bisect_left(CHAMFER_STEPS_MM, size_mm)]


def angle_deg(shorter_side_mm: float, tolerance_class: str) -> float:
    """Half width, ± degrees, of an angle by the length of its shorter side. Raises NotCovered."""
    row = _row(ANGLE_MIN, tolerance_class)
    if not shorter_side_mm > 0.0:
        raise NotCovered(f"An angle has no side of {shorter_side_mm:g} mm: give the length of the shorter one.")
    return row[bisect_left(ANGLE_STEPS_MM, shorter_side_mm)] / 60


_STATE = "State the tolerance of this size on the drawing."


def _row(table: dict[str, Row], tolerance_class: str) -> Row:
    if tolerance_class not in table:
        raise NotCovered(f"ISO 2768-1 has no class {tolerance_class!r}. Its classes are {', '.join(CLASSES)}.")
    return table[tolerance_class]


def _from_the_smallest(size_mm: float) -> None:
    # Written so that what is not a number is refused too.
    if not size_mm >= SMALLEST_MM:
        raise NotCovered(f"ISO 2768-1 begins at {SMALLEST_MM:g} mm, above {size_mm:g} mm. {_STATE}")
