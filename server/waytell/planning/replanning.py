"""The plan after each pass: the same reckoning from the metal that is really left, and what changed by it."""

from __future__ import annotations

from waytell.documents.config import Units
from waytell.documents.plan import Plan, PlannedStep
from waytell.engine.words import MM_PER_INCH

TOLD_MM = 0.005


def told(before: Plan, now: Plan, units: Units) -> Plan:
    """The plan now, with each step saying how it differs from the plan before, in the person's units.

    Steps are known by the names of their operations.
    """
    was = {step.operation.name: step for step in before.steps}
    steps = tuple(_told(was.get(step.operation.name), step, units) for step in now.steps)
    return now.model_copy(update={"steps": steps})


def _told(was: PlannedStep | None, now: PlannedStep, units: Units) -> PlannedStep:
    words = _change(was, now, units) if was is not None else ""
    return now.model_copy(update={"was": words}) if words else now


def _change(was: PlannedStep, now: PlannedStep, units: Units) -> str:
    """Depth of the next pass and number of passes; empty where a pass was taken as it was planned."""
    before, left = _cutting(was), _cutting(now)
    if not left or not before:
        return ""
    # One pass fewer at the same depth is the plan being followed.
    if abs(before[0] - left[0]) < TOLD_MM:
        return "" if len(before) - len(left) in (0, 1) else f"was {len(before)} passes, now {len(left)}"
    if len(before) == 1 + len(left) and abs(before[1] - left[0]) < TOLD_MM:
        return ""
    return f"was {_length(before[0], units)}, now {_length(left[0], units)}"


def _length(depth_mm: float, units: Units) -> str:
    return f"{depth_mm / MM_PER_INCH:.4f} in" if units.length == "inch" else f"{depth_mm:.2f}"


def _cutting(step: PlannedStep) -> list[float]:
    return [one.depth_mm for one in step.passes if one.depth_mm > 0]
