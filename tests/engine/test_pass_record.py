"""What is told and kept of a finished pass, each figure reckoned by hand from the way it was fed."""

from __future__ import annotations

import math
from typing import Any

import pytest

from engine.lathe import PARTS, STOCK, THREE_SCALES, TURNING, Lathe, about, configured, hello
from waytell.documents.pictures import unpack
from waytell.documents.state import Pass
from waytell_bridge.reading import MissedEdges, Reading, SpindlePulse

SEAT = TURNING | {"end_mm": -8.0}


class Turning(Lathe):
    """A lathe with a tach of one pulse a revolution, told every 50 ms."""

    def __init__(self, **parts: Any) -> None:
        self.rpm = self._told_s = 0.0
        super().__init__(configured(**parts))
        self.feed(hello(t_s=self.t_s, pulses_per_rev=1))

    def report(self, counts: tuple[int, ...] | None = None) -> None:
        if self.rpm and self.t_s - self._told_s >= 0.05 - 1e-9:
            self._told_s = self.t_s
            self.feed(SpindlePulse(self.t_s, 60 / self.rpm))
        super().report(counts)


def at_work(operation: dict[str, Any] | None = SEAT, rpm: float = 600.0, **parts: Any) -> Turning:
    """In front of a bar of 24 mm, half a millimetre deep, the spindle turning."""
    lathe = Turning(**parts)
    lathe.set_up_work(operation)
    lathe.to(x=14.0, speed=30)
    lathe.to(z=1.0, speed=30)
    lathe.to(x=11.5, speed=10)
    lathe.rpm = rpm
    lathe.rest(0.5)
    return lathe


def cleared(lathe: Lathe) -> Pass:
    lathe.to(x=14.0, speed=20)
    lathe.to(z=3.0, speed=20)
    lathe.rest(0.3)
    return lathe.passes[-1]


def kept(lathe: Lathe) -> dict[str, Any]:
    return next(one.body for one in reversed(lathe.events) if one.kind == "pass_finished")


def test_the_figures_of_a_pass_are_those_of_its_way() -> None:
    lathe = at_work()
    began_s = lathe.t_s
    lathe.to(z=-8.0, speed=2.0)
    one = cleared(lathe)
    assert (one.number, one.kind, one.role, one.operation, one.tool) == (
        1,
        "turning",
        "roughing",
        "turn the seat",
        "one",
    )
    assert (one.feed_axis, one.fed_by, one.set_up, one.part) == ("Z", "carriage", 1, 1)
    assert (one.start_mm, one.end_mm, one.held_mm, one.depth_mm) == pytest.approx((0.0, -8.0, 11.5, 0.5), abs=1e-6)
    assert (one.t_start_s, one.t_end_s) == pytest.approx((began_s + 0.5, began_s + 4.5), abs=0.005)
    assert one.duration_s == pytest.approx(4.0, abs=0.01)
    assert one.feed_mm_min == pytest.approx(120.0, rel=0.002)
    assert (one.rpm, one.feed_mm_rev) == pytest.approx((600.0, 0.2), rel=0.002)
    assert one.feed_mm_rev == pytest.approx(one.feed_mm_min / 600.0, rel=1e-9)
    assert one.area_mm2 == pytest.approx(8.0 * 0.5, rel=1e-3)
    assert one.volume_mm3 == pytest.approx(math.pi * (12.0**2 - 11.5**2) * 8.0, rel=1e-3)
    # 40 turns, each by the way round where the edge stands.
    assert one.cutting_distance_m == pytest.approx(2 * math.pi * 11.5 * 40 / 1000, rel=0.003)
    assert one.cutting_distance_m == pytest.approx(2 * math.pi * one.held_mm * 10 * one.duration_s / 1000, rel=1e-6)
    assert (one.overrun_mm, one.creep_mm, one.creep_at_mm, one.came_back, one.doubts) == (0.0, 0.0, None, False, ())
    assert lathe.words("pass_finished") == ["Pass 1: turning, roughing, 0.500 mm deep"]


