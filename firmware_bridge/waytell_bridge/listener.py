"""Listens to one board: bytes and their times of arrival in, board events and requests to the board out. No I/O.

Owns what it takes to know whether the link can be trusted: the sequence of reports, damaged lines, silence, the
boot id. Knows no slide and no millimetre. `listen` takes what a source read, `tick` tells that time has passed.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple, Protocol

from waytell_bridge import line_protocol as wire
from waytell_bridge.board_clock import BoardClock, ClockJump
from waytell_bridge.reading import (
    BoardEvent,
    BoardHello,
    LinkCondition,
    LinkReport,
    MissedEdges,
    Reading,
    ReferenceMark,
    SpindlePulse,
    SwitchInputs,
)

REPORT_EVERY_S = 0.5
SILENT_AFTER_S = 1.0
ASK_AGAIN_AFTER_S = 1.0
# Lines of two boards mixed jump at every line: a question for each of them would drown the line in answers.
ASK_APART_S = 0.25
# A version 1 board keeps to 1000 reports a second and a few lines more; 500 kbaud carries at most 50 000 bytes.
FLOOD_LINES_S = 2000
MOST_DAMAGED_SHARE = 0.5


class Heard(NamedTuple):
    """What a piece of input gave: events for the engine, lines to send, and each line as received for the log.

    `damaged` says in words what is wrong with each damaged line among them.
    """

    events: list[BoardEvent]
    to_send: list[bytes]
    lines: list[bytes]
    damaged: Sequence[str] = ()


class Listener(Protocol):
    def listen(self, data: bytes, arrival_s: float) -> Heard: ...
    def tick(self, now_s: float) -> Heard: ...
    def opened(self, now_s: float) -> Heard: ...
    def opening(self, now_s: float) -> LinkReport: ...
    def lost(self, now_s: float, words: str) -> LinkReport: ...
    def ended(self, now_s: float) -> LinkReport: ...


class LinkHealth:
    """Counts what comes and judges the link twice a second and whenever its condition changes."""

    def __init__(self, source: str, *, checked: bool, speed: str) -> None:
        self.source = source
        self.checked = checked
        self._speed = speed
        self._set(LinkCondition.OPENING, "")
        self.reports = self.lost_reports = self.damaged = 0
        self._since_s = 0.0
        self._heard_s = 0.0
        self._line_s = 0.0
        self._before = (0, 0, 0)
        self._lines = 0
        self._rate_hz = 0.0

    def opened(self, now_s: float) -> None:
        self._since_s = self._heard_s = self._line_s = now_s
        self._before = (self.reports, self.damaged, self._lines)
        self._set(LinkCondition.OPENING, f"Listening on {self.source}.")

    def heard(self, now_s: float, lines: int) -> None:
        self._heard_s = now_s
        if lines:
            self._line_s = now_s
            self._lines += lines

    def report(self, now_s: float, spread_s: float) -> LinkReport:
        return LinkReport(
            now_s, self.condition, self._words, self.source, self.checked,
            self.reports, self.lost_reports, self.damaged, self._rate_hz, spread_s,
        )  # fmt: skip

    def judge(self, now_s: float) -> bool:
        """True where a report is due: the condition changed, or half a second went by."""
        elapsed, changed = now_s - self._since_s, False
        if self._waiting and self.reports > self._before[0]:
            self._live()
            changed = True
        if elapsed < REPORT_EVERY_S:
            return changed
        good, bad, lines = self.reports - self._before[0], self.damaged - self._before[1], self._lines - self._before[2]
        self._rate_hz = good / elapsed
        self._conclude(now_s, good, bad, lines / elapsed)
        self._since_s = now_s
        self._before = (self.reports, self.damaged, self._lines)
        return True

    def _conclude(self, now_s: float, good: int, bad: int, lines_s: float) -> None:
        quiet_s = now_s - self._heard_s
        if quiet_s >= SILENT_AFTER_S:
            self._set(
                LinkCondition.SILENT,
                f"Nothing heard on {self.source} for {quiet_s:.0f} s. Is the board powered, its cable in, and this "
                "its port?",
            )
        elif (bad and bad >= (good + bad) * MOST_DAMAGED_SHARE) or now_s - self._line_s >= SILENT_AFTER_S:
            # Bytes without any newline are no damaged lines to count, and as unreadable.
            self._set(
                LinkCondition.UNREADABLE,
                f"Bytes come from {self.source}, but no line can be read{self._speed}. Check that the speed is the "
                "one the board uses, and that this is the board's port.",
            )
        elif lines_s > FLOOD_LINES_S:
            self._set(
                LinkCondition.FLOODED,
                f"{lines_s:.0f} lines a second come from {self.source}, more than a board sends. Is something else "
                "writing to this line?",
            )
        elif good:
            self._live()

    def _live(self) -> None:
        weaker = "" if self.checked else " Its lines carry no checksum, so a damaged figure could pass unseen."
        self._set(LinkCondition.LIVE, f"The board reports.{weaker}")

    def lost(self, words: str) -> None:
        self._set(LinkCondition.LOST, words)

    def ended(self) -> None:
        self._set(LinkCondition.ENDED, f"The recording {self.source} has ended.")

    def opening(self) -> None:
        self._set(LinkCondition.OPENING, f"Opening {self.source}.")

    def _set(self, condition: LinkCondition, words: str) -> None:
        self.condition, self._words = condition, words
        self._waiting = condition in (LinkCondition.OPENING, LinkCondition.SILENT)


class SourceTold:
    """What a listener says of its source as it comes and goes; bytes play no part in it."""

    def __init__(self, health: LinkHealth) -> None:
        self.health = health

    def opening(self, now_s: float) -> LinkReport:
        self.health.opening()
        return self.health.report(now_s, 0.0)

    def lost(self, now_s: float, words: str) -> LinkReport:
        self.health.lost(words)
        return self.health.report(now_s, 0.0)

    def ended(self, now_s: float) -> LinkReport:
        self.health.ended()
        return self.health.report(now_s, 0.0)


class BoardListener(SourceTold):
    """Listens to a board that speaks the line protocol."""

    def __init__(self, source: str, baud: int | None = None) -> None:
        speed = f" at {baud} baud" if baud else ""
        super().__init__(LinkHealth(source, checked=True, speed=speed))
        self._decoder = wire.LineDecoder()
        self._clock = BoardClock()
        self._seq: int | None = None
        self._boot: str | None = None
        self._scales: int | None = None
        self._greeted = False
        self._asked_s = -ASK_APART_S
        self._to_send: list[bytes] = []
        self._damaged: list[str] = []

    def opened(self, now_s: float) -> Heard:
        """The source is open: ask the board who it is."""
        self._decoder = wire.LineDecoder()
        self._seq = None
        self._clock = BoardClock()
        self.health.opened(now_s)
        self._asked_s = now_s - ASK_APART_S
        self._ask(now_s)
        return self._heard([self.health.report(now_s, 0.0)], [])

    def listen(self, data: bytes, arrival_s: float) -> Heard:
        events: list[BoardEvent] = []
        decoded = self._decoder.feed(data)
        lines: list[bytes] = []
        self.health.heard(arrival_s, len(decoded))
        for line, message in decoded:
            lines.append(line)
            if isinstance(message, wire.Positions):
                event: BoardEvent | None = self._reading(message, arrival_s)
            else:
                event = self._event(message, arrival_s)
            if event is not None:
                events.append(event)
        if self.health.judge(arrival_s):
            events.append(self.health.report(arrival_s, self._clock.spread_s))
        if not self._greeted:
            self._ask_again(arrival_s)
        return self._heard(events, lines)

    def tick(self, now_s: float) -> Heard:
        """Time passed; called when nothing came for a while."""
        events: list[BoardEvent] = []
        if self.health.judge(now_s):
            events.append(self.health.report(now_s, self._clock.spread_s))
        if not self._greeted:
            self._ask_again(now_s)
        return self._heard(events, [])

    def _heard(self, events: list[BoardEvent], lines: list[bytes]) -> Heard:
        to_send, self._to_send = self._to_send, []
        damaged, self._damaged = self._damaged, []
        return Heard(events, to_send, lines, damaged)

    def _ask(self, now_s: float) -> None:
        self._greeted = False
        if now_s - self._asked_s >= ASK_APART_S:
            self._asked_s = now_s
            self._to_send.append(wire.encode("Q"))

    def _ask_again(self, now_s: float) -> None:
        """A board that restarts as its port is opened does not hear the first question."""
        if now_s - self._asked_s > ASK_AGAIN_AFTER_S:
            self._ask(now_s)

    def _event(self, message: wire.Message, arrival_s: float) -> BoardEvent | None:
        if isinstance(message, wire.Missed):
            return MissedEdges(arrival_s, message.scale, message.total)
        if isinstance(message, wire.Spindle):
            return SpindlePulse(self._time(message.t_us, arrival_s), message.period_us * 1e-6)
        if isinstance(message, wire.Inputs):
            return SwitchInputs(self._time(message.t_us, arrival_s), message.bits)
        if isinstance(message, wire.Mark):
            return ReferenceMark(self._time(message.t_us, arrival_s), message.scale, message.at_count)
        if isinstance(message, wire.Hello):
            return self._hello(message, arrival_s)
        if isinstance(message, wire.Damaged):
            self._spoilt(message.reason)
        return None

    def _spoilt(self, reason: str) -> None:
        self.health.damaged += 1
        self._damaged.append(reason)

    def _reading(self, line: wire.Positions, arrival_s: float) -> Reading | None:
        if self._scales is not None and len(line.counts) < self._scales:
            # Its checksum holds, but it is not from the board that said hello.
            self._spoilt("fewer counts than the board has scales")
            return None
        self.health.reports += 1
        gap = 0 if self._seq is None else (line.seq - self._seq - 1) & 0xFFFF
        self._seq = line.seq
        try:
            board_s = self._clock.advance(line.t_us, arrival_s)
        except ClockJump:
            # Another start, or another board: its numbers begin anew, so no report is missing between the two.
            self._clock = BoardClock()
            self._ask(arrival_s)
            board_s = self._clock.advance(line.t_us, arrival_s)
        else:
            if gap:
                self._note_gap(gap, arrival_s)
        counts = line.counts if self._scales is None else line.counts[: self._scales]
        return Reading(self._clock.host_s(board_s, arrival_s), board_s, counts, line.flags)

    def _note_gap(self, gap: int, arrival_s: float) -> None:
        # A few lost reports are a matter of the link; a large step, or one back, may mean more.
        self.health.lost_reports += gap if gap < 0x8000 else 0
        if gap > 100:
            self._ask(arrival_s)

    def _hello(self, hello: wire.Hello, arrival_s: float) -> BoardHello:
        restarted = self._boot is not None and hello.boot != self._boot
        if restarted:
            self._clock = BoardClock()
            self._seq = None
        self._boot, self._scales, self._greeted = hello.boot, hello.scales, True
        return BoardHello(
            arrival_s, hello.boot, hello.model, hello.scales, hello.rate_hz, hello.firmware, hello.pulses_per_rev,
            hello.switches, hello.kept, hello.max_edges_s, hello.kinds, restarted,
        )  # fmt: skip

    def _time(self, t_us: int, arrival_s: float) -> float:
        board_s = self._clock.near(t_us)
        return arrival_s if board_s is None else min(arrival_s, self._clock.map(board_s))
