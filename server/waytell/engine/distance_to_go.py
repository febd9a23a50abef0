"""How far there is to go: along the feed axis to its end, and on the held axis to this pass and to the finished size.

Pure functions of positions in work coordinates (mm, X as radius). Positive means before the end, metal left.
"""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from waytell.documents.acts import Operation
from waytell.documents.base import PassKind
from waytell.documents.config import Tool
from waytell.engine.axes import warm_mm


class Warm(NamedTuple):
    """Work away from 20 degrees: sizes stated at 20 degrees are met when it measures this much more."""

    expansion_um_m_k: float
    temperature_c: float

    def size_mm(self, nominal_mm: float) -> float:
        return warm_mm(nominal_mm, self.expansion_um_m_k, self.temperature_c)


def feed_sign(operation: Operation) -> int:
    """1 where the feed coordinate grows towards the end of the operation, else -1."""
    return 1 if operation.end_mm > operation.start_mm else -1


def held_sign(kind: PassKind) -> int:
    """Which way along the held axis the metal lies: a bore is advanced outwards, all else inwards."""
    return 1 if kind == "boring" else -1


def feed_end_mm(operation: Operation, tool: Tool | None, warm: Warm) -> float:
    """Where the tool's corner stands when the feed is done.

    A nose radius has its lowest point inside the corner, so facing reaches the centre only at X = -r.
    """
    end = warm.size_mm(operation.end_mm)
    if operation.kind == "facing" and operation.end_mm == 0 and tool is not None:
        return end - tool.nose_radius_mm
    return end


def to_go_mm(position_mm: float, end_mm: float, sign: int) -> float:
    """Signed distance along the feed axis: positive before the end, negative past it."""
    return sign * (end_mm - position_mm)


def reached_band_mm(resolution_mm: float, repeatability_mm: float, tolerance_mm: float) -> float:
    """How near counts as reached: the larger of one count and the repeatability, never over a tenth of the tolerance.

    A worse scale must not make the work stop earlier; one count is the least that can be told apart.
    """
    band = max(resolution_mm, repeatability_mm)
    if tolerance_mm > 0:
        band = min(band, max(tolerance_mm / 10, resolution_mm / 2))
    return band


class Schedule(NamedTuple):
    """The passes still to take: where this one stands on the held axis, and how many with it."""

    pass_target_mm: float
    passes_left: int


def schedule(surface_mm: float, operation: Operation, target_mm: float, band_mm: float) -> Schedule:
    """Equal roughing depths down to the finish allowance, then one finishing pass.

    `surface_mm` is where the metal now ends on the held axis. A roughing pass too thin to matter joins the finish.
    """
    left = surface_mm - target_mm
    if left <= band_mm:
        return Schedule(target_mm, 0)
    rough = left - operation.finish_mm
    if rough <= band_mm:
        return Schedule(target_mm, 1)
    passes = math.ceil(rough / operation.depth_mm - 1e-6)
    finishing = 1 if operation.finish_mm > band_mm else 0
    return Schedule(surface_mm - rough / passes, passes + finishing)


class OverrunForecast(NamedTuple):
    state: Literal["none", "ahead", "soon", "past"]
    time_left_s: float | None
    past_mm: float


def forecast(to_go: float, closing_mm_s: float, band_mm: float, reaction_s: float) -> OverrunForecast:
    """Whether the person can still stop in time at the present speed of winding.

    `reaction_s` is the person's reaction time plus the spread of the link's delay.
    """
    if to_go < -band_mm:
        return OverrunForecast("past", None, -to_go)
    if closing_mm_s <= 0.02 or to_go <= band_mm:
        return OverrunForecast("none", None, 0.0)
    left_s = to_go / closing_mm_s
    return OverrunForecast("soon" if left_s < reaction_s else "ahead", left_s, 0.0)


def cutting_speed_m_min(diameter_mm: float, rpm: float) -> float:
    """v_c = pi d n / 1000 (ISO 3002-1; published in any maker's turning formulas), m/min.

    >>> round(cutting_speed_m_min(50, 700), 1)
    110.0
    """
    return math.pi * abs(diameter_mm) * rpm / 1000
