"""Entering what the micrometer says, in a real browser: what a size says is there before it is told."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from support.at_lathe import Hands, listening, set_up
from support.browser import fits_and_can_be_hit, opened
from support.running import Waytell
from waytell_bridge.simulated.serving import BoardServer

SEAT = {
    "name": "turn the seat", "kind": "turning", "start_mm": 0.0, "end_mm": -8.0, "target_mm": 10.54, "depth_mm": 0.5,
    "tolerance_mm": 0.02,
}  # fmt: skip
# Nothing covers it, and it is at most three lines.
IN_ORDER = """() => {
  const [above, here, below] = [".held", "[data-learned]", "[data-acts]"].map(
    (one) => document.querySelector(one).getBoundingClientRect());
  return above.bottom <= here.top && here.bottom <= below.top && here.height <= 80;
}"""
LOOKS = ((1280, 800), (800, 1280), (390, 844))


@pytest.fixture(scope="module")
def lathe(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Waytell]:
    """Two passes of different depth measured, the third one not yet."""
    with BoardServer(seed=7) as board:
        running = listening(board, tmp_path_factory.mktemp("data"))
        set_up(running, board, SEAT)
        hands = Hands(board)
        for place, size in ((11.5, 11.529), (11.3, 11.315)):
            hands.turn(place)
            running.done("measured", operation=SEAT["name"], axis="X", at_mm=size, u_mm=0.002)
        hands.turn(10.5)
        running.wait_for(lambda state: state["passes"] == 3)
        yield running
        running.stop()


def text(page: Page, selector: str) -> str:
    return page.locator(selector).text_content(timeout=5000) or ""


@pytest.mark.parametrize(("width", "height"), LOOKS)
def test_the_advice_stands_under_the_figures_and_crowds_nothing(
    browser: Browser, lathe: Waytell, width: int, height: int
) -> None:
    with opened(browser, lathe.url, "", width, height) as page:
        page.wait_for_selector("[data-learned]")
        assert text(page, "[data-learned]") == lathe.state()["learned"]["words"]
        # On a busy machine a doubt may stand there for a moment, and move all below it.
        page.wait_for_function(IN_ORDER)
        fits_and_can_be_hit(page, "main")


def test_a_size_says_its_verdict_difference_and_advice_before_it_is_told(browser: Browser, lathe: Waytell) -> None:
    with opened(browser, lathe.url, "") as page:
        before = lathe.state()["events"]
        page.keyboard.press("8")
        page.get_by_label("Measured size").fill("21.11")
        page.wait_for_selector("[data-tried='true']")
        # What the micrometer is sure to comes from the configuration: 4 micrometres of a diameter.
        assert page.locator(".entry").get_by_label("Sure within").input_value() == "0.004"
        assert text(page, ".tried-size [data-verdict='outside']") == "✕\xa0proved above its upper limit: metal is left"
        assert "mm more than the readout, diameter 21.0" in text(page, "[data-difference]")
        page.get_by_label("Measured size").fill("21.088")
        page.wait_for_selector(".tried-size [data-verdict='within']")
        assert text(page, "[data-advice]") == "Nothing is left to take off, by the sizes that were measured."
        page.get_by_label("Measured size").fill("21.099")
        page.wait_for_selector(".tried-size [data-verdict='open']")
        page.get_by_label("Measured size").fill("21.0x")
        page.wait_for_selector("[data-tried='false']")
        assert text(page, ".tried-size") == ""
        assert lathe.state()["events"] == before, "nothing was told yet"
        page.get_by_label("Measured size").fill("21.099")
        page.wait_for_selector(".tried-size [data-verdict='open']")
        advice = text(page, "[data-advice]")
        page.get_by_role("button", name="Measured", exact=True).click()
        page.wait_for_selector(".entry-sheet", state="detached")
        page.wait_for_function("words => document.querySelector('[data-learned]').textContent === words", arg=advice)
        event = lathe.client.get("/api/events").json()["events"][-1]
        assert event["words"] == "turn the seat measured: diameter 21.099 mm, too near a limit to tell"
        assert (event["body"]["act"]["u_mm"], event["body"]["act"]["at_mm"]) == (0.002, 10.5495)
        lathe.done("undo")


def test_touching_off_by_the_last_pass_shows_the_difference_but_no_advice_in_a_datum_that_ends(
    browser: Browser, lathe: Waytell
) -> None:
    with opened(browser, lathe.url, "") as page:
        page.keyboard.press("1")
        page.get_by_label("across (X)").check()
        page.get_by_label("cut, then measured").check()
        page.get_by_label("Diameter there").fill("21.11")
        page.wait_for_selector("[data-tried='true']")
        assert "more than the readout" in text(page, "[data-difference]")
        assert "above its upper limit" in text(page, ".tried-size [data-verdict='outside']")
        assert page.locator("[data-advice]").count() == 0
        page.get_by_label("where it is now").check()
        page.wait_for_selector(".tried-size", state="detached")


def test_the_micrometer_is_entered_once_and_remembered(browser: Browser, lathe: Waytell) -> None:
    with opened(browser, lathe.url, "") as page:
        page.keyboard.press("9")
        page.get_by_label("Your micrometer is sure within").fill("10")
        page.get_by_role("button", name="Keep these").click()
        lathe.wait_for(lambda _: lathe.client.get("/api/config").json()["machine"]["micrometer_u_um"] == 10.0)
        page.locator("[data-do='screen']").click()
        page.keyboard.press("8")
        page.get_by_label("Measured size").fill("21.092")
        page.wait_for_selector(".tried-size [data-verdict='open']")
        assert page.locator(".entry").get_by_label("Sure within").input_value() == "0.01"
