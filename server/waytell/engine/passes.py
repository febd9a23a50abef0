"""What a stroke was as a pass: where it met the work, how deep, how even, in which role.

Pure functions of a stroke and of the work as it stood when the stroke began. Contact has a band of a few counts around
the outline, so that a spring pass, which takes nothing off, is found. Without an outline the operation alone tells a
pass from winding up to the work.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import NamedTuple

from waytell.documents.acts import Operation
from waytell.documents.base import PassKind, Role
from waytell.documents.config import Tool
from waytell.engine.distance_to_go import feed_sign, held_sign
from waytell.engine.profile import Corner, simplified
from waytell.engine.section import PIP_MM, Section
from waytell.engine.strokes import DWELL_S, SAMPLE_MM, FeedLine, Point, Stroke

LEAST_LENGTH_MM = 0.5
# Common practice, no source: hand feed on a small lathe stays well under this, winding up to the work does not.
FASTEST_FEED_MM_S = 5.0
FASTEST_SPRING_MM_S = 10.0  # nothing is taken off, so a person may wind faster
FARTHEST_AIR_MM = 3.0
# Deeper than any facing cut on a small lathe (common practice, no source): the tool plunges into the bar.
DEEPEST_FACING_MM = 6.0
LEAST_AGAINST_THE_FEED_MM = 0.05
"""Taken off by a stroke against the usual way of feeding before it is called a pass: else it is a tool drawn back."""
CENTRE_MM = 1.0
DEPTH_SAMPLES = 41
LEAST_SHARE = 0.45  # of the way: half of it, and a sample less


class Work(NamedTuple):
    """What a stroke is judged by."""

    section: Section | None
    tool: Tool | None
    operation: Operation | None
    band_mm: float
    angle_deg: float
    """Of the compound slide."""
    target_mm: float | None
    """Size of the operation, for the work as warm as it is."""
    passes_in_operation: int
    passes_in_set_up: int
    clamped: bool
    """The held slide is said to be clamped."""
    last: dict[PassKind, Corner]
    """Of the last pass of each kind in this set-up: where it was held, and how far it went, with its sign."""


class Cut(NamedTuple):
    """The part of a stroke that met the work."""

    kind: PassKind
    role: Role
    axis: FeedLine
    sign: int
    operation: Operation | None
    points: tuple[Point, ...]
    """From where the work was met to where it was left or the feed ended."""
    rest_held_mm: float
    held_mm: float
    depth_mm: float | None
    path: tuple[Corner, ...]
    """(x, z) of the tool's corner, as few as tell the way it went; empty where no outline is known."""
    least_mm: float = 0.0
    """What takes nothing off must be as long as this when it is over, to be more than rubbing."""

    @property
    def start_mm(self) -> float:
        return self.points[0].fed_mm

    @property
    def end_mm(self) -> float:
        return self.points[-1].fed_mm


def place(axis: FeedLine, fed_mm: float, held_mm: float, angle_deg: float) -> Corner:
    """(x, z) of a point of a stroke."""
    if axis == "X":
        return fed_mm, held_mm
    if axis == "Z":
        return held_mm, fed_mm
    angle = math.radians(angle_deg)
    return (
        fed_mm * math.sin(angle) + held_mm * math.cos(angle),
        fed_mm * math.cos(angle) - held_mm * math.sin(angle),
    )


def taken_off(section: Section, cut: Cut, tool: Tool | None) -> Section:
    """The work after a pass."""
    return section.after(cut.kind, tool, cut.path) if cut.path else section


def along_compound(x_mm: float, z_mm: float, angle_deg: float) -> Corner:
    """(along, across) the way of the compound slide; along grows as it is wound out."""
    angle = math.radians(angle_deg)
    return (
        x_mm * math.sin(angle) + z_mm * math.cos(angle),
        x_mm * math.cos(angle) - z_mm * math.sin(angle),
    )


def measure(stroke: Stroke, work: Work) -> Cut | None:
    """What a stroke was as a pass, or None where it was no more than winding, rubbing or touching."""
    operation = _its_operation(stroke, work)
    # With neither outline nor operation, winding up to the work looks just like a pass.
    if work.section is None and operation is None:
        return None
    points = _met(stroke, work, operation)
    if _length(points) < LEAST_LENGTH_MM:
        return _in_the_air(stroke, work, operation)
    kind = _kind(stroke, points, work, operation)
    depth = _depth(stroke, kind, points, work, operation)
    if not _is_pass(stroke, points, kind, depth, work, operation):
        return None
    return _cut(stroke, kind, points, depth, work, operation)


