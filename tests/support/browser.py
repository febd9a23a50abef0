"""Debian's chromium, driven by Playwright."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager

from playwright.sync_api import Browser, Page, sync_playwright

# Without these the browser calls out to its makers at every start.
QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-quic",
    "--autoplay-policy=no-user-gesture-required",
]


@contextmanager
def chromium() -> Iterator[Browser]:
    path = shutil.which("chromium-headless-shell") or shutil.which("chromium")
    assert path is not None, "chromium-headless-shell is not installed; tests/run installs it"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=QUIET)
        try:
            yield browser
        finally:
            browser.close()


@contextmanager
def opened(
    browser: Browser, url: str, place: str, width: int = 1280, height: int = 800, told_anyway: str | None = None
) -> Iterator[Page]:
    """A page of a server; it must have no fault of its own, and ask nobody else. `told_anyway` marks what is none."""
    page = browser.new_page(viewport={"width": width, "height": height})
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on("console", lambda message: faults.append(message.text) if message.type == "error" else None)
    page.on("request", lambda request: None if request.url.startswith(url) else faults.append(request.url))
    try:
        page.goto(f"{url}{place}")
        # A key tells nothing before the page knows how things stand: on the Cut screen that is the first state drawn.
        page.wait_for_selector("body[data-seq] main" if place == "" else "main")
        yield page
    finally:
        page.close()
    assert [fault for fault in faults if told_anyway is None or told_anyway not in fault] == []


TARGET_PX = 56
# What is not shown has no size.
SHOWN = "all => all.map(e => e.getBoundingClientRect()).filter(r => r.height > 0)"


def fits_and_can_be_hit(page: Page, parts: str = "main, main > *", controls: str = "button, a, summary") -> None:
    """Nothing runs out of the screen or of its part of it, and a finger hits every control."""
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    wide = "all => all.filter(e => e.scrollWidth > e.clientWidth + 1).map(e => e.className)"
    assert page.eval_on_selector_all(parts, wide) == []
    heights = page.eval_on_selector_all(controls, f"all => ({SHOWN})(all).map(r => r.height)")
    assert min(heights) >= TARGET_PX
    outside = f"all => ({SHOWN})(all).filter(r => r.left < -1 || r.right > innerWidth + 1).length"
    assert page.eval_on_selector_all("header button, header a", outside) == 0
