"""Correction of a scale along its travel: straight between the points of a map.

Counts tell a place on the scale only from a stop or a reference mark on; without such a zero a map cannot be used.
"""

from __future__ import annotations

from bisect import bisect_right
from typing import NamedTuple

from waytell.documents.proving import ScaleMap
from waytell.engine.axes import signed_difference

BEYOND_MM = 1.0


class Mapped(NamedTuple):
    """One scale's map as an axis uses it."""

    channel: int
    zero_counts: int
    mm_per_count: float
    """Signed length of one count along the slide."""
    share: float
    """How much of the slide's travel goes along the axis: 1, or sine or cosine of the compound's angle."""
    map: ScaleMap

    def add_mm(self, counts: tuple[int, ...]) -> float:
        """What the map adds to the coordinate at these counts."""
        at_mm = self.mm_per_count * signed_difference(counts[self.channel], self.zero_counts)
        return self.share * correction_mm(self.map, at_mm)

    def covers(self, counts: tuple[int, ...]) -> bool:
        """The place was looked at when the map was made, or lies hardly beyond: further out nothing is known."""
        at_mm = self.mm_per_count * signed_difference(counts[self.channel], self.zero_counts)
        return self.map.at_mm[0] - BEYOND_MM <= at_mm <= self.map.at_mm[-1] + BEYOND_MM


def correction_mm(scale_map: ScaleMap, at_mm: float) -> float:
    """What is added at a place on the scale; beyond the ends as at the ends.

    >>> correction_mm(ScaleMap(at_mm=(0.0, 10.0), add_mm=(0.0, 0.02)), 5.0)
    0.01
    """
    places, adds = scale_map.at_mm, scale_map.add_mm
    after = bisect_right(places, at_mm)
    if after == 0:
        return adds[0]
    if after == len(places):
        return adds[-1]
    low, high = places[after - 1], places[after]
    return adds[after - 1] + (adds[after] - adds[after - 1]) * (at_mm - low) / (high - low)
