"""The slide that should stand: what is alarmed, what is only reported, what is no fault at all."""

from __future__ import annotations

import random
from collections.abc import Callable

import pytest

from engine.lathe import FACING, TURNING, Lathe, configured, hello, link
from waytell.engine.hold_watch import HoldWatch, Limits, limits_mm
from waytell_bridge.reading import SwitchInputs

COUNT_MM = 0.005


def at_the_face(z: float = -0.3, **more: object) -> Lathe:
    """The tool outside the bar, the depth set, ready to feed across."""
    lathe = Lathe()
    lathe.set_up_work(FACING, **more)
    lathe.to(x=13.0, speed=20)
    lathe.to(z=z, speed=20)
    lathe.rest(0.5)
    return lathe


def ramp(at: float, by_mm: float, over: float = 0.02) -> Callable[[float], float]:
    """A displacement that sets in at a share of the way and stays."""
    return lambda share: by_mm * min(1.0, max(0.0, (share - at) / over))


@pytest.mark.parametrize(
    ("count_mm", "noise_mm", "expected"),
    [
        (0.001, 0.0, Limits(0.01, 0.02)),
        (0.005, 0.0, Limits(0.015, 0.02)),
        (0.010, 0.0, Limits(0.03, 0.04)),
        (0.001, 0.004, Limits(0.016, 0.02)),
        (0.001, 0.01, Limits(0.04, 0.041)),
    ],
)
def test_limits_are_never_below_three_counts_nor_four_times_the_noise(
    count_mm: float, noise_mm: float, expected: Limits
) -> None:
    assert limits_mm(0.01, 0.02, count_mm, noise_mm) == pytest.approx(expected)


def watching(rate_hz: int) -> HoldWatch:
    """In the middle of a pass whose held slide stood at 1 mm."""
    watch = HoldWatch("Z", Limits(0.015, 0.02))
    for n in range(-2 * rate_hz, 0):
        watch.step(n / rate_hz, 1.0, 0.0, judged=False)
    watch.begin(watched_only=False)
    return watch


@pytest.mark.parametrize("by_mm", [0.1, -0.1])
@pytest.mark.parametrize(("rate_hz", "reports"), [(20, 2), (128, 2), (512, 6), (1024, 11)])
def test_the_median_is_of_three_reports_or_of_20_ms_whichever_is_more(rate_hz: int, reports: int, by_mm: float) -> None:
    # More than half of 3 reports, of the 3 and 11 that 20 ms hold, of 21: so many tell the slip, one fewer does not.
    watch = watching(rate_hz)
    told = [watch.step(n / rate_hz, 1.0 + by_mm, 0.0, judged=True) for n in range(reports)]
    assert told == [False] * (reports - 1) + [True]
    assert watch.state == "limit"


def test_nothing_went_before_anything_is_known_nor_after_the_end() -> None:
    fresh = HoldWatch("Z", Limits(0.015, 0.02))
    assert (fresh.deviation_mm, fresh.worst_mm, fresh.went(5.0)) == (0.0, 0.0, 0.0)
    fresh.begin(watched_only=False)
    assert not fresh.step(0.0, 5.0, 0.0, judged=True), "begun before anything was known"
    watch = watching(20)
    for n in range(3):
        watch.step(n / 20, 1.1, 0.0, judged=True)
    assert watch.went(1.1) == pytest.approx(0.1)
    watch.end()
    assert watch.deviation_mm == 0.0
    assert watch.worst_mm == pytest.approx(0.1)


def stands(watch: HoldWatch, held_mm: float) -> None:
    for n in range(3):
        watch.step(n / 20, held_mm, 0.0, judged=False)


@pytest.mark.parametrize(
    ("clamped", "at_begin_mm", "went_mm"), [(True, 1.01, 0.01), (True, 1.02, 0.0), (False, 1.01, 0.0)]
)
def test_a_clamped_slide_should_stand_where_it_was_clamped_unless_it_was_set_anew(
    clamped: bool, at_begin_mm: float, went_mm: float
) -> None:
    watch = HoldWatch("Z", Limits(0.015, 0.02))
    stands(watch, 1.0)
    watch.clamp("person" if clamped else None)
    watch.begin(watched_only=False)
    watch.end()
    stands(watch, at_begin_mm)
    watch.begin(watched_only=False)
    assert watch.went(at_begin_mm) == pytest.approx(went_mm)


