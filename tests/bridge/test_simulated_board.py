"""The virtual counter board speaks the line protocol, word for word."""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import TypeVar

import pytest

from waytell_bridge.line_protocol import (
    Damaged,
    Hello,
    Inputs,
    Mark,
    Message,
    Missed,
    Positions,
    Spindle,
    encode,
    parse_line,
)
from waytell_bridge.simulated.board import Sensed, VirtualBoard, scale_count, wrapped
from waytell_bridge.simulated.chance import seeded
from waytell_bridge.simulated.settings import BoardSettings, ScaleSettings, Settings

PLAIN = (ScaleSettings("cross"), ScaleSettings("carriage"))
EXACT_CLOCK = BoardSettings(clock_error_ppm=0.0)
STEP_S = 0.004


class Bench:
    """A board on the bench: its inputs are set by hand, its lines are read back."""

    def __init__(self, scales: tuple[ScaleSettings, ...] = PLAIN, board: BoardSettings = EXACT_CLOCK) -> None:
        self.board = VirtualBoard(Settings(scales=scales, board=board), seeded(1, "bench"))
        self.slides_mm, self.turns, self.rpm, self.switches, self.steps = [0.0] * len(scales), 0.0, 0.0, 0, 0
        self.board.start(self.sensed())

    def sensed(self) -> Sensed:
        return Sensed(self.steps * STEP_S, tuple(self.slides_mm), self.turns, self.switches)

    def lines(self, seconds: float, *speeds_mm_s: float) -> list[bytes]:
        out: list[bytes] = []
        for _ in range(round(seconds / STEP_S)):
            self.steps += 1
            self.turns += self.rpm / 60 * STEP_S
            for i, speed in enumerate(speeds_mm_s):
                self.slides_mm[i] += speed * STEP_S
            out += self.board.step(self.sensed())
        return out

    def run(self, seconds: float, *speeds_mm_s: float) -> list[Message]:
        messages = [parse_line(line.rstrip(b"\n")) for line in self.lines(seconds, *speeds_mm_s)]
        assert not [message for message in messages if isinstance(message, Damaged)]
        return messages


Kind = TypeVar("Kind")


def of(kind: type[Kind], messages: list[Message]) -> list[Kind]:
    return [message for message in messages if isinstance(message, kind)]


def test_it_begins_with_a_hello_that_says_what_it_is() -> None:
    hello = Bench().run(0.1)[0]
    assert isinstance(hello, Hello)
    assert hello[2:] == ("simulated", 2, 250, "1.0.0", 1, 0, False, 120_000, "qq")


def test_hello_and_missed_edges_are_repeated() -> None:
    messages = Bench().run(10.0)
    assert len(of(Hello, messages)) == 5
    assert len(of(Missed, messages)) == 20


