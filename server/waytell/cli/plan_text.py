"""A plan as text for a person."""

from __future__ import annotations

import sys
from collections.abc import Iterable

from rich.table import Table

from waytell.cli.saying import console_for, plain, say
from waytell.documents.base import Axis
from waytell.documents.config import Config
from waytell.documents.plan import Caution, Contradiction, Plan, PlannedStep
from waytell.export.figures import Lengths, time_words
from waytell.export.plan_words import FED_TO_THE_END, SPEED_BY, passes_in_short


def print_plan(plan: Plan, config: Config, set_up: int | None) -> None:
    """Of all set-ups, or of one."""
    console = console_for(sys.stdout)
    show = Lengths(config.units)
    say(console, _head(plan, config, show))
    for one in plan.set_ups:
        if set_up not in (None, one.number):
            continue
        steps = [step for step in plan.steps if step.set_up == one.number]
        tailstock = ", with the tailstock" if one.tailstock else ""
        title = f"Set-up {one.number}: {show.number(one.out_mm)} {config.units.length} out of the chuck{tailstock}"
        console.print(_table(title, steps, config, show))
    left_out = {step.number for step in plan.steps if set_up not in (None, step.set_up)}
    say(console, _heed(one for one in plan.cautions if one.step not in left_out))


def print_contradictions(found: Iterable[Contradiction]) -> None:
    """To standard error, as whatever stands in the way."""
    console = console_for(sys.stderr)
    say(console, ["This part cannot be made as it is described:"])
    say(console, (f"  {one.words.rstrip('.')}. {one.do}" for one in found))


def _head(plan: Plan, config: Config, show: Lengths) -> list[str]:
    part, unit = plan.part, config.units.length
    hollow = f", bored {show.number(part.bar.bore_mm)}" if part.bar.bore_mm else ""
    across = "diameters" if show.diameters else "radii"
    bar = f"bar {show.number(part.bar.diameter_mm)} {unit}{hollow}"
    return [
        f"{part.name}: {part.material}, {bar}, on {config.machine.name}",
        f"{time_words(plan.time_s)} of cutting, {plan.chips_mm3 / 1000:.1f} cm3 of chips, the part {plan.mass_g:.1f} g",
        f"Numbers in {unit}; across the work {across}, along it Z, which is 0 at the finished face.",
        *([part.note] if part.note else []),
    ]


def _table(title: str, steps: list[PlannedStep], config: Config, show: Lengths) -> Table:
    table = Table(title=plain(title), title_justify="left", show_lines=True)
    for name in (
        "step",
        "operation",
        "tool",
        "turns/min, by",
        f"feed {config.units.length}",
        "passes",
        "depth by",
        "time",
    ):
        table.add_column(name, justify="right" if name in ("step", "time") else "left")
    for step in steps:
        table.add_row(*(plain(cell) for cell in _row(step, show)))
    return table


def _row(step: PlannedStep, show: Lengths) -> tuple[str, ...]:
    limits = step.limits
    within = f"\n{show.number(limits.low_mm)} to {show.number(limits.high_mm)}, {limits.words}" if limits else ""
    trouble = f"\n{step.trouble}" if step.trouble else ""
    return (
        str(step.number), f"{step.words}{within}{trouble}", step.tool or "none entered",
        f"{step.speed.rpm:.0f}, {SPEED_BY[step.speed.limit]}", show.number(step.feed_mm_rev), _passes(step, show),
        step.decided_by, time_words(step.time_s),
    )  # fmt: skip


def _passes(step: PlannedStep, show: Lengths) -> str:
    if not step.passes:
        return "nothing left"
    operation = step.operation
    if operation.kind in FED_TO_THE_END:
        return f"{FED_TO_THE_END[operation.kind]} {show.number(_across(operation.feed_axis, show) * operation.end_mm)}"
    doubled = _across(operation.held_axis, show)
    return "\n".join(
        f"{alike.taken} {alike.role}" + (f", {show.number(doubled * alike.depth_mm)}" if alike.depth_mm else "")
        for alike in passes_in_short(step)
    )


def _across(axis: Axis, show: Lengths) -> int:
    return 2 if axis == "X" and show.diameters else 1


def _heed(cautions: Iterable[Caution]) -> Iterable[str]:
    yield "To heed:"
    for one in cautions:
        yield f"  {f'step {one.step}, ' if one.step else ''}{one.words} {one.do}"
