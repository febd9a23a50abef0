"""Watches one stroke of the tool, step by step, and says afterwards what truly happened in it.

Which strokes are watched, and what they were meant to be, the person says; how they went is measured here from the
lathe itself, in the work coordinates the person has in mind.
"""

from __future__ import annotations

import statistics
from typing import TYPE_CHECKING, NamedTuple

from waytell_bridge.simulated.truth import TruePass

if TYPE_CHECKING:
    from waytell_bridge.simulated.job import Job
    from waytell_bridge.simulated.lathe import Lathe
    from waytell_bridge.simulated.truth import Axis, Role


STILL_MM = 1e-6


class Sample(NamedTuple):
    """One step: true places of the tool's corner in work coordinates, and what it met."""

    t_s: float
    feed_mm: float
    held_mm: float
    near: bool
    depth_mm: float


class Stroke:
    def __init__(self, job: Job, role: Role, lathe: Lathe, zero_mm: dict[Axis, float], surface_mm: float) -> None:
        """`surface_mm`: where the surface before this stroke lies on the held axis."""
        self._job, self._role, self._lathe = job, role, lathe
        self._zero_mm, self._surface_mm = dict(zero_mm), surface_mm
        self._before_mm3 = lathe.stock.volume_mm3()
        self._samples: list[Sample] = []

    def observe(self) -> None:
        lathe, met = self._lathe, self._lathe.contact
        x, z = lathe.tool_x_mm - self._zero_mm["X"], lathe.tool_z_mm - self._zero_mm["Z"]
        feed, held = (x, z) if self._job.feed_axis == "X" else (z, x)
        self._samples.append(Sample(lathe.t_s, feed, held, met.near, met.depth_mm))

    def _settle(self) -> None:
        """The rest after the feed has stopped is no part of the stroke."""
        last = self._samples[-1].feed_mm
        while len(self._samples) > 1 and abs(self._samples[-2].feed_mm - last) < STILL_MM:
            self._samples.pop()

    @property
    def _contact(self) -> list[Sample]:
        """From the first touch to the last."""
        near = [i for i, sample in enumerate(self._samples) if sample.near]
        return self._samples[near[0] : near[-1] + 1] if near else []

    def finish(self, *, completed: bool) -> TruePass | None:
        """The pass that it was; None where the stroke was over before it began."""
        if not self._samples:
            return None
        self._settle()
        touching = self._contact
        during = touching or self._samples
        held = statistics.median(sample.held_mm for sample in during)
        creep, creep_at = self._largest_creep(touching)
        return TruePass(
            kind=self._job.kind,
            role=self._role,
            completed=completed,
            feed_axis=self._job.feed_axis,
            held_axis=self._job.held_axis,
            from_mm=self._samples[0].feed_mm,
            to_mm=self._samples[-1].feed_mm,
            start_mm=touching[0].feed_mm if touching else None,
            end_mm=touching[-1].feed_mm if touching else None,
            held_mm=held,
            metal_mm=self._metal_mm(touching),
            set_depth_mm=self._surface_mm - held,
            # A corner at the end of the stroke shows a depth that is not the pass's: hence the median.
            depth_mm=statistics.median(sample.depth_mm for sample in during),
            creep_mm=creep,
            creep_at_mm=creep_at,
            volume_mm3=self._before_mm3 - self._lathe.stock.volume_mm3(),
            t_start_s=during[0].t_s,
            t_end_s=during[-1].t_s,
            x_zero_mm=self._zero_mm["X"],
            z_zero_mm=self._zero_mm["Z"],
        )

    def _largest_creep(self, touching: list[Sample]) -> tuple[float, float | None]:
        if not touching:
            return 0.0, None
        stood = self._samples[0].held_mm
        worst = max(touching, key=lambda sample: abs(sample.held_mm - stood))
        return worst.held_mm - stood, worst.feed_mm

    def _metal_mm(self, touching: list[Sample]) -> float | None:
        if not touching:
            return None
        half, stock = (touching[0].feed_mm + touching[-1].feed_mm) / 2, self._lathe.stock
        if self._job.kind == "facing":
            return stock.face_mm(half + self._zero_mm["X"]) - self._zero_mm["Z"]
        return stock.diameter_mm(half + self._zero_mm["Z"]) / 2 - self._zero_mm["X"]
