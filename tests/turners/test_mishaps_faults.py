"""Faults of board and line in the middle of the work."""

from __future__ import annotations

import pytest

from turners.benches import PLAIN, SLOW, at_two_benches
from turners.board import Bench
from turners.judge import BEGIN_S
from turners.mishaps import counts_lost, replayed, silence, told_rightly
from turners.moves import KNIFE, R, plans, sets_up, touches_diameter, touches_face, touches_off, turns
from turners.turner import Turner

planned_or_not = pytest.mark.parametrize("planned", [True, False], ids=["planned", "unplanned"])


def begins(seed: int, *, planned: bool = True) -> Turner:
    turner = Turner(seed)
    sets_up(turner)
    touches_off(turner)
    if planned:
        plans(turner, "turning", 0.0, -12.0, 10.8)
    return turner


@pytest.mark.parametrize("axis", ["X", "Z", "neither"])
def test_winding_about_with_an_axis_not_touched_off_is_no_finish_and_has_no_depth(axis: str) -> None:
    """A touch-off was refused, or forgotten; the operation is chosen and the tool is wound about all the same."""
    turner = Turner(210)
    sets_up(turner)
    if axis != "Z":
        touches_face(turner, 0.0)
    if axis != "X":
        touches_diameter(turner, R)
    if axis == "neither":
        turner.acts = [one for one in turner.acts if one[1]["act"] != "touch_off"]
    plans(turner, "turning", 0.0, -12.0, 10.8)
    turns(turner, 11.6, was=R, to=-12.0)
    told = replayed(turner, SLOW).passes
    assert [(one.role, one.depth_mm) for one in told if one.role == "finish" or one.depth_mm is not None] == []


@at_two_benches
def test_a_board_that_restarts_in_a_pass_and_keeps_its_counts(bench: Bench) -> None:
    """One pass, or two that meet where the board was deaf; times in order; nothing slipped."""
    turner = begins(203)
    turns(turner, 11.6, was=R, to=-12.0)
    turns(turner, 11.2, was=11.6, to=-12.0)
    cut = turner.passes[-1]
    assert cut.t_end_s
    turner.restarts_s.append((cut.t_start_s + cut.t_end_s[0]) / 2)
    turns(turner, 10.8, was=11.2, to=-12.0)
    result = replayed(turner, bench)
    assert all(one.t_start_s < one.t_end_s for one in result.passes)
    assert not [one for one in result.events if one.kind == "hold"]
    assert [round(one.held_mm, 1) for one in result.passes] in ([11.6, 11.2, 10.8], [11.6, 11.2, 11.2, 10.8])
    assert result.passes[1].t_start_s - BEGIN_S == pytest.approx(cut.t_start_s, abs=0.1)


def test_a_board_that_lost_its_counts_finds_no_pass_until_touched_off_again() -> None:
    turner = begins(203)
    turns(turner, 11.6, was=R, to=-12.0)
    turns(turner, 11.2, was=11.6, to=-12.0)
    cut = turner.passes[-1]
    assert cut.t_end_s
    at_s = (cut.t_start_s + cut.t_end_s[0]) / 2
    turner.restarts_s.append(at_s)
    turns(turner, 10.8, was=11.2, to=-12.0)
    result = replayed(turner, PLAIN, counts_lost(at_s))
    assert [one.kind for one in result.passes] == ["turning", "turning"]
    assert [one.body for one in result.events if one.kind == "hold"] == []


@planned_or_not
@pytest.mark.parametrize("bench", [PLAIN, SLOW], ids=lambda bench: bench.name)
def test_touched_off_again_after_the_board_lost_its_counts(bench: Bench, planned: bool) -> None:
    turner = begins(701, planned=planned)
    turns(turner, 11.6, was=R, to=-8.0)
    turner.board_restarts()
    touches_diameter(turner, 11.6, at_z=-4.0)
    turner.winds(carriage=2.0)
    touches_face(turner, 0.0, at_x=8.0)
    turns(turner, 11.2, was=11.6, to=-8.0)
    turns(turner, 10.8, was=11.2, to=-8.0)
    told_rightly(turner, bench, counts_lost(turner.restarts_s[0]))


@pytest.mark.parametrize("lasts_s", [3.0])
def test_the_feed_of_a_pass_with_a_silence_in_it(lasts_s: float) -> None:
    """12 mm in 5.9 s: about 125 mm/min, whatever was not heard of it."""
    turner = begins(200)
    turns(turner, 11.6, was=R, to=-12.0)
    turns(turner, 11.2, was=11.6, to=-12.0, speed=2.0)
    cut = turner.passes[-1]
    told_rightly(turner, SLOW, silence(cut.t_start_s + 1.5, cut.t_start_s + 1.5 + lasts_s))


def test_what_was_cut_unheard_is_not_told_as_depth_of_the_next_pass() -> None:
    """20 s of silence hide 7 mm of a pass: the next one took 0.4 off, or nobody knows; not 0.8 without a doubt."""
    turner = begins(201)
    turns(turner, 11.6, was=R, to=-12.0)
    turns(turner, 11.2, was=11.6, to=-12.0)
    begin_s = turner.passes[-1].t_start_s + 2.0
    turner.rests(15.0)
    turns(turner, 10.8, was=11.2, to=-12.0)
    last = replayed(turner, SLOW, silence(begin_s, begin_s + 20.0)).passes[-1]
    assert last.doubts or last.depth_mm is None or last.depth_mm == pytest.approx(0.4, abs=0.02)


@planned_or_not
def test_another_tool_is_no_pass_before_it_is_touched_off(planned: bool) -> None:
    """The second tool stands 1.3 and 2.1 mm from the first; only the touching-off tells."""
    turner = Turner(710)
    sets_up(turner, KNIFE, {**KNIFE, "name": "finisher"})
    touches_off(turner)
    if planned:
        plans(turner, "turning", 0.0, -10.0, 10.8)
    turns(turner, 11.5, was=R, to=-10.0)
    turner.winds(carriage=15.0, cross=20.0)
    turner.takes("finisher", x_mm=-1.3, z_mm=2.1)
    touches_diameter(turner, 11.5, at_z=-4.0)
    turner.winds(carriage=2.0)
    touches_face(turner, 0.0)
    turns(turner, 11.1, was=11.5, to=-10.0)
    told_rightly(turner, SLOW)
