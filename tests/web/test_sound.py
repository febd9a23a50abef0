"""What is heard: every signal rendered by the browser's own audio, and its rhythm and pitch found in the samples."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from playwright.sync_api import Browser, Page, expect

from support.at_lathe import listening, set_up
from support.browser import opened
from support.running import Waytell
from waytell_bridge.simulated.serving import BoardServer

RATE_HZ = 22_050
LEVEL = 0.6
RENDER = """async ([name, level, seconds, rate]) => {
  const { soundBeats } = await import("/static/js/sound.js");
  const { SIGNALS, TICK } = await import("/static/js/rhythm.js");
  const beats = name === "tick" ? [TICK] : SIGNALS[name].beats;
  const audio = new OfflineAudioContext(1, seconds * rate, rate);
  soundBeats(audio, beats, level, 0.1);
  const heard = (await audio.startRendering()).getChannelData(0);
  return { beats, samples: Array.from(heard, (one) => Math.round(one * 1e6)) };
}"""
# All that the page sounds passes here on its way out: its loudest sample since it was last asked.
EAR = """() => {
  const connect = AudioNode.prototype.connect;
  window.heard = [];
  AudioNode.prototype.connect = function (to, ...more) {
    if (to instanceof AudioDestinationNode) window.heard.push(to.context.currentTime);
    return connect.call(this, to, ...more);
  };
}"""
FACE = {
    "name": "face the end", "kind": "facing", "start_mm": 12.0, "end_mm": 4.0, "target_mm": -0.5, "depth_mm": 0.25,
}  # fmt: skip
NAMES = ("tick", "reached", "overrun", "held_moved", "held_too_far", "doubtful")


@pytest.fixture(scope="module")
def lathe(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Waytell, BoardServer]]:
    with BoardServer(seed=7) as board:
        running = listening(board, tmp_path_factory.mktemp("data"))
        set_up(running, board, FACE)
        yield running, board
        running.stop()


@pytest.fixture(scope="module")
def page(browser: Browser, lathe: tuple[Waytell, BoardServer]) -> Iterator[Page]:
    with opened(browser, lathe[0].url, "") as page:
        yield page


def rendered(page: Page, name: str, level: float = LEVEL) -> tuple[list[dict[str, float]], NDArray[np.float64]]:
    found: dict[str, Any] = page.evaluate(RENDER, [name, level, 2, RATE_HZ])
    return found["beats"], np.array(found["samples"]) / 1e6


def beats_in(samples: NDArray[np.float64]) -> list[tuple[int, int]]:
    """Where sound begins and ends: apart by more silence than a period of the lowest tone has."""
    loud = np.flatnonzero(np.abs(samples) > 0.002)
    gaps = np.flatnonzero(np.diff(loud) > 0.02 * RATE_HZ)
    return list(zip(loud[np.r_[0, gaps + 1]], loud[np.r_[gaps, -1]], strict=True))


def pitch_hz(samples: NDArray[np.float64]) -> float:
    """The strongest line of the spectrum, between its lines by padding."""
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples)), 1 << 18))
    return float(np.argmax(spectrum)) * RATE_HZ / (1 << 18)


@pytest.mark.parametrize("name", NAMES)
def test_rhythm_and_pitch_are_heard_as_they_are_written(page: Page, name: str) -> None:
    written, samples = rendered(page, name)
    heard = beats_in(samples)
    assert len(heard) == len(written)
    for beat, (begin, end) in zip(written, heard, strict=True):
        assert begin / RATE_HZ == pytest.approx(0.1 + beat["at_s"], abs=0.002)
        assert (end - begin) / RATE_HZ == pytest.approx(beat["for_s"], abs=0.003)
        # A tick of 12 ms is too short to tell its pitch closely.
        assert pitch_hz(samples[begin:end]) == pytest.approx(beat["hz"], rel=0.01 if beat["for_s"] > 0.05 else 0.05)


@pytest.mark.parametrize("name", NAMES)
def test_no_beat_begins_or_ends_with_a_crack_or_is_louder_than_asked(page: Page, name: str) -> None:
    written, samples = rendered(page, name)
    assert np.abs(samples).max() == pytest.approx(LEVEL, rel=0.1)
    # A triangle goes through its whole height twice a period: nothing in it is steeper.
    steepest = 4 * LEVEL * max(beat["hz"] for beat in written) / RATE_HZ
    assert np.abs(np.diff(samples)).max() < 1.3 * steepest
    for begin, end in beats_in(samples):
        edge = int(0.001 * RATE_HZ)
        assert np.abs(samples[begin : begin + edge]).max() < 0.4 * LEVEL
        assert np.abs(samples[end - edge : end]).max() < 0.4 * LEVEL


def test_half_the_level_is_half_as_loud_and_none_is_silence(page: Page) -> None:
    _, full = rendered(page, "reached")
    _, half = rendered(page, "reached", LEVEL / 2)
    assert np.abs(half).max() == pytest.approx(np.abs(full).max() / 2, rel=0.01)
    assert np.abs(rendered(page, "reached", 0.0)[1]).max() == 0


def test_a_real_end_of_the_feed_ticks_closer_and_closer_and_muted_it_is_silent(
    browser: Browser, lathe: tuple[Waytell, BoardServer]
) -> None:
    running, board = lathe
    with opened(browser, running.url, "") as page:
        page.evaluate(EAR)
        page.keyboard.press("Shift")
        page.wait_for_selector("text=Sound on")
        board.do(lambda person: person.spindle(800.0))
        board.wind("carriage", -6.2, 12.0)
        assert board.wait(20)
        board.wind("cross", -11.0, 3.0)
        assert board.wait(20)
        board.wind("cross", -0.95, 0.5)
        assert board.wait(20)
        ticks = page.evaluate("window.heard")
        gaps = np.diff(ticks)
        assert len(ticks) > 8
        assert np.mean(gaps[-3:]) < 0.6 * np.mean(gaps[:3])
        page.keyboard.press("*")
        page.wait_for_selector("text=Sound off")
        page.evaluate("window.heard = []")
        board.wind("cross", -1.5, 3.0)
        assert board.wait(20)
        running.wait_for(lambda state: any(alarm["code"] == "overrun_past" for alarm in state["alarms"]))
        page.wait_for_timeout(700)
        assert page.evaluate("window.heard") == []
        page.keyboard.press("*")
        page.wait_for_function("() => window.heard.length >= 4")


def test_levels_are_set_heard_and_remembered(browser: Browser, lathe: tuple[Waytell, BoardServer]) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.goto(lathe[0].url)
    page.wait_for_selector("body[data-seq]")
    page.evaluate(EAR)
    page.keyboard.press("9")
    page.get_by_label("Loudness of the warnings").fill("0.25")
    page.get_by_role("button", name="overrun: four quick").click()
    page.wait_for_function("window.heard.length >= 4")
    page.reload()
    page.wait_for_selector("body[data-seq]")
    page.keyboard.press("9")
    expect(page.get_by_label("Loudness of the warnings")).to_have_value("0.25")
    context.close()
