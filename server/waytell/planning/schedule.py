"""The passes of a job, from what is left: as few as the tightest limit allows, of equal depth.

Limits are the person's own, the tool's, the motor's power, and how far the work gives way at the tool: as much as the
finishing pass can make good. The section is taken as it is at that moment, with its steps.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import NamedTuple

from waytell.documents.base import Role
from waytell.documents.config import Tool
from waytell.documents.materials import Material
from waytell.documents.plan import DepthLimit, PlannedPass
from waytell.engine.section import Section
from waytell.planning import mechanics
from waytell.planning.jobs import FINISH_MM, SKIM_MM, Job
from waytell.planning.limits_fits import tolerance_mm
from waytell.planning.loads import (
    ACROSS,
    Bench,
    compliance,
    cut_of,
    drilling_force_n,
    force_n,
    passive_n,
    plunging_force_n,
    time_s,
)
from waytell.planning.means import Means, point_mm
from waytell.planning.progress import CORNER_MM, after, left_mm, plunge_left_mm, plunged

DONE_MM = 0.005
"""Less than this is not worth a pass."""
DRILLED_MM = 0.1
"""Nor is a hole short by so little: it is drilled by hand, and its depth has no limits of its own."""
ROUGH_DEFLECTION_MM = FINISH_MM / 2
"""What roughing may be pushed off: the finishing pass takes twice as much."""
SIZE_SHARE = 8
"""Finishing may be pushed off an eighth of the width of the limits as a radius: a quarter of it on the diameter."""
LEAST_DEPTH_MM = 0.1
"""Roughing is not planned lighter; where even that bends the work a caution says so (common practice, no source)."""
LEAST_FINISH_MM = 0.03
"""Nor is a finishing cut: an edge that is not honed only rubs (common practice, no source)."""
SPRING_GRADE = 8
DEPTHS_MATTER = ("facing", "turning", "boring", "taper", "chamfer")
"""The others cut over the whole width of their edge at once."""


class Depth(NamedTuple):
    """The deepest pass and what decided it."""

    mm: float
    limit: DepthLimit
    words: str


def passes_of(job: Job, means: Means, section: Section, bench: Bench) -> tuple[tuple[PlannedPass, ...], Depth]:
    """The passes still to take; none where the job is done. The depth is what decides how many there are."""
    left = left_mm(job, section)
    deepest = deepest_of(job, means, section, bench)
    if left <= near_mm(job, means.edge):
        return (), deepest
    if job.kind == "grooving":
        return tuple(_plunges(job, means, section, bench)), deepest
    if job.kind not in DEPTHS_MATTER:
        return (_in_one(job, means, section, bench, left),), deepest
    finish, light = finish_of(job, means, section, bench, deepest.mm)
    found, now = [], section
    for role, depth, at in depths(job, left, deepest.mm, finish):
        now = after(job, now, at) if depth > 0 else now
        limit = deepest.limit if role != "finish" else "deflection" if light else "size"
        found.append(PlannedPass(
            role=role, depth_mm=depth, at_mm=at, limit=limit, **cut_of(job, means, now, bench, depth)._asdict()
        ))  # fmt: skip
    if all(one.role in ("finish", "spring") for one in found):
        deepest = deepest._replace(limit="size", words=f"{found[0].depth_mm:.2f} mm is all that is left for finishing")
    elif light:
        words = f"{deepest.words}; the last cut is {finish:.2f} mm, so that {yielding(job)} gives way less"
        deepest = deepest._replace(words=words)
    return tuple(found), deepest


def near_mm(job: Job, edge: Tool) -> float:
    """What may be left of a job that counts as done.

    The nose of a tool whose corner goes along a cone leaves r (1 + t - sqrt(1 + t^2)) across, t being its slope: the
    distance of a circle from the line that its corner follows. In a groove it is what the corner of the blade leaves
    where the floor is looked at.
    """
    if job.kind == "drilling":
        return DRILLED_MM
    if job.kind == "grooving":
        nose = edge.nose_radius_mm
        return DONE_MM + nose - math.sqrt(nose**2 - max(0.0, nose - CORNER_MM) ** 2)
    slope = abs(job.slope)
    rounded = edge.nose_radius_mm * (1 + slope - math.sqrt(1 + slope * slope))
    return DONE_MM + min(rounded, slope * abs(job.end_mm - job.start_mm) / 2)


def depths(job: Job, left: float, deepest: float, finish: float) -> Iterator[tuple[Role, float, float]]:
    """Role, depth and place of the held axis of each pass."""
    towards = 1 if job.inside else -1
    skim = _skim_mm(job, left, deepest)
    rough = left - finish - skim
    # What is too little for a pass of its own goes with the last one.
    count = math.ceil(rough / deepest - 1e-6) if rough > DONE_MM or not finish else 0
    plan: list[tuple[Role, float]] = [("skim", skim)] if skim else []
    plan += [("roughing", rough / count) for _ in range(count)]
    plan += [("finish", finish if count else finish + rough)] if finish else []
    plan += [("spring", 0.0)] if springs(job) else []
    to_go = left
    for role, depth in plan:
        to_go -= depth
        yield role, depth, job.target_mm - towards * to_go


def _skim_mm(job: Job, left: float, deepest: float) -> float:
    """Of an end that is as it was sawn."""
    sawn = job.sawn_mm > 0 and left > job.sawn_mm - DONE_MM
    skim = min(SKIM_MM, deepest, left - FINISH_MM) if sawn else 0.0
    return skim if skim > DONE_MM else 0.0


def finish_of(job: Job, means: Means, section: Section, bench: Bench, deepest: float) -> tuple[float, bool]:
    """Depth of the last cut, 0 where there is none, and whether it is lighter because the work gives way."""
    left, edge = left_mm(job, section), means.edge
    left -= _skim_mm(job, left, deepest)
    usual = left if left <= min(2 * FINISH_MM, deepest) else min(FINISH_MM, deepest)
    if job.stage != "finish":
        return (usual if job.kind in ("facing", "taper") else 0.0), False
    allowed, gives = deflection_limit_mm(job), compliance(job, edge, after(job, section), bench)

    def pushed_mm(depth: float) -> float:
        return passive_n(edge, bench.material, depth, means.feed_mm_rev) * gives

    light = _deepest(pushed_mm, allowed, LEAST_FINISH_MM, usual)
    # Where even the lightest cut is pushed off, several of them help no more than one and a spring pass.
    shared = usual / math.ceil(usual / light - 1e-6)
    if shared < usual and shared >= LEAST_FINISH_MM and pushed_mm(shared) <= allowed:
        return shared, True
    return usual, False


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
    by_power = _deepest(lambda depth: force_n(edge, material, depth, feed) * m_s, watts, LEAST_DEPTH_MM, found.mm)
    if by_power < found.mm:
        found = Depth(by_power, "power", f"{watts:.0f} W at the edge allow {by_power:.2f} mm")
    if job.kind in ACROSS:
        gives = compliance(job, edge, after(job, section), bench)
        by_give = _deepest(
            lambda depth: passive_n(edge, material, depth, feed) * gives, ROUGH_DEFLECTION_MM, LEAST_DEPTH_MM, found.mm
        )
        if by_give < found.mm:
            gone = passive_n(edge, material, by_give, feed) * gives
            found = Depth(by_give, "deflection", _gives(job, by_give, gone))
    return found


def depth_of_share(means: Means, material: Material, depth: float, share: float) -> float:
    """The depth that pushes the work off by a share of what another one does."""
    limit = share * passive_n(means.edge, material, depth, means.feed_mm_rev)
    return _deepest(lambda each: passive_n(means.edge, material, each, means.feed_mm_rev), limit, 1e-3, depth)


def _gives(job: Job, depth: float, gone: float) -> str:
    um = f"{1000 * gone:.0f}" if gone >= 0.01 else f"{1000 * gone:.1f}"
    return f"at {depth:.2f} mm {yielding(job)} gives way {um} micrometres"


def yielding(job: Job) -> str:
    return "the boring bar" if job.inside else "the work"


def deflection_limit_mm(job: Job, role: Role = "finish") -> float:
    """How far the work may give way in a pass, as a radius."""
    if job.stage == "finish" and job.limits is not None and role == "finish":
        return (job.limits.high_mm - job.limits.low_mm) / SIZE_SHARE
    return ROUGH_DEFLECTION_MM


def _deepest(grows: Callable[[float], float], limit: float, least_mm: float, most_mm: float) -> float:
    """The depth at which something that grows with it comes to a limit, between the least and the most."""
    low, high = min(least_mm, most_mm), most_mm
    if grows(high) <= limit:
        return high
    while high - low > 1e-4:
        middle = (low + high) / 2
        low, high = (middle, high) if grows(middle) <= limit else (low, middle)
    return low


# -- in one go ---------------------------------------------------------------------------------------------------------


def _in_one(job: Job, means: Means, section: Section, bench: Bench, left: float) -> PlannedPass:
    """Drilling and parting: the edge cuts over its whole width, and goes on until it is there."""
    if job.kind == "drilling":
        opened = max(0.0, 2 * section.smallest_bore(job.end_mm, min(section.front_mm, 0.0)))
        force = drilling_force_n(means, bench, min(opened, job.diameter_mm), job.diameter_mm)
        point = point_mm(job, means.edge)
        return _whole(job, means, bench, force, left, job.end_mm - point, point)
    return _whole(job, means, bench, plunging_force_n(means, bench, means.edge.width_mm), left, blade_mm(job, means))


def _plunges(job: Job, means: Means, section: Section, bench: Bench) -> Iterator[PlannedPass]:
    """A groove wider than the blade takes several, side by side, the first at the wall nearer the headstock."""
    width = min(means.edge.width_mm, job.width_mm)
    count = max(1, math.ceil((job.width_mm - CORNER_MM) / width - 1e-6))
    for number in range(count):
        at = job.target_mm + (job.width_mm - width) * number / max(1, count - 1)
        fresh = width if number == 0 else (job.width_mm - width) / (count - 1)
        left = plunge_left_mm(job, section, at + width - fresh, fresh)
        if left > near_mm(job, means.edge):
            yield _whole(job, means, bench, plunging_force_n(means, bench, fresh), left, at)
        section = plunged(job, section, at, width)


def blade_mm(job: Job, means: Means) -> float:
    """Z of the corner of the blade that is nearer the headstock: when parting off it stands beside the part."""
    return job.target_mm - (means.edge.width_mm if job.kind == "parting" else 0.0)


def _whole(
    job: Job, means: Means, bench: Bench, force_n: float, left: float, at: float, more: float = 0.0
) -> PlannedPass:
    power = mechanics.drive_power_w(mechanics.power_w(force_n, means.speed.vc_m_min), bench.machine.efficiency)
    return PlannedPass(
        role="finish", depth_mm=left, at_mm=at, force_n=force_n, power_w=power, deflection_mm=0.0,
        time_s=time_s(job, means, more), limit="size",
    )  # fmt: skip
