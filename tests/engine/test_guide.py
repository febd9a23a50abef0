"""The line that says what to do next, followed through facing, turning and measuring made by real readings."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import islice
from typing import get_args

import pytest

from engine.lathe import FACING, STOCK, TURNING, Lathe, configured, hello, link, restored
from waytell.documents.acts import Operation
from waytell.documents.guide import Guide, GuideState
from waytell.engine.guide import FIRM, RULES
from waytell.engine.guide_situation import NextStep
from waytell.engine.live_state import Outside, build
from waytell_bridge.reading import LinkCondition, SpindlePulse

SEEN: set[str] = set()
"""Every state that a test of this file came to."""
MICROMETER = {"operation": "turn the seat", "axis": "X", "u_mm": 0.002, "low_mm": 10.98, "high_mm": 11.0}


def said(lathe: Lathe, planned: NextStep | None = None) -> Guide:
    found = build(lathe.engine, Outside("lathe", 1, None, None, planned=planned)).guide
    SEEN.add(found.state)
    assert found.why, "always says what it goes by"
    return found


def move(lathe: Lathe) -> str:
    return said(lathe).move


def at(lathe: Lathe) -> str:
    return said(lathe).state


def yes(lathe: Lathe, planned: NextStep | None = None) -> None:
    """Press the guide's own key."""
    reply = said(lathe, planned).yes
    assert reply is not None
    assert reply.act is not None, f"{reply.words} opens {reply.opens}"
    lathe.act(reply.act["act"], **{key: value for key, value in reply.act.items() if key != "act"})


def no(lathe: Lathe) -> None:
    found = said(lathe)
    assert found.no is not None
    lathe.act("answer", to=found.state, yes=False)


def face_to(lathe: Lathe, z: float, end: float = 0.0) -> None:
    """A facing pass at a depth, clamped, and wound clear."""
    lathe.to(z=z, speed=5)
    lathe.rest(0.3)
    lathe.act("clamp", axis="Z", held=True)
    lathe.to(x=end, speed=4)
    lathe.to(x=12.5, speed=20)
    lathe.act("clamp", axis="Z", held=False)


def turn_to(lathe: Lathe, x: float, end: float = -8.0) -> None:
    lathe.to(x=x, speed=5)
    lathe.rest(0.3)
    lathe.to(z=end, speed=4)
    lathe.rest(0.5)
    lathe.to(x=x + 0.5, speed=5)
    lathe.to(z=1.0, speed=20)
    lathe.to(x=x, speed=5)


def test_the_whole_way_from_no_board_to_choosing() -> None:
    lathe = Lathe(configured(scales=[]), greet=False)
    assert move(lathe) == "Stop winding and look at the counter board."
    lathe.feed(link(), hello())
    lathe.report((0, 0))
    assert "which scale is on which slide" in move(lathe)
    lathe = Lathe()
    assert move(lathe) == "Put the work in the chuck and describe it under Set up."
    lathe.act("new_set_up", stock=STOCK)
    assert move(lathe) == "Before the spindle starts: key out, guard down, eyes covered, nothing loose."
    assert "a qualified person come first" in said(lathe).why
    lathe.act("answer", to="cautions", yes=True)
    assert move(lathe) == "Turn the chuck by hand once round, then run it slowly."
    yes(lathe)
    assert "Touch the bar" in move(lathe)
    lathe.touch("X", 20.0)
    assert "Touch the end face" in move(lathe)
    lathe.touch("Z", 10.0)
    assert move(lathe) == "Choose what to turn next."


def test_without_a_bar_that_is_described_the_tool_can_be_touched_off_all_the_same() -> None:
    lathe = Lathe()
    no(lathe)
    assert "Touch the bar" in move(lathe)


def test_who_touched_off_has_seen_to_the_cautions_and_other_work_asks_again() -> None:
    lathe = Lathe()
    lathe.act("new_set_up", stock=STOCK)
    assert at(lathe) == "cautions"
    lathe.touch_both()
    assert at(lathe) == "choose"
    lathe.act("new_set_up", stock=STOCK)
    assert at(lathe) == "cautions"
    lathe.act("answer", to="cautions", yes=True)
    assert at(lathe) == "slow_spin"
    lathe.feed(hello(pulses_per_rev=1), SpindlePulse(lathe.t_s, 0.5))
    assert at(lathe) == "touch_z", "the tach says that the spindle turns"


