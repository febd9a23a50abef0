"""The overview of a workshop in a real browser: what needs somebody stands first, and one click leads to the lathe."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from mqtt.test_over_a_broker import AtMachine, bridging
from support.broker import Mosquitto, mosquitto
from support.browser import fits_and_can_be_hit, opened
from support.legible import AXE, too_faint, violations
from support.running import Waytell, waytell
from waytell_bridge.simulated.serving import BoardServer

NAMES = ("east", "north", "west")
FACE = {
    "name": "face the end", "kind": "facing", "start_mm": 12.0, "end_mm": 0.0, "target_mm": -0.5, "depth_mm": 0.25,
}  # fmt: skip


class Hall:
    """Three lathes with their bridges, a broker between, and the server that shows them."""

    def __init__(self, broker: Mosquitto, server: Waytell, boards: dict[str, BoardServer]) -> None:
        self.broker, self.server, self.boards = broker, server, boards


@pytest.fixture(scope="module")
def hall(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Hall]:
    folder: Path = tmp_path_factory.mktemp("hall")
    with ExitStack() as closing:
        broker = closing.enter_context(mosquitto(folder))
        server = closing.enter_context(waytell("serve", "--mqtt", broker.url, "--data", str(folder / "data")))
        boards = {name: closing.enter_context(BoardServer(seed=7 + i)) for i, name in enumerate(NAMES)}
        for name, board in boards.items():
            closing.enter_context(bridging(board, broker.url, name))
        for name, board in boards.items():
            machine = AtMachine(server, name)
            machine.set_up(board)
            machine.done("choose_operation", operation=FACE)
        yield Hall(broker, server, boards)


@pytest.fixture
def page(browser: Browser, hall: Hall) -> Iterator[Page]:
    with opened(browser, hall.server.url, "/") as page:
        expect(page.locator(".machine")).to_have_count(3)
        yield page


def names(page: Page) -> list[str]:
    return page.eval_on_selector_all(".machine", "all => all.map(e => e.dataset.machine)")  # type: ignore[no-any-return]


def test_each_machine_tells_how_far_it_has_to_go(page: Page) -> None:
    assert sorted(names(page)) == sorted(NAMES)
    for name in NAMES:
        figure = page.locator(f"[data-machine={name}] [data-figure=to-go]")
        expect(figure).to_have_attribute("data-doubtful", "false")
        assert float(figure.inner_text().split()[0]) == pytest.approx(32.0, abs=0.02)  # on the diameter


def test_what_needs_somebody_stands_first_with_its_words(hall: Hall, page: Page) -> None:
    expect(page.locator("[data-count]")).to_have_text("3 machines")
    board = hall.boards["west"]
    board.fault("unplug")
    first = page.locator(".machine").first
    expect(first).to_have_attribute("data-machine", "west", timeout=3000)
    expect(first.locator(".needs")).to_contain_text("Stop winding")
    expect(first.locator("[data-figure=to-go]")).to_have_attribute("data-doubtful", "true")
    expect(page.locator("[data-count]")).to_have_text("3 machines, 1 needs somebody")
    # Plugged in again by itself; counts are absolute.
    expect(page.locator("[data-count]")).to_have_text("3 machines", timeout=15_000)


def test_one_click_leads_to_its_cut_screen_and_everything_there_works(hall: Hall, page: Page) -> None:
    page.click("[data-machine=north]")
    page.wait_for_selector("body[data-seq] [data-figure='to-go'][data-doubtful='false']")
    assert page.url == f"{hall.server.url}/at/north/"
    hall.boards["north"].wind("cross", -2.0, 10.0)
    expect(page.locator("[data-figure='to-go']")).to_contain_text("28.0", timeout=5000)
    for link, selector in (("review", "[data-review] main"), ("plan", "main"), ("prove", "main")):
        page.goto(f"{hall.server.url}/at/north/")
        page.wait_for_selector("body[data-seq] main")
        page.click(f"a[href='{link}']")
        page.wait_for_selector(selector)
        assert page.url.startswith(f"{hall.server.url}/at/north/{link}")
    hall.boards["north"].wind("cross", 2.0, 10.0)


def test_its_health_and_its_machines_are_told_to_other_programs(hall: Hall) -> None:
    # On a busy computer readings are late for a while.
    until_s = time.monotonic() + 40
    told = hall.server.client.get("/healthz").json()
    while told != {"ok": True, "broker": True, "stored": True, "machines": 3, "heard": 3}:
        assert time.monotonic() < until_s, told
        time.sleep(0.1)
        told = hall.server.client.get("/healthz").json()
    probe = hall.server.client.get("/mtconnect/probe").text
    assert [f'name="{name}"' in probe for name in NAMES] == [True] * 3
    assert hall.server.client.get("/mtconnect/east/current").text.count("<DeviceStream") == 1


def test_a_broker_that_is_gone_is_told_on_the_overview(hall: Hall, page: Page) -> None:
    hall.broker.stop()
    began_s = time.monotonic()
    expect(page.locator(".workshop-trouble")).to_contain_text("broker", timeout=3000)
    assert time.monotonic() - began_s < 1.0
    expect(page.locator("[data-doubtful=false]")).to_have_count(0)
    hall.broker.start()
    expect(page.locator("[data-figure=to-go][data-doubtful=false]")).to_have_count(3, timeout=15_000)


@pytest.mark.parametrize("size", [(1280, 800), (800, 1280), (390, 844)], ids=str)
def test_all_fits_and_a_finger_hits_each(hall: Hall, browser: Browser, size: tuple[int, int]) -> None:
    with opened(browser, hall.server.url, "/", *size) as page:
        expect(page.locator(".machine")).to_have_count(3)
        fits_and_can_be_hit(page)


@pytest.mark.parametrize("look", ["day", "night"])
def test_axe_finds_nothing_and_all_words_stand_out(hall: Hall, browser: Browser, look: str) -> None:
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    context.add_init_script(f"localStorage.setItem('waytell.look', '{look}')")
    context.add_init_script(path=AXE)
    page = context.new_page()
    page.goto(hall.server.url)
    expect(page.locator(".machine")).to_have_count(3)
    assert violations(page) + too_faint(page) == []
    context.close()


def test_a_server_that_is_gone_leaves_nothing_that_could_pass_for_live(
    browser: Browser, hall: Hall, tmp_path: Path
) -> None:
    with waytell("serve", "--mqtt", hall.broker.url, "--data", str(tmp_path)) as server:
        AtMachine(server, "east").live()
        with opened(browser, server.url, "/", told_anyway="WebSocket") as page:
            expect(page.locator(".machine")).to_have_count(3)
            server.kill()
            expect(page.locator(".workshop-trouble")).to_contain_text("No word from the server", timeout=1000)
            expect(page.locator("[data-doubtful=false]")).to_have_count(0)
