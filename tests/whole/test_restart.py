"""Kill -9 and start again: what was confirmed is there, and the figures go on where the board still counts."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from support.at_lathe import listening, set_up
from support.running import Waytell, figure, waytell
from waytell.replay import replay
from waytell_bridge.simulated.serving import BoardServer

TURN = {"name": "turn", "kind": "turning", "start_mm": 0.0, "end_mm": -6.0, "target_mm": 10.0, "depth_mm": 0.5}


@pytest.fixture
def board() -> Iterator[BoardServer]:
    """A board that stays powered while the server comes and goes."""
    with BoardServer(settings=None, seed=4) as server:
        yield server


def turn(running: Waytell, board: BoardServer) -> None:
    """One pass at the true radius 11.5: from 6 mm before the face to Z -6."""
    board.do(lambda person: person.spindle(800.0))
    board.wind("cross", -4.5, 5.0)
    board.wind("carriage", -12.0, 3.0)
    board.wind("carriage", 12.0, 10.0)
    assert board.wait(30)
    running.wait_for(lambda state: state["passes"] >= 1)


def test_datums_operation_and_passes_survive_kill_9(board: BoardServer, tmp_path: Path) -> None:
    running = listening(board, tmp_path)
    set_up(running, board, TURN)
    turn(running, board)
    before = running.wait_for(lambda state: figure(state, "X")["good"] and figure(state, "Z")["good"])
    passes = running.passes()
    assert [one["kind"] for one in passes] == ["turning"]
    running.kill()

    again = listening(board, tmp_path)
    try:
        now = again.wait_for(lambda state: figure(state, "X")["good"] and figure(state, "Z")["good"])
        for axis in ("X", "Z"):
            assert figure(now, axis)["value_mm"] == pytest.approx(figure(before, axis)["value_mm"], abs=0.02)
        assert again.passes() == passes
        for same in ("operation", "tool", "work", "passes", "last_pass", "undo"):
            assert now[same] == before[same], same
    finally:
        again.stop()


def test_slides_moved_while_the_server_was_down_are_read_right(board: BoardServer, tmp_path: Path) -> None:
    running = listening(board, tmp_path)
    set_up(running, board, TURN)
    before = running.stands_mm("X")
    running.kill()
    board.wind("cross", -3.0, 5.0)
    assert board.wait(10)

    with waytell("run", "--source", board.url, "--data", str(tmp_path)) as again:
        now = again.wait_for(lambda state: figure(state, "X")["good"])
        assert figure(now, "X")["value_mm"] == pytest.approx(before - 3.0, abs=0.02)


def test_a_board_that_lost_its_counts_meanwhile_makes_the_figures_doubtful(board: BoardServer, tmp_path: Path) -> None:
    running = listening(board, tmp_path)
    set_up(running, board, TURN)
    running.kill()
    board.fault("restart")

    with waytell("run", "--source", board.url, "--data", str(tmp_path)) as again:
        now = again.wait_for(lambda state: state["link"]["boot"])
        assert figure(now, "X")["good"] is False
        assert "board_restarted" in figure(now, "X")["reasons"]
        again.done("touch_off", axis="X", at_mm=16.0)
        now = again.wait_for(lambda state: figure(state, "X")["good"])
        assert figure(now, "Z")["good"] is False, "only what was touched off again is good again"


def test_a_recording_begun_later_tells_the_set_up_and_where_the_tool_stands(board: BoardServer, tmp_path: Path) -> None:
    first = listening(board, tmp_path)
    set_up(first, board, TURN)
    first.stop()
    log = tmp_path / "later.wirelog"
    again = listening(board, tmp_path, "--record", str(log))
    again.wait_for(lambda state: figure(state, "X")["good"] and figure(state, "Z")["good"])
    until_s = time.monotonic() + 10
    while log.read_text().count("touch_off") < 2:
        assert time.monotonic() < until_s, log.read_text()[:2000]
        time.sleep(0.05)
    turn(again, board)
    passes = again.passes()
    again.stop()

    found = replay(log.read_text().splitlines(), "log")
    assert found.troubles == []
    assert [one.kind for one in found.passes] == ["turning"]
    for name in ("depth_mm", "held_mm", "end_mm"):
        assert getattr(found.passes[0], name) == pytest.approx(passes[-1][name], abs=0.011)


def test_ctrl_c_ends_clean(board: BoardServer, tmp_path: Path) -> None:
    running = listening(board, tmp_path)
    assert running.stop() == 0
    assert "Traceback" not in "".join(running.output)
