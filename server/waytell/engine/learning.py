"""What sizes measured after passes teach: how much more a tool leaves than the readout says, and how that grows.

Tool and work push each other apart by a force that grows with the depth of the cut, so the size comes out different
from where the slide stood: by an offset, which is that of the touching off, and by a share of the depth. A straight
line through (depth, difference) is fitted, each size weighted by how sure it is.

Depth is the metal that really came off along the held axis: from the size before to the size after where both were
measured, else as the readout told it. By the readout the second of two unequal passes is told too shallow, by what
the first one left; the line is wrong by that times its slope, which is a micrometre or two.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from waytell.documents.base import PassKind
from waytell.engine.student_t import coverage_factor

OUTWARDS: dict[PassKind, int] = {"turning": 1, "facing": 1, "boring": -1}
"""Which way along the held axis metal that was left lies. Of other kinds the held axis has no one size to compare."""
REPEATS_MM = 0.002
"""Standard deviation with which a pass by hand comes out again at the same setting. Common practice, no source."""
ONE_DEPTH_MM = 0.05
"""Depths nearer to each other than this tell no slope."""
ABSURD_MM: dict[str, float] = {"X": 0.2, "Z": 0.4}
"""A difference beyond this is a wrong entry or a lost datum. The screw of a metric micrometer goes 0.5 mm a turn (from
memory of ISO 3611): a turn misread is 0.25 mm on the radius, 0.5 mm along."""
STEEPEST = 0.5
"""No lathe that cuts at all leaves half of the depth standing."""
LAST = 10
"""So many sizes are used, the newest: an edge wears."""


class Observation(NamedTuple):
    """One size as the line takes it, mm."""

    depth_mm: float
    difference_mm: float
    """Measured less readout."""
    u_mm: float
    """Standard uncertainty of the difference, besides what the touching off leaves open."""


class Line(NamedTuple):
    """Difference over depth, about the weighted mean of both: there offset and slope are not correlated."""

    sizes: int
    depth_mm: float
    difference_mm: float
    slope: float
    """0 where all sizes were of one depth."""
    weight: float
    """Sum of the weights, 1/mm2."""
    spread: float
    """Weighted sum of squares of the depths about their mean; 0 where all were of one depth."""
    factor: float
    """By how much the scatter is larger than the uncertainties say, as a factor on variances; at least 1."""
    degrees: float
    """Effective degrees of freedom of an uncertainty scaled by `factor`."""

    @property
    def one_depth(self) -> bool:
        return self.spread == 0.0

    def difference_at(self, depth_mm: float) -> float:
        return self.difference_mm + self.slope * (depth_mm - self.depth_mm)

    def u_mm(self, depth_mm: float, setting_mm: float) -> float:
        """Expanded uncertainty (95 %) of the difference that one more pass of this depth will leave.

        `setting_mm` is the standard deviation with which such a pass should come out again; scatter beyond what was
        stated is put down to the passes. Prediction by a weighted line: variance of the mean, of the slope times the
        distance from it, and of the pass itself (Draper and Smith, Applied Regression Analysis, chapter 1; from
        memory).
        """
        off = 0.0 if self.one_depth else (depth_mm - self.depth_mm) ** 2 / self.spread
        of_pass = setting_mm**2 + (self.factor - 1) * self.sizes / self.weight
        return coverage_factor(self.degrees) * math.sqrt(self.factor * (1 / self.weight + off) + of_pass)


def fitted(observations: Sequence[Observation]) -> Line | None:
    """Weighted least squares; a mean alone where all are of one depth. None without any.

    Uncertainties are taken as stated and scaled up where the scatter is larger (Birge ratio). What is stated counts as
    known for sure, the excess by n - 2 degrees of freedom, combined by Welch-Satterthwaite (GUM G.4.1).
    """
    if not observations:
        return None
    weights = [1 / one.u_mm**2 for one in observations]
    total = sum(weights)
    depth = sum(w * one.depth_mm for w, one in zip(weights, observations, strict=True)) / total
    mean = sum(w * one.difference_mm for w, one in zip(weights, observations, strict=True)) / total
    depths = [one.depth_mm for one in observations]
    slope = spread = 0.0
    if max(depths) - min(depths) >= ONE_DEPTH_MM:
        offs = [(w, one.depth_mm - depth, one.difference_mm) for w, one in zip(weights, observations, strict=True)]
        spread = sum(w * off * off for w, off, _ in offs)
        slope = sum(w * off * difference for w, off, difference in offs) / spread
    rest = sum(
        w * (one.difference_mm - mean - slope * (one.depth_mm - depth)) ** 2
        for w, one in zip(weights, observations, strict=True)
    )
    factor, degrees = _scatter(rest, len(observations) - (2 if spread else 1))
    return Line(len(observations), depth, mean, slope, total, spread, factor, degrees)


def _scatter(chi_square: float, degrees: int) -> tuple[float, float]:
    factor = max(1.0, chi_square / degrees) if degrees > 0 else 1.0
    return factor, math.inf if factor == 1.0 else degrees * (factor / (factor - 1)) ** 2
