"""What boards and sessions do: the same work at three report rates, a restart, two jobs in one log, a bad line."""

from __future__ import annotations

from dataclasses import replace

import pytest

from turners.benches import FAST, FINE, PLAIN, RATES, SLOW, at_two_benches
from turners.board import Bench
from turners.judge import compare, found, judge
from turners.moves import R, chucks, faces, plans, sets_up, touches_face, touches_off, turns
from turners.turner import Turner
from waytell.documents.state import Pass


def a_short_job(seed: int, *, planned: bool = True) -> Turner:
    turner = Turner(seed)
    sets_up(turner)
    touches_off(turner)
    if planned:
        plans(turner, "facing", R, 0.0, -0.5, free_first_pass=True)
    faces(turner, -0.2, was=0.0, role="skim" if planned else None, creep=0.008)
    faces(turner, -0.5, was=-0.192, back_on_line=True)
    if planned:
        plans(turner, "turning", -0.5, -7.0, 11.5)
    turns(turner, 11.5, was=R, to=-7.0, enters=-0.5, creep=-0.015)
    turns(turner, 11.485, was=None, to=-7.0, enters=-0.5, role="spring")
    return turner


def test_the_same_passes_whatever_the_report_rate() -> None:
    turner = a_short_job(71)
    at_each = [found(turner, bench) for bench in RATES]
    for bench, passes in zip(RATES, at_each, strict=True):
        compare(turner, passes, bench)
    assert alike(at_each[0]) == alike(at_each[1]) == alike(at_each[2])


def alike(passes: list[Pass]) -> list[tuple[str, str, str, int]]:
    """What must agree to the word between rates, with the end to the tenth of a millimetre."""
    return [(one.kind, one.role, one.feed_axis, round(10 * one.end_mm)) for one in passes]


def test_a_thousand_reports_a_second_at_one_micrometre() -> None:
    judge(a_short_job(72, planned=False), FAST)


@pytest.mark.parametrize("bench", [replace(PLAIN, lost=0.0, damaged=0.0, noise=0.0, jitter_s=0.001), SLOW])
def test_a_clean_line_and_a_poor_one(bench: Bench) -> None:
    judge(a_short_job(73), bench)


@at_two_benches
@pytest.mark.parametrize("damaged", [0.03])
def test_a_line_with_many_damaged_reports(bench: Bench, damaged: float) -> None:
    judge(a_short_job(74), replace(bench, damaged=damaged))


@at_two_benches
@pytest.mark.parametrize("confirmed", [True, False], ids=["confirmed", "unconfirmed"])
def test_a_board_that_restarts_and_keeps_its_counts_loses_no_pass(bench: Bench, confirmed: bool) -> None:
    turner = Turner(75)
    sets_up(turner)
    touches_off(turner)
    plans(turner, "turning", 0.0, -8.0, 10.8)
    turns(turner, 11.6, was=R, to=-8.0)
    turner.board_restarts()
    if confirmed:
        turner.says("confirm_positions")
    turns(turner, 11.2, was=11.6, to=-8.0)
    turns(turner, 10.8, was=11.2, to=-8.0)
    passes = judge(turner, bench)
    doubted = ["board_restarted" in one.doubts for one in passes]
    assert doubted == [False, not confirmed, not confirmed]


@at_two_benches
def test_two_jobs_in_one_log_with_the_part_turned_round(bench: Bench) -> None:
    turner = Turner(76)
    sets_up(turner)
    touches_off(turner)
    faces(turner, -0.3, was=0.0)
    turns(turner, 11.5, was=R, to=-7.0, enters=-0.3)
    turner.stops_spindle()
    turner.winds(12.0, cross=22.0, carriage=30.0)
    turner.rests(6.0)
    chucks(turner, length=30.0)
    turner.runs_spindle()
    turner.winds(12.0, carriage=5.0)
    touches_face(turner, 0.0)
    faces(turner, -0.4, was=0.0)
    turns(turner, 11.4, was=R, to=-6.0, enters=-0.4)
    passes = judge(turner, bench)
    first = passes[0].set_up
    assert [one.set_up - first for one in passes] == [0, 0, 1, 1]


def test_touching_off_anew_after_the_part_was_turned_round_is_needed_for_the_face_only() -> None:
    """Across, the axis of the spindle has not moved: passes along the bar are found before the face is touched."""
    turner = Turner(77)
    sets_up(turner)
    touches_off(turner)
    turns(turner, 11.5, was=R, to=-7.0)
    turner.winds(12.0, cross=22.0)
    chucks(turner, length=30.0)
    touches_face(turner, 0.0)
    turns(turner, 11.3, was=R, to=-6.0)
    judge(turner, FINE)
