"""The board's clock against the host's: wrap, skew, delays of every kind, jumps.

The truth is made here: a board that latches at exact host times, an oscillator that is off, and a line that delays.
The shortest delay cannot be known from one side of a line, so times are compared with the truth plus that delay.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from itertools import pairwise
from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from waytell_bridge.board_clock import BUCKET_S, BoardClock, ClockJump
from waytell_bridge.line_protocol import CLOCK_SPAN_US

SHORTEST_S = 0.001
Delay = Callable[[random.Random, float], float]


class Heard(NamedTuple):
    true_s: float
    arrival_s: float
    board_s: float
    mapped_s: float


def hear(
    ppm: float, delay: Delay, *, seconds: float = 20, hz: float = 250, start_us: int = 0, host_from_s: float = 5000.0
) -> list[Heard]:
    """Lines of a board through a line that delays but keeps their order."""
    chance, clock, heard, arrival_s = random.Random(20261125), BoardClock(), list[Heard](), 0.0
    for n in range(int(seconds * hz)):
        since_s = n / hz
        true_s = host_from_s + since_s
        arrival_s = max(arrival_s, true_s + SHORTEST_S + delay(chance, since_s))
        t_us = (start_us + int(since_s * (1 + ppm * 1e-6) * 1e6)) % CLOCK_SPAN_US
        board_s = clock.advance(t_us, arrival_s)
        heard.append(Heard(true_s, arrival_s, board_s, clock.host_s(board_s, arrival_s)))
    return heard


def no_delay(_chance: random.Random, _since_s: float) -> float:
    return 0.0


def by_chance(chance: random.Random, _since_s: float) -> float:
    return chance.expovariate(1 / 0.003)


def by_usb_frames(_chance: random.Random, since_s: float) -> float:
    """A chip that hands over what it has every 16 ms."""
    return 0.016 - since_s % 0.016


def bursts(chance: random.Random, since_s: float) -> float:
    """Now and then everything waits for most of a second and comes at once."""
    held = since_s % 3.0
    return chance.expovariate(1 / 0.001) + (0.8 - held if held < 0.8 else 0.0)


def evenly(chance: random.Random, _since_s: float) -> float:
    return chance.uniform(0, 0.005)


DELAYS: list[Delay] = [no_delay, by_chance, by_usb_frames, bursts, evenly]


@pytest.mark.parametrize("ppm", [-5000, -100, 0, 100, 5000])
@pytest.mark.parametrize("delay", DELAYS)
def test_times_are_within_a_millisecond_after_five_seconds_whatever_the_skew_and_the_delays(
    delay: Delay, ppm: float
) -> None:
    for one in hear(ppm, delay):
        if one.true_s >= 5005:
            assert abs(one.mapped_s - one.true_s - SHORTEST_S) < 0.001


@pytest.mark.parametrize("ppm", [-5000, 0, 5000])
@pytest.mark.parametrize("delay", DELAYS)
def test_no_time_is_later_than_its_arrival(delay: Delay, ppm: float) -> None:
    assert all(one.mapped_s <= one.arrival_s for one in hear(ppm, delay))


@pytest.mark.parametrize("ppm", [-5000, 0, 5000])
@pytest.mark.parametrize("delay", [no_delay, by_chance, by_usb_frames, bursts, evenly])
def test_after_five_seconds_times_only_go_forward_at_250_reports_a_second(delay: Delay, ppm: float) -> None:
    settled = [one for one in hear(ppm, delay) if one.true_s >= 5005]
    assert all(after.mapped_s > before.mapped_s for before, after in pairwise(settled))


@given(st.lists(st.floats(0, 0.2), min_size=2, max_size=200), st.floats(-5000, 5000))
def test_times_go_back_by_no_more_than_a_line_was_faster_than_any_before(waits: list[float], ppm: float) -> None:
    # This is all that holds of their order while the mapping is being found, before a bucket has closed.
    clock, last_s, before_s = BoardClock(), 0.0, 0.0
    fastest_s = float("inf")
    for n, wait_s in enumerate(waits):
        true_s = n * BUCKET_S / 300
        arrival_s = max(last_s, true_s + wait_s)
        board_s = clock.advance(int(true_s * (1e6 + ppm)), arrival_s)
        mapped_s = clock.host_s(board_s, arrival_s)
        faster_s = max(0.0, fastest_s - (arrival_s - board_s)) if n else 0.0
        fastest_s = min(fastest_s, arrival_s - board_s)
        assert mapped_s <= arrival_s
        if n:
            assert mapped_s >= before_s - faster_s - 1e-9
        before_s, last_s = mapped_s, arrival_s


def test_a_fast_first_line_is_kept_for_the_mapping() -> None:
    clock = BoardClock()
    delays_s = [0.001] + [0.050] * 60
    heard_s = [
        clock.host_s(clock.advance(n * 4000, 10 + n * 0.004 + late_s), 10 + n * 0.004 + late_s)
        for n, late_s in enumerate(delays_s)
    ]
    assert heard_s == pytest.approx([10.001 + n * 0.004 for n in range(61)], abs=1e-6)


def test_a_line_faster_than_any_before_moves_the_mapping_at_once() -> None:
    clock = BoardClock()
    for n in range(1010):
        clock.host_s(clock.advance(n * 4000, 10.05 + n * 0.004), 10.05 + n * 0.004)
    at_s = 10.001 + 1010 * 0.004
    assert clock.host_s(clock.advance(1010 * 4000, at_s), at_s) == at_s
    later_s = 10.05 + 1011 * 0.004
    mapped_s = clock.host_s(clock.advance(1011 * 4000, later_s), later_s)
    assert mapped_s == pytest.approx(10.001 + 1011 * 0.004, abs=1e-6)


def test_a_delay_that_stays_is_the_new_envelope_once_the_old_one_is_forgotten() -> None:
    heard = hear(0, lambda _chance, since_s: 0.030 if since_s > 10 else 0.0, seconds=40)
    before = [one for one in heard if 5009 < one.true_s < 5010]
    after = [one for one in heard if one.true_s > 5035]
    assert all(one.mapped_s - one.true_s == pytest.approx(SHORTEST_S, abs=1e-4) for one in before)
    assert all(one.mapped_s - one.true_s == pytest.approx(SHORTEST_S + 0.030, abs=1e-4) for one in after)
    assert all(last.mapped_s < one.mapped_s for last, one in pairwise(heard))


@pytest.mark.parametrize("ppm", [-5000, 0, 5000])
@pytest.mark.parametrize("start_us", [CLOCK_SPAN_US - 1, CLOCK_SPAN_US - 7_000_000, CLOCK_SPAN_US - 4000])
def test_the_wrap_of_the_clock_is_not_seen(start_us: int, ppm: float) -> None:
    heard = hear(ppm, by_chance, seconds=15, start_us=start_us)
    steps = [after.board_s - before.board_s for before, after in pairwise(heard)]
    assert steps == pytest.approx([0.004 * (1 + ppm * 1e-6)] * len(steps), abs=2e-6)
    assert all(abs(one.mapped_s - one.true_s - SHORTEST_S) < 0.001 for one in heard if one.true_s > 5005)


def test_three_hours_at_one_line_a_second_keep_to_the_delays_of_the_line() -> None:
    heard = hear(50, by_chance, seconds=3 * 3600, hz=1, start_us=123)
    assert heard[-1].board_s * 1e6 > 2 * CLOCK_SPAN_US
    assert all(abs(one.mapped_s - one.true_s - SHORTEST_S) < 0.02 for one in heard[60:])


@pytest.mark.parametrize(
    ("before_us", "after_us", "waited_s"),
    [
        (10_000_000, 9_999_999, 0.004),  # one microsecond back
        (10_000_000, 700, 1.5),  # started again
        (10_000_000, 13_000_000, 0.004),  # three seconds within four milliseconds
        (CLOCK_SPAN_US - 5, 3_000_000, 0.004),  # the same over the wrap
        (3_000_000_000, 1_000, 600.0),  # started again after ten minutes
        (0, CLOCK_SPAN_US - 1, 60.0),
    ],
)
def test_what_is_no_continuation_is_a_jump(before_us: int, after_us: int, waited_s: float) -> None:
    clock = BoardClock()
    clock.advance(before_us, 100.0)
    with pytest.raises(ClockJump):
        clock.advance(after_us, 100.0 + waited_s)


@pytest.mark.parametrize(
    ("before_us", "after_us", "waited_s"),
    [
        (0, 4000, 0.004),
        (0, 0, 0.0),  # the same line twice
        (0, 4000, 3.0),  # held up
        (0, 1_900_000, 0.0),  # held up before, and now come in one piece
        (CLOCK_SPAN_US - 5, 3995, 0.004),
        (0, 600_000_000, 600.0),  # ten minutes of silence
        (0, 603_000_000, 600.0),  # with the worst oscillator
    ],
)
def test_what_may_be_a_continuation_is_none(before_us: int, after_us: int, waited_s: float) -> None:
    clock = BoardClock()
    clock.advance(before_us, 100.0)
    step_s = (after_us - before_us) % CLOCK_SPAN_US * 1e-6
    assert clock.advance(after_us, 100.0 + waited_s) == pytest.approx(before_us * 1e-6 + step_s)


@pytest.mark.parametrize("ago_us", [0, 1, 2_000_000, 30 * 60_000_000, -1, -50_000])
@pytest.mark.parametrize("now_us", [5_000_000_000 % CLOCK_SPAN_US, 1_000_000, CLOCK_SPAN_US - 1])
def test_times_of_other_lines_are_told_within_half_a_wrap_of_the_newest_position(now_us: int, ago_us: int) -> None:
    clock = BoardClock()
    assert clock.near(now_us) is None
    board_s = clock.advance(now_us, 77.0)
    near_s = clock.near((now_us - ago_us) % CLOCK_SPAN_US)
    assert near_s is not None
    assert board_s - near_s == pytest.approx(ago_us * 1e-6, abs=1e-6)


def test_the_spread_is_the_lateness_of_the_last_second() -> None:
    clock = BoardClock()

    def pass_time(first: int, last: int, late_s: float) -> None:
        for n in range(first, last):
            at_s = 50 + n * 0.004 + (late_s if n % 25 == 24 else 0.0)
            clock.host_s(clock.advance(n * 4000, at_s), at_s)

    pass_time(0, 500, 0.0)
    assert clock.spread_s == pytest.approx(0.0, abs=1e-6)
    pass_time(500, 1000, 0.040)
    assert clock.spread_s == pytest.approx(0.040, abs=1e-4)
    pass_time(1000, 1300, 0.0)
    assert clock.spread_s == pytest.approx(0.0, abs=1e-6)
