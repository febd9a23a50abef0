"""Takes the pictures of the documents from the demonstration: python web/pictures/take.py (with the test packages).

Each shows a moment of the simulated bush that the program itself tells: nothing is arranged by hand.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parents[1] / "tests"))

from support.browser import chromium  # noqa: E402
from support.running import waytell  # noqa: E402

SIZES = {"wide": (1280, 800), "tablet": (800, 1280), "phone": (390, 844)}


def main() -> None:
    with (
        tempfile.TemporaryDirectory() as folder,
        waytell("demo", "--data", folder) as running,
        chromium() as browser,
    ):
        pages = {
            name: browser.new_page(viewport={"width": width, "height": height})
            for name, (width, height) in SIZES.items()
        }
        for page in pages.values():
            page.goto(running.url)
        running.wait_for(
            lambda state: (
                state["stroke"]
                and state["operation"]
                and state["operation"]["kind"] == "turning"
                and state["passes"] >= 5
                and state["to_go"]["good"]
                and 4 < state["to_go"]["value_mm"] < 8
            ),
            within_s=400,
        )
        for name, page in pages.items():
            page.screenshot(path=HERE / f"cut-{name}.png")
        pages["wide"].keyboard.press("9")
        pages["wide"].wait_for_selector("text=Before the spindle starts")
        pages["wide"].screenshot(path=HERE / "set-up-wide.png")


if __name__ == "__main__":
    main()
