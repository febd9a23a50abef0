"""Parallelism of spindle and bed: collars turned at one setting of the cross-slide, then measured."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan, degrees, sqrt
from typing import NamedTuple

from waytell.proving.not_enough import NotEnough
from waytell.proving.straight_line import straight_line

LEAST_APART_MM = 10.0


class Collars(NamedTuple):
    taper: float
    """Growth of the diameter for each mm along Z: above 0 the work is thicker at the free end."""
    u_taper: float
    """Standard uncertainty."""
    apart_mm: float

    @property
    def um_per_100_mm(self) -> float:
        return self.taper * 1e5

    @property
    def angle_deg(self) -> float:
        """Between spindle and bed: half the taper."""
        return degrees(atan(self.taper / 2))


def two_collars(points_mm: Sequence[tuple[float, float]], u_diameter_mm: float) -> Collars:
    """From (Z, measured diameter) of each collar in mm, `u_diameter_mm` a standard uncertainty.

    Raises:
        NotEnough: fewer than two collars, or hardly apart.
    """
    if len(points_mm) < 2:
        raise NotEnough("One collar tells no taper.", "Measure a second one, as far away as the bar allows.")
    zs = [z for z, _ in points_mm]
    apart = max(zs) - min(zs)
    if apart < LEAST_APART_MM:
        raise NotEnough("The collars are too near to one another.", "Measure one further away.")
    line = straight_line(zs, [diameter for _, diameter in points_mm])
    own = u_diameter_mm / sqrt(sum((z - line.centre) ** 2 for z in zs))
    # Three collars or more show by themselves how well a line fits them.
    return Collars(line.slope, max(own, line.u_slope) if line.degrees else own, apart)
