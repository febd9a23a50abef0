"""What counts alone tell: a known distance, a scale at rest, which scale is on a slide."""

from __future__ import annotations

import math
import random
import tracemalloc
from collections.abc import Callable, Iterable

import numpy as np
import pytest
import uncertainties  # type: ignore[import-untyped]
from hypothesis import given
from hypothesis import strategies as st

from waytell.engine.student_t import coverage_factor
from waytell.proving.at_rest import AtRest, Rest
from waytell.proving.known_distance import is_factor, known_distance, named, usual_resolution_um
from waytell.proving.not_enough import NotEnough
from waytell.proving.which_scale import which_scale

COUNT_MM = 0.005

# -- a known distance ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("entered_um", "true_um", "words"),
    [
        (20.0, 5.0, "four for each line"),  # the pitch of the lines was entered
        (5.0, 20.0, "only one of the four edges"),
        (10.0, 5.0, "half as long"),
        (5.0, 10.0, "twice as long"),
        (50.0, 5.0, "a slip of the decimal point"),
        (0.5, 5.0, "a slip of the decimal point"),
        (0.1, 2.54, "inch and millimetre"),  # a ten-thousandth of an inch was entered in its own unit
        (127.0, 5.0, "inch and millimetre"),
        (0.005, 5.0, "millimetres and micrometres"),
        (5000.0, 5.0, "millimetres and micrometres"),
    ],
)
@pytest.mark.parametrize("way", [1, -1])
def test_a_wrong_resolution_is_named_and_the_right_one_found(
    entered_um: float, true_um: float, words: str, way: int
) -> None:
    """A slide wound over 25 mm: counts are of the true length, and shown with the one that was entered."""
    counts = [round(25.0 / (true_um * 1e-3)) * way + by for by in (0, 1, 0)]
    found = known_distance([one * entered_um * 1e-3 for one in counts], 25.0, entered_um * 1e-3, 1.0)
    assert words in found.name
    assert (found.ratio < 0) == (way < 0)
    assert not is_factor(found.ratio)
    assert usual_resolution_um(entered_um * abs(found.ratio)) == pytest.approx(true_um, rel=1e-4)


@given(st.floats(0.9851, 1.0149))
def test_every_named_ratio_has_room_for_the_error_of_a_scale(off: float) -> None:
    for ratio in (4, 0.25, 2, 0.5, 10, 0.1, 25.4, 1 / 25.4, 1000, 0.001):
        assert named(ratio * off)
        assert named(-ratio * off)
        assert not is_factor(ratio * off)
    assert not named(off)
    assert is_factor(off)


@given(st.floats(0.9801, 1.0199), st.sampled_from([1, -1]))
def test_within_two_per_cent_of_one_it_is_a_factor(ratio: float, way: int) -> None:
    assert is_factor(way * ratio)
    assert not named(way * ratio)


@given(st.lists(st.floats(24.99, 25.01), min_size=2, max_size=6), st.floats(0.01, 50.0), st.randoms())
def test_units_and_the_order_of_captures_change_no_ratio(
    spans: list[float], unit: float, chance: random.Random
) -> None:
    one = known_distance(spans, 25.0, COUNT_MM, 0.8)
    chance.shuffle(spans)
    other = known_distance([unit * span for span in spans], unit * 25.0, unit * COUNT_MM, unit * 0.8)
    assert [other.ratio, other.u_ratio] == pytest.approx([one.ratio, one.u_ratio])
    assert other.shown_mm == pytest.approx(unit * one.shown_mm)


@pytest.mark.parametrize("ratio", [1.021, 0.979, 1.03, 1.3, 3.0, 3.9, 4.1, 0.33, 8.0, 20.0, 26.0, 100.0])
def test_what_has_no_usual_cause_has_no_name(ratio: float) -> None:
    assert not named(ratio)
    assert not is_factor(ratio)