def extended(cut: Cut, stroke: Stroke, work: Work) -> Cut:
    """A pass that went on after the tool had been backed off: what lies beyond where it had come to is added."""
    beyond = [p for p in _met(stroke, work, cut.operation) if (p.fed_mm - cut.end_mm) * cut.sign > 0]
    if not beyond:
        return cut
    points = [*_steady(cut.points, work.band_mm), *reversed(_steady(tuple(reversed(beyond)), work.band_mm))]
    # A groove may turn out to be parting off; else a pass stays what it began as.
    kind = _kind_across(stroke, points, work) if cut.kind == "grooving" and cut.operation is None else cut.kind
    depths = _depths(cut.axis, kind, points, work)
    depth = _median(depths) if depths else cut.depth_mm
    whole = Stroke(cut.axis, cut.sign, tuple(points), cut.rest_held_mm)
    return _cut(whole, kind, points, depth, work, cut.operation)


def _cut(
    stroke: Stroke, kind: PassKind, points: list[Point], depth: float | None, work: Work, operation: Operation | None
) -> Cut:
    held = _median([point.held_mm for point in points])
    plunges = kind in ("grooving", "parting", "drilling")
    return Cut(
        kind, _role(kind, depth, held, work, operation), stroke.axis, stroke.sign, operation, tuple(points),
        stroke.rest_held_mm, held, _length(points) if plunges else depth,
        _path(stroke, points, held, work) if work.section is not None else (),
        0.0 if plunges else _least_mm(kind, depth, work, operation),
    )  # fmt: skip


def _depth(
    stroke: Stroke, kind: PassKind, points: list[Point], work: Work, operation: Operation | None
) -> float | None:
    """How far the tool stood in the metal; without an outline, how far beyond the last pass. None where unknown."""
    held = _median([point.held_mm for point in points])
    if work.section is None:
        return (held - work.last[kind][0]) * held_sign(kind) if kind in work.last else None
    depths = _depths(stroke.axis, kind, points, work)
    if not depths:
        return None
    depth = _median(depths)
    if operation is None and stroke.sign > 0 and kind in ("facing", "turning"):
        # Where a nose has been, its corner was not: what counts is what is really taken off, spread over the way.
        left = work.section.after(kind, work.tool, _path(stroke, points, held, work))
        depth = min(depth, (work.section.area_mm2() - left.area_mm2()) / max(_length(points), 1e-6))
    return depth


def _steady(points: tuple[Point, ...], band_mm: float) -> list[Point]:
    """Without the last ones where the held slide was already being drawn back.

    A hand sets in slowly: what led up to steps that no creep takes, the same way, was its beginning.
    """
    kept, drawn_mm = list(points), 0.0
    while len(kept) > 3:
        step_mm = kept[-1].held_mm - kept[-2].held_mm
        if kept[-1] == kept[-2]:  # the place where the feed ended may be told twice
            kept.pop()
            continue
        if abs(step_mm) <= 0.67 * band_mm and step_mm * drawn_mm <= 0:
            break
        drawn_mm = drawn_mm or step_mm
        kept.pop()
    return kept


def speed_mm_s(points: tuple[Point, ...]) -> float:
    """Of the feed: rests to look are part of the duration, not of the speed."""
    seconds = sum(
        b.t_s - a.t_s
        for a, b in pairwise(points)
        # In a silence the slide went on: no rest.
        if b.t_s - a.t_s <= DWELL_S or abs(b.fed_mm - a.fed_mm) > 4 * SAMPLE_MM
    )
    return abs(points[-1].fed_mm - points[0].fed_mm) / max(seconds, 1e-6)


def creep(points: tuple[Point, ...], rest_mm: float, band_mm: float) -> tuple[float, float | None]:
    """Largest departure from the rest before the feed, on the median of three neighbours, and where on the feed."""
    worst, at = 0.0, None
    points = tuple(_steady(points, band_mm))
    for a, b, c in zip(points, points[1:], points[2:], strict=False):
        departure = sorted((a.held_mm, b.held_mm, c.held_mm))[1] - rest_mm
        if abs(departure) > abs(worst):
            worst, at = departure, b.fed_mm
    return worst, at


# -- where the work was met ----------------------------------------------------------------------------------------


