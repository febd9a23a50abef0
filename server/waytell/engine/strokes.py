"""Strokes: one slide wound one way while the other stands.

A stroke begins 0.3 mm from where the slide set out and ends where it turns back by as much, where the other slide is
wound away, or after two seconds without progress unless the tool stands in the work. Points are kept by progress, not
by time, so a stroke comes out the same at any report rate. Nothing here knows whether metal was met.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, NamedTuple

FeedLine = Literal["X", "Z", "compound"]
"""What is fed: the cross-slide, the carriage (or the tailstock's quill), or the compound slide at its angle."""
BEGIN_MM = 0.3
TURN_BACK_MM = 0.3
SAMPLE_MM = 0.05
WOUND_AWAY_MM = 0.15
ANCHOR_LIFT_MM = 0.05
DWELL_S = 2.0
SLIP_WHILE_FED_S = 0.1


class Point(NamedTuple):
    t_s: float
    fed_mm: float
    held_mm: float


class Stroke(NamedTuple):
    """A finished stroke: points in order of progress, times of the board."""

    axis: FeedLine
    sign: int
    """1 where the coordinate that is fed grows."""
    points: tuple[Point, ...]
    rest_held_mm: float


class StrokeFinder:
    """Follows one slide one way: `sign` is 1 where its coordinate grows, else -1.

    `in_work` says whether the tool stands in the work: a rest there, to look, does not end the pass.
    """

    __slots__ = (
        "_anchor",
        "_began",
        "_count_mm",
        "_farthest",
        "_held0",
        "_in_work",
        "_progress_s",
        "_rest",
        "_t0",
        "axis",
        "points",
        "sign",
    )  # fmt: skip

    def __init__(self, axis: FeedLine, sign: int, count_mm: float, in_work: Callable[[], bool] = lambda: False) -> None:
        self.axis, self.sign = axis, sign
        self._in_work = in_work
        self._count_mm = count_mm
        self.points: list[Point] | None = None
        self._anchor: float | None = None
        self._held0 = self._rest = self._t0 = 0.0
        self._progress_s = self._farthest = 0.0
        self._began = False

    def step(self, t_s: float, fed_mm: float, held_mm: float) -> Stroke | None:
        """Take a reading; the stroke that it ends, if it ends one."""
        u = fed_mm * self.sign
        if self.points is not None:
            return self._in_stroke(t_s, u, held_mm)
        if self._anchor is None or u < self._anchor or not -ANCHOR_LIFT_MM < held_mm - self._held0 < ANCHOR_LIFT_MM:
            self._set_anchor(t_s, u, held_mm)
        elif u - self._anchor <= 3 * self._count_mm:
            self._t0 = t_s
            self._began = False
        elif not self._began:
            self._began = True
            self._rest = held_mm
        elif u - self._anchor > BEGIN_MM:
            self.points = [Point(self._t0, self._anchor * self.sign, self._rest), Point(t_s, fed_mm, held_mm)]
            self._progress_s, self._farthest = t_s, u
        return None

    @property
    def began(self) -> bool:
        """The slide has left its rest, towards the work."""
        return self._began

    def advancing(self, t_s: float, within_s: float) -> bool:
        """In a stroke that has got on of late."""
        return self.points is not None and t_s - self._progress_s <= within_s

    def finish(self) -> Stroke | None:
        """End the stroke under way where it is."""
        if self.points is None:
            return None
        last = self.points[-1]
        return self._end(last.t_s, last.fed_mm * self.sign, last.held_mm)

    def _set_anchor(self, t_s: float, u: float, held_mm: float) -> None:
        self._anchor, self._held0, self._t0 = u, held_mm, t_s
        self._began = False

    def _in_stroke(self, t_s: float, u: float, held_mm: float) -> Stroke | None:
        points = self.points
        assert points is not None
        last = points[-1]
        away = not -WOUND_AWAY_MM < held_mm - last.held_mm < WOUND_AWAY_MM
        # A slide that gives way while the other is still being fed has slipped: the pass goes on, and is to be told so.
        if away and t_s - self._progress_s > SLIP_WHILE_FED_S:
            return self._end(t_s, u, held_mm)
        if u > self._farthest:
            self._farthest, self._progress_s = u, t_s
            if u - last.fed_mm * self.sign >= SAMPLE_MM:
                points.append(Point(t_s, u * self.sign, held_mm))
            return None
        rested = t_s - self._progress_s > DWELL_S and not self._in_work()
        if rested or self._farthest - u > TURN_BACK_MM:
            return self._end(t_s, u, held_mm)
        return None

    def _end(self, t_s: float, u: float, held_mm: float) -> Stroke:
        points = self.points
        assert points is not None
        points.append(Point(self._progress_s, self._farthest * self.sign, points[-1].held_mm))
        self.points = None
        self._set_anchor(t_s, u, held_mm)
        return Stroke(self.axis, self.sign, tuple(points), self._rest)
