"""Mean and standard deviation of repeated values."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import fsum, sqrt
from typing import NamedTuple


class Spread(NamedTuple):
    mean: float
    sd: float
    """Standard deviation of one value, with n - 1."""
    degrees: int


def spread(values: Sequence[float]) -> Spread:
    """Two passes, so that nothing cancels however far from 0 the values are (NIST StRD, univariate: NumAcc1 to 4).

    Raises:
        ValueError: fewer than two values.

    >>> spread([10000001.0, 10000003.0, 10000002.0])
    Spread(mean=10000002.0, sd=1.0, degrees=2)
    """
    if len(values) < 2:
        raise ValueError("a standard deviation needs two values or more")
    first = values[0]
    mean_off = fsum(value - first for value in values) / len(values)
    left = [value - first - mean_off for value in values]
    squares = fsum(one * one for one in left) - fsum(left) ** 2 / len(values)
    return Spread(first + mean_off, sqrt(max(0.0, squares) / (len(values) - 1)), len(values) - 1)


def pooled(spreads: Iterable[Spread]) -> Spread | None:
    """One standard deviation from several sets of repeated values; mean of no meaning. None without any."""
    several = [one for one in spreads if one.degrees > 0]
    degrees = sum(one.degrees for one in several)
    if not degrees:
        return None
    return Spread(0.0, sqrt(fsum(one.degrees * one.sd**2 for one in several) / degrees), degrees)
