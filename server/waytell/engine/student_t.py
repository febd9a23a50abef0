"""Student's t distribution: probability and quantile, without a library of statistics."""

from __future__ import annotations

from functools import lru_cache
from math import exp, isinf, lgamma, log
from statistics import NormalDist

NEAR = 1e-15
MOST_STEPS = 500
TINY = 1e-300
CENTRAL = 0.975
"""What lies below the upper end of a two-sided 95 % interval."""


def probability(value: float, degrees: float) -> float:
    """That Student's t with so many degrees of freedom is at most `value`.

    By the regularised incomplete beta function I_x(degrees/2, 1/2) with x = degrees/(degrees + t^2) (NIST Digital
    Library of Mathematical Functions, 8.17).
    """
    if isinf(degrees):
        return NormalDist().cdf(value)
    whole = degrees + value * value
    tail = _beta(degrees / whole, value * value / whole, degrees / 2, 0.5) / 2
    return 1 - tail if value >= 0 else tail


@lru_cache(maxsize=4096)
def quantile(share: float, degrees: float) -> float:
    """The value that Student's t stays below with probability `share`, by halving; `degrees` need not be whole.

    Raises:
        ValueError: the share is not between 0 and 1, or there is no degree of freedom.
    """
    if not 0.0 < share < 1.0 or degrees <= 0:
        raise ValueError(f"no quantile of Student's t for {share} with {degrees} degrees of freedom")
    if isinf(degrees):
        return NormalDist().inv_cdf(share)
    if share < 0.5:
        return -quantile(1 - share, degrees)
    low, high = 0.0, 1.0
    while probability(high, degrees) < share and high < 1e12:
        high *= 2
    while low < (middle := (low + high) / 2) < high:
        low, high = (middle, high) if probability(middle, degrees) < share else (low, middle)
    return middle


def coverage_factor(degrees: float) -> float:
    """Factor k for an interval that covers 95 % (GUM, JCGM 100, G.6.4).

    >>> round(coverage_factor(10), 3), round(coverage_factor(float("inf")), 3)
    (2.228, 1.96)
    """
    return quantile(CENTRAL, degrees)


def _beta(x: float, rest: float, a: float, b: float) -> float:
    """Regularised incomplete beta function I_x(a, b): continued fraction 8.17.22, symmetry 8.17.4 of the same.

    `rest` is 1 - x, given as well because near 1 the difference would have no digits left.
    """
    if rest <= 0.0:
        return 1.0
    if x > (a + 1) / (a + b + 2):
        return 1 - _beta(rest, x, b, a)
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log(rest))
    return front * _fraction(x, a, b) / a


def _fraction(x: float, a: float, b: float) -> float:
    """By Lentz's method."""
    c, d = 1.0, 1.0 / _not_zero(1.0 - (a + b) * x / (a + 1))
    whole = d
    for m in range(1, MOST_STEPS):
        for term in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1.0 / _not_zero(1.0 + term * d)
            c = _not_zero(1.0 + term / c)
            step = c * d
            whole *= step
        if abs(step - 1.0) < NEAR:
            break
    return whole


def _not_zero(value: float) -> float:
    return value if abs(value) > TINY else TINY
