"""The counter board and its line, as the protocol describes them: tracks of slides in, a wire log out."""

from __future__ import annotations

import binascii
import json
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from turners.hands import Track
from turners.lathe import Lathe
from turners.turner import Turner

Line = tuple[float, str]
"""When the board said it, and what, without its check."""


@dataclass(frozen=True)
class Bench:
    """How one lathe is wired, and how well its line works."""

    name: str
    rate_hz: int = 250
    resolution_um: float = 5.0
    directions: tuple[int, ...] = (1, 1, 1)
    first_counts: tuple[int, ...] = (0, 0, 0)
    lost: float = 0.05
    damaged: float = 0.004
    jitter_s: float = 0.010
    clock_ppm: float = 35.0
    clock_start_us: int = 123_456
    noise: float = 0.05
    """Share of reports in which a count stands one beside where it should, and as often one the other way."""
    switch: bool = False
    swapped: bool = False
    """The scales are plugged in the other way round."""

    @property
    def resolution_mm(self) -> float:
        return self.resolution_um / 1000


def wired(turner: Turner, bench: Bench) -> list[str]:
    """The slides in the order in which their scales are plugged in."""
    slides = list(turner.lathe.slides)
    return slides[::-1] if bench.swapped else slides


def scales(turner: Turner, bench: Bench) -> list[dict[str, object]]:
    return [
        {"channel": i, "slide": slide, "resolution_um": bench.resolution_um, "direction": bench.directions[i]}
        for i, slide in enumerate(wired(turner, bench))
    ]


BEGIN_NS = 7_000_000_000
"""The host's clock when the log begins."""


def wire_log(turner: Turner, bench: Bench) -> list[str]:
    """The log of all the turner did at this bench, one entry a line."""
    turner_ends_s = turner.t_s + 1.0
    rng = np.random.default_rng(len(turner.acts) * 1000 + bench.rate_hz)
    said = sorted(_said(turner, bench, rng, turner_ends_s), key=lambda line: line[0])
    t_s = np.array([line[0] for line in said])
    arrives_s = _arrivals(t_s, bench, rng)
    entries: list[tuple[int, str]] = []
    for at_s, (_, payload) in zip(arrives_s, said, strict=True):
        lost, damaged = rng.random(2)
        if payload[0] == "P" and lost < bench.lost:
            continue
        text = f"{payload}*{binascii.crc_hqx(payload.encode(), 0xFFFF):04X}"
        entries.append((int(at_s * 1e9), f"< {_harmed(text, rng) if damaged < bench.damaged else text}"))
    for at_s, act in turner.acts:
        if act["act"] == "use_config":
            act["config"]["scales"] = scales(turner, bench)
        entries.append((int(at_s * 1e9), f"! {json.dumps(act)}"))
    entries.sort(key=lambda entry: entry[0])
    return [f"{BEGIN_NS + at_ns} {text}\n" for at_ns, text in entries]


def _said(turner: Turner, bench: Bench, rng: np.random.Generator, end_s: float) -> Iterator[Line]:
    begins = [0.0, *turner.restarts_s]
    ends = [*turner.restarts_s, end_s]
    for start, (begin_s, until_s) in enumerate(zip(begins, ends, strict=True)):
        boot = _Boot(turner, bench, start, begin_s + (0.25 if start else 0.0), until_s)
        yield from boot.hellos()
        yield from boot.positions(rng)
        yield from boot.pulses()
        yield from boot.regular()


