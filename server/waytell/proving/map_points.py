"""An error map from places that are known: what has to be added to what the scale shows, place by place.

Repeated captures of a place are averaged. One that does not belong to the others is named, not hidden; what repeats is
no outlier however far off it lies, for then the scale is.
"""

from __future__ import annotations

from bisect import bisect
from collections.abc import Sequence
from itertools import pairwise
from math import fsum, hypot, sqrt
from statistics import median
from typing import NamedTuple

from waytell.engine.student_t import quantile
from waytell.proving.not_enough import NotEnough
from waytell.proving.spread import pooled, spread
from waytell.proving.straight_line import Line, straight_line

FEWEST_PLACES = 3
OUTLIER_SCORE = 3.5
"""Iglewicz and Hoaglin, as in the NIST/SEMATECH e-Handbook, 1.3.5.17: a larger modified z score is an outlier."""
SCORE_SHARE = 0.6745
SAME_PLACE_COUNTS = 20
"""Captures nearer to one another than so many counts are of one place: nobody winds to the same count twice."""
WEAKEST_COUNTS = 3
"""A difference of fewer counts is no outlier, however well the others agree."""
FEWEST_FOR_SINGLE = 5
"""With fewer places nothing tells which of them breaks the line of the others."""
SURE = 0.9995
"""Of Student's t, beyond which a place captured once is taken for a slip."""
MOST_STEEP = 0.05
"""A correction that changes by more than this share of the way is no error of a scale: a place was entered wrong."""

Spot = tuple[float, float]
"""Place shown, and deviation there."""


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
    degrees: float
    """Effective ones where it is from neighbouring places."""
    outliers: tuple[int, ...]
    """Which captures were left out, counted from 0."""
    repeated: bool
    """The standard deviation is from repeated captures; else from how roughly the places follow one another."""
    between_mm: float
    """Half-width of what a straight piece between two places may miss, from how much the map bends at its places."""


def map_points(pairs_mm: Sequence[tuple[float, float]], count_mm: float) -> MapFound:
    """From (shown, said) of each capture, in mm, in the order in which they were taken.

    Raises:
        NotEnough: too few places, or a scale that would not rise with its way.
    """
    groups = _groups(pairs_mm, SAME_PLACE_COUNTS * count_mm)
    _check_enough(pairs_mm, groups)
    outliers = _unlike_their_place(pairs_mm, groups, count_mm)
    # A gross mistake is for the person to mend; a smaller one shows only against the line of the other places.
    _check_rises(_averaged(pairs_mm, _without(outliers, groups)))
    while (slip := _slip(pairs_mm, _without(outliers, groups), count_mm)) is not None:
        outliers.add(slip)
    kept = _without(outliers, groups)
    places = _averaged(pairs_mm, kept)
    line = straight_line([one.shown_mm for one in places], [one.deviation_mm for one in places])
    off = max(abs(one.deviation_mm - line.at(one.shown_mm)) for one in places)
    spots = [(one.shown_mm, one.deviation_mm) for one in places]
    repeats = pooled(spread([_off(pairs_mm[one]) for one in group]) for group in kept if len(group) > 1)
    rough = sqrt(fsum(one * one for one in _kinks(spots)) / (len(spots) - 2))
    # Where all repeats agree to the count, its step is what is left.
    sd_mm = max(rough, count_mm / sqrt(12)) if repeats is None else hypot(repeats.sd, count_mm / sqrt(12))
    degrees = _kinks_free(spots) if repeats is None else repeats.degrees
    return MapFound(
        tuple(places), line, off, sd_mm, degrees, tuple(sorted(outliers)), repeats is not None, _between(spots)
    )


def _off(pair: tuple[float, float]) -> float:
    return pair[1] - pair[0]


def _groups(pairs: Sequence[tuple[float, float]], near_mm: float) -> list[list[int]]:
    """Which captures are of one place, by what was said; the places rising."""
    groups: list[list[int]] = []
    for number in sorted(range(len(pairs)), key=lambda one: pairs[one][1]):
        if groups and pairs[number][1] - pairs[groups[-1][0]][1] < near_mm:
            groups[-1].append(number)
        else:
            groups.append([number])
    return groups


