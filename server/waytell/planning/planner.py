"""From a part to its operations: the jobs in order, each with tool, speed, feed, passes, time and cautions.

The same reckoning serves before the first cut and after each pass: then the section of the work is the one that is
really left, and what was done is passed over.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from waytell.documents.config import Config
from waytell.documents.materials import Material
from waytell.documents.part import Part
from waytell.documents.plan import Caution, Contradiction, Plan, Planned, PlannedStep, SetUpPlan
from waytell.engine.section import Section
from waytell.planning import cutting
from waytell.planning.cautions import COMMON, Reckoned, cautions_of_job
from waytell.planning.contradictions import checked
from waytell.planning.jobs import Job, jobs_of
from waytell.planning.loads import Bench
from waytell.planning.materials import UnknownMaterial, find
from waytell.planning.means import Means, means_of, speed_limits
from waytell.planning.progress import after
from waytell.planning.schedule import passes_of
from waytell.planning.set_up_cautions import cautions_of_set_up
from waytell.planning.spoilt import trouble_of
from waytell.planning.steps import step_of
from waytell.planning.target import SetUpTarget

MOST_PASSES = 2000
"""Nobody winds more of them for one surface."""


class Present(NamedTuple):
    """What is really in the chuck: which set-up of the part, and the section that is left of it."""

    set_up: int
    section: Section


class _Step(NamedTuple):
    """A step reckoned from a section; the same as long as the section before it is the same."""

    reckoned: Reckoned
    planned: PlannedStep
    cautions: tuple[Caution, ...]


def plan(part: Part, config: Config, present: Present | None = None) -> Planned:
    """The plan of a part; without `present` as it is before anything is cut."""
    return Planner(part, config).planned(present)


class Planner:
    """What of a part and a lathe does not change from pass to pass; a part with contradictions has no targets.

    What a step came to is kept, so that after a pass only what it changed is reckoned again.
    """

    def __init__(self, part: Part, config: Config) -> None:
        self._part, self._config = part, config
        found = checked(part)
        self._contradictions = list(found.contradictions)
        self._material: Material | None = None
        try:
            self._material = find(part.material, config.materials)
        except UnknownMaterial as error:
            do = "Choose one of them, or enter it as your own."
            self._contradictions.insert(0, Contradiction(features=(), words=str(error), do=do))
        self._contradictions += [*_of_speeds(config), *_of_depths(part, config)]
        self.targets = () if self._contradictions else found.targets
        drills = [tool.diameter_mm for tool in config.tools if tool.kind == "drill"]
        self.jobs = [jobs_of(part, target, drills) for target in self.targets]
        self._means = list(self._planned_means())
        self._kept: dict[int, _Step] = {}
        self._kept_cautions: dict[int, tuple[list[Reckoned], tuple[Caution, ...]]] = {}
        self._mass_g = _mass_g(self.targets[-1], self._material) if self.targets and self._material else 0.0

    def _planned_means(self) -> Iterator[Means]:
        """Of each job, for the work as it is planned to be then: tool and speed stay while a step is under way."""
        if self._material is None:
            return
        for target, jobs in zip(self.targets, self.jobs, strict=True):
            section = target.stock
            for job in jobs:
                yield means_of(job, self._config.tools, self._config.machine, self._material, section)
                section = after(job, section)

    def planned(self, present: Present | None) -> Planned:
        if self._contradictions or self._material is None:
            return Planned(plan=None, contradictions=tuple(self._contradictions))
        steps: list[PlannedStep] = []
        cautions: list[Caution] = []
        set_ups = []
        for target, jobs in zip(self.targets, self.jobs, strict=True):
            number, started = target.number, _started(target, present)
            over = present is not None and present.set_up > number
            bench = Bench(self._config.machine, self._material, target.tailstock)
            found = self._reckoned_from(started, jobs, bench, len(steps))
            here = started if present is not None and present.set_up == number else None
            steps += [_as_it_is(one, here, target.target, over=over) for one in found]
            cautions += [caution for one in found for caution in one.cautions]
            cautions += self._cautions_of(target, [one.reckoned for one in found], bench)
            set_ups.append(SetUpPlan(
                number=number, stock=target.stock.polygon(), now=started.polygon(), target=target.target.polygon(),
                out_mm=target.out_mm, tailstock=target.tailstock,
            ))  # fmt: skip
        if present is not None:
            steps = _with_next(steps)
        plan = Plan(
            part=self._part, steps=tuple(steps), set_ups=tuple(set_ups), cautions=(*cautions, *COMMON),
            time_s=sum(step.time_s for step in steps), chips_mm3=sum(step.chips_mm3 for step in steps),
            mass_g=self._mass_g,
        )  # fmt: skip
        return Planned(plan=plan, contradictions=())

    def reckoned(self, number: int) -> tuple[Reckoned, Bench] | None:
        """A step with all that it was reckoned from, before anything is cut; None where there is no such step."""
        if self._contradictions or self._material is None:
            return None
        self.planned(None)
        if number not in self._kept:
            return None
        found = self._kept[number].reckoned
        return found, Bench(self._config.machine, self._material, self.targets[found.job.set_up - 1].tailstock)

    def _reckoned_from(self, section: Section, jobs: list[Job], bench: Bench, before: int) -> list[_Step]:
        found = []
        for number, job in enumerate(jobs, start=before + 1):
            kept = self._kept.get(number)
            if kept is None or kept.reckoned.before != section:
                kept = self._kept[number] = self._step(number, job, section, bench)
            found.append(kept)
            section = kept.reckoned.after
        return found

    def _step(self, number: int, job: Job, section: Section, bench: Bench) -> _Step:
        means = self._means[number - 1]
        passes, deepest = passes_of(job, means, section, bench)
        reckoned = Reckoned(number, job, means, passes, section, after(job, section))
        cautions = tuple(cautions_of_job(reckoned, self.targets[job.set_up - 1], bench))
        return _Step(reckoned, step_of(number, job, means, section, passes, deepest), cautions)

    def _cautions_of(self, target: SetUpTarget, found: list[Reckoned], bench: Bench) -> tuple[Caution, ...]:
        kept = self._kept_cautions.get(target.number)
        if kept is None or any(a is not b for a, b in zip(kept[0], found, strict=True)):
            kept = found, tuple(cautions_of_set_up(self._part, target, found, bench))
            self._kept_cautions[target.number] = kept
        return kept[1]


def _started(target: SetUpTarget, present: Present | None) -> Section:
    """The section that the steps of a set-up are reckoned from."""
    if present is None or present.set_up < target.number:
        return target.stock
    return present.section if present.set_up == target.number else target.target


def _as_it_is(one: _Step, really: Section | None, target: Section, *, over: bool) -> PlannedStep:
    """The step with what the metal that is really there says of it."""
    if over:
        return one.planned.model_copy(
            update={"state": "done", "passes": (), "time_s": 0.0, "chips_mm3": 0.0, "decided_by": ""}
        )
    trouble = trouble_of(one.reckoned.job, really, target) if really is not None else None
    return one.planned.model_copy(update={"state": "cannot", "trouble": trouble}) if trouble else one.planned


def _with_next(steps: list[PlannedStep]) -> list[PlannedStep]:
    first = next((place for place, step in enumerate(steps) if step.state == "to_do"), None)
    if first is None:
        return steps
    return [*steps[:first], steps[first].model_copy(update={"state": "next"}), *steps[first + 1 :]]


def _mass_g(target: SetUpTarget, material: Material) -> float:
    return target.whole.volume_mm3() * material.density_kg_m3.value * 1e-6


# -- what no plan can be made with -------------------------------------------------------------------------------------


def _of_speeds(config: Config) -> Iterator[Contradiction]:
    try:
        cutting.chosen_speed(30.0, 10.0, speed_limits(config.machine))
    except ValueError as error:
        yield Contradiction(features=(), words=f"{error}", do="Correct the speeds of the machine or of the chuck.")


def _of_depths(part: Part, config: Config) -> Iterator[Contradiction]:
    depth = min(config.machine.deepest_pass_mm, *(tool.deepest_mm or 5000.0 for tool in config.tools), 5000.0)
    most = max(part.bar.diameter_mm / 2, *(held.sawn_mm for held in part.set_ups))
    if most > MOST_PASSES * depth:
        yield Contradiction(
            features=(), words=f"At {depth:g} mm a pass {most:g} mm of the bar would take {most / depth:.0f} passes.",
            do=f"Allow deeper passes of the lathe and its tools: {most / MOST_PASSES:.2g} mm or more.",
        )  # fmt: skip
