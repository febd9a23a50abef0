"""What was lost since a datum stays lost: through undo, another axis touched, or a touch on a pass cut before."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from engine.lathe import STOCK, TURNING, Lathe, configured, hello, link, restored
from waytell.engine.happening import ActRefused
from waytell_bridge.reading import MissedEdges, Reading


def after_a_pass() -> Lathe:
    """One turned pass, the tool clear of the work and still."""
    lathe = Lathe()
    lathe.set_up_work(TURNING)
    lathe.to(x=13.0, z=1.5, speed=20)
    lathe.to(x=11.5)
    lathe.to(z=-8.0)
    lathe.to(x=13.0)
    lathe.to(z=1.5, speed=8)
    lathe.rest(0.2)
    assert len(lathe.passes) == 1
    return lathe


def jump(lathe: Lathe) -> None:
    lathe.x_mm += 9.0
    lathe.step()
    lathe.rest(1.0)


def restart(lathe: Lathe) -> None:
    lathe.x_mm += 100.0
    lathe.feed(hello("B2", lathe.t_s, kept=True))
    lathe.rest(0.5)


def miss_edges(lathe: Lathe) -> None:
    lathe.flags = 1
    lathe.feed(MissedEdges(lathe.t_s, 0, 7))
    lathe.rest(0.5)


LOSSES = pytest.mark.parametrize(
    ("lose", "code"), [(jump, "jump"), (restart, "board_restarted"), (miss_edges, "missed_edges")]
)


@LOSSES
@pytest.mark.parametrize("act", ["touch_off", "confirm_positions"])
def test_undoing_what_cleared_a_doubt_brings_it_back(lose: Callable[[Lathe], None], code: str, act: str) -> None:
    lathe = after_a_pass()
    lose(lathe)
    assert lathe.reasons("X") == (code,)
    if act == "touch_off":
        lathe.touch("X", 11.5)
    else:
        lathe.act("confirm_positions")
    assert lathe.reasons("X") == ()
    lathe.act("undo")
    assert lathe.reasons("X") == (code,)


@LOSSES
def test_a_pass_cut_before_counts_were_lost_is_no_datum_after(lose: Callable[[Lathe], None], code: str) -> None:
    lathe = after_a_pass()
    lose(lathe)
    with pytest.raises(ActRefused, match="may have lost count since the last pass") as refused:
        lathe.touch("X", 11.5, how="measured", where="last_pass")
    assert refused.value.do == "Touch off where the tool stands instead."
    assert lathe.reasons("X") == (code,)


def test_nor_is_it_once_another_touch_has_made_the_axis_good_again() -> None:
    lathe = after_a_pass()
    jump(lathe)
    lathe.touch("X", 13.0)
    assert lathe.reasons("X") == ()
    with pytest.raises(ActRefused, match="may have lost count"):
        lathe.touch("X", 11.5, how="measured", where="last_pass")


def test_a_pass_in_which_counts_were_lost_is_no_datum() -> None:
    lathe = Lathe()
    lathe.set_up_work(TURNING)
    lathe.to(x=11.5, z=1.5, speed=20)
    lathe.to(z=-5.0)
    lathe.feed(MissedEdges(lathe.t_s, 0, 3))
    lathe.to(z=-8.0)
    lathe.to(x=13.0)
    with pytest.raises(ActRefused, match="may have lost count"):
        lathe.touch("X", 11.5, how="measured", where="last_pass")


def test_touching_one_axis_does_not_clear_the_other_of_a_scale_that_both_share() -> None:
    scales = [
        {"channel": channel, "slide": slide, "resolution_um": 5.0}
        for channel, slide in enumerate(("cross", "carriage", "compound"))
    ]
    lathe = Lathe(configured(scales=scales, compound={"angle_deg": 30.0}), greet=False)
    counts = (4000, 2000, 0)
    for said in range(400):
        lathe.t_s += 0.004
        if said == 0:
            lathe.feed(link(t_s=lathe.t_s), hello(t_s=lathe.t_s, scales=3))
        lathe.report(counts)
        if said == 10:
            lathe.act("new_set_up", stock=STOCK)
            lathe.touch("X", 20.0)
            lathe.touch("Z", 10.0)
        if said == 20:
            counts = (4000, 2000, 5000)
    assert (lathe.reasons("X"), lathe.reasons("Z")) == (("jump",), ("jump",))
    lathe.touch("Z", 5.0)
    assert (lathe.reasons("X"), lathe.reasons("Z")) == (("jump",), ())


def test_a_glitch_after_a_jump_does_not_forgive_the_jump() -> None:
    lathe = after_a_pass()
    jump(lathe)
    lathe.touch("X", 13.0)
    for out in (9.0, -9.0):
        lathe.x_mm += out
        lathe.step()
    lathe.rest(0.1)
    assert lathe.reasons("X") == ()
    lathe.act("undo")
    assert lathe.reasons("X") == ("jump",)


def test_coming_back_after_touching_off_at_the_far_end_of_a_jump_is_another_jump() -> None:
    lathe = after_a_pass()
    lathe.x_mm += 9.0
    lathe.step()
    lathe.touch("X", 13.0)
    assert lathe.reasons("X") == ()
    lathe.x_mm -= 9.0
    lathe.step()
    assert lathe.reasons("X") == ("jump",)


def test_a_jump_is_not_forgotten_when_the_program_starts_again() -> None:
    lathe = after_a_pass()
    jump(lathe)
    told = [one for one in lathe.events if "stepped" in one.body]
    assert len(told) == 1, "once, however long it stands"
    again = restored(lathe.engine.history)
    for event in (link(t_s=lathe.t_s), hello(t_s=lathe.t_s), Reading(lathe.t_s, lathe.t_s, lathe.counted(), 0)):
        again.feed(event)
    assert again.reasons("X") == ("jump",)
    assert again.reasons("Z") == ()


def test_a_glitch_that_came_back_leaves_no_trace_in_the_history() -> None:
    lathe = after_a_pass()
    lathe.x_mm += 9.0
    lathe.step()
    lathe.x_mm -= 9.0
    lathe.rest(2.0)
    assert [one for one in lathe.events if "stepped" in one.body] == []


def test_a_second_jump_after_touching_off_is_told_again() -> None:
    lathe = after_a_pass()
    jump(lathe)
    lathe.touch("X", 11.5)
    jump(lathe)
    assert len([one for one in lathe.events if "stepped" in one.body]) == 2
