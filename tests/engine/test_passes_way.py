"""How a pass went on: what is added to it, how fast, how even and how deep it was, and the way of the tool."""

from __future__ import annotations

import pytest

from engine.drawn import BAND_MM, BAR, BLADE, LATER, SHARP, faced, found, stroke, turned, work
from engine.lathe import about
from waytell.documents.acts import Operation
from waytell.engine.passes import creep, extended, measure, speed_mm_s, taken_off
from waytell.engine.strokes import Point, Stroke

# -- how it went on --------------------------------------------------------------------------------------------------


def test_going_on_adds_what_lies_beyond() -> None:
    first = found(turned(11.5, -5.0))
    whole = extended(first, stroke((-4.0, 11.51), (-7.0, 11.51)), LATER)
    assert (whole.start_mm, whole.end_mm, whole.depth_mm) == pytest.approx((0.0, -7.0, 0.5), abs=0.011)
    assert (whole.sign, whole.kind, whole.rest_held_mm) == (-1, "turning", 11.5)
    assert extended(first, stroke((-2.0, 11.5), (-4.5, 11.5)), LATER) is first
    feds = [point.fed_mm for point in whole.points]
    assert feds == sorted(feds, reverse=True)


def test_a_groove_that_goes_on_through_is_parting_off() -> None:
    at = work(tool=BLADE)
    first = found(faced(-10.0, 4.0), at)
    assert first.kind == "grooving"
    through = extended(first, stroke((5.0, -10.0), (0.0, -10.0), axis="X"), at)
    assert (through.kind, through.depth_mm) == ("parting", about(12.0))
    operation = Operation(name="groove", kind="grooving", start_mm=12.0, end_mm=4.0, target_mm=-10.0)
    named = found(faced(-10.0, 4.0), at._replace(operation=operation))
    kept = extended(named, stroke((5.0, -10.0), (0.0, -10.0), axis="X"), at._replace(operation=operation))
    assert kept.kind == "grooving"


def test_what_is_drawn_back_at_the_end_is_not_added() -> None:
    points = [*turned(11.5, -5.0).points, Point(30.0, -5.05, 11.6), Point(30.1, -5.1, 11.9)]
    first = found(Stroke("Z", -1, tuple(points), 11.5))
    assert first.end_mm == pytest.approx(-5.1)
    whole = extended(first, stroke((-4.0, 11.5), (-7.0, 11.5)), LATER)
    between = [point.held_mm for point in whole.points if -5.15 < point.fed_mm < -4.9]
    assert all(abs(held - 11.5) < 0.001 for held in between)


@pytest.mark.parametrize(
    ("points", "mm_s"),
    [
        ([(0.0, 0.0), (1.0, -1.0), (2.0, -2.0)], 1.0),
        ([(0.0, 0.0), (1.0, -1.0), (3.5, -1.0), (4.5, -2.0)], 1.0),
        ([(0.0, 0.0), (1.0, -1.0), (2.9, -1.0), (3.9, -2.0)], 2.0 / 3.9),
        ([(0.0, 0.0), (1.0, -1.0), (4.0, -1.19), (5.0, -2.19)], 2.19 / 2.0),
        ([(0.0, 0.0), (1.0, -1.0), (4.0, -1.21), (5.0, -2.21)], 2.21 / 5.0),
    ],
)
def test_a_rest_to_look_is_none_of_the_feed_and_a_silence_is(points: list[tuple[float, float]], mm_s: float) -> None:
    assert speed_mm_s(tuple(Point(t_s, fed, 11.5) for t_s, fed in points)) == pytest.approx(mm_s)


def held(*values: float) -> tuple[Point, ...]:
    return tuple(Point(0.1 * i, -0.05 * i, value) for i, value in enumerate(values))


@pytest.mark.parametrize(
    ("values", "crept_mm", "at_mm"),
    [
        ((11.5,) * 8, 0.0, None),
        ((11.5, 11.5, 11.52, 11.5, 11.5, 11.5, 11.5), 0.0, None),
        ((11.5, 11.52, 11.52, 11.5, 11.5, 11.5, 11.5), 0.02, -0.05),
        ((11.5, 11.505, 11.51, 11.515, 11.515, 11.515), 0.015, -0.15),
        ((11.5, 11.49, 11.48, 11.48, 11.5, 11.51, 11.51, 11.51), -0.02, -0.1),
    ],
)
def test_creep_is_the_farthest_that_two_neighbours_confirm(
    values: tuple[float, ...], crept_mm: float, at_mm: float | None
) -> None:
    crept, at = creep(held(*values), 11.5, BAND_MM)
    assert crept == pytest.approx(crept_mm)
    assert at == (None if at_mm is None else pytest.approx(at_mm))


@pytest.mark.parametrize(
    ("tail", "crept_mm"),
    [
        ((), 0.0),
        ((11.6, 11.7, 11.8), 0.0),
        ((11.503, 11.51, 11.6, 11.7, 11.8), 0.0),
        ((11.6, 11.7, 11.7, 11.7), 0.2),
        ((11.51, 11.52, 11.53), 0.02),
        ((11.512, 11.524, 11.536), 0.0),
    ],
)
def test_what_a_hand_draws_back_at_the_end_is_no_creep(tail: tuple[float, ...], crept_mm: float) -> None:
    """Steps of more than two thirds of the band, and what led up to them, are the hand's; small ones creep."""
    crept, _ = creep(held(*(11.5,) * 6, *tail), 11.5, BAND_MM)
    assert crept == pytest.approx(crept_mm, abs=0.011 if tail == (11.51, 11.52, 11.53) else 1e-9)


