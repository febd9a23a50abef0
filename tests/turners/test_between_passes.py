"""What a person does between passes that is no pass, and what changes nothing in those that follow."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from turners.benches import COARSE, FINE, SLOW, at_two_benches
from turners.board import Bench
from turners.judge import judge
from turners.moves import OUT, R, faces, plans, sets_up, touches_diameter, touches_face, touches_off, turns
from turners.turner import Turner

FACE = -0.3
TURNED = 11.5


def measures(turner: Turner) -> None:
    """The tool far clear, the spindle stopped, the micrometer out."""
    turner.winds(cross=20.0)
    turner.winds(12.0, carriage=30.0)
    turner.stops_spindle()
    turner.rests(18.0)
    turner.runs_spindle()
    turner.winds(12.0, carriage=2.0)


def touches_again(turner: Turner) -> None:
    touches_diameter(turner, TURNED, at_z=-4.0)
    turner.winds(carriage=2.0)
    touches_face(turner, FACE, at_x=8.0)


def rubs_the_diameter(turner: Turner) -> None:
    """Comes up to the turned diameter and goes along it a little to see a mark, without setting anything."""
    turner.winds(cross=TURNED + 1.5)
    turner.winds(carriage=-3.0)
    turner.winds(0.6, cross=TURNED + 0.002)
    turner.winds(1.0, carriage=-4.6)
    turner.winds(4.0, cross=TURNED + 2.0)
    turner.winds(carriage=2.0)


def rubs_the_face(turner: Turner) -> None:
    turner.winds(carriage=1.0)
    turner.winds(cross=9.0)
    turner.winds(0.6, carriage=FACE)
    turner.winds(1.0, cross=7.8)
    turner.winds(4.0, carriage=1.5)
    turner.winds(cross=OUT)


def turns_the_chuck_by_hand(turner: Turner) -> None:
    """With the tool near the work and the spindle off, to see that nothing fouls."""
    turner.stops_spindle()
    turner.winds(cross=TURNED + 0.8)
    turner.winds(carriage=-5.0)
    turner.winds(0.6, cross=TURNED + 0.15)
    turner.runs_spindle(35.0)
    turner.rests(6.0)
    turner.stops_spindle()
    turner.winds(4.0, cross=OUT)
    turner.winds(carriage=2.0)
    turner.runs_spindle()


def is_knocked_at_rest(turner: Turner) -> None:
    """At the next setting, just off the face: each slide gets an elbow, into the work and away from it."""
    turner.sets(cross=11.2)
    turner.winds(carriage=0.4)
    for slide, by_mm in (("carriage", 0.2), ("cross", 0.05), ("carriage", -0.3), ("cross", -0.25)):
        turner.knocks(slide, by_mm, 0.05)


def winds_about_in_the_air(turner: Turner) -> None:
    turner.winds(cross=18.0)
    turner.winds(12.0, carriage=-12.0)
    turner.winds(12.0, carriage=15.0)
    turner.winds(cross=3.0)
    turner.winds(cross=17.0)
    turner.winds(carriage=2.0)


def clamps_and_frees(turner: Turner) -> None:
    turner.says("clamp", axis="Z", held=True)
    turner.shifts("carriage", 0.005)
    turner.says("clamp", axis="Z", held=False)


def files_the_edge(turner: Turner) -> None:
    """The tool far off, the spindle running, nothing wound for a while."""
    turner.winds(cross=25.0)
    turner.rests(8.0)


BETWEEN: dict[str, Callable[[Turner], None]] = {
    one.__name__: one
    for one in (
        measures, touches_again, rubs_the_diameter, rubs_the_face, turns_the_chuck_by_hand, is_knocked_at_rest,
        winds_about_in_the_air, clamps_and_frees, files_the_edge,
    )
}  # fmt: skip


@pytest.mark.parametrize("between", BETWEEN)
@pytest.mark.parametrize("bench", [SLOW, COARSE], ids=lambda bench: bench.name)
def test_without_a_plan_only_the_passes_are_found(bench: Bench, between: str) -> None:
    turner = Turner(61)
    sets_up(turner)
    touches_off(turner)
    faces(turner, FACE, was=0.0)
    turns(turner, TURNED, was=R, to=-8.0, enters=FACE)
    BETWEEN[between](turner)
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
    BETWEEN[between](turner)
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
