"""The line that says what to do next, followed through a facing operation made by real readings."""

from __future__ import annotations

import pytest

from engine.lathe import FACING, STOCK, TURNING, Lathe, configured, hello, link
from waytell_bridge.reading import LinkCondition


def move(lathe: Lathe) -> str:
    return lathe.state().guide.move


def test_the_whole_way_from_no_board_to_size() -> None:
    lathe = Lathe(configured(scales=[]), greet=False)
    assert move(lathe) == "Stop winding and look at the counter board."
    lathe.feed(link(), hello())
    lathe.report((0, 0))
    assert "which scale is on which slide" in move(lathe)
    lathe = Lathe()
    assert "Touch the bar" in move(lathe)
    lathe.touch("X", 20.0)
    assert "Touch the end face" in move(lathe)
    lathe.touch("Z", 10.0)
    assert "describe it under Set up" in move(lathe)
    lathe.act("new_set_up", stock=STOCK)
    assert "Touch the end face" in move(lathe), "a new set-up voids Z"
    lathe.touch("Z", 10.0)
    assert move(lathe) == "Choose what to turn next."


def test_facing_pass_by_pass() -> None:
    lathe = Lathe()
    lathe.set_up_work(FACING | {"target_mm": -0.6})
    lathe.to(x=12.0, speed=30)
    assert move(lathe) == "Wind the carriage in by 10.30 mm."
    lathe.to(z=-0.3, speed=30)
    lathe.rest(0.3)
    assert move(lathe) == "Clamp the carriage, press Clamped, then feed the cross-slide in."
    lathe.act("clamp", axis="Z", held=True)
    assert move(lathe) == "Feed the cross-slide across to the centre: 24.00 mm on the diameter to go."
    lathe.to(x=5.0)
    assert move(lathe) == "Feed on: 10.00 mm on the diameter to the centre."
    lathe.to(x=0.0)
    assert move(lathe) == "Stop here and wind the tool clear."
    lathe.to(x=-0.2)
    assert move(lathe) == "Stop: past the end by 0.40 mm on the diameter."
    lathe.to(x=1.0, speed=20)
    assert move(lathe) == "Wind the tool clear: the cross-slide back by 22.00 mm on the diameter, outside the bar."
    lathe.to(x=12.5, speed=20)
    assert move(lathe) == "Wind the carriage in by 0.30 mm."
    lathe.to(z=-0.7, speed=1)
    assert "0.10 mm deeper than planned" in move(lathe)
    lathe.to(z=-0.6, speed=1)
    lathe.rest(0.3)
    lathe.to(x=0.0)
    lathe.to(x=12.5, speed=20)
    assert move(lathe) == "Wind clear, stop the spindle and measure; then choose the next operation."


def test_a_free_skim_needs_no_clamp() -> None:
    lathe = Lathe()
    lathe.set_up_work(FACING, free_first_pass=True)
    lathe.to(x=12.5, speed=30)
    lathe.to(z=-0.3, speed=30)
    assert move(lathe).startswith("Feed the cross-slide across to the centre")
    assert "free skim" in lathe.state().guide.why


def test_turning_goes_to_the_shoulder_and_says_depths_as_the_display_does() -> None:
    lathe = Lathe()
    lathe.set_up_work(TURNING)
    lathe.to(x=12.0, z=2.0, speed=30)
    assert move(lathe) == "Wind the cross-slide in by 1.00 mm on the diameter."
    lathe.act("choose_units", units={"length": "inch", "x_as": "radius"})
    assert move(lathe) == "Wind the cross-slide in by 0.0197 in."
    lathe.to(x=11.5, speed=5)
    assert move(lathe) == "Feed the carriage along to the shoulder: 0.3937 in to go."


@pytest.mark.parametrize(
    ("cause", "says"),
    [
        (lambda lathe: lathe.feed(link(LinkCondition.LOST, lathe.t_s)), "look at the counter board"),
        (lambda lathe: lathe.feed(hello("B2", lathe.t_s, kept=True)), "confirm them or touch off again"),
        (lambda lathe: lathe.to(x=lathe.x_mm - 9, speed=900), "Touch off X again"),
    ],
)
def test_trouble_comes_first(cause: object, says: str) -> None:
    lathe = Lathe()
    lathe.set_up_work(TURNING)
    assert callable(cause)
    cause(lathe)
    lathe.step()
    assert says in move(lathe)


def test_a_slide_that_moved_too_far_stops_the_feed() -> None:
    lathe = Lathe()
    lathe.set_up_work(FACING)
    lathe.to(x=13.0, speed=20)
    lathe.to(z=-0.3, speed=20)
    lathe.rest(0.5)
    lathe.act("clamp", axis="Z", held=True)
    lathe.to(x=6.0, sway=lambda share: 0.1 if share > 0.5 else 0.0)
    assert move(lathe) == "Stop the feed and clamp the carriage again."
    assert "moved 0.100 mm" in lathe.state().guide.why
