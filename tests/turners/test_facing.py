"""Facing by hand, as it is really done: a raw sawn face, a bored part, from the centre outwards, with interruptions."""

from __future__ import annotations

import pytest

from turners.benches import FINE, SLOW, at_every_bench, at_three_benches, at_two_benches
from turners.board import Bench
from turners.judge import judge
from turners.moves import CLEAR, KNIFE, OUT, R, faces, plans, sets_up, touches_off, turns
from turners.turner import Turner


def begins(seed: int, *, bore: float = 0.0) -> Turner:
    turner = Turner(seed)
    sets_up(turner, bore=bore)
    touches_off(turner)
    return turner


@at_every_bench
@pytest.mark.parametrize("planned", [True, False], ids=["planned", "unplanned"])
def test_a_raw_sawn_face_is_skimmed_faced_finished_and_gone_over_again(bench: Bench, planned: bool) -> None:
    turner = begins(1)
    if planned:
        plans(turner, "facing", R, 0.0, -0.8, free_first_pass=True, depth_mm=0.3, finish_mm=0.1, tolerance_mm=0.1)
    faces(turner, -0.15, was=0.0, role="skim" if planned else None)
    faces(turner, -0.45, was=-0.15, creep=0.012, role="roughing" if planned else None)
    faces(turner, -0.7, was=-0.438, role="roughing" if planned else None)
    faces(turner, -0.8, was=-0.7, role="finish" if planned else None)
    faces(turner, -0.8, was=None, role="spring", back_on_line=True)
    judge(turner, bench)


@pytest.mark.parametrize(
    ("bench", "creep"), [(FINE, 0.004), (FINE, -0.015), (SLOW, -0.015), (SLOW, 0.05), (FINE, -0.05)]
)
def test_a_carriage_that_creeps_while_facing_is_told_by_how_much(bench: Bench, creep: float) -> None:
    turner = begins(2)
    plans(turner, "facing", R, 0.0, -2.0, depth_mm=0.3)
    faces(turner, -0.3, was=0.0, creep=creep)
    faces(turner, -0.6, was=None)
    judge(turner, bench)


@at_two_benches
@pytest.mark.parametrize("creep", [0.005, -0.008, -0.02])
def test_a_face_that_crept_hollow_or_round_confuses_no_turning_after_it(bench: Bench, creep: float) -> None:
    turner = begins(12)
    faces(turner, -0.2, was=0.0, creep=creep)
    turns(turner, 11.6, was=R, to=-8.0, enters=-0.2)
    turns(turner, 11.2, was=11.6, to=-8.0, enters=-0.2)
    faces(turner, -0.6, was=None, enters=11.2)
    judge(turner, bench)


@at_two_benches
@pytest.mark.parametrize("gives", [0.03, -0.04])
def test_a_carriage_that_gives_way_and_comes_back_has_sprung(bench: Bench, gives: float) -> None:
    turner = begins(8)
    plans(turner, "facing", R, 0.0, -2.0)
    turner.winds(cross=OUT - 0.5)
    turner.sets(carriage=-0.3)
    with turner.cutting("facing", R, was=0.0):
        turner.feeds(2.2, cross=0.0, gives=("carriage", gives))
    turner.winds(carriage=1.5)
    faces(turner, -0.6, was=None, creep=gives / 2)
    passes = judge(turner, bench)
    assert [one.came_back for one in passes] == [True, False]
    where = passes[0].creep_at_mm
    assert where is not None
    assert 4.0 < where < 10.0


@at_two_benches
def test_the_same_face_wound_back_on_the_line_each_time(bench: Bench) -> None:
    turner = begins(3)
    for at, was in ((-0.2, 0.0), (-0.4, -0.2), (-0.6, -0.4)):
        faces(turner, at, was=was, back_on_line=True)
    judge(turner, bench)