def test_facing_pass_by_pass() -> None:
    lathe = Lathe()
    lathe.set_up_work(FACING | {"target_mm": -0.6})
    lathe.to(x=12.0, speed=30)
    assert move(lathe) == "Wind the carriage in by 10.30 mm."
    assert said(lathe).why == "This pass is to take 0.30 mm; 2 passes left to the size."
    lathe.to(z=-0.3, speed=30)
    lathe.rest(0.3)
    assert move(lathe) == "Clamp the carriage, press Clamped, then feed the cross-slide in."
    yes(lathe)
    assert move(lathe) == "Feed the cross-slide across to the centre: 24.00 mm on the diameter to go."
    lathe.to(x=5.0)
    assert move(lathe) == "Feed on: 10.00 mm on the diameter to the centre."
    lathe.to(x=0.0)
    assert move(lathe) == "Stop here and wind the tool clear."
    lathe.to(x=-0.2)
    assert move(lathe) == "Stop: past the end by 0.40 mm on the diameter."
    assert (at(lathe), said(lathe).no) == ("past_end", None)
    lathe.to(x=1.0, speed=20)
    assert move(lathe) == "Wind the tool clear: the cross-slide back by 22.00 mm on the diameter, outside the bar."
    lathe.to(x=12.5, speed=20)
    assert at(lathe) == "face_clean"
    no(lathe)
    assert move(lathe) == "Wind the carriage in by 0.30 mm."
    lathe.to(z=-0.5, speed=1)
    assert (move(lathe), said(lathe).why) == (
        "Wind the carriage in by 0.10 mm.",
        "This pass is to take 0.30 mm; 1 pass left to the size.",
    )
    lathe.to(z=-0.7, speed=1)
    assert "0.10 mm deeper than planned" in move(lathe)
    assert "past the finished size" in said(lathe).why
    face_to(lathe, -0.6)
    assert at(lathe) == "face_clean"
    no(lathe)
    assert at(lathe) == "not_clean"


def test_a_clean_face_becomes_the_reference_and_ends_its_operation() -> None:
    lathe = Lathe()
    lathe.set_up_work(FACING | {"target_mm": -0.9})
    lathe.to(x=12.5, speed=30)
    face_to(lathe, -0.3)
    assert move(lathe) == "Stop the spindle and look: is the face clean all over?"
    yes(lathe)
    assert at(lathe) == "new_face"
    yes(lathe)
    assert lathe.position("Z") == pytest.approx(0.0, abs=0.003)
    assert at(lathe) == "next_step", "no more of it need come off"


def test_a_clean_face_may_be_taken_on_to_the_planned_depth() -> None:
    lathe = Lathe()
    lathe.set_up_work(FACING | {"target_mm": -0.6})
    lathe.to(x=12.5, speed=30)
    face_to(lathe, -0.3)
    yes(lathe)
    no(lathe)
    assert move(lathe) == "Wind the carriage in by 0.30 mm."
    assert lathe.position("Z") == pytest.approx(-0.3, abs=0.003)


def test_a_free_skim_needs_no_clamp() -> None:
    lathe = Lathe()
    lathe.set_up_work(FACING, free_first_pass=True)
    lathe.to(x=12.5, speed=30)
    lathe.to(z=-0.3, speed=30)
    assert move(lathe).startswith("Feed the cross-slide across to the centre")
    assert (at(lathe), "free skim" in said(lathe).why) == ("skim", True)


def test_turning_goes_to_the_shoulder_and_says_depths_as_the_display_does() -> None:
    lathe = Lathe()
    lathe.set_up_work(TURNING)
    lathe.to(x=12.0, z=2.0, speed=30)
    assert move(lathe) == "Wind the cross-slide in by 1.00 mm on the diameter."
    lathe.act("choose_units", units={"length": "inch", "x_as": "radius"})
    assert move(lathe) == "Wind the cross-slide in by 0.0197 in."
    lathe.to(x=11.5, speed=5)
    assert move(lathe) == "Feed the carriage along to the shoulder: 0.3937 in to go."
    assert at(lathe) == "feed"


