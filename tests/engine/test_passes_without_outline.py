"""Where the stock is not described, the operation alone tells a pass from winding up to the work; rests in the work."""

from __future__ import annotations

import pytest

from engine.lathe import TURNING, Lathe


def without_stock() -> Lathe:
    lathe = Lathe()
    lathe.touch_both()
    lathe.act("choose_operation", operation=TURNING)
    return lathe


def test_winding_up_to_the_work_is_no_pass() -> None:
    lathe = without_stock()
    lathe.to(z=1.0, speed=3.0)
    lathe.to(x=11.5, speed=3.0)
    lathe.rest(2.5)
    assert lathe.passes == []


def test_a_pass_begins_where_the_operation_does_and_its_depth_is_known_from_the_second_on() -> None:
    lathe = without_stock()
    for x in (11.5, 11.0):
        lathe.to(x=x, speed=3.0)
        lathe.to(z=-8.0)
        lathe.to(x=14.0, speed=5.0)
        lathe.to(z=2.0, speed=20.0)
    assert [one.start_mm for one in lathe.passes] == pytest.approx([0.0, 0.0])
    assert [one.end_mm for one in lathe.passes] == pytest.approx([-8.0, -8.0])
    assert lathe.passes[0].depth_mm is None
    assert lathe.passes[1].depth_mm == pytest.approx(0.5)


def test_winding_up_to_the_work_raises_no_alarm_of_the_other_slide() -> None:
    lathe = without_stock()
    lathe.to(z=2.0, speed=3.0)
    lathe.to(x=11.5, speed=3.0)
    lathe.rest(0.2)
    lathe.to(z=-8.0)
    assert lathe.words("hold") == []


def test_a_rest_in_the_work_to_look_splits_no_pass_and_the_overrun_is_still_told() -> None:
    lathe = Lathe()
    lathe.set_up_work(TURNING)
    lathe.to(x=11.5, z=2.0, speed=20)
    lathe.rest(0.3)
    lathe.to(z=-7.9, speed=1.0)
    lathe.rest(10.0)
    lathe.to(z=-8.2, speed=0.3)
    state = lathe.state()
    assert state.overrun.state == "past"
    assert any(alarm.code == "overrun_past" for alarm in state.alarms)
    lathe.to(x=14.0, speed=5)
    assert [one.end_mm for one in lathe.passes] == pytest.approx([-8.2])
    assert lathe.passes[0].overrun_mm == pytest.approx(0.2)
    assert lathe.passes[0].feed_mm_min == pytest.approx(57, abs=4), "the rest is no slow feed"


def test_without_an_operation_a_pass_is_judged_by_its_depth() -> None:
    lathe = Lathe()
    lathe.set_up_work()
    for x in (11.5, 11.0, 11.0):
        lathe.to(x=14.0, speed=10)
        lathe.to(z=2.0, speed=20)
        lathe.to(x=x, speed=5)
        lathe.rest(0.3)
        lathe.to(z=-8.0)
    lathe.to(x=14.0, speed=10)
    lathe.to(z=2.0, speed=20)
    assert [one.role for one in lathe.passes] == ["roughing", "roughing", "spring"]
