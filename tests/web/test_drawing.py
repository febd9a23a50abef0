"""The live drawing in a real browser: the last pass is where it was cut, and what is enlarged is true to scale."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from support.at_lathe import Hands, listening, set_up
from support.browser import opened
from support.running import Waytell
from waytell_bridge.simulated.serving import BoardServer

FACE = {
    "name": "face the end", "kind": "facing", "start_mm": 12.0, "end_mm": 4.0, "target_mm": -0.8, "depth_mm": 0.4,
    "tolerance_mm": 0.1,
}  # fmt: skip
NUMBER = r"-?\d+(?:\.\d+)?"


@pytest.fixture
def lathe(board: BoardServer, tmp_path: Path) -> Iterator[Waytell]:
    running = listening(board, tmp_path)
    set_up(running, board, FACE)
    yield running
    running.stop()


def points(page: Page, selector: str) -> list[tuple[float, float]]:
    path = page.get_attribute(selector, "d") or ""
    return [(float(x), float(y)) for x, y in re.findall(rf"({NUMBER}) ({NUMBER})", path)]


def px_per_mm(page: Page, bar: str, words: str) -> float:
    """From a scale bar: its length in the drawing over the length that is written on it."""
    length = re.search(rf"h({NUMBER})", page.get_attribute(bar, "d") or "")
    assert length is not None
    return float(length[1]) / float((page.text_content(words) or "").split()[0])


def main_scale(page: Page) -> float:
    return px_per_mm(page, ".sheet > svg > path.thin", ".sheet > svg > text.drawing-words[text-anchor=end]")


def times_larger(page: Page) -> int:
    found = re.search(r"A, (\d+) times larger", page.text_content(".detail") or "")
    assert found is not None
    return int(found[1])


def test_a_pass_and_the_creep_in_it_are_drawn_where_they_were(
    browser: Browser, board: BoardServer, lathe: Waytell
) -> None:
    with opened(browser, lathe.url, "") as page:
        hands = Hands(board)
        hands.wind("cross", 13.0)
        hands.wind("carriage", -0.4)
        lathe.done("clamp", axis="Z", held=True)
        time.sleep(0.4)
        board.wind("cross", -9.0, 2.0)
        time.sleep(2.0)
        board.fault("creep", slide="carriage", mm=0.06, seconds=1.0)
        assert board.wait(30)
        board.wind("cross", 9.5, 12.0)
        assert board.wait(30)
        passed = lathe.wait_for(lambda state: state["last_pass"])["last_pass"]
        page.wait_for_selector(".trail-words:not([hidden])")
        words = page.text_content(".trail-words") or ""
        factor = int(re.search(r"creep × (\d+)", words)[1])  # type: ignore[index]
        scale = main_scale(page)
        way, crept = points(page, ".trail >> nth=0"), points(page, ".creep >> nth=0")
        assert len(way) == len(crept) > 20
        # Across: from the rim to where the feed ended, to the pixel.
        span = max(y for _, y in way) - min(y for _, y in way)
        assert span == pytest.approx(abs(passed["start_mm"] - passed["end_mm"]) * scale, abs=1.0)
        off = max((c[0] - w[0] for w, c in zip(way, crept, strict=True)), key=abs)
        assert off == pytest.approx(passed["creep_mm"] * (factor - 1) * scale, abs=1.5)
        lathe.done("touch_off", axis="Z", at_mm=0.0, where="last_pass")
        page.wait_for_selector(".trail", state="hidden")


def test_the_detail_grows_as_the_end_comes_near_and_its_scale_bar_is_true(
    browser: Browser, board: BoardServer, lathe: Waytell
) -> None:
    with opened(browser, lathe.url, "") as page:
        hands = Hands(board)
        hands.wind("cross", 13.0)
        hands.wind("carriage", 0.5)
        page.wait_for_selector(".detail-bar")
        far = times_larger(page)
        hands.wind("carriage", -0.35, 2.0)
        page.wait_for_timeout(300)
        near = times_larger(page)
        assert near > far
        scale = px_per_mm(page, ".detail-bar", ".bar-words")
        assert scale == pytest.approx(near * main_scale(page), rel=0.02)
        # The limits of the face, 0.1 mm apart, stand beside its line.
        limits = points(page, ".detail .limits")
        assert abs(limits[0][0] - limits[2][0]) == pytest.approx(0.1 * scale, rel=0.02)
