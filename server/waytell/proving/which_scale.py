"""Which scale is on a slide, and which way it counts, from how far each went while that slide was wound away."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, NamedTuple

from waytell.proving.not_enough import NotEnough

FEWEST_COUNTS = 100
"""Less may be a knock."""
ALSO_MOVED = 0.2
"""Another scale that went so much of the way went with it."""
BACK = 0.2
"""So much of the way may it have gone back."""


class OnSlide(NamedTuple):
    channel: int
    direction: Literal[1, -1]
    counts: int


def which_scale(now: Sequence[int], spans: Sequence[int]) -> OnSlide:
    """From how far each scale stands from its start, and from its lowest to its highest, in counts.

    Raises:
        NotEnough: none moved, two moved, or it was wound to and fro.
    """
    if not spans or max(spans) < FEWEST_COUNTS:
        raise NotEnough(
            "No scale has moved far enough.",
            "Wind the slide further; if no scale moves, look at its plug and its reading head.",
        )
    channel = max(range(len(spans)), key=lambda one: spans[one])
    # One that was wound and came back has moved as well.
    others = [one for one in range(len(spans)) if one != channel and spans[one] > ALSO_MOVED * spans[channel]]
    if others:
        both = sorted((channel, others[0]))
        raise NotEnough(
            f"Scales {both[0]} and {both[1]} both moved.",
            "Begin the check again and wind one slide only; lock the others, the compound slide too.",
        )
    if abs(now[channel]) < (1 - BACK) * spans[channel]:
        raise NotEnough("It was wound to and fro.", "Begin the check again and wind it one way only.")
    return OnSlide(channel, 1 if now[channel] > 0 else -1, abs(now[channel]))
