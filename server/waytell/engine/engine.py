"""One machine's engine: board events, acts and the passing of time in; happenings and the state out.

Everything that changes comes through `feed`, `act`, `tick` or `restore`, one at a time, each with its time. A reading
costs a few microseconds; whatever is only looked at (velocity, schedule, words) is worked out when it is asked for.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from typing import Any, Literal

from waytell.documents import acts
from waytell.documents.base import Axis
from waytell.documents.state import DoubtCode, Pass
from waytell.engine import passes
from waytell.engine.acts_check import act_words, check_act
from waytell.engine.axes import AXES, compound_shift_mm, signed_difference
from waytell.engine.datum import TOUCH_HALF_WIDTH_MM
from waytell.engine.distance_to_go import Warm, feed_end_mm, feed_sign, to_go_mm
from waytell.engine.doubt import Doubts
from waytell.engine.happening import Happening, Kind
from waytell.engine.hold_watch import HoldWatch, limits_mm
from waytell.engine.known import UNDOABLE, Known
from waytell.engine.uncertainty import expanded_mm
from waytell.engine.words import coordinate, fine_length, slide
from waytell_bridge.reading import (
    BoardEvent,
    BoardHello,
    LinkReport,
    MissedEdges,
    Reading,
    ReferenceMark,
    SpindlePulse,
    SwitchInputs,
)

TRAIL = 128
NOISE_BLOCK = 64
FEEDING_WITHIN_S = 0.1
SPINDLE_STANDS_AFTER_S = 2.0
CLAMP_BIT = 1
LEAST_BAND_MM = 0.01
LEAST_STEP_S = 0.002
UNTIMED_STEP_S = 0.05  # lines without a time of their own arrive in bunches
_NOTHING: list[Happening] = []

Plan = tuple[float, tuple[tuple[int, float, int], ...]]


class Engine:
    """Holds the state of one machine. `label` is the wall-clock text that happenings are stamped with."""

    def __init__(self) -> None:
        self.known = Known()
        self.doubts = Doubts()
        self.label = ""
        self.t_s = 0.0
        self.counts: tuple[int, ...] = ()
        self.x_mm = self.z_mm = 0.0
        self.trail: deque[tuple[float, float, float]] = deque(maxlen=TRAIL)
        self.noise_mm: dict[Axis, float] = {"X": 0.0, "Z": 0.0}
        self.spindle: SpindlePulse | None = None
        self.switches: int | None = None
        self._history: list[Happening] = []
        self._first_counts: tuple[int, ...] = ()
        self._reading_s: float | None = None
        self._board_s = 0.0
        self._plans: tuple[Plan, Plan] = ((0.0, ()), (0.0, ()))
        self._rates: tuple[tuple[int, float, float], ...] = ()
        self._until_noise = NOISE_BLOCK
        self._feed_began = False
        self._laid_out_for: object = None
        self.hold: HoldWatch | None = None
        self._lay_out()

    # -- what comes in ---------------------------------------------------------------------------------------------

    def restore(self, happenings: Iterable[Happening]) -> None:
        """Take up where the journal left off."""
        self._history = list(happenings)
        self.known = Known.of(self._history)
        self._lay_out()

    def feed(self, event: BoardEvent) -> list[Happening]:
        """A board event; what it brought about."""
        if isinstance(event, Reading):
            return self._reading(event)
        self.t_s = max(self.t_s, event.t_s)
        if isinstance(event, LinkReport):
            self.doubts.heard_link(event)
        elif isinstance(event, BoardHello):
            return self._hello(event)
        elif isinstance(event, MissedEdges):
            self.doubts.missed[event.scale] = event.total
        elif isinstance(event, SpindlePulse):
            self.spindle = event
        elif isinstance(event, SwitchInputs):
            self._switched(event)
        elif isinstance(event, ReferenceMark):
            pass  # absolute positions serve the error map, which comes with proving
        return _NOTHING

    def tick(self, now_s: float) -> None:
        """Time passed without a reading."""
        self.t_s = max(self.t_s, now_s)
        if self._reading_s is not None:
            self.doubts.note_age(now_s - self._reading_s)

    def finish(self) -> list[Happening]:
        """No more readings will come: what was under way ends here."""
        out: list[Happening] = []
        for kind, finder in (("facing", self.fx), ("turning", self.fz)):
            stroke = finder.finish()
            if stroke is not None:
                out += self._finished("facing" if kind == "facing" else "turning", stroke)
        return out

    def act(self, act: acts.Act, t_s: float) -> Happening:
        """Carry out an act of the person.

        Raises:
            ActRefused: it cannot be done now; nothing has changed.
        """
        self.t_s = max(self.t_s, t_s)
        check_act(self, act)
        body: dict[str, Any] = {"act": act.model_dump(mode="json")}
        words = act_words(self, act)
        if isinstance(act, acts.TouchOff):
            body |= self._touch_body(act)
        elif isinstance(act, acts.ConfirmPositions):
            body |= {"boot": self.doubts.boot, "missed": self._missed()}
        elif isinstance(act, acts.Undo):
            body["undoes"] = self.known.undoable[-1][0]
        happening = self._happened("act", words, body)
        self._after(act)
        return happening

    # -- readings --------------------------------------------------------------------------------------------------

    def _reading(self, r: Reading) -> list[Happening]:
        counts = r.counts
        if len(counts) < self._channels:
            return _NOTHING
        if not self.counts:
            self._first_counts = counts
            self.counts = counts
            self._lay_out()
        step_s = max(r.board_s - self._board_s, self._least_step_s)
        before = self.counts
        for channel, jump, fast in self._rates:
            moved = counts[channel] - before[channel]
            if moved > jump * step_s or -moved > jump * step_s or moved > fast * step_s or -moved > fast * step_s:
                self._check_step(r, channel, before[channel], jump * step_s, fast * step_s)
        self.counts, self._board_s, self._reading_s, self.t_s = counts, r.board_s, r.t_s, r.t_s
        doubts = self.doubts
        doubts.flags = r.flags
        doubts.stale = False
        (x, x_terms), (z, z_terms) = self._plans
        for channel, step, since in x_terms:
            x += step * (((counts[channel] - since + 0x80000000) & 0xFFFFFFFF) - 0x80000000)
        for channel, step, since in z_terms:
            z += step * (((counts[channel] - since + 0x80000000) & 0xFFFFFFFF) - 0x80000000)
        self.x_mm, self.z_mm = x, z
        t = r.board_s
        self.trail.append((t, x, z))
        self._until_noise -= 1
        if self._until_noise == 0:
            self._estimate_noise()
        return self._follow(t, x, z)

    def _follow(self, t: float, x: float, z: float) -> list[Happening]:
        """Strokes of both slides, and the slide that should be held."""
        fx, fz = self.fx, self.fz
        x_stroke, z_stroke = fx.step(t, x, z), fz.step(t, z, x)
        out = _NOTHING
        if x_stroke is not None:
            out = out + self._finished("facing", x_stroke)
        if z_stroke is not None:
            out = out + self._finished("turning", z_stroke)
        hold = self.hold
        if hold is None:
            return out
        finder, fed, held = (fx, x, z) if hold.axis == "Z" else (fz, z, x)
        if finder.points is not None:
            if hold.armed_by is None and self._at_work(x, z):
                hold.begin(watched_only=self._free_skim())
        elif hold.armed_by is not None:
            hold.end()
        if finder.began != self._feed_began:
            self._feed_began = finder.began
            if finder.began:
                hold.feed_began()
        judged = hold.clamped_by is not None or finder.advancing(t, FEEDING_WITHIN_S)
        if hold.step(t, held, fed, judged=judged):
            out = [*out, self._slide_moved(hold)]
        return out

    def _check_step(self, r: Reading, channel: int, before: int, jump: float, fast: float) -> None:
        """A step that looks too large as plain integers; a wrap of the count does, too, and is none."""
        moved = abs(signed_difference(r.counts[channel], before))
        if moved > jump or moved > fast:
            self.doubts.note_step(channel, r.t_s, r.counts[channel], before, fast=moved <= jump)

    def _estimate_noise(self) -> None:
        """Standard deviation over the last block, where the axis stood: its halves have the same mean."""
        self._until_noise = NOISE_BLOCK
        recent = list(self.trail)[-NOISE_BLOCK:]
        for place, axis in enumerate(AXES, start=1):
            values = [sample[place] for sample in recent]
            half = len(values) // 2
            first, second = sum(values[:half]) / half, sum(values[half:]) / (len(values) - half)
            if half and abs(first - second) < 1.5 * self.count_mm[axis]:
                mean = (first + second) / 2
                variance = sum((value - mean) ** 2 for value in values) / len(values)
                self.noise_mm[axis] += 0.25 * (variance**0.5 - self.noise_mm[axis])
        self._set_limits()

    # -- passes and the held slide ---------------------------------------------------------------------------------

    def _finished(self, kind: Literal["facing", "turning"], stroke: passes.Stroke) -> list[Happening]:
        known = self.known
        operation = known.operation if known.operation is not None and known.operation.kind == kind else None
        last = known.last_pass
        before = None
        if last is not None and last.passed.kind == kind and last.passed.set_up == known.set_up:
            before = self.held_of_last_pass()
        cut = passes.measure(
            stroke, kind, self.section, operation, self.band_mm, before,
            first=operation is None or known.passes_in_operation == 0,
            target_mm=None if operation is None else self.warm.size_mm(operation.target_mm),
        )  # fmt: skip
        if cut is None:
            return []
        finished = self._pass(kind, cut, operation)
        body = {
            "pass": finished.model_dump(mode="json"),
            "held_counts": list(self._counts_at(finished.feed_axis, cut.held_mm)),
            "wound_in_mm": known.wound_in_mm,
        }
        words = f"Pass {finished.number}: {kind}, {cut.role}" + (
            "" if cut.depth_mm is None else f", {fine_length(cut.depth_mm, known.units)} deep"
        )
        happening = self._happened("pass_finished", words, body)
        self._lay_out_work()
        return [happening]

    def _pass(self, kind: Literal["facing", "turning"], cut: passes.Cut, operation: acts.Operation | None) -> Pass:
        known = self.known
        feed_axis: Axis = "X" if kind == "facing" else "Z"
        overrun = 0.0
        if operation is not None:
            end = feed_end_mm(operation, known.tool, self.warm)
            overrun = max(0.0, -to_go_mm(cut.end_mm, end, feed_sign(operation)))
        rpm = self.rpm
        return Pass(
            number=known.passes + 1, kind=kind, role=cut.role, operation=operation.name if operation else "",
            tool=known.tool.name if known.tool else "", set_up=known.set_up, feed_axis=feed_axis,
            start_mm=cut.start_mm, end_mm=cut.end_mm, held_mm=cut.held_mm, depth_mm=cut.depth_mm,
            creep_mm=cut.creep_mm, creep_at_mm=cut.creep_at_mm, came_back=cut.came_back, overrun_mm=overrun,
            feed_mm_min=cut.speed_mm_s * 60, feed_mm_rev=cut.speed_mm_s * 60 / rpm if rpm else None,
            duration_s=cut.t_end_s - cut.t_start_s, t_start_s=cut.t_start_s, t_end_s=cut.t_end_s,
            doubts=tuple(dict.fromkeys(self.reasons("X") + self.reasons("Z"))),
        )  # fmt: skip

    def _counts_at(self, feed_axis: Axis, held_mm: float) -> tuple[int, ...]:
        """Counts that the held axis's scale showed at this coordinate; the other scales as they are now."""
        held_axis: Axis = "Z" if feed_axis == "X" else "X"
        terms = self.known.terms[held_axis]
        now = self.z_mm if held_axis == "Z" else self.x_mm
        counts = list(self.counts)
        if terms:
            steps = round((held_mm - now) / terms[0].mm_per_count)
            counts[terms[0].channel] = (counts[terms[0].channel] + steps + (1 << 31)) % (1 << 32) - (1 << 31)
        return tuple(counts)

    def held_of_last_pass(self) -> float | None:
        """Coordinate, as the datums are now, at which the last pass was cut."""
        last = self.known.last_pass
        if last is None:
            return None
        axis: Axis = "Z" if last.passed.feed_axis == "X" else "X"
        value, terms = self._plans[AXES.index(axis)]
        return value + sum(step * signed_difference(last.counts[channel], since) for channel, step, since in terms)

    def _slide_moved(self, hold: HoldWatch) -> Happening:
        where = coordinate("X" if hold.axis == "Z" else "Z", hold.worst_at_mm or 0.0, self.known.units)
        amount = fine_length(abs(hold.deviation_mm), self.known.units)
        way = "away from" if hold.deviation_mm > 0 else "towards"
        to = "the headstock" if hold.axis == "Z" else "the centre line"
        words = f"The {slide(hold.axis)} moved {amount} {way} {to} at {where}."
        body = {"axis": hold.axis, "state": hold.state, "deviation_mm": hold.deviation_mm, "at_mm": hold.worst_at_mm}
        return self._happened("hold", words, body)

    def _at_work(self, x: float, z: float) -> bool:
        return self.section is None or self.section.touches(x, z, self.band_mm)

    def _free_skim(self) -> bool:
        operation = self.known.operation
        return operation is not None and operation.free_first_pass and self.known.passes_in_operation == 0

    def stroke_of(self, feed_axis: Axis) -> list[passes.Point] | None:
        """Points of the stroke under way along an axis; None where there is none."""
        return (self.fx if feed_axis == "X" else self.fz).points

    def cutting_corner(self) -> tuple[float, float] | None:
        """(x, z) that the stroke under way has cut to so far."""
        for axis in AXES:
            points = self.stroke_of(axis)
            if points:
                held = sorted(point.held_mm for point in points[-9:])[min(len(points), 9) // 2]
                return (points[-1].fed_mm, held) if axis == "X" else (held, points[-1].fed_mm)
        return None

    @property
    def events(self) -> int:
        """Number of the newest happening."""
        return len(self._history)

    @property
    def history(self) -> list[Happening]:
        return self._history

    # -- other board events ----------------------------------------------------------------------------------------

    def _hello(self, hello: BoardHello) -> list[Happening]:
        first = self.doubts.boot is None
        restarted = self.doubts.heard_hello(hello)
        self._lay_out_rates()
        if not restarted and not first:
            return _NOTHING
        out: list[Happening] = []
        if restarted:
            out += self.finish()
            self.trail.clear()
            # The step of the counts at a restart is told as a restart, not as a jump as well.
            self.counts = ()
        words = f"Board {hello.model} " + ("restarted" if restarted else "heard") + f", start {hello.boot}."
        body = {"boot": hello.boot, "kept": hello.kept, "restarted": restarted}
        return [*out, self._happened("board", words, body)]

    def _switched(self, event: SwitchInputs) -> None:
        before, self.switches = self.switches, event.bits
        on = bool(event.bits & CLAMP_BIT)
        was_on = bool((before or 0) & CLAMP_BIT)
        if on != was_on and self.hold is not None and self.hold.axis == "Z":
            self.hold.clamp("switch" if on else None)

    @property
    def rpm(self) -> float:
        """Spindle speed in revolutions a minute, 0 while it stands or is unknown."""
        pulse, hello = self.spindle, self.doubts.hello
        if pulse is None or hello is None or not hello.pulses_per_rev or pulse.period_s <= 0:
            return 0.0
        if self.t_s - pulse.t_s > SPINDLE_STANDS_AFTER_S:
            return 0.0
        return 60.0 / (pulse.period_s * hello.pulses_per_rev)

    # -- what follows from what is known ---------------------------------------------------------------------------

    def reasons(self, axis: Axis) -> tuple[DoubtCode, ...]:
        if not self.counts and self.known.terms[axis]:
            return self.doubts.reasons(axis, self.known) or ("stale",)
        return self.doubts.reasons(axis, self.known)

    def u_mm(self, axis: Axis) -> float:
        """Expanded uncertainty of the tool's position along an axis."""
        scales = {scale.channel: scale for scale in self.known.config.scales}
        used = [scales[term.channel] for term in self.known.terms[axis]]
        datum = self.known.datums.get(axis)
        touch = TOUCH_HALF_WIDTH_MM[datum.how] if datum is not None else 0.0
        accuracy = sum(scale.accuracy_um**2 for scale in used) ** 0.5 * 1e-3
        return expanded_mm(self.count_mm[axis], accuracy, touch, self.noise_mm[axis])

    def _lay_out(self) -> None:
        """Prepare what every reading needs, after anything known has changed."""
        known = self.known
        self._channels = 1 + max((term.channel for terms in known.terms.values() for term in terms), default=-1)
        self.count_mm: dict[Axis, float] = {
            axis: max((abs(term.mm_per_count) for term in known.terms[axis]), default=0.001) for axis in AXES
        }
        self.band_mm = max(LEAST_BAND_MM, *(3 * count for count in self.count_mm.values()))
        self._plans = (self._plan("X"), self._plan("Z"))
        self._lay_out_rates()
        self._lay_out_work()
        self._lay_out_hold()
        basis = (self._plans, self._sign("facing"), self._sign("turning"))
        # A pass under way goes on through acts that move no coordinate, such as a choice of units.
        if basis != self._laid_out_for:
            self._laid_out_for = basis
            self._start_following()

    def _start_following(self) -> None:
        self.fx = passes.StrokeFinder(self._sign("facing"), self.count_mm["X"])
        self.fz = passes.StrokeFinder(self._sign("turning"), self.count_mm["Z"])
        self._feed_began = False
        self.trail.clear()
        self._until_noise = NOISE_BLOCK
        if self.counts:
            self.x_mm, self.z_mm = (
                value + sum(step * signed_difference(self.counts[channel], since) for channel, step, since in terms)
                for value, terms in self._plans
            )

    def _lay_out_hold(self) -> None:
        """Which axis should stand: the operation's, else one that the person clamped."""
        known = self.known
        axis: Axis | None = next((axis for axis in ("Z", "X") if known.clamped.get(axis)), None)
        if known.operation is not None:
            axis = known.operation.held_axis
        if axis is None or not known.terms[axis]:
            self.hold = None
        elif self.hold is None or self.hold.axis != axis:
            self.hold = HoldWatch(axis, limits_mm(0.0, 0.0, self.count_mm[axis], 0.0))
            self._set_clamp()
        self._set_limits()

    def _lay_out_work(self) -> None:
        known = self.known
        stock = known.stock
        self.warm = Warm(stock.expansion_um_m_k if stock else 0.0, known.config.machine.temperature_c)
        # An outline in coordinates that nothing ties to the work would only mislead.
        tied = all(axis in known.datums and known.offset_mm(axis) is not None for axis in AXES)
        self.section = known.section if tied else None

    def _lay_out_rates(self) -> None:
        hello, config = self.doubts.hello, self.known.config
        fastest = float(hello.max_edges_s) if hello is not None and hello.max_edges_s else float("inf")
        jump_mm_s = config.machine.jump_limit_mm_s
        self._rates = tuple(
            (scale.channel, jump_mm_s / (scale.resolution_um * 1e-3), fastest) for scale in config.scales
        )
        checked = self.doubts.link is None or self.doubts.link.checked
        self._least_step_s = LEAST_STEP_S if checked else UNTIMED_STEP_S

    def _plan(self, axis: Axis) -> Plan:
        """Coordinate = first + sum of step * (count - since) over the scales of the axis, for the tool in use."""
        known = self.known
        datum = known.datums.get(axis)
        since = datum.counts if datum is not None else self._first_counts
        value = 0.0
        if datum is not None:
            shift = compound_shift_mm(axis, known.wound_in_mm - datum.wound_in_mm, known.config.compound.angle_deg)
            value = datum.value_mm + (known.offset_mm(axis) or 0.0) + shift
        if not since:
            since = (0,) * self._channels
        return value, tuple((term.channel, term.mm_per_count, since[term.channel]) for term in known.terms[axis])

    def _sign(self, kind: str) -> int:
        operation = self.known.operation
        return feed_sign(operation) if operation is not None and operation.kind == kind else -1

    def _set_limits(self) -> None:
        if self.hold is not None:
            axis, hold = self.hold.axis, self.known.config.hold
            self.hold.limits = limits_mm(hold.warning_mm, hold.limit_mm, self.count_mm[axis], self.noise_mm[axis])

    def _set_clamp(self) -> None:
        hold = self.hold
        if hold is None:
            return
        if hold.axis == "Z" and (self.switches or 0) & CLAMP_BIT:
            hold.clamp("switch")
        else:
            hold.clamp("person" if self.known.clamped.get(hold.axis) else None)

    # -- happenings ------------------------------------------------------------------------------------------------

    def _happened(self, kind: Kind, words: str, body: dict[str, Any]) -> Happening:
        happening = Happening(len(self._history) + 1, self.t_s, self.label, kind, words, body)
        self._history.append(happening)
        if "undoes" in body:
            self.known = Known.of(self._history)
        else:
            self.known.apply(happening)
        return happening

    def note(self, kind: Kind, words: str, body: dict[str, Any]) -> Happening:
        """Something outside the engine worth a place in the history, such as a start."""
        return self._happened(kind, words, body)

    def _after(self, act: acts.Act) -> None:
        """Readings go on under what is now known."""
        if isinstance(act, acts.Seen):
            if self.hold is not None:
                self.hold.seen()
        elif isinstance(act, acts.Clamp):
            self._lay_out_hold()
            self._set_clamp()
        elif act.act in UNDOABLE or isinstance(act, acts.Undo):
            if isinstance(act, acts.TouchOff):
                self.doubts.clear([term.channel for term in self.known.terms[act.axis]])
            elif isinstance(act, acts.ConfirmPositions):
                self.doubts.clear(list(self.doubts.latched))
            self._lay_out()

    def _touch_body(self, act: acts.TouchOff) -> dict[str, Any]:
        last = self.known.last_pass
        there = act.where == "last_pass" and last is not None
        return {
            "counts": list(last.counts if there and last is not None else self.counts),
            "wound_in_mm": last.wound_in_mm if there and last is not None else self.known.wound_in_mm,
            "boot": self.doubts.boot,
            "missed": self._missed(),
            "datum_sound": act.axis in self.known.datums and not self.doubts.lost_count(act.axis, self.known),
        }

    def _missed(self) -> dict[str, int]:
        return {str(channel): total for channel, total in self.doubts.missed.items()}
