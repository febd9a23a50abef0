"""From the last byte of a report to the changed figure on the page, at 250 and 1000 reports a second.

The board notes when it handed the last byte over; the page notes, right after the frame in which it drew a figure was
committed, which figure that was. Each figure stands for one count, so the two are matched by it. Aim: p50 within one
frame of 16.7 ms, p99 within two. The limit is the frame itself: a report waits half a frame for it on average.
"""

from __future__ import annotations

import tempfile
import time

from benchmarks.steady_board import CONFIG, OPERATION, SteadyBoard
from benchmarks.table import percentile, print_table
from support.browser import chromium
from support.running import waytell

FRAME_MS = 1000 / 60
SECONDS = 15
WATCHER = """() => {
  window.drawn = [];
  const figure = document.querySelector('[data-figure="to-go"]');
  const channel = new MessageChannel();
  let text = "";
  channel.port1.onmessage = () => window.drawn.push([text, performance.timeOrigin + performance.now()]);
  new MutationObserver(() => { text = figure.textContent; channel.port2.postMessage(0); })
    .observe(figure, { childList: true, characterData: true, subtree: true });
}"""


def latencies_ms(rate_hz: int) -> tuple[list[float], int]:
    with (
        tempfile.TemporaryDirectory() as folder,
        SteadyBoard(rate_hz) as board,
        waytell("run", "--source", board.url, "--data", folder) as running,
        chromium() as browser,
    ):
        running.wait_for(lambda state: state["link"]["boot"])
        running.act("use_config", config=CONFIG)
        running.act("touch_off", axis="Z", at_mm=0.0)
        running.act("choose_operation", operation=OPERATION)
        running.act("touch_off", axis="X", at_mm=16.0)
        offset = next(axis for axis in running.state()["axes"] if axis["axis"] == "X")["position"]["value_mm"]
        slide = running.state()["slides"][0]
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        page.goto(running.url)
        page.wait_for_selector('[data-figure="to-go"][data-doubtful="false"]')
        # Count 0 lies where the slide's own length is 0; the two are read from one state each, so the board rests.
        board.moving = False
        time.sleep(0.5)
        state = running.state()
        slide = state["slides"][0]
        position = next(axis for axis in state["axes"] if axis["axis"] == "X")["position"]["value_mm"]
        zero_mm = position - slide["length_mm"]
        board.moving = True
        time.sleep(1.0)
        page.evaluate(WATCHER)
        began_s = time.time()
        drawn: list[tuple[float, float]] = []
        while time.time() - began_s < SECONDS:
            time.sleep(0.5)
            for text, at_ms in page.evaluate("() => window.drawn.splice(0)"):
                count = round((float(text) - zero_mm) / 0.005)
                # The slide goes there and back: the sending that this figure shows is the latest before it.
                if count in board.sent_s and at_ms / 1000 > board.sent_s[count]:
                    drawn.append((count, at_ms - board.sent_s[count] * 1000))
        assert offset is not None
        return [latency for _, latency in drawn if latency < 400], len(drawn)


def main() -> None:
    rows = []
    for rate_hz in (250, 1000):
        found, seen = latencies_ms(rate_hz)
        p50, p99 = percentile(found, 0.5), percentile(found, 0.99)
        rows.append(
            (f"{rate_hz} Hz", f"{p50:.1f} ms", f"{p99:.1f} ms", f"{FRAME_MS:.1f} ms", f"{2 * FRAME_MS:.1f} ms",
             f"{p50 / (FRAME_MS / 2):.2f}", str(seen))
        )  # fmt: skip
    print_table(
        "Last serial byte of a report to the changed figure on the page",
        ("reports", "p50", "p99", "aim p50", "aim p99", "p50 / half a frame", "figures"), rows,
    )  # fmt: skip


if __name__ == "__main__":
    main()
