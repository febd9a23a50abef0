"""Accuracy and repeatability of positioning, with quantities defined as in ISO 230-2:2014.

A deviation is the actual position less the target; for a scale, true less shown. Each target is approached several
times from both sides. The formulas are from memory of the standard; no public worked example was found, so the tests
use a vector that can be checked by hand.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from waytell.proving.not_enough import NotEnough
from waytell.proving.spread import Spread, pooled, spread


class Target(NamedTuple):
    up: Spread
    """Mean and standard deviation of the deviations where the slide came on in the rising sense."""
    down: Spread

    @property
    def reversal(self) -> float:
        """B_i: what the mean changes by with the side of approach."""
        return self.up.mean - self.down.mean

    @property
    def mean(self) -> float:
        return (self.up.mean + self.down.mean) / 2

    @property
    def repeatability(self) -> float:
        """R_i: the largest of both unidirectional ones and of both together with the reversal."""
        return max(2 * self.up.sd + 2 * self.down.sd + abs(self.reversal), 4 * self.up.sd, 4 * self.down.sd)


class Positioning(NamedTuple):
    """In the unit of the deviations."""

    targets: tuple[Target, ...]
    reversal: float
    """B: the largest reversal error in amount."""
    mean_reversal: float
    mean_deviation_range: float
    """M: range of the mean bidirectional deviations."""
    systematic: float
    """E: range of the means of both sides."""
    systematic_up: float
    systematic_down: float
    repeatability: float
    """R."""
    repeatability_up: float
    repeatability_down: float
    accuracy: float
    """A: from the lowest mean less twice its standard deviation to the highest mean plus twice its own."""
    accuracy_up: float
    accuracy_down: float
    sd: float
    """Standard deviation of one approach, pooled over targets and sides."""
    degrees: int


def positioning(up: Sequence[Sequence[float]], down: Sequence[Sequence[float]]) -> Positioning:
    """From deviations of each target's approaches: `up[i]` and `down[i]` are those of target i.

    Raises:
        NotEnough: fewer than two targets, or a target approached less than twice from a side.
    """
    if len(up) < 2 or len(up) != len(down):
        raise NotEnough("One place tells nothing of the way between.", "Take at least two places; five are usual.")
    if min(len(runs) for runs in (*up, *down)) < 2:
        raise NotEnough(
            "Once is not enough to see how well a place repeats.", "Approach each place twice or more from both sides."
        )
    targets = tuple(Target(spread(a), spread(b)) for a, b in zip(up, down, strict=True))
    ups, downs = [one.up for one in targets], [one.down for one in targets]
    every = pooled([*ups, *downs])
    assert every is not None
    return Positioning(
        targets=targets,
        reversal=max(abs(one.reversal) for one in targets),
        mean_reversal=sum(one.reversal for one in targets) / len(targets),
        mean_deviation_range=_range([one.mean for one in targets]),
        systematic=_range([one.mean for one in (*ups, *downs)]),
        systematic_up=_range([one.mean for one in ups]),
        systematic_down=_range([one.mean for one in downs]),
        repeatability=max(one.repeatability for one in targets),
        repeatability_up=max(4 * one.sd for one in ups),
        repeatability_down=max(4 * one.sd for one in downs),
        accuracy=_accuracy([*ups, *downs]),
        accuracy_up=_accuracy(ups),
        accuracy_down=_accuracy(downs),
        sd=every.sd,
        degrees=every.degrees,
    )


def _range(values: Sequence[float]) -> float:
    return max(values) - min(values)


def _accuracy(spreads: Sequence[Spread]) -> float:
    return max(one.mean + 2 * one.sd for one in spreads) - min(one.mean - 2 * one.sd for one in spreads)
