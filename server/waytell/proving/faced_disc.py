"""Squareness of the cross-slide to the spindle, from a disc that this slide faced.

A slide out of square by theta faces a cone: its Z is x tan(theta) at the distance x from the centre, on both sides.
A dial carried on the same slide past the centre moves by x tan(theta) as well. On the half that was faced both rise
alike, so the dial reads nothing; on the far half, x below 0, the dial falls by |x| tan(theta) where the face rises by
as much: the reading is 2 |x| tan(theta), at the rim of a disc of diameter D so much as D tan(theta).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import atan, degrees, inf, sqrt
from typing import NamedTuple

from waytell.proving.not_enough import NotEnough
from waytell.proving.straight_line import Line, straight_line


class Disc(NamedTuple):
    tangent: float
    """Rise of the face over its radius, with its sign: above 0 the face is hollow where the dial is pressed in by Z
    growing."""
    u_tangent: float
    """Standard uncertainty."""
    degrees_of_freedom: float
    """Infinite where the dial's own uncertainty counts, not the scatter."""
    near_half: float
    """Slope that the dial shows on the half that was faced: nothing, if this slide really faced it."""
    u_near_half: float

    @property
    def um_per_100_mm(self) -> float:
        return self.tangent * 1e5

    @property
    def angle_deg(self) -> float:
        return degrees(atan(self.tangent))


def faced_disc(points_mm: Sequence[tuple[float, float]], u_dial_mm: float) -> Disc:
    """From (x from the centre, dial) in mm; x above 0 on the half that was faced, the dial rising as it is pressed in.

    The uncertainty is from the scatter about the line, and never less than the dial's own over the sweep.

    Raises:
        NotEnough: fewer than two points on a side, or hardly any sweep.
    """
    near = [(x, dial) for x, dial in points_mm if x >= 0]
    far = [(x, dial) for x, dial in points_mm if x <= 0]
    if len({x for x, _ in near}) < 2 or len({x for x, _ in far}) < 2:
        raise NotEnough("There are not two points on each side of the centre.", "Capture further points.")
    sweep = max(x for x, _ in near) - min(x for x, _ in far)
    if sweep < 5.0:
        raise NotEnough("The dial was swept over a few millimetres only.", "Sweep over nearly the whole disc.")
    shape = straight_line([x for x, _ in near], [dial for _, dial in near])
    # With a height of its own: where the plunger meets the centre line need not be known to a millimetre.
    line = straight_line([-2 * x for x, _ in far], [dial for _, dial in far])
    u, free = _surer(line, u_dial_mm, 2 * _range(far))
    u_near, _ = _surer(shape, u_dial_mm, _range(near))
    return Disc(line.slope, u, free, shape.slope, u_near)


def _range(points: Sequence[tuple[float, float]]) -> float:
    return max(x for x, _ in points) - min(x for x, _ in points)


def _surer(line: Line, u_dial_mm: float, over_mm: float) -> tuple[float, float]:
    """The larger of the scatter and what the dial does over the sweep, with its degrees of freedom."""
    own = u_dial_mm * sqrt(2) / over_mm
    return (line.u_slope, line.degrees) if line.degrees and line.u_slope > own else (own, inf)
