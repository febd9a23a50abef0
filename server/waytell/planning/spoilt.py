"""Whether a step can still be met by the metal that is really there, and what can be saved where it cannot."""

from __future__ import annotations

from waytell.documents.plan import Limits
from waytell.engine.section import Section
from waytell.planning.jobs import Job
from waytell.planning.progress import left_mm

SURE_MM = 0.01
"""So little beyond a limit may be the readout's own error: no more than a warning would be true."""


def trouble_of(job: Job, section: Section, target: Section) -> str | None:
    """Words where more was taken off than the size allows; None where the step can still be met.

    What other features of the target take off there is no fault.
    """
    over = -left_mm(job, section) - max(0.0, -left_mm(job, target))
    if job.kind in ("turning", "boring", "grooving"):
        # A radius may be off by half of what the diameter may be.
        over -= _slack(job.limits) / 2 if job.limits is not None else 0.0
        return _across(job, section, over) if over > SURE_MM and job.stage != "rough" else None
    if job.kind == "facing":
        over -= _slack(job.limits) if job.limits is not None else 0.0
        return _along(job, over) if over > SURE_MM else None
    return None


def _slack(limits: Limits) -> float:
    return (limits.high_mm - limits.low_mm) / 2


def _across(job: Job, section: Section, over: float) -> str:
    left = left_mm(job, section)
    now = 2 * (job.target_mm + left if job.kind != "boring" else job.target_mm - left)
    if job.kind == "grooving":
        now = 2 * (job.end_mm + left)
    limits = job.limits
    side = "above its upper" if job.kind == "boring" else "below its lower"
    edge = (limits.high_mm if job.kind == "boring" else limits.low_mm) if limits is not None else 2 * job.target_mm
    return (
        f"It reads {now:.3f} mm, {2 * over:.3f} mm {side} limit of {edge:.3f} mm. Measure it. If that is so, the part "
        "can be saved only where what it fits is made to match, or by a sleeve; else begin anew with what is "
        "left of the bar."
    )


def _along(job: Job, over: float) -> str:
    if job.set_up == 1:
        return (
            f"The end lies {over:.3f} mm behind where the finished face should be. Nothing is lost while the bar "
            "is long enough: touch off along with this face as 0, and all lengths follow."
        )
    limits = job.limits
    low = f" (lower limit {limits.low_mm:.3f} mm)" if limits is not None else ""
    return (
        f"The part is {over:.3f} mm shorter than its length allows{low}. Measure it. It can be saved only where it may "
        "be that short, or with a shim beside it; else begin anew."
    )
