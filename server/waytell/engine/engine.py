"""One machine's engine: board events, acts and the passing of time in; happenings and the state out.

Everything that changes comes through `feed`, `act`, `tick` or `restore`, one at a time, each with its time. A reading
costs a few microseconds; whatever is only looked at (velocity, schedule, words) is worked out when it is asked for.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from waytell.documents import acts
from waytell.documents.base import Axis
from waytell.documents.state import DoubtCode
from waytell.engine.acts_check import act_words, check_act
from waytell.engine.axes import AXES
from waytell.engine.datum import Datum
from waytell.engine.distance_to_go import Warm, feed_end_mm, feed_sign, held_sign, to_go_mm
from waytell.engine.doubt import Doubts, in_words
from waytell.engine.happening import Happening, Kind
from waytell.engine.hold_watch import HoldWatch, limits_mm
from waytell.engine.known import UNDOABLE, CutBy, Known
from waytell.engine.pass_finder import PassFinder
from waytell.engine.pass_record import PassRecord
from waytell.engine.passes import Cut, Work
from waytell.engine.positions import Positions
from waytell.engine.section import Section
from waytell.engine.strokes import Point
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

FEEDING_WITHIN_S = 0.1
# A clamped slide that slips far at once also ends the pass: the median that judges it needs a little longer.
JUDGED_AFTER_S = 0.05
SPINDLE_STANDS_AFTER_S = 2.0
DRAWN_OUT_MM = 0.3
LONG_SILENCE_S = 1.0  # counts are absolute: what a shorter one hides of a pass is a few hundredths of its way
CLAMP_BIT = 1
MOVES_COORDINATES = frozenset(
    {
        "use_config",
        "new_set_up",
        "choose_tool",
        "touch_off",
        "choose_operation",
        "compound_wound",
        "use_proof",
        "at_stop",
        "undo",
    }
)
_NOTHING: list[Happening] = []


def resumes_after(happenings: Iterable[Happening]) -> int:
    """Number of the newest event that ended what was under way: a pass under way later lies in the readings since."""
    return max((one.number for one in happenings if _ends_what_was_under_way(one)), default=0)


def _ends_what_was_under_way(one: Happening) -> bool:
    return one.kind == "pass_finished" or (one.kind == "act" and one.body["act"]["act"] in MOVES_COORDINATES)


class Engine:
    """Holds the state of one machine. `label` is the wall-clock text that happenings are stamped with."""

    def __init__(self) -> None:
        self.known: Known = Known()
        self.doubts = Doubts()
        self.place = Positions(self.known, self.doubts)
        self.label = ""
        self.t_s = 0.0
        self.hold: HoldWatch | None = None
        self._section: Section | None = None
        self._tied = False
        """Both coordinates are tied to the work: else nothing that is wound can be a pass."""
        self._board_starts: list[tuple[int, str, bool]] = []
        """Event, boot id, and whether counts were kept, of every start of the board."""
        self._record = PassRecord(self)
        self.warm = Warm(0.0, 20.0)
        self.history: list[Happening] = []
        self._spindle: SpindlePulse | None = None
        self._switches = 0
        self._owed: list[Happening] = []
        """Happenings that an act brought about and that nobody has been handed yet."""
        self._reading_s: float | None = None
        self._came_s = -math.inf
        """When the newest reading was handed over, where that was told."""
        self._feed_began = False
        self._at_work_s = 0.0
        self._following: object = None
        self._lay_out()

    # -- what comes in ---------------------------------------------------------------------------------------------

    def restore(self, happenings: Iterable[Happening], tail: Iterable[Reading] = ()) -> list[Happening]:
        """Take up where the journal left off; passes that ended in `tail` and were not yet told.

        `tail` are the readings since the event `resumes_after(happenings)`: a pass under way goes on in them.
        """
        self.history = list(happenings)
        self.doubts.events = len(self.history)
        self.known = Known.of(self.history)
        for one in self.history:
            self._note_start(one)
            if "stepped" in one.body:
                self.doubts.recall(*one.body["stepped"])
        self._lay_out()
        return self._taken_up(tail)

    def _taken_up(self, tail: Iterable[Reading]) -> list[Happening]:
        """Go through the readings since: only passes can come of them, the rest is told already."""
        found: list[Happening] = []
        for reading in tail:
            if self._taken(reading):
                self._reading_s = reading.t_s
                place = self.place
                found += self._finished(self.passes.step(reading.board_s, place.x_mm, place.z_mm, place.compound_mm))
        # When they came says nothing about now: the clock of an earlier start of the program is another one.
        self._reading_s = None
        self.doubts.untold.clear()
        return found

    def feed(self, event: BoardEvent) -> list[Happening]:
        """A board event; what it brought about."""
        if self._owed:
            return [*self._paid(), *self.feed(event)]
        if isinstance(event, Reading):
            return self._reading(event)
        self.t_s = max(self.t_s, event.t_s)
        if isinstance(event, LinkReport):
            self.doubts.heard_link(event)
        elif isinstance(event, BoardHello):
            return self._hello(event)
        elif isinstance(event, MissedEdges):
            if event.total != self.doubts.missed.get(event.scale):
                self.doubts.missed[event.scale] = event.total
                self._record.note_doubts(event.t_s)
        elif isinstance(event, SpindlePulse):
            self._spindle = event
            self._record.heard_spindle(event, self.rpm)
        elif isinstance(event, SwitchInputs):
            self._switched(event.bits)
        elif isinstance(event, ReferenceMark):
            return self._marked(event)
        return _NOTHING

    def tick(self, now_s: float) -> None:
        """Time passed without a reading."""
        self.t_s = max(self.t_s, now_s)
        self.note_age(now_s)

    def note_age(self, now_s: float, *, came: bool = False) -> None:
        """The newest reading may have been long on its way; `came` where it was handed over only now."""
        if came:
            self._came_s = now_s
        if self._reading_s is not None:
            self.doubts.note_age(now_s - self._reading_s, now_s - self._came_s)
            if now_s - self._reading_s > LONG_SILENCE_S:
                self._record.note_doubts(now_s)

    def finish(self) -> list[Happening]:
        """No more readings will come: passes under way end here."""
        return self._finished(self.passes.finish())

    def act(self, act: acts.Act, t_s: float) -> list[Happening]:
        """Carry out an act of the person; its happening is the last of those it brought about.

        Raises:
            ActRefused: it cannot be done now; nothing has changed.
        """
        self.t_s = max(self.t_s, t_s)
        if act.act in MOVES_COORDINATES:
            # A pass under way ends in the coordinates that it was cut in; a refused act does not undo that.
            self._owed += self.finish()
        check_act(self, act)
        body: dict[str, Any] = {"act": act.model_dump(mode="json")}
        words = act_words(self, act)
        if isinstance(act, acts.Drilled):
            self._owed += self.finish()
            self._owed.append(self.happened("pass_finished", *self._record.drilled(act)))
        if isinstance(act, acts.TouchOff):
            body |= self._touch_body(act)
        elif isinstance(act, acts.ConfirmPositions):
            body |= {"boot": self.doubts.boot, "missed": self.missed()}
        elif isinstance(act, acts.AtStop):
            body |= {"counts": list(self.place.counts), "missed": self.missed()}
        elif isinstance(act, acts.Undo):
            body["undoes"] = self.known.undoable[-1][0]
        happening = self.happened("act", words, body)
        self._after(act)
        return [*self._paid(), happening]

    def _paid(self) -> list[Happening]:
        owed, self._owed = self._owed, []
        return owed

    def happened(self, kind: Kind, words: str, body: dict[str, Any]) -> Happening:
        """Note that something happened, and what is known from it."""
        happening = Happening(len(self.history) + 1, self.t_s, self.label, kind, words, body)
        self.history.append(happening)
        self._note_start(happening)
        self.doubts.events = happening.number
        if "undoes" in body:
            self.known = Known.of(self.history)
        else:
            self.known.apply(happening)
        return happening

    def _note_start(self, one: Happening) -> None:
        if one.kind == "board" and "boot" in one.body:
            self._board_starts.append((one.number, one.body["boot"], bool(one.body.get("kept"))))

    # -- readings --------------------------------------------------------------------------------------------------

    def _reading(self, r: Reading) -> list[Happening]:
        place = self.place
        if not self._taken(r):
            return _NOTHING
        self._reading_s = self.t_s = r.t_s
        self.doubts.flags = r.flags
        self.doubts.stale = False
        t, x, z = r.board_s, place.x_mm, place.z_mm
        cuts = self.passes.step(t, x, z, place.compound_mm)
        out = self._finished(cuts) if cuts else _NOTHING
        hold = self.hold
        if hold is not None and self._watch(hold, t, x, z):
            out = [*out, self._slide_moved(hold)]
        if self.doubts.untold:
            self._record.note_doubts(r.t_s)
            out = [*out, *self._tell_steps(r.t_s)]
        return out

    def _taken(self, r: Reading) -> bool:
        place, before_s = self.place, self._reading_s
        first, x, z = not place.counts, place.x_mm, place.z_mm
        taken = place.take(r, self.known)
        if first and taken:
            # Only now can be told where the last pass lies.
            self._take_up_last()
        elif taken and before_s is not None and r.t_s - before_s > LONG_SILENCE_S:
            self._record.unheard(abs(place.x_mm - x) + abs(place.z_mm - z), in_pass=self.passes.under_way)
        return taken

    def _tell_steps(self, now_s: float) -> list[Happening]:
        """Jumps go into the history, so that a start of the program finds the doubt again."""
        return [
            self.happened("board", f"Scale {channel}: {in_words(code, '').words}", {"stepped": [channel, code, event]})
            for channel, code, event in self.doubts.lasting(now_s)
        ]

    def _watch(self, hold: HoldWatch, t: float, x: float, z: float) -> bool:
        """The slide that should stand still; True where it has moved too far."""
        finder, fed = (self.passes.finder("X"), x) if hold.axis == "Z" else (self.passes.finder("Z"), z)
        held = self.place.slide_mm(hold.axis)
        if finder.points is not None:
            self._at_work_s = t
            if hold.armed_by is None and self.at_work:
                self._set_limits()
                hold.begin(watched_only=self.free_skim)
        elif hold.armed_by is not None and (hold.clamped_by is None or t > self._at_work_s + JUDGED_AFTER_S):
            hold.end()
        if finder.began != self._feed_began:
            self._feed_began = finder.began
            if finder.began:
                hold.feed_began()
        judged = hold.clamped_by is not None
        if not judged and finder.points is not None:
            operation = self.known.operation
            inward = hold.went(held) * (held_sign(operation.kind) if operation is not None else -1) > 0
            # Near the end of the feed the tool is drawn out of the metal, and while the feed rests it may be; into the
            # metal nobody winds it by intent.
            if not self._at_end(hold.axis, fed, 0.0 if inward else DRAWN_OUT_MM):
                judged = finder.advancing(t, FEEDING_WITHIN_S) or (inward and self.at_work)
        return hold.step(t, held, fed, judged=judged)

    def _at_end(self, held_axis: Axis, fed: float, within_mm: float) -> bool:
        """The feed has come to its end: what the other slide does now is the person backing the tool out."""
        operation = self.known.operation
        if operation is None or operation.held_axis != held_axis:
            return False
        left = to_go_mm(fed, feed_end_mm(operation, self.known.tool, self.warm), feed_sign(operation))
        return left <= max(within_mm, self.place.count_mm[operation.feed_axis])

    # -- passes ----------------------------------------------------------------------------------------------------

    def stroke_of(self, feed_axis: Axis) -> list[Point] | None:
        """Points of the stroke under way along an axis; None where there is none."""
        return self.passes.finder(feed_axis).points

    @property
    def section_before(self) -> Section | None:
        """The work as it was before the pass that may still go on."""
        return self._section

    @property
    def section(self) -> Section | None:
        """The work as it is: with the pass that may still go on taken off."""
        return self.passes.live if self.passes.live is not None else self._section

    @property
    def at_work(self) -> bool:
        """The tool cuts or rubs. Without an outline: it is past where the operation begins, if there is one."""
        place, operation, section = self.place, self.known.operation, self.section
        if section is not None:
            return section.touches(place.x_mm, place.z_mm, place.band_mm)
        if operation is None or not self._tied:
            return operation is None
        return feed_sign(operation) * (place.of(operation.feed_axis) - operation.start_mm) >= 0

    def _rests_in_work(self) -> bool:
        """As far as anything tells where the work is."""
        return (self.section is not None or self.known.operation is not None) and self.at_work

    def in_pass(self, feed_axis: Axis) -> bool:
        """A stroke is under way and has met the work: winding up to it in the air is not yet a pass."""
        return self.stroke_of(feed_axis) is not None and self.at_work

    def held_of_last_pass(self) -> float | None:
        """Coordinate, as the datums are now, at which the last pass was cut."""
        last = self.known.last_pass
        return None if last is None else self._held_in(last)

    def _held_in(self, last: CutBy) -> float | None:
        held_axis: Axis = "Z" if last.passed.feed_axis == "X" else "X"
        # A cone has no one place where it was held.
        return None if last.passed.fed_by == "compound" else self.place.at(last.counts, held_axis)

    def later_s(self) -> float:
        """What the host's clock says more than the board's."""
        return (self._reading_s or 0.0) - self.place.board_s

    def _work(self) -> Work:
        """What a stroke is judged by, as it is now."""
        known, hold = self.known, self.hold
        operation = known.operation if self._tied else None
        return Work(
            section=self._section,
            tool=known.tool,
            operation=operation,
            band_mm=self.place.band_mm,
            angle_deg=known.config.compound.angle_deg,
            target_mm=None if operation is None else self.warm.size_mm(operation.target_mm),
            passes_in_operation=known.passes_in_operation,
            passes_in_set_up=known.passes_in_set_up,
            clamped=bool(known.clamped.get("Z")) or (hold is not None and hold.clamped_by is not None),
            last={
                kind: (held, one.passed.end_mm - one.passed.start_mm)
                for kind, one in known.last_of_kind.items()
                if (held := self._held_in(one)) is not None
            },
        )

    def _finished(self, cuts: list[Cut]) -> list[Happening]:
        out = []
        for cut in cuts:
            told = self._record.finished(cut)
            if told is not None:
                out.append(self.happened("pass_finished", *told))
                self._lay_out_work()
        return out

    def _slide_moved(self, hold: HoldWatch) -> Happening:
        where = coordinate("X" if hold.axis == "Z" else "Z", hold.worst_at_mm or 0.0, self.known.units)
        amount = fine_length(abs(hold.deviation_mm), self.known.units)
        way = "away from" if hold.deviation_mm > 0 else "towards"
        to = "the headstock" if hold.axis == "Z" else "the centre line"
        words = f"The {slide(hold.axis)} moved {amount} {way} {to} at {where}."
        body = {"axis": hold.axis, "state": hold.state, "deviation_mm": hold.deviation_mm, "at_mm": hold.worst_at_mm}
        return self.happened("hold", words, body)

    @property
    def free_skim(self) -> bool:
        """The next pass is the operation's free first one: its held slide is watched, not alarmed."""
        operation = self.known.operation
        return operation is not None and operation.free_first_pass and self.known.passes_in_operation == 0

    # -- the board -------------------------------------------------------------------------------------------------

    @property
    def rpm(self) -> float:
        """Spindle speed in revolutions a minute, 0 while it stands or is unknown."""
        pulse, hello = self._spindle, self.doubts.hello
        if pulse is None or hello is None or not hello.pulses_per_rev or pulse.period_s <= 0:
            return 0.0
        if self.t_s - pulse.t_s > SPINDLE_STANDS_AFTER_S:
            return 0.0
        return 60.0 / (pulse.period_s * hello.pulses_per_rev)

    @property
    def turning(self) -> bool | None:
        """The spindle turns; None without a tach."""
        hello = self.doubts.hello
        return None if hello is None or not hello.pulses_per_rev else self.rpm > 0

    def reasons(self, axis: Axis) -> tuple[DoubtCode, ...]:
        """Why the position along an axis is in doubt; empty where it is good."""
        found = self.doubts.reasons(axis, self.known)
        if self.place.lacks_scales:
            return ("fewer_scales", *found)
        return found if found or self.place.counts else ("stale",)

    def _hello(self, hello: BoardHello) -> list[Happening]:
        first = self.doubts.boot is None
        # What was under way ended with the board's last report, and is judged as it was then.
        out = self.finish() if not first and hello.boot != self.doubts.boot else []
        restarted = self.doubts.heard_hello(hello)
        self.place.lay_out_rates(self.known)
        if restarted:
            self.place.begin_anew()
        if not restarted and not first:
            return _NOTHING
        out = [*out, self._told_start(hello, restarted=restarted)]
        if restarted:
            # Its clock began anew, and its counts may have: no stroke goes on through that.
            self._following = self.hold = None
        self._lay_out()
        return out

    def _told_start(self, hello: BoardHello, *, restarted: bool) -> Happening:
        words = f"Board {hello.model} " + ("restarted" if restarted else "heard") + f", start {hello.boot}."
        body = {"boot": hello.boot, "kept": hello.kept, "restarted": restarted}
        return self.happened("board", words, body)

    def _marked(self, mark: ReferenceMark) -> list[Happening]:
        """A mark tells where on the scale it stands: only what that changes is an event."""
        missed = self.doubts.missed.get(mark.scale, 0)
        if not self.known.proved.learns_from(mark.scale, mark.at_count, missed, self.known.config):
            return _NOTHING
        body = {"mark": [mark.scale, mark.at_count, missed]}
        out = [*self.finish(), self.happened("board", f"Scale {mark.scale}: reference mark passed.", body)]
        self._lay_out()
        return out

    def _switched(self, bits: int) -> None:
        changed, self._switches = (self._switches ^ bits) & CLAMP_BIT, bits
        if changed:
            self._lay_out_hold()
            self._set_clamp()

    # -- what follows from what is known ---------------------------------------------------------------------------

    def _lay_out(self) -> None:
        """Prepare what every reading needs, after anything known has changed."""
        self.place.lay_out(self.known)
        self._lay_out_work()
        self._lay_out_hold()
        # A pass under way goes on through acts that move no coordinate, such as a choice of units.
        signs: dict[Axis, int] = {axis: self._sign(axis) for axis in AXES}
        following = (self.place.plans, tuple(signs.values()), self.place.oblique_deg)
        if following != self._following:
            self._following = following
            self.passes = PassFinder(
                self.place.count_mm, self.place.oblique_deg, self._work, self._rests_in_work, signs
            )  # fmt: skip
            self._feed_began = False
            self._take_up_last()

    def _take_up_last(self) -> None:
        """The way back from the last pass is no pass, also where the finder was made anew in between."""
        last = self.known.last_pass
        if last is None or not self.place.counts or (held := self._held_in(last)) is None:
            return
        one = last.passed
        if one.kind == "drilling":
            # Each drill is a hole of its own, and is drawn back through nothing.
            return
        ends = (Point(0.0, one.start_mm, held), Point(0.0, one.end_mm, held))
        sign = 1 if one.end_mm > one.start_mm else -1
        self.passes.take_up(Cut(one.kind, one.role, one.feed_axis, sign, None, ends, held, held, one.depth_mm, ()))

    def _lay_out_work(self) -> None:
        known, stock = self.known, self.known.stock
        self.warm = Warm(stock.expansion_um_m_k if stock else 0.0, known.config.machine.temperature_c)
        # An outline in coordinates that nothing ties to the work would only mislead.
        void = any(self.began_anew_since(datum) for datum in known.datums.values())
        self._tied = all(known.tied(axis) for axis in AXES) and not void
        self._section = known.section if self._tied else None

    def began_anew_since(self, datum: Datum) -> bool:
        """The board lost its counts since: also before its newest start, which may have kept what that one had lost."""
        return any(
            number > datum.sure_from and boot != datum.boot and not kept for number, boot, kept in self._board_starts
        )

    def _lay_out_hold(self) -> None:
        """Which axis should stand: the operation's, else one that is clamped."""
        known = self.known
        axis: Axis | None = next((axis for axis in ("Z", "X") if known.clamped.get(axis)), None)
        if axis is None and self._switches & CLAMP_BIT:
            axis = "Z"
        if known.operation is not None:
            axis = known.operation.held_axis
        if axis is None or not known.terms[axis]:
            self.hold = None
        elif self.hold is None or self.hold.axis != axis:
            self.hold = HoldWatch(axis, limits_mm(0.0, 0.0, self.place.count_mm[axis], 0.0))
            self._set_clamp()
        self._set_limits()

    def _set_limits(self) -> None:
        if self.hold is not None:
            axis, hold = self.hold.axis, self.known.config.hold
            count, noise = self.place.count_mm[axis], self.place.noise_mm[axis]
            self.hold.limits = limits_mm(hold.warning_mm, hold.limit_mm, count, noise)

    def _set_clamp(self) -> None:
        hold = self.hold
        if hold is None:
            return
        by_person = self.known.clamped.get(hold.axis)
        by_switch = hold.axis == "Z" and self._switches & CLAMP_BIT
        hold.clamp("switch" if by_switch else "person" if by_person else None)

    def _sign(self, axis: Axis) -> int:
        """Which way an axis is fed: that of the operation, else towards the centre and the headstock."""
        operation = self.known.operation
        return feed_sign(operation) if operation is not None and operation.feed_axis == axis else -1

    def _after(self, act: acts.Act) -> None:
        """Readings go on under what is now known."""
        if isinstance(act, acts.Seen) and self.hold is not None:
            self.hold.seen()
        elif isinstance(act, acts.TouchOff):
            self.doubts.referenced(term.channel for term in self.known.terms[act.axis])
        elif isinstance(act, acts.ConfirmPositions):
            self.doubts.referenced(list(self.doubts.latched))
        if act.act in UNDOABLE or isinstance(act, acts.Undo):
            self._lay_out()
        if isinstance(act, acts.Clamp | acts.Undo):
            self._set_clamp()

    def _touch_body(self, act: acts.TouchOff) -> dict[str, Any]:
        """What stood when the tool touched, or when it cut the last pass: the act alone could not be repeated."""
        last = self.known.last_pass if act.where == "last_pass" else None
        return {
            "counts": list(last.counts if last is not None else self.place.counts),
            "wound_in_mm": last.wound_in_mm if last is not None else self.known.wound_in_mm,
            "boot": self.doubts.boot,
            "missed": self.missed(),
            "datum_sound": act.axis in self.known.datums and not self.doubts.lost_count(act.axis, self.known),
        }

    def missed(self) -> dict[str, int]:
        """Missed edges of each scale up to now, as JSON has them."""
        return {str(channel): total for channel, total in self.doubts.missed.items()}
