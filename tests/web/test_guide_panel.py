"""The guide on the page: followed with its two keys through a first face, at a simulated lathe."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from support.at_lathe import STOCK, Hands, listening
from support.browser import fits_and_can_be_hit, opened
from support.running import Waytell
from waytell_bridge.simulated.serving import BoardServer

FACE = {
    "name": "face the end", "kind": "facing", "start_mm": 12.0, "end_mm": 0.0, "target_mm": -0.8, "depth_mm": 0.4,
    "free_first_pass": True,
}  # fmt: skip


def state(page: Page, name: str) -> None:
    page.wait_for_selector(f"[data-guide][data-state='{name}']", timeout=10_000)


def move(page: Page) -> str:
    return page.text_content("[data-guide-move]") or ""


@pytest.fixture
def lathe(board: BoardServer, tmp_path: Path) -> Iterator[Waytell]:
    running = listening(board, tmp_path)
    running.done("use_config", config=board.config)
    yield running
    running.stop()


def test_from_the_chuck_to_a_new_reference_face_with_two_keys(
    browser: Browser, board: BoardServer, lathe: Waytell
) -> None:
    with opened(browser, lathe.url, "") as page:
        state(page, "chuck")
        lathe.done("new_set_up", stock=STOCK)
        state(page, "cautions")
        page.keyboard.press("/")
        page.get_by_role("button", name="All seen to").click()
        page.wait_for_selector("text=Not all of it is ticked.")
        for tick in page.locator(".entry .tick input").all():
            tick.check()
        page.get_by_role("button", name="All seen to").click()
        state(page, "slow_spin")
        page.keyboard.press("/")
        state(page, "touch_x")
        lathe.done("touch_off", axis="X", at_mm=16.0)
        lathe.done("touch_off", axis="Z", at_mm=6.0)
        state(page, "choose")
        lathe.done("choose_operation", operation=FACE)
        hands = Hands(board)
        hands.wind("cross", 13.0)
        state(page, "advance")
        hands.wind("carriage", -0.4)
        state(page, "skim")
        time.sleep(0.4)
        hands.wind("cross", 0.0, 4.0)
        hands.wind("cross", 13.0)
        state(page, "face_clean")
        page.keyboard.press("-")
        state(page, "advance")
        assert move(page).startswith("Wind the carriage in by ")
        page.keyboard.press("0")
        state(page, "face_clean")
        page.get_by_role("button", name="Clean all over").click()
        state(page, "new_face")
        page.keyboard.press("/")
        state(page, "next_step")
        now = lathe.state()
        # The carriage was free: it was pushed back a little in the cut.
        along = next(axis for axis in now["axes"] if axis["axis"] == "Z")["position"]
        assert along["value_mm"] == pytest.approx(0.0, abs=0.03)
        assert now["undo"] == "Touched off Z at Z 0.000 mm"
        for width, height in ((1280, 800), (800, 1280), (390, 844)):
            page.set_viewport_size({"width": width, "height": height})
            fits_and_can_be_hit(page, "main, .guide, .guide-keys button")
