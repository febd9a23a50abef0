"""What a person does in the middle of a pass that leaves it one pass."""

from __future__ import annotations

import pytest

from turners.benches import FINE, SLOW, at_two_benches
from turners.board import Bench
from turners.habits import WITHIN
from turners.judge import judge
from turners.moves import BORER, KNIFE, OUT, R, bores, faces, plans, sets_up, touches_face, touches_off, turns
from turners.test_holes import touches_bore
from turners.turner import Turner

every_habit = pytest.mark.parametrize("habit", WITHIN)


def creep_open(habit: str) -> dict[str, bool]:
    """A slide that was knocked did move: how much of it is told as creep is open to argument."""
    return {"creep_argued": "knock" in habit}


@every_habit
def test_facing_stays_one_pass(habit: str) -> None:
    turner = Turner(51)
    sets_up(turner, KNIFE)
    touches_off(turner)
    plans(turner, "facing", R, 0.0, -1.0)
    turner.winds(cross=OUT - 0.5)
    turner.sets(carriage=-0.3)
    with turner.cutting("facing", R, was=0.0, **creep_open(habit)):
        turner.feeds(2.2, cross=6.0)
        WITHIN[habit](turner, "cross", "carriage", 1.0)
        turner.feeds(2.2, cross=0.0)
    turner.winds(4.0, carriage=1.5)
    faces(turner, -0.6, was=-0.3)
    judge(turner, FINE)


@every_habit
def test_turning_without_a_plan_stays_one_pass(habit: str) -> None:
    turner = Turner(52)
    sets_up(turner, KNIFE)
    touches_off(turner)
    turner.winds(carriage=1.5)
    turner.sets(cross=11.6)
    with turner.cutting("turning", 0.0, was=R, **creep_open(habit)):
        turner.feeds(2.6, carriage=-5.0)
        WITHIN[habit](turner, "carriage", "cross", 1.0)
        turner.feeds(2.6, carriage=-9.0)
    turner.winds(4.0, cross=13.0)
    turns(turner, 11.2, was=11.6, to=-9.0)
    judge(turner, SLOW)


@pytest.mark.parametrize("habit", ["a look of 5 s", "backing off 3 mm", "drawing the held slide back 0.5 mm"])
def test_boring_stays_one_pass(habit: str) -> None:
    turner = Turner(53)
    sets_up(turner, BORER, bore=12.0)
    touches_bore(turner, 6.0)
    touches_face(turner, 0.0, at_x=9.0)
    turner.winds(cross=5.0)
    plans(turner, "boring", 0.0, -9.0, 7.0)
    turner.winds(carriage=1.5)
    turner.sets(cross=6.4)
    with turner.cutting("boring", 0.0, was=6.0, **creep_open(habit)):
        turner.feeds(2.4, carriage=-5.0)
        WITHIN[habit](turner, "carriage", "cross", -1.0)
        turner.feeds(2.4, carriage=-9.0)
    turner.winds(3.0, cross=5.5)
    turner.winds(8.0, carriage=1.5)
    bores(turner, 6.8, was=6.4, to=-9.0)
    judge(turner, SLOW)


@at_two_benches
def test_several_habits_in_one_pass_leave_it_one(bench: Bench) -> None:
    turner = Turner(54)
    sets_up(turner, KNIFE)
    touches_off(turner)
    plans(turner, "turning", 0.0, -12.0, 11.0)
    turner.winds(carriage=1.5)
    turner.sets(cross=11.5)
    with turner.cutting("turning", 0.0, was=R):
        turner.feeds(2.6, carriage=-3.0)
        turner.dwells(1.5)
        turner.feeds(2.6, carriage=-6.0)
        turner.backs_off(1.0, carriage=-1.0)
        turner.feeds(2.6, carriage=-9.0)
        turner.draws_back(0.5, cross=1.0)
        turner.dwells(2.0)
        turner.feeds(2.6, carriage=-12.0)
        turner.winds(8.0, carriage=1.5)
    turner.winds(cross=OUT)
    judge(turner, bench)


@at_two_benches
@pytest.mark.parametrize("habit", ["a look of 5 s", "backing off 0.5 mm", "drawing the held slide back 0.5 mm"])
@pytest.mark.parametrize("planned", [True, False], ids=["planned", "unplanned"])
def test_a_spring_pass_stays_one_pass_too(bench: Bench, planned: bool, habit: str) -> None:
    turner = Turner(55)
    sets_up(turner, KNIFE)
    touches_off(turner)
    if planned:
        plans(turner, "turning", 0.0, -9.0, 11.0)
    turns(turner, 11.5, was=R, to=-9.0)
    turns(turner, 11.5, was=None, to=-9.0, role="spring", midway=lambda t: WITHIN[habit](t, "carriage", "cross", 1.0))
    if planned:
        plans(turner, "facing", 11.5, 0.0, -0.5)
    faces(turner, -0.12, was=0.0, enters=11.5, midway=lambda t: WITHIN[habit](t, "cross", "carriage", 1.0))
    faces(
        turner, -0.12, was=None, enters=11.5, role="spring", midway=lambda t: WITHIN[habit](t, "cross", "carriage", 1.0)
    )
    judge(turner, bench)
