"""A plan at a simulated lathe: a pass that was shallower or deeper than planned changes the rest (invented part)."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from support.at_lathe import listening
from support.running import Waytell
from waytell_bridge.simulated.serving import BoardServer

SPACER: dict[str, Any] = {
    "name": "spacer (invented)",
    "material": "aluminium alloy",
    "bar": {"diameter_mm": 24.0},
    "set_ups": [{"out_mm": 40.0, "sawn_mm": 0.0}],
    "features": [{"kind": "turned", "diameter": {"mm": 20.0, "tolerance_class": "h9"}, "to": 8.0}],
}


@pytest.fixture
def board() -> Iterator[BoardServer]:
    with BoardServer(settings=None, seed=4) as server:
        yield server


@pytest.fixture
def lathe(board: BoardServer, tmp_path: Path) -> Iterator[Waytell]:
    running = listening(board, tmp_path)
    running.done("use_config", config=board.config)
    running.done("use_part", part=SPACER)
    running.done("new_set_up", of_part=1)
    # Where the slides truly stand as the lathe is switched on.
    running.done("touch_off", axis="X", at_mm=16.0)
    running.done("touch_off", axis="Z", at_mm=6.0)
    board.do(lambda person: person.spindle(800.0))
    yield running
    running.stop()


def steps(running: Waytell) -> list[dict[str, Any]]:
    return list(running.client.get("/api/plan").raise_for_status().json()["planned"]["plan"]["steps"])


def turn_at(running: Waytell, board: BoardServer, in_mm: float, feed_mm_s: float = 3.0) -> None:
    """Wind the cross-slide in by some way, turn to the shoulder, and come back."""
    before = running.state()["passes"]
    board.wind("cross", -in_mm, 5.0)
    board.wind("carriage", -13.85, feed_mm_s)
    board.wind("carriage", 13.85, 10.0)
    board.wind("cross", in_mm, 5.0)
    assert board.wait(40)
    running.wait_for(lambda state: state["passes"] > before)


def test_a_pass_that_was_not_as_planned_changes_the_rest(lathe: Waytell, board: BoardServer) -> None:
    rough = steps(lathe)[0]
    assert rough["state"] == "next"
    depths = [one["depth_mm"] for one in rough["passes"]]
    lathe.done("choose_operation", operation=rough["operation"])
    turn_at(lathe, board, 16.0 - 12.0 + 0.2)
    again = steps(lathe)[0]
    left = [one["depth_mm"] for one in again["passes"]]
    # 0.2 mm of about 2 were taken: what is left is shared out anew.
    assert sum(left) == pytest.approx(sum(depths) - 0.2, abs=0.02)
    assert again["was"] == f"was {depths[0]:.2f}, now {left[0]:.2f}"
    assert lathe.state()["replanned"] == again["was"]


def test_a_pass_that_went_too_deep_says_what_can_be_saved(lathe: Waytell, board: BoardServer) -> None:
    finish = next(step for step in steps(lathe) if step["limits"])
    lathe.done("choose_operation", operation=finish["operation"])
    turn_at(lathe, board, 16.0 - 9.8)
    spoilt = next(step for step in steps(lathe) if step["limits"])
    assert spoilt["state"] == "cannot"
    assert "19.6" in spoilt["trouble"]
    assert "saved" in spoilt["trouble"]
