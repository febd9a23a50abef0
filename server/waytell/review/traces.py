"""The held axis and the feed along a pass, from its samples."""

from __future__ import annotations

from itertools import pairwise
from statistics import median

from waytell.documents.base import Axis
from waytell.documents.state import Pass
from waytell.review.shape import CONES, Sample

# Short enough to follow a hand, long enough that single counts do not show as jerks.
OVER_SAMPLES = 2
FIRST = 5
IN_A_TABLE = 32


def held_axis(passed: Pass) -> Axis:
    return "Z" if passed.feed_axis == "X" else "X"


def creep_um(passed: Pass, samples: tuple[Sample, ...]) -> tuple[tuple[float, float], ...]:
    """Place on the feed axis in mm, and departure of the held axis in micrometres.

    Measured from the median of the first samples. None for cones, whose held axis is fed with the compound slide.
    """
    if not samples or passed.kind in CONES:
        return ()
    fed, held = (1, 2) if passed.feed_axis == "X" else (2, 1)
    stood_mm = median(one[held] for one in samples[:FIRST])
    return tuple((one[fed], (one[held] - stood_mm) * 1000) for one in samples)


def speed_mm_min(passed: Pass, samples: tuple[Sample, ...]) -> tuple[tuple[float, float], ...]:
    """Place on the feed axis in mm, and feed in mm/min: positive in the direction of the pass.

    The slope between samples a few places before and after, as a central difference.
    """
    fed = 1 if passed.feed_axis == "X" else 2
    ahead = 1.0 if passed.end_mm >= passed.start_mm else -1.0
    found = []
    for index, one in enumerate(samples):
        before = samples[max(0, index - OVER_SAMPLES)]
        after = samples[min(len(samples) - 1, index + OVER_SAMPLES)]
        if after[0] > before[0]:
            found.append((one[fed], ahead * (after[fed] - before[fed]) / (after[0] - before[0]) * 60))
    return tuple(found)


def short(values: tuple[float, ...], most: int = IN_A_TABLE) -> tuple[float, ...]:
    """No more than `most` values: of each stretch the one furthest from nothing, so that no peak is lost.

    >>> short((0.0, 1.0, -9.0, 2.0, 3.0, 4.0), 2)
    (-9.0, 4.0)
    """
    if len(values) <= most:
        return values
    ends = [len(values) * n // most for n in range(most + 1)]
    return tuple(max(values[a:b], key=abs) for a, b in pairwise(ends))