def _its_operation(stroke: Stroke, work: Work) -> Operation | None:
    """The operation chosen, where this stroke is its feed."""
    operation = work.operation
    if operation is None:
        return None
    if operation.kind in ("taper", "chamfer"):
        return operation if stroke.axis == "compound" else None
    fits = stroke.axis == operation.feed_axis and stroke.sign == feed_sign(operation)
    return operation if fits else None


def _met(stroke: Stroke, work: Work, operation: Operation | None) -> list[Point]:
    """The points at the work; where it is entered or left at an edge, that edge is the first or last of them."""
    if work.section is None:
        return _in_feed(list(stroke.points), operation)
    touching = [_touches(stroke, point.fed_mm, point.held_mm, work) for point in stroke.points]
    if True not in touching or not _drills_anew(stroke, work):
        return []
    first, last = touching.index(True), len(touching) - 1 - touching[::-1].index(True)
    points = list(stroke.points[first : last + 1])
    if first > 0:
        points.insert(0, _edge(stroke, stroke.points[first - 1], stroke.points[first], work))
    if last < len(touching) - 1:
        points.append(_edge(stroke, stroke.points[last + 1], stroke.points[last], work))
    # An edge told within the band may lie behind its neighbour by less than that.
    return [p for p in points if (p.fed_mm - points[0].fed_mm) * stroke.sign >= 0]


def _touches(stroke: Stroke, fed_mm: float, held_mm: float, work: Work) -> bool:
    assert work.section is not None
    x, z = place(stroke.axis, fed_mm, held_mm, work.angle_deg)
    if work.tool is not None and stroke.axis == ("X" if work.tool.kind == "grooving" else "Z"):
        if work.tool.kind == "grooving":
            return _blade_touches(work.section, work.tool, x, z, work.band_mm)
        if work.tool.kind == "drill":
            # A hole is told from the face on, also where a smaller drill has been before.
            return z - work.band_mm < work.section.front_mm
    # Along Z metal is left behind as well as met: there it stands on the other side of the corner.
    return work.section.touches(x, z, work.band_mm, both=stroke.axis != "X")


def _blade_touches(section: Section, tool: Tool, x_mm: float, z_mm: float, band_mm: float) -> bool:
    """The front of a blade meets metal; beside it stand the walls of its own groove."""
    places = (z_mm + 2 * band_mm, z_mm + tool.width_mm / 2, z_mm + tool.width_mm - 2 * band_mm)
    return any(section.holds(x_mm, z, band_mm) for z in places)


def _drills_anew(stroke: Stroke, work: Work) -> bool:
    """A drill meets metal somewhere on its way; true of any other tool."""
    tool, section = work.tool, work.section
    if section is None or tool is None or tool.kind != "drill" or stroke.axis != "Z":
        return True
    return any(_drill_touches(section, tool, point.fed_mm, work.band_mm) for point in stroke.points)


def _drill_touches(section: Section, tool: Tool, z_mm: float, band_mm: float) -> bool:
    """The point of a drill meets metal somewhere between its tip and its corners: a hole may be there already."""
    flat = math.tan(math.radians(tool.point_angle_deg / 2))
    # The last lies a hair within the corner: it meets what is left in a hole a little smaller, not the wall of its own.
    radii = [tool.diameter_mm / 2 * part for part in (*(eighth / 8 for eighth in range(8)), 0.998)]
    return any(section.holds(radius, z_mm + radius / flat - band_mm, 0.0) for radius in radii)


def _is_blade(work: Work) -> bool:
    return work.tool is not None and work.tool.kind == "grooving"


def _edge(stroke: Stroke, clear: Point, touching: Point, work: Work) -> Point:
    """Where between two points the metal begins: contact begins a band before it."""
    low, high = 0.0, 1.0
    for _ in range(30):
        half = (low + high) / 2
        fed = clear.fed_mm + half * (touching.fed_mm - clear.fed_mm)
        held = clear.held_mm + half * (touching.held_mm - clear.held_mm)
        if _touches(stroke, fed, held, work):
            high = half
        else:
            low = half
    towards = 1 if touching.fed_mm > clear.fed_mm else -1
    fed = round(clear.fed_mm + high * (touching.fed_mm - clear.fed_mm) + towards * work.band_mm, 6)
    share = (fed - clear.fed_mm) / (touching.fed_mm - clear.fed_mm) if touching.fed_mm != clear.fed_mm else 0.0
    return Point(
        clear.t_s + share * (touching.t_s - clear.t_s), fed, clear.held_mm + share * (touching.held_mm - clear.held_mm)
    )


