"""Takes the pictures of the documents from the demonstration: python web/pictures/take.py (with the test packages).

Each shows a moment of the simulated bush that the program itself tells: nothing is arranged by hand.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parents[1] / "tests"))

from playwright.sync_api import Browser, Page  # noqa: E402

from mqtt.test_over_a_broker import AtMachine, bridging  # noqa: E402
from support.broker import mosquitto  # noqa: E402
from support.browser import chromium  # noqa: E402
from support.running import Waytell, waytell  # noqa: E402
from waytell_bridge.simulated.serving import BoardServer  # noqa: E402

SIZES = {"wide": (1280, 800), "tablet": (800, 1280), "phone": (390, 844)}
OTHERS = {"plan": "[data-step]", "prove": "[data-check]", "review": "[data-pass]"}
"""Pages, and what stands on them once they are there."""
PICTURES = (
    "facing-wide", "cut-wide", "cut-tablet", "cut-phone", "cut-night", "set-up-wide",
    *(f"{page}-wide" for page in OTHERS), "overview-wide",
)  # fmt: skip
BUSH: dict[str, Any] = {
    "name": "wagon bush", "note": "invented", "material": "phosphor bronze", "bar": {"diameter_mm": 24.0},
    "set_ups": [{"out_mm": 40.0}],
    "features": [
        {"kind": "face"}, {"kind": "turned", "diameter": {"mm": 18.0, "tolerance_class": "h8"}, "to": 12.0},
        {"kind": "hole", "diameter_mm": 9.0, "to_mm": 26.0},
        {"kind": "bore", "diameter": {"mm": 10.0, "tolerance_class": "H7"}, "to": 26.0},
        {"kind": "chamfer", "size_mm": 0.5}, {"kind": "part_off", "at_mm": 22.0},
    ],
}  # fmt: skip


def feeding(kind: str, passes: int, from_mm: float, to_mm: float) -> Callable[[dict[str, Any]], bool]:
    """A pass of this kind is under way, with so much to go."""

    def holds(state: dict[str, Any]) -> bool:
        operation, to_go = state["operation"], state["to_go"]
        return bool(
            state["stroke"] and operation and operation["kind"] == kind and state["passes"] >= passes
            and to_go["good"] and from_mm < to_go["value_mm"] < to_mm
        )  # fmt: skip

    return holds


def opened(browser: Browser, lathe: Waytell, size: str, place: str = "", look: str = "day") -> Page:
    width, height = SIZES[size]
    context = browser.new_context(viewport={"width": width, "height": height})
    context.add_init_script(f"localStorage.setItem('waytell.look', '{look}')")
    page = context.new_page()
    page.goto(f"{lathe.url}/{place}")
    return page


def take(page: Page, name: str) -> None:
    assert name in PICTURES, name
    page.screenshot(path=HERE / f"{name}.png")


LATHES = ("bench", "north wall", "window")
FACE = {
    "name": "face the end", "kind": "facing", "start_mm": 12.0, "end_mm": 0.0, "target_mm": -0.5, "depth_mm": 0.25,
}  # fmt: skip


def take_overview(browser: Browser, folder: Path) -> None:
    """Three invented lathes, one of them with its board unplugged."""
    with ExitStack() as closing:
        broker = closing.enter_context(mosquitto(folder))
        server = closing.enter_context(waytell("serve", "--mqtt", broker.url, "--data", str(folder / "data")))
        boards = {name: closing.enter_context(BoardServer(seed=seed)) for seed, name in enumerate(LATHES)}
        for name, board in boards.items():
            closing.enter_context(bridging(board, broker.url, name))
        for name, board in boards.items():
            machine = AtMachine(server, name)
            machine.set_up(board)
            machine.done("choose_operation", operation=FACE)
        page = opened(browser, server, "wide")
        boards[LATHES[1]].fault("unplug")
        page.wait_for_selector("[data-level=warning], [data-level=danger]")
        take(page, "overview-wide")
        page.close()


def main() -> None:
    with tempfile.TemporaryDirectory() as folder, waytell("demo", "--data", folder) as lathe, chromium() as browser:
        pages = {f"cut-{size}": opened(browser, lathe, size) for size in SIZES}
        pages["cut-night"] = opened(browser, lathe, "wide", look="night")
        lathe.wait_for(feeding("facing", 1, 3.0, 7.0), within_s=300)
        take(pages["cut-wide"], "facing-wide")
        lathe.wait_for(feeding("turning", 5, 0.3, 1.2), within_s=400)
        for name, page in pages.items():
            take(page, name)
        pages["cut-wide"].keyboard.press("9")
        pages["cut-wide"].wait_for_selector("text=Before the spindle starts")
        take(pages["cut-wide"], "set-up-wide")
        for name, there in OTHERS.items():
            if name == "plan":
                lathe.done("use_part", part=BUSH)
            page = opened(browser, lathe, "wide", name)
            page.wait_for_selector(there)
            page.wait_for_timeout(500)
            take(page, f"{name}-wide")
    with tempfile.TemporaryDirectory() as made, chromium() as browser:
        Path(made).chmod(0o755)
        take_overview(browser, Path(made))


if __name__ == "__main__":
    main()
