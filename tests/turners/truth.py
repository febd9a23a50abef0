"""A pass that really happened, worked out from what the slides really did and what the turner says about it."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import cos, radians

import numpy as np

from turners.hands import Track
from turners.lathe import Lathe

FED_ACROSS = ("facing", "grooving", "parting")
FINE_S = 0.002


@dataclass
class Cut:
    """What the turner says of a pass while taking it."""

    kind: str
    enters: float | None
    """Where along the feed the tool met the metal; None: it began where the feed did, already in the metal."""
    leaves: float | None = None
    """Where the metal ends, if the feed went on beyond: either this edge or where the hand stopped is a right end."""
    was: float | None = None
    """The surface before, along the held axis; None where the depth is open to argument."""
    role: str | None = None
    fed_by: str = ""
    or_kind: str = ""
    """Another name that a turner might give it."""
    rests_s: float = 0.0
    """Rests that the turner made on purpose."""
    creep_argued: bool = False
    times_argued: bool = False
    feeds: list[tuple[float, float]] = field(default_factory=list)
    """When the feed was wound forward."""
    left_s: float = 0.0
    """When the hand left off feeding and did something else."""


@dataclass(frozen=True)
class TruePass:
    kind: str
    or_kind: str
    role: str | None
    feed_axis: str
    fed_by: str
    start_mm: float
    end_mm: tuple[float, float]
    """Lowest and highest right answer."""
    held_mm: float | None
    depth_mm: float | None
    creep_mm: float | None
    t_start_s: float
    t_end_s: tuple[float, float] | None
    duration_s: tuple[float, float] | None
    feed_mm_min: tuple[float, float]
    rpm: float
    start_speed_mm_s: float
    wander_mm: float
    """How much the held slide moved in all while feeding."""


def settle(cut: Cut, lathe: Lathe) -> TruePass:
    """The pass as the slides' own tracks have it."""
    across, cone = cut.kind in FED_ACROSS, cut.kind in ("taper", "chamfer")
    t = np.concatenate([np.arange(begin, end + FINE_S, FINE_S) for begin, end in cut.feeds])
    fed = _fed(cut, lathe, t)
    held = lathe.tool_z(t) if across else lathe.tool_x(t)
    way = 1.0 if fed[-1] > fed[0] else -1.0
    first = 0 if cut.enters is None else int(np.argmax(way * (fed - cut.enters) >= 0))
    last = len(t) if cut.leaves is None else int(np.argmax(way * (fed - cut.leaves) >= 0)) + 1
    inside = slice(first, last)
    start = float(fed[0]) if cut.enters is None else cut.enters
    stop = float(fed[np.argmax(way * fed)])
    ends = sorted((stop, stop if cut.leaves is None else cut.leaves))
    departure = held[inside] - held[0]
    place = float(held[first] if cone else np.median(held[inside]))
    metal_s, whole_s = float(t[last - 1] - t[first]), cut.left_s - float(t[first])
    return TruePass(
        kind=cut.kind,
        or_kind=cut.or_kind or cut.kind,
        role=cut.role,
        feed_axis="X" if across else "Z",
        fed_by=cut.fed_by,
        start_mm=start,
        end_mm=(ends[0], ends[1]),
        held_mm=None if cut.kind == "drilling" else place,
        depth_mm=_depth(cut, start, stop, place),
        creep_mm=None
        if cone or cut.creep_argued or cut.kind == "drilling"
        else float(departure[np.argmax(np.abs(departure))]),
        t_start_s=float(t[first]),
        t_end_s=None if cut.times_argued else (float(t[last - 1]), cut.left_s),
        duration_s=None if cut.times_argued else (metal_s - cut.rests_s, whole_s),
        feed_mm_min=_feeds(t[first:], fed[first:], last - first, 1 / cos(radians(lathe.compound_deg)) if cone else 1.0),
        rpm=lathe.rpm(float(t[first])),
        start_speed_mm_s=_speed(t, fed, first),
        wander_mm=0.0 if cone else float(np.ptp(held[inside])),
    )


def _feeds(t_s: Track, fed: Track, metal: int, slope: float) -> tuple[float, float]:
    """Lowest and highest feed that can be meant: with or without short stops, run-off and, on a cone, the slope."""
    length, in_metal = abs(fed[-1] - fed[0]), abs(fed[metal - 1] - fed[0])
    span, span_metal = t_s[-1] - t_s[0], t_s[metal - 1] - t_s[0]
    feeds = (length / span, in_metal / span_metal, length / _moving(fed), in_metal / _moving(fed[:metal]))
    return 60 * float(min(feeds)), 60 * slope * float(max(feeds))


def _fed(cut: Cut, lathe: Lathe, t_s: Track) -> Track:
    if cut.kind in FED_ACROSS:
        return lathe.tool_x(t_s)
    return lathe.drill_z(t_s) if cut.fed_by == "tailstock" else lathe.tool_z(t_s)


def _depth(cut: Cut, start: float, stop: float, held: float) -> float | None:
    if cut.kind in ("grooving", "parting", "drilling"):
        return None if cut.leaves is not None else abs(stop - start)
    return None if cut.was is None else abs(cut.was - held)


def _moving(fed: Track) -> float:
    """Seconds in which the feed really moved."""
    return max(0.05, float(np.count_nonzero(np.abs(np.diff(fed)) > 0.02 * FINE_S) * FINE_S))


def _speed(t_s: Track, fed: Track, at: int) -> float:
    near = slice(max(0, at - 5), at + 10)
    return float(abs(np.ptp(fed[near])) / max(FINE_S, np.ptp(t_s[near])))