@pytest.mark.parametrize("ahead_mm", [0.02, 0.035])
def test_it_begins_when_the_face_was_met_whichever_readings_are_kept(ahead_mm: float) -> None:
    lathe = at_work()
    lathe.to(z=1.0 + ahead_mm, speed=1.0)
    lathe.rest(0.5)
    began_s = lathe.t_s
    lathe.to(z=-8.0, speed=2.0)
    assert cleared(lathe).t_start_s == pytest.approx(began_s + (1.0 + ahead_mm) / 2, abs=0.004)


def test_a_face_is_passed_by_less_surface_the_nearer_the_centre() -> None:
    lathe = at_work(None)
    lathe.to(x=14.0, speed=20)
    lathe.to(z=-0.3, speed=10)
    lathe.rest(0.3)
    lathe.to(x=0.0, speed=2.0)
    lathe.to(z=2.0, speed=20)
    lathe.to(x=14.0, speed=20)
    lathe.rest(0.3)
    (one,) = lathe.passes
    assert (one.kind, one.feed_axis, one.fed_by, one.held_mm) == ("facing", "X", "cross", about(-0.3))
    # 60 turns at 6 mm from the centre, on the average.
    assert one.cutting_distance_m == pytest.approx(2 * math.pi * 6.0 * 60 / 1000, rel=0.005)


def test_the_speed_is_the_middle_one_of_those_told_meanwhile() -> None:
    lathe = at_work(rpm=400.0)
    for rpm, to_mm in ((400.0, -3.2), (600.0, -5.6), (900.0, -8.0)):
        lathe.rpm = rpm
        lathe.to(z=to_mm, speed=2.0)
    assert cleared(lathe).rpm == pytest.approx(600.0)


def test_a_standing_spindle_is_no_speed_of_the_pass() -> None:
    lathe = at_work()
    lathe.to(z=-1.0, speed=2.0)
    lathe.rpm = 0.0
    for _ in range(40):
        lathe.feed(SpindlePulse(lathe.t_s, 0.0))
        lathe.to(z=lathe.z_mm - 0.02, speed=2.0)
    assert cleared(lathe).rpm == pytest.approx(600.0)


def test_what_turned_long_before_it_is_no_speed_of_the_pass() -> None:
    lathe = at_work(rpm=900.0)
    lathe.rest(10.0)
    lathe.rpm = 600.0
    lathe.rest(0.1)
    lathe.to(z=-8.0, speed=2.0)
    assert cleared(lathe).rpm == pytest.approx(600.0)


def test_a_doubt_that_was_cleared_stays_with_what_was_cut_before() -> None:
    lathe = at_work()
    lathe.to(z=-3.0, speed=2.0)
    lathe.feed(MissedEdges(lathe.t_s, 0, 3))
    lathe.rest(0.1)
    lathe.touch("X", lathe.x_mm)
    lathe.to(z=-8.0, speed=2.0)
    assert lathe.reasons("X") == ()
    cleared(lathe)
    assert [one.doubts for one in lathe.passes] == [("missed_edges",), ()], "touching off ends the one before"


class OtherClock(Lathe):
    """The board's clock began a thousand seconds before the host's."""

    def report(self, counts: tuple[int, ...] | None = None) -> None:
        self.feed(Reading(self.t_s, self.t_s + 1000.0, counts or self.counted(), self.flags))


def test_times_are_told_by_the_clock_of_the_host() -> None:
    lathe = OtherClock()
    lathe.set_up_work(SEAT)
    lathe.to(x=11.5, z=1.0, speed=30)
    lathe.rest(0.5)
    began_s = lathe.t_s
    lathe.to(z=-8.0, speed=2.0)
    one = cleared(lathe)
    assert (one.t_start_s, one.t_end_s) == pytest.approx((began_s + 0.5, began_s + 4.5), abs=0.01)


def test_where_no_pulse_comes_meanwhile_the_last_one_holds_and_none_is_none() -> None:
    lathe = at_work()
    lathe.rpm = 0.0
    lathe.to(z=-1.2, speed=5.0)
    assert cleared(lathe).rpm == pytest.approx(600.0)
    bare = Lathe()
    bare.set_up_work(SEAT)
    bare.to(x=11.5, z=1.0, speed=30)
    bare.rest(0.5)
    bare.to(z=-8.0, speed=2.0)
    one = cleared(bare)
    assert (one.rpm, one.feed_mm_rev, one.cutting_distance_m) == (None, None, None)