def test_from_the_clamping_on_it_is_told_how_far_it_went() -> None:
    watch = HoldWatch("Z", Limits(0.015, 0.02))
    stands(watch, 1.0)
    watch.clamp("switch")
    assert watch.went(1.3) == pytest.approx(0.3)
    assert watch.state == "held"
    watch.clamp(None)
    assert (watch.went(1.3), watch.state) == (0.0, "free")
    watch.begin(watched_only=False)
    assert watch.state == "held", "the pass is what holds it"


@pytest.mark.parametrize(("clamped", "state"), [(True, "held"), (False, "free")])
def test_after_a_good_pass_it_is_held_only_where_it_is_clamped(clamped: bool, state: str) -> None:
    watch = watching(20)
    if clamped:
        watch.clamp("person")
    watch.step(0.0, 1.0, 0.0, judged=True)
    assert watch.state == "held"
    watch.end()
    assert watch.state == state


@pytest.mark.parametrize(("left_mm", "came_back"), [(0.04, True), (0.06, False)])
def test_more_than_half_of_the_way_back_is_a_spring(left_mm: float, came_back: bool) -> None:
    watch = watching(20)
    for n in range(6):
        watch.step(n / 20, 1.1 if n < 3 else 1.0 + left_mm, 0.0, judged=True)
    assert watch.came_back is came_back


@pytest.mark.parametrize(("by_mm", "states"), [(0.05, ["warning", "limit"]), (-0.05, ["warning", "limit"]), (0.01, [])])
def test_a_creep_in_a_clamped_pass_is_warned_and_then_alarmed(by_mm: float, states: list[str]) -> None:
    lathe = at_the_face()
    lathe.act("clamp", axis="Z", held=True)
    lathe.to(x=0.0, sway=ramp(0.5, by_mm, over=0.05))
    assert [one.body["state"] for one in lathe.events if one.kind == "hold"] == states
    hold = lathe.state().hold
    assert hold is not None
    assert hold.worst_mm == pytest.approx(by_mm, abs=COUNT_MM + 1e-9)


def test_the_warning_comes_within_three_reports_or_20_ms_of_the_slip() -> None:
    lathe = at_the_face()
    lathe.act("clamp", axis="Z", held=True)
    lathe.to(x=6.0)
    before = len(lathe.events)
    lathe.z_mm += 0.1
    slipped_s = lathe.t_s
    while not any(one.kind == "hold" for one in lathe.events[before:]):
        lathe.x_mm -= 0.008
        lathe.step()
        assert lathe.t_s - slipped_s < 0.05
    assert lathe.t_s - slipped_s <= 0.02


def test_it_says_which_way_how_much_and_where() -> None:
    lathe = at_the_face()
    lathe.act("clamp", axis="Z", held=True)
    lathe.to(x=6.0)
    lathe.z_mm += 0.1
    lathe.to(x=0.0)
    words = lathe.words("hold")[-1]
    assert "carriage moved 0.100 mm away from the headstock at diameter 11.9" in words


def test_one_glitch_is_no_alarm() -> None:
    lathe = at_the_face()
    lathe.act("clamp", axis="Z", held=True)
    lathe.to(x=6.0)
    lathe.z_mm += 0.1
    lathe.step()
    lathe.z_mm -= 0.1
    lathe.to(x=0.0)
    assert lathe.words("hold") == []


def test_a_free_first_skim_is_reported_but_not_alarmed() -> None:
    lathe = at_the_face(free_first_pass=True)
    lathe.to(x=6.0, sway=ramp(0.3, 0.06, over=0.1))
    assert lathe.words("hold") == []
    hold = lathe.state().hold
    assert hold is not None
    assert hold.state == "watched"
    assert hold.worst_mm == pytest.approx(0.06, abs=COUNT_MM + 1e-9)
    lathe.to(x=13.0, speed=20)
    assert lathe.passes[0].role == "skim"
    assert lathe.passes[0].creep_mm == pytest.approx(0.06, abs=0.011)