def _check_enough(pairs: Sequence[tuple[float, float]], groups: Sequence[Sequence[int]]) -> None:
    if len(groups) >= FEWEST_PLACES:
        return
    said = sorted({pairs[one][1] for one in range(len(pairs))})
    if len(said) < FEWEST_PLACES:
        raise NotEnough(
            f"A map needs {FEWEST_PLACES} places or more; captured: {len(groups)}.", "Capture further places."
        )
    first, other = min(pairwise(said), key=lambda two: two[1] - two[0])
    raise NotEnough(
        f"The places {first:g} and {other:g} mm are too near to one another: with this scale they count as one.",
        "Capture places further apart, or correct what was entered.",
    )


def _without(outliers: set[int], groups: Sequence[Sequence[int]]) -> list[list[int]]:
    """Groups without the outliers, and without those of which nothing is left."""
    kept = ([one for one in group if one not in outliers] for group in groups)
    return [group for group in kept if group]


def _unlike_their_place(
    pairs: Sequence[tuple[float, float]], groups: Sequence[Sequence[int]], count_mm: float
) -> set[int]:
    """Captures far from the others of their place, by how all captures scatter about theirs."""
    values = [[_off(pairs[one]) for one in group] for group in groups]
    limit = max(OUTLIER_SCORE / SCORE_SHARE * median(_scatter(values) or [0.0]), WEAKEST_COUNTS * count_mm)
    found: set[int] = set()
    for group, off in zip(groups, values, strict=True):
        if len(group) > 2:
            wild = {number for number, one in zip(group, off, strict=True) if abs(one - median(off)) > limit}
            # Where no two agree nobody knows which is right: all stay, and the scatter tells.
            found |= wild if len(wild) < len(group) else set()
        elif len(group) == 2 and abs(off[0] - off[1]) > sqrt(2) * limit:
            found |= _farther(pairs, group, [_middle(pairs, other) for other in groups if other is not group])
    return found


def _scatter(values: Sequence[Sequence[float]]) -> list[float]:
    """Distances from the middle of each place. Two have one distance, the same for both, and among an odd number one
    is the middle itself: neither may make the scatter look smaller than it is.
    """
    found: list[float] = []
    for off in values:
        away = sorted(abs(one - median(off)) for one in off)
        found += [sqrt(2) * away[0]] if len(off) == 2 else away[len(off) % 2 :]
    return found


def _middle(pairs: Sequence[tuple[float, float]], group: Sequence[int]) -> Spot:
    """One spot for a place: a line through two captures of one place would lead anywhere."""
    return median(pairs[one][0] for one in group), median(_off(pairs[one]) for one in group)


def _farther(pairs: Sequence[tuple[float, float]], two: Sequence[int], others: Sequence[Spot]) -> set[int]:
    """Of two that do not agree, the one farther from a line between its neighbours; none where that is not clear."""
    spots = sorted(others)
    away = {one: abs(_misfit((pairs[one][0], _off(pairs[one])), spots)) for one in two}
    near, far = sorted(two, key=lambda one: away[one])
    return {far} if away[far] > 2 * away[near] else set()


def _slip(pairs: Sequence[tuple[float, float]], groups: Sequence[Sequence[int]], count_mm: float) -> int | None:
    """The place captured once without which the others lie smoothest, where it lies far off for their roughness."""
    if len(groups) < FEWEST_FOR_SINGLE:
        return None
    spots = [(one.shown_mm, one.deviation_mm) for one in _averaged(pairs, groups)]

    def without(place: int) -> list[Spot]:
        return sorted(spots[:place] + spots[place + 1 :])

    worst = min(range(len(spots)), key=lambda place: fsum(map(abs, _kinks(without(place)))))
    rest = without(worst)
    kinks = [abs(one) for one in _kinks(rest)]
    # A step in the scale itself leaves kinks as large without any one of its places; a slip leaves none.
    limit = max(quantile(SURE, len(kinks)) * max(median(kinks) / SCORE_SHARE, count_mm), 2 * max(kinks))
    alone = len(groups[worst]) == 1
    return groups[worst][0] if alone and abs(_misfit(spots[worst], rest)) > limit else None