@pytest.mark.parametrize(
    ("before", "during", "is_one"),
    [(24.0, 24.0, False), (26.0, 26.0, True), (24.0, 600.0, True), (600.0, 24.0, True), (24.0, 26.0, True)],
)
def test_a_spindle_that_stands_or_is_turned_by_hand_cuts_nothing(before: float, during: float, is_one: bool) -> None:
    lathe = at_work(rpm=before)
    lathe.to(z=0.5, speed=2.0)
    lathe.rpm = during
    lathe.rest(0.0 if before > during else 0.1)
    lathe.to(z=-8.0, speed=2.0)
    lathe.to(x=14.0, speed=20)
    lathe.rest(0.3)
    # What was told last before the work was met, and all since, must say that it stands.
    if before > during:
        is_one = False
    assert (len(lathe.passes) == 1) == is_one


def test_switched_off_in_the_cut_it_was_a_pass() -> None:
    lathe = at_work()
    lathe.to(z=-2.0, speed=2.0)
    lathe.rpm = 20.0
    lathe.to(z=-4.0, speed=2.0)
    assert cleared(lathe).end_mm == pytest.approx(-4.0)


@pytest.mark.parametrize(
    ("peak_mm", "end_mm", "crept_mm", "came_back"),
    [(0.06, 0.0, 0.06, True), (0.06, 0.025, 0.06, True), (0.06, 0.04, 0.06, False), (-0.06, -0.025, -0.06, True),
     (0.01, 0.0, 0.01, False)],
)  # fmt: skip
def test_creep_is_told_with_its_place_and_whether_it_came_back(
    peak_mm: float, end_mm: float, crept_mm: float, came_back: bool
) -> None:
    """The slide is pushed off to a peak half way down the 9 mm and lets go again."""
    lathe = at_work()

    def sway(share: float) -> float:
        return peak_mm * share * 2 if share < 0.5 else peak_mm + (end_mm - peak_mm) * (share - 0.5) * 2

    lathe.to(z=-8.0, speed=2.0, sway=sway)
    one = cleared(lathe)
    assert one.creep_mm == pytest.approx(crept_mm, abs=0.0051)
    assert one.creep_at_mm == pytest.approx(-3.5, abs=0.5 if abs(peak_mm) > 0.05 else 1.5)
    assert one.came_back == came_back


@pytest.mark.parametrize(("to_mm", "over_mm"), [(-7.9, 0.0), (-8.2, 0.2)])
def test_what_went_past_the_end_is_told(to_mm: float, over_mm: float) -> None:
    lathe = at_work()
    lathe.to(z=to_mm, speed=2.0)
    assert cleared(lathe).overrun_mm == pytest.approx(over_mm, abs=1e-6)
    free = at_work(None)
    free.to(z=to_mm, speed=2.0)
    one = cleared(free)
    assert (one.overrun_mm, one.operation) == (0.0, "")


def test_a_doubt_within_the_pass_stays_with_it_and_one_before_does_not() -> None:
    lathe = at_work()
    lathe.feed(MissedEdges(lathe.t_s, 1, 3))
    lathe.rest(0.1)
    lathe.touch("Z", 1.0)
    lathe.rest(0.1)
    lathe.to(z=-8.0, speed=2.0)
    assert cleared(lathe).doubts == ()
    lathe.to(x=11.0, z=1.0, speed=20)
    lathe.rest(0.3)
    lathe.to(z=-4.0, speed=2.0)
    lathe.feed(MissedEdges(lathe.t_s, 1, 5))
    lathe.to(z=-8.0, speed=2.0)
    assert cleared(lathe).doubts == ("missed_edges",)
    assert kept(lathe)["missed"] == {"1": 5}
    assert kept(lathe)["sound"] is True, "the cross-slide lost nothing"


def silence(lathe: Lathe, z_mm: float) -> None:
    """Nothing is heard for three seconds, in which the carriage goes on."""
    lathe.t_s += 3.0
    lathe.z_mm += z_mm
    lathe.report()


