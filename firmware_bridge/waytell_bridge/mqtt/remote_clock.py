"""The clock of a bridge on another computer against the server's. Pure: all times come in with the data.

A server asks and the bridge answers with its clock: what that said lies, by the server's clock, between the question
and the answer. Of the questions of the last half minute the tightest bound from below is taken, so that a reading is
never told younger than it is, and older by no more than the way there and back took.
"""

from __future__ import annotations

from collections import deque
from typing import NamedTuple

DRIFT = 2e-4
"""Two computers' clocks part by no more than this: common quartz is within 1e-4, a host adjusts it by 5e-4 at worst,
for short. From memory, no source."""
KEPT_S = 30.0


class _Bound(NamedTuple):
    asked_s: float
    answered_s: float
    least_s: float
    """The server's clock is ahead of the bridge's by no less than this."""
    way_s: float


class RemoteClock:
    def __init__(self) -> None:
        self._asked: dict[int, float] = {}
        self._bounds: deque[_Bound] = deque()

    def asked(self, number: int, now_s: float) -> None:
        self._asked[number] = now_s
        for old in [one for one, at_s in self._asked.items() if now_s - at_s > KEPT_S]:
            del self._asked[old]

    def answered(self, number: int, clock_s: float, now_s: float) -> bool:
        """False where nothing was asked by that number, or it was answered before."""
        asked_s = self._asked.pop(number, None)
        if asked_s is None:
            return False
        self._bounds.append(_Bound(asked_s, now_s, asked_s - clock_s, now_s - asked_s))
        while now_s - self._bounds[0].answered_s > KEPT_S:
            self._bounds.popleft()
        return True

    @property
    def answered_s(self) -> float | None:
        """When it was answered last."""
        return self._bounds[-1].answered_s if self._bounds else None

    @property
    def way_s(self) -> float:
        """How long the newest question and answer took."""
        return self._bounds[-1].way_s if self._bounds else 0.0

    def ahead_s(self, now_s: float) -> float | None:
        """By so much the server's clock is ahead of the bridge's, at the least; None before the first answer."""
        if not self._bounds:
            return None
        # The clocks may have parted since the question was asked.
        return max(one.least_s - DRIFT * (now_s - one.asked_s) for one in self._bounds)
