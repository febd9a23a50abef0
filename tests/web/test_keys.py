"""Keys, number keys and what was told so far, in a real browser."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from support.at_lathe import listening, set_up
from support.browser import fits_and_can_be_hit, opened
from support.running import Waytell
from waytell_bridge.simulated.serving import BoardServer

SEAT = {
    "name": "turn the seat", "kind": "turning", "start_mm": 0.0, "end_mm": -8.0, "target_mm": 10.5, "depth_mm": 0.5,
}  # fmt: skip
LOOKS = ((1280, 800), (800, 1280), (390, 844))


@pytest.fixture(scope="module")
def lathe(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Waytell]:
    with BoardServer(seed=7) as board:
        running = listening(board, tmp_path_factory.mktemp("data"))
        set_up(running, board, SEAT)
        yield running
        running.stop()


def tap(page: Page, *keys: str) -> None:
    for key in keys:
        page.locator(f"[data-pad='{key}']").click()


@pytest.mark.parametrize(("width", "height"), LOOKS)
def test_a_size_is_told_by_touch_alone_and_the_figure_stays_in_sight(
    browser: Browser, lathe: Waytell, width: int, height: int
) -> None:
    with opened(browser, lathe.url, "", width, height) as page:
        page.locator("[data-act='size']").click()
        field = page.get_by_label("Finished size")
        expect(field).to_be_focused()
        expect(field, "no keyboard comes over the sheet").to_have_attribute("inputmode", "none")
        tap(page, "clear", "2", "1", ".", "5", "5", "rub out")
        expect(field).to_have_value("21.5")
        expect(field).to_be_focused()
        page.keyboard.type("2")
        expect(field).to_have_value("21.52")
        fits_and_can_be_hit(page, ".entry, .pad-keys", ".pad-keys button, .entry .form-buttons button")
        covered = """() => {
          const [figure, sheet] = ["[data-figure='to-go']", ".entry"].map(
            (one) => document.querySelector(one).getBoundingClientRect());
          return figure.bottom > sheet.top && figure.right > sheet.left;
        }"""
        assert not page.evaluate(covered), "the largest figure is in sight beside the sheet"
        page.get_by_role("button", name="Use this size").click()
        lathe.wait_for(lambda state: state["operation"]["target_mm"] == 10.76)
        lathe.done("undo")


def test_the_devices_own_keyboard_can_be_had_and_is_remembered(browser: Browser, lathe: Waytell) -> None:
    with opened(browser, lathe.url, "") as page:
        page.keyboard.press("3")
        page.get_by_role("button", name="own keys").click()
        field = page.get_by_label("Deepest roughing pass")
        expect(field).to_have_attribute("inputmode", "decimal")
        expect(page.locator("[data-pad='1']")).to_have_count(0)
        page.reload()
        page.wait_for_selector("body[data-seq]")
        page.keyboard.press("3")
        page.get_by_role("button", name="number keys").click()
        expect(page.locator("[data-pad='1']")).to_have_count(1)


def test_a_foot_switch_is_learned_and_a_taken_key_is_exchanged_and_named(browser: Browser, lathe: Waytell) -> None:
    with opened(browser, lathe.url, "") as page:
        page.keyboard.press("9")
        page.get_by_role("button", name="One more key for Clamped, or freed").click()
        page.keyboard.press("F9")
        page.wait_for_selector("text=F9 is now \u201cClamped, or freed\u201d.")
        page.get_by_role("button", name="Change the key for Depth of a pass").click()
        page.keyboard.press("4")
        page.wait_for_selector("text=It was \u201cSize to reach\u201d, which now has 3.")
        page.keyboard.press("9")
        page.keyboard.press("F9")
        lathe.wait_for(lambda state: state["hold"]["armed_by"] == "person")
        # What the next press means follows from what the page shows.
        expect(page.locator("[data-act='clamp']")).to_contain_text("Freed")
        page.keyboard.press("F9")
        lathe.wait_for(lambda state: state["hold"]["armed_by"] != "person")
        expect(page.locator("[data-act='size'] kbd")).to_have_text("3")
        page.reload()
        page.wait_for_selector("body[data-seq]")
        page.keyboard.press("3")
        page.wait_for_selector("text=Size to reach")
        page.keyboard.press("Escape")
        page.keyboard.press("9")
        page.get_by_role("button", name="As at first").click()
        page.keyboard.press("9")
        expect(page.locator("[data-act='size'] kbd")).to_have_text("4")


def test_what_was_told_is_listed_and_the_last_of_it_taken_back(browser: Browser, lathe: Waytell) -> None:
    with opened(browser, lathe.url, "") as page:
        lathe.done("set_depth", depth_mm=0.33)
        page.wait_for_selector("[data-act='undo']:has-text('Depth 0.33')")
        page.keyboard.press("h")
        last = page.locator(".told-so-far li").first
        expect(last).to_contain_text("Depth 0.33 mm a pass")
        expect(last).to_contain_text("would be taken back")
        page.get_by_role("button", name="Take back the last").click()
        page.wait_for_selector(".entry-sheet", state="detached")
        assert lathe.state()["operation"]["depth_mm"] == 0.5
        page.keyboard.press("h")
        expect(page.locator(".told-so-far .undone").first).to_contain_text("taken back")
