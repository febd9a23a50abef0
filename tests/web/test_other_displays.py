"""A phone is let in: the code is shown at the computer, scanned as a camera would, and taken away again.

Reference for what a QR code says (ISO/IEC 18004): zxing-cpp, which knows nothing of what drew it.
"""

from __future__ import annotations

import io
from collections.abc import Iterator

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Browser, Page, expect

from support.at_lathe import set_up
from support.browser import fits_and_can_be_hit, opened
from support.lan import needs_network, on_the_network
from support.running import Waytell
from waytell_bridge.simulated.serving import BoardServer

pytestmark = needs_network
REFUSED = "status of 40"
FACE = {
    "name": "face the end", "kind": "facing", "start_mm": 12.0, "end_mm": 0.0, "target_mm": -0.5, "depth_mm": 0.25,
}  # fmt: skip


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Waytell, str]]:
    with (
        BoardServer(seed=7) as board,
        on_the_network(board.url, tmp_path_factory.mktemp("lan")) as (running, elsewhere),
    ):
        running.wait_until_live()
        set_up(running, board)
        running.done("choose_operation", operation=FACE)
        yield running, elsewhere


def scanned(at_computer: Page) -> str:
    """What a camera reads off the screen."""
    picture = Image.open(io.BytesIO(at_computer.locator(".shown-code img").screenshot()))
    (code,) = zxingcpp.read_barcodes(picture)
    return str(code.text)


@pytest.mark.parametrize("right", ["watch", "operate"])
def test_a_phone_is_let_in_by_a_scan_and_taken_away(browser: Browser, served: tuple[Waytell, str], right: str) -> None:
    running, elsewhere = served
    phone = browser.new_context(viewport={"width": 390, "height": 844}).new_page()
    with opened(browser, running.url, "/devices") as at_computer:
        at_computer.click(f"[data-show={right}]")
        address = scanned(at_computer)
        assert address.startswith(f"{elsewhere}/pair#")
        phone.goto(f"{elsewhere}/")
        expect(phone).to_have_url(f"{elsewhere}/pair")
        phone.goto("about:blank")
        phone.goto(address)
        # The code does not stay in the history.
        expect(phone).to_have_url(f"{elsewhere}/pair")
        phone.fill("input[maxlength]", f"phone to {right}")
        phone.click("button[type=submit]")
        expect(phone.locator("[data-figure=position-Z]")).to_have_attribute("data-doubtful", "false", timeout=10_000)
        expect(phone.locator("[data-watching]")).to_be_visible(visible=right == "watch")

        held = running.state()["hold"]
        phone.keyboard.press("2")
        if right == "watch":
            expect(phone.locator("[data-refusal]")).to_contain_text("may watch only")
            assert running.state()["hold"] == held

        row = at_computer.locator(f"[data-device='phone to {right}']")
        expect(row).to_contain_text(f"may {right}")
        row.locator("button").click()
        expect(phone.locator("body")).not_to_have_attribute("data-link", "live")
        expect(at_computer.locator(f"[data-device='phone to {right}']")).to_have_count(0)
        phone.goto(f"{elsewhere}/")
        expect(phone).to_have_url(f"{elsewhere}/pair")
    phone.context.close()


def test_a_wrong_code_is_told_with_what_to_do(browser: Browser, served: tuple[Waytell, str]) -> None:
    _, elsewhere = served
    with opened(browser, elsewhere, "/pair", told_anyway=REFUSED) as page:
        page.fill("input.code", "0000 0000")
        page.click("button[type=submit]")
        expect(page.locator("form")).to_contain_text("at the computer")
        expect(page.locator("input.code")).to_have_value("0000 0000")


@pytest.mark.parametrize("size", [(1280, 800), (800, 1280), (390, 844)])
@pytest.mark.parametrize("place", ["/devices", "/pair"])
def test_it_fits_and_can_be_hit(
    browser: Browser, served: tuple[Waytell, str], place: str, size: tuple[int, int]
) -> None:
    with opened(browser, served[0].url, place, *size) as page:
        if place == "/devices":
            page.click("[data-show=operate]")
            page.wait_for_selector("[data-code]")
        fits_and_can_be_hit(page)
