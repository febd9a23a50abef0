"""A straight line through points by least squares, with the uncertainty of all that it tells.

Source: NIST/SEMATECH e-Handbook of Statistical Methods, 4.1.4.1; certified values: NIST StRD, Norris.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum, inf, nan, sqrt
from typing import NamedTuple


class Line(NamedTuple):
    intercept: float
    slope: float
    u_intercept: float
    """Standard uncertainties, from how the points scatter; infinite where there are two points only."""
    u_slope: float
    residual_sd: float
    degrees: int
    r_squared: float
    centre: float
    """Weighted mean of x: there the line is known best."""
    u_centre: float

    def at(self, x: float) -> float:
        return self.intercept + self.slope * x

    def u_at(self, x: float) -> float:
        """Standard uncertainty of the line at a place."""
        return sqrt(self.u_centre**2 + (self.u_slope * (x - self.centre)) ** 2)


def straight_line(x: Sequence[float], y: Sequence[float], weights: Sequence[float] | None = None) -> Line:
    """Line y = intercept + slope x; weights are as 1/u^2, and only their ratios count.

    Reckoned about the centre of the points, so that places far from 0 cost no digits.

    Raises:
        ValueError: fewer than two points, all at one x, or weights not above 0.
    """
    n = len(x)
    w = [1.0] * n if weights is None else list(weights)
    if n < 2 or n != len(y) or max(x) == min(x):
        raise ValueError("a straight line needs points at two places or more")
    if len(w) != n or not all(one > 0 for one in w):
        raise ValueError("a straight line needs a weight above 0 for each point")
    whole = fsum(w)
    mean_x = fsum(wi * xi for wi, xi in zip(w, x, strict=True)) / whole
    mean_y = fsum(wi * yi for wi, yi in zip(w, y, strict=True)) / whole
    dx, dy = [xi - mean_x for xi in x], [yi - mean_y for yi in y]
    sxx = fsum(wi * a * a for wi, a in zip(w, dx, strict=True))
    slope = fsum(wi * a * b for wi, a, b in zip(w, dx, dy, strict=True)) / sxx
    rest = fsum(wi * (b - slope * a) ** 2 for wi, a, b in zip(w, dx, dy, strict=True))
    total = fsum(wi * b * b for wi, b in zip(w, dy, strict=True))
    degrees = n - 2
    variance = rest / degrees if degrees else inf
    return Line(
        mean_y - slope * mean_x, slope, sqrt(variance * (1 / whole + mean_x * mean_x / sxx)), sqrt(variance / sxx),
        sqrt(variance) if degrees else nan, degrees, 1 - rest / total if total > 0 else 1.0, mean_x,
        sqrt(variance / whole),
    )  # fmt: skip
