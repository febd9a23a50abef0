"""Speeds, times, volumes and roughness against published examples, pint, shapely and scipy."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate
from shapely import Polygon, box

from waytell.planning.cutting import (
    SpeedLimits,
    annulus_volume_mm3,
    chosen_speed,
    cutting_speed_m_min,
    facing_time_at_cutting_speed_s,
    facing_time_s,
    feed_for_ra,
    removal_rate_mm3_s,
    roughness_ra_um,
    roughness_rt_um,
    spindle_rpm,
    turning_time_s,
)

# Invented: a small lathe with six belt speeds.
BELTS = (130.0, 300.0, 600.0, 1000.0, 1600.0, 2500.0)


def test_spindle_speed_of_a_textbook_example() -> None:
    # Groover, Fundamentals of Modern Manufacturing, problem 22.1: 200 mm at 2.30 m/s is 3.66 rev/s.
    assert spindle_rpm(2.30 * 60, 200) / 60 == pytest.approx(3.66, abs=0.005)


def test_spindle_speed_with_units_by_pint() -> None:
    units = pint.UnitRegistry[float]()
    wanted = units.Quantity(100, "foot / minute") / units.Quantity(math.pi, "inch / turn")
    across_mm = units.Quantity(1, "inch").to("mm").magnitude
    speed_m_min = units.Quantity(100, "foot / minute").to("m / minute").magnitude
    assert speed_m_min == pytest.approx(30.48)
    assert spindle_rpm(speed_m_min, across_mm) == pytest.approx(wanted.to("turn / minute").magnitude)


@given(st.floats(1, 1000), st.floats(0.5, 500))
def test_spindle_speed_and_cutting_speed_are_inverse(vc: float, diameter: float) -> None:
    assert cutting_speed_m_min(diameter, spindle_rpm(vc, diameter)) == pytest.approx(vc)


def test_turning_time_as_printed() -> None:
    # Mitsubishi Materials, Formulas for Turning: 100 mm at 1000/min and 0.2 mm is 0.5 min.
    assert turning_time_s(100, 1000, 0.2) == pytest.approx(30)


def test_facing_at_constant_spindle_speed() -> None:
    # Groover, problem 22.3: 180 rev/min and 0.008 in a revolution is 1.44 in a minute.
    assert facing_time_s(1.44 * 25.4, 0, 180, 0.008 * 25.4) == pytest.approx(60)


def test_facing_at_constant_cutting_speed() -> None:
    # GATE Production and Industrial Engineering 2013: 200 to 80 mm, 0.1 mm, 90 m/min; 2.93 min among its answers.
    assert facing_time_at_cutting_speed_s(100, 40, 90, 0.1) / 60 == pytest.approx(2.93, abs=0.005)
    # The same by adding up rings, each at its own spindle speed.
    by_rings, _ = integrate.quad(lambda r: 60 / (0.1 * spindle_rpm(90, 2 * r)), 40, 100)
    assert facing_time_at_cutting_speed_s(100, 40, 90, 0.1) == pytest.approx(by_rings)


def test_removal_rate_is_that_of_the_exact_annulus() -> None:
    # GATE 2013: 200 mm, depth 4 mm, 0.25 mm, 160/min; its 1675.5 mm3/s reckons with the outer diameter, which is too
    # much by the depth over the mean diameter.
    ours = removal_rate_mm3_s(100, 96, 0.25, 160)
    assert ours * 200 / 196 == pytest.approx(1675.5, abs=0.1)
    assert ours == pytest.approx(1642.006, abs=5e-4)
    assert ours == pytest.approx(annulus_volume_mm3(100, 96, 50) / turning_time_s(50, 160, 0.25))


def test_removal_rate_of_a_textbook_example() -> None:
    # Groover, problem 22.1: 2.30 m/s, feed 0.32, depth 1.80 at 200 mm, v f d = 1320 mm3/s (three figures).
    ours = removal_rate_mm3_s(100, 98.2, 0.32, spindle_rpm(138, 200))
    assert ours * 200 / 198.2 == pytest.approx(1320, abs=5)


def test_volume_of_a_turned_bar_by_pappus() -> None:
    section = box(15, 0, 20, 20)
    by_pappus = 2 * math.pi * section.centroid.x * section.area
    assert annulus_volume_mm3(20, 15, 20) == pytest.approx(by_pappus)
    assert annulus_volume_mm3(20, 15, 20) == pytest.approx(10995.574, abs=5e-4)


def test_pappus_itself_on_a_triangle() -> None:
    # Larson and Edwards, Calculus, theorem of Pappus: the reference of the test above gives 20 pi here.
    triangle = Polygon([(1, 0), (3, 0), (1, 6)])
    assert 2 * math.pi * triangle.centroid.x * triangle.area == pytest.approx(20 * math.pi)


@pytest.mark.parametrize(
    ("feed", "nose", "published"),
    # The first case is asked in Mitsubishi Materials, Formulas for Turning; the formula is printed there.
    [(0.2, 0.8, 6.25), (0.1, 0.4, 3.125), (0.2, 0.4, 12.5), (0.25, 1.2, 6.5104)],
)
def test_groove_height(feed: float, nose: float, published: float) -> None:
    assert roughness_rt_um(feed, nose) == pytest.approx(published, abs=5e-5)
    # Sandvik Coromant, heat-resistant alloys, turning formulas: 125 f^2 / r in um.
    assert roughness_rt_um(feed, nose) == pytest.approx(125 * feed**2 / nose)


def circle_ra_um(feed: float, nose: float) -> float:
    def height(at: float) -> float:
        return nose - math.sqrt(nose**2 - at**2)

    mean = integrate.quad(height, -feed / 2, feed / 2)[0] / feed
    crossing = math.sqrt(nose**2 - (nose - mean) ** 2)
    off = integrate.quad(lambda at: abs(height(at) - mean), -feed / 2, feed / 2, points=[-crossing, crossing])[0]
    return float(1000 * off / feed)


@given(st.floats(0.2, 2.0), st.floats(0.02, 0.25))
def test_mean_roughness_is_close_to_that_of_a_circle_and_to_the_textbook(nose: float, ratio: float) -> None:
    feed = nose * ratio
    ours = roughness_ra_um(feed, nose)
    assert ours == pytest.approx(circle_ra_um(feed, nose), rel=0.005)
    # R_a = f^2 / (32 r): Groover; Boothroyd and Knight; from memory.
    assert ours == pytest.approx(1000 * feed**2 / (32 * nose), rel=0.04)
    exact_height_um = 1000 * (nose - math.sqrt(nose**2 - feed**2 / 4))
    assert roughness_rt_um(feed, nose) == pytest.approx(exact_height_um, rel=0.005)


@given(st.floats(0.1, 25.0), st.floats(0.05, 3.0))
def test_the_feed_for_a_roughness_gives_that_roughness(ra: float, nose: float) -> None:
    assert roughness_ra_um(feed_for_ra(ra, nose), nose) == pytest.approx(ra)


@pytest.mark.parametrize(
    ("limits", "rpm", "limit"),
    [
        # 30 m/min at 20 mm asks for 477 rev/min.
        (SpeedLimits(2500), 477.46, "material"),
        (SpeedLimits(400), 400, "machine"),
        (SpeedLimits(400, chuck_max_rpm=350), 350, "chuck"),
        (SpeedLimits(400, chuck_max_rpm=2000), 400, "machine"),
        (SpeedLimits(2500, min_rpm=600), 600, "machine"),
        (SpeedLimits(2500, steps=BELTS), 300, "steps"),
        (SpeedLimits(2500, steps=BELTS[::-1]), 300, "steps"),
        (SpeedLimits(2500, steps=BELTS[2:]), 600, "steps"),
        (SpeedLimits(2500, chuck_max_rpm=250, steps=BELTS), 130, "chuck"),
        (SpeedLimits(200, steps=BELTS), 130, "machine"),
        (SpeedLimits(2500, chuck_max_rpm=400, steps=BELTS), 300, "steps"),
        (SpeedLimits(2500, min_rpm=200, steps=BELTS), 300, "steps"),
        (SpeedLimits(2500, min_rpm=400, steps=BELTS), 600, "steps"),
        (SpeedLimits(2500, steps=(130, 477, 600)), 477, "material"),
    ],
)
def test_chosen_speed(limits: SpeedLimits, rpm: float, limit: str) -> None:
    speed = chosen_speed(30, 20, limits)
    assert speed.rpm == pytest.approx(rpm, abs=0.01)
    assert speed.limit == limit
    assert speed.vc_m_min == pytest.approx(cutting_speed_m_min(20, speed.rpm))


def test_a_speed_that_is_too_fast_says_so() -> None:
    assert "goes no slower" in chosen_speed(30, 200, SpeedLimits(2500, steps=BELTS)).words
    assert "no more than 350" in chosen_speed(30, 20, SpeedLimits(400, chuck_max_rpm=350)).words


@pytest.mark.parametrize("limits", [SpeedLimits(2500, 200, 150), SpeedLimits(2500, chuck_max_rpm=100, steps=BELTS)])
def test_no_speed_is_left(limits: SpeedLimits) -> None:
    with pytest.raises(ValueError, match="the chuck may be run at no more than"):
        chosen_speed(30, 20, limits)


@given(
    vc=st.floats(1, 1000),
    diameter=st.floats(0.5, 500),
    top=st.floats(200, 5000),
    chuck=st.none() | st.floats(200, 5000),
    steps=st.lists(st.floats(50, 6000), max_size=8).map(lambda some: (*some, 200.0)) | st.just(()),
)
def test_no_limit_is_ever_passed(
    vc: float, diameter: float, top: float, chuck: float | None, steps: tuple[float, ...]
) -> None:
    speed = chosen_speed(vc, diameter, SpeedLimits(top, 100, chuck, steps))
    wanted = spindle_rpm(vc, diameter)
    assert 100 <= speed.rpm <= min(top, chuck or top)
    assert not steps or speed.rpm in steps
    if speed.rpm > wanted * 1.001:
        assert "goes no slower" in speed.words
        assert not any(100 <= step <= wanted for step in steps)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: spindle_rpm(0, 20),
        lambda: spindle_rpm(30, 0),
        lambda: spindle_rpm(30, math.nan),
        lambda: turning_time_s(10, 0, 0.1),
        lambda: turning_time_s(10, 100, 0),
        lambda: facing_time_at_cutting_speed_s(10, 0, 0, 0.1),
        lambda: roughness_rt_um(0.1, 0),
        lambda: roughness_ra_um(0.1, 0),
        lambda: feed_for_ra(0, 0.4),
    ],
)
def test_nothing_is_reckoned_from_nothing(wrong: object) -> None:
    assert callable(wrong)
    with pytest.raises(ValueError, match="must be above 0"):
        wrong()
