"""Other depths of cut: what comes of them agrees with the plan."""

from __future__ import annotations

from itertools import pairwise

import pytest

from planning.parts import BUSH, CONE, FACE, NAMED, PIN, SHOP, part_of
from planning.test_planner import plan_of
from planning.test_schedule import DEPTHS
from waytell.documents.part import Part
from waytell.documents.plan import PlannedStep
from waytell.planning.what_if import NoSuchStep, what_if

STEPS = [
    pytest.param(part, step, id=f"{part.name}, {step.operation.name}")
    for part in NAMED.values() for step in plan_of(part).steps if step.operation.kind in DEPTHS
]  # fmt: skip


@pytest.mark.parametrize(("part", "step"), STEPS)
def test_more_depth_is_more_force_power_and_bending_and_never_more_time(part: Part, step: PlannedStep) -> None:
    points = what_if(part, SHOP, step.number).points
    for name in ("depth_mm", "force_n", "power_w"):
        values = [getattr(point, name) for point in points]
        assert values == sorted(values), name
    # Beyond the nose the straight edge hardly pushes across any more: there the bending may stay, or dip a little.
    pushed = [point.deflection_mm for point in points]
    assert all(b >= 0.97 * a for a, b in pairwise(pushed))
    nose = next(tool.nose_radius_mm for tool in SHOP.tools if tool.name == step.tool)
    within = [point.deflection_mm for point in points if point.depth_mm <= nose]
    assert within == sorted(within)
    times = [point.time_s for point in points]
    assert times == sorted(times, reverse=True)
    assert len(points) >= 20
    assert points[0].depth_mm <= 0.05


@pytest.mark.parametrize(("part", "step"), STEPS)
def test_at_the_planned_depth_it_is_the_plan(part: Part, step: PlannedStep) -> None:
    found = what_if(part, SHOP, step.number)
    deepest = max(step.passes, key=lambda each: (round(each.depth_mm, 9), each.deflection_mm))
    assert found.planned_mm == pytest.approx(deepest.depth_mm)
    (here,) = [point for point in found.points if point.depth_mm == found.planned_mm]
    assert here.force_n == pytest.approx(deepest.force_n)
    assert here.power_w == pytest.approx(deepest.power_w)
    # With a lighter last cut after it, the work is a little thinner than when this one is taken.
    assert here.deflection_mm == pytest.approx(deepest.deflection_mm, rel=0.02)
    assert here.time_s == pytest.approx(step.time_s)


def test_limits_are_those_of_the_motor_and_of_the_size() -> None:
    turning = next(step for step in plan_of(PIN).steps if step.operation.name == "turn 6 to 40")
    found = what_if(PIN, SHOP, turning.number)
    assert found.power_limit_w == SHOP.machine.motor_power_w
    # IT7 over 3 up to 6 mm is 12 micrometres, an eighth of it.
    assert found.deflection_limit_mm == pytest.approx(0.0015)
    roughing = next(step for step in plan_of(PIN).steps if step.operation.name == "rough to 6.19")
    assert what_if(PIN, SHOP, roughing.number).deflection_limit_mm == pytest.approx(0.05)


@pytest.mark.parametrize(
    ("part", "number"),
    [(part, step.number) for part in (BUSH, CONE) for step in plan_of(part).steps if step.operation.kind not in DEPTHS],
)
def test_what_is_cut_in_one_go_has_no_depth_to_choose(part: Part, number: int) -> None:
    with pytest.raises(NoSuchStep, match="one go"):
        what_if(part, SHOP, number)


def test_what_is_not_there_or_done_already_is_refused() -> None:
    with pytest.raises(NoSuchStep, match="no step 99"):
        what_if(BUSH, SHOP, 99)
    with pytest.raises(NoSuchStep, match="no step 1"):
        what_if(part_of([FACE, FACE]), SHOP, 1)
    clean = part_of([FACE], set_ups=[{"out_mm": 30.0, "sawn_mm": 0.0}])
    with pytest.raises(NoSuchStep, match="nothing to take off"):
        what_if(clean, SHOP, 1)
