"""Displays that are slow, dead, asleep, out of date or two at once: none shows a wrong figure, none hinders another."""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Page
from websockets.sync.client import connect

from faults.at_fault import FACE, good_and_true, never_wrong
from faults.table import causes
from support.at_lathe import listening
from support.running import Waytell, waytell
from support.watching import SEEN_WITHIN_S, WATCHER, seen_since, watched
from waytell_bridge.simulated.serving import BoardServer

DEAD = 5
SLOWED = 80
# The server sees that it draws late; so slow a page may find before that nothing reached it in time.
STRUCK_AS_LATE = """() => document.querySelector('[data-figure="to-go"]').dataset.doubtful === "true"
    && /draws so slowly|No word from the server.*not held up/s
        .test(document.querySelector('[data-doubt]').textContent)"""
ACTS_EACH = 15


@causes("display with an old script")
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


@causes("server gone")
def test_a_server_that_is_gone_is_seen_and_its_return_needs_no_reload(
    board: BoardServer, browser: Browser, tmp_path: Path
) -> None:
    with waytell("run", "--source", board.url, "--data", str(tmp_path)) as first:
        first.done("use_config", config=board.config)
        first.wait_for(lambda state: state["link"]["boot"])
        first.done("touch_off", axis="X", at_mm=16.0)
        first.done("touch_off", axis="Z", at_mm=6.0)
        first.done("choose_operation", operation=FACE)
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


@causes("slow display")
def test_a_display_that_draws_late_is_struck_and_hinders_no_other(
    browser: Browser, board: BoardServer, lathe: Waytell, page: Page
) -> None:
    with watched(browser, lathe.url) as slow:
        throttle = slow.context.new_cdp_session(slow)
        throttle.send("Emulation.setCPUThrottlingRate", {"rate": SLOWED})
        board.wind("cross", -8.0, 0.8)
        slow.wait_for_function(STRUCK_AS_LATE, timeout=20_000)
        assert board.wait(20)
        # The other shares a busy computer with it: fewer figures, but none of them wrong.
        assert never_wrong(page, board, 3.0, 1.0) > 0
        throttle.send("Emulation.setCPUThrottlingRate", {"rate": 1})
        good_and_true(slow, board)
    good_and_true(page, board)


@causes("dead display")
def test_displays_that_never_answer_hinder_no_other(board: BoardServer, lathe: Waytell, page: Page) -> None:
    with ExitStack() as dead:
        streams = [dead.enter_context(connect(lathe.url.replace("http", "ws") + "/live")) for _ in range(DEAD)]
        assert never_wrong(page, board, -4.0, 2.0) > 0
        for stream in streams:
            assert stream.recv(timeout=1)
            assert stream.recv(timeout=1)
            assert not waiting(stream), "at most two states are on their way to it"
    good_and_true(page, board)


def waiting(stream: Any) -> bool:
    try:
        stream.recv(timeout=0.3)
    except TimeoutError:
        return False
    return True


@causes("tab asleep")
def test_a_page_that_was_asleep_shows_no_figure_of_before_as_good(board: BoardServer, page: Page) -> None:
    session = page.context.new_cdp_session(page)
    session.send("Page.setWebLifecycleState", {"state": "frozen"})
    board.wind("cross", -5.0, 5.0)
    assert board.wait(20)
    time.sleep(1.0)
    session.send("Page.setWebLifecycleState", {"state": "active"})
    # What it drew before it was put to sleep stands in its own list: nothing of after waking may differ from the truth.
    good_and_true(page, board)
    assert never_wrong(page, board, 1.0, 5.0) > 0


def referenced(running: Waytell) -> list[str]:
    axes = running.state()["axes"]
    return [one["axis"] for one in axes if "not_referenced" not in one["position"].get("reasons", [])]


@causes("two operators at once")
def test_two_who_work_at_once_make_one_history_that_a_restart_reads_the_same(
    board: BoardServer, tmp_path: Path
) -> None:
    running = listening(board, tmp_path)
    try:
        running.done("use_config", config=board.config)

        def operate(who: int) -> list[int]:
            numbers = []
            for turn in range(ACTS_EACH):
                if turn % 5 == 4:
                    answer = running.act("undo")
                else:
                    answer = running.act("touch_off", axis="XZ"[who], at_mm=10.0 + turn)
                if answer.status_code == 200:
                    numbers.append(answer.json()["events"][-1]["number"])
            return numbers

        with ThreadPoolExecutor() as people:
            told = [number for numbers in people.map(operate, (0, 1)) for number in numbers]
        history = running.client.get("/api/events").json()["events"]
        acts = [event["number"] for event in history if event["kind"] in ("act", "undone")]
        assert [event["number"] for event in history] == list(range(1, len(history) + 1))
        assert len(told) == len(set(told)) > ACTS_EACH
        assert set(told) <= set(acts)
        known = {axis: running.stands_mm(axis) for axis in referenced(running)}
    finally:
        running.kill()
    again = listening(board, tmp_path)
    try:
        assert again.client.get("/api/events").json()["events"][: len(history)] == history
        assert {axis: again.stands_mm(axis) for axis in referenced(again)} == known
    finally:
        again.stop()
