"""The virtual counter board: what its slides and spindle do goes in, lines of the protocol come out. No I/O.

Counts by the grid of each scale, with the scale's own straight-line and periodic error, from an arbitrary start that
wraps at 32 bits; latches them at the report times, not at the steps of the simulation, so the metal does not depend
on the report rate. Sends hello, positions, missed edges, marks, spindle and switches as the protocol says.

Not simulated: edges between samples (missed edges come by `miss`), bounce of switches, the time a line takes on the
wire, a board too slow for its rate.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from waytell_bridge.line_protocol import AskHello, AskRate, LineDecoder, encode

if TYPE_CHECKING:
    from random import Random

    from waytell_bridge.simulated.settings import ScaleSettings, Settings

HELLO_S = 2.0
REPEAT_S = 1.0
MISSED_S = 0.1
SPINDLE_S = 0.05
STOPPED_S = 2.0
SLOWEST_HZ, FASTEST_HZ = 10, 1000


class Sensed(NamedTuple):
    """What the board's inputs see at one moment: true positions of the slides in the order of its scales."""

    t_s: float
    slides_mm: tuple[float, ...]
    turns: float
    switches: int


def wrapped(count: int) -> int:
    """A count as a signed 32-bit integer.

    >>> wrapped(2**31)
    -2147483648
    """
    return (count + (1 << 31)) % (1 << 32) - (1 << 31)


def scale_count(scale: ScaleSettings, true_mm: float) -> int:
    """The count on the scale's own grid at a true position, its errors included."""
    periodic = scale.periodic_error_um * 1e-3 * math.sin(2 * math.pi * true_mm / scale.period_mm)
    shown_mm = true_mm * (1 + scale.linear_error_um_m * 1e-6) + periodic
    return scale.direction * math.floor(shown_mm * 1e3 / scale.resolution_um)


