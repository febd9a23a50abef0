"""With what a job is done: the tool, the spindle speed and the feed, each with why."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from waytell.documents.config import Machine, Tool
from waytell.documents.materials import Material, SpeedRange
from waytell.engine.section import Section
from waytell.planning.cutting import Speed, SpeedLimits, chosen_speed
from waytell.planning.jobs import Job
from waytell.planning.progress import clear_of_shoulder_mm

DRILL_FIT_MM = 0.06
BAR_ROOM_MM = 1.0
"""A boring bar needs so much more than its thickness to enter: room for its edge and the chips (common practice)."""
PLUNGING_SPEED_SHARE = 0.5
PLUNGING_FEED_SHARE = 0.5
"""Of what turning would take: a blade is thin and its chip is shut in (common practice, no source)."""
DRILL_FEED_SHARE = 0.015
DRILL_FEED_MM_REV = (0.02, 0.15)
"""Feed of a drill: a share of its diameter, within what a hand on the tailstock wheel does (common practice)."""

_KIND_OF_TOOL = {
    "facing": "turning", "turning": "turning", "taper": "turning", "boring": "boring", "drilling": "drill",
    "grooving": "grooving", "parting": "grooving",
}  # fmt: skip


class Means(NamedTuple):
    tool: Tool | None
    """None where no tool of the table can do it."""
    edge: Tool
    """What is reckoned with: the tool, or an ordinary one in its place."""
    speed: Speed
    feed_mm_rev: float


def means_of(job: Job, tools: Sequence[Tool], machine: Machine, material: Material, section: Section) -> Means:
    tool = tool_for(job, tools, section)
    edge = tool or _ordinary(job)
    vc = _cutting_speed(job, material.hss if edge.substance == "HSS" else material.carbide)
    return Means(tool, edge, chosen_speed(vc, diameter_mm(job, section), speed_limits(machine)), _feed(job, material))


def tool_for(job: Job, tools: Sequence[Tool], section: Section) -> Tool | None:
    """The first of the table that suits best: a drill by its diameter, a blade by its width, a bar by the bore.

    What is too short, too thick or of the wrong hand is taken only where there is nothing else; of boring bars the
    thickest that enters, since it gives way least.
    """
    kind = "boring" if job.inside else _KIND_OF_TOOL.get(job.kind, "turning")
    fitting = [tool for tool in tools if tool.kind == kind and _fits(job, tool)]
    return min(fitting, key=lambda tool: _unsuited(job, tool, section), default=None)


def _fits(job: Job, tool: Tool) -> bool:
    if job.kind == "drilling":
        return abs(tool.diameter_mm - job.diameter_mm) <= DRILL_FIT_MM
    return job.kind != "grooving" or tool.width_mm <= job.width_mm + 1e-6


def _unsuited(job: Job, tool: Tool, section: Section) -> tuple[bool, bool, float]:
    hand = "left" if backwards(job) else "right"
    return (
        tool.hand != hand or (job.inside and not enters(job, tool, section)),
        bool(tool.reach_mm) and depth_mm(job) > tool.reach_mm,
        0.0 if not job.inside else -tool.shank_mm if enters(job, tool, section) else tool.shank_mm,
    )


def backwards(job: Job) -> bool:
    """A cone that grows thinner towards the headstock: the back of a right-hand tool is in the way of it."""
    return job.kind == "taper" and job.slope > 0


def entrance_mm(job: Job, section: Section) -> float:
    """Diameter of the narrowest place that a bar has to pass."""
    return 2 * section.smallest_bore(job.end_mm, max(section.front_mm, job.start_mm))


def enters(job: Job, tool: Tool, section: Section) -> bool:
    return tool.shank_mm + BAR_ROOM_MM <= entrance_mm(job, section) + 1e-6


def depth_mm(job: Job) -> float:
    """How far the tool goes in: from the face where it works inside, else along its own feed."""
    return -job.end_mm if job.inside or job.kind == "drilling" else abs(job.end_mm - job.start_mm)


def point_mm(job: Job, edge: Tool) -> float:
    """How far the point of a drill goes before its full diameter."""
    return job.diameter_mm / 2 / math.tan(math.radians(edge.point_angle_deg / 2)) if job.kind == "drilling" else 0.0


def _ordinary(job: Job) -> Tool:
    if job.kind == "drilling":
        return Tool(name="drill", kind="drill", diameter_mm=job.diameter_mm, point_angle_deg=118.0)
    if job.kind in ("grooving", "parting"):
        return Tool(name="blade", kind="grooving", width_mm=min(2.0, job.width_mm or 2.0))
    if job.inside:
        return Tool(name="boring bar", kind="boring", nose_radius_mm=0.2)
    return Tool(name="turning tool", nose_radius_mm=0.4)


def speed_limits(machine: Machine) -> SpeedLimits:
    return SpeedLimits(machine.spindle_max_rpm, machine.spindle_min_rpm, machine.chuck_max_rpm, machine.speeds_rpm)


def _cutting_speed(job: Job, allowed: SpeedRange) -> float:
    """From the low end of the range where the cut is heavy or shut in; the middle for finishing."""
    if job.kind in ("grooving", "parting"):
        return allowed.low_m_min * PLUNGING_SPEED_SHARE
    if job.stage == "finish":
        return (allowed.low_m_min + allowed.high_m_min) / 2
    return allowed.low_m_min


def _feed(job: Job, material: Material) -> float:
    if job.kind == "drilling":
        low, high = DRILL_FEED_MM_REV
        return min(max(DRILL_FEED_SHARE * job.diameter_mm, low), high)
    if job.kind in ("grooving", "parting"):
        return material.feed_low_mm_rev * PLUNGING_FEED_SHARE
    if job.stage == "rough":
        return (material.feed_low_mm_rev + material.feed_high_mm_rev) / 2
    return material.feed_low_mm_rev


def diameter_mm(job: Job, section: Section) -> float:
    """The largest that is cut."""
    if job.kind == "drilling":
        return job.diameter_mm
    if job.kind in ("facing", "grooving", "parting"):
        return 2 * max(job.start_mm, job.end_mm)
    low, high = min(job.start_mm, job.end_mm), max(job.start_mm, job.end_mm)
    thickest = max(job.target_mm, job.target_mm + job.slope * (job.end_mm - job.start_mm))
    if job.inside:
        return 2 * thickest
    # The last bit before a shoulder does not set the speed.
    clear = clear_of_shoulder_mm(job) if job.kind == "turning" else low
    return 2 * max(section.largest_radius(clear, high), thickest)
