"""A straight line and a parabola through samples.

Source: NIST/SEMATECH e-Handbook of Statistical Methods, 4.1.4.1, linear least squares.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import copysign, sqrt
from typing import NamedTuple

FEWEST = 8
# Steps below this are rounding of the arithmetic, not counts of a scale.
NO_STEP_MM = 1e-5


class Fit(NamedTuple):
    slope: float
    """mm for each mm."""
    rise_mm: float
    """From the lowest place to the highest by the line; never more than the range of the samples."""
    bow_mm: float
    """Sagitta: how far the middle of the fitted parabola lies below the chord over the whole span."""
    least_mm: float
    """Smallest rise that can be told: one step of the values, or twice the standard error of the rise."""
    low_mm: float
    high_mm: float
    """Places between which it was fitted."""


def fit(places_mm: Sequence[float], values_mm: Sequence[float]) -> Fit | None:
    """Values over places; None where the samples are fewer than `FEWEST` or all at one place.

    A step in the values tilts the line by up to half as much again as the step is high: hence the limit on the rise.

    >>> fit(range(10), [0.5 * place for place in range(10)]).rise_mm
    4.5
    """
    n, low_mm, high_mm = len(places_mm), min(places_mm, default=0.0), max(places_mm, default=0.0)
    span_mm = high_mm - low_mm
    if n < FEWEST or span_mm <= 0.0:
        return None
    line = _across(places_mm)
    slope = _share(line, values_mm)
    mean_mm = sum(values_mm) / n
    left = [value - mean_mm - slope * u for u, value in zip(line, values_mm, strict=True)]
    error = sqrt(sum(one * one for one in left) / (n - 2) / sum(u * u for u in line))
    return Fit(
        slope,
        copysign(min(abs(slope * span_mm), max(values_mm) - min(values_mm)), slope),
        _share(_bent(line), values_mm) * (span_mm / 2) ** 2,
        max(2 * error * span_mm, smallest_step_mm(values_mm), NO_STEP_MM),
        low_mm,
        high_mm,
    )


def smallest_step_mm(values_mm: Sequence[float]) -> float:
    """The finest difference between values: a count of the scale, where the samples show one; else 0."""
    steps = [after - before for before, after in pairwise(sorted(values_mm))]
    return min((step for step in steps if step > NO_STEP_MM), default=0.0)


def _across(places: Sequence[float]) -> list[float]:
    mean = sum(places) / len(places)
    return [place - mean for place in places]


def _bent(line: Sequence[float]) -> list[float]:
    """The square of the places, less what a straight line tells of it."""
    squares = _across([u * u for u in line])
    share = _share(line, squares)
    return [square - share * u for u, square in zip(line, squares, strict=True)]


def _share(basis: Sequence[float], values: Sequence[float]) -> float:
    """Least-squares coefficient of a basis whose mean is 0."""
    whole = sum(b * b for b in basis)
    return sum(b * v for b, v in zip(basis, values, strict=True)) / whole if whole > 0 else 0.0
