"""How far a job has got: what is left of it in a section of the work, and the section with more of it done.

The section may be the one that was planned or the one that is really there; a job does not know which.
"""

from __future__ import annotations

from collections.abc import Iterator

from waytell.engine.profile import Corner
from waytell.engine.section import Section
from waytell.planning.jobs import Job

NO_METAL = float("-inf")
SHOULDER_LOOK_MM = 1.0
"""So near to a shoulder the rounding that a nose leaves, and what roughing left for facing it, do not count."""
DRILL_FIT_MM = 0.05
"""A hole that is wide enough for the drill, less what its size may depart from that of the drill."""
CORNER_MM = 0.1
"""So near to the walls of a groove its floor is not looked at: there the corners of a blade are rounded."""
PART_LOOK_MM = 1e-3
Straight = tuple[float, float, float, float]


def left_mm(job: Job, section: Section) -> float:
    """What the job still has to take off along its held axis, drilling and plunging along its feed axis; mm.

    0 or less where it is done.
    """
    low, high = min(job.start_mm, job.end_mm), max(job.start_mm, job.end_mm)
    clear = clear_of_shoulder_mm(job)
    match job.kind:
        case "facing":
            return section.front_mm - job.target_mm
        case "turning":
            return _or_none(section.largest_radius(clear, high) - job.target_mm)
        case "boring":
            return _or_none(job.target_mm - section.smallest_bore(clear, high))
        case "drilling":
            return _undrilled_mm(job, section)
        case "taper":
            # The corner at the thick end is left to the nose, as at a shoulder.
            return _above_line_mm(job, section.outside.within(clear if job.slope < 0 else low, high))
        case "chamfer":
            if job.inside:
                return _inside_line_mm(job, section.bore.within(low, high))
            return _above_line_mm(job, section.outside.within(low, high))
        case "grooving":
            return plunge_left_mm(job, section, job.target_mm, job.width_mm)
        case "parting":
            return _or_none(section.radius_at(job.target_mm - PART_LOOK_MM) - job.end_mm)


def clear_of_shoulder_mm(job: Job) -> float:
    """Z from where on towards the free end the work is looked at."""
    low, high = min(job.start_mm, job.end_mm), max(job.start_mm, job.end_mm)
    return low + min(SHOULDER_LOOK_MM, (high - low) / 2)


def plunge_left_mm(job: Job, section: Section, at_mm: float, width_mm: float) -> float:
    """How far a blade still has to go in over a width, its corner nearer the headstock at a place."""
    corner = min(CORNER_MM, width_mm / 4)
    return _or_none(section.largest_radius(at_mm + corner, at_mm + width_mm - corner) - job.end_mm)


def _or_none(left: float) -> float:
    """Where there is no metal nothing is left."""
    return left if left > NO_METAL else 0.0


def _undrilled_mm(job: Job, section: Section) -> float:
    """From where the hole is as wide as the drill to its bottom."""
    reached = min(section.front_mm, 0.0)
    for z0, r0, z1, r1 in reversed(list(section.bore.within(job.end_mm, section.front_mm))):
        if min(r0, r1) < job.target_mm - DRILL_FIT_MM:
            reached = z1
            break
        reached = z0
    return max(0.0, reached - job.end_mm)


def line_mm(job: Job, z_mm: float) -> float:
    """Radius of a cone at a place along it."""
    return job.target_mm + job.slope * (z_mm - job.start_mm)


def _line(job: Job, at_mm: float) -> list[Corner]:
    """A cone from end to start, its start at a radius."""
    return [(job.end_mm, at_mm + line_mm(job, job.end_mm) - job.target_mm), (job.start_mm, at_mm)]


def _above_line_mm(job: Job, pieces: Iterator[Straight]) -> float:
    """The most that stands outside a cone, across it."""
    return _or_none(max((r - line_mm(job, z) for z, r in _ends(pieces)), default=NO_METAL))


def _inside_line_mm(job: Job, pieces: Iterator[Straight]) -> float:
    return _or_none(max((line_mm(job, z) - r for z, r in _ends(pieces)), default=NO_METAL))


def _ends(pieces: Iterator[Straight]) -> Iterator[Corner]:
    for z0, r0, z1, r1 in pieces:
        yield z0, r0
        yield z1, r1


def plunged(job: Job, section: Section, at_mm: float, width_mm: float) -> Section:
    """The section after a blade went in, its corner nearer the headstock at a place."""
    return _lowered(section, [(at_mm, job.end_mm), (at_mm + width_mm, job.end_mm)])


def after(job: Job, section: Section, held_mm: float | None = None) -> Section:
    """The section when the job is done, or when its held axis has come to a place."""
    at = job.target_mm if held_mm is None else held_mm
    match job.kind:
        case "facing":
            return Section(section.outside.up_to(at), section.bore.up_to(at))
        case "turning":
            return _lowered(section, [(job.end_mm, at), (max(job.start_mm, section.front_mm), at)])
        case "boring" | "drilling":
            return _opened(section, [(job.end_mm, at), (max(job.start_mm, section.front_mm), at)])
        case "taper" | "chamfer":
            return _opened(section, _line(job, at)) if job.inside else _lowered(section, _line(job, at))
        case "grooving":
            return plunged(job, section, at, job.width_mm)
        case "parting":
            return section


def _lowered(section: Section, line: list[Corner]) -> Section:
    return section._replace(outside=section.outside.lower(line))


def _opened(section: Section, line: list[Corner]) -> Section:
    return section._replace(bore=section.bore.upper(line))
