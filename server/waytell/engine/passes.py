"""Passes found by motion: a stroke of one slide towards the end of the work while the other stands.

A stroke begins 0.3 mm from where the slide set out and ends where it turns back by as much, where the other slide is
wound away, or after two seconds without progress. Points are kept by progress, not by time, so a pass comes out the
same at any report rate. Whether metal was met is asked of the outline of the work, where one is known.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Literal, NamedTuple

from waytell.documents.acts import Operation
from waytell.engine.section import Section

BEGIN_MM = 0.3
TURN_BACK_MM = 0.3
SAMPLE_MM = 0.05
WOUND_AWAY_MM = 0.15
ANCHOR_LIFT_MM = 0.05
DWELL_S = 2.0
SLIP_WHILE_FED_S = 0.1
LEAST_LENGTH_MM = 0.5
# Without an outline only the speed tells a cut from an approach. Common practice, no source: hand feed on a small
# lathe stays well under this, winding up to the work does not.
FASTEST_FEED_MM_S = 5.0
FARTHEST_AIR_MM = 3.0


class Point(NamedTuple):
    t_s: float
    fed_mm: float
    held_mm: float


class Stroke(NamedTuple):
    """A finished stroke: points in order of progress, times of the board."""

    points: tuple[Point, ...]
    rest_held_mm: float


class StrokeFinder:
    """Follows one slide. `sign` is 1 where its coordinate grows towards the end, else -1.

    `in_work` says whether the tool stands in the work: a rest there, to look, does not end the pass.
    """

    __slots__ = (
        "_anchor", "_began", "_count_mm", "_farthest", "_held0", "_in_work", "_progress_s", "_rest", "_t0", "points",
        "sign",
    )  # fmt: skip

    def __init__(self, sign: int, count_mm: float, in_work: Callable[[], bool] = lambda: False) -> None:
        self.sign = sign
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
        return Stroke(tuple(points), self._rest)


class Cut(NamedTuple):
    """The part of a stroke that met the work, measured."""

    role: Literal["skim", "roughing", "finish", "spring", "air"]
    start_mm: float
    end_mm: float
    held_mm: float
    depth_mm: float | None
    creep_mm: float
    creep_at_mm: float | None
    came_back: bool
    t_start_s: float
    t_end_s: float
    speed_mm_s: float


def measure(
    stroke: Stroke, kind: Literal["facing", "turning"], section: Section | None, operation: Operation | None,
    band_mm: float, before_mm: float | None, first: bool, target_mm: float | None,
) -> Cut | None:  # fmt: skip
    """What a stroke was as a pass, or None where it was no more than winding up to the work.

    `operation` is given where the stroke is its feed. `before_mm` is where the last pass of this kind left the held
    axis, for want of an outline. `first` says that the operation has no pass yet. `target_mm` is its (warm) target.
    """
    # With neither outline nor operation, winding up to the work looks just like a pass.
    if section is None and operation is None:
        return None
    met = _met(stroke, kind, section, operation, band_mm)
    in_air = not met
    if in_air:
        met = _beside(stroke, section, operation)
    if len(met) < 2 or abs(met[-1].fed_mm - met[0].fed_mm) < LEAST_LENGTH_MM:
        return None
    # Rests to look are part of the duration, not of the speed of the feed.
    seconds = max(sum(b.t_s - a.t_s for a, b in pairwise(met) if b.t_s - a.t_s <= DWELL_S), 1e-6)
    speed = abs(met[-1].fed_mm - met[0].fed_mm) / seconds
    if (section is None or in_air) and speed > FASTEST_FEED_MM_S:
        return None
    held = _median([point.held_mm for point in met])
    surface = before_mm if section is None else _surface(section, kind, met[0].fed_mm, met[-1].fed_mm)
    depth = None if surface is None or in_air else surface - held
    creep, at = _creep(met, stroke.rest_held_mm)
    came_back = abs(creep) > band_mm and abs(met[-1].held_mm - stroke.rest_held_mm) < abs(creep) / 2
    role = "air" if in_air else _role(depth, held, operation, target_mm, band_mm, first=first)
    return Cut(
        role, met[0].fed_mm, met[-1].fed_mm, held, depth, creep, at, came_back, met[0].t_s, met[-1].t_s, speed
    )  # fmt: skip


def _met(
    stroke: Stroke, kind: str, section: Section | None, operation: Operation | None, band_mm: float
) -> list[Point]:
    """The points at the work; where it is entered at a known edge, that edge is the first of them."""
    if section is None:
        return _in_feed(list(stroke.points), operation)
    xz = [(p.fed_mm, p.held_mm) if kind == "facing" else (p.held_mm, p.fed_mm) for p in stroke.points]
    touching = [section.touches(x, z, band_mm) for x, z in xz]
    if True not in touching:
        return []
    first, last = touching.index(True), len(touching) - 1 - touching[::-1].index(True)
    points = list(stroke.points[max(0, first - 1) : last + 1])
    held = points[-1].held_mm
    edge = section.radius_at(held - band_mm) if kind == "facing" else section.face_at(held - band_mm)
    return _from_edge(points, edge if first > 0 else None)


def _in_feed(points: list[Point], operation: Operation | None) -> list[Point]:
    """Without an outline: what lies within the operation's feed, or past its end; none where the feed was not met."""
    if operation is None:
        return points
    sign = 1 if operation.end_mm > operation.start_mm else -1
    met = [point for point in points if (point.fed_mm - operation.start_mm) * sign >= 0]
    return _from_edge(points, operation.start_mm) if met and len(met) < len(points) else met


