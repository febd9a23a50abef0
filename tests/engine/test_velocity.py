"""Velocity from quantised positions: right while winding, nothing at rest, no lag on a stop."""

from __future__ import annotations

import math
from collections import deque

import pytest
from hypothesis import given
from hypothesis import strategies as st

from waytell.engine.velocity import LONGEST_WINDOW_S, velocity

COUNT_MM = 0.005
Samples = list[tuple[float, float]]


def quantised(mm: float) -> float:
    return math.floor(mm / COUNT_MM) * COUNT_MM


def wound(speed_mm_s: float, seconds: float, rate_hz: int, start_mm: float = 0.0) -> Samples:
    times = [n / rate_hz for n in range(round(seconds * rate_hz) + 1)]
    return [(t, quantised(start_mm + speed_mm_s * t)) for t in times]


@given(
    speed=st.floats(-20, 20),
    start=st.floats(0, COUNT_MM),
    rate_hz=st.sampled_from([50, 250, 1000]),
)
def test_a_constant_speed_is_recovered_within_one_count_over_the_window(
    speed: float, start: float, rate_hz: int
) -> None:
    # A line through floored samples is out by less than a count at either end of the longest window.
    found = velocity(wound(speed, 0.8, rate_hz, start), COUNT_MM)
    assert abs(found - speed) <= COUNT_MM / (LONGEST_WINDOW_S - 1 / rate_hz) + 1e-6


@given(st.lists(st.integers(0, 2**40 - 1), min_size=4, max_size=4), st.floats(-30, 30))
def test_one_count_dithering_at_rest_is_not_a_move(bits: list[int], where_mm: float) -> None:
    up = [one >> place & 1 for one in bits for place in range(40)]
    samples = [(n / 250, where_mm + COUNT_MM * one) for n, one in enumerate(up)]
    assert abs(velocity(samples, COUNT_MM)) <= COUNT_MM / (LONGEST_WINDOW_S - 0.005) + 1e-6


@pytest.mark.parametrize("rate_hz", [50, 250, 1000])
@pytest.mark.parametrize("speed", [0.5, 3.0, 20.0])
def test_a_stop_is_told_as_soon_as_the_counts_show_it(rate_hz: int, speed: float) -> None:
    moving = wound(speed, 1.0, rate_hz)
    stopped_t, stopped_x = moving[-1]
    # As soon as a winding on at the old speed would have shown two counts more.
    wait_s = 2 * COUNT_MM / speed + 2 / rate_hz
    after = [(stopped_t + n / rate_hz, stopped_x) for n in range(1, math.ceil(wait_s * rate_hz) + 1)]
    assert abs(velocity(moving + after, COUNT_MM)) < 0.6 * speed
    rest = [(stopped_t + n / rate_hz, stopped_x) for n in range(1, rate_hz // 2 + 2)]
    assert velocity(moving + rest, COUNT_MM) == 0.0


@pytest.mark.parametrize("rate_hz", [50, 250, 1000])
def test_a_start_is_told_within_a_few_reports(rate_hz: int) -> None:
    rest = [(-n / rate_hz, 0.0) for n in range(rate_hz, 0, -1)]
    moving = [(t, x) for t, x in wound(10.0, 0.06, rate_hz)]
    assert velocity(rest + moving, COUNT_MM) == pytest.approx(10.0, rel=0.15)


@pytest.mark.parametrize("speed", [-4.0, 4.0])
def test_growing_coordinates_are_a_positive_speed(speed: float) -> None:
    assert math.copysign(1, velocity(wound(speed, 0.2, 250), COUNT_MM)) == math.copysign(1, speed)


@pytest.mark.parametrize("samples", [[], [(0.0, 1.0)], [(1.0, 1.0), (1.0, 2.0)]])
def test_too_few_samples_are_no_speed(samples: Samples) -> None:
    assert velocity(samples, COUNT_MM) == 0.0


def test_a_turn_back_does_not_average_both_ways() -> None:
    out = wound(5.0, 0.4, 250)
    top_t, top_x = out[-1]
    back = [(top_t + n / 250, quantised(top_x - 5.0 * n / 250)) for n in range(1, 26)]
    assert velocity(out + back, COUNT_MM) == pytest.approx(-5.0, rel=0.15)


@given(st.lists(st.tuples(st.floats(0.001, 0.1), st.integers(-50, 50)), min_size=2, max_size=60))
def test_the_line_found_passes_through_the_band_of_every_sample_of_its_window(steps: list[tuple[float, int]]) -> None:
    t, samples = 0.0, []
    for pause, count in steps:
        t += pause
        samples.append((t, count * COUNT_MM))
    found = velocity(samples, COUNT_MM)
    newest_t, newest_x = samples[-1]
    # At least the sample before the newest belongs to the window.
    t, x = samples[-2]
    assert abs(newest_x - found * (newest_t - t) - x) <= COUNT_MM + 1e-9


def test_any_sequence_of_samples_gives_the_same() -> None:
    samples = wound(3.0, 0.3, 50)
    assert velocity(deque(samples), COUNT_MM) == velocity(samples, COUNT_MM) == pytest.approx(3.0, abs=0.05)


def test_two_samples_of_one_moment_hide_nothing_older() -> None:
    assert velocity([(0.0, 0.0), (0.1, 0.2), (0.1, 0.2)], COUNT_MM) == pytest.approx(2.0)


def test_what_lies_beyond_a_sample_that_does_not_fit_is_not_looked_at() -> None:
    # The oldest fits the line again, by chance: taken, it would give 0.987.
    samples = [(0.0, 0.004), (0.1, 1.0), (0.2, 0.2), (0.3, 0.3)]
    assert velocity(samples, 0.01) == pytest.approx(1.0, abs=1e-9)


def test_the_longest_window_is_used_whole_and_no_more() -> None:
    assert velocity([(0.0, 0.0), (LONGEST_WINDOW_S, 1.0)], COUNT_MM) == pytest.approx(1.0 / LONGEST_WINDOW_S)
    assert velocity([(0.0, 0.0), (LONGEST_WINDOW_S + 0.1, 1.0)], COUNT_MM) == 0.0
