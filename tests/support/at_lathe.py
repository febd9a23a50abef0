"""Waytell at a simulated lathe that is wound by hand: what has to be done before a test can begin."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from support.running import Waytell
from waytell_bridge.simulated.serving import BoardServer

STOCK = {"diameter_mm": 24.0, "length_mm": 40.0, "material": "bronze"}


def listening(board: BoardServer, folder: Path, *more: str) -> Waytell:
    """`waytell run` with its journal in a folder, once it hears the board."""
    running = Waytell("run", "--source", board.url, "--data", str(folder), *more)
    try:
        running.wait_until_live()
    except AssertionError:
        running.kill()
        raise
    return running


def set_up(running: Waytell, board: BoardServer, operation: dict[str, Any] | None = None) -> None:
    """A bar touched off where the slides truly stand as the lathe is switched on, and the operation chosen."""
    running.done("use_config", config=board.config)
    running.done("new_set_up", stock=STOCK)
    running.done("touch_off", axis="X", at_mm=16.0)
    running.done("touch_off", axis="Z", at_mm=6.0)
    if operation is not None:
        running.done("choose_operation", operation=operation)
