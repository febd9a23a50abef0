"""Listens to any board that prints its counts as lines of text, by a regular expression from the configuration.

Such lines carry no checksum, no boot id and mostly no time, so what they say is trusted less, and that is shown. The
first line after opening is passed over: it may be the tail of one, whose `56` was `123456`.
Named groups: `c0`, `c1` ... a count or printed position of each scale; `t_us` or `t_ms` the board's own time, where it
prints one. Numbers are multiplied by `scale` and rounded to whole counts.
"""

from __future__ import annotations

import re

from waytell_bridge.board_clock import BoardClock, ClockJump
from waytell_bridge.line_protocol import CLOCK_SPAN_US, LONGEST_LINE, MOST_SCALES
from waytell_bridge.listener import Heard, LinkHealth, SourceTold
from waytell_bridge.reading import BoardEvent, Reading

# Lines of strangers may be longer than ours; a line without end is still damaged.
LONGEST_PATTERN_LINE = 10 * LONGEST_LINE
MOST_TIME_US = 1e18  # more than a board's 32 bits of milliseconds by far


class PatternListener(SourceTold):
    def __init__(self, source: str, pattern: str, scale: float = 1.0, baud: int | None = None) -> None:
        speed = f" at {baud} baud by the line pattern of the configuration" if baud else ""
        super().__init__(LinkHealth(source, checked=False, speed=speed))
        self._pattern = re.compile(pattern)
        groups = self._pattern.groupindex
        self._columns = [f"c{i}" for i in range(MOST_SCALES) if f"c{i}" in groups]
        self._timed = next(((name, us) for name, us in (("t_us", 1.0), ("t_ms", 1000.0)) if name in groups), None)
        self._scale = scale
        self._rest = b""
        self._amid_line = False
        self._clock = BoardClock()

    def opened(self, now_s: float) -> Heard:
        self._rest = b""
        self._amid_line = True
        self._clock = BoardClock()
        self.health.opened(now_s)
        return Heard([self.health.report(now_s, 0.0)], [], [])

    def listen(self, data: bytes, arrival_s: float) -> Heard:
        pieces = re.split(rb"[\r\n]+", self._rest + data)
        # The beginning of a line too long is kept, one byte more than fits: so it is known when its end comes.
        self._rest = pieces.pop()[: LONGEST_PATTERN_LINE + 1]
        lines = [line[: LONGEST_PATTERN_LINE + 1] for line in pieces]
        # The log keeps the line passed over, even where it is empty, so that its replay passes over the same one.
        passed, lines = (lines[:1], lines[1:]) if self._amid_line else ([], lines)
        lines = [line for line in lines if line]
        self._amid_line = self._amid_line and not passed
        self.health.heard(arrival_s, len(passed) + len(lines))
        readings = [self._reading(line, arrival_s) for line in lines]
        events: list[BoardEvent] = [reading for reading in readings if reading is not None]
        damaged = ["does not fit the line pattern"] * (len(readings) - len(events))
        return Heard(events + self.tick(arrival_s).events, [], passed + lines, damaged)

    def tick(self, now_s: float) -> Heard:
        due = self.health.judge(now_s)
        return Heard([self.health.report(now_s, self._clock.spread_s)] if due else [], [], [])

    def _reading(self, line: bytes, arrival_s: float) -> Reading | None:
        fits = len(line) <= LONGEST_PATTERN_LINE
        match = self._pattern.search(line.decode("ascii", "replace")) if fits else None
        if match is None:
            self.health.damaged += 1
            return None
        try:
            counts = tuple(self._count(match[name]) for name in self._columns)
            t_us = _time_us(match[self._timed[0]], self._timed[1]) if self._timed else None
        except (ValueError, TypeError, OverflowError):
            self.health.damaged += 1
            return None
        self.health.reports += 1
        if t_us is None:
            return Reading(arrival_s, arrival_s, counts, 0)
        return self._timed_reading(t_us, counts, arrival_s)

    def _timed_reading(self, t_us: int, counts: tuple[int, ...], arrival_s: float) -> Reading:
        try:
            board_s = self._clock.advance(t_us % CLOCK_SPAN_US, arrival_s)
        except ClockJump:
            self._clock = BoardClock()
            board_s = self._clock.advance(t_us % CLOCK_SPAN_US, arrival_s)
        return Reading(self._clock.host_s(board_s, arrival_s), board_s, counts, 0)

    def _count(self, text: str) -> int:
        value = round(_number(text) * self._scale)
        # Beyond 32 bits the engine's signed differences would fold: such a number is damage.
        if not -(1 << 31) <= value < (1 << 31):
            raise ValueError(text)
        return value


def _number(text: str) -> float:
    # float() takes "1_000" for a thousand; on a line it is two numbers grown together, or damage.
    if "_" in text:
        raise ValueError(text)
    return float(text)


def _time_us(text: str, us: float) -> int:
    value = _number(text) * us
    if not 0 <= value < MOST_TIME_US:
        raise ValueError(text)
    return int(value)