class VirtualBoard:
    def __init__(self, settings: Settings, chance: Random, pace: float = 1.0) -> None:
        """`pace`: how many simulated seconds pass in one second of the board's own clock."""
        self._scales = settings.scales
        self._settings = settings.board
        self._chance = chance
        self._pace = pace
        self._starts = chance.randrange(1 << 16)
        self._now: Sensed | None = None
        self._decoder = LineDecoder()
        self._out: list[bytes] = []
        self._restarted = False
        self.noise_counts = [scale.noise_counts for scale in settings.scales]
        self._frozen_mm: dict[int, float] = {}

    @property
    def counts(self) -> tuple[int, ...]:
        """The counts now, without noise."""
        return () if self._now is None else self._counted(self._now.slides_mm, noisy=False)

    def start(self, now: Sensed, *, kept: bool = False) -> None:
        """Power comes on, or the processor starts again."""
        before = self.counts
        self._starts += 1
        # An odd factor mixes a start counter into ids that all differ (golden-ratio hashing).
        self._boot = (self._starts * 0x9E3779B1) & 0xFFFFFFFF
        self._kept, self._now, self._start_s = kept, now, now.t_s
        self._rate_hz = self._settings.rate_hz
        self._seq = 0 if self._restarted else self._settings.start_seq
        self._start_us = 0 if self._restarted else self._settings.start_us
        counts = before if kept else tuple(0 if self._restarted else scale.start_count for scale in self._scales)
        grid = [scale_count(scale, mm) for scale, mm in zip(self._scales, now.slides_mm, strict=True)]
        self._origin = [count - on_grid for count, on_grid in zip(counts, grid, strict=True)]
        self._missed = [0] * len(self._scales)
        self._told_missed = [0] * len(self._scales)
        self._glitch: tuple[int, int] | None = None
        self._pulse_s: float | None = None
        self._pulse, self._pulse_us, self._period_us = 0, 0, 0
        self._debounced = self._told_switches = now.switches
        self._next_report_s = now.t_s
        self._due = {"W": now.t_s, "E": now.t_s, "I": now.t_s, "S": now.t_s, "standing": now.t_s, "growth": now.t_s}
        self._restarted = True

    def receive(self, data: bytes) -> None:
        """Bytes from the host; the answers come with the next step."""
        for _, message in self._decoder.feed(data):
            if isinstance(message, AskHello):
                self._due.update(W=0.0, E=0.0, I=0.0)
            elif isinstance(message, AskRate):
                self._rate_hz = min(max(message.rate_hz, SLOWEST_HZ), FASTEST_HZ)
                self._next_report_s = self._now.t_s if self._now else 0.0
                self._due["W"] = 0.0

    def miss(self, scale: int, edges: int) -> None:
        """So many edges go by unseen: the count stays behind, and the board knows that it missed some."""
        self._missed[scale] += abs(edges)
        self._origin[scale] -= edges

    def freeze(self, scale: int) -> None:
        """The scale's head is dead from now on: no edge comes, wherever the slide goes."""
        if self._now is not None:
            self._frozen_mm[scale] = self._now.slides_mm[scale]

    def glitch(self, scale: int, counts: int) -> None:
        """One report carries a count that is wrong by so much."""
        self._glitch = (scale, counts)

    def leap(self, lathe_s: float) -> None:
        """The clock, a crystal, went on while the lathe that it stands at was not reckoned."""
        self._start_s -= lathe_s

    def step(self, now: Sensed) -> list[bytes]:
        """Time passes up to `now`; gives the lines sent meanwhile."""
        before = self._now or now
        self._now = now
        self._say_due_words(now)
        self._say_marks(before, now)
        self._say_positions(before, now)
        if self._settings.pulses_per_rev:
            self._say_spindle(before, now)
        out, self._out = self._out, []
        return out

    def _say(self, payload: str) -> None:
        self._out.append(encode(payload))

    def _us(self, t_s: float) -> int:
        clock_s = (t_s - self._start_s) / self._pace * (1 + self._settings.clock_error_ppm * 1e-6)
        return (self._start_us + round(clock_s * 1e6)) % (1 << 32)

    def _due_now(self, what: str, every_s: float) -> bool:
        assert self._now is not None
        if self._now.t_s < self._due[what]:
            return False
        self._due[what] = self._now.t_s + every_s * self._pace
        return True

    def _say_due_words(self, now: Sensed) -> None:
        if self._due_now("W", HELLO_S):
            self._say_hello()
        grown = self._missed != self._told_missed and self._due_now("growth", MISSED_S)
        if self._due_now("E", REPEAT_S):
            self._say_missed(range(len(self._scales)))
        elif grown:
            pairs = zip(self._missed, self._told_missed, strict=True)
            self._say_missed([i for i, (missed, told) in enumerate(pairs) if missed != told])
        if self._settings.switches:
            self._say_switches(now)

    def _say_missed(self, scales: range | list[int]) -> None:
        for scale in scales:
            self._say(f"E {scale} {self._missed[scale]}")
            self._told_missed[scale] = self._missed[scale]

    def _say_hello(self) -> None:
        board = self._settings
        self._say(
            f"W 1 {self._boot:08X} {board.model} {len(self._scales)} {self._rate_hz} fw={board.firmware}"
            f" tach={board.pulses_per_rev} in={board.switches} kept={int(self._kept)} max={board.max_edges_s}"
            f" kinds={'q' * len(self._scales)}"
        )

    def _say_switches(self, now: Sensed) -> None:
        # Two steps alike are the debouncing: a step is 4 ms.
        settled = now.switches == self._debounced
        self._debounced = now.switches
        if (settled and now.switches != self._told_switches) or self._due_now("I", REPEAT_S):
            self._told_switches = now.switches
            self._say(f"I {now.switches:X} {self._us(now.t_s)}")

    def _say_marks(self, before: Sensed, now: Sensed) -> None:
        for i, scale in enumerate(self._scales):
            if scale.mark_mm is None:
                continue
            was, is_now = before.slides_mm[i] - scale.mark_mm, now.slides_mm[i] - scale.mark_mm
            if (was < 0) != (is_now < 0):
                share = was / (was - is_now)
                t_s = before.t_s + (now.t_s - before.t_s) * share
                count = wrapped(self._origin[i] + scale_count(scale, scale.mark_mm))
                self._say(f"M {i} {count} {self._us(t_s)}")

    def _say_positions(self, before: Sensed, now: Sensed) -> None:
        while self._next_report_s <= now.t_s:
            span_s = now.t_s - before.t_s
            share = (self._next_report_s - before.t_s) / span_s if span_s > 0 else 1.0
            places = tuple(a + (b - a) * max(share, 0.0) for a, b in zip(before.slides_mm, now.slides_mm, strict=True))
            flags = sum(1 << i for i, missed in enumerate(self._missed) if missed)
            counts = " ".join(map(str, self._counted(places, noisy=True)))
            self._say(f"P {self._seq} {self._us(self._next_report_s)} {flags:X} {counts}")
            self._seq = (self._seq + 1) % (1 << 16)
            self._next_report_s += self._pace / self._rate_hz

    def _counted(self, slides_mm: tuple[float, ...], *, noisy: bool) -> tuple[int, ...]:
        counts = [
            origin + scale_count(scale, self._frozen_mm.get(i, mm))
            for i, (origin, scale, mm) in enumerate(zip(self._origin, self._scales, slides_mm, strict=True))
        ]
        if noisy:
            for i, noise in enumerate(self.noise_counts):
                counts[i] += round(self._chance.gauss(0, noise)) if noise else 0
            if self._glitch:
                scale, wrong = self._glitch
                counts[scale] += wrong
                self._glitch = None
        return tuple(wrapped(count) for count in counts)

    def _say_spindle(self, before: Sensed, now: Sensed) -> None:
        per_rev = self._settings.pulses_per_rev
        pulse = math.floor(now.turns * per_rev)
        if pulse > math.floor(before.turns * per_rev):
            share = (pulse / per_rev - before.turns) / (now.turns - before.turns)
            t_s = before.t_s + (now.t_s - before.t_s) * share
            if self._pulse_s is not None:
                # Several pulses may fall into one step.
                self._period_us = round((t_s - self._pulse_s) / (pulse - self._pulse) / self._pace * 1e6)
            self._pulse, self._pulse_s, self._pulse_us = pulse, t_s, self._us(t_s)
            if self._period_us and self._due_now("S", SPINDLE_S):
                self._say(f"S {self._pulse_us} {self._period_us}")
        elif self._stands(now.t_s) and self._due_now("standing", REPEAT_S):
            self._pulse_s, self._period_us = None, 0
            self._say(f"S {self._pulse_us} 0")

    def _stands(self, t_s: float) -> bool:
        return self._pulse_s is None or t_s - self._pulse_s > STOPPED_S * self._pace
