"""What the fault tests share: a bar touched off and about to be faced, and figures that are true or struck through."""

from __future__ import annotations

import time

import pytest
from playwright.sync_api import Page

from support.at_lathe import set_up
from support.running import Waytell
from support.watching import good_figures, shown
from waytell_bridge.simulated.serving import BoardServer

FACE = {
    "name": "face the end", "kind": "facing", "start_mm": 12.0, "end_mm": 0.0, "target_mm": -0.5, "depth_mm": 0.25,
}  # fmt: skip
AT_MM = 16.0
"""To go, as the lathe is switched on: the face is fed to the centre."""
# One count of 5 micrometres, the scale's own error of a micrometre, and half of the last digit shown.
TRUE_WITHIN_MM = 0.0075
# As old as a reading may be when it is sent, as long as a page waits for the next, and the frames until that is drawn.
LATE_S = 0.15 + 0.25 + 0.05


def ready(running: Waytell, board: BoardServer) -> None:
    running.wait_until_live()
    set_up(running, board, FACE)
    running.done("choose_units", units={"length": "mm", "x_as": "radius"})


def good_and_true(page: Page, board: BoardServer) -> None:
    # Where the way of the readings seems to have grown, that is believed after 20 s; until then they count as late.
    page.wait_for_selector('[data-figure="to-go"][data-doubtful="false"]', timeout=30_000)
    until_s = time.monotonic() + 5
    while shown(page, "to-go") != pytest.approx(board.truth().tool_x_mm, abs=TRUE_WITHIN_MM):
        assert time.monotonic() < until_s, (shown(page, "to-go"), board.truth().tool_x_mm)
        time.sleep(0.05)


def never_wrong(page: Page, board: BoardServer, distance_mm: float, speed_mm_s: float) -> int:
    """Winds the cross-slide: each figure that stood there as good was true when it was drawn, or a little before.

    Gives the number of them.
    """
    since_s = time.time()
    truth = [(since_s, board.truth().tool_x_mm)]
    board.wind("cross", distance_mm, speed_mm_s)
    while not board.wait(0.005):
        truth.append((time.time(), board.truth().tool_x_mm))
    time.sleep(LATE_S)
    truth.append((time.time(), board.truth().tool_x_mm))
    drawn = [(at_s, figure) for at_s, figure in good_figures(page) if since_s <= at_s]
    for at_s, figure in drawn:
        # This program may be held up as well: what it saw of the truth right before and after counts, too.
        before_s = max((told_s for told_s, _ in truth if told_s < at_s - LATE_S), default=since_s)
        next_s = next((told_s for told_s, _ in truth if told_s > at_s), at_s)
        near = [place for told_s, place in truth if before_s <= told_s <= next_s]
        assert min(near) - 0.05 <= figure <= max(near) + 0.05, (at_s - since_s, figure, near)
    return len(drawn)
