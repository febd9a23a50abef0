"""Faults of the line and of the board, each caused for real: figures struck through in time, and true again."""

from __future__ import annotations

import re
import socket
import time
from collections.abc import Callable, Iterator
from typing import NamedTuple

import pytest
from playwright.sync_api import Browser, Page

from faults.at_fault import AT_MM, good_and_true, never_wrong, ready
from faults.table import causes
from support.relay import Relay, relay
from support.running import Waytell, waytell
from support.watching import SEEN_WITHIN_S, calm, good_figures, seen_since, shown, watched
from waytell_bridge.simulated.serving import BoardServer


class Bench(NamedTuple):
    board: BoardServer
    line: Relay
    lathe: Waytell
    page: Page


@pytest.fixture(scope="module")
def bench(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    """A lathe whose board is heard over a line that can be spoilt, and its page."""
    folder = tmp_path_factory.mktemp("data")
    with BoardServer(seed=7) as board, relay(int(board.url.rsplit(":", 1)[1]), 65536) as line:
        source = f"socket://127.0.0.1:{line.port}"
        with waytell("run", "--source", source, "--data", str(folder)) as running:
            ready(running, board)
            with watched(browser, running.url) as page:
                yield Bench(board, line, running, page)


@pytest.fixture(autouse=True)
def _mended(bench: Bench) -> None:
    """Whatever went wrong before: the line is sound, the slides stand where they began and are touched off."""
    bench.line.spoil = None
    bench.lathe.wait_until_live()
    back_mm = AT_MM - bench.board.truth().tool_x_mm
    if back_mm:
        bench.board.wind("cross", back_mm, 20.0)
        assert bench.board.wait(20)
        time.sleep(0.2)
    for axis, at_mm in (("X", AT_MM), ("Z", bench.board.truth().tool_z_mm)):
        bench.lathe.done("touch_off", axis=axis, at_mm=at_mm)
    bench.page.wait_for_selector('[data-figure="to-go"][data-doubtful="false"]')
    calm(bench.page)


@pytest.fixture
def board(bench: Bench) -> BoardServer:
    return bench.board


@pytest.fixture
def between(bench: Bench) -> Relay:
    return bench.line


@pytest.fixture
def lathe(bench: Bench) -> Waytell:
    return bench.lathe


@pytest.fixture
def page(bench: Bench) -> Page:
    return bench.page


@causes("cable pulled")
def test_pulling_the_cable_strikes_the_figures_and_plugging_in_recovers(board: BoardServer, page: Page) -> None:
    pulled_s = time.time()
    board.fault("unplug", seconds=1.5)
    assert seen_since(page, pulled_s, "true") < SEEN_WITHIN_S
    decoration = page.eval_on_selector('[data-figure="to-go"]', "e => getComputedStyle(e).textDecorationLine")
    assert "line-through" in decoration
    assert page.is_visible("[data-doubt]")
    assert seen_since(page, pulled_s + 1.0, "false", within_s=8.0) > 0
    assert shown(page, "to-go") == pytest.approx(AT_MM, abs=0.0075)


@causes("board silent")
def test_a_silent_board_is_seen_though_the_line_stays_open(board: BoardServer, page: Page) -> None:
    silent_s = time.time()
    board.fault("silence", seconds=1.0)
    assert seen_since(page, silent_s, "true") < SEEN_WITHIN_S


def halved(data: bytes) -> bytes:
    return re.sub(rb"[^\n]+\n", lambda line: line[0][: len(line[0]) // 2] + b"\n", data)


def stuck(data: bytes) -> bytes:
    return b"\x00" * len(data)


class Repeated:
    """The same sound line again and again, as from a driver that hands out its buffer anew."""

    def __init__(self) -> None:
        self._line = b""

    def __call__(self, data: bytes) -> bytes:
        if not self._line:
            found = re.search(rb"^P [^\n]*\n", data, re.MULTILINE)
            if found is None:
                return data
            self._line = found[0]
        return self._line * data.count(b"\n")


@causes("half lines", "stuck byte", "line repeated")
@pytest.mark.parametrize("spoil", [halved, stuck, Repeated()], ids=["half lines", "stuck byte", "line repeated"])
def test_bytes_that_tell_nothing_new_strike_the_figures(
    board: BoardServer, between: Relay, page: Page, spoil: Callable[[bytes], bytes]
) -> None:
    garbled_s = time.time()
    between.spoil = spoil
    assert seen_since(page, garbled_s, "true") < SEEN_WITHIN_S
    assert page.is_visible("[data-doubt]")
    assert never_wrong(page, board, -3.0, 6.0) == 0
    between.spoil = None
    good_and_true(page, board)


@causes("wrong baud rate")
def test_bytes_that_make_no_sense_strike_the_figures_and_the_speed_is_asked_about(
    board: BoardServer, page: Page
) -> None:
    garbled_s = time.time()
    board.fault("garbage", seconds=3.0)
    assert seen_since(page, garbled_s, "true") < SEEN_WITHIN_S
    page.wait_for_function("() => document.querySelector('[data-doubt]').textContent.includes('no line can be read')")
    good_and_true(page, board)


@causes("flood", "bytes spoilt now and then")
@pytest.mark.parametrize(("fault", "how"), [("flood", {}), ("damaged", {"share": 0.3})])
def test_under_a_flood_or_on_a_bad_wire_no_figure_is_wrong(
    board: BoardServer, page: Page, fault: str, how: dict[str, float]
) -> None:
    # A busy computer may strike the figures all the while; then it says nothing about those that stand as good.
    for way_mm in (-6.0, 6.0, -6.0):
        board.fault(fault, seconds=3.0, **how)
        good = never_wrong(page, board, way_mm, 2.0)
        good_and_true(page, board)
        if good:
            break
    assert good > 0


@causes("one report wrong")
def test_a_single_wrong_report_is_never_shown_as_good(board: BoardServer, page: Page) -> None:
    wrong_s = time.time()
    for _ in range(10):
        board.fault("glitch", scale=0, counts=4000)
        time.sleep(0.15)
    good_and_true(page, board)
    assert all(figure == pytest.approx(AT_MM, abs=0.0075) for at_s, figure in good_figures(page) if at_s >= wrong_s)


@causes("board restarted")
def test_a_restarted_board_strikes_the_figures_until_they_are_touched_off(
    board: BoardServer, lathe: Waytell, page: Page
) -> None:
    restarted_s = time.time()
    board.fault("restart")
    assert seen_since(page, restarted_s, "true") < SEEN_WITHIN_S
    time.sleep(0.5)
    assert "restarted" in (page.text_content("[data-doubt]") or "")
    lathe.done("touch_off", axis="X", at_mm=16.0)
    page.wait_for_selector('[data-figure="to-go"][data-doubtful="false"]')


@causes("board restarted, counts kept")
def test_a_board_that_restarted_but_kept_its_counts_is_asked_about(
    board: BoardServer, lathe: Waytell, page: Page
) -> None:
    restarted_s = time.time()
    board.fault("restart_kept")
    assert seen_since(page, restarted_s, "true") < SEEN_WITHIN_S
    page.wait_for_function("() => document.querySelector('[data-doubt]').textContent.includes('restarted')")
    lathe.done("confirm_positions")
    good_and_true(page, board)


@causes("board lost power")
def test_a_power_cut_of_the_board_is_not_forgiven_by_plugging_in(
    board: BoardServer, lathe: Waytell, page: Page
) -> None:
    cut_s = time.time()
    board.fault("power_cut", seconds=1.0)
    assert seen_since(page, cut_s, "true") < SEEN_WITHIN_S
    lathe.wait_for(lambda state: "board_restarted" in str(state["axes"]))
    time.sleep(1.0)
    assert page.get_attribute('[data-figure="to-go"]', "data-doubtful") == "true"


@causes("edges missed")
def test_missed_edges_are_seen_at_once(board: BoardServer, page: Page) -> None:
    missed_s = time.time()
    board.fault("missed_edges", scale=0, edges=40)
    board.wind("cross", -0.5, 5.0)
    assert seen_since(page, missed_s, "true") < SEEN_WITHIN_S


@causes("jump")
def test_a_jump_no_hand_can_wind_is_seen_at_once(board: BoardServer, page: Page) -> None:
    jumped_s = time.time()
    board.wind("cross", -6.0, 900.0)
    assert seen_since(page, jumped_s, "true") < SEEN_WITHIN_S
    assert "further than a hand can wind" in (page.text_content("[data-doubt]") or "")


@causes("two boards mixed")
def test_lines_of_two_boards_on_one_line_strike_the_figures(between: Relay, page: Page) -> None:
    with BoardServer(seed=8) as other:
        other.wind("cross", -4.0, 10.0)
        assert other.wait(10)
        place = other.url.removeprefix("socket://").rsplit(":", 1)
        with socket.create_connection((place[0], int(place[1]))) as heard:
            heard.settimeout(0.05)
            mixed_s = time.time()
            between.spoil = lambda data: data + heard.recv(4096)
            assert seen_since(page, mixed_s, "true") < SEEN_WITHIN_S
            time.sleep(2.5)
            assert page.get_attribute('[data-figure="to-go"]', "data-doubtful") == "true"
            wrong = [figure for at_s, figure in good_figures(page) if at_s > mixed_s and abs(figure - AT_MM) > 0.01]
            assert wrong == []
            between.spoil = None