@pytest.fixture
def turned() -> Lathe:
    """A seat at its size by the readout, the tool clear."""
    lathe = Lathe()
    lathe.set_up_work(TURNING, tolerance_mm=0.02)
    lathe.to(x=12.5, z=1.0, speed=30)
    turn_to(lathe, 11.5)
    turn_to(lathe, 11.0)
    return lathe


def test_a_size_is_measured_and_the_next_operation_chosen(turned: Lathe) -> None:
    assert move(turned) == "Measure it and enter the size: diameter 22.000 mm, give or take 0.02 mm on the diameter."
    reply = said(turned).yes
    assert reply is not None
    assert reply.opens == "part"
    turned.act("measured", at_mm=10.99, **MICROMETER)
    assert at(turned) == "next_step"


def test_a_spindle_that_turns_is_stopped_before_it_is_measured(turned: Lathe) -> None:
    assert at(turned) == "enter_size"
    turned.feed(SpindlePulse(turned.t_s, 0.1))
    assert move(turned).startswith("Stop the spindle and measure")
    turned.feed(hello(pulses_per_rev=0))
    assert at(turned) == "measure", "without a tach it may turn"


def test_metal_that_the_micrometer_finds_is_taken_off(turned: Lathe) -> None:
    turned.act("measured", at_mm=11.04, **MICROMETER)
    assert move(turned) == "Metal is left, 0.040 mm a side: set the readout right by this size, then take it off."
    yes(turned)
    assert turned.position("X") == pytest.approx(11.04, abs=0.003)
    assert move(turned) == "Wind the cross-slide in by 0.08 mm on the diameter."
    # The slide is where it was: by the readout that was set right, 0.04 mm further in is the size.
    turn_to(turned, 10.96)
    assert at(turned) == "enter_size", "another pass, another size"


def test_a_size_past_its_limit_is_told_and_can_be_passed_over(turned: Lathe) -> None:
    turned.act("measured", at_mm=10.95, **MICROMETER)
    assert move(turned) == "Stop with this surface: 0.030 mm too much is off a side."
    no(turned)
    assert at(turned) == "next_step"


def test_a_bore_with_metal_left_is_too_small() -> None:
    lathe = Lathe()
    lathe.act("new_set_up", stock=STOCK | {"bore_mm": 12.0})
    lathe.touch_both()
    lathe.act(
        "choose_operation",
        operation={
            "name": "bore",
            "kind": "boring",
            "start_mm": 0.0,
            "end_mm": -8.0,
            "target_mm": 6.5,
            "depth_mm": 0.5,
        },
    )
    lathe.to(x=6.0, z=1.0, speed=30)
    assert move(lathe) == "Wind the cross-slide out by 1.00 mm on the diameter."
    lathe.to(x=6.5, speed=5)
    lathe.rest(0.3)
    lathe.to(z=-8.0, speed=4)
    lathe.rest(0.5)
    lathe.to(x=6.2, speed=5)
    lathe.to(z=1.0, speed=20)
    lathe.to(x=6.5, speed=5)
    assert at(lathe) == "enter_size"
    lathe.act("measured", operation="bore", axis="X", at_mm=6.45, u_mm=0.002, low_mm=6.49, high_mm=6.51)
    assert move(lathe).startswith("Metal is left, 0.040 mm a side")


def test_the_plan_leads_from_step_to_step_and_part_to_part(turned: Lathe) -> None:
    collar = Operation.model_validate(TURNING | {"name": "turn the collar", "target_mm": 10.0})
    turned.act("measured", at_mm=10.99, **MICROMETER)
    assert at(turned) == "next_step"
    round_it = NextStep(collar, 2, "spacer (invented)")
    assert said(turned, round_it).state == "turn_round"
    assert said(turned, round_it).move == "Turn the work round, then begin set-up 2."
    assert said(turned, NextStep(collar, 1, "spacer (invented)")).move == "Next by the plan: turn the collar."
    all_done = NextStep(None, 0, "spacer (invented)")
    assert said(turned, all_done).state == "part_done"
    yes(turned, all_done)
    assert at(turned) == "next_part"
    yes(turned)
    assert (at(turned), turned.state().work.part) == ("cautions", 2)
    turned.touch("Z", 0.0)
    yes(turned, NextStep(collar, 1, "spacer (invented)"))
    assert turned.state().operation == collar


