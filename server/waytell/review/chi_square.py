"""The chi-square distribution: probability and quantile, without a library of statistics."""

from __future__ import annotations

from math import exp, lgamma, log

NEAR = 1e-14
MOST_TERMS = 100_000


def probability(value: float, degrees: int) -> float:
    """That chi-square with so many degrees of freedom is at most `value`.

    The regularised lower incomplete gamma function P(degrees / 2, value / 2) by its series, in which all terms are
    positive, so nothing cancels (NIST Digital Library of Mathematical Functions, 8.7.1 and 8.2.4).
    """
    a, x = degrees / 2, value / 2
    if x <= 0.0:
        return 0.0
    term = whole = 1.0
    for k in range(1, MOST_TERMS):
        term *= x / (a + k)
        whole += term
        if term < NEAR * whole:
            break
    return min(1.0, whole * exp(a * log(x) - x - lgamma(a + 1)))


def quantile(share: float, degrees: int) -> float:
    """The value that chi-square stays below with probability `share`, by halving.

    Raises:
        ValueError: the share is not between 0 and 1, or there is no degree of freedom.
    """
    if not 0.0 < share < 1.0 or degrees < 1:
        raise ValueError(f"no chi-square quantile of {share} with {degrees} degrees of freedom")
    low, high = 0.0, float(degrees)
    while probability(high, degrees) < share:
        high *= 2
    while high - low > NEAR * high:
        middle = (low + high) / 2
        if not low < middle < high:
            break
        low, high = (middle, high) if probability(middle, degrees) < share else (low, middle)
    return (low + high) / 2
