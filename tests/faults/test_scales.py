"""Slides and scales that are not as they should be: one that moves though it is held, a dead one, one too few."""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path

from playwright.sync_api import Browser, Page

from faults.table import causes
from support.running import Waytell, waytell
from support.watching import SEEN_WITHIN_S, calm, seen_since, shown
from waytell_bridge.simulated.serving import BoardServer
from waytell_bridge.simulated.settings import Settings, config_document


@causes("held slide moved")
def test_a_creep_of_the_clamped_carriage_warns_at_once(board: BoardServer, lathe: Waytell, page: Page) -> None:
    board.wind("carriage", -6.2, 5.0)
    assert board.wait(20)
    lathe.done("clamp", axis="Z", held=True)
    board.wind("cross", -12.0, 1.0)
    lathe.wait_for(
        lambda state: state["hold"]["armed_by"] == "person" and state["axes"][0]["position"].get("value_mm", 9) < 9
    )
    page.wait_for_selector("[data-hold=held]")
    calm(page)
    assert page.get_attribute("[data-hold]", "data-hold") == "held"
    crept_s = time.time()
    board.fault("creep", slide="carriage", mm=0.05, seconds=0.02)
    assert seen_since(page, crept_s, "limit") < SEEN_WITHIN_S
    alarm = page.locator("[role=alert]").first
    assert "carriage moved" in (alarm.text_content() or "").lower()


@causes("scale dead")
def test_a_dead_scale_makes_no_pass_and_its_figure_does_not_move(
    board: BoardServer, lathe: Waytell, page: Page
) -> None:
    """The counts alone cannot tell it from a slide that stands."""
    board.do(lambda person: person.spindle(800.0))
    board.wind("carriage", -6.2, 5.0)
    board.wind("cross", -2.0, 5.0)
    assert board.wait(20)
    board.fault("frozen", scale=0)
    time.sleep(0.5)
    before = shown(page, "to-go")
    asked = lathe.state()["guide"]["state"]
    board.wind("cross", -13.0, 3.0)
    board.wind("cross", 13.0, 6.0)
    assert board.wait(20)
    calm(page)
    assert shown(page, "to-go") == before
    state = lathe.state()
    assert (state["guide"]["state"], state["passes"]) == (asked, 0)


@causes("fewer scales")
def test_a_board_with_fewer_scales_than_are_set_up_is_said(browser: Browser, tmp_path: Path) -> None:
    plain = Settings()
    one = replace(plain, scales=plain.scales[:1])
    with BoardServer(settings=one) as board, waytell("run", "--source", board.url, "--data", str(tmp_path)) as running:
        running.wait_until_live()
        running.done("use_config", config=config_document(plain))
        page = browser.new_page()
        page.goto(running.url)
        page.wait_for_function(
            "() => document.querySelector('[data-doubt]').textContent.includes('fewer scales than are set up')"
        )
        page.close()
