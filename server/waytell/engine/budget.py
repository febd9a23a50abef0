"""Contributions to an uncertainty, and what they come to (GUM: JCGM 100)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal, NamedTuple

from waytell.engine.student_t import coverage_factor

Name = Literal[
    "resolution", "scale", "map", "reference", "repeatability", "reversal", "noise", "touch", "tool", "expansion"
]


class Contribution(NamedTuple):
    name: Name
    standard_mm: float
    """Standard uncertainty, its sensitivity included."""
    degrees: float
    """Degrees of freedom; infinite where it is not from repeated values."""


class Budget(NamedTuple):
    standard_mm: float
    degrees: float
    """Effective degrees of freedom."""
    k: float
    expanded_mm: float
    """U (95 %)."""
    contributions: tuple[Contribution, ...]


def rectangular(half_width: float) -> float:
    """Standard uncertainty of a value that lies anywhere within its half-width (GUM 4.3.7)."""
    return half_width / math.sqrt(3)


def combined(contributions: Sequence[Contribution]) -> Budget:
    """Root of squares, with the coverage factor of the effective degrees of freedom (Welch and Satterthwaite, G.4.1).

    They are not truncated to a whole number: Student's t is known between them as well.
    """
    variance = sum(one.standard_mm**2 for one in contributions)
    shares = sum(one.standard_mm**4 / one.degrees for one in contributions)
    degrees = variance**2 / shares if shares > 0 else math.inf
    k = coverage_factor(round(degrees, 2) if degrees < 1e4 else math.inf)
    standard_mm = math.sqrt(variance)
    return Budget(standard_mm, degrees, k, k * standard_mm, tuple(contributions))