@at_three_benches
@pytest.mark.parametrize("planned", [True, False], ids=["planned", "unplanned"])
def test_facing_interrupted_by_looks_and_by_a_chip_to_be_cleared(bench: Bench, planned: bool) -> None:
    turner = begins(4)
    if planned:
        plans(turner, "facing", R, 0.0, -1.0)
    turner.winds(cross=OUT - 0.5)
    turner.sets(carriage=-0.3)
    with turner.cutting("facing", R, was=0.0):
        turner.feeds(cross=9.0)
        turner.dwells(1.2)
        turner.feeds(cross=5.0)
        turner.backs_off(0.4, cross=-1.0)
        turner.feeds(cross=0.0)
    turner.winds(carriage=1.0)
    faces(turner, -0.6, was=-0.3)
    judge(turner, bench)


@at_three_benches
@pytest.mark.parametrize("planned", [True, False], ids=["planned", "unplanned"])
def test_facing_from_the_centre_outwards(bench: Bench, planned: bool) -> None:
    turner = begins(5)
    if planned:
        plans(turner, "facing", 0.0, R, -0.9)
    was = 0.0
    for at in (-0.3, -0.6):
        turner.winds(carriage=CLEAR)
        turner.winds(cross=0.0)
        turner.winds(2.0, carriage=was + 0.1)
        turner.sets(carriage=at)
        with turner.cutting("facing", None, was=was, leaves=R):
            turner.feeds(cross=R + 0.9)
        was = at
    turner.winds(carriage=CLEAR)
    judge(turner, bench)


@at_three_benches
@pytest.mark.parametrize("planned", [True, False], ids=["planned", "unplanned"])
def test_facing_a_part_with_a_bore_ends_at_the_bore(bench: Bench, planned: bool) -> None:
    turner = begins(6, bore=10.0)
    if planned:
        plans(turner, "facing", R, 5.0, -0.6)
    for at, was in ((-0.2, 0.0), (-0.4, -0.2), (-0.6, -0.4)):
        faces(turner, at, was=was, to=4.7, leaves=5.0)
    judge(turner, bench)


@at_two_benches
def test_facing_a_little_past_the_centre(bench: Bench) -> None:
    turner = begins(7)
    plans(turner, "facing", R, 0.0, -0.6)
    for at, was in ((-0.3, 0.0), (-0.6, -0.3)):
        faces(turner, at, was=was, to=-0.3, leaves=0.0)
    judge(turner, bench)


@at_two_benches
@pytest.mark.parametrize("planned", [True, False], ids=["planned", "unplanned"])
def test_depth_set_on_a_compound_without_a_scale_while_the_carriage_is_clamped(bench: Bench, planned: bool) -> None:
    turner = begins(9)
    if planned:
        plans(turner, "facing", R, 0.0, -0.6)
    turner.winds(cross=OUT - 0.5)
    turner.sets(carriage=0.1)
    turner.says("clamp", axis="Z", held=True)
    was = 0.0
    for wound in (0.4, 0.3):
        turner.winds_compound_by_dial(wound)
        at = turner.place("carriage")
        with turner.cutting("facing", R, was=was):
            turner.feeds(2.2, cross=0.0)
            turner.winds(5.0, cross=OUT - 0.5)
        was = at
    judge(turner, bench)


@at_two_benches
def test_a_tool_with_a_round_nose(bench: Bench) -> None:
    turner = Turner(10)
    sets_up(turner, {**KNIFE, "nose_radius_mm": 0.4})
    touches_off(turner)
    plans(turner, "facing", R, 0.0, -0.65)
    for at, was, role in ((-0.35, 0.0, "roughing"), (-0.65, -0.35, None), (-0.65, None, "spring")):
        faces(turner, at, was=was, role=role)
    plans(turner, "turning", -0.65, -8.0, 11.0)
    for at, was, role in ((11.6, R, "roughing"), (11.2, 11.6, "roughing"), (11.2, None, "spring")):
        turns(turner, at, was=was, to=-8.0, enters=-0.65, role=role)
    judge(turner, bench)
