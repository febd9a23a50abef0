"""Turning diameters by hand: to a shoulder, back on the line or across the shoulder, left-handed, two diameters."""

from __future__ import annotations

import pytest

from turners.benches import FINE, SLOW, at_every_bench, at_three_benches, at_two_benches
from turners.board import Bench
from turners.judge import judge
from turners.moves import KNIFE, LEFT, OUT, R, faces, plans, sets_up, touches_off, turns
from turners.turner import Turner

planned_or_not = pytest.mark.parametrize("planned", [True, False], ids=["planned", "unplanned"])


def begins(seed: int, *, left: bool = False) -> Turner:
    turner = Turner(seed)
    sets_up(turner, LEFT if left else KNIFE)
    touches_off(turner)
    return turner


@at_every_bench
@planned_or_not
def test_to_a_shoulder_in_several_passes_with_a_spring_pass_at_the_end(bench: Bench, planned: bool) -> None:
    turner = begins(11)
    if planned:
        plans(turner, "turning", 0.0, -10.0, 11.0, depth_mm=0.5, finish_mm=0.15, tolerance_mm=0.1)
    turns(turner, 11.5, was=R, to=-9.8, role="roughing" if planned else None)
    turns(turner, 11.15, was=11.5, to=-9.8, back="line", creep=0.01, role="roughing" if planned else None)
    turns(turner, 11.0, was=11.16, to=-10.0, role="finish" if planned else None)
    turns(turner, 11.0, was=None, to=-10.0, role="spring")
    judge(turner, bench)


@at_three_benches
@planned_or_not
def test_drawn_out_across_the_shoulder_each_pass_stays_one(bench: Bench, planned: bool) -> None:
    turner = begins(12)
    if planned:
        plans(turner, "turning", 0.0, -9.0, 10.9)
    for at, was in ((11.6, R), (11.25, 11.6), (10.9, 11.25)):
        turns(turner, at, was=was, to=-9.0, back="shoulder")
    judge(turner, bench)


@at_two_benches
@planned_or_not
def test_all_on_one_line_forward_and_back(bench: Bench, planned: bool) -> None:
    turner = begins(13)
    if planned:
        plans(turner, "turning", 0.0, -8.0, 11.0)
    turns(turner, 11.5, was=R, to=-8.0, back="line")
    turns(turner, 11.5, was=None, to=-8.0, back="line", role="spring")
    turns(turner, 11.2, was=11.5, to=-8.0, back="line")
    judge(turner, bench)


@at_three_benches
@planned_or_not
def test_left_handed_away_from_the_headstock_and_off_the_end(bench: Bench, planned: bool) -> None:
    turner = begins(14, left=True)
    if planned:
        plans(turner, "turning", -9.0, 0.0, 11.4)
    for at, was in ((11.7, R), (11.4, 11.7)):
        turner.winds(cross=OUT)
        turner.winds(carriage=-9.0)
        turner.winds(3.0, cross=was + 0.3)
        turner.sets(cross=at)
        with turner.cutting("turning", None, was=was, leaves=0.0):
            turner.feeds(2.0, carriage=0.8)
    turner.winds(cross=OUT)
    judge(turner, bench)


@at_two_benches
def test_left_handed_from_a_neck_to_a_shoulder(bench: Bench) -> None:
    turner = begins(15, left=True)
    plans(turner, "turning", -12.0, -4.0, 11.2)
    for at, was in ((11.6, R), (11.2, 11.6)):
        turner.winds(cross=OUT)
        turner.winds(carriage=-12.0)
        turner.sets(cross=at)
        with turner.cutting("turning", None, was=was):
            turner.feeds(1.8, carriage=-4.0)
            turner.winds(2.0, cross=OUT - 1.0)
    judge(turner, bench)


@at_three_benches
@planned_or_not
def test_two_diameters_one_after_the_other(bench: Bench, planned: bool) -> None:
    turner = begins(16)
    if planned:
        plans(turner, "turning", 0.0, -14.0, 11.0)
    turns(turner, 11.5, was=R, to=-14.0, speed=3.0)
    turns(turner, 11.0, was=11.5, to=-14.0, speed=3.0)
    if planned:
        plans(turner, "turning", 0.0, -7.0, 10.0)
    turns(turner, 10.5, was=11.0, to=-7.0)
    turns(turner, 10.0, was=10.5, to=-7.0)
    judge(turner, bench)


@at_three_benches
def test_facing_and_turning_as_they_come_without_any_plan(bench: Bench) -> None:
    turner = begins(17)
    faces(turner, -0.3, was=0.0)
    turns(turner, 11.5, was=R, to=-8.0, enters=-0.3)
    turns(turner, 11.1, was=11.5, to=-8.0, enters=-0.3)
    faces(turner, -0.5, was=-0.3, enters=11.1)
    turns(turner, 11.1, was=None, to=-8.0, enters=-0.5, role="spring")
    judge(turner, bench)


@pytest.mark.parametrize(("bench", "creep"), [(FINE, 0.006), (SLOW, -0.02), (SLOW, 0.05)])
def test_a_cross_slide_that_creeps_while_turning_is_told_by_how_much(bench: Bench, creep: float) -> None:
    turner = begins(18)
    plans(turner, "turning", 0.0, -9.0, 10.0)
    turns(turner, 11.6, was=R, to=-9.0, creep=creep)
    turns(turner, 11.2, was=None, to=-9.0)
    judge(turner, bench)


@at_two_benches
def test_gone_past_the_shoulder_by_a_quarter_millimetre(bench: Bench) -> None:
    turner = begins(19)
    plans(turner, "turning", 0.0, -8.0, 11.0)
    turns(turner, 11.5, was=R, to=-7.9)
    turns(turner, 11.0, was=11.5, to=-8.25)
    passes = judge(turner, bench)
    assert [one.overrun_mm for one in passes] == pytest.approx([0.0, 0.25], abs=0.012)
