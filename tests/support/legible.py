"""Whether a page is one that all can use: axe-core's findings, and the contrast of all that is painted."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from playwright.sync_api import Page

AXE = Path(__file__).parents[2] / ".cache/tests/axe/node_modules/axe-core/axe.min.js"
# Its contrast is left out: it leaves much undecided, and what is painted is reckoned below, all of it.
RUN_AXE = """async () => (await axe.run(document, {
  runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"], resultTypes: ["violations"],
  rules: { "color-contrast": { enabled: false } },
})).violations.map((one) => [one.id, one.help, one.nodes.slice(0, 3).map((node) => node.html.slice(0, 200))])"""
# Every text that is seen, with its colour, what lies behind it, and its size.
PAINTED = """() => {
  const found = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const behind = (e) => {
    for (; e; e = e.parentElement) {
      const colour = getComputedStyle(e).backgroundColor;
      if (!/, 0\\)$/.test(colour) && colour !== "transparent") return colour;
    }
    return getComputedStyle(document.body).backgroundColor;
  };
  for (let node = walk.nextNode(); node; node = walk.nextNode()) {
    const e = node.parentElement;
    if (!node.textContent.trim() || !e.checkVisibility({ visibilityProperty: true, opacityProperty: true })) continue;
    if (e.closest("svg, .out-of-sight, :disabled, option") || e.getBoundingClientRect().width < 2) continue;
    const style = getComputedStyle(e);
    const [size, weight, opacity] = [style.fontSize, style.fontWeight, style.opacity].map(parseFloat);
    found.push([node.textContent.trim().slice(0, 60), style.color, behind(e), size, weight, opacity]);
  }
  return found;
}"""


def violations(page: Page) -> list[Any]:
    return list(page.evaluate(RUN_AXE))


def luminance(colour: tuple[float, float, float]) -> float:
    """Relative luminance of sRGB from 0 to 255, as WCAG 2.2 defines it."""
    shares = [one / 255 for one in colour]
    r, g, b = (one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in shares)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one: tuple[float, float, float], other: tuple[float, float, float]) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def rgb(css: str) -> tuple[float, float, float]:
    r, g, b = (float(one) for one in re.findall(r"[\d.]+", css)[:3])
    return r, g, b


def too_faint(page: Page) -> list[tuple[str, float]]:
    faint = []
    for text, front, back, size_px, weight, opacity in page.evaluate(PAINTED):
        large = size_px >= 24 or (size_px >= 18.66 and weight >= 700)
        over, under = rgb(front), rgb(back)
        r, g, b = (opacity * a + (1 - opacity) * b for a, b in zip(over, under, strict=True))
        ratio = contrast((r, g, b), under)
        if ratio < (3.0 if large else 4.5):
            faint.append((f"{text}: {front} on {back}", round(ratio, 2)))
    return faint