def test_a_pass_that_nobody_clamped_is_watched_by_the_operation() -> None:
    lathe = at_the_face()
    lathe.to(x=0.0, sway=ramp(0.5, 0.06))
    assert lathe.words("hold") != []


def test_the_clamp_switch_arms_the_watch_and_says_so() -> None:
    lathe = at_the_face(free_first_pass=True)
    lathe.feed(SwitchInputs(lathe.t_s, 1))
    lathe.to(x=6.0, sway=ramp(0.5, 0.06))
    hold = lathe.state().hold
    assert hold is not None
    assert hold.armed_by == "switch"
    assert hold.state == "limit"


def test_setting_the_depth_anew_with_the_tool_clear_is_no_fault_though_it_is_said_to_be_clamped() -> None:
    lathe = at_the_face()
    lathe.act("clamp", axis="Z", held=True)
    lathe.to(x=0.0)
    lathe.to(x=13.0, speed=20)
    lathe.to(z=-0.6, speed=1)
    lathe.rest(0.5)
    lathe.to(x=0.0)
    assert lathe.words("hold") == []
    assert [one.depth_mm for one in lathe.passes] == pytest.approx([0.3], abs=1e-6)


def test_backing_out_at_the_shoulder_is_no_fault() -> None:
    lathe = Lathe()
    lathe.set_up_work(TURNING)
    lathe.to(x=11.5, speed=20)
    lathe.rest(0.5)
    lathe.to(z=-8.0)
    lathe.to(x=13.0, speed=3)
    lathe.to(z=2.0, speed=20)
    assert lathe.words("hold") == []
    assert [one.kind for one in lathe.passes] == ["turning"]


@pytest.mark.parametrize(("stays", "came_back"), [(0.06, False), (0.0, True)])
def test_a_spring_is_told_from_a_slip(stays: float, came_back: bool) -> None:
    lathe = at_the_face()
    lathe.act("clamp", axis="Z", held=True)
    lathe.to(x=2.0, sway=lambda share: 0.06 if 0.3 < share < 0.6 else stays if share >= 0.6 else 0.0)
    hold = lathe.state().hold
    assert hold is not None
    assert hold.came_back is came_back
    assert hold.worst_at_mm == pytest.approx(13.0 - 0.3 * 11.0, abs=0.2)


@pytest.mark.parametrize("act", [("seen", {}), ("clamp", {"axis": "Z", "held": True})])
def test_what_was_found_stays_until_it_is_seen_or_clamped_again(act: tuple[str, dict[str, object]]) -> None:
    lathe = at_the_face()
    lathe.act("clamp", axis="Z", held=True)
    lathe.to(x=0.0, sway=ramp(0.5, 0.06))
    lathe.to(x=13.0, speed=20)
    hold = lathe.state().hold
    assert hold is not None
    assert hold.state == "limit", "the tool is clear, but the person may not have looked"
    lathe.act(act[0], **act[1])
    hold = lathe.state().hold
    assert hold is not None
    assert hold.state == "held"


def test_an_hour_of_vibration_of_two_counts_raises_no_alarm() -> None:
    # Limits as the engine sets them from counts and noise, at 250 reports a second.
    chance = random.Random(5)
    count = 0.001
    watch = HoldWatch("Z", limits_mm(0.01, 0.02, count, 2 * count))
    watch.clamp("person")
    for step in range(200):
        watch.step(step / 250, chance.gauss(0, 2) * count, 0.0, judged=False)
    watch.begin(watched_only=False)
    alarms = sum(
        watch.step(step / 250, round(chance.gauss(0, 2)) * count, 0.0, judged=True) for step in range(250 * 3600)
    )
    assert alarms == 0


def test_limits_of_the_configuration_are_used() -> None:
    lathe = Lathe(configured(hold={"warning_mm": 0.1, "limit_mm": 0.2}))
    lathe.set_up_work(FACING)
    lathe.to(x=13.0, speed=20)
    lathe.to(z=-0.3, speed=20)
    lathe.rest(0.5)
    lathe.act("clamp", axis="Z", held=True)
    lathe.to(x=0.0, sway=ramp(0.5, 0.06))
    assert lathe.words("hold") == []


