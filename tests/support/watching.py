"""Looking at the Cut screen in every frame: what it shows, and how soon after its cause a doubt is seen.

Times are taken in the browser at the frame in which the change was drawn, against the same computer's clock.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from playwright.sync_api import Browser, Page

SEEN_WITHIN_S = 0.3
# Looks at the page in every frame and notes what changed, with the wall-clock time in seconds.
WATCHER = r"""() => {
  window.seen = [];
  window.good = [];
  let last = "", lastGood = "";
  const look = () => {
    const toGo = document.querySelector('[data-figure="to-go"]');
    const now = [toGo.dataset.doubtful, document.querySelector('[data-hold]').dataset.hold].join(" ");
    const at_s = (performance.timeOrigin + performance.now()) / 1000;
    if (now !== last) window.seen.push([at_s, now]);
    last = now;
    const good = toGo.dataset.doubtful === "false" ? toGo.textContent : "";
    if (good !== "" && good !== lastGood) window.good.push([at_s, Number(good.replace("\u2212", "-"))]);
    lastGood = good;
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


@contextmanager
def watched(browser: Browser, url: str) -> Iterator[Page]:
    """The Cut screen with a good figure on it, looked at in every frame; it must have no fault of its own."""
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    try:
        page.goto(url)
        page.wait_for_selector('[data-figure="to-go"][data-doubtful="false"]')
        page.evaluate(WATCHER)
        calm(page)
        yield page
    finally:
        page.close()
    assert faults == []


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


def good_figures(page: Page) -> list[tuple[float, float]]:
    """Each figure to go that stood there as good, and when it first did, in seconds of the wall clock."""
    return [(float(at_s), float(figure)) for at_s, figure in page.evaluate("window.good")]
