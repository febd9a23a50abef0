"""What a known distance says of a scale's resolution, and what a wrong one is most likely called."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf, sqrt
from typing import NamedTuple

from waytell.engine.budget import Contribution, combined
from waytell.proving.not_enough import NotEnough
from waytell.proving.spread import spread

NEAR = 0.015
"""A ratio is named where it is as near as this share to one that has a name."""
FACTOR_WITHIN = 0.02
USUAL_UM = (0.1, 0.2, 0.5, 1.0, 2.0, 2.5, 5.0, 10.0, 12.5, 20.0, 25.0, 50.0, 100.0)
NAMED: tuple[tuple[float, str], ...] = (
    (0.25, "The board counts every edge, four for each line, and a line was entered: a count is a quarter of it."),
    (4.0, "A count is four times as long as was entered: as if only one of the four edges of a line were counted."),
    (0.5, "A count is half as long as was entered: radius and diameter mixed up, or two edges of a line counted."),
    (2.0, "A count is twice as long as was entered: radius and diameter mixed up, or two edges of a line counted."),
    (0.1, "A count is a tenth of what was entered: a slip of the decimal point."),
    (10.0, "A count is ten times as long as was entered: a slip of the decimal point."),
    (25.4, "A count is 25.4 times as long as was entered: inch and millimetre mixed up."),
    (1 / 25.4, "A count is 25.4 times shorter than was entered: inch and millimetre mixed up."),
    (1e-3, "A count is a thousandth of what was entered: millimetres and micrometres mixed up."),
    (1e3, "A count is a thousand times as long as was entered: millimetres and micrometres mixed up."),
)  # fmt: skip


class Distance(NamedTuple):
    ratio: float
    """True over shown: below 0 where the scale counts the wrong way."""
    u_ratio: float
    """Standard uncertainty."""
    degrees: float
    """Effective ones: of the repeats only so far as these count among count and reference."""
    shown_mm: float
    """Mean of the distances shown, in amount."""
    name: str
    """What a ratio far from 1 is called; empty where it is a matter of a small factor, or has no name."""


def known_distance(spans_mm: Sequence[float], length_mm: float, count_mm: float, u_length_um: float) -> Distance:
    """From the distance shown each time from start to end, with its sign.

    Raises:
        NotEnough: fewer than two, no motion, or distances that do not agree with one another.
    """
    if len(spans_mm) < 2:
        raise NotEnough("Once does not show how well it repeats.", "Capture start and end twice each or more.")
    found = spread(spans_mm)
    if abs(found.mean) < 20 * count_mm:
        raise NotEnough("The slide has hardly moved between start and end.", "Wind it over the whole distance.")
    if found.sd > max(3 * count_mm, 0.02 * abs(found.mean)):
        raise NotEnough(
            "The distances do not agree with one another.",
            "See which captures were taken at start and end by turns; leave out the wrong ones.",
        )
    ratio = length_mm / found.mean
    u_length_mm = u_length_um * 1e-3 / abs(ratio)
    budget = combined((
        Contribution("repeatability", found.sd / sqrt(len(spans_mm)), found.degrees),
        # Half a count at each end.
        Contribution("resolution", count_mm / sqrt(6), inf),
        Contribution("reference", u_length_mm, inf),
    ))  # fmt: skip
    u_ratio = abs(ratio) * budget.standard_mm / abs(found.mean)
    return Distance(ratio, u_ratio, budget.degrees, abs(found.mean), named(ratio))


def named(ratio: float) -> str:
    """What a wrong resolution is called.

    >>> named(0.2502)[:29], named(1.004), named(1.3)
    ('The board counts every edge, ', '', '')
    """
    return next((words for one, words in NAMED if abs(abs(ratio) / one - 1) <= NEAR), "")


def is_factor(ratio: float) -> bool:
    """Near enough to 1 to be an error of the scale, not of what was entered."""
    return abs(abs(ratio) - 1) <= FACTOR_WITHIN


def usual_resolution_um(um: float) -> float:
    """The nearest length of a count that is sold, where it is within 1.5 %; else as it is."""
    nearest = min(USUAL_UM, key=lambda one: abs(um / one - 1))
    return nearest if abs(um / nearest - 1) <= NEAR else round(um, 4)
