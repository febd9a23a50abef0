"""Usual work that was told wrongly once."""

from __future__ import annotations

import pytest

from turners.benches import PLAIN, SLOW, SWITCHED, at_two_benches
from turners.board import Bench
from turners.mishaps import alarms, replayed, told_rightly
from turners.moves import BLADE, KNIFE, OUT, R, faces, plans, sets_up, touches_off, turns
from turners.turner import Turner

planned_or_not = pytest.mark.parametrize("planned", [True, False], ids=["planned", "unplanned"])


@planned_or_not
def test_three_drills_one_after_the_other(planned: bool) -> None:
    drills = [{"name": f"drill {size}", "kind": "drill", "diameter_mm": size} for size in (4.0, 7.0, 10.0)]
    turner = Turner(401, tailstock=True)
    sets_up(turner, KNIFE, *drills)
    touches_off(turner)
    turner.winds(carriage=25.0)
    for drill in drills:
        turner.takes(str(drill["name"]))
        turner.winds(20.0, tailstock=1.0)
        turner.winds(0.6, tailstock=0.0)
        turner.says("touch_off", axis="Z", at_mm=0.0)
        turner.winds(tailstock=2.0)
        if planned:
            plans(turner, "drilling", 0.0, -12.0, float(str(drill["diameter_mm"])) / 2)
        with turner.cutting("drilling", 0.0):
            turner.feeds(1.8, tailstock=-12.0)
        turner.winds(12.0, tailstock=20.0)
    told_rightly(turner, SLOW)


@planned_or_not
@at_two_benches
def test_a_groove_widened_away_from_the_headstock(bench: Bench, planned: bool) -> None:
    """The 3 mm blade cuts -14 to -11, then -11.1 to -8.1: two plunges, the second 2.9 mm wide in metal."""
    turner = Turner(801)
    sets_up(turner, BLADE)
    touches_off(turner)
    if planned:
        plans(turner, "grooving", R, 9.5, -14.0)
    for at_z in (-14.0, -11.1):
        turner.winds(cross=OUT)
        turner.sets(carriage=at_z)
        with turner.cutting("grooving", R):
            turner.feeds(0.9, cross=9.5)
        turner.winds(3.0, cross=OUT)
    told_rightly(turner, bench)


@planned_or_not
@pytest.mark.parametrize("bench", [SLOW, PLAIN], ids=lambda bench: bench.name)
def test_parted_in_two_tries_the_second_begins_where_the_first_ended(bench: Bench, planned: bool) -> None:
    turner = Turner(313)
    sets_up(turner, BLADE)
    touches_off(turner)
    if planned:
        plans(turner, "parting", R, 0.0, -13.0)
    turner.sets(carriage=-13.0)
    with turner.cutting("parting", R, or_kind="grooving"):
        turner.feeds(1.2, cross=6.0)
    turner.winds(5.0, cross=OUT)
    turner.rests(8.0)
    turner.winds(5.0, cross=6.4)
    with turner.cutting("parting", 6.0, leaves=0.0):
        turner.feeds(1.2, cross=-0.2)
    turner.winds(5.0, cross=OUT)
    told_rightly(turner, bench)


@planned_or_not
@pytest.mark.parametrize("speed", [6.0, 8.0])
def test_a_spring_pass_wound_fast(speed: float, planned: bool) -> None:
    turner = Turner(600)
    sets_up(turner)
    touches_off(turner)
    if planned:
        plans(turner, "turning", 0.0, -20.0, 11.2)
    turns(turner, 11.6, was=R, to=-20.0, speed=speed)
    turns(turner, 11.2, was=11.6, to=-20.0, speed=speed)
    turns(turner, 11.2, was=None, to=-20.0, speed=speed, role="spring")
    told_rightly(turner, PLAIN)


@planned_or_not
@at_two_benches
def test_a_nose_of_0_8_mm_drawn_out_across_the_shoulder_faces_nothing(bench: Bench, planned: bool) -> None:
    """Drawing out scrapes the round the nose left in the corner: part of the turning pass, not a facing pass."""
    turner = Turner(307)
    sets_up(turner, {**KNIFE, "nose_radius_mm": 0.8})
    touches_off(turner)
    if planned:
        plans(turner, "turning", 0.0, -8.0, 11.0)
    turns(turner, 11.6, was=R, to=-8.0)
    turns(turner, 11.2, was=11.6, to=-8.0)
    turns(turner, 11.2, was=None, to=-8.0, role="spring")
    told_rightly(turner, bench)


