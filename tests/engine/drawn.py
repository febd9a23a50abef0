"""Strokes drawn point by point, and the work they go through: what the tests of single passes are made of."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from waytell.documents.acts import Operation
from waytell.documents.config import Tool
from waytell.engine.passes import Cut, Work, measure
from waytell.engine.section import Section
from waytell.engine.strokes import FeedLine, Point, Stroke
from waytell.engine.tool_shape import edge_of

BAR = Section.bar(12.0, 40.0, 0.0)
TUBE = Section.bar(12.0, 40.0, 0.0, 4.0)
SHARP = Tool(name="sharp")
BLADE = Tool(name="blade", kind="grooving", width_mm=2.0)
BORER = Tool(name="borer", kind="boring")
DRILL = Tool(name="drill", kind="drill", diameter_mm=8.0)
RECESSED = BAR.cut([(13.0, -8.0), (11.0, -8.0), (11.0, -6.0), (13.0, -6.0)], edge_of(BLADE, "grooving"))
"""To 11 mm from -8 to -4."""
BAND_MM = 0.015
"""Three counts of 5 micrometres."""
TURNING = Operation(name="turn", kind="turning", start_mm=0.0, end_mm=-8.0, target_mm=11.0)
FACING = Operation(name="face", kind="facing", start_mm=12.0, end_mm=0.0, target_mm=-0.6)
BORING = Operation(name="bore", kind="boring", start_mm=0.0, end_mm=-8.0, target_mm=5.0)
LATER = Work(BAR, SHARP, None, BAND_MM, 0.0, None, 1, 1, clamped=False, last={})
"""Not the first pass of its set-up, nothing chosen."""


def work(**more: Any) -> Work:
    return LATER._replace(**more)


def stroke(
    *corners: tuple[float, float], axis: FeedLine = "Z", speed: float = 1.0, rest_mm: float | None = None
) -> Stroke:
    """Through corners (fed, held), a point every 0.05 mm, fed evenly from time 10 s on."""
    points = [Point(10.0, *corners[0])]
    for (fed0, held0), (fed1, held1) in pairwise(corners):
        steps = max(1, round(abs(fed1 - fed0) / 0.05))
        began_s, mm = points[-1].t_s, abs(fed1 - fed0)
        points += [
            Point(
                began_s + mm * i / steps / speed, fed0 + (fed1 - fed0) * i / steps, held0 + (held1 - held0) * i / steps
            )
            for i in range(1, steps + 1)
        ]
    sign = 1 if corners[-1][0] > corners[0][0] else -1
    return Stroke(axis, sign, tuple(points), corners[0][1] if rest_mm is None else rest_mm)


def turned(x_mm: float, to_mm: float = -8.0, speed: float = 1.0) -> Stroke:
    return stroke((2.0, x_mm), (to_mm, x_mm), speed=speed)


def faced(z_mm: float, to_mm: float = 0.0) -> Stroke:
    return stroke((14.0, z_mm), (to_mm, z_mm), axis="X")


def found(one: Stroke, at: Work = LATER) -> Cut:
    cut = measure(one, at)
    assert cut is not None
    return cut
