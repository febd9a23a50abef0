"""From a part to its operations: the jobs in order, each with tool, speed, feed, passes, time and cautions.

The same reckoning serves before the first cut and after each pass: then the section of the work is the one that is
really left, and what was done is passed over.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from waytell.documents.acts import Operation
from waytell.documents.config import Config
from waytell.documents.materials import Material
from waytell.documents.part import Part
from waytell.documents.plan import (
    Caution,
    Contradiction,
    Plan,
    Planned,
    PlannedPass,
    PlannedStep,
    SetUpPlan,
    SpindleSpeed,
)
from waytell.engine.section import Section
from waytell.planning import cutting
from waytell.planning.cautions import COMMON, Reckoned, cautions_of_job, cautions_of_set_up
from waytell.planning.contradictions import contradictions
from waytell.planning.jobs import Job, jobs_of
from waytell.planning.materials import UnknownMaterial, find
from waytell.planning.means import means_of, speed_limits
from waytell.planning.progress import after
from waytell.planning.schedule import Bench, Depth, passes_of, removed_mm3
from waytell.planning.spoilt import trouble_of
from waytell.planning.target import SetUpTarget, set_up_targets


class Present(NamedTuple):
    """What is really in the chuck: which set-up of the part, and the section that is left of it."""

    set_up: int
    section: Section


def plan(part: Part, config: Config, present: Present | None = None) -> Planned:
    """The plan of a part; without `present` as it is before anything is cut."""
    return Planner(part, config).planned(present)


class Planner:
    """What of a part and a lathe does not change from pass to pass; a part with contradictions has no targets."""

    def __init__(self, part: Part, config: Config) -> None:
        self._part, self._config = part, config
        self._contradictions = list(contradictions(part))
        self._material: Material | None = None
        try:
            self._material = find(part.material, config.materials)
        except UnknownMaterial as error:
            do = "Choose one of them, or enter it as your own."
            self._contradictions.insert(0, Contradiction(features=(), words=str(error), do=do))
        self._contradictions += _of_speeds(config)
        self.targets = () if self._contradictions else set_up_targets(part)
        self._jobs = [jobs_of(part, target) for target in self.targets]

    def planned(self, present: Present | None) -> Planned:
        if self._contradictions or self._material is None:
            return Planned(plan=None, contradictions=tuple(self._contradictions))
        reckoning = _Reckoning(self._part, self._config, self._material, present)
        return Planned(plan=reckoning.plan(self.targets, self._jobs), contradictions=())

    def reckoned(self, number: int, present: Present | None = None) -> tuple[Reckoned, Bench] | None:
        """A step with all that it was reckoned from; None where there is no such step."""
        if self._contradictions or self._material is None:
            return None
        reckoning = _Reckoning(self._part, self._config, self._material, present)
        reckoning.plan(self.targets, self._jobs)
        found = next((one for one in reckoning.found if one.number == number), None)
        if found is None:
            return None
        tailstock = self.targets[found.job.set_up - 1].tailstock
        return found, Bench(self._config.machine, self._material, tailstock)


def _of_speeds(config: Config) -> Iterator[Contradiction]:
    try:
        cutting.chosen_speed(30.0, 10.0, speed_limits(config.machine))
    except ValueError as error:
        yield Contradiction(features=(), words=f"{error}", do="Correct the speeds of the machine or of the chuck.")


class _Reckoning:
    """One plan being made, step after step."""

    def __init__(self, part: Part, config: Config, material: Material, present: Present | None) -> None:
        self._part, self._config, self._material, self._present = part, config, material, present
        self._steps: list[PlannedStep] = []
        self._cautions: list[Caution] = []
        self.found: list[Reckoned] = []
        self._next_found = False

    def plan(self, targets: Sequence[SetUpTarget], jobs: Sequence[list[Job]]) -> Plan:
        set_ups = tuple(self._set_up(target, of_it) for target, of_it in zip(targets, jobs, strict=True))
        steps = tuple(self._steps)
        return Plan(
            part=self._part, steps=steps, set_ups=set_ups, cautions=(*self._cautions, *COMMON),
            time_s=sum(step.time_s for step in steps), chips_mm3=sum(step.chips_mm3 for step in steps),
            mass_g=_mass_g(targets[-1], self._material),
        )  # fmt: skip

    def _set_up(self, target: SetUpTarget, jobs: list[Job]) -> SetUpPlan:
        present, number = self._present, target.number
        here = present is not None and present.set_up == number
        over = present is not None and present.set_up > number
        section = present.section if here and present is not None else target.stock
        if over:
            section = target.target
        started = section
        bench = Bench(self._config.machine, self._material, target.tailstock)
        found: list[Reckoned] = []
        for job in jobs:
            one, section = self._step(job, section, bench, started if here else None, over=over)
            found.append(one)
        self.found += found
        for one in found:
            self._cautions += cautions_of_job(one, target, self._config.machine)
        self._cautions += cautions_of_set_up(self._part, target, found, self._config.machine)
        return SetUpPlan(
            number=number, stock=target.stock.polygon(), now=started.polygon(), target=target.target.polygon(),
            out_mm=target.out_mm, tailstock=target.tailstock,
        )  # fmt: skip

    def _step(
        self, job: Job, section: Section, bench: Bench, really: Section | None, *, over: bool
    ) -> tuple[Reckoned, Section]:
        number = len(self._steps) + 1
        means = means_of(job, self._config.tools, bench.machine, bench.material, section)
        passes, deepest = ((), Depth(0.0, "size", "")) if over else passes_of(job, means, section, bench)
        trouble = trouble_of(job, really) if really is not None else None
        done = section if over else after(job, section)
        state = "done" if over or not passes else "to_do"
        if trouble is not None:
            state = "cannot"
        elif state == "to_do" and not self._next_found and self._present is not None:
            state, self._next_found = "next", True
        feed, nose = means.feed_mm_rev, means.edge.nose_radius_mm
        smooth = nose > 0 and job.kind in ("facing", "turning", "boring", "taper")
        step = PlannedStep(
            number=number, set_up=job.set_up, features=job.features, tool=means.tool.name if means.tool else "",
            operation=_operation(job, passes, means.speed.rpm, deepest.mm), words=_words(job), why=job.why,
            limits=job.limits,
            speed=SpindleSpeed(**means.speed._asdict()), feed_mm_rev=feed, passes=passes, decided_by=deepest.words,
            time_s=sum(each.time_s for each in passes), ra_um=cutting.roughness_ra_um(feed, nose) if smooth else None,
            chips_mm3=removed_mm3(job, section, means.edge) if passes else 0.0, state=state, trouble=trouble or "",
        )  # fmt: skip
        self._steps.append(step)
        return Reckoned(number, job, means, passes, section, done), done


def _operation(job: Job, passes: tuple[PlannedPass, ...], rpm: float, deepest_mm: float) -> Operation:
    """As the Cut screen takes it, which shares out what is left as the plan does: into passes no deeper than these."""
    cuts = [each.depth_mm for each in passes if each.depth_mm > 0]
    finish = [each.depth_mm for each in passes if each.role == "finish"] if job.kind in ("facing", "taper") else []
    width = job.limits.high_mm - job.limits.low_mm if job.limits is not None else 0.0
    return Operation(
        name=job.name, kind=job.kind, start_mm=job.start_mm, end_mm=job.end_mm, target_mm=job.target_mm,
        depth_mm=deepest_mm if deepest_mm > 0 else max(cuts, default=0.3), finish_mm=finish[0] if finish else 0.0,
        # Held at a radius, half of a diameter's limits; along Z the limits are those of the length.
        tolerance_mm=width if job.kind == "facing" else width / 2,
        free_first_pass=job.kind == "facing" and job.set_up == 1, planned_rpm=min(rpm, 10_000.0),
    )  # fmt: skip


def _words(job: Job) -> str:
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
            return f"Centre-drill, then drill {job.diameter_mm:g} mm, {-job.end_mm:.4g} mm deep"
        case "taper":
            end = 2 * (job.target_mm + job.slope * (job.end_mm - job.start_mm))
            return f"Turn the cone from {2 * job.target_mm:.3f} to {end:.3f} mm, {along}"
        case "chamfer":
            return f"Break the edge, {job.name}"
        case "grooving":
            return f"Plunge the groove {job.width_mm:g} mm wide to {2 * job.end_mm:.3f} mm"
        case "parting":
            return f"Part off at {-job.target_mm:.4g} mm from the face"


def _mass_g(target: SetUpTarget, material: Material) -> float:
    return target.whole.volume_mm3() * material.density_kg_m3.value * 1e-6
