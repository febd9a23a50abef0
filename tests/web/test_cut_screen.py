"""The Cut screen in a real browser while a simulated lathe winds: what stands there is true."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from support.at_lathe import STOCK, set_up
from support.running import Waytell, waytell
from support.watching import shown, watched
from waytell_bridge.simulated.serving import BoardServer

FACE = {
    "name": "face the end", "kind": "facing", "start_mm": 12.0, "end_mm": 0.0, "target_mm": -0.5, "depth_mm": 0.25,
}  # fmt: skip
# One count of 5 micrometres, the scale's own error of a micrometre, and half of the last digit shown.
TRUE_WITHIN_MM = 0.0075


@pytest.fixture
def lathe(board: BoardServer, tmp_path: Path) -> Iterator[Waytell]:
    with waytell("run", "--source", board.url, "--data", str(tmp_path)) as running:
        running.wait_until_live()
        set_up(running, board, FACE)
        running.done("choose_units", units={"length": "mm", "x_as": "radius"})
        yield running


@pytest.fixture
def page(browser: Browser, lathe: Waytell) -> Iterator[Page]:
    with watched(browser, lathe.url) as page:
        yield page


GOOD_TO_GO = """() => {
  const figure = document.querySelector('[data-figure="to-go"]');
  return figure.dataset.doubtful === "false" ? figure.textContent : null;
}"""


def test_the_figures_equal_the_truth_wherever_the_person_stops(board: BoardServer, page: Page) -> None:
    before = board.truth()
    assert shown(page, "to-go") == pytest.approx(16.0, abs=TRUE_WITHIN_MM)
    for slide, distance in (
        ("cross", -7.3),
        ("carriage", -4.21),
        ("cross", 2.05),
        ("carriage", 0.5),
        ("cross", -0.015),
    ):
        board.wind(slide, distance, 6.0)  # type: ignore[arg-type]
        assert board.wait(20)
        time.sleep(0.3)
        now = board.truth()
        assert shown(page, "to-go") == pytest.approx(16.0 + now.tool_x_mm - before.tool_x_mm, abs=TRUE_WITHIN_MM)
        assert shown(page, "position-X") == pytest.approx(16.0 + now.tool_x_mm - before.tool_x_mm, abs=TRUE_WITHIN_MM)
        assert shown(page, "position-Z") == pytest.approx(6.0 + now.tool_z_mm - before.tool_z_mm, abs=TRUE_WITHIN_MM)
        left = 6.0 + now.tool_z_mm - before.tool_z_mm
        assert shown(page, "remaining-pass") == pytest.approx(left + 0.25, abs=TRUE_WITHIN_MM)
        assert shown(page, "remaining-total") == pytest.approx(left + 0.5, abs=TRUE_WITHIN_MM)


def test_the_figure_follows_while_the_slide_is_wound(board: BoardServer, page: Page) -> None:
    before = board.truth()
    speed_mm_s = 2.0
    board.wind("cross", -8.0, speed_mm_s)
    lags: list[float] = []
    figures: set[str] = set()
    while not board.wait(0.05):
        asked = board.truth()
        figure = page.evaluate(GOOD_TO_GO)
        # One that is struck through claims nothing: a busy computer lets readings grow old for a moment.
        if figure is None:
            continue
        figures.add(figure)
        # The figure was drawn from a reading before it was looked at, while the truth was asked for before that.
        lags.append(float(figure.replace("\u2212", "-")) - (16.0 + asked.tool_x_mm - before.tool_x_mm))
    assert len(figures) > 20, "the figure moves"
    # As old as a reading may be before it is struck through, and a frame to draw it.
    assert max(abs(lag) for lag in lags) < speed_mm_s * (0.15 + 0.02)
    assert sorted(abs(lag) for lag in lags)[len(lags) // 2] < speed_mm_s * 0.1


def test_a_bore_is_chosen_drawn_and_its_part_finished_on_the_page(lathe: Waytell, page: Page) -> None:
    hollow = {**STOCK, "bore_mm": 10.0}
    lathe.done("new_set_up", stock=hollow)
    lathe.done("touch_off", axis="Z", at_mm=6.0)
    page.keyboard.press("9")
    page.get_by_label("boring: fed along, inside").check()
    page.get_by_label("Finished bore").fill("6")
    page.get_by_role("button", name="Use this operation").click()
    state = lathe.wait_for(lambda now: now["operation"] and now["operation"]["kind"] == "boring")
    assert (state["operation"]["target_mm"], state["operation"]["end_mm"]) == (6.0, -10.0), (
        "read as radii, as X is shown"
    )
    page.keyboard.press("Escape")
    page.locator("[data-do='screen']").click()
    # Hatched is the metal alone: of a bar of 24 mm and 40 mm long, with a bore of 10 mm.
    # The drawing follows with the next state.
    page.wait_for_function(
        """() => {
          const drawn = document.querySelector(".hatched")?.getAttribute("d")?.match(/-?[0-9.]+ -?[0-9.]+/g) ?? [];
          const [x, y] = [0, 1].map((at) => drawn.map((pair) => Number(pair.split(" ")[at])));
          const ratio = (Math.max(...y) - Math.min(...y)) / (Math.max(...x) - Math.min(...x));
          return Math.abs(ratio / ((12 - 5) / 40) - 1) < 0.01;
        }"""
    )
    page.keyboard.press("8")
    page.get_by_label("Measured size").fill("6.01")
    page.get_by_role("button", name="Measured", exact=True).click()
    page.wait_for_selector(".entry-sheet", state="detached")
    page.keyboard.press("8")
    page.get_by_label("part done").check()
    page.get_by_role("button", name="Part 1 is done").click()
    lathe.wait_for(lambda now: now["work"]["part"] == 2)
    page.wait_for_selector("text=Part 2")
    acts = [
        event["body"]["act"] for event in lathe.client.get("/api/events").json()["events"] if event["kind"] == "act"
    ]
    measured = next(act for act in acts if act["act"] == "measured")
    assert (measured["operation"], measured["axis"], measured["at_mm"]) == ("bore", "X", 6.01)
