"""The Cut screen in a real browser while a simulated lathe winds: what stands there is true, and doubt is loud.

Times are taken in the browser at the frame in which the change was drawn, against the same computer's clock.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from support.at_lathe import STOCK, set_up
from support.running import Waytell, waytell
from waytell_bridge.simulated.serving import BoardServer

FACE = {
    "name": "face the end", "kind": "facing", "start_mm": 12.0, "end_mm": 0.0, "target_mm": -0.5, "depth_mm": 0.25,
}  # fmt: skip
# One count of 5 micrometres, the scale's own error of a micrometre, and half of the last digit shown.
TRUE_WITHIN_MM = 0.0075
SEEN_WITHIN_S = 0.3
# Looks at the page in every frame and notes what changed, with the wall-clock time in seconds.
WATCHER = """() => {
  window.seen = [];
  let last = "";
  const look = () => {
    const toGo = document.querySelector('[data-figure="to-go"]');
    const now = [toGo.dataset.doubtful, document.querySelector('[data-hold]').dataset.hold].join(" ");
    if (now !== last) window.seen.push([(performance.timeOrigin + performance.now()) / 1000, now]);
    last = now;
    requestAnimationFrame(look);
  };
  look();
}"""


CALM = """seconds => {
  const [since, what] = window.seen.at(-1);
  return what.startsWith("false") && (performance.timeOrigin + performance.now()) / 1000 - since > seconds;
}"""


def calm(page: Page) -> None:
    """A busy computer lets readings grow old for a moment, which is seen as well: what is caused comes after that."""
    page.wait_for_function(CALM, arg=0.5, timeout=20_000)


@pytest.fixture
def lathe(board: BoardServer, tmp_path: Path) -> Iterator[Waytell]:
    with waytell("run", "--source", board.url, "--data", str(tmp_path)) as running:
        running.wait_until_live()
        set_up(running, board, FACE)
        running.done("choose_units", units={"length": "mm", "x_as": "radius"})
        yield running


@pytest.fixture
def page(browser: Browser, lathe: Waytell) -> Iterator[Page]:
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.goto(lathe.url)
    page.wait_for_selector('[data-figure="to-go"][data-doubtful="false"]')
    page.evaluate(WATCHER)
    calm(page)
    yield page
    page.close()
    assert faults == []


GOOD_TO_GO = """() => {
  const figure = document.querySelector('[data-figure="to-go"]');
  return figure.dataset.doubtful === "false" ? figure.textContent : null;
}"""


def shown(page: Page, figure: str) -> float:
    text = page.text_content(f'[data-figure="{figure}"]')
    assert text is not None
    return float(text.replace("\u2212", "-"))


def seen_since(page: Page, since_s: float, holds: str, within_s: float = 5.0) -> float:
    """Seconds from `since_s` until the page first showed something."""
    until_s = time.monotonic() + within_s
    while time.monotonic() < until_s:
        seen: list[list[Any]] = page.evaluate("window.seen")
        for at_s, what in seen:
            if at_s >= since_s and holds in what:
                return float(at_s) - since_s
        time.sleep(0.02)
    raise AssertionError(f"the page never showed {holds!r}: {page.evaluate('window.seen')}")


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


def test_pulling_the_cable_strikes_the_figures_and_plugging_in_recovers(board: BoardServer, page: Page) -> None:
    pulled_s = time.time()
    board.fault("unplug", seconds=1.5)
    assert seen_since(page, pulled_s, "true") < SEEN_WITHIN_S
    decoration = page.eval_on_selector('[data-figure="to-go"]', "e => getComputedStyle(e).textDecorationLine")
    assert "line-through" in decoration
    assert page.is_visible("[data-doubt]")
    assert seen_since(page, pulled_s + 1.0, "false", within_s=8.0) > 0
    assert shown(page, "to-go") == pytest.approx(16.0, abs=TRUE_WITHIN_MM)


def test_a_silent_board_is_seen_though_the_line_stays_open(board: BoardServer, page: Page) -> None:
    silent_s = time.time()
    board.fault("silence", seconds=1.0)
    assert seen_since(page, silent_s, "true") < SEEN_WITHIN_S


def test_a_restarted_board_strikes_the_figures_until_they_are_touched_off(
    board: BoardServer, lathe: Waytell, page: Page
) -> None:
    restarted_s = time.time()
    board.fault("restart")
    assert seen_since(page, restarted_s, "true") < SEEN_WITHIN_S
    time.sleep(0.5)
    assert "restarted" in (page.text_content("[data-doubt]") or "")
    assert lathe.act("touch_off", axis="X", at_mm=16.0).status_code == 200
    page.wait_for_selector('[data-figure="to-go"][data-doubtful="false"]')


def test_missed_edges_are_seen_at_once(board: BoardServer, page: Page) -> None:
    missed_s = time.time()
    board.fault("missed_edges", scale=0, edges=40)
    board.wind("cross", -0.5, 5.0)
    assert seen_since(page, missed_s, "true") < SEEN_WITHIN_S


def test_a_jump_no_hand_can_wind_is_seen_at_once(board: BoardServer, page: Page) -> None:
    jumped_s = time.time()
    board.wind("cross", -6.0, 900.0)
    assert seen_since(page, jumped_s, "true") < SEEN_WITHIN_S
    assert "further than a hand can wind" in (page.text_content("[data-doubt]") or "")


def test_a_display_that_shows_other_figures_is_struck_and_the_others_are_told(
    browser: Browser, lathe: Waytell, page: Page
) -> None:
    """As where a browser kept an old script: here one that doubles all radii."""
    figures = lathe.client.get("/static/js/figures.js").text
    old = figures.replace("? 2 : 1", "? 2 : 2")
    assert old != figures
    other = browser.new_page()
    other.route("**/figures.js", lambda route: route.fulfill(body=old, content_type="text/javascript"))
    other.add_init_script(f"addEventListener('load', {WATCHER})")
    other.goto(lathe.url)
    page.wait_for_function("() => document.querySelector('[data-alarms]').textContent.includes('A display shows 32.')")
    assert page.get_attribute('[data-figure="to-go"]', "data-doubtful") == "false", "this one is right"
    other.wait_for_selector('[data-figure="to-go"][data-doubtful="true"]')
    seen = other.evaluate("window.seen")
    good = next(n for n, (_, what) in enumerate(seen) if what.startswith("false"))
    assert seen[good + 1][0] - seen[good][0] < SEEN_WITHIN_S
    assert "Load this page again" in (other.text_content("[data-doubt]") or "")
    other.close()
    page.wait_for_function("() => !document.querySelector('[data-alarms]').textContent.includes('A display shows')")


def test_a_server_that_is_gone_is_seen_and_its_return_needs_no_reload(
    board: BoardServer, browser: Browser, tmp_path: Path
) -> None:
    with waytell("run", "--source", board.url, "--data", str(tmp_path)) as first:
        first.act("use_config", config=board.config)
        first.wait_for(lambda state: state["link"]["boot"])
        first.act("touch_off", axis="X", at_mm=16.0)
        first.act("touch_off", axis="Z", at_mm=6.0)
        first.act("choose_operation", operation=FACE)
        page = browser.new_page()
        page.goto(first.url)
        page.wait_for_selector('[data-figure="to-go"][data-doubtful="false"]')
        page.evaluate(WATCHER)
        page.evaluate("window.sameDocument = true")
        killed_s = time.time()
        first.kill()
        assert seen_since(page, killed_s, "true") < SEEN_WITHIN_S
        port = first.url.rsplit(":", 1)[1]
    with waytell("run", "--source", board.url, "--data", str(tmp_path), "--port", port):
        page.wait_for_selector('[data-figure="to-go"][data-doubtful="false"]', timeout=15_000)
        assert page.evaluate("window.sameDocument") is True
        page.close()


def test_a_bore_is_chosen_drawn_and_its_part_finished_on_the_page(lathe: Waytell, page: Page) -> None:
    hollow = {**STOCK, "bore_mm": 10.0}
    assert lathe.act("new_set_up", stock=hollow).status_code == 200
    assert lathe.act("touch_off", axis="Z", at_mm=6.0).status_code == 200
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