@pytest.mark.parametrize("rate_hz", [50, 250, 400, 1000])
def test_reports_come_at_the_rate_whatever_the_step(rate_hz: int) -> None:
    reports = of(Positions, Bench(board=replace(EXACT_CLOCK, rate_hz=rate_hz)).run(2.0))
    assert len(reports) in (2 * rate_hz, 2 * rate_hz + 1)
    steps = {b.t_us - a.t_us for a, b in itertools.pairwise(reports)}
    assert steps <= {1_000_000 // rate_hz, 1_000_000 // rate_hz - 1, 1_000_000 // rate_hz + 1}


def test_sequence_clock_and_counts_wrap() -> None:
    low = replace(PLAIN[0], start_count=-(2**31) + 2)
    high = replace(PLAIN[1], start_count=2**31 - 3)
    board = BoardSettings(start_seq=65530, start_us=2**32 - 30_000, clock_error_ppm=0.0)
    reports = of(Positions, Bench((low, high), board).run(0.2, -1.0, 1.0))
    assert [report.seq for report in reports[4:8]] == [65534, 65535, 0, 1]
    clocks = [report.t_us for report in reports]
    assert min(clocks) < 1_000_000 < 2**32 - 30_000 <= max(clocks)
    first, last = reports[0].counts, reports[-1].counts
    assert (first, last[0] > 0, last[1] < 0) == ((-(2**31) + 2, 2**31 - 3), True, True)
    # 0.2 mm on 5 micrometres is 40 counts, whichever way round the wrap.
    assert [wrapped(b - a) for a, b in zip(first, last, strict=True)] == pytest.approx([-40, 40], abs=1)


def test_asked_it_says_hello_missed_edges_and_switches_at_once() -> None:
    bench = Bench(board=replace(EXACT_CLOCK, switches=2))
    bench.run(0.5)
    bench.board.receive(b"Q*AB24\n")
    kinds = [type(message) for message in bench.run(STEP_S)]
    assert kinds[:4] == [Hello, Missed, Missed, Inputs]


@pytest.mark.parametrize(("asked", "kept"), [(500, 500), (3, 10), (5000, 1000)])
def test_it_keeps_the_rate_asked_for_within_its_limits(asked: int, kept: int) -> None:
    bench = Bench()
    bench.run(0.1)
    bench.board.receive(encode(f"R {asked}"))
    messages = bench.run(1.0)
    assert of(Hello, messages)[0].rate_hz == kept
    assert len(of(Positions, messages)) == pytest.approx(kept, abs=1)


def test_a_damaged_question_is_not_answered() -> None:
    bench = Bench()
    bench.run(0.1)
    bench.board.receive(b"Q*AB25\n")
    assert not of(Hello, bench.run(0.1))


def test_missed_edges_shift_the_count_set_the_flag_and_are_told_at_once() -> None:
    bench = Bench()
    before = of(Positions, bench.run(0.1))[-1]
    bench.board.miss(1, 40)
    messages = bench.run(0.02)
    assert Missed(1, 40) in messages
    after = of(Positions, messages)[-1]
    assert (before.flags, after.flags) == (0, 2)
    assert [b - a for a, b in zip(before.counts, after.counts, strict=True)] == [0, -40]


def test_growing_missed_edges_are_told_at_most_ten_times_a_second() -> None:
    bench = Bench()
    bench.run(0.1)
    told = 0
    for _ in range(250):
        bench.board.miss(0, 1)
        told += len([message for message in of(Missed, bench.run(STEP_S)) if message.scale == 0])
    assert 9 <= told <= 12


def test_a_restart_changes_the_boot_id_and_the_counts_unless_kept() -> None:
    bench = Bench((replace(PLAIN[0], start_count=77), PLAIN[1]))
    first = of(Hello, bench.run(0.1, 1.0))[0]
    counts = bench.board.counts
    bench.board.start(bench.sensed(), kept=True)
    messages = bench.run(0.1)
    kept = of(Hello, messages)[0]
    assert (kept.kept, kept.boot != first.boot) == (True, True)
    assert of(Positions, messages)[0].counts == counts != (0, 0)
    bench.board.start(bench.sensed(), kept=False)
    lost = bench.run(0.1)
    assert of(Hello, lost)[0].boot not in (first.boot, kept.boot)
    assert of(Positions, lost)[0][:1] + of(Positions, lost)[0][2:] == (0, 0, (0, 0))


def test_the_spindle_is_told_at_most_twenty_times_a_second_and_when_it_stands() -> None:
    bench = Bench()
    bench.rpm = 3000.0
    pulses = of(Spindle, bench.run(2.0))
    assert 30 <= len(pulses) <= 41
    assert {round(pulse.period_us, -1) for pulse in pulses[1:]} == {20_000}
    bench.rpm = 0.0
    standing = of(Spindle, bench.run(3.5))
    assert [pulse.period_us for pulse in standing] == [0, 0]


def test_several_pulses_a_turn_within_one_step_still_give_their_own_period() -> None:
    bench = Bench(board=replace(EXACT_CLOCK, pulses_per_rev=60))
    bench.rpm = 1200.0
    assert {pulse.period_us for pulse in of(Spindle, bench.run(1.0))[2:]} <= {832, 833, 834}


def test_switches_are_told_on_change_and_each_second() -> None:
    bench = Bench(board=replace(EXACT_CLOCK, switches=2))
    assert len(of(Inputs, bench.run(3.0))) == 3
    bench.switches = 1
    assert [told.bits for told in of(Inputs, bench.run(0.1))] == [1]


def test_a_mark_is_told_with_the_count_at_it() -> None:
    bench = Bench((replace(PLAIN[0], mark_mm=1.0, start_count=1000), PLAIN[1]))
    marks = of(Mark, bench.run(0.5, 4.0))
    assert [(mark.scale, mark.at_count) for mark in marks] == [(0, 1200)]
    assert marks[0].t_us == pytest.approx(250_000, abs=2000)


def test_a_glitch_lasts_for_one_report() -> None:
    bench = Bench()
    bench.run(0.1)
    bench.board.glitch(0, 4000)
    assert [report.counts[0] for report in of(Positions, bench.run(0.02))] == [4000, 0, 0, 0, 0]


@pytest.mark.parametrize("direction", [1, -1])
def test_a_scale_counts_within_one_count_and_its_own_errors(direction: int) -> None:
    scale = ScaleSettings(
        "cross", resolution_um=1.0, direction=1, linear_error_um_m=100.0, periodic_error_um=2.0, period_mm=0.4
    )
    scale = replace(scale, direction=1 if direction == 1 else -1)
    off_um = [direction * scale_count(scale, mm / 97) * 1.0 - mm / 97 * 1000 for mm in range(0, 9700, 7)]
    # 100 mm at 100 micrometres a metre is 10; 2 of periodic error; one count.
    assert max(off_um) <= 12.1
    assert min(off_um) >= -3.0
    assert max(off_um) > 9.0
