"""Where the stock is not described, the operation alone tells a pass from winding up to the work."""

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
