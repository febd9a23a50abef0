"""Work that older stories leave out: cut both ways, steps and shoulders faced, targets changed, odd zeroes."""

from __future__ import annotations

from math import cos, radians, sin

import pytest

from turners.benches import FINE, PLAIN, SLOW, at_two_benches
from turners.board import Bench
from turners.mishaps import told_rightly
from turners.moves import (
    BLADE,
    KNIFE,
    OUT,
    R,
    faces,
    plans,
    sets_up,
    touches_diameter,
    touches_face,
    touches_off,
    turns,
)
from turners.turner import Turner

planned_or_not = pytest.mark.parametrize("planned", [True, False], ids=["planned", "unplanned"])


def begins(seed: int, *, bore: float = 0.0, compound_deg: float | None = None) -> Turner:
    turner = Turner(seed, compound_deg=compound_deg)
    sets_up(turner, bore=bore)
    touches_off(turner)
    return turner


@planned_or_not
@at_two_benches
def test_cut_both_ways_with_the_depth_set_at_either_end(bench: Bench, planned: bool) -> None:
    turner = begins(301)
    if planned:
        plans(turner, "turning", 0.0, -12.0, 10.8)
    turner.winds(carriage=1.5)
    turner.sets(cross=11.6)
    with turner.cutting("turning", 0.0, was=R):
        turner.feeds(2.5, carriage=-12.0)
    turner.sets(cross=11.2)
    with turner.cutting("turning", None, was=11.6, leaves=0.0):
        turner.feeds(2.5, carriage=1.0)
    turner.sets(cross=10.8)
    with turner.cutting("turning", 0.0, was=11.2):
        turner.feeds(2.5, carriage=-12.0)
    turner.winds(5.0, cross=OUT)
    told_rightly(turner, bench)


@planned_or_not
@at_two_benches
def test_a_big_shoulder_is_faced_outwards_by_two_tenths(bench: Bench, planned: bool) -> None:
    turner = begins(303)
    if planned:
        plans(turner, "turning", 0.0, -9.8, 9.0)
    for at, was in ((11.0, R), (10.0, 11.0), (9.0, 10.0)):
        turns(turner, at, was=was, to=-9.8)
    if planned:
        plans(turner, "facing", 9.0, R, -10.0)
    turner.winds(carriage=-8.0)
    turner.winds(2.0, cross=9.05)
    turner.sets(carriage=-10.0)
    with turner.cutting("facing", None, was=-9.8, leaves=R):
        turner.feeds(1.5, cross=R + 0.8)
    turner.winds(3.0, carriage=-8.0)
    turner.winds(carriage=2.0)
    told_rightly(turner, bench)


@planned_or_not
def test_the_second_diameter_is_shorter_and_the_first_is_finished_after_it(planned: bool) -> None:
    turner = begins(316)
    if planned:
        plans(turner, "turning", 0.0, -14.0, 11.0)
    turns(turner, 11.0, was=R, to=-14.0)
    if planned:
        plans(turner, "turning", 0.0, -2.0, 10.2)
    turns(turner, 10.2, was=11.0, to=-2.0)
    turns(turner, 10.2, was=None, to=-2.0, role="spring")
    if planned:
        plans(turner, "turning", -2.0, -14.0, 10.8)
    turns(turner, 10.8, was=11.0, to=-14.0, enters=-2.0)
    told_rightly(turner, FINE)


@planned_or_not
@at_two_benches
def test_six_spring_passes_are_six(bench: Bench, planned: bool) -> None:
    turner = begins(209)
    if planned:
        plans(turner, "turning", 0.0, -8.0, 11.5)
    turns(turner, 11.5, was=R, to=-8.0)
    for number in range(6):
        turns(turner, 11.5, was=None, to=-8.0, role="spring", back=("line", "clear", "shoulder")[number % 3])
    told_rightly(turner, bench)


@planned_or_not
@at_two_benches
def test_depths_of_two_and_three_hundredths(bench: Bench, planned: bool) -> None:
    turner = begins(208)
    if planned:
        plans(turner, "turning", 0.0, -8.0, 11.8)
    for at, was in ((11.9, R), (11.87, 11.9), (11.85, 11.87)):
        turns(turner, at, was=was, to=-8.0)
    turns(turner, 11.85, was=None, to=-8.0, role="spring")
    turns(turner, 11.82, was=11.85, to=-8.0)
    told_rightly(turner, bench)


@planned_or_not
def test_fed_a_fifth_of_a_millimetre_a_second(planned: bool) -> None:
    turner = begins(207)
    if planned:
        plans(turner, "turning", 0.0, -4.0, 11.2)
    turns(turner, 11.6, was=R, to=-4.0, speed=0.2)
    turns(turner, 11.6, was=None, to=-4.0, speed=0.2, role="spring")
    told_rightly(turner, SLOW)


