"""A poor line, missed edges and counts begun anew, where the work goes on and comes out right."""

from __future__ import annotations

from dataclasses import replace

import pytest

from turners.benches import PLAIN, SLOW, at_two_benches
from turners.board import Bench
from turners.mishaps import bursts, edges_missed, replayed, silence, told_rightly
from turners.moves import R, faces, plans, sets_up, touches_diameter, touches_face, touches_off, turns
from turners.turner import Turner

planned_or_not = pytest.mark.parametrize("planned", [True, False], ids=["planned", "unplanned"])


@planned_or_not
@pytest.mark.parametrize("seed", [1, 2])
def test_one_report_in_ten_lost_and_half_a_second_now_and_then(planned: bool, seed: int) -> None:
    turner = Turner(205)
    sets_up(turner)
    touches_off(turner)
    begin_s = turner.t_s
    if planned:
        plans(turner, "facing", R, 0.0, -0.6)
    faces(turner, -0.3, was=0.0)
    faces(turner, -0.6, was=-0.3, back_on_line=True)
    if planned:
        plans(turner, "turning", -0.6, -12.0, 10.8)
    turns(turner, 11.6, was=R, to=-12.0, enters=-0.6)
    turns(turner, 11.2, was=11.6, to=-12.0, enters=-0.6, back="line")
    result = replayed(turner, replace(SLOW, lost=0.1), bursts(begin_s, 5.0, 0.5, seed))
    assert [(one.kind, round(one.held_mm, 1)) for one in result.passes] == [
        ("facing", -0.3),
        ("facing", -0.6),
        ("turning", 11.6),
        ("turning", 11.2),
    ]


@planned_or_not
@at_two_benches
def test_half_a_second_of_silence_in_a_pass_leaves_it_whole(bench: Bench, planned: bool) -> None:
    turner = Turner(200)
    sets_up(turner)
    touches_off(turner)
    if planned:
        plans(turner, "turning", 0.0, -12.0, 10.8)
    turns(turner, 11.6, was=R, to=-12.0)
    turns(turner, 11.2, was=11.6, to=-12.0, speed=2.0)
    begin_s = turner.passes[-1].t_start_s + 1.5
    turns(turner, 10.8, was=11.2, to=-12.0)
    told_rightly(turner, bench, silence(begin_s, begin_s + 0.5))


@pytest.mark.parametrize("scale", [0, 1])
def test_edges_missed_in_a_pass_put_it_and_the_next_in_doubt(scale: int) -> None:
    turner = Turner(204)
    sets_up(turner)
    touches_off(turner)
    plans(turner, "turning", 0.0, -9.0, 10.8)
    for at, was in ((11.6, R), (11.2, 11.6), (10.8, 11.2)):
        turns(turner, at, was=was, to=-9.0)
    begin_s = turner.passes[1].t_start_s + 1.0
    result = told_rightly(turner, PLAIN, edges_missed(scale, begin_s, begin_s + 2.0, 40))
    assert [one.doubts for one in result.passes] == [(), ("missed_edges",), ("missed_edges",)]


def test_touching_off_again_ends_the_doubt_of_missed_edges() -> None:
    turner = Turner(702)
    sets_up(turner)
    touches_off(turner)
    plans(turner, "turning", 0.0, -8.0, 10.8)
    turns(turner, 11.6, was=R, to=-8.0)
    begin_s = turner.passes[-1].t_start_s + 0.5
    touches_diameter(turner, 11.6, at_z=-4.0)
    turner.winds(carriage=2.0)
    touches_face(turner, 0.0, at_x=8.0)
    turns(turner, 11.2, was=11.6, to=-8.0)
    result = told_rightly(turner, PLAIN, edges_missed(1, begin_s, begin_s + 1.5, 30))
    assert [one.doubts for one in result.passes] == [("missed_edges",), ()]
