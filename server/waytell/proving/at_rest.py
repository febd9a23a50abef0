"""What a scale shows while nobody touches it: noise, drift, or that it was touched after all."""

from __future__ import annotations

from math import sqrt
from typing import NamedTuple

WAY_COUNTS = 3.0
"""A mean that goes further than this, and further than four times the noise, was moved."""
BLOCK_S = 1.0
STEADY = 0.8
"""Share of its way by which a slide that crept ends up away from where it was."""


class Rest(NamedTuple):
    """In counts."""

    readings: int
    seconds: float
    span: int
    """Peak to peak."""
    sd: float
    """Standard deviation about the mean of each second, so that a slow drift is no noise."""
    drift: float
    """From the mean of the first second to that of the last."""
    way: float
    """From the lowest to the highest mean of a second: one that was pushed and came back has gone its way too."""
    step: float
    """Largest change from one second to the next."""

    @property
    def moved(self) -> bool:
        return self.way > max(WAY_COUNTS, 4 * self.sd)

    @property
    def crept(self) -> bool:
        """It moved steadily, in no single step: something pulls, gives way or warms up."""
        return self.moved and abs(self.drift) > STEADY * self.way and self.step < (1 - STEADY / 2) * self.way


class AtRest:
    """Takes one count after another, in constant memory (Welford's recurrence)."""

    __slots__ = (
        "_block", "_block_from", "_degrees", "_first", "_highest", "_last", "_lowest", "_since", "_squares", "_step",
        "high", "low", "readings", "seconds",
    )  # fmt: skip

    def __init__(self) -> None:
        self.readings, self.seconds = 0, 0.0
        self.low = self.high = 0
        self._since: float | None = None
        self._block_from = 0.0
        self._block: tuple[int, float, float] = (0, 0.0, 0.0)
        self._first: float | None = None
        self._last: float | None = None
        self._lowest = self._highest = self._step = 0.0
        self._squares, self._degrees = 0.0, 0

    def take(self, count: int, board_s: float) -> None:
        if self._since is None:
            self._since = self._block_from = board_s
            self.low = self.high = count
        elif board_s - self._block_from >= BLOCK_S:
            self._close()
            self._block_from = board_s
        self.readings += 1
        self.seconds = board_s - self._since
        self.low, self.high = min(self.low, count), max(self.high, count)
        n, mean, squares = self._block
        off = count - mean
        mean += off / (n + 1)
        self._block = (n + 1, mean, squares + off * (count - mean))

    def _close(self) -> None:
        n, mean, squares = self._block
        if n > 1:
            if self._last is None:
                self._first = self._last = self._lowest = self._highest = mean
            self._lowest, self._highest = min(self._lowest, mean), max(self._highest, mean)
            self._step = max(self._step, abs(mean - self._last))
            self._last = mean
            self._squares, self._degrees = self._squares + squares, self._degrees + n - 1
        self._block = (0, 0.0, 0.0)

    def rest(self) -> Rest:
        n, mean, squares = self._block
        squares, degrees = self._squares + squares, self._degrees + max(0, n - 1)
        first, last = (self._first, self._last) if self._first is not None and self._last is not None else (mean, mean)
        sd, way = sqrt(squares / degrees) if degrees else 0.0, self._highest - self._lowest
        return Rest(self.readings, self.seconds, self.high - self.low, sd, last - first, way, self._step)