@planned_or_not
@pytest.mark.parametrize("face", [0.5, -0.5])
def test_a_face_that_was_touched_elsewhere_than_the_stock_was_told(face: float, planned: bool) -> None:
    """The edge touched metal at this Z and it was said: that is where the face is, whatever front_mm was left at."""
    turner = Turner(415)
    sets_up(turner)
    touches_off(turner, face=face)
    if planned:
        plans(turner, "facing", R, 0.0, face - 0.5)
    faces(turner, face - 0.3, was=face)
    faces(turner, face - 0.5, was=face - 0.3)
    told_rightly(turner, SLOW)


@planned_or_not
@pytest.mark.parametrize("radius", [12.15, 12.6])
def test_a_bar_that_was_touched_larger_than_it_was_told(radius: float, planned: bool) -> None:
    """A chip of 0.65 or 1.1 mm, not of 0.5."""
    turner = Turner(415)
    sets_up(turner)
    touches_off(turner, radius=radius)
    if planned:
        plans(turner, "turning", 0.0, -10.0, 11.0)
    turns(turner, 11.5, was=radius, to=-10.0)
    turns(turner, 11.0, was=11.5, to=-10.0)
    told_rightly(turner, SLOW)


@pytest.mark.parametrize("bench", [SLOW, SWITCHED, PLAIN], ids=lambda bench: bench.name)
@pytest.mark.parametrize("back", ["clear", "shoulder"])
def test_drawing_the_tool_out_at_the_end_raises_no_alarm(bench: Bench, back: str) -> None:
    for seed in range(500, 504):
        turner = Turner(seed)
        sets_up(turner)
        touches_off(turner)
        plans(turner, "turning", 0.0, -9.0, 9.0)
        for number in range(1, 7):
            turns(turner, R - 0.4 * number, was=None, to=-9.02 + 0.02 * number, back=back)
        assert alarms(replayed(turner, bench)) == [], seed


@planned_or_not
@pytest.mark.parametrize("bench", [SLOW, PLAIN], ids=lambda bench: bench.name)
def test_a_bored_part_faced_from_the_bore_outwards(bench: Bench, planned: bool) -> None:
    turner = Turner(308)
    sets_up(turner, bore=10.0)
    touches_off(turner)
    if planned:
        plans(turner, "facing", 5.0, R, -0.6)
    for at, was in ((-0.3, 0.0), (-0.6, -0.3)):
        turner.winds(carriage=2.0)
        turner.winds(cross=4.0)
        turner.sets(carriage=at)
        with turner.cutting("facing", 5.0, was=was, leaves=R):
            turner.feeds(2.0, cross=R + 0.9)
        turner.winds(carriage=2.0)
    told_rightly(turner, bench)


@planned_or_not
@at_two_benches
def test_a_stepped_part_is_faced_step_by_step(bench: Bench, planned: bool) -> None:
    turner = Turner(305)
    sets_up(turner)
    touches_off(turner)
    if planned:
        plans(turner, "turning", 0.0, -5.0, 8.0, depth_mm=2.0)
    turns(turner, 10.0, was=R, to=-5.0)
    turns(turner, 8.0, was=10.0, to=-5.0)
    for start, end, was in ((R, 8.0, -5.0), (8.0, 0.0, 0.0)):
        if planned:
            plans(turner, "facing", start, end, was - 0.3)
        turner.winds(cross=start + 1.5)
        turner.sets(carriage=was - 0.3)
        with turner.cutting("facing", start, was=was):
            turner.feeds(1.5, cross=end)
        turner.winds(3.0, carriage=was + 1.5)
        turner.winds(cross=OUT)
    told_rightly(turner, bench)


@planned_or_not
def test_going_out_along_the_diameter_after_facing_down_to_it_is_no_spring_pass(planned: bool) -> None:
    """A right-hand tool goes back along the line at 12 mm/s, away from the headstock; it has nothing to cut there."""
    turner = Turner(303)
    sets_up(turner)
    touches_off(turner)
    turns(turner, 10.0, was=R, to=-9.8)
    turns(turner, 9.0, was=10.0, to=-9.8)
    if planned:
        plans(turner, "facing", R, 9.0, -10.0)
    turner.winds(cross=OUT - 0.5)
    turner.sets(carriage=-10.0)
    with turner.cutting("facing", R, was=-9.8):
        turner.feeds(1.5, cross=9.0)
    turner.winds(3.0, carriage=-8.0)
    turner.winds(carriage=2.0)
    told_rightly(turner, SLOW)
