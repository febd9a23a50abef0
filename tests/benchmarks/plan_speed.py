"""Cost of a plan: made anew while a part is typed, and again after each pass while it is cut.

An invented part of 20 features. Beside it, in the same run: pydantic reading the same part from JSON, and shapely (a
general library of plane geometry) joining the same half section from boxes. Aims: 50 ms a plan, 5 ms after a pass.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Iterator
from typing import Any

from shapely.geometry import box
from shapely.geometry.base import BaseGeometry

from benchmarks.table import print_table
from planning.parts import FACE, SHOP
from waytell.documents.part import Bore, Groove, Hole, Part, Turned
from waytell.planning.planner import Planner, Present, plan
from waytell.planning.progress import after
from waytell.planning.sizes import limits_of, middle_mm

TIMES = 20
FAR_MM = 500.0


def twenty() -> Part:
    features: list[dict[str, Any]] = [FACE]
    features += [
        {"kind": "turned", "diameter": {"mm": 32.0 - 2 * n, "tolerance_class": "h8"}, "to": 60.0 - 7 * n}
        for n in range(7)
    ]
    features += [
        {"kind": "hole", "diameter_mm": 6.0, "to_mm": 70.0},
        {"kind": "bore", "diameter": {"mm": 10.0, "tolerance_class": "H7"}, "to": 30.0},
        {"kind": "hole", "diameter_mm": 9.5, "to_mm": 32.0},
        {"kind": "bore", "diameter": 12.0, "to": 10.0},
        {"kind": "groove", "from_mm": 50.0, "to_mm": 53.0, "diameter": 28.0},
        {"kind": "groove", "from_mm": 41.0, "to_mm": 43.0, "diameter": 24.0},
        {"kind": "chamfer", "size_mm": 0.5},
        {"kind": "chamfer", "size_mm": 0.5, "where": "inside"},
        {"kind": "chamfer", "size_mm": 0.5, "at_mm": 60.0},
        {"kind": "part_off", "at_mm": 64.0},
        {"kind": "face", "set_up": 2, "length": {"mm": 63.5, "upper_mm": 0.0, "lower_mm": -0.1}},
        {"kind": "chamfer", "set_up": 2, "size_mm": 0.5},
    ]
    return Part.model_validate({
        "name": "twenty features, invented", "material": "mild steel", "bar": {"diameter_mm": 38.0},
        "set_ups": [{"out_mm": 80.0}, {"out_mm": 20.0}], "features": features,
    })  # fmt: skip


def by_shapely(part: Part) -> BaseGeometry:
    """The half section of the first set-up, edges left unbroken."""

    def middle(size: Any) -> float:
        return middle_mm(limits_of(size, part.general_tolerance))

    work: BaseGeometry = box(-part.set_ups[0].out_mm, 0.0, 0.0, part.bar.diameter_mm / 2)
    for one in part.features:
        match one:
            case Turned():
                work = work.difference(box(-middle(one.to), middle(one.diameter) / 2, -one.from_mm, FAR_MM))
            case Groove():
                work = work.difference(box(-one.to_mm, middle(one.diameter) / 2, -one.from_mm, FAR_MM))
            case Bore():
                work = work.difference(box(-middle(one.to), -1.0, 0.0, middle(one.diameter) / 2))
            case Hole():
                work = work.difference(box(-one.to_mm, -1.0, 0.0, one.diameter_mm / 2))
    return work


def best_ms(work: Callable[[], object]) -> float:
    """Of several; processor time, so that a busy machine does not count."""
    times = []
    for _ in range(TIMES):
        start_s = time.process_time()
        work()
        times.append(time.process_time() - start_s)
    return min(times) * 1000


def passes(part: Part, *, off_mm: float) -> Iterator[tuple[Planner, Present]]:
    """The first set-up cut pass by pass, each a little off its place."""
    planner = Planner(part, SHOP)
    section = planner.targets[0].stock
    for job in planner.jobs[0]:
        planned = planner.planned(Present(1, section)).plan
        assert planned is not None
        step = next(one for one in planned.steps if one.operation.name == job.name)
        for taken in step.passes:
            if job.kind in ("facing", "turning", "boring"):
                section = after(job, section, taken.at_mm + off_mm)
            else:
                section = after(job, section)
            yield planner, Present(1, section)


def after_a_pass_ms(part: Part, off_mm: float) -> list[float]:
    times = []
    for planner, present in passes(part, off_mm=off_mm):
        start_s = time.process_time()
        planner.planned(present)
        times.append((time.process_time() - start_s) * 1000)
    return times


def main() -> None:
    part = twenty()
    assert len(part.features) == 20
    made = plan(part, SHOP).plan
    assert made is not None
    text = part.model_dump_json()
    document, polygons = best_ms(lambda: Part.model_validate_json(text)), best_ms(lambda: by_shapely(part))
    rows = []

    def row(name: str, ms: float, aim: str) -> None:
        rows.append((name, f"{ms:.2f} ms", aim, f"{ms / document:.0f}", f"{ms / polygons:.1f}"))

    row(f"plan of 20 features, {len(made.steps)} steps", best_ms(lambda: plan(part, SHOP)), "50 ms")
    times = after_a_pass_ms(part, -0.003)
    row(f"again after a pass, median of {len(times)}", statistics.median(times), "5 ms")
    row("the worst of them", max(times), "-")
    row("part read by pydantic (reference)", document, "-")
    row("half section joined by shapely (reference)", polygons, "-")
    print_table("Cost of a plan", ("what", "processor", "aim", "x pydantic", "x shapely"), rows)


if __name__ == "__main__":
    main()
