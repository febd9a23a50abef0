"""What a person does in the middle of a pass that leaves it one pass."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from turners.benches import FINE, SLOW, at_two_benches
from turners.board import Bench
from turners.judge import judge
from turners.moves import BORER, KNIFE, OUT, R, bores, faces, plans, sets_up, touches_face, touches_off, turns
from turners.test_holes import touches_bore
from turners.turner import Turner

Habit = Callable[[Turner, str, str, float], None]
"""Done by the turner with the fed slide, the held slide, and the way of the held slide that is away from the work."""


def dwells(seconds: float) -> Habit:
    return lambda turner, _fed, _held, _away: turner.dwells(seconds)


def backs_off(by_mm: float) -> Habit:
    return lambda turner, fed, _held, _away: turner.backs_off(by_mm, **{fed: -1.0})


def draws_back(by_mm: float) -> Habit:
    return lambda turner, _fed, held, away: turner.draws_back(by_mm, **{held: away})


def knocks_fed(by_mm: float) -> Habit:
    return lambda turner, fed, _held, _away: turner.knocks(fed, by_mm, 0.04)


def knocks_held(by_mm: float) -> Habit:
    return lambda turner, _fed, held, _away: turner.knocks(held, by_mm, 0.05)


def glitches(which: int, by_mm: float) -> Habit:
    return lambda turner, fed, held, _away: turner.count_glitches((fed, held)[which], by_mm, later_s=0.7)


HABITS: dict[str, Habit] = {
    "a look of 1.5 s": dwells(1.5),
    "a look of 5 s": dwells(5.0),
    "backing off 0.5 mm": backs_off(0.5),
    "backing off 3 mm": backs_off(3.0),
    "drawing the held slide back 0.5 mm": draws_back(0.5),
    "drawing the held slide back 2 mm": draws_back(2.0),
    "a knock of 0.3 mm on the fed slide": knocks_fed(0.3),
    "a knock of 0.1 mm on the held slide": knocks_held(0.1),
    "a knock of 0.3 mm on the held slide": knocks_held(-0.3),
    "one wrong count of the held slide": glitches(1, 0.32),
    "one wrong count of the fed slide": glitches(0, -0.32),
    "one very wrong count of the held slide": glitches(1, 2.56),
}
every_habit = pytest.mark.parametrize("habit", HABITS)


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
        HABITS[habit](turner, "cross", "carriage", 1.0)
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
        HABITS[habit](turner, "carriage", "cross", 1.0)
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
        HABITS[habit](turner, "carriage", "cross", -1.0)
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
