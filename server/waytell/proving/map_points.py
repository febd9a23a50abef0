"""An error map from places that are known: what has to be added to what the scale shows, place by place.

Repeated captures of a place are averaged. One that does not belong to the others is named, not hidden.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import hypot, sqrt
from statistics import median
from typing import NamedTuple

from waytell.proving.not_enough import NotEnough
from waytell.proving.spread import pooled, spread
from waytell.proving.straight_line import Line, straight_line

FEWEST_PLACES = 3
OUTLIER_SCORE = 3.5
"""Iglewicz and Hoaglin, as in the NIST/SEMATECH e-Handbook, 1.3.5.17: a larger modified z score is an outlier."""
SCORE_SHARE = 0.6745
STEP_COUNTS = 20
"""Places nearer to one another than so many counts tell more of the count than of the scale."""
WEAKEST_COUNTS = 3
"""A difference of fewer counts is no outlier, however well the others agree."""
MOST_STEEP = 0.05
"""A correction that changes by more than this share of the way is no error of a scale: a place was entered wrong."""


class Place(NamedTuple):
    shown_mm: float
    said_mm: float
    deviation_mm: float
    """True less shown, from the first place on; mean of its captures."""
    captures: int


class MapFound(NamedTuple):
    places: tuple[Place, ...]
    """Rising."""
    line: Line
    """Deviation over the place shown."""
    straightness_mm: float
    """Largest departure of a place from that line."""
    sd_mm: float
    """Standard deviation of one capture, with the step of the scale in it."""
    degrees: int
    outliers: tuple[int, ...]
    """Which captures were left out, counted from 0."""


def map_points(pairs_mm: Sequence[tuple[float, float]], count_mm: float) -> MapFound:
    """From (shown, said) of each capture, in mm, in the order in which they were taken.

    Raises:
        NotEnough: too few places, places too near to one another, or a scale that would not rise with its way.
    """
    groups = _groups(pairs_mm)
    if len(groups) < FEWEST_PLACES:
        raise NotEnough(
            f"A map needs {FEWEST_PLACES} places or more; captured: {len(groups)}.", "Capture further places."
        )
    order = sorted(groups)
    near = next((b for a, b in pairwise(order) if b - a < STEP_COUNTS * count_mm), None)
    if near is not None:
        raise NotEnough(
            f"The places {order[order.index(near) - 1]:g} and {near:g} mm are too near to one another for this scale.",
            "Leave one of them out, or correct what was entered.",
        )
    outliers = _outliers(pairs_mm, groups, count_mm)
    places = _averaged(
        pairs_mm, {said: [one for one in group if one not in outliers] for said, group in groups.items()}
    )
    _check_rises(places)
    line = straight_line([one.shown_mm for one in places], [one.deviation_mm for one in places])
    off = [one.deviation_mm - line.at(one.shown_mm) for one in places]
    sd_mm, degrees = _scatter(pairs_mm, groups, outliers, off, count_mm)
    return MapFound(tuple(places), line, max(map(abs, off)), sd_mm, degrees, tuple(sorted(outliers)))


def _groups(pairs: Sequence[tuple[float, float]]) -> dict[float, list[int]]:
    groups: dict[float, list[int]] = {}
    for number, (_, said) in enumerate(pairs):
        groups.setdefault(said, []).append(number)
    return groups


def _outliers(pairs: Sequence[tuple[float, float]], groups: dict[float, list[int]], count_mm: float) -> set[int]:
    """Captures far from the others of their place, measured by how all captures scatter about their places."""
    off = {
        number: pairs[number][0] - median(pairs[one][0] for one in group)
        for group in groups.values() if len(group) > 2 for number in group
    }  # fmt: skip
    if not off:
        return set()
    usual = max(median(abs(one) for one in off.values()), count_mm / 4)
    found = {number for number, one in off.items()
             if SCORE_SHARE * abs(one) / usual > OUTLIER_SCORE and abs(one) > WEAKEST_COUNTS * count_mm}  # fmt: skip
    # Never so many that a place has none left.
    return {number for number in found if any(one not in found for one in groups[pairs[number][1]])}


def _averaged(pairs: Sequence[tuple[float, float]], groups: dict[float, list[int]]) -> list[Place]:
    means = {said: sum(pairs[one][0] for one in group) / len(group) for said, group in groups.items()}
    zero = min(groups, key=lambda said: groups[said][0])
    places = [
        Place(shown, said, (said - zero) - (shown - means[zero]), len(groups[said])) for said, shown in means.items()
    ]
    return sorted(places)


def _check_rises(places: Sequence[Place]) -> None:
    for one, other in pairwise(places):
        way = other.shown_mm - one.shown_mm
        if other.said_mm <= one.said_mm:
            raise NotEnough(
                f"The scale goes on from {one.said_mm:g} to {other.said_mm:g} mm while the places go back.",
                "Check what was entered, and whether the scale counts the right way (check which scale).",
            )
        if abs(other.deviation_mm - one.deviation_mm) > MOST_STEEP * way:
            raise NotEnough(
                f"Between {one.said_mm:g} and {other.said_mm:g} mm {way:.3f} mm are shown: no scale is that wrong.",
                "Check what was entered there, and the resolution (check known distance).",
            )


def _scatter(
    pairs: Sequence[tuple[float, float]], groups: dict[float, list[int]], outliers: set[int], off: Sequence[float],
    count_mm: float,
) -> tuple[float, int]:  # fmt: skip
    """How far one capture lies from its place; from the line, where no place was captured twice."""
    kept = [[pairs[one][0] for one in group if one not in outliers] for group in groups.values()]
    repeats = pooled(spread(values) for values in kept if len(values) > 1)
    if repeats is None:
        degrees = len(off) - 2
        return hypot(sqrt(sum(one * one for one in off) / degrees), count_mm / sqrt(12)), degrees
    # Where all repeats agree to the count, its step is what is left.
    return hypot(repeats.sd, count_mm / sqrt(12)), repeats.degrees
