"""What is known from acts and finished passes: set-up, datums, tool offsets, operation, outline of the work.

A fold over happenings: `apply` changes it by one, `Known.of` builds it from all, leaving out what was undone. Nothing
here looks at readings; an act carries the counts that stood when it was done.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Any

from waytell.documents import acts
from waytell.documents.base import Axis, PassKind
from waytell.documents.config import Config, Stock, Tool, Units
from waytell.documents.part import Part
from waytell.documents.state import Pass
from waytell.engine.answers import Answers
from waytell.engine.axes import Term, axis_terms, compound_shift_mm, moved_mm, quill_terms
from waytell.engine.datum import Datum
from waytell.engine.error_map import Mapped
from waytell.engine.happening import Happening, taken_back
from waytell.engine.measured_sizes import MeasuredSizes, held_axis
from waytell.engine.profile import Profile
from waytell.engine.proved import ROUGH, Proved
from waytell.engine.section import Section

UNDOABLE = frozenset(
    {
        "use_config", "use_part", "new_set_up", "choose_tool", "touch_off", "choose_operation", "set_target",
        "set_depth", "compound_wound", "clamp", "confirm_positions", "choose_units", "measured", "part_done", "answer",
        "drilled", "begin_check", "capture", "leave_out", "finish_check", "give_up_check", "use_proof", "at_stop",
    }
)  # fmt: skip


BAR_OFF_MM = 1.5
"""A surface touched further from where the bar was said to end is another one."""


@dataclass(slots=True, frozen=True)
class CutBy:
    """The last pass with what a later touching off needs: where the scales stood while it was cut."""

    passed: Pass
    number: int
    counts: tuple[int, ...]
    wound_in_mm: float
    boot: str | None
    missed: dict[int, int]
    sound: bool

    @classmethod
    def of(cls, passed: Pass, body: dict[str, Any], number: int) -> CutBy:
        missed = {int(channel): total for channel, total in body.get("missed", {}).items()}
        return cls(
            passed, number, tuple(body["held_counts"]), float(body["wound_in_mm"]), body.get("boot"), missed,
            bool(body.get("sound", True)),
        )  # fmt: skip


@dataclass(slots=True)
class Known:
    config: Config = field(default_factory=Config)
    terms: dict[Axis, tuple[Term, ...]] = field(default_factory=lambda: axis_terms(Config()))
    tool: Tool | None = None
    drills: bool = False
    """The tool in use is a drill in the tailstock."""
    datums: dict[Axis, Datum] = field(default_factory=dict)
    _parked: dict[Axis, Datum] = field(default_factory=dict)
    """Datums of the slides while a drill is in use, of the quill while none is."""
    offsets: dict[tuple[str, Axis], float] = field(default_factory=dict)
    set_up: int = 1
    _chucked: bool = False
    """Work was put in the chuck: the next time it is another set-up."""
    part: int = 1
    drawing: Part | None = None
    """The part that is made."""
    drawing_set_up: int = 0
    """Which of its set-ups is in the chuck; 0 where none is."""
    outline: acts.Outline | None = None
    """What was put in the chuck, where it was no plain bar."""
    stock: Stock | None = None
    section: Section | None = None
    operation: acts.Operation | None = None
    passes_in_operation: int = 0
    passes_in_set_up: int = 0
    clamped: dict[Axis, bool] = field(default_factory=dict)
    wound_in_mm: float = 0.0
    units: Units = field(default_factory=Units)
    passes: int = 0
    numbered: int = 0
    """The last number a pass was given: one that was taken back keeps its own."""
    last_pass: CutBy | None = None
    last_of_kind: dict[PassKind, CutBy] = field(default_factory=dict)
    """In this set-up."""
    proved: Proved = field(default_factory=Proved)
    sizes: MeasuredSizes = field(default_factory=MeasuredSizes)
    answers: Answers = field(default_factory=Answers)
    undoable: list[tuple[int, str]] = field(default_factory=list)
    """Numbers and words of the acts that undo would take back, the newest last."""

    @classmethod
    def of(cls, happenings: Iterable[Happening]) -> Known:
        everything = list(happenings)
        undone = taken_back(everything)
        known = cls()
        for happening in everything:
            if happening.number not in undone:
                known.apply(happening)
            elif happening.kind == "pass_finished":
                known.numbered = happening.body["pass"]["number"]
        return known

    def with_finding(self, number: int) -> Known:
        """What would be known if figures went by a finding from now on; nothing changes here."""
        then = replace(
            self, datums=dict(self.datums), _parked=dict(self._parked), offsets=dict(self.offsets),
            proved=self.proved.copied(),
        )  # fmt: skip
        then._use_proof(acts.UseProof(act="use_proof", proof=number), Happening(0, 0.0, "", "act", "", {}))
        return then

    def apply(self, happening: Happening) -> None:
        if happening.kind == "pass_finished":
            self._passed(happening)
        elif happening.kind == "board":
            self.proved.heard(happening.body, self.config)
        elif happening.kind == "act":
            act = acts.ACT.validate_python(happening.body["act"])
            _APPLY[act.act](self, act, happening)
            if act.act in UNDOABLE:
                self.undoable.append((happening.number, happening.words))

    # -- positions -------------------------------------------------------------------------------------------------

    def reference_mm(self, axis: Axis, counts: tuple[int, ...], wound_in_mm: float) -> float | None:
        """Coordinate of the reference tool at these counts; None without a datum."""
        datum = self.datums.get(axis)
        if datum is None:
            return None
        shift = self.unmeasured_mm(datum, wound_in_mm)
        return datum.value_mm + self.travel_mm(axis, counts, datum.counts) + shift

    def mapped(self, axis: Axis) -> tuple[Mapped, ...]:
        """The error maps that can be used for an axis of the tool in use."""
        return () if self.drills else self.proved.mapped(self.config, axis)

    def travel_mm(self, axis: Axis, counts: tuple[int, ...], since: tuple[int, ...]) -> float:
        """Travel along an axis between two sets of counts, corrected by the maps in use."""
        corrected = sum(one.add_mm(counts) - one.add_mm(since) for one in self.mapped(axis))
        return moved_mm(self.terms[axis], counts, since) + corrected

    def unmeasured_mm(self, datum: Datum, wound_in_mm: float) -> float:
        """How far the tool has gone since a datum by what was wound on a compound slide without a scale."""
        wound = wound_in_mm - datum.wound_in_mm
        return compound_shift_mm(datum.axis, wound, self.config.compound.angle_deg)

    def stood_mm(self, cut: CutBy) -> float | None:
        """Where the held axis stood in a pass, by the tool that cut it and the datums as they are now.

        None without a datum, and of what the compound slide fed: a cone has no one place.
        """
        axis = held_axis(cut.passed)
        # While a drill is in use the datums of the slides are put aside.
        datums, terms = (self._parked, axis_terms(self.config)) if self.drills else (self.datums, self.terms)
        datum, offset = datums.get(axis), self.offsets.get((cut.passed.tool, axis))
        if datum is None or offset is None or cut.passed.fed_by == "compound":
            return None
        maps = self.proved.mapped(self.config, axis)
        corrected = sum(one.add_mm(cut.counts) - one.add_mm(datum.counts) for one in maps)
        moved = moved_mm(terms[axis], cut.counts, datum.counts) + corrected
        return datum.value_mm + offset + moved + self.unmeasured_mm(datum, cut.wound_in_mm)

    def offset_mm(self, axis: Axis) -> float | None:
        """Of the tool in use, to the reference tool; None until it has touched."""
        return None if self.tool is None else self.offsets.get((self.tool.name, axis))

    # -- acts ------------------------------------------------------------------------------------------------------

    def _use_config(self, act: acts.UseConfig, _: Happening) -> None:
        before = self.tool.name if self.tool else ""
        self._take(None)
        self.proved.fitted(self.config, act.config)
        self._fit(axis_terms(act.config))
        self._parked = {} if quill_terms(act.config) != quill_terms(self.config) else self._parked
        if act.config.compound != self.config.compound:
            # What was wound on it in the passes before went another way than it would now.
            self.sizes.forget("X", "Z")
        self.config, self.units = act.config, act.config.units
        names = {tool.name: tool for tool in act.config.tools}
        self._take(names.get(before, act.config.tools[0] if act.config.tools else None))

    def _fit(self, terms: dict[Axis, tuple[Term, ...]]) -> None:
        for axis in ("X", "Z"):
            # Counts now mean other lengths: a datum set with the old ones would be silently wrong.
            if terms[axis] != self.terms[axis]:
                self.datums.pop(axis, None)
                self.offsets = {key: offset for key, offset in self.offsets.items() if key[1] != axis}
            elif axis in self.datums:
                self._keep_shift(self.datums[axis])
        self.terms = terms

    def _take(self, tool: Tool | None) -> None:
        """A drill is carried by the tailstock: its place along Z is that of the quill, with a datum of its own."""
        drills = tool is not None and tool.kind == "drill"
        if drills != self.drills:
            self.datums, self._parked = self._parked, self.datums
            self.terms = quill_terms(self.config) if drills else axis_terms(self.config)
        self.tool, self.drills = tool, drills

    def on_centre(self, axis: Axis) -> bool:
        """The tool stands on the centre line by the way it is held."""
        return self.drills and axis == "X"

    def tied(self, axis: Axis) -> bool:
        """Something ties the coordinate of the tool to the work."""
        return self.on_centre(axis) or (axis in self.datums and self.offset_mm(axis) is not None)

    def _keep_shift(self, datum: Datum) -> None:
        """What was wound at the old angle of the compound slide went the old way, whatever angle comes now."""
        value_mm = datum.value_mm + self.unmeasured_mm(datum, self.wound_in_mm)
        self.datums[datum.axis] = datum._replace(value_mm=value_mm, wound_in_mm=self.wound_in_mm)

    def _new_set_up(self, act: acts.NewSetUp, _: Happening) -> None:
        if self._chucked or self.passes:
            self.set_up += 1
        self._chucked = True
        self.datums.pop("Z", None)
        self._parked.pop("Z", None)
        self.sizes.chucked(act, self.set_up)
        self.answers.chucked()
        self.stock, self.operation, self.last_pass = act.stock, None, None
        self.passes_in_set_up = 0
        self.last_of_kind = {}
        self.section = None
        self.drawing_set_up, self.outline = act.of_part or 0, act.outline
        if act.outline is not None:
            self.section = Section(*(Profile.of(list(chain)) for chain in (act.outline.outside, act.outline.bore)))
        elif act.stock is not None:
            stock = act.stock
            self.section = Section.bar(stock.diameter_mm / 2, stock.length_mm, stock.front_mm, stock.bore_mm / 2)

    def _use_part(self, act: acts.UsePart, _: Happening) -> None:
        self.drawing = act.part

    def _choose_tool(self, act: acts.ChooseTool, _: Happening) -> None:
        self._take(next(tool for tool in self.config.tools if tool.name == act.tool))

    def _touch_off(self, act: acts.TouchOff, happening: Happening) -> None:
        body, tool = happening.body, self.tool.name if self.tool else ""
        self.answers.touched(act)
        self.proved.referenced(body["missed"])
        counts, wound = tuple(body["counts"]), float(body["wound_in_mm"])
        at_mm = act.at_mm + act.shim_mm
        key = (tool, act.axis)
        datum = self.datums.get(act.axis) if body["datum_sound"] else None
        before = self.reference_mm(act.axis, counts, wound)
        offset = self.offsets.get(key)
        if datum is None or before is None:
            self.sizes.forget(act.axis)
        else:
            # A tool that has never touched says nothing of where it was before.
            off_mm = 0.0 if offset is None else at_mm - before - offset
            self.sizes.touched_off(act.axis, off_mm, own=datum.tool == tool)
        if act.how == "measured" and act.where == "last_pass" and self.last_pass is not None:
            self.sizes.measured(self.last_pass, act.axis, act.at_mm, 0.0, self.config.hold.limit_mm)
        if datum is not None and before is not None and datum.tool != tool:
            # The axis is known by another tool: what this touch teaches is how the two tools differ.
            self.offsets[key] = at_mm - before
            return
        self.offsets[key] = offset or 0.0
        self.datums[act.axis] = Datum(
            act.axis, at_mm - self.offsets[key], counts, body["boot"], {int(k): v for k, v in body["missed"].items()},
            tool, act.how, act.shim_mm, wound, self.config.machine.temperature_c, happening.wall, happening.number,
            happening.number,
        )  # fmt: skip
        # Where counts were lost since, the old place of the tool tells nothing of the metal's.
        if before is not None and body["datum_sound"]:
            self._move_outline(act.axis, at_mm - self.offsets[key] - before)
        self._fit_bar(act)

    def _fit_bar(self, act: acts.TouchOff) -> None:
        """Before anything is cut, the surface touched tells where the bar ends better than what was written."""
        section = self.section
        if section is None or self.outline is not None or self.passes_in_set_up or act.where != "here":
            return
        radius, front, bore = section.outside.r[0], section.front_mm, section.bore.r[0]
        off = act.at_mm - (radius if act.axis == "X" else front)
        # A tool inside the bar as it was written has not touched it: something was turned there before.
        if abs(off) > BAR_OFF_MM or (act.axis == "X" and off < 0 and act.how != "measured"):
            return
        radius, front = (act.at_mm, front) if act.axis == "X" else (radius, act.at_mm)
        self.section = Section.bar(radius, front - section.chuck_mm, front, bore)

    def _move_outline(self, axis: Axis, by_mm: float) -> None:
        """The metal stays where it is; only its coordinates change."""
        if self.section is not None and self.stock is not None:
            dx, dz = (by_mm, 0.0) if axis == "X" else (0.0, by_mm)
            self.section = self.section.shifted(dx, dz, self.section.outside.r[0])

    def _choose_operation(self, act: acts.ChooseOperation, _: Happening) -> None:
        self.operation, self.passes_in_operation = act.operation, 0
        self.answers.begun()

    def _set_target(self, act: acts.SetTarget, _: Happening) -> None:
        if self.operation is not None:
            self.operation = self.operation.model_copy(update={"target_mm": act.target_mm})
            self.answers.sized_anew()

    def _set_depth(self, act: acts.SetDepth, _: Happening) -> None:
        if self.operation is not None:
            self.operation = self.operation.model_copy(update={"depth_mm": act.depth_mm})

    def _compound_wound(self, act: acts.CompoundWound, _: Happening) -> None:
        self.wound_in_mm += act.wound_in_mm

    def _clamp(self, act: acts.Clamp, _: Happening) -> None:
        self.clamped[act.axis] = act.held

    def _confirm_positions(self, _: acts.ConfirmPositions, happening: Happening) -> None:
        missed = {int(k): v for k, v in happening.body["missed"].items()}
        for axis, datum in self.datums.items():
            self.datums[axis] = datum._replace(boot=happening.body["boot"], missed=missed, sure_from=happening.number)

    def _measured(self, act: acts.Measured, _: Happening) -> None:
        self.answers.measured(act, self.operation)
        if act.operation in self.sizes.cuts:
            cut, _before = self.sizes.cuts[act.operation]
            self.sizes.measured(cut, act.axis, act.at_mm, act.u_mm, self.config.hold.limit_mm)

    def _part_done(self, _: acts.PartDone, __: Happening) -> None:
        self.part += 1
        self.answers.done()

    def _answer(self, act: acts.Answer, _: Happening) -> None:
        self.answers.answered(act)

    def _choose_units(self, act: acts.ChooseUnits, _: Happening) -> None:
        self.units = act.units

    # -- proving ---------------------------------------------------------------------------------------------------

    def _begin_check(self, act: acts.BeginCheck, happening: Happening) -> None:
        self.proved.begin(act, happening)

    def _capture(self, act: acts.Capture, _: Happening) -> None:
        self.proved.capture(act)

    def _leave_out(self, act: acts.LeaveOut, _: Happening) -> None:
        self.proved.leave_out(act)

    def _finish_check(self, act: acts.FinishCheck, happening: Happening) -> None:
        self.proved.finish(act, happening)

    def _give_up_check(self, _: acts.GiveUpCheck, __: Happening) -> None:
        self.proved.check = None

    def _use_proof(self, act: acts.UseProof, _: Happening) -> None:
        """Datums stay at their counts: what the scales show there does not change."""
        tool = self.tool
        self._take(None)
        config = self.proved.use(act, self.config)
        terms = axis_terms(config)
        for axis in ("X", "Z"):
            if not _nearly(terms[axis], self.terms[axis]):
                self.datums.pop(axis, None)
                self.offsets = {key: offset for key, offset in self.offsets.items() if key[1] != axis}
        if not _nearly(quill_terms(config)["Z"], quill_terms(self.config)["Z"]):
            self._parked = {}
        self.config, self.terms = config, terms
        self._take(tool)

    def _at_stop(self, act: acts.AtStop, happening: Happening) -> None:
        self.proved.at_stop(act, self.config, happening.body)

    def _nothing(self, _: object, __: Happening) -> None:
        """Acts that change no stored knowledge."""

    # -- passes ----------------------------------------------------------------------------------------------------

    def _passed(self, happening: Happening) -> None:
        passed = Pass.model_validate(happening.body["pass"])
        self.passes = self.numbered = passed.number
        if passed.role == "air":
            return
        self.last_pass = CutBy.of(passed, happening.body, happening.number)
        self.sizes.passed(self.last_pass, self.stood_mm)
        self.answers.passed(passed, self.operation)
        self.passes_in_set_up += 1
        self.last_of_kind[passed.kind] = self.last_pass
        if self.operation is not None and passed.operation == self.operation.name:
            self.passes_in_operation += 1
        # A doubtful pass took metal off all the same: it is marked, not forgotten.
        if self.section is not None:
            path = _path(passed, happening.body)
            # A tool that is no longer set up by that name is taken as an ordinary one.
            tool = next((tool for tool in self.config.tools if tool.name == passed.tool), None)
            if "drill_mm" in happening.body:
                tool = drill(happening.body["drill_mm"])
            self.section = self.section.after(passed.kind, tool, path)


def drill(diameter_mm: float) -> Tool:
    """An ordinary one: a point of 118 degrees (common practice, no source)."""
    return Tool(name="drill", kind="drill", diameter_mm=diameter_mm, point_angle_deg=118.0)


def _nearly(terms: tuple[Term, ...], others: tuple[Term, ...]) -> bool:
    """The same scales, counted the same way, as long or nearly so: what was measured with them holds."""
    return [term.channel for term in terms] == [term.channel for term in others] and all(
        abs(term.mm_per_count / other.mm_per_count - 1) <= ROUGH for term, other in zip(terms, others, strict=True)
    )


def _path(passed: Pass, body: dict[str, Any]) -> list[tuple[float, float]]:
    """(x, z) of the tool's corner in a pass; straight where the history is older than paths."""
    if body.get("path"):
        return [(x, z) for x, z in body["path"]]
    ends = ((passed.start_mm, passed.held_mm), (passed.end_mm, passed.held_mm))
    return [(fed, held) if passed.feed_axis == "X" else (held, fed) for fed, held in ends]


# Private to this module, which is where the names lead.
# ruff: noqa: SLF001
_APPLY: dict[str, Any] = {
    "use_config": Known._use_config,
    "use_part": Known._use_part,
    "new_set_up": Known._new_set_up,
    "choose_tool": Known._choose_tool,
    "touch_off": Known._touch_off,
    "choose_operation": Known._choose_operation,
    "set_target": Known._set_target,
    "set_depth": Known._set_depth,
    "compound_wound": Known._compound_wound,
    "clamp": Known._clamp,
    "drilled": Known._nothing,
    "measured": Known._measured,
    "part_done": Known._part_done,
    "answer": Known._answer,
    "confirm_positions": Known._confirm_positions,
    "choose_units": Known._choose_units,
    "seen": Known._nothing,
    "begin_check": Known._begin_check,
    "capture": Known._capture,
    "leave_out": Known._leave_out,
    "finish_check": Known._finish_check,
    "give_up_check": Known._give_up_check,
    "use_proof": Known._use_proof,
    "at_stop": Known._at_stop,
    "undo": Known._nothing,
}
