"""Velocity from quantised positions, without lag on a stop and without chatter on one count.

First-order adaptive windowing, end-fit form (Janabi-Sharifi, Hayward, Chen, IEEE Trans. Control Systems Technology
8(6), 2000): the longest window back from the newest sample whose straight line passes within the quantisation band
of every sample in it. Worked out when it is asked for; a reading only has to be remembered.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import islice

LONGEST_WINDOW_S = 0.5
ROUNDING = 1e-6
"""Share of the band that sums of floats may be out by: a sample just at its edge must not end the window."""


def velocity(samples: Sequence[tuple[float, float]], band: float) -> float:
    """Velocity at the newest of `samples`, (time, position) with time growing, in units of position a second.

    `band` is the largest error of a sample: one count. Slopes allowed by the samples seen so far form an interval,
    which each older sample narrows; the window ends where the line to the sample leaves it.
    """
    if len(samples) < 2:
        return 0.0
    newest_t, newest_x = samples[-1]
    band *= 1 + ROUNDING
    low, high = float("-inf"), float("inf")
    best = 0.0
    for t, x in islice(reversed(samples), 1, None):
        age = newest_t - t
        if age <= 0:
            continue
        slope = (newest_x - x) / age
        if not low <= slope <= high or age > LONGEST_WINDOW_S:
            break
        best = slope
        low = max(low, slope - band / age)
        high = min(high, slope + band / age)
    return best