def passes(lathe: Lathe, x_mm: float) -> Pass:
    lathe.to(x=14.0, speed=20)
    lathe.to(z=1.0, speed=20)
    lathe.to(x=x_mm, speed=10)
    lathe.rest(0.3)
    lathe.to(z=-8.0, speed=2.0)
    return cleared(lathe)


@pytest.mark.parametrize(("moved_mm", "doubts"), [(-1.2, ("stale",)), (-0.8, ())])
def test_what_was_cut_unheard_makes_this_pass_and_the_next_doubtful(moved_mm: float, doubts: tuple[str, ...]) -> None:
    lathe = at_work()
    lathe.to(z=-2.0, speed=2.0)
    silence(lathe, moved_mm)
    lathe.to(z=-8.0, speed=2.0)
    assert cleared(lathe).doubts == doubts
    assert passes(lathe, 11.0).doubts == doubts
    assert passes(lathe, 10.5).doubts == ()


def test_unheard_between_two_passes_only_the_next_is_doubtful() -> None:
    lathe = at_work()
    lathe.to(z=-8.0, speed=2.0)
    cleared(lathe)
    lathe.rest(3.0)
    silence(lathe, -1.2)
    assert passes(lathe, 11.0).doubts == ("stale",)
    assert passes(lathe, 10.5).doubts == ()


def test_its_pictures_show_as_many_points_as_are_drawn_from_first_to_last() -> None:
    lathe = at_work(SEAT | {"end_mm": -30.0})
    lathe.to(z=-30.0, speed=1.25)
    cleared(lathe)
    body = kept(lathe)
    pictures = unpack(body["pictures"])
    # 600 points are a picture of each third, with the last.
    assert len(pictures.samples) == pytest.approx(195, abs=10)
    assert pictures.samples[0] == pytest.approx([0.0, 11.5, 0.0])
    assert pictures.samples[-1] == pytest.approx([24.0, 11.5, -30.0], abs=0.01)
    steps = {round(b[2] - a[2], 2) for a, b in zip(pictures.samples[:-2], pictures.samples[1:-1], strict=True)}
    assert steps <= {-0.14, -0.15, -0.16, -0.17}
    assert max(z for z, _ in pictures.before) == 0.0
    assert body["path"][0] == [11.5, pytest.approx(0.03, abs=0.03)]
    assert body["path"][-1] == [11.5, -30.0]
    assert (body["boot"], body["outlined"]) == ("A1", True)
    short = at_work()
    short.to(z=-8.0, speed=2.0)
    cleared(short)
    assert len(unpack(kept(short)["pictures"]).samples) > 150


def test_it_is_kept_with_the_count_of_the_held_slide() -> None:
    lathe = at_work()
    lathe.to(z=-8.0, speed=2.0)
    cleared(lathe)
    body = kept(lathe)
    assert body["held_counts"][0] == 2300
    assert body["sound"] is True
    lathe.feed(MissedEdges(lathe.t_s, 0, 3))
    passes(lathe, 11.0)
    assert kept(lathe)["sound"] is False


def test_a_cone_is_told_along_z_with_the_radius_where_it_began() -> None:
    lathe = Lathe(configured(scales=THREE_SCALES, compound={"angle_deg": -5.739170}))
    lathe.set_up_work()
    lathe.to(x=16.0, speed=30)
    lathe.to(z=2.0, speed=30)
    lathe.to(x=11.5, speed=5)
    lathe.rest(0.5)
    # Wound in 10 mm at a slope of a tenth: from z 2.0 to -7.95, the radius a millimetre larger at its end.
    for _ in range(1000):
        lathe.compound_mm -= 0.01
        lathe.step()
    lathe.to(x=16.0, speed=20)
    lathe.rest(0.5)
    (one,) = lathe.passes
    assert (one.fed_by, one.feed_axis, one.kind) == ("compound", "Z", "taper")
    assert one.start_mm == pytest.approx(0.0, abs=0.02)
    assert one.held_mm == pytest.approx(11.7, abs=0.02), "2 mm in front of the face it stood at 11.5"
    assert one.end_mm == pytest.approx(-3.0, abs=0.16), "there the cone comes out of the bar"
    assert one.overrun_mm == 0.0