def _in_feed(points: list[Point], operation: Operation | None) -> list[Point]:
    """Without an outline: what lies within the operation's feed, or past its end; none where the feed was not met."""
    if operation is None:
        return points
    sign, start = feed_sign(operation), operation.start_mm
    met = [point for point in points if (point.fed_mm - start) * sign >= 0]
    if not met or len(met) == len(points):
        return met
    a, b = points[len(points) - len(met) - 1], met[0]
    share = (start - a.fed_mm) / (b.fed_mm - a.fed_mm)
    return [Point(a.t_s + share * (b.t_s - a.t_s), start, a.held_mm + share * (b.held_mm - a.held_mm)), *met]


def _in_the_air(stroke: Stroke, work: Work, operation: Operation | None) -> Cut | None:
    """An air pass: along at least half of the operation's feed, near the work but off it, no faster than a feed."""
    if work.section is None or operation is None or operation.kind not in ("facing", "turning", "boring"):
        return None
    low, high = sorted((operation.start_mm, operation.end_mm))
    # The points stand a sample apart: without that margin the ends would depend on where they happened to fall.
    beside = [point for point in stroke.points if low - SAMPLE_MM <= point.fed_mm <= high + SAMPLE_MM]
    if _length(beside) < max((high - low) / 2, LEAST_LENGTH_MM) or speed_mm_s(tuple(beside)) > FASTEST_FEED_MM_S:
        return None
    held = _median([point.held_mm for point in beside])
    depths = _depths(stroke.axis, operation.kind, beside, work)
    if not depths or -_median(depths) > FARTHEST_AIR_MM:
        return None
    points = tuple(beside)
    return Cut(
        operation.kind, "air", stroke.axis, stroke.sign, operation, points, stroke.rest_held_mm, held, None, ()
    )  # fmt: skip


# -- what it was ---------------------------------------------------------------------------------------------------


def _kind(stroke: Stroke, points: list[Point], work: Work, operation: Operation | None) -> PassKind:
    if operation is not None:
        return operation.kind
    if stroke.axis == "compound":
        steep = 25 <= abs(work.angle_deg) <= 65
        return "chamfer" if steep and _length(points) <= 5.0 else "taper"
    if stroke.axis == "X":
        return _kind_across(stroke, points, work)
    if work.tool is not None and work.tool.kind in ("boring", "drill"):
        return "boring" if work.tool.kind == "boring" else "drilling"
    return "boring" if _nearer_the_bore(points, work) else "turning"


def _kind_across(stroke: Stroke, points: list[Point], work: Work) -> PassKind:
    plunges = _is_blade(work)
    if not plunges and stroke.sign < 0:
        depths = _depths("X", "facing", points, work)
        plunges = bool(depths) and _median(depths) > DEEPEST_FACING_MM
    if not plunges:
        return "facing"
    bore = work.section.bore_at(points[-1].held_mm) if work.section is not None else 0.0
    return "parting" if points[-1].fed_mm <= bore + PIP_MM else "grooving"


def _nearer_the_bore(points: list[Point], work: Work) -> bool:
    if work.section is None:
        return False
    gaps = [(work.section.radius_at(p.fed_mm - 1e-6), work.section.bore_at(p.fed_mm - 1e-6), p.held_mm) for p in points]
    known = [(outside - x, x - bore) for outside, bore, x in gaps if bore > 0 and outside > bore]
    # A dished face opens like a bore for a few hundredths.
    return len(known) > len(points) / 2 and _median([outer for outer, _ in known]) > _median(
        [inner for _, inner in known]
    )


def _depths(axis: FeedLine, kind: PassKind, points: list[Point], work: Work) -> list[float]:
    """How far the tool stood in the metal along the held axis, at places spread evenly over the way."""
    section = work.section
    if section is None or len(points) < 2:
        return []
    out = []
    for fed, held in _evenly(points):
        x, z = place(axis, fed, held, work.angle_deg)
        # Just inside the metal, where an end face would leave it open which side is meant.
        inside = z - 1e-6
        if kind == "facing":
            # Right at a corner it would be open which of the two faces is meant.
            face = section.face_at(max(x, 0.0) + work.band_mm)
            depth = face - z if face > section.chuck_mm else -math.inf
        elif kind in ("boring", "drilling"):
            depth = x - section.bore_at(inside)
        else:
            depth = section.radius_at(inside) - x
        if math.isfinite(depth):
            out.append(depth)
    return out


