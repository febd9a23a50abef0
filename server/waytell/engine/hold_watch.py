"""Watches a slide that should stand still while the other one is fed.

Where it should stand is where it stood when the person or the clamp switch said clamped, else the median of its last
rest before the feed began; after the depth was set anew with the tool clear it is that last rest again. The deviation
is judged on the median of the last three reports or 20 ms, whichever is more, so that one glitch is no alarm.
"""

from __future__ import annotations

from collections import deque
from typing import Literal, NamedTuple

from waytell.documents.base import Axis

State = Literal["free", "watched", "held", "warning", "limit"]
Arming = Literal["operation", "switch", "person"]
MEDIAN_S = 0.02
LEAST_REPORTS = 3
COUNTS_BELOW_WHICH_NOTHING_IS_SAID = 3
NOISE_FACTOR = 4


class Limits(NamedTuple):
    warning_mm: float
    limit_mm: float


def limits_mm(warning_mm: float, limit_mm: float, count_mm: float, noise_mm: float) -> Limits:
    """The configured limits, never below three counts nor four times the noise at rest."""
    least = max(COUNTS_BELOW_WHICH_NOTHING_IS_SAID * count_mm, NOISE_FACTOR * noise_mm)
    warning = max(warning_mm, least)
    return Limits(warning, max(limit_mm, warning + count_mm))


class HoldWatch:
    """One held axis. `step` takes every reading; the rest is asked or told now and then."""

    def __init__(self, axis: Axis, limits: Limits) -> None:
        self.axis = axis
        self.limits = limits
        self.clamped_by: Literal["switch", "person"] | None = None
        self.armed_by: Arming | None = None
        self.alarmed = False
        self.state: State = "free"
        self.deviation_mm = self.worst_mm = 0.0
        self.worst_at_mm: float | None = None
        self._reference_mm: float | None = None
        self._recent: deque[tuple[float, float]] = deque()
        self._rest_mm: float | None = None

    def clamp(self, by: Literal["switch", "person"] | None) -> None:
        """The slide is clamped (and by whose word), or free again."""
        self.clamped_by = by
        self._reference_mm = self._median() if by is not None else None
        self._clear_marks()

    def begin(self, *, watched_only: bool) -> None:
        """A pass begins: the tool is at the work."""
        rest = self._rest_mm if self._rest_mm is not None else self._median()
        moved = self._reference_mm is None or rest is None or abs(rest - self._reference_mm) > self.limits.warning_mm
        if self.clamped_by is None or moved:
            self._reference_mm = rest
        self.alarmed = not watched_only or self.clamped_by is not None
        self.armed_by = self.clamped_by or "operation"
        self._clear_marks()

    def feed_began(self) -> None:
        """The feed axis left its rest: where the held slide stands now is its last rest."""
        self._rest_mm = self._median()

    def end(self) -> None:
        """The tool is clear of the work: setting the depth anew is no fault. What was found stays to be seen."""
        self.armed_by = None
        self.deviation_mm = 0.0
        if self.state not in ("warning", "limit"):
            self.state = "free" if self.clamped_by is None else "held"

    def went(self, held_mm: float) -> float:
        """How far from where it should stand; 0 where nothing says where that is."""
        return 0.0 if self._reference_mm is None else held_mm - self._reference_mm

    def seen(self) -> None:
        self._clear_marks()

    @property
    def came_back(self) -> bool:
        return abs(self.worst_mm) > self.limits.warning_mm and abs(self.deviation_mm) < abs(self.worst_mm) / 2

    def step(self, t_s: float, held_mm: float, fed_mm: float, *, judged: bool) -> bool:
        """Take a reading; True where the state changed for the worse.

        `judged` is false while nothing is fed and nobody said clamped: moving the slide then is the person's doing.
        """
        recent = self._recent
        recent.append((t_s, held_mm))
        while len(recent) > LEAST_REPORTS and t_s - recent[0][0] > MEDIAN_S:
            recent.popleft()
        return self._judge(fed_mm) if judged and self.armed_by is not None else False

    def _judge(self, fed_mm: float) -> bool:
        median = self._median()
        if median is None or self._reference_mm is None:
            return False
        self.deviation_mm = deviation = median - self._reference_mm
        size = abs(deviation)
        if size > abs(self.worst_mm):
            self.worst_mm, self.worst_at_mm = deviation, fed_mm
        before = self.state
        if not self.alarmed:
            self.state = "watched"
        elif size >= self.limits.limit_mm or before == "limit":
            self.state = "limit"
        elif size >= self.limits.warning_mm or before == "warning":
            self.state = "warning"
        else:
            self.state = "held"
        return self.state != before and self.state in ("warning", "limit")

    def _median(self) -> float | None:
        if not self._recent:
            return None
        values = sorted(held for _, held in self._recent)
        return values[len(values) // 2]

    def _clear_marks(self) -> None:
        self.worst_mm, self.worst_at_mm = 0.0, None
        self.state = "free" if self.clamped_by is None and self.armed_by is None else "held"
