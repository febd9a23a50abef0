"""Whether the Cut screen's memory stays flat: a real page on a real stream for `--minutes`, then as many states as two
hours at 60 a second bring, drawn as fast as the page can.

The second feeds states that the first heard through the page's own drawing: it tells what grows with states, not what
grows with time. Reference: the same heap at the first sample.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from pathlib import Path
from typing import Any

from playwright.sync_api import CDPSession

from benchmarks.table import print_table
from support.browser import chromium
from support.running import waytell

TWO_HOURS = 2 * 3600 * 60
SAMPLES = 9
KEPT = 400
# The page's own link hands states on through this.
LISTEN = """() => {
  window.kept = [];
  const Real = WebSocket;
  window.WebSocket = class extends Real {
    constructor(...of) {
      super(...of);
      window.link = this;
      this.addEventListener("message", ({ data }) => window.kept.length < KEPT && window.kept.push(data));
    }
  };
}""".replace("KEPT", str(KEPT))
# The sequence number differs each time, so that nothing is taken for drawn already; the next frame comes at once,
# so that every state is drawn.
FEED = """async ([count, from]) => {
  const states = window.kept.map((text) => JSON.parse(text));
  const channel = new MessageChannel();
  const frames = [];
  const real = window.requestAnimationFrame;
  window.requestAnimationFrame = (draw) => frames.push(draw);
  for (let n = 0; n < count; n++) {
    const state = states[n % states.length];
    window.link.onmessage({ data: JSON.stringify({ ...state, seq: from + n }) });
    for (const draw of frames.splice(0)) draw(performance.now());
    // What the page does between frames has its turn as well.
    if (n % 50 === 0) await new Promise((next) => (channel.port1.onmessage = next, channel.port2.postMessage(0)));
  }
  window.requestAnimationFrame = real;
}"""


def sample(session: CDPSession) -> tuple[float, int, int]:
    """Heap in MB after everything that can go is gone, nodes and listeners."""
    for _ in range(2):
        session.send("HeapProfiler.collectGarbage")
    heap: dict[str, Any] = session.send("Runtime.getHeapUsage")
    counters: dict[str, Any] = session.send("Memory.getDOMCounters")
    return heap["usedSize"] / 1e6, counters["nodes"], counters["jsEventListeners"]


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--minutes", type=float, default=2.0)
    parser.add_argument("--states", type=int, default=TWO_HOURS)
    asked = parser.parse_args()
    rows = []
    with (
        tempfile.TemporaryDirectory() as folder,
        waytell("demo", "--data", str(Path(folder))) as lathe,
        chromium() as browser,
    ):
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        page.add_init_script(f"({LISTEN})()")
        page.goto(lathe.url)
        page.wait_for_function("(count) => window.kept.length >= count", arg=KEPT, timeout=60_000)
        session = page.context.new_cdp_session(page)
        first = sample(session)
        rows.append(("real time, at the start", "0", *told(first, first)))
        for n in range(1, SAMPLES):
            time.sleep(asked.minutes * 60 / (SAMPLES - 1))
            rows.append((f"{n * asked.minutes / (SAMPLES - 1):.1f} min", "", *told(sample(session), first)))
        began_s, drawn = time.monotonic(), 0
        for n in range(SAMPLES - 1):
            count = asked.states // (SAMPLES - 1)
            page.evaluate(FEED, [count, 10**9 + n * count])
            drawn += count
            rows.append((f"{time.monotonic() - began_s:.0f} s", str(drawn), *told(sample(session), first)))
    print_table(
        "Memory of the Cut screen", ("when", "states drawn", "heap MB", "of the first", "nodes", "listeners"), rows
    )


def told(now: tuple[float, int, int], first: tuple[float, int, int]) -> tuple[str, str, str, str]:
    return f"{now[0]:.2f}", f"{now[0] / first[0]:.2f}", str(now[1]), str(now[2])


if __name__ == "__main__":
    main()