def test_of_a_way_that_is_all_drawn_back_three_points_are_left() -> None:
    assert creep(held(11.5, 11.55, 11.6, 11.65, 11.7), 11.5, BAND_MM) == pytest.approx((0.05, -0.05))


def test_where_the_feed_ended_may_be_told_twice() -> None:
    points = held(*(11.5,) * 6, 11.6, 11.7)
    assert creep((*points, points[-1]), 11.5, BAND_MM) == (0.0, None)
    assert creep((*points[:-3], points[-3], points[-3]), 11.5, BAND_MM) == (0.0, None)


def test_a_rest_alone_has_no_speed() -> None:
    assert speed_mm_s((Point(1.0, 2.0, 11.5), Point(4.0, 2.0, 11.5))) == 0.0


# -- the way of the tool ---------------------------------------------------------------------------------------------


def test_within_a_count_the_way_is_straight_and_beyond_it_bends() -> None:
    within = found(stroke((2.0, 11.5), (-4.0, 11.5), (-8.0, 11.504)))
    assert within.path == (about((11.5, 0.05), 0.003), about((11.5, -8.0), 0.003))
    bent = found(stroke((2.0, 11.5), (-4.0, 11.5), (-8.0, 11.54)))
    assert len(bent.path) == 3
    assert bent.path[1] == pytest.approx((11.5, -4.0), abs=0.6)
    assert bent.path[2] == pytest.approx((11.54, -8.0), abs=0.002)


def test_a_little_more_than_a_count_bends_the_way() -> None:
    cut = found(stroke((2.0, 11.5), (-5.0, 11.5), (-8.0, 11.5065)))
    assert [x for x, _ in cut.path] == pytest.approx([11.5, 11.5, 11.5065], abs=0.0011)


def test_a_single_reading_beside_the_way_does_not_bend_it() -> None:
    points = list(turned(11.5).points)
    middle = len(points) // 2
    points[middle] = points[middle]._replace(held_mm=11.6)
    points[middle + 1] = points[middle + 1]._replace(held_mm=11.6)
    cut = found(Stroke("Z", -1, tuple(points), 11.5))
    assert len(cut.path) == 2
    assert (cut.held_mm, cut.depth_mm) == pytest.approx((11.5, 0.5))


def test_the_depth_is_the_middle_over_the_way_whatever_the_reports_fell_on() -> None:
    """Half of the way over a bar of 12, half over one of 11.8: reports crowd over the thinner half."""
    stepped = BAR.after("turning", SHARP, [(11.8, 1.0), (11.8, -3.0)])
    crowd = [Point(10 + 0.01 * i, -3.0 * i / 600, 11.5) for i in range(-20, 600)]
    rest = [Point(20 + i, -3.0 - 1.0 * i, 11.5) for i in range(6)]
    cut = found(Stroke("Z", -1, (*crowd, *rest), 11.5), work(section=stepped))
    assert cut.depth_mm == pytest.approx(0.5)
    assert cut.held_mm == 11.5


def test_over_a_cone_the_depth_is_that_in_the_middle() -> None:
    cone = BAR.after("taper", SHARP, [(11.6, 0.0), (12.0, -8.0)])
    assert found(turned(11.5), work(section=cone)).depth_mm == pytest.approx(0.3, abs=1e-6)


def test_two_readings_are_enough_for_a_depth() -> None:
    two = Stroke("Z", -1, (Point(10.0, 2.0, 11.5), Point(20.0, -8.0, 11.5)), 11.5)
    assert found(two).depth_mm == pytest.approx(0.5)


def test_between_readings_far_apart_the_held_slide_went_evenly() -> None:
    far = Stroke("Z", -1, (Point(10.0, 2.0, 11.5), Point(13.0, -1.0, 11.5), Point(20.0, -8.0, 11.7)), 11.5)
    assert found(far).depth_mm == pytest.approx(0.5 - 0.2 * 3 / 7), "in the middle, 4 mm from the face"


def test_also_where_the_longer_way_comes_first() -> None:
    far = Stroke("Z", -1, (Point(10.0, 2.0, 11.5), Point(18.0, -6.0, 11.7), Point(20.0, -8.0, 11.7)), 11.5)
    assert found(far).depth_mm == pytest.approx(0.5 - 0.2 * 6 / 8)


def test_gone_on_into_a_thicker_bar_the_depth_is_that_of_the_whole() -> None:
    stepped = work(section=BAR.after("turning", SHARP, [(11.8, 1.0), (11.8, -3.0)]))
    first = found(turned(11.5, -4.0), stepped)
    assert first.depth_mm == pytest.approx(0.3)
    assert extended(first, stroke((-3.5, 11.5), (-8.0, 11.5)), stepped).depth_mm == pytest.approx(0.5)


def test_drawn_back_at_its_setting_little_metal_makes_no_pass() -> None:
    assert measure(stroke((-8.0, 11.96), (3.0, 11.96)), work(last={"turning": (11.96, 8.0)})) is None


def test_taken_off_is_what_the_path_went_through() -> None:
    cut = found(turned(11.5))
    assert taken_off(BAR, cut, SHARP).radius_at(-4.0) == pytest.approx(11.5)
    assert taken_off(BAR, cut._replace(path=()), SHARP) is BAR
