"""Holes: drilled from the tailstock with and without a scale on it, and bored."""

from __future__ import annotations

import pytest

from turners.benches import at_every_bench, at_three_benches, at_two_benches
from turners.board import Bench
from turners.judge import compare, found, judge
from turners.moves import BORER, KNIFE, bores, plans, sets_up, touches_face, touches_off
from turners.turner import Turner

DRILL = {"name": "drill", "kind": "drill", "diameter_mm": 6.0, "point_angle_deg": 118.0}
planned_or_not = pytest.mark.parametrize("planned", [True, False], ids=["planned", "unplanned"])


def begins_drilling(seed: int, *, planned: bool) -> Turner:
    """The face is touched with a turning tool first, then with the drill's point."""
    turner = Turner(seed, tailstock=True)
    sets_up(turner, KNIFE, DRILL)
    touches_off(turner)
    turner.winds(carriage=25.0)
    turner.takes("drill")
    turner.winds(20.0, tailstock=1.0)
    turner.winds(0.6, tailstock=0.0)
    turner.says("touch_off", axis="Z", at_mm=0.0)
    turner.winds(tailstock=2.0)
    if planned:
        plans(turner, "drilling", 0.0, -14.0, 3.0)
    return turner


@at_three_benches
@planned_or_not
def test_drilled_in_one_go_with_chips_broken_on_the_way(bench: Bench, planned: bool) -> None:
    turner = begins_drilling(21, planned=planned)
    with turner.cutting("drilling", 0.0):
        turner.feeds(1.8, tailstock=-5.0)
        turner.backs_off(0.7, tailstock=-1.0)
        turner.feeds(1.8, tailstock=-10.0)
        turner.backs_off(1.2, tailstock=-1.0)
        turner.feeds(1.8, tailstock=-14.0)
    turner.winds(12.0, tailstock=15.0)
    judge(turner, bench)


@at_three_benches
@planned_or_not
def test_drilled_in_pecks_drawn_out_in_full(bench: Bench, planned: bool) -> None:
    """One hole, or a stroke each that begins at the bottom the last one left: a turner would say either."""
    turner = begins_drilling(22, planned=planned)
    with turner.cutting("drilling", 0.0):
        for bottom, to in ((0.0, -5.0), (-5.0, -10.0), (-10.0, -14.0)):
            turner.winds(10.0, tailstock=bottom + 0.4)
            with turner.counting("drilling", bottom):
                turner.feeds(1.6, tailstock=to)
            turner.winds(10.0, tailstock=3.0)
    passes = found(turner, bench)
    if len(passes) > 1:
        turner.passes = turner.parts
    compare(turner, passes, bench)


@at_two_benches
def test_a_hole_drilled_without_a_scale_is_told_and_then_bored(bench: Bench) -> None:
    turner = Turner(23)
    sets_up(turner, KNIFE, BORER)
    touches_off(turner)
    turner.winds(carriage=25.0)
    turner.rests(4.0)
    # Told wrongly first, and taken back: had it stayed, boring would find nothing to take off.
    turner.says("drilled", diameter_mm=12.0, to_mm=-20.0)
    turner.says("undo")
    turner.says("drilled", diameter_mm=10.0, to_mm=-14.0)
    turner.takes("boring bar", x_mm=-3.1, z_mm=7.2)
    touches_bore(turner, 5.0)
    touches_face(turner, 0.0, at_x=8.0)
    turner.winds(cross=3.0)
    for at, was in ((5.4, 5.0), (5.8, 5.4)):
        bores(turner, at, was=was, to=-8.0)
    everything = found(turner, bench)
    assert [one.end_mm for one in everything if one.kind == "drilling"] == [-14.0]
    # That the hole itself is listed is by the person's word alone: nobody saw it being drilled.
    compare(turner, [one for one in everything if one.kind != "drilling"], bench)


def touches_bore(turner: Turner, radius: float) -> None:
    turner.winds(carriage=2.0)
    turner.winds(cross=radius - 1.5)
    turner.winds(carriage=-3.0)
    turner.winds(0.6, cross=radius)
    turner.says("touch_off", axis="X", at_mm=radius)
    turner.winds(cross=radius - 1.0)
    turner.winds(carriage=2.0)


def begins_boring(seed: int) -> Turner:
    turner = Turner(seed)
    sets_up(turner, BORER, bore=12.0)
    touches_bore(turner, 6.0)
    touches_face(turner, 0.0, at_x=9.0)
    turner.winds(cross=5.0)
    return turner


@at_every_bench
@planned_or_not
def test_bored_in_several_passes_drawn_to_the_centre_each_time(bench: Bench, planned: bool) -> None:
    turner = begins_boring(24)
    if planned:
        plans(turner, "boring", 0.0, -9.0, 6.9, depth_mm=0.4, finish_mm=0.1, tolerance_mm=0.08)
    bores(turner, 6.4, was=6.0, to=-9.0, role="roughing" if planned else None)
    bores(turner, 6.8, was=6.4, to=-9.0, creep=-0.012)
    bores(turner, 6.9, was=6.792, to=-9.0, role="finish" if planned else None)
    bores(turner, 6.9, was=None, to=-9.0, role="spring")
    judge(turner, bench)


@at_two_benches
@planned_or_not
def test_bored_forward_and_back_on_the_line(bench: Bench, planned: bool) -> None:
    turner = begins_boring(25)
    if planned:
        plans(turner, "boring", 0.0, -7.0, 7.0)
    bores(turner, 6.3, was=6.0, to=-7.0, back_on_line=True)
    bores(turner, 6.6, was=6.3, to=-7.0, back_on_line=True)
    bores(turner, 6.6, was=None, to=-7.0, back_on_line=True, role="spring")
    judge(turner, bench)