def _kinks(spots: Sequence[Spot]) -> list[float]:
    """How far each spot lies from the line between its neighbours; each is as uncertain as a single spot."""
    return [_misfit(spots[one], (spots[one - 1], spots[one + 1])) for one in range(1, len(spots) - 1)]


def _kinks_free(spots: Sequence[Spot]) -> float:
    """Effective degrees of freedom of the kinks' mean square: neighbouring ones have places in common, so there are
    fewer than kinks (Satterthwaite: square of the trace of their correlations, over the trace of the square).
    """
    rows: list[tuple[float, float, float]] = []
    for (before, _), (here, _), (after, _) in zip(spots, spots[1:], spots[2:], strict=False):
        share = (here - before) / (after - before)
        norm = sqrt(1 + share**2 + (1 - share) ** 2)
        rows.append(((share - 1) / norm, 1 / norm, -share / norm))
    next_one = fsum((a[1] * b[0] + a[2] * b[1]) ** 2 for a, b in pairwise(rows))
    next_but_one = fsum((a[2] * b[0]) ** 2 for a, b in zip(rows, rows[2:], strict=False))
    return len(rows) ** 2 / (len(rows) + 2 * (next_one + next_but_one))


def _misfit(spot: Spot, others: Sequence[Spot]) -> float:
    """Distance from the line through the two others nearest to it on either side, or the last two, over the root of
    the sum of squares of the shares with which the three enter.
    """
    after = min(max(bisect(others, spot), 1), len(others) - 1)
    (low, low_off), (high, high_off) = others[after - 1], others[after]
    share = (spot[0] - low) / (high - low) if high > low else 0.5
    return (spot[1] - low_off - share * (high_off - low_off)) / sqrt(1 + share**2 + (1 - share) ** 2)


def _between(spots: Sequence[Spot]) -> float:
    """A straight piece of length h misses a curve by up to h^2 / 8 of its second derivative (the remainder of linear
    interpolation), here by divided differences at each inner place.
    """
    found = 0.0
    for before, here, after in zip(spots, spots[1:], spots[2:], strict=False):
        back, on = here[0] - before[0], after[0] - here[0]
        bend = 2 * ((after[1] - here[1]) / on - (here[1] - before[1]) / back) / (back + on)
        found = max(found, abs(bend) * max(back, on) ** 2 / 8)
    return found


def _averaged(pairs: Sequence[tuple[float, float]], groups: Sequence[Sequence[int]]) -> list[Place]:
    """In the order of the groups, so by what was said."""
    means = [
        (fsum(pairs[one][0] for one in group) / len(group), fsum(pairs[one][1] for one in group) / len(group))
        for group in groups
    ]
    zero_shown, zero_said = means[min(range(len(groups)), key=lambda one: min(groups[one]))]
    return [
        Place(shown, said, (said - zero_said) - (shown - zero_shown), len(group))
        for (shown, said), group in zip(means, groups, strict=True)
    ]


def _check_rises(places: Sequence[Place]) -> None:
    for one, other in pairwise(sorted(places)):
        way = other.shown_mm - one.shown_mm
        first, last = f"{round(one.said_mm, 3):g}", f"{round(other.said_mm, 3):g}"
        if other.said_mm <= one.said_mm:
            raise NotEnough(
                f"The scale goes on from {first} to {last} mm while the places go back.",
                "Check what was entered, and whether the scale counts the right way (check which scale).",
            )
        if abs(other.deviation_mm - one.deviation_mm) > MOST_STEEP * way:
            raise NotEnough(
                f"Between {first} and {last} mm {way:.3f} mm are shown: no scale is that wrong.",
                "Check what was entered there, and the resolution (check known distance).",
            )
