"""A step with other depths of cut: what force, power, deflection and time would come of them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from waytell.documents.config import Config
from waytell.documents.part import Part
from waytell.documents.plan import WhatIf, WhatIfPoint
from waytell.planning.cautions import Reckoned
from waytell.planning.loads import cut_of
from waytell.planning.planner import Planner
from waytell.planning.progress import left_mm
from waytell.planning.schedule import DEPTHS_MATTER, deepest_of, deflection_limit_mm, depths, finish_of, springs

POINTS = 24
DEEPEST_MM = 2.0
LEAST_MM = 0.05


class NoSuchStep(ValueError):  # noqa: N818 - it says what is the matter, as the other errors do
    """The part has no such step, or no plan."""


def what_if(part: Part, config: Config, step: int) -> WhatIf:
    """Depths from the least to twice the deepest planned pass, that one among them, at the planned speed and feed.

    Raises:
        NoSuchStep: with what to do.
    """
    found = Planner(part, config).reckoned(step)
    if found is None:
        raise NoSuchStep(f"The plan has no step {step}. Look at the operations again.")
    one, bench = found
    planned = max((each.depth_mm for each in one.passes), default=0.0)
    if one.job.kind not in DEPTHS_MATTER:
        raise NoSuchStep(f"Step {step}, {one.job.name}, is cut in one go: there is no depth to choose.")
    if planned <= 0:
        raise NoSuchStep(f"Step {step}, {one.job.name}, has nothing to take off: there is no depth to choose.")
    finish = finish_of(one.job, one.means, one.before, bench, deepest_of(one.job, one.means, one.before, bench).mm)[0]
    points = []
    for depth in _tried(planned):
        cut = cut_of(one.job, one.means, one.after, bench, depth)
        time_s = cut.time_s * _count(one, depth, finish)
        points.append(WhatIfPoint(depth_mm=depth, **cut._replace(time_s=time_s)._asdict()))
    return WhatIf(
        step=step, points=tuple(points), planned_mm=planned, power_limit_w=bench.machine.motor_power_w,
        deflection_limit_mm=deflection_limit_mm(one.job),
    )  # fmt: skip


def _tried(planned: float) -> Iterator[float]:
    least, most = min(LEAST_MM, planned), max(planned, min(max(2 * planned, 4 * LEAST_MM), DEEPEST_MM))
    even = {least + (most - least) * number / (POINTS - 1) for number in range(POINTS)}
    yield from sorted({depth for depth in even if abs(depth - planned) > 1e-9} | {planned})


def _count(one: Reckoned, depth: float, finish: float) -> int:
    """Passes at a depth; a finishing step is its last cut alone."""
    left = left_mm(one.job, one.before)
    if one.job.stage == "finish":
        return math.ceil(left / depth - 1e-6) + (1 if springs(one.job) else 0)
    return sum(1 for _ in depths(one.job, left, depth, min(finish, depth)))
