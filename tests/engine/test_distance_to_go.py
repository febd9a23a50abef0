"""Distances to the end and to size, the schedule of passes, and the forecast of running over."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.lathe import FACING, TURNING, Lathe, configured, value
from waytell.documents.acts import Operation
from waytell.documents.config import Tool, Units
from waytell.engine.budget import combined
from waytell.engine.distance_to_go import (
    Warm,
    cutting_speed_m_min,
    feed_end_mm,
    feed_sign,
    forecast,
    reached_band_mm,
    schedule,
    to_go_mm,
)
from waytell.engine.uncertainty import contributions, decimals
from waytell.engine.words import fine_length, length
from waytell_bridge.reading import SpindlePulse

COLD = Warm(0.0, 20.0)


def operation(base: dict[str, object] = TURNING, **more: object) -> Operation:
    return Operation.model_validate(base | more)


def left(job: Operation, position_mm: float, nose_radius_mm: float = 0.0) -> float:
    tool = Tool(name="t", nose_radius_mm=nose_radius_mm)
    return to_go_mm(position_mm, feed_end_mm(job, tool, COLD), feed_sign(job))


@pytest.mark.parametrize(
    ("kind", "start", "end", "position", "nose", "expected"),
    [
        ("facing", 12.0, 0.0, 12.0, 0.0, 12.0),
        ("facing", 12.0, 0.0, 12.0, 0.4, 12.4),
        ("facing", 12.0, 0.0, -0.4, 0.4, 0.0),
        ("facing", 12.0, 0.0, -0.5, 0.4, -0.1),
        ("facing", 12.0, 4.0, 6.0, 0.4, 2.0),
        ("facing", 12.0, 4.0, 3.5, 0.0, -0.5),
        ("facing", 4.0, 12.0, 6.0, 0.0, 6.0),
        ("turning", 0.0, -12.0, 1.0, 0.4, 13.0),
        ("turning", 0.0, -12.0, -12.5, 0.4, -0.5),
        ("turning", -30.0, -12.0, -20.0, 0.0, 8.0),
        ("turning", -30.0, -12.0, -11.0, 0.0, -1.0),
    ],
)  # fmt: skip
def test_to_go_is_positive_before_the_end_whichever_way_the_feed_goes(
    kind: str, start: float, end: float, position: float, nose: float, expected: float
) -> None:
    job = operation(kind=kind, start_mm=start, end_mm=end, target_mm=5.0)
    assert left(job, position, nose) == pytest.approx(expected)


def test_facing_to_the_centre_with_a_nose_radius_is_done_only_beyond_the_centre() -> None:
    lathe = Lathe()
    lathe.act("choose_tool", tool="round")
    lathe.set_up_work(FACING)
    lathe.to(x=13.0, z=2.0, speed=20)
    lathe.to(z=-0.3)
    lathe.to(x=0.0)
    assert value(lathe.state().to_go) == pytest.approx(0.4, abs=0.006)
    assert not lathe.state().reached
    lathe.to(x=-0.4)
    assert value(lathe.state().to_go) == pytest.approx(0.0, abs=0.006)
    assert lathe.state().reached


@pytest.mark.parametrize(
    ("resolution", "repeatability", "tolerance", "band"),
    [
        (0.005, 0.002, 0.0, 0.005),
        (0.001, 0.004, 0.0, 0.004),
        (0.001, 0.004, 0.02, 0.002),
        (0.005, 0.002, 0.1, 0.005),
        (0.005, 0.02, 0.1, 0.01),
        (0.005, 0.002, 0.01, 0.0025),
    ],
)
def test_reached_is_the_larger_of_count_and_repeatability_but_no_more_than_a_tenth_of_the_tolerance(
    resolution: float, repeatability: float, tolerance: float, band: float
) -> None:
    assert reached_band_mm(resolution, repeatability, tolerance) == pytest.approx(band)


@given(
    left_mm=st.floats(0.02, 5.0), depth=st.floats(0.05, 1.0), finish=st.sampled_from([0.0, 0.05, 0.15]),
)  # fmt: skip
def test_following_the_schedule_takes_equal_roughing_depths_then_the_finish_then_nothing(
    left_mm: float, depth: float, finish: float
) -> None:
    job = operation(depth_mm=depth, finish_mm=finish)
    surface, taken, announced = job.target_mm + left_mm, [], []
    for _ in range(200):
        plan = schedule(surface, job, job.target_mm, 0.005)
        if plan.passes_left == 0:
            break
        taken.append(surface - plan.pass_target_mm)
        announced.append(plan.passes_left)
        surface = plan.pass_target_mm
    assert surface == pytest.approx(job.target_mm, abs=0.005)
    assert announced == list(range(len(taken), 0, -1)), "the number left goes down by one with each pass"
    finishing = finish > 0.005 and left_mm > finish + 0.005
    roughing = taken[:-1] if finishing else taken
    assert all(cut == pytest.approx(roughing[0], abs=1e-6) for cut in roughing)
    assert all(cut <= max(depth, finish + 0.005) + 1e-6 for cut in taken)
    if finishing:
        assert taken[-1] == pytest.approx(finish)


@pytest.mark.parametrize(
    ("surface", "target", "passes"),
    [
        (11.0, 11.0, 0), (11.004, 11.0, 0), (10.9, 11.0, 0), (11.1, 11.0, 2), (11.5, 10.45, 3), (12.0, 10.45, 4),
        (12.0, 10.0, 4), (10.95, 10.9, 1),
    ],
)  # fmt: skip
def test_the_number_of_passes_left(surface: float, target: float, passes: int) -> None:
    # Roughing 0.5 mm deep, 0.05 mm left for the last pass.
    job = operation(depth_mm=0.5, finish_mm=0.05 if target != 10.0 else 0.0)
    assert schedule(surface, job, target, 0.005).passes_left == passes


def test_what_is_left_for_this_pass_follows_the_cuts_really_taken() -> None:
    lathe = Lathe()
    lathe.set_up_work(TURNING, target_mm=11.0, depth_mm=0.5)
    lathe.to(x=13.0, z=1.5, speed=20)
    told = lathe.state().remaining
    assert told is not None
    assert (told.passes_left, told.pass_target_mm) == (2, 11.5)
    assert value(told.this_pass) == pytest.approx(1.5)
    assert value(told.total) == pytest.approx(2.0)
    # The person cuts less deep than asked: the rest is shared anew.
    lathe.to(x=11.6)
    lathe.to(z=-8.0)
    lathe.to(x=13.0)
    lathe.to(z=1.5, speed=8)
    told = lathe.state().remaining
    assert told is not None
    assert told.passes_left == 2
    assert told.pass_target_mm == pytest.approx(11.3)
    lathe.to(x=11.0)
    lathe.to(z=-8.0)
    lathe.to(x=13.0)
    told = lathe.state().remaining
    assert told is not None
    assert told.passes_left == 0


@pytest.mark.parametrize(
    ("to_go", "closing", "state", "time_left", "past"),
    [
        (5.0, 1.0, "ahead", 5.0, 0.0),
        (0.2, 1.0, "soon", 0.2, 0.0),
        (5.0, 0.0, "none", None, 0.0),
        (5.0, -1.0, "none", None, 0.0),
        (0.2, -1.0, "none", None, 0.0),
        (0.004, 1.0, "none", None, 0.0),
        (-0.004, 0.0, "none", None, 0.0),
        (-0.1, 1.0, "past", None, 0.1),
        (-0.1, -1.0, "past", None, 0.1),
    ],
)
def test_running_over_is_foreseen_from_the_speed_and_the_reaction_time(
    to_go: float, closing: float, state: str, time_left: float | None, past: float
) -> None:
    foreseen = forecast(to_go, closing, 0.005, 0.3)
    assert (foreseen.state, foreseen.time_left_s, foreseen.past_mm) == (state, time_left, past)


@pytest.mark.parametrize(("speed", "warned_before_mm"), [(1.0, 0.3), (3.0, 0.9)])
def test_a_feed_is_warned_as_early_as_the_person_needs_to_stop(speed: float, warned_before_mm: float) -> None:
    lathe = Lathe()
    lathe.set_up_work(TURNING)
    lathe.to(x=11.5, z=1.5, speed=20)
    lathe.to(z=-8.0 + warned_before_mm + 0.1, speed=speed)
    assert lathe.state().overrun.state == "ahead"
    lathe.to(z=-8.0 + warned_before_mm - 0.1, speed=speed)
    assert lathe.state().overrun.state == "soon"
    assert "overrun_soon" in [alarm.code for alarm in lathe.state().alarms]
    lathe.to(z=-8.2, speed=speed)
    assert lathe.state().overrun.past_mm == pytest.approx(0.2, abs=0.006)
    assert "overrun_past" in [alarm.code for alarm in lathe.state().alarms]
    lathe.to(x=13.0)
    assert lathe.state().overrun.state == "none"
    assert lathe.passes[0].overrun_mm == pytest.approx(0.2, abs=0.006)


# Mitsubishi Materials, Formulas for Turning: 700/min at 50 mm is 110 m/min. Tungaloy catalogue 2020-21, page L030:
# 250/min at 150 mm is 117 m/min (cut off, not rounded).
@pytest.mark.parametrize(("diameter", "rpm", "published", "within"), [(50, 700, 110, 0.5), (150, 250, 117, 1.0)])
def test_cutting_speed_is_that_of_published_examples(
    diameter: float, rpm: float, published: float, within: float
) -> None:
    assert cutting_speed_m_min(diameter, rpm) == pytest.approx(published, abs=within)


def test_cutting_speed_has_the_units_it_says() -> None:
    units = pint.UnitRegistry[float]()
    across, turns = 2.0 * units.inch, 300 / units.minute
    expected = (math.pi * across * turns).to("m/min").magnitude
    assert cutting_speed_m_min(across.to("mm").magnitude, 300) == pytest.approx(expected)


@pytest.mark.parametrize(("mm", "text"), [(25.4, "1.0000 in"), (0.0254, "0.0010 in"), (-12.7, "-0.5000 in")])
def test_inches_are_said_as_an_independent_library_converts_them(mm: float, text: str) -> None:
    inches = pint.UnitRegistry().Quantity(mm, "mm").to("inch").magnitude
    assert length(mm, Units(length="inch")) == fine_length(mm, Units(length="inch")) == text == f"{inches:.4f} in"


def test_while_facing_the_cutting_speed_falls_with_the_diameter() -> None:
    lathe = Lathe()
    lathe.set_up_work(FACING)
    for x, speed in ((10.0, 62.83), (5.0, 31.42), (0.0, 0.0)):
        lathe.to(x=x, speed=20)
        lathe.feed(SpindlePulse(lathe.t_s, 0.06))
        spindle = lathe.state().spindle
        assert spindle is not None
        assert spindle.rpm == pytest.approx(1000)
        assert spindle.cutting_speed_m_min == pytest.approx(speed, abs=0.01)
    lathe.rest(2.5)
    spindle = lathe.state().spindle
    assert spindle is not None
    assert spindle.rpm == 0.0, "no pulse for two seconds: the spindle stands"


def test_uncertainty_is_the_root_of_squares_of_rectangles() -> None:
    # JCGM 100 (GUM) 4.3.7: a rectangle of half-width a has the standard deviation a / sqrt 3; k from the normal
    # distribution (G.6.4). Worked out by hand:
    # counts of 5 um, twice; a scale off by 10 um; touched to 20 um; 1 um of noise, twice.
    lathe = Lathe()
    lathe.touch_both()
    found = combined(contributions(lathe.engine.known, "X", 0.001, 0.0))
    assert found.standard_mm == pytest.approx(0.0131466, abs=1e-7)
    assert found.expanded_mm == pytest.approx(1.959964 * 0.0131466, abs=1e-7)
    # 100 mm away a scale of 10 um/(m K), known to 2 K, adds 2 um as a half-width.
    far = combined(contributions(lathe.engine.known, "X", 0.001, 100.0))
    assert far.standard_mm == pytest.approx(math.hypot(0.0131466, 0.002 / math.sqrt(3)), abs=1e-7)


@pytest.mark.parametrize(
    ("u_mm", "resolution_mm", "digits"), [(0.026, 0.005, 3), (0.2, 0.005, 2), (0.004, 0.001, 4), (2.0, 0.05, 1)]
)
def test_no_more_digits_than_the_uncertainty_supports(u_mm: float, resolution_mm: float, digits: int) -> None:
    assert decimals(u_mm, resolution_mm) == digits


def test_a_worse_scale_is_less_certain_but_stops_at_the_same_place() -> None:
    figures = []
    for um in (1.0, 20.0):
        scales = [{"channel": n, "slide": s, "resolution_um": um} for n, s in enumerate(("cross", "carriage"))]
        lathe = Lathe(configured(scales=scales))
        lathe.set_up_work(TURNING)
        lathe.to(x=12.0, z=1.0, speed=20)
        figures.append(lathe.state().to_go)
    good, bad = figures
    assert value(good) == pytest.approx(value(bad), abs=0.02)
    assert good is not None
    assert bad is not None
    assert good.good
    assert bad.good
    assert bad.u_mm > good.u_mm