def test_the_uncertainty_of_the_ratio_is_that_of_first_order_propagation() -> None:
    spans = [24.990, 25.000, 24.995, 24.985]
    found = known_distance(spans, 25.0, COUNT_MM, 0.8)
    shown = uncertainties.ufloat(float(np.mean(spans)), float(np.std(spans, ddof=1)) / 2)
    ends = uncertainties.ufloat(0.0, math.hypot(COUNT_MM / math.sqrt(12), COUNT_MM / math.sqrt(12)))
    ratio = uncertainties.ufloat(25.0, 0.8e-3) / (shown + ends)
    assert found.ratio == pytest.approx(ratio.nominal_value)
    assert found.u_ratio == pytest.approx(ratio.std_dev, rel=1e-3)


def test_repeats_that_agree_leave_the_count_alone_with_its_degrees_of_freedom() -> None:
    """Two equal distances do not make the factor 12.7: it is the step of the scale that counts."""
    found = known_distance([25.0, 25.0], 25.0, COUNT_MM, 0.8)
    assert math.isinf(found.degrees)
    assert coverage_factor(found.degrees) * found.u_ratio * 25.0 == pytest.approx(
        1.96 * COUNT_MM / math.sqrt(6), rel=0.1
    )
    scattered = known_distance([25.0, 25.015], 25.0, COUNT_MM, 0.8)
    assert scattered.degrees < 1.5


def test_u_covers_the_true_factor_as_often_as_it_claims() -> None:
    held, true = 0, 1.0004
    for seed in range(1000):
        rng = np.random.default_rng(seed)
        ends = [(rng.normal(0, 0.004), 25.0 / true + rng.normal(0, 0.004)) for _ in range(4)]
        spans = [(round(b / COUNT_MM) - round(a / COUNT_MM)) * COUNT_MM for a, b in ends]
        found = known_distance(spans, 25.0, COUNT_MM, 0.0)
        held += abs(found.ratio - true) <= coverage_factor(found.degrees) * found.u_ratio
    # The step of the scale is in the scatter as well, so it covers rather more.
    assert held >= 929


@pytest.mark.parametrize(
    ("spans", "words"),
    [([25.0], "Once does not show"), ([], "Once does not show"), ([0.0, 0.005], "hardly moved"),
     ([25.0, 12.0, 25.0], "do not agree"), ([25.0, -25.0, 25.0, -25.0, 25.0], "do not agree")],
)  # fmt: skip
def test_a_distance_that_tells_nothing_is_refused(spans: list[float], words: str) -> None:
    with pytest.raises(NotEnough, match=words):
        known_distance(spans, 25.0, COUNT_MM, 1.0)


# -- at rest -------------------------------------------------------------------------------------------------------


def rest(counts: Iterable[int], rate_hz: float) -> Rest:
    watched = AtRest()
    for number, count in enumerate(counts):
        watched.take(count, number / rate_hz)
    return watched.rest()


def drawn(
    seed: int, seconds: float, rate_hz: int, sd: float, way: Callable[[float], float] = lambda _: 0.0
) -> list[int]:
    rng = np.random.default_rng(seed)
    return [round(way(n / rate_hz) + rng.normal(0, sd)) for n in range(int(seconds * rate_hz))]


@given(st.integers(0, 2**32 - 1), st.floats(0.0, 5.0), st.sampled_from([50, 200, 1000]), st.integers(-(10**9), 10**9))
def test_noise_is_what_numpy_finds_in_each_second(seed: int, sd: float, rate_hz: int, away: int) -> None:
    counts = [away + one for one in drawn(seed, 4.0, rate_hz, sd)]
    found = rest(counts, rate_hz)
    seconds = np.array(counts).reshape(4, rate_hz) - away
    assert found.sd == pytest.approx(math.sqrt(float(np.mean(np.var(seconds, axis=1, ddof=1)))), abs=1e-6)
    assert found.span == max(counts) - min(counts)
    assert found.readings == len(counts)
    assert found.seconds == pytest.approx(4.0, abs=2 / rate_hz)
    assert not found.moved
    # The fourth second is not over.
    means = seconds[:3].mean(axis=1)
    assert found.drift == pytest.approx(float(means[-1] - means[0]), abs=1e-5)
    assert found.way == pytest.approx(float(np.ptp(means)), abs=1e-5)
    assert found.step == pytest.approx(float(np.max(np.abs(np.diff(means)))), abs=1e-5)


