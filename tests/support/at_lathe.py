"""Waytell at a simulated lathe that is wound by hand: what has to be done before a test can begin."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any, Literal

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


TURN_RPM = 800.0
CLEAR_X_MM, CLEAR_Z_MM = 14.0, 1.5
REST_S = 0.4


class Hands:
    """Winds the slides of a lathe by hand to work coordinates, from where they stand as it is switched on."""

    def __init__(self, board: BoardServer) -> None:
        self._board = board
        self._at = {"cross": 16.0, "carriage": 6.0}
        board.do(lambda person: person.spindle(TURN_RPM))

    def wind(self, slide: Literal["cross", "carriage"], to_mm: float, speed_mm_s: float = 12.0) -> None:
        self._board.wind(slide, to_mm - self._at[slide], speed_mm_s)
        assert self._board.wait(60)
        self._at[slide] = to_mm

    def turn(self, x_mm: float, to_z_mm: float = -8.0) -> None:
        """One pass, and clear of the work again."""
        self.wind("cross", CLEAR_X_MM)
        self.wind("carriage", CLEAR_Z_MM)
        self.wind("cross", x_mm, 6.0)
        time.sleep(REST_S)
        self.wind("carriage", to_z_mm, 3.0)
        self.wind("cross", CLEAR_X_MM)
        self.wind("carriage", CLEAR_Z_MM)
        time.sleep(REST_S)
