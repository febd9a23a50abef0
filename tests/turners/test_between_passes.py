"""What a person does between passes that is no pass, and what changes nothing in those that follow."""

from __future__ import annotations

import pytest

from turners.benches import COARSE, FINE, SLOW, at_two_benches
from turners.board import Bench
from turners.habits import BETWEEN
from turners.judge import judge
from turners.moves import OUT, R, faces, plans, sets_up, touches_off, turns
from turners.turner import Turner

FACE = -0.3
TURNED = 11.5


@pytest.mark.parametrize("between", BETWEEN)
@pytest.mark.parametrize("bench", [SLOW, COARSE], ids=lambda bench: bench.name)
def test_without_a_plan_only_the_passes_are_found(bench: Bench, between: str) -> None:
    turner = Turner(61)
    sets_up(turner)
    touches_off(turner)
    faces(turner, FACE, was=0.0)
    turns(turner, TURNED, was=R, to=-8.0, enters=FACE)
    BETWEEN[between](turner, TURNED, FACE)
    turns(turner, 11.1, was=TURNED, to=-8.0, enters=FACE)
    faces(turner, -0.6, was=FACE, enters=11.1)
    judge(turner, bench)


@pytest.mark.parametrize("between", BETWEEN)
def test_with_a_plan_only_the_passes_are_found(between: str) -> None:
    turner = Turner(62)
    sets_up(turner)
    touches_off(turner)
    plans(turner, "facing", R, 0.0, FACE)
    faces(turner, FACE, was=0.0)
    plans(turner, "turning", FACE, -8.0, 10.8)
    turns(turner, TURNED, was=R, to=-8.0, enters=FACE)
    BETWEEN[between](turner, TURNED, FACE)
    turns(turner, 11.1, was=TURNED, to=-8.0, enters=FACE)
    judge(turner, FINE)


@at_two_benches
def test_a_clamp_that_draws_the_carriage_five_micrometres_changes_the_face_by_them(bench: Bench) -> None:
    turner = Turner(63)
    sets_up(turner)
    touches_off(turner)
    plans(turner, "facing", R, 0.0, -0.6)
    for at, was in ((-0.3, 0.0), (-0.6, -0.295)):
        turner.winds(cross=OUT - 0.5)
        turner.sets(carriage=at)
        turner.shifts("carriage", 0.005)
        turner.says("clamp", axis="Z", held=True)
        with turner.cutting("facing", R, was=was):
            turner.feeds(2.2, cross=0.0)
        turner.winds(5.0, cross=OUT - 0.5)
        turner.says("clamp", axis="Z", held=False)
        turner.winds(carriage=1.5)
    judge(turner, bench)


@at_two_benches
def test_a_pass_beside_the_work_is_an_air_pass(bench: Bench) -> None:
    """The turner misread the dial and goes along the whole length a tenth beside the diameter."""
    turner = Turner(64)
    sets_up(turner)
    touches_off(turner)
    plans(turner, "turning", 0.0, -9.0, 10.5)
    turns(turner, 11.5, was=R, to=-9.0)
    turns(turner, 11.62, was=None, to=-9.0, role="air")
    turns(turner, 11.1, was=11.5, to=-9.0)
    judge(turner, bench)


@at_two_benches
@pytest.mark.parametrize("planned", [True, False], ids=["planned", "unplanned"])
def test_a_pass_given_up_halfway_is_a_short_pass(bench: Bench, planned: bool) -> None:
    turner = Turner(65)
    sets_up(turner)
    touches_off(turner)
    if planned:
        plans(turner, "turning", 0.0, -10.0, 11.0)
    turns(turner, 11.6, was=R, to=-10.0)
    turns(turner, 11.2, was=11.6, to=-5.0)
    turns(turner, 11.2, was=None, to=-10.0)
    if planned:
        plans(turner, "facing", 11.2, 0.0, -0.5)
    faces(turner, -0.25, was=0.0, to=6.0, enters=11.2)
    faces(turner, -0.5, was=None, enters=11.2)
    judge(turner, bench)