@pytest.mark.parametrize(
    ("cause", "says"),
    [
        (lambda lathe: lathe.feed(link(LinkCondition.LOST, lathe.t_s)), "look at the counter board"),
        (lambda lathe: lathe.feed(hello("B2", lathe.t_s, kept=True)), "confirm them or touch off again"),
        (lambda lathe: lathe.to(x=lathe.x_mm - 9, speed=900), "Touch off X again"),
    ],
)
def test_trouble_comes_first_and_is_not_passed_over(cause: Callable[[Lathe], None], says: str) -> None:
    lathe = Lathe()
    lathe.set_up_work(TURNING)
    cause(lathe)
    lathe.step()
    assert says in move(lathe)
    assert said(lathe).no is None
    lathe.act("answer", to=at(lathe), yes=False)
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
    assert "moved 0.100 mm" in said(lathe).why
    yes(lathe)
    assert at(lathe) != "hold"


# -- what the person does instead --------------------------------------------------------------------------------------


def half_finished() -> Iterator[tuple[str, Lathe]]:
    """A bush left at every stage of the work, and what the guide says there."""
    lathe = Lathe()
    lathe.set_up_work(TURNING, tolerance_mm=0.02)
    lathe.to(x=12.5, z=1.0, speed=30)
    yield "advance", lathe
    lathe.to(x=11.5, speed=5)
    yield "feed", lathe
    lathe.rest(0.3)
    lathe.to(z=-8.0, speed=4)
    lathe.rest(0.5)
    lathe.to(x=12.5, speed=5)
    lathe.to(z=1.0, speed=20)
    yield "advance", lathe
    turn_to(lathe, 11.0)
    yield "enter_size", lathe


@pytest.mark.parametrize("stage", range(4))
def test_a_half_finished_bush_is_taken_up_from_positions_alone(stage: int) -> None:
    state, lathe = next(islice(half_finished(), stage, None))
    before = said(lathe)
    assert before.state == state
    lathe.engine = restored(lathe.engine.history)
    lathe.feed(link(t_s=lathe.t_s), hello(t_s=lathe.t_s))
    lathe.report()
    assert said(lathe) == before, "after a start of the program in between"


def test_a_wrong_touch_off_comes_out_when_it_is_measured_and_is_set_right() -> None:
    lathe = Lathe()
    lathe.set_up_work(TURNING)
    lathe.to(x=12.5, z=1.0, speed=30)
    turn_to(lathe, 11.5)
    before = said(lathe)
    lathe.touch("X", 11.0)
    assert at(lathe) == "enter_size", "by that touch the work is at its size"
    lathe.act("undo")
    assert said(lathe) == before
    lathe.touch("X", 11.0)
    lathe.act("measured", at_mm=11.5, **MICROMETER)
    assert at(lathe) == "correct"
    yes(lathe)
    assert said(lathe) == before


def test_what_is_passed_over_comes_back_with_the_next_pass(turned: Lathe) -> None:
    no(turned)
    assert at(turned) == "next_step"
    no(turned)
    assert at(turned) not in ("enter_size", "measure", "next_step")
    turned.act("undo")
    assert at(turned) == "next_step", "an answer can be taken back"
    turned.act("undo")
    assert at(turned) == "enter_size"
    no(turned)
    turn_to(turned, 11.0)
    assert at(turned) == "enter_size"


def test_nothing_that_is_said_keeps_anything_from_being_done() -> None:
    """Straight from the chuck to a cut, whatever the guide asks for: the pass is found, and the guide follows."""
    lathe = Lathe()
    lathe.set_up_work(FACING)
    assert at(lathe) == "advance"
    lathe.to(x=12.5, speed=30)
    lathe.to(z=-0.2, speed=30)
    lathe.rest(0.3)
    lathe.to(x=0.0, speed=4)
    lathe.to(x=12.5, speed=20)
    assert len(lathe.passes) == 1
    assert at(lathe) == "face_clean"


def test_it_says_that_nothing_is_known_to_be_next() -> None:
    lathe = Lathe()
    for _ in range(4):
        no(lathe)
    assert (at(lathe), move(lathe)) == ("free", "Wind as you need: the figures follow.")


def test_every_state_was_reached() -> None:
    """By the tests above, so it stands last; each state has its rule, and no rule has none."""
    assert set(RULES) | {"free"} == set(get_args(GuideState))
    assert set(RULES) >= FIRM
    assert set(get_args(GuideState)) - SEEN == set()
