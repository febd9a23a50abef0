"""A finished pass as it is told and kept: figures, and what its pictures need.

Between two passes it listens along: spindle speed while the feed went on, and doubts that came up and went again.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from waytell.documents import acts
from waytell.documents.base import Axis, Slide
from waytell.documents.pictures import pack
from waytell.documents.state import DoubtCode, Pass
from waytell.engine.distance_to_go import Warm, feed_end_mm, feed_sign, to_go_mm
from waytell.engine.known import Known, drill
from waytell.engine.passes import Cut, creep, place, speed_mm_s, taken_off
from waytell.engine.profile import Corner
from waytell.engine.section import Section
from waytell.engine.words import fine_length
from waytell_bridge.reading import SpindlePulse

if TYPE_CHECKING:
    from waytell.engine.engine import Engine

SAMPLES = 240
KEPT_PULSES = 4096
UNHEARD_MM = 1.0
TURNED_BY_HAND_RPM = 25.0  # common practice, no source: no spindle cuts as slowly


class _Worked(NamedTuple):
    """What a pass did to the half section; nothing is known where no outline is."""

    before: tuple[Corner, ...] = ()
    after: tuple[Corner, ...] = ()
    area_mm2: float | None = None
    volume_mm3: float | None = None

    @classmethod
    def of(cls, before: Section | None, after: Section | None) -> _Worked:
        if before is None or after is None:
            return cls()
        area, volume = before.area_mm2() - after.area_mm2(), before.volume_mm3() - after.volume_mm3()
        return cls(before.polygon(), after.polygon(), area, volume)


class PassRecord:
    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._speeds: deque[tuple[float, float]] = deque(maxlen=KEPT_PULSES)
        """(time, revolutions a minute) as the tach told them."""
        self._doubts: dict[DoubtCode, float] = {}
        """When a reason for doubt was last seen."""
        self._doubtful_passes = 0

    def heard_spindle(self, pulse: SpindlePulse, rpm: float) -> None:
        self._speeds.append((pulse.t_s, rpm))

    def unheard(self, moved_mm: float, *, in_pass: bool) -> None:
        """A long silence is over in which the slides went on: what was cut meanwhile is not known.

        Nor is then what stood where the next pass came to.
        """
        if moved_mm > UNHEARD_MM:
            self._doubtful_passes = 2 if in_pass else 1

    def note_doubts(self, t_s: float) -> None:
        """Something changed that figures may be doubted for."""
        for code in self._engine.reasons("X") + self._engine.reasons("Z"):
            self._doubts[code] = t_s

    def finished(self, cut: Cut) -> tuple[str, dict[str, Any]] | None:
        """Words and body of a finished pass; None where the spindle stood, so that nothing can have been cut."""
        engine = self._engine
        known, section = engine.known, engine.section_before
        # Measured by the board's clock, told in the host's, like everything else that happened.
        begin_s, end_s = (point.t_s + engine.later_s() for point in (cut.points[0], cut.points[-1]))
        if self._stood_still(begin_s, end_s):
            return None
        worked = _Worked.of(section, taken_off(section, cut, known.tool) if section is not None else None)
        passed = self._passed(cut, begin_s, end_s, worked)
        held_axis: Axis = "Z" if passed.feed_axis == "X" else "X"
        depth = "" if cut.depth_mm is None else f", {fine_length(cut.depth_mm, known.units)} deep"
        return f"Pass {passed.number}: {passed.kind}, {cut.role}{depth}", {
            **self._body(passed, cut.path, _samples(cut, known.config.compound.angle_deg), worked),
            "held_counts": list(engine.place.counts_at(known, held_axis, cut.held_mm)),
            "sound": not engine.doubts.lost_count(held_axis, known),
        }

    def drilled(self, act: acts.Drilled) -> tuple[str, dict[str, Any]]:
        """A hole that no scale saw, by the person's word: full to where it was said, the point goes deeper."""
        engine, known = self._engine, self._engine.known
        section, tool = known.section, drill(act.diameter_mm)
        front = section.front_mm if section is not None else 0.0
        start = act.from_mm if act.from_mm is not None else front
        point = act.diameter_mm / 2 / math.tan(math.radians(tool.point_angle_deg / 2))
        path = ((0.0, max(start, front) + 1.0), (0.0, act.to_mm - point))
        worked = _Worked.of(section, section.after("drilling", tool, path) if section is not None else None)
        passed = Pass(
            number=known.numbered + 1, kind="drilling", role="roughing", operation="", tool="", set_up=known.set_up,
            part=known.part, feed_axis="Z", fed_by="tailstock", start_mm=start, end_mm=act.to_mm, held_mm=0.0,
            depth_mm=start - act.to_mm, creep_mm=0.0, creep_at_mm=None, came_back=False, overrun_mm=0.0,
            feed_mm_min=0.0, feed_mm_rev=None, duration_s=0.0, t_start_s=engine.t_s, t_end_s=engine.t_s,
            area_mm2=worked.area_mm2, volume_mm3=worked.volume_mm3, doubts=(),
        )  # fmt: skip
        return f"Pass {passed.number}: drilling, as told", {
            **self._body(passed, path, [], worked),
            "drill_mm": act.diameter_mm,
            "held_counts": list(engine.place.counts),
            "sound": False,
        }

    def _body(
        self, passed: Pass, path: Sequence[Corner], samples: Sequence[Sequence[float]], worked: _Worked
    ) -> dict[str, Any]:
        """What every pass is kept with: its figures, the way of the tool, its pictures, and how the board stood."""
        return {
            "pass": passed.model_dump(mode="json"),
            "path": [[round(value, 6) for value in corner] for corner in path],
            "pictures": pack(samples, worked.before, worked.after),
            "outlined": bool(worked.after),
            "wound_in_mm": self._engine.known.wound_in_mm,
            "boot": self._engine.doubts.boot,
            "missed": self._engine.missed(),
        }

    def _passed(self, cut: Cut, begin_s: float, end_s: float, worked: _Worked) -> Pass:
        known, band = self._engine.known, self._engine.place.band_mm
        start, end, held = _told_along(cut, known.config.compound.angle_deg)
        speed, rpm = speed_mm_s(cut.points), self._rpm(begin_s, end_s)
        crept, at = creep(cut.points, cut.rest_held_mm, band)
        back = abs(crept) > band and abs(cut.points[-1].held_mm - cut.rest_held_mm) < abs(crept) / 2
        return Pass(
            number=known.numbered + 1, kind=cut.kind, role=cut.role,
            operation=cut.operation.name if cut.operation else "", tool=known.tool.name if known.tool else "",
            set_up=known.set_up, part=known.part, feed_axis="X" if cut.axis == "X" else "Z",
            fed_by=_slide(cut, known), start_mm=start, end_mm=end, held_mm=held, depth_mm=cut.depth_mm,
            creep_mm=crept, creep_at_mm=at, came_back=back, overrun_mm=_overrun(cut, known, self._engine.warm),
            feed_mm_min=speed * 60, feed_mm_rev=speed * 60 / rpm if rpm else None, rpm=rpm,
            duration_s=end_s - begin_s, t_start_s=begin_s, t_end_s=end_s,
            area_mm2=worked.area_mm2, volume_mm3=worked.volume_mm3,
            cutting_distance_m=self._distance_m(cut, known, rpm), doubts=self._doubts_since(begin_s),
        )  # fmt: skip

    def _stood_still(self, begin_s: float, end_s: float) -> bool:
        """The tach said before the tool came to the work that the spindle stands, or that a hand turns it."""
        before = [rpm for t_s, rpm in self._speeds if t_s <= begin_s]
        during = [rpm for t_s, rpm in self._speeds if begin_s < t_s <= end_s]
        return bool(before) and all(rpm < TURNED_BY_HAND_RPM for rpm in (before[-1], *during))

    def _rpm(self, begin_s: float, end_s: float) -> float | None:
        """Median over the pass; what was told last before it where no pulse came since."""
        speeds = sorted(rpm for t_s, rpm in self._speeds if begin_s <= t_s <= end_s and rpm > 0)
        if speeds:
            return speeds[len(speeds) // 2]
        return self._engine.rpm or None

    def _distance_m(self, cut: Cut, known: Known, rpm: float | None) -> float | None:
        """Length of surface that went past the edge: the turns made at each point by the way round there."""
        if not rpm or cut.role == "air":
            return None
        angle = known.config.compound.angle_deg
        total = 0.0
        for a, b in zip(cut.points, cut.points[1:], strict=False):
            x = abs(place(cut.axis, a.fed_mm, a.held_mm, angle)[0] + place(cut.axis, b.fed_mm, b.held_mm, angle)[0]) / 2
            if cut.kind == "drilling" and known.tool is not None:
                x = known.tool.diameter_mm / 2
            total += 2 * math.pi * x * rpm / 60 * max(0.0, b.t_s - a.t_s)
        return total / 1000

    def _doubts_since(self, t_s: float) -> tuple[DoubtCode, ...]:
        engine = self._engine
        now = engine.reasons("X") + engine.reasons("Z")
        meanwhile = tuple(code for code, seen_s in self._doubts.items() if seen_s >= t_s)
        unheard: tuple[DoubtCode, ...] = ("stale",) if self._doubtful_passes else ()
        self._doubtful_passes = max(0, self._doubtful_passes - 1)
        return tuple(dict.fromkeys(now + meanwhile + unheard))


def _samples(cut: Cut, angle_deg: float) -> list[tuple[float, float, float]]:
    """Seconds from the start, X and Z, at most so many as a picture shows."""
    stride = max(1, math.ceil(len(cut.points) / SAMPLES))
    points = [*cut.points[:-1:stride], cut.points[-1]]
    return [(p.t_s - points[0].t_s, *place(cut.axis, p.fed_mm, p.held_mm, angle_deg)) for p in points]


def _told_along(cut: Cut, angle_deg: float) -> tuple[float, float, float]:
    """Start, end and held coordinate as they are told: what the compound slide fed along Z, X where it began."""
    if cut.axis != "compound":
        return cut.start_mm, cut.end_mm, cut.held_mm
    x0, z0 = place("compound", cut.start_mm, cut.held_mm, angle_deg)
    _, z1 = place("compound", cut.end_mm, cut.held_mm, angle_deg)
    return z0, z1, x0


def _slide(cut: Cut, known: Known) -> Slide:
    if cut.axis == "compound":
        return "compound"
    if cut.axis == "X":
        return "cross"
    return "tailstock" if known.drills else "carriage"


def _overrun(cut: Cut, known: Known, warm: Warm) -> float:
    operation = cut.operation
    if operation is None or cut.axis == "compound":
        return 0.0
    end = feed_end_mm(operation, known.tool, warm)
    return max(0.0, -to_go_mm(cut.end_mm, end, feed_sign(operation)))
