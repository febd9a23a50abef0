"""A sheet to take to the lathe: what to do in each set-up, to print, to tick and to write on."""

from __future__ import annotations

from typing import Any

from waytell.documents.base import Axis
from waytell.documents.config import Config
from waytell.documents.plan import Caution, Limits, Plan, PlannedStep, SetUpPlan
from waytell.export.figures import Lengths, time_words
from waytell.export.pages import template
from waytell.export.plan_words import FED_TO_THE_END, SPEED_BY, PartSize, heaviest, passes_in_short, sizes_of
from waytell.export.section_svg import section_picture
from waytell.export.set_up_marks import marks_of

COMMON, FIRST = "common_", "common_first"
"""Codes of cautions of every work; the first of them stands over the others on the sheet."""


def set_up_sheet(plan: Plan, config: Config, made: str, set_up: int | None = None) -> str:
    """One HTML file that needs nothing else, of all set-ups or of one; `made` is when, in words.

    Raises:
        ValueError: the plan has no such set-up.
    """
    wanted = [one for one in plan.set_ups if set_up is None or one.number == set_up]
    if not wanted:
        raise ValueError(f"there is no set-up {set_up}: the part has {len(plan.set_ups)}")
    show = _Shown(plan, config)
    numbers = {one.number for one in wanted}
    special, common = _cautions(plan, numbers)
    return template("set_up_sheet.html").render(
        part=plan.part, machine=config.machine, made=made, units=config.units, facts=show.facts(),
        common=common, cautions=special, set_ups=[show.set_up(one) for one in wanted],
    )  # fmt: skip


def _cautions(plan: Plan, set_ups: set[int]) -> tuple[list[Caution], list[Caution]]:
    """Those of this work, and those of every work."""
    elsewhere = {step.number for step in plan.steps if step.set_up not in set_ups}
    here = [one for one in plan.cautions if one.step not in elsewhere]
    return (
        [one for one in here if not one.code.startswith(COMMON)],
        [one for one in here if one.code.startswith(COMMON) and one.code != FIRST],
    )


class _Shown(Lengths):
    """The rows of the sheet."""

    def __init__(self, plan: Plan, config: Config) -> None:
        super().__init__(config.units)
        self._plan = plan

    def facts(self) -> list[tuple[str, str]]:
        plan, bar = self._plan, self._plan.part.bar
        hollow = f", bored {self.number(bar.bore_mm)}" if bar.bore_mm else ""
        return [
            ("bar", f"⌀ {self.number(bar.diameter_mm)}{hollow}"), ("cutting time", time_words(plan.time_s)),
            ("chips", f"{plan.chips_mm3 / 1000:.1f} cm³"), ("mass of the part", f"{plan.mass_g:.1f} g"),
        ]  # fmt: skip

    def set_up(self, one: SetUpPlan) -> dict[str, Any]:
        chucking = self._plan.part.set_ups[one.number - 1]
        label = f"Half section of the work in set-up {one.number}: stock and target"
        return {
            "number": one.number, "tailstock": one.tailstock, "out": self.number(one.out_mm),
            "sawn": self.number(chucking.sawn_mm),
            "picture": section_picture(one.stock, one.target, label, one.number, marks_of(self._plan.part, one)),
            "steps": [self.step(step) for step in self._plan.steps if step.set_up == one.number],
            "sizes": [self.size(size) for size in sizes_of(self._plan.part) if size.set_up == one.number],
        }  # fmt: skip

    def step(self, step: PlannedStep) -> dict[str, Any]:
        heavy = heaviest(step)
        # Values stay with their units where the line is broken.
        load = f"{heavy.force_n:.0f} N, {heavy.power_w:.0f} W".replace(" ", "\N{NO-BREAK SPACE}") if heavy else ""
        return {
            "number": step.number, "words": step.words, "why": step.why, "tool": step.tool,
            "limits": self._limits(step.limits), "rpm": f"{step.speed.rpm:.0f}", "by": SPEED_BY[step.speed.limit],
            "vc": f"{step.speed.vc_m_min:.0f} m/min", "feed": self.number(step.feed_mm_rev),
            "time": time_words(step.time_s), "decided": step.decided_by, "trouble": step.trouble,
            "load": load, "passes": self._passes(step),
        }  # fmt: skip

    def _passes(self, step: PlannedStep) -> list[dict[str, Any]]:
        """Alike passes together, each with the places where the held slide stands."""
        operation, places = step.operation, iter(step.passes)
        fed = FED_TO_THE_END.get(operation.kind)
        if fed and step.passes:
            at = "" if operation.kind == "drilling" else self._place(operation.held_axis, operation.target_mm)
            return [{"words": f"{fed} {self._place(operation.feed_axis, operation.end_mm)}", "at": [at]}]
        return [
            {
                "words": f"{alike.role}{self._depth(operation.held_axis, alike.depth_mm)}",
                "at": [self._place(operation.held_axis, next(places).at_mm) for _ in range(alike.taken)],
            }
            for alike in passes_in_short(step)
        ]

    def _depth(self, axis: Axis, mm: float) -> str:
        if mm == 0:
            return ""
        doubled = axis == "X" and self.diameters
        return f", {self.number(2 * mm)} on ⌀" if doubled else f", {self.number(mm)} deep"

    def _place(self, axis: Axis, mm: float) -> str:
        return ("Z " if axis == "Z" else "") + self.at(axis, mm)

    def _limits(self, limits: Limits | None) -> str:
        if limits is None:
            return ""
        return f"{self.number(limits.low_mm)} to {self.number(limits.high_mm)}, {limits.words}"

    def size(self, one: PartSize) -> dict[str, Any]:
        sign = "⌀ " if one.across else ""
        return {
            "number": one.number, "words": one.words, "from": one.limits.words,
            "nominal": sign + self.number(one.limits.nominal_mm), "low": sign + self.number(one.limits.low_mm),
            "high": sign + self.number(one.limits.high_mm),
        }  # fmt: skip