@pytest.mark.parametrize("by_mm", [0.12, 0.2, 0.5])
@pytest.mark.parametrize("clamped", [True, False])
def test_a_sudden_slip_while_feeding_is_alarmed_however_far(by_mm: float, clamped: bool) -> None:
    lathe = at_the_face()
    if clamped:
        lathe.act("clamp", axis="Z", held=True)
    lathe.to(x=6.0)
    lathe.z_mm += by_mm
    lathe.to(x=0.0)
    assert [one.body["state"] for one in lathe.events if one.kind == "hold"][-1] == "limit"


@pytest.mark.parametrize("by_mm", [0.05, 0.2, 0.5])
def test_a_clamped_slide_that_slips_in_a_pause_of_the_feed_is_alarmed(by_mm: float) -> None:
    lathe = at_the_face()
    lathe.act("clamp", axis="Z", held=True)
    lathe.to(x=6.0)
    lathe.rest(0.5)
    lathe.z_mm += by_mm
    lathe.rest(0.5)
    assert [one.body["state"] for one in lathe.events if one.kind == "hold"][-1] == "limit"


def test_backing_off_with_the_compound_while_the_carriage_is_clamped_is_no_fault_and_loses_no_pass() -> None:
    lathe = at_the_face()
    lathe.act("clamp", axis="Z", held=True)
    lathe.to(x=0.0)
    lathe.rest(0.3)
    lathe.act("compound_wound", wound_in_mm=-0.5)
    lathe.rest(0.3)
    lathe.to(x=13.0, speed=20)
    assert lathe.words("hold") == []
    assert [one.depth_mm for one in lathe.passes] == pytest.approx([0.3])


def test_a_compound_with_a_scale_may_be_set_while_the_carriage_is_clamped() -> None:
    scales = [{"channel": n, "slide": s, "resolution_um": 5.0} for n, s in enumerate(("cross", "carriage", "compound"))]
    lathe = Lathe(configured(scales=scales), greet=False)
    lathe.feed(link(), hello(scales=3))
    lathe.compound_mm = 0.0
    lathe.step()
    lathe.set_up_work(FACING)
    lathe.to(x=13.0, speed=20)
    lathe.to(z=-0.3, speed=20)
    lathe.rest(0.5)
    lathe.act("clamp", axis="Z", held=True)
    lathe.to(x=0.0)
    lathe.rest(0.3)
    for _ in range(50):
        lathe.compound_mm += 0.01
        lathe.step()
    lathe.to(x=13.0, speed=20)
    assert lathe.words("hold") == []
    assert lathe.position("Z") == pytest.approx(0.2, abs=0.006)
    assert len(lathe.passes) == 1


@pytest.mark.parametrize("clamped", [False, True])
def test_a_slide_that_is_pulled_into_the_metal_while_the_feed_rests_is_told(clamped: bool) -> None:
    lathe = Lathe()
    lathe.set_up_work(FACING)
    lathe.to(z=-0.3, speed=10)
    lathe.rest(0.3)
    lathe.to(x=14.0, speed=10)
    if clamped:
        lathe.act("clamp", axis="Z", held=True)
    lathe.rest(0.3)
    lathe.to(x=6.0)
    lathe.rest(1.0)
    lathe.to(z=-0.6, speed=1.0)
    assert len(lathe.words("hold")) == 2
    hold = lathe.state().hold
    assert hold is not None
    assert hold.worst_mm < -0.1


def test_a_tool_drawn_back_while_the_feed_rests_is_the_person_s_doing() -> None:
    lathe = Lathe()
    lathe.set_up_work(FACING)
    lathe.to(z=-0.3, speed=10)
    lathe.rest(0.3)
    lathe.to(x=14.0, speed=10)
    lathe.rest(0.3)
    lathe.to(x=6.0)
    lathe.rest(1.0)
    lathe.to(z=0.5, speed=1.0)
    assert lathe.words("hold") == []
