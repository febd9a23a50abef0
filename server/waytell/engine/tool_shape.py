"""The edge of a tool, seen from its control point: what it takes away where it has been.

The control point is the corner where the tangents along X and Z meet. An edge is a chain of straight pieces over the
distance along the direction that the tool is not fed in, with slopes that only grow, so that sweeping it along a
straight move is to sort the move in among its pieces by slope. Nose radii are chords within `CHORD_MM`.
Angles after ISO 3002-1: the cutting-edge angle kappa_r lies between the edge that leads and the feed along Z.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Literal, NamedTuple

from waytell.documents.acts import FED_ACROSS
from waytell.documents.base import PassKind
from waytell.documents.config import Tool
from waytell.engine.profile import SAME_MM, Corner

CHORD_MM = 0.0003
FLANK_MM = 1000.0
"""Flanks reach beyond any work: the body of the tool goes on behind its edge."""
FROM_CENTRE_MM = 1.0
THIN_MM = 0.01  # a blade whose width nobody told


class Edge(NamedTuple):
    """Corners (along, height) from the control point, `along` growing.

    outside: height is a radius over Z, the body lies above. inside: the same, negative, the body lies below (a bore).
    face: height is Z over radius, the body lies towards the free end.
    """

    cuts: Literal["outside", "inside", "face"]
    corners: tuple[Corner, ...]


def edge_of(tool: Tool | None, kind: PassKind, *, outwards: bool = False, left: bool = False) -> Edge:
    """The edge that a tool works with in a pass of a kind.

    `outwards`: a face is fed from the centre to the rim, so the body lies towards the centre. `left`: turned towards
    the tailstock, when no tool says so itself.
    """
    tool = tool or Tool(name="unknown")
    if kind == "facing":
        return Edge("face", _face(tool, outwards=outwards))
    if kind == "drilling" or tool.kind == "drill":
        return Edge("inside", _drill(tool))
    if kind in ("grooving", "parting"):
        return Edge("outside", _blade(tool))
    left = left or tool.hand == "left"
    corners = _along(tool)
    if left:
        corners = tuple((-along, height) for along, height in reversed(corners))
    # The edge of a bore is broken with the tool that bored it.
    inside = kind == "boring" or (kind in ("chamfer", "taper") and tool.kind == "boring")
    return Edge("inside" if inside else "outside", corners)


def edge_of_pass(tool: Tool | None, kind: PassKind, start_mm: float, end_mm: float, bore_mm: float) -> Edge:
    """The edge that a pass was cut with, from where its feed coordinate began and ended.

    `bore_mm` is the radius of the bore there: only from it, or from the centre, is a face fed outwards as a whole.
    """
    grows = end_mm > start_mm
    if kind in FED_ACROSS:
        return edge_of(tool, kind, outwards=grows and start_mm <= max(bore_mm, 0.0) + FROM_CENTRE_MM)
    return edge_of(tool, kind, left=grows)


def swept(corners: tuple[Corner, ...], start: Corner, end: Corner) -> list[Corner]:
    """Lowest reach of an edge whose control point goes straight from `start` to `end`, both (along, height)."""
    (a0, h0), (a1, h1) = (start, end) if start[0] <= end[0] else (end, start)
    run, rise = a1 - a0, h1 - h0
    if run < SAME_MM:
        # So short a way has no slope that a number could hold.
        low = min(h0, h1)
        return [(a0 + along, low + height) for along, height in corners]
    slope = rise / run
    out = [(a0 + corners[0][0], h0 + corners[0][1])]
    moved = False
    for (b0, g0), (b1, g1) in pairwise(corners):
        if not moved and (b1 == b0 or (g1 - g0) >= slope * (b1 - b0)) and not (b1 == b0 and g1 < g0):
            out.append((out[-1][0] + run, out[-1][1] + rise))
            moved = True
        out.append((out[-1][0] + b1 - b0, out[-1][1] + g1 - g0))
    if not moved:
        out.append((out[-1][0] + run, out[-1][1] + rise))
    return out


def _arc(radius_mm: float, from_rad: float, to_rad: float) -> list[Corner]:
    """Points of the nose from one slope angle to another; its centre is at (r, r) of the control point."""
    if radius_mm <= 0:
        return [(0.0, 0.0)]
    step = 2 * math.acos(max(0.0, 1 - CHORD_MM / radius_mm))
    # The lowest point is always one of them: what it leaves must lie exactly where it was.
    angles = [from_rad, *_evenly(from_rad, 0.0, step), *_evenly(0.0, to_rad, step)]
    return [(radius_mm * (1 + math.sin(a)), radius_mm * (1 - math.cos(a))) for a in angles]


def _evenly(start: float, end: float, step: float) -> list[float]:
    """Points after `start` up to `end`, no further apart than a step."""
    pieces = math.ceil(abs(end - start) / step)
    return [start + (end - start) * i / pieces for i in range(1, pieces + 1)]


def _along(tool: Tool) -> tuple[Corner, ...]:
    """Height over Z of a right-hand tool: the edge that leads, the nose, the edge that trails."""
    leads = math.radians(min(tool.approach_angle_deg, 90.0))
    trails = math.radians(max(0.0, 180.0 - tool.approach_angle_deg - tool.point_angle_deg))
    nose = _arc(tool.nose_radius_mm, -leads, trails)
    flank = [] if tool.approach_angle_deg >= 90 else [(nose[0][0] - FLANK_MM, nose[0][1] + FLANK_MM * math.tan(leads))]
    end = (nose[-1][0] + FLANK_MM, nose[-1][1] + FLANK_MM * math.tan(trails))
    return (*flank, *nose, end)


def _face(tool: Tool, *, outwards: bool) -> tuple[Corner, ...]:
    """Z over radius: the leading edge leans away from the face by kappa_r - 90 degrees."""
    leans = math.radians(tool.approach_angle_deg - 90.0) if tool.kind == "turning" else 0.0
    leans = max(-math.pi / 3, min(math.pi / 3, leans))
    nose = _arc(tool.nose_radius_mm, -math.pi / 2, leans)
    corners = (*nose, (nose[-1][0] + FLANK_MM, nose[-1][1] + FLANK_MM * math.tan(leans)))
    return tuple((-along, height) for along, height in reversed(corners)) if outwards else corners


def _blade(tool: Tool) -> tuple[Corner, ...]:
    width = tool.width_mm or THIN_MM
    radius = min(tool.nose_radius_mm, width / 2)
    left = _arc(radius, -math.pi / 2, 0.0)
    right = [(width - along, height) for along, height in reversed(left)]
    return (*left, *right)


def _drill(tool: Tool) -> tuple[Corner, ...]:
    """Negative heights, as of all that cuts inside: the point first, then the full diameter behind it."""
    radius = tool.diameter_mm / 2
    point = radius / math.tan(math.radians(tool.point_angle_deg / 2))
    return ((0.0, 0.0), (point, -radius), (point + FLANK_MM, -radius))