class _Boot:
    """All that a board says from one start to the next."""

    def __init__(self, turner: Turner, bench: Bench, start: int, begin_s: float, end_s: float) -> None:
        self.turner, self.bench, self.start, self.begin_s, self.end_s = turner, bench, start, begin_s, end_s

    def micros(self, t_s: float) -> int:
        """The board's own clock: it starts anew with the board and goes a little wrong."""
        first = 1500 if self.start else self.bench.clock_start_us
        return int(first + (t_s - self.begin_s) * 1e6 * (1 + self.bench.clock_ppm * 1e-6)) % 2**32

    def hellos(self) -> Iterator[Line]:
        inputs, kept = int(self.bench.switch), int(self.start > 0)
        axes = len(self.turner.lathe.slides)
        hello = f"W 1 {0xA51C0000 + 7919 * self.start:08X} m328p {axes} {self.bench.rate_hz}"
        for t_s in np.arange(self.begin_s, self.end_s, 2.0):
            yield float(t_s), f"{hello} fw=1.0.0 tach=1 in={inputs} kept={kept} max=120000"

    def positions(self, rng: np.random.Generator) -> Iterator[Line]:
        t_s = np.arange(self.begin_s + 0.001, self.end_s, 1 / self.bench.rate_hz)
        counts = [
            self._counts(slide, number, t_s, rng) for number, slide in enumerate(wired(self.turner, self.bench))
        ]  # fmt: skip
        first = 0 if self.start else 65_000
        for number, (at_s, *row) in enumerate(zip(t_s.tolist(), *counts, strict=True)):
            fields = " ".join(map(str, row))
            yield at_s, f"P {(first + number) % 65536} {self.micros(at_s)} 0 {fields}"

    def _counts(self, slide: str, number: int, t_s: Track, rng: np.random.Generator) -> list[int]:
        bench, turner = self.bench, self.turner
        places = turner.lathe.slides[slide].places_with_knocks(t_s)
        for glitch in turner.glitches:
            at = int(np.searchsorted(t_s, glitch.t_s))
            if glitch.slide == slide and 0 < at < len(t_s) - 1:
                places[at] += glitch.by_mm
        # The first line of the scale lies anywhere within a count.
        exact = bench.directions[number] * places / bench.resolution_mm + 0.37
        counts = np.floor(exact).astype(np.int64) + rng.choice(
            [-1, 0, 1], len(t_s), p=[bench.noise, 1 - 2 * bench.noise, bench.noise]
        )
        wrapped = (counts + bench.first_counts[number] + 2**31) % 2**32 - 2**31
        return [int(count) for count in wrapped]

    def pulses(self) -> Iterator[Line]:
        yield from (line for line in spindle_lines(self.turner.lathe, self.end_s, self) if line[0] >= self.begin_s)

    def regular(self) -> Iterator[Line]:
        for t_s in np.arange(self.begin_s + 0.3, self.end_s, 1.0):
            for axis in range(len(self.turner.lathe.slides)):
                yield float(t_s), f"E {axis} 0"
            if self.bench.switch:
                yield float(t_s), f"I 0 {self.micros(float(t_s))}"


def spindle_lines(lathe: Lathe, end_s: float, boot: _Boot) -> Iterator[Line]:
    """A pulse a revolution, told at most twenty times a second; period 0 once none came for two seconds."""
    t_s, told_s, pulsed_s = 0.0, -1.0, -9.0
    while t_s < end_s:
        rpm = lathe.rpm(t_s)
        if rpm:
            period_s = 60 / rpm
            t_s += period_s
            if t_s - told_s >= 0.05 and lathe.rpm(t_s) == rpm:
                yield t_s, f"S {boot.micros(t_s)} {int(period_s * 1e6)}"
                told_s = t_s
            pulsed_s = t_s
        else:
            t_s += 0.1
            if t_s - pulsed_s > 2.0 and t_s - told_s >= 1.0:
                yield t_s, f"S {boot.micros(t_s)} 0"
                told_s = t_s


def _arrivals(t_s: Track, bench: Bench, rng: np.random.Generator) -> Track:
    """A line takes a millisecond or a few, and now and then some of them come in one burst."""
    delays = 0.001 + np.minimum(rng.exponential(0.0006, len(t_s)), bench.jitter_s)
    slots = np.floor(t_s / bench.jitter_s)
    held_back = np.random.default_rng(5).random(int(slots[-1]) + 1)[slots.astype(int)] < 0.15
    burst = (slots + 1) * bench.jitter_s + 0.001
    arrivals = np.where(held_back, np.maximum(burst, t_s + 0.001), t_s + delays)
    return np.asarray(np.maximum.accumulate(arrivals) + np.arange(len(t_s)) * 2e-9, dtype=np.float64)


def _harmed(text: str, rng: np.random.Generator) -> str:
    at = int(rng.integers(2, len(text)))
    return text[:at] + ("7" if text[at] != "7" else "4") + text[at + 1 :]