def test_a_drill_is_passed_by_the_surface_at_its_corners() -> None:
    cross, carriage = PARTS["scales"]
    lathe = Turning(
        scales=[cross, carriage | {"slide": "tailstock"}],
        tools=[{"name": "drill", "kind": "drill", "diameter_mm": 8.0}],
    )
    lathe.act("new_set_up", stock=STOCK)
    lathe.touch("Z", lathe.z_mm)
    lathe.to(z=1.0, speed=30)
    lathe.rpm = 600.0
    lathe.rest(0.5)
    lathe.to(z=-10.0, speed=2.0)
    lathe.to(z=12.0, speed=20)
    lathe.rest(61.0)
    (one,) = lathe.passes
    assert (one.kind, one.tool, one.fed_by) == ("drilling", "drill", "tailstock")
    assert one.cutting_distance_m == pytest.approx(math.pi * 8.0 * 10 * one.duration_s / 1000, rel=1e-6)


# -- a hole that no scale saw ----------------------------------------------------------------------------------------


def hole(lathe: Lathe, **more: Any) -> tuple[Pass, dict[str, Any]]:
    lathe.act("drilled", **({"diameter_mm": 8.0, "to_mm": -12.0} | more))
    return lathe.passes[-1], kept(lathe)


POINT_MM = 4.0 / math.tan(math.radians(59.0))


def test_a_hole_by_word_is_told_as_it_was_said() -> None:
    lathe = Lathe()
    lathe.set_up_work()
    one, body = hole(lathe)
    assert (one.number, one.kind, one.role, one.operation, one.tool) == (1, "drilling", "roughing", "", "")
    assert (one.feed_axis, one.fed_by, one.set_up, one.part) == ("Z", "tailstock", 1, 1)
    assert (one.start_mm, one.end_mm, one.held_mm, one.depth_mm) == (0.0, -12.0, 0.0, 12.0)
    assert (one.creep_mm, one.creep_at_mm, one.came_back, one.overrun_mm) == (0.0, None, False, 0.0)
    assert (one.feed_mm_min, one.feed_mm_rev, one.rpm, one.duration_s) == (0.0, None, None, 0.0)
    assert (one.t_start_s, one.t_end_s, one.doubts) == (lathe.engine.t_s, lathe.engine.t_s, ())
    assert one.area_mm2 == pytest.approx(4.0 * 12.0 + 4.0 * POINT_MM / 2)
    assert body["path"] == [[0.0, 1.0], [0.0, pytest.approx(-12.0 - POINT_MM, abs=1e-6)]]
    assert (body["drill_mm"], body["sound"], body["outlined"]) == (8.0, False, True)
    assert body["held_counts"] == list(lathe.counted())
    assert unpack(body["pictures"]).samples == []
    assert lathe.words("pass_finished") == ["Pass 1: drilling, as told"]


def test_it_begins_where_it_was_said_to_or_at_the_face() -> None:
    lathe = Lathe()
    lathe.set_up_work()
    one, body = hole(lathe, from_mm=-2.0)
    assert (one.start_mm, one.depth_mm) == (-2.0, 10.0)
    assert body["path"][0] == [0.0, 1.0], "the drill came from outside all the same"
    one, body = hole(lathe, from_mm=3.0)
    assert (one.start_mm, one.depth_mm, body["path"][0]) == (3.0, 15.0, [0.0, 4.0])


def test_without_an_outline_it_is_told_from_zero_and_took_off_what_is_not_known() -> None:
    lathe = Lathe()
    lathe.touch_both()
    one, body = hole(lathe)
    assert (one.start_mm, one.area_mm2, one.volume_mm3, body["outlined"]) == (0.0, None, None, False)


def test_behind_a_face_that_was_cut_it_begins_there() -> None:
    lathe = Lathe()
    lathe.set_up_work()
    lathe.to(x=14.0, speed=30)
    lathe.to(z=-0.5, speed=20)
    lathe.rest(0.3)
    lathe.to(x=-0.02, speed=3.0)
    lathe.to(z=3.0, speed=20)
    lathe.rest(0.3)
    one, body = hole(lathe)
    assert one.start_mm == pytest.approx(-0.5, abs=1e-6)
    assert body["path"][0] == [0.0, pytest.approx(0.5, abs=1e-6)]