def test_a_watch_of_an_hour_takes_no_more_memory_than_one_of_seconds() -> None:
    """What an hour of 100 readings a second leaves behind, all of it counted by the interpreter."""
    watched, chance = AtRest(), random.Random(5)

    def watch(first: int, last: int) -> int:
        for number in range(first, last):
            watched.take(chance.randrange(-3, 4), number / 100)
        return tracemalloc.get_traced_memory()[0]

    tracemalloc.start()
    try:
        some, more = watch(0, 1000), watch(1000, 101_000)
    finally:
        tracemalloc.stop()
    assert more - some < 2000
    assert watched.rest().readings == 101_000


def test_a_slow_drift_is_no_noise_and_noise_is_no_drift() -> None:
    still = rest(drawn(1, 10, 100, 1.5), 100)
    drifted = rest(drawn(1, 10, 100, 1.5, lambda t: 2.0 * t), 100)
    assert drifted.sd == pytest.approx(math.hypot(still.sd, 2.0 / math.sqrt(12)), rel=0.05)
    # From the middle of the first second to that of the ninth: the tenth is not over.
    assert drifted.drift == pytest.approx(16.0, abs=0.7)
    assert drifted.moved
    assert drifted.crept
    assert not still.moved


def pushed(t_s: float) -> float:
    return 12.0 if 3.0 < t_s < 6.0 else 0.0


def test_a_slide_that_was_pushed_and_came_back_was_moved_and_did_not_creep() -> None:
    found = rest(drawn(2, 10, 100, 0.7, pushed), 100)
    assert abs(found.drift) < 1
    assert found.moved
    assert not found.crept
    stayed = rest(drawn(2, 10, 100, 0.7, lambda t: 12.0 if t > 5.0 else 0.0), 100)
    assert stayed.moved
    assert not stayed.crept


def test_a_slow_hum_of_the_motor_is_noise_not_motion() -> None:
    found = rest(drawn(3, 10, 100, 0.3, lambda t: 4.0 * math.sin(2 * math.pi * 7.3 * t)), 100)
    assert not found.moved
    assert found.sd == pytest.approx(4.0 / math.sqrt(2), rel=0.05)


def test_a_scale_that_shows_one_count_is_quiet() -> None:
    found = rest([7] * 500, 50)
    assert (found.sd, found.span, found.drift, found.moved) == (0.0, 0, 0.0, False)


def test_nothing_or_a_moment_is_no_motion() -> None:
    assert AtRest().rest() == Rest(0, 0.0, 0, 0.0, 0.0, 0.0, 0.0)
    assert not rest([1, 2, 1, 2], 50).moved


# -- which scale ---------------------------------------------------------------------------------------------------


@given(st.integers(0, 3), st.sampled_from([1, -1]), st.integers(100, 10**6))
def test_the_scale_that_moved_is_on_the_slide_and_counts_as_it_moved(channel: int, way: int, counts: int) -> None:
    now, spans = [0, 1, -1, 2], [1, 2, 1, 3]
    now[channel], spans[channel] = way * counts, counts
    on = which_scale(now, spans)
    assert (on.channel, on.direction, on.counts) == (channel, way, counts)


@pytest.mark.parametrize(
    ("now", "spans", "words"),
    [
        ([], [], "No scale has moved"),
        ([0, 5], [3, 20], "No scale has moved"),
        ([2000, 1900], [2000, 1900], "Scales 0 and 1 both moved"),
        ([500, 2, 2000], [500, 2, 2000], "Scales 0 and 2 both moved"),
        # It was wound and came back.
        ([10, 2000], [1500, 2000], "Scales 0 and 1 both moved"),
        ([0, 200], [3, 2000], "to and fro"),
        ([0, -1500], [3, 2000], "to and fro"),
    ],
)
def test_what_does_not_tell_a_scale_is_refused(now: list[int], spans: list[int], words: str) -> None:
    with pytest.raises(NotEnough, match=words) as refused:
        which_scale(now, spans)
    assert "Wind" in refused.value.do or "wind" in refused.value.do
