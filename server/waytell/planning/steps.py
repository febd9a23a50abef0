"""A reckoned job as a step of the plan: the operation as the Cut screen takes it, and what is done in words."""

from __future__ import annotations

from waytell.documents.acts import Operation
from waytell.documents.plan import PlannedPass, PlannedStep, SpindleSpeed
from waytell.engine.section import Section
from waytell.planning import cutting
from waytell.planning.jobs import Job
from waytell.planning.loads import removed_mm3
from waytell.planning.means import Means, point_mm
from waytell.planning.schedule import Depth, blade_mm

SMOOTH = ("facing", "turning", "boring", "taper")
"""Where the nose leaves its grooves."""
FARTHEST_MM = -5000.0
"""No document holds more: beyond any lathe, but what is mistyped must not end in an error."""


def step_of(
    number: int, job: Job, means: Means, section: Section, passes: tuple[PlannedPass, ...], deepest: Depth
) -> PlannedStep:
    """As it is while nothing is known of what was really cut."""
    feed, nose = means.feed_mm_rev, means.edge.nose_radius_mm
    smooth = nose > 0 and job.kind in SMOOTH
    return PlannedStep(
        number=number, set_up=job.set_up, features=job.features, tool=means.tool.name if means.tool else "",
        operation=_operation(job, means, passes, deepest.mm), words=_words(job, passes), why=job.why,
        limits=job.limits, speed=SpindleSpeed(**means.speed._asdict()), feed_mm_rev=feed, passes=passes,
        decided_by=deepest.words, time_s=sum(each.time_s for each in passes),
        ra_um=cutting.roughness_ra_um(feed, nose) if smooth else None,
        chips_mm3=removed_mm3(job, section, means.edge) if passes else 0.0, state="to_do" if passes else "done",
    )  # fmt: skip


def _operation(job: Job, means: Means, passes: tuple[PlannedPass, ...], deepest_mm: float) -> Operation:
    """As the Cut screen takes it, which shares out what is left as the plan does: into passes no deeper than these.

    A drill is told where its point goes, a blade where its corner nearer the headstock goes.
    """
    cuts = [each.depth_mm for each in passes if each.depth_mm > 0]
    finish = [each.depth_mm for each in passes if each.role == "finish"] if job.kind in SMOOTH else []
    width = job.limits.high_mm - job.limits.low_mm if job.limits is not None else 0.0
    return Operation(
        name=job.name, kind=job.kind, start_mm=job.start_mm,
        end_mm=max(FARTHEST_MM, job.end_mm - point_mm(job, means.edge)),
        target_mm=max(FARTHEST_MM, blade_mm(job, means)),
        depth_mm=deepest_mm if deepest_mm > 0 else max(cuts, default=0.3),
        finish_mm=finish[0] if finish else 0.0,
        # Held at a radius, half of a diameter's limits; along Z the limits are those of the length.
        tolerance_mm=width if job.kind == "facing" else 0.0 if job.kind == "grooving" else width / 2,
        free_first_pass=job.kind == "facing" and job.set_up == 1, planned_rpm=min(means.speed.rpm, 10_000.0),
    )  # fmt: skip


def _words(job: Job, passes: tuple[PlannedPass, ...]) -> str:
    along = f"from {abs(job.start_mm):.4g} to {abs(job.end_mm):.4g} mm from the face"
    match job.kind:
        case "facing":
            return "Face the end" + (" to length" if job.limits is not None else "")
        case "turning":
            what = "Rough" if job.stage == "rough" else "Finish"
            return f"{what} the outside to {2 * job.target_mm:.3f} mm, {along}"
        case "boring":
            what = "Rough" if job.stage == "rough" else "Finish"
            return f"{what} the bore to {2 * job.target_mm:.3f} mm, {along}"
        case "drilling":
            return f"{_begun(job)} {job.diameter_mm:g} mm, {-job.end_mm:.4g} mm deep at its full diameter"
        case "taper":
            end = 2 * (job.target_mm + job.slope * (job.end_mm - job.start_mm))
            return f"Turn the cone from {2 * job.target_mm:.3f} to {end:.3f} mm, {along}"
        case "chamfer":
            where = "inside" if job.inside else "outside"
            at = f"{-job.start_mm:.4g} mm from the face" if job.start_mm else "at the face"
            return f"Break the {where} edge {at} by {job.start_mm - job.end_mm:.4g} mm"
        case "grooving":
            times = f" in {len(passes)} plunges side by side" if len(passes) > 1 else ""
            return f"Plunge the groove {job.width_mm:g} mm wide to {2 * job.end_mm:.3f} mm{times}"
        case "parting":
            return f"Part off at {-job.target_mm:.4g} mm from the face, the blade beside it towards the headstock"


def _begun(job: Job) -> str:
    return "Centre-drill, then drill" if job.begins else "Drill"
