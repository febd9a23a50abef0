"""The passes of a job, from what is left: as few as the tightest limit allows, of equal depth.

Limits are the person's own, the tool's, the motor's power, and how far the work gives way at the tool: as much as the
finishing pass can make good. The section is taken as it is at that moment, with its steps.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import NamedTuple

from waytell.documents.base import Role
from waytell.documents.config import Machine, Tool
from waytell.documents.materials import Material
from waytell.documents.plan import DepthLimit, PlannedPass
from waytell.engine.profile import together
from waytell.engine.section import Section
from waytell.planning import cutting, mechanics
from waytell.planning.jobs import FINISH_MM, SKIM_MM, Job
from waytell.planning.limits_fits import tolerance_mm
from waytell.planning.means import Means
from waytell.planning.progress import after, left_mm

DONE_MM = 0.005
"""Less than this is not worth a pass."""
ROUGH_DEFLECTION_MM = FINISH_MM / 2
"""What roughing may be pushed off: the finishing pass takes twice as much."""
SIZE_SHARE = 8
"""Finishing may be pushed off an eighth of the width of the limits as a radius: a quarter of it on the diameter."""
LEAST_DEPTH_MM = 0.02
SPRING_GRADE = 8
BAR_MODULUS_GPA = 200.0
"""Of a boring bar: carbon and alloy steel (any table of materials)."""
CLEAR_MM = 1.0
"""Fed before the metal is met."""
DEPTHS_MATTER = ("facing", "turning", "boring", "taper", "chamfer")
"""The others cut over the whole width of their edge at once."""
_ACROSS = ("turning", "boring", "taper", "chamfer")
"""Held across, so that what gives way across is seen in the size."""


class Bench(NamedTuple):
    """What the depth of a pass depends on, besides the job."""

    machine: Machine
    material: Material
    tailstock: bool


class Depth(NamedTuple):
    """The deepest pass and what decided it."""

    mm: float
    limit: DepthLimit
    words: str


class Cut(NamedTuple):
    """One pass in numbers."""

    force_n: float
    power_w: float
    deflection_mm: float
    time_s: float


def passes_of(job: Job, means: Means, section: Section, bench: Bench) -> tuple[tuple[PlannedPass, ...], Depth]:
    """The passes still to take; none where the job is done."""
    left = left_mm(job, section)
    deepest = deepest_of(job, means, section, bench)
    if left <= DONE_MM:
        return (), deepest
    if job.kind not in DEPTHS_MATTER:
        return (_in_one(job, means, bench, left),), deepest
    found, now = [], section
    for role, depth, at in _depths(job, left, deepest.mm):
        now = after(job, now, at) if role != "spring" and job.kind != "taper" else now
        cut = cut_of(job, means, now, bench, depth)
        found.append(PlannedPass(role=role, depth_mm=depth, at_mm=at, limit=deepest.limit, **cut._asdict()))
    return tuple(found), deepest


def _depths(job: Job, left: float, deepest: float) -> Iterator[tuple[Role, float, float]]:
    """Role, depth and place of the held axis of each pass."""
    towards = -1 if job.kind != "boring" and not (job.kind == "chamfer" and job.slope > 0) else 1
    finish = _finish_mm(job, left)
    skim = min(SKIM_MM, deepest, left - finish) if job.kind == "facing" and job.set_up == 1 else 0.0
    rough = left - finish - skim
    count = math.ceil(rough / deepest - 1e-6) if rough > DONE_MM else 0
    plan: list[tuple[Role, float]] = [("skim", skim)] if skim > DONE_MM else []
    plan += [("roughing", rough / count) for _ in range(count)]
    plan += [("finish", finish)] if finish > 0 else []
    plan += [("spring", 0.0)] if springs(job) else []
    to_go = left
    for role, depth in plan:
        to_go -= depth
        yield role, depth, job.target_mm - towards * to_go


def _finish_mm(job: Job, left: float) -> float:
    if job.stage == "finish":
        return left if left <= 2 * FINISH_MM else FINISH_MM
    return min(FINISH_MM, left) if job.kind in ("facing", "taper") else 0.0


def springs(job: Job) -> bool:
    """One more pass at the same setting, where the limits are those of IT8 or finer (common practice, no source)."""
    if job.limits is None or job.stage != "finish" or not 0 < job.limits.nominal_mm <= 250:
        return False
    return job.limits.high_mm - job.limits.low_mm <= tolerance_mm(job.limits.nominal_mm, SPRING_GRADE) + 1e-9


# -- how deep ----------------------------------------------------------------------------------------------------------


def deepest_of(job: Job, means: Means, section: Section, bench: Bench) -> Depth:
    """The tightest of the limits."""
    if job.kind not in DEPTHS_MATTER:
        return Depth(left_mm(job, section), "size", "It cuts over the whole width of its edge, and goes on to the end")
    edge, machine, material, feed = means.edge, bench.machine, bench.material, means.feed_mm_rev
    own = machine.deepest_pass_mm
    found = Depth(own, "operator", f"{own:g} mm is the deepest that you want to cut on this lathe")
    if edge.deepest_mm and edge.deepest_mm < own:
        found = Depth(edge.deepest_mm, "tool", f"{edge.deepest_mm:g} mm is the deepest that {edge.name} bears")
    watts, m_s = machine.motor_power_w * machine.efficiency, means.speed.vc_m_min / 60
    by_power = _deepest(lambda depth: _force(edge, material, depth, feed) * m_s, watts, found.mm)
    if by_power < found.mm:
        found = Depth(by_power, "power", f"{watts:.0f} W at the edge allow {by_power:.2f} mm")
    if job.kind in _ACROSS:
        gives, allowed = compliance(job, edge, after(job, section), bench), deflection_limit_mm(job)
        by_give = _deepest(lambda depth: _passive(edge, material, depth, feed) * gives, allowed, found.mm)
        if by_give < found.mm:
            what = "the boring bar" if job.kind == "boring" else "the work"
            words = f"at {by_give:.2f} mm {what} gives way {allowed * 1000:.0f} micrometres"
            found = Depth(by_give, "deflection", words)
    return found


def deflection_limit_mm(job: Job) -> float:
    """How far the work may give way in a pass, as a radius."""
    if job.stage == "finish" and job.limits is not None:
        return (job.limits.high_mm - job.limits.low_mm) / SIZE_SHARE
    return ROUGH_DEFLECTION_MM


def _deepest(grows: Callable[[float], float], limit: float, most_mm: float) -> float:
    """The depth at which something that grows with it comes to a limit; no more than `most_mm`, no less than is cut."""
    low, high = LEAST_DEPTH_MM, most_mm
    if grows(high) <= limit:
        return high
    while high - low > 1e-3:
        middle = (low + high) / 2
        low, high = (middle, high) if grows(middle) <= limit else (low, middle)
    return low


def _force(edge: Tool, material: Material, depth: float, feed: float) -> float:
    angle = mechanics.effective_angle_deg(depth, feed, edge.nose_radius_mm, edge.approach_angle_deg)
    return mechanics.cutting_force_n(material, depth, feed, min(max(angle, 5.0), 175.0))


def _passive(edge: Tool, material: Material, depth: float, feed: float) -> float:
    share = mechanics.passive_share(depth, feed, edge.nose_radius_mm, edge.approach_angle_deg)
    return share * _force(edge, material, depth, feed)


def compliance(job: Job, edge: Tool, section: Section, bench: Bench) -> float:
    """How far the work gives way at the tool for each newton, at the worst place of the cut; inside, the boring bar."""
    if job.kind == "boring" or (job.kind == "chamfer" and job.slope > 0):
        reach = abs(job.end_mm - job.start_mm) + CLEAR_MM
        thick = edge.shank_mm or 1.4 * job.target_mm
        return mechanics.compliance_mm_n([mechanics.Piece(reach, thick / 2)], BAR_MODULUS_GPA, reach, "chuck")
    pieces = shaft(section)
    length = sum(piece.length_mm for piece in pieces)
    low, high = min(job.start_mm, job.end_mm), max(job.start_mm, job.end_mm)
    places = (low, (low + high) / 2, high) if bench.tailstock else (high,)
    support: mechanics.Support = "tailstock" if bench.tailstock else "chuck"
    modulus = bench.material.modulus_gpa.value
    at = [min(max(place - section.chuck_mm, 0.0), length) for place in places]
    return max(mechanics.compliance_mm_n(pieces, modulus, place, support) for place in at)


def shaft(section: Section) -> list[mechanics.Piece]:
    """The work from the chuck outwards in pieces of one radius; cones by their middle."""
    return [
        mechanics.Piece(z1 - z0, (a0 + a1) / 2, max(0.0, (b0 + b1) / 2))
        for z0, a0, b0, z1, a1, b1 in together(section.outside, section.bore, section.chuck_mm, section.front_mm)
        if a0 + a1 - b0 - b1 > 1e-6
    ]


# -- one pass ----------------------------------------------------------------------------------------------------------


def cut_of(job: Job, means: Means, section: Section, bench: Bench, depth_mm: float) -> Cut:
    """A pass of some depth, the section being as it is after it. A spring pass has no depth and no force to tell."""
    time_s = _time_s(job, means)
    if depth_mm <= 0:
        return Cut(0.0, 0.0, 0.0, time_s)
    edge, feed = means.edge, means.feed_mm_rev
    force = _force(edge, bench.material, depth_mm, feed)
    power = mechanics.drive_power_w(mechanics.power_w(force, means.speed.vc_m_min), bench.machine.efficiency)
    gives = 0.0
    if job.kind in _ACROSS:
        gives = _passive(edge, bench.material, depth_mm, feed) * compliance(job, edge, section, bench)
    return Cut(force, power, gives, time_s)


def _time_s(job: Job, means: Means) -> float:
    length = abs(job.end_mm - job.start_mm) + CLEAR_MM
    return cutting.turning_time_s(length, means.speed.rpm, means.feed_mm_rev)


def _in_one(job: Job, means: Means, bench: Bench, left: float) -> PlannedPass:
    """Plunging and drilling: the edge cuts over its whole width, and goes on until it is there.

    A drill has two lips: k_c f d / 4 on its torque, P = k_c f d v_c / (4 * 60) W (published in any maker's drilling
    formulas).
    """
    feed, edge, material = means.feed_mm_rev, means.edge, bench.material
    drills = job.kind == "drilling"
    chip = feed / 2 * math.sin(math.radians(edge.point_angle_deg / 2)) if drills else feed
    specific = mechanics.specific_force_n_mm2(material.kc11_n_mm2.value, material.mc.value, chip)
    area = feed * job.diameter_mm / 4 if drills else feed * edge.width_mm
    force = specific * area
    power = mechanics.drive_power_w(mechanics.power_w(force, means.speed.vc_m_min), bench.machine.efficiency)
    at = job.end_mm if drills else job.target_mm
    return PlannedPass(
        role="finish", depth_mm=left, at_mm=at, force_n=force, power_w=power, deflection_mm=0.0,
        time_s=_time_s(job, means), limit="size",
    )  # fmt: skip


def removed_mm3(job: Job, section: Section, edge: Tool) -> float:
    """Chips of a whole job."""
    if job.kind == "parting":
        return cutting.annulus_volume_mm3(job.start_mm, job.end_mm, edge.width_mm)
    return max(0.0, section.volume_mm3() - after(job, section).volume_mm3())
