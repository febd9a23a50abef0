"""A step with other depths of cut: what force, power, deflection and time would come of them."""

from __future__ import annotations

import math

from waytell.documents.config import Config
from waytell.documents.part import Part
from waytell.documents.plan import WhatIf, WhatIfPoint
from waytell.planning.planner import Planner
from waytell.planning.progress import left_mm
from waytell.planning.schedule import DEPTHS_MATTER, cut_of, deflection_limit_mm

POINTS = 24
DEEPEST_MM = 2.0
LEAST_MM = 0.05


class NoSuchStep(ValueError):  # noqa: N818 - it says what is the matter, as the other errors do
    """The part has no such step, or no plan."""


def what_if(part: Part, config: Config, step: int) -> WhatIf:
    """Depths from the least to twice the deepest planned pass, at the planned speed and feed.

    Raises:
        NoSuchStep: with what to do.
    """
    found = Planner(part, config).reckoned(step)
    if found is None:
        raise NoSuchStep(f"The plan has no step {step}. Look at the operations again.")
    one, bench = found
    planned = max((each.depth_mm for each in one.passes), default=0.0)
    if one.job.kind not in DEPTHS_MATTER or planned <= 0:
        raise NoSuchStep(f"Step {step}, {one.job.name}, is cut in one go: there is no depth to choose.")
    deepest = min(max(2 * planned, 4 * LEAST_MM), DEEPEST_MM)
    left = left_mm(one.job, one.before)
    points = []
    for number in range(POINTS):
        depth = LEAST_MM + (deepest - LEAST_MM) * number / (POINTS - 1)
        cut = cut_of(one.job, one.means, one.after, bench, depth)
        time_s = cut.time_s * math.ceil(left / depth - 1e-6)
        points.append(WhatIfPoint(depth_mm=depth, **cut._replace(time_s=time_s)._asdict()))
    return WhatIf(
        step=step, points=tuple(points), planned_mm=planned, power_limit_w=bench.machine.motor_power_w,
        deflection_limit_mm=deflection_limit_mm(one.job),
    )  # fmt: skip