def _evenly(points: list[Point]) -> list[Corner]:
    """(fed, held) at even steps along the way, whatever the reports fell on."""
    start, way = points[0].fed_mm, points[-1].fed_mm - points[0].fed_mm
    wanted = [start + way * (i + 0.5) / DEPTH_SAMPLES for i in range(DEPTH_SAMPLES)]
    out, index = [], 1
    for fed in wanted:
        while index < len(points) - 1 and (points[index].fed_mm - fed) * way < 0:
            index += 1
        a, b = points[index - 1], points[index]
        span = b.fed_mm - a.fed_mm
        share = min(1.0, max(0.0, (fed - a.fed_mm) / span)) if span else 0.0
        out.append((fed, a.held_mm + share * (b.held_mm - a.held_mm)))
    return out


def _is_pass(
    stroke: Stroke, points: list[Point], kind: PassKind, depth: float | None, work: Work, operation: Operation | None
) -> bool:
    speed = speed_mm_s(tuple(points))
    if work.section is None:
        return speed <= FASTEST_FEED_MM_S
    if depth is None:
        return False
    # No diameter is turned at the centre: the tool is set in there, to face outwards.
    if kind == "turning" and _median([p.held_mm for p in points]) < CENTRE_MM:
        return False
    takes = depth > work.band_mm
    if kind in ("grooving", "parting") and _is_blade(work):
        return True
    if kind in ("grooving", "parting", "drilling", "taper", "chamfer"):
        return takes or kind == "drilling" or operation is not None
    last_held, went = work.last.get(kind, (math.inf, 0.0))
    same_setting = abs(_median([p.held_mm for p in points]) - last_held) <= 2 * work.band_mm and went * stroke.sign > 0
    if operation is None and stroke.sign > 0 and not (same_setting and not takes):
        return depth > max(work.band_mm, LEAST_AGAINST_THE_FEED_MM) and speed <= FASTEST_FEED_MM_S
    if takes:
        return True
    if speed > FASTEST_SPRING_MM_S:
        return False
    return operation is not None or same_setting


def _least_mm(kind: PassKind, depth: float | None, work: Work, operation: Operation | None) -> float:
    if depth is None or depth > work.band_mm:
        return 0.0
    whole = (
        abs(operation.end_mm - operation.start_mm) if operation is not None else abs(work.last.get(kind, (0.0, 0.0))[1])
    )
    return whole * LEAST_SHARE


def _role(kind: PassKind, depth: float | None, held: float, work: Work, operation: Operation | None) -> Role:
    if operation is not None and operation.free_first_pass and work.passes_in_operation == 0:
        return "skim"
    if operation is None and kind == "facing" and work.passes_in_set_up == 0 and not work.clamped:
        return "skim"
    plunges = kind in ("grooving", "parting", "drilling")
    if depth is not None and abs(depth) <= work.band_mm and not plunges:
        return "spring"
    if operation is not None and work.target_mm is not None and not plunges and kind not in ("taper", "chamfer"):
        at_size = max(work.band_mm, operation.tolerance_mm / 2)
        if (work.target_mm - held) * held_sign(kind) <= at_size:
            return "finish"
    return "roughing"


def _path(stroke: Stroke, points: list[Point], held: float, work: Work) -> tuple[Corner, ...]:
    """The way of the tool's corner: straight where the held slide stood within a count, else as few corners as do.

    It sets out a little before the work was met, in the air, where the stroke did.
    """
    lead = [p for p in stroke.points if (p.fed_mm - points[0].fed_mm) * stroke.sign < 0][-1:]
    smooth = _median_of_five([*lead, *points])
    one_count = work.band_mm / 3
    if all(abs(h - held) <= one_count for _, h in smooth):
        smooth = [(smooth[0][0], held), (smooth[-1][0], held)]
    else:
        smooth = simplified(smooth, 0.6 * one_count)
    return tuple(place(stroke.axis, fed, h, work.angle_deg) for fed, h in smooth)


def _median_of_five(points: list[Point]) -> list[Corner]:
    out = []
    for i, point in enumerate(points):
        near = [p.held_mm for p in points[max(0, i - 2) : i + 3]]
        out.append((point.fed_mm, _median(near)))
    return out


def _length(points: list[Point]) -> float:
    return abs(points[-1].fed_mm - points[0].fed_mm) if len(points) > 1 else 0.0


def _median(values: list[float]) -> float:
    ordered = sorted(values)
    middle = len(ordered) // 2
    return ordered[middle] if len(ordered) % 2 else (ordered[middle - 1] + ordered[middle]) / 2
