"""Killed in the middle of a pass and started again: the readings before and after make one pass, told once."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from faults.table import causes
from support.at_lathe import listening, set_up
from support.running import figure
from waytell.journal.store import Store, journal_url
from waytell_bridge.simulated.serving import BoardServer
from waytell_bridge.simulated.settings import Settings

TURN = {"name": "turn", "kind": "turning", "start_mm": 0.0, "end_mm": -12.0, "target_mm": 10.0, "depth_mm": 0.5}
FEED_MM_S = 1.5
# A scale of 5 micrometres, its own errors, and half of the step in which a pass is followed.
PLACE_MM = 0.06


def board_with(start_us: int) -> BoardServer:
    plain = Settings()
    return BoardServer(settings=replace(plain, board=replace(plain.board, start_us=start_us)), seed=4)


@pytest.fixture
def board() -> Iterator[BoardServer]:
    """Its clock of 32 bits begins anew three seconds after it was switched on."""
    with board_with((1 << 32) - 3_000_000) as server:
        yield server


@causes("killed during a pass")
@pytest.mark.parametrize("while_down", ["fed on", "rested"])
def test_a_pass_under_way_at_a_kill_is_told_whole_and_once(board: BoardServer, tmp_path: Path, while_down: str) -> None:
    running = listening(board, tmp_path)
    set_up(running, board, TURN)
    # A pass is no pass while the tach says that the spindle stands.
    board.do(lambda person: person.spindle(800.0))
    board.wind("cross", -4.5, 5.0)
    assert board.wait(20)
    fed_on = while_down == "fed on"
    board.wind("carriage", -18.0 if fed_on else -11.0, FEED_MM_S)
    running.wait_for(lambda state: state["stroke"] is not None and figure(state, "Z")["value_mm"] < -3.0, 20)
    if not fed_on:
        assert board.wait(20)
        # What is younger than a piece of readings may be lost.
        time.sleep(2.0)
    running.kill()

    again = listening(board, tmp_path)
    try:
        assert board.wait(30)
        if not fed_on:
            board.wind("carriage", -7.0, FEED_MM_S)
            assert board.wait(20)
        board.wind("cross", 3.0, 5.0)
        board.wind("carriage", 18.0, 10.0)
        assert board.wait(20)
        again.wait_for(lambda state: state["passes"] >= 1)
        taken = again.passes()
    finally:
        again.stop()
    # Backing out along the shoulder may be told as well.
    turned = [one for one in taken if one["kind"] == "turning"]
    assert len(turned) == 1
    assert turned[0]["start_mm"] == pytest.approx(0.0, abs=0.3 + PLACE_MM)
    assert turned[0]["end_mm"] == pytest.approx(-12.0, abs=PLACE_MM)
    assert turned[0]["held_mm"] == pytest.approx(11.5, abs=0.02)
    kept = Store(journal_url(tmp_path)).load("lathe")
    assert [event.body["pass"] for event in kept if event.kind == "pass_finished"] == taken


def test_slides_moved_while_nobody_listened_are_no_jump(board: BoardServer, tmp_path: Path) -> None:
    running = listening(board, tmp_path)
    set_up(running, board, TURN)
    before = running.stands_mm("X")
    # The clock begins anew, and readings of after that are stored.
    time.sleep(6.0)
    running.kill()
    board.wind("cross", -6.0, 10.0)
    assert board.wait(10)
    again = listening(board, tmp_path)
    try:
        now = again.wait_for(lambda state: figure(state, "X")["good"])
        assert figure(now, "X")["value_mm"] == pytest.approx(before - 6.0, abs=0.02)
    finally:
        again.stop()
