"""The board's clock against the host's. Pure: both times come in with the data.

The board counts microseconds in 32 bits (it wraps after 71.6 minutes) and its oscillator may be off by half a
per cent. A line can only arrive late, never early, so the fastest arrivals bound the true offset from above: the
mapping is the straight line under the least of them (the lower envelope), slope and all. It is laid anew twice a
second over the last twenty seconds.
"""

from __future__ import annotations

from collections import deque
from itertools import pairwise

from waytell_bridge.line_protocol import CLOCK_SPAN_US

BUCKET_S = 0.5
BUCKETS = 40
LARGEST_SKEW = 0.02  # a worse oscillator is a fault, not a clock: a bound against a wild slope


class ClockJump(Exception):  # noqa: N818 - an occurrence to be told, not an error of ours
    """The board's time is not a continuation of what came before: it restarted, or lines of two boards mix."""


class BoardClock:
    """Maps `t_us` of lines to unwrapped board seconds and to the host's monotonic seconds."""

    def __init__(self) -> None:
        self._last_us: int | None = None
        self._last_arrival_s = 0.0
        self._board_us = 0
        self._points: deque[tuple[float, float]] = deque(maxlen=BUCKETS)
        self._bucket_end_s: float | None = None
        self._least: tuple[float, float] | None = None
        self._latest_s = 0.0
        self._late_before_s = 0.0
        self._offset_s = 0.0
        self._skew = 0.0

    def advance(self, t_us: int, arrival_s: float) -> float:
        """Board seconds of the next position line, unwrapped since the first one.

        Raises:
            ClockJump: the step from the line before does not fit the time between their arrivals.
        """
        if self._last_us is None:
            self._board_us = t_us
        else:
            step = (t_us - self._last_us) % CLOCK_SPAN_US
            waited_us = (arrival_s - self._last_arrival_s) * 1e6
            # Lines queue up in drivers and cables, so arrivals may bunch by seconds; a step far outside that, or
            # backwards (which looks like most of an hour forwards), is no step of this clock.
            if step > waited_us * (1 + LARGEST_SKEW) + 2_000_000:
                raise ClockJump
            self._board_us += step
        self._last_us = t_us
        self._last_arrival_s = arrival_s
        return self._board_us * 1e-6

    def near(self, t_us: int) -> float | None:
        """Board seconds of a time that lies within half a wrap of the newest position line; None before any."""
        if self._last_us is None:
            return None
        half = CLOCK_SPAN_US // 2
        return (self._board_us + (t_us - self._last_us + half) % CLOCK_SPAN_US - half) * 1e-6

    def map(self, board_s: float) -> float:
        """Host time of a board time, by the mapping as it is now."""
        return board_s + self._offset_s + self._skew * board_s

    def host_s(self, board_s: float, arrival_s: float) -> float:
        """Host time at which the board latched a line that arrived at `arrival_s`."""
        late = arrival_s - board_s
        if self._least is None or late < self._least[1]:
            self._least = (board_s, late)
        if not self._points:
            self._offset_s = self._least[1]
        if self._bucket_end_s is None:
            self._bucket_end_s = board_s + BUCKET_S
        elif board_s >= self._bucket_end_s:
            self._close_bucket(board_s)
        mapped = board_s + self._offset_s + self._skew * board_s
        # Never later than its arrival: a faster line than any before is the new envelope at once.
        if mapped > arrival_s:
            self._offset_s -= mapped - arrival_s
            mapped = arrival_s
        if arrival_s - mapped > self._latest_s:  # noqa: PLR1730 - max() costs three times as much
            self._latest_s = arrival_s - mapped
        return mapped

    @property
    def spread_s(self) -> float:
        """How much later than the fastest the slowest of the last half to one second came."""
        return max(self._latest_s, self._late_before_s)

    def _close_bucket(self, board_s: float) -> None:
        if self._least is not None:
            self._points.append(self._least)
            self._lay_line()
        self._bucket_end_s = board_s + BUCKET_S
        self._least = None
        self._late_before_s, self._latest_s = self._latest_s, 0.0

    def _lay_line(self) -> None:
        """The edge of the lower convex hull that spans the middle of the points touches most of the fast ones."""
        if len(self._points) < 4:
            self._skew, self._offset_s = 0.0, min(late for _, late in self._points)
            return
        hull = _lower_hull(list(self._points))
        middle = (hull[0][0] + hull[-1][0]) / 2
        for (t0, y0), (t1, y1) in pairwise(hull):
            if t1 >= middle:
                self._skew = max(-LARGEST_SKEW, min(LARGEST_SKEW, (y1 - y0) / (t1 - t0)))
                self._offset_s = y0 - self._skew * t0
                return


def _lower_hull(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    hull: list[tuple[float, float]] = []
    for t, y in points:
        while len(hull) >= 2 and _turns_down(hull[-2], hull[-1], (t, y)):
            hull.pop()
        hull.append((t, y))
    return hull


def _turns_down(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> bool:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) <= 0
