"""Where an axis is zero: an offset with a history.

A datum says: at these counts the reference tool stood at this coordinate. It remembers the board's start and its
missed edges at that moment, because a restart or an edge missed since then makes it doubtful.
"""

from __future__ import annotations

from typing import NamedTuple

from waytell.documents.base import Axis
from waytell.documents.state import DoubtCode


class Datum(NamedTuple):
    axis: Axis
    value_mm: float
    """Coordinate of the reference tool at `counts`."""
    counts: tuple[int, ...]
    boot: str | None
    """Which start of the board the counts belong to; None where the board does not say."""
    missed: dict[int, int]
    """Missed edges of each scale at that moment."""
    tool: str
    """The reference tool: the one that touched."""
    how: str
    shim_mm: float
    wound_in_mm: float
    """Unmeasured travel of the compound slide up to that moment."""
    temperature_c: float
    when: str
    number: int
    """Number of the event that set it."""
    sure_from: int
    """Number of the event that set or last confirmed it: what the scales did before does not speak against it."""

    def words(self) -> str:
        how = {"touch": "touched", "measured": "measured", "shim": f"over a {self.shim_mm:g} mm shim"}[self.how]
        return f"{how} with {self.tool}, {self.when}"


LOST_COUNT: frozenset[DoubtCode] = frozenset({"board_restarted", "missed_edges", "jump", "too_fast"})
"""Doubts that say that counts themselves may be wrong."""
# Half-widths of what the ways of touching off leave open, mm. Common practice, no source.
TOUCH_HALF_WIDTH_MM = {"touch": 0.02, "measured": 0.005, "shim": 0.01}