def _from_edge(points: list[Point], edge_mm: float | None) -> list[Point]:
    """Points from where the stroke crosses an edge on, beginning exactly there."""
    if edge_mm is None:
        return points
    for index, (a, b) in enumerate(pairwise(points)):
        if min(a.fed_mm, b.fed_mm) <= edge_mm <= max(a.fed_mm, b.fed_mm) and a.fed_mm != b.fed_mm:
            share = (edge_mm - a.fed_mm) / (b.fed_mm - a.fed_mm)
            entry = Point(a.t_s + share * (b.t_s - a.t_s), edge_mm, a.held_mm + share * (b.held_mm - a.held_mm))
            return [entry, *points[index + 1 :]]
    return points


def _beside(stroke: Stroke, section: Section | None, operation: Operation | None) -> list[Point]:
    """Points of an air pass: along at least half of the operation's feed, near the work but off it."""
    if section is None or operation is None:
        return []
    low, high = sorted((operation.start_mm, operation.end_mm))
    # The points stand a sample apart: without that margin the ends would depend on where they happened to fall.
    beside = [point for point in stroke.points if low - SAMPLE_MM <= point.fed_mm <= high + SAMPLE_MM]
    if not beside or abs(beside[-1].fed_mm - beside[0].fed_mm) < (high - low) / 2:
        return []
    surface = _surface(section, operation.kind, beside[0].fed_mm, beside[-1].fed_mm)
    return beside if beside[0].held_mm - surface < FARTHEST_AIR_MM else []


def _surface(section: Section, kind: str, start_mm: float, end_mm: float) -> float:
    low, high = min(start_mm, end_mm), max(start_mm, end_mm)
    if kind == "turning":
        return section.typical_radius(low, high)
    return section.face_at(max((low + high) / 2, section.bore_radius_mm + 0.01))


def _creep(points: list[Point], rest_mm: float) -> tuple[float, float | None]:
    """Largest departure from the rest before the feed, on the median of three neighbours."""
    worst, at = 0.0, None
    for a, b, c in zip(points, points[1:], points[2:], strict=False):
        departure = sorted((a.held_mm, b.held_mm, c.held_mm))[1] - rest_mm
        if abs(departure) > abs(worst):
            worst, at = departure, b.fed_mm
    return worst, at


def _role(
    depth: float | None, held: float, operation: Operation | None, target_mm: float | None, band_mm: float, *,
    first: bool,
) -> Literal["skim", "roughing", "finish", "spring"]:  # fmt: skip
    if first and operation is not None and operation.free_first_pass:
        return "skim"
    if depth is not None and abs(depth) <= band_mm:
        return "spring"
    if operation is not None and target_mm is not None:
        at_size = max(band_mm, operation.tolerance_mm / 2)
        if held <= target_mm + at_size:
            return "finish"
    return "roughing"


def _median(values: list[float]) -> float:
    ordered = sorted(values)
    middle = len(ordered) // 2
    return ordered[middle] if len(ordered) % 2 else (ordered[middle - 1] + ordered[middle]) / 2