@planned_or_not
def test_a_groove_widened_towards_the_headstock_in_three_plunges(planned: bool) -> None:
    turner = Turner(311)
    sets_up(turner, BLADE)
    touches_off(turner)
    if planned:
        plans(turner, "grooving", R, 9.0, -14.0)
    for at_z in (-10.0, -12.0, -12.5):
        turner.winds(cross=OUT)
        turner.sets(carriage=at_z)
        with turner.cutting("grooving", R):
            turner.feeds(0.9, cross=9.0)
        turner.winds(5.0, cross=OUT)
    told_rightly(turner, PLAIN)


@planned_or_not
def test_depth_set_with_a_compound_that_has_a_scale(planned: bool) -> None:
    """At 29 degrees from X each move of it shifts the tool along Z too."""
    turner = begins(405, compound_deg=61.0)
    if planned:
        plans(turner, "turning", 0.0, -9.0, 11.2)
    turner.winds(carriage=1.5)
    turner.sets(cross=R + 0.5)
    for at, was in ((11.6, R), (11.4, 11.6), (11.2, 11.4)):
        wound = (at - R - 0.5) / sin(radians(61.0))
        turner.sets(compound=wound)
        with turner.cutting("turning", 0.0, was=was):
            turner.feeds(2.4, carriage=-9.0 - cos(radians(61.0)) * wound)
        turner.winds(4.0, cross=R + 2.0)
        turner.winds(8.0, carriage=1.5)
        turner.sets(cross=R + 0.5)
    told_rightly(turner, SLOW)


def test_the_target_is_changed_in_the_middle_of_the_job_and_of_a_pass() -> None:
    turner = begins(408)
    plans(turner, "turning", 0.0, -10.0, 11.0)
    turns(turner, 11.5, was=R, to=-10.0, midway=lambda one: one.says("set_target", target_mm=10.6))
    turns(turner, 11.0, was=11.5, to=-10.0, role="roughing")
    turns(turner, 10.6, was=11.0, to=-10.0, role="finish")
    turner.says("set_target", target_mm=10.5)
    turns(turner, 10.5, was=10.6, to=-10.0, role="finish")
    told_rightly(turner, SLOW)


@planned_or_not
def test_a_wrong_touch_off_is_undone(planned: bool) -> None:
    turner = begins(410)
    if planned:
        plans(turner, "turning", 0.0, -10.0, 11.1)
    turns(turner, 11.5, was=R, to=-10.0)
    turner.winds(cross=20.0)
    turner.says("touch_off", axis="X", at_mm=25.0)
    turner.says("undo")
    turns(turner, 11.1, was=11.5, to=-10.0)
    told_rightly(turner, PLAIN)


@planned_or_not
def test_the_last_pass_is_measured_and_the_tool_set_by_it(planned: bool) -> None:
    """The file was at work in between; the micrometer says a hundredth less than the scale did."""
    turner = begins(407)
    if planned:
        plans(turner, "turning", 0.0, -10.0, 10.9)
    turns(turner, 11.2, was=R, to=-10.0)
    turner.winds(cross=25.0)
    turner.rests(8.0)
    turner.says("touch_off", axis="X", how="measured", at_mm=11.19, where="last_pass")
    turner.lathe.tip["cross"] = -0.01
    turns(turner, 10.9, was=11.19, to=-10.0)
    told_rightly(turner, SLOW)


@planned_or_not
@pytest.mark.parametrize("beside", [0.0, 0.03, 0.1])
def test_wound_along_the_standing_work_to_look_is_no_pass(planned: bool, beside: float) -> None:
    turner = begins(413)
    if planned:
        plans(turner, "turning", 0.0, -10.0, 10.9)
    turns(turner, 11.5, was=R, to=-10.0)
    turner.stops_spindle()
    turner.winds(carriage=1.5)
    turner.winds(2.0, cross=11.5 + beside)
    turner.winds(4.0, carriage=-9.5)
    turner.winds(4.0, carriage=1.5)
    turner.winds(cross=OUT)
    turner.runs_spindle()
    turns(turner, 10.9, was=11.5, to=-10.0)
    told_rightly(turner, PLAIN)


@planned_or_not
def test_the_face_stands_far_from_zero(planned: bool) -> None:
    turner, face = Turner(414), 37.5
    sets_up(turner, KNIFE)
    turner.says("new_set_up", stock={"diameter_mm": 2 * R, "length_mm": 40.0, "front_mm": face})
    turner.lathe.tip["carriage"] = face
    touches_diameter(turner, R, at_z=face - 3.0)
    turner.winds(carriage=face + 2.0)
    touches_face(turner, face)
    if planned:
        plans(turner, "facing", R, 0.0, face - 0.4)
    faces(turner, face - 0.4, was=face)
    if planned:
        plans(turner, "turning", face - 0.4, face - 12.0, 11.0)
    turns(turner, 11.5, was=R, to=face - 12.0, enters=face - 0.4)
    told_rightly(turner, SLOW)
