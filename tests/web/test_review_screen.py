"""The Review page in a real browser against a real server: an invented batch from a journal, and a pass taken live."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from contextlib import AbstractContextManager
from pathlib import Path

import ezdxf.filemanagement
import pytest
from playwright.sync_api import Browser, Page, expect

from review.bushes import bushes
from support import browser as browsing
from support.at_lathe import Hands, set_up
from support.browser import fits_and_can_be_hit
from support.running import Waytell, waytell
from waytell.journal.store import Store, journal_url
from waytell_bridge.simulated.serving import BoardServer

SEAT = {
    "name": "turn the seat", "kind": "turning", "start_mm": 0.0, "end_mm": -6.0, "target_mm": 11.0, "depth_mm": 0.5,
}  # fmt: skip
# Buttons of ours are at least so high (a finger with a glove off, but oily): 56 px.
CREPT, DOUBTFUL = 17, 14


@pytest.fixture(scope="module")
def data(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("data")
    store = Store(journal_url(folder))
    store.append("lathe", bushes().events)
    store.close()
    return folder


@pytest.fixture(scope="module")
def lathe(data: Path) -> Iterator[Waytell]:
    # A board is not needed to look at what was done.
    with waytell("run", "--source", str(data / "no-such-port"), "--data", str(data)) as running:
        yield running


def opened(
    browser: Browser, url: str, place: str = "", width: int = 1280, height: int = 800
) -> AbstractContextManager[Page]:
    return browsing.opened(browser, url, f"/review{place}", width, height)


def struck(page: Page, selector: str) -> set[bool]:
    lines = page.eval_on_selector_all(selector, "all => all.map(e => getComputedStyle(e).textDecorationLine)")
    return {"line-through" in line for line in lines}


def test_passes_are_listed_newest_first_with_their_traces(browser: Browser, lathe: Waytell) -> None:
    with opened(browser, lathe.url) as page:
        rows = page.locator("[data-pass]")
        assert rows.count() == 30
        assert rows.first.get_attribute("data-pass") == "30"
        assert page.locator("[data-pass] .spark polyline").count() == 30
        # The newest is shown until another is chosen.
        assert page.get_attribute("article.pass", "data-shown") == "30"


def test_a_chosen_pass_tells_its_shape_and_draws_section_and_charts(browser: Browser, lathe: Waytell) -> None:
    with opened(browser, lathe.url) as page:
        page.click(f"[data-pass='{CREPT}'] button")
        page.wait_for_selector(f"[data-shown='{CREPT}']")
        # The invented carriage gave way by 0.030 mm; a count of noise is 0.005 mm.
        said = page.text_content("[data-shape]") or ""
        assert said.startswith("Convex by 0.03")
        assert page.locator(".chart canvas").count() == 3
        assert page.locator(".section .thick").get_attribute("d")
        assert page.url.endswith(f"#passes/{CREPT}")
        label = page.locator(".chart").first.get_attribute("aria-label") or ""
        assert "How the carriage held. creep, µm: 0 to 3" in label
        # Something is drawn in the chart's own colour, not only its frame.
        painted = page.evaluate(
            """() => {
              const canvas = document.querySelector(".chart canvas");
              const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
              let blue = 0;
              for (let i = 0; i < data.length; i += 4) blue += data[i + 3] > 128 && data[i + 2] > data[i] + 60;
              return blue;
            }"""
        )
        assert painted > 300


def test_what_a_pass_took_off_is_marked_in_the_section(browser: Browser, lathe: Waytell) -> None:
    with opened(browser, lathe.url, "#passes/15") as page:
        page.wait_for_selector("[data-shown='15']")
        taken = page.locator(".section .this-layer").get_attribute("d")
        left = page.locator(".section path.metal").get_attribute("d")
        assert taken
        assert taken != left
        hatchings = page.eval_on_selector_all(
            ".section pattern", "all => all.map(e => e.getAttribute('patternTransform'))"
        )
        assert len(set(hatchings)) == 2


def test_a_pass_in_doubt_is_marked_its_figures_struck_through_and_says_why(browser: Browser, lathe: Waytell) -> None:
    with opened(browser, lathe.url, f"#passes/{DOUBTFUL}") as page:
        page.wait_for_selector(f"[data-shown='{DOUBTFUL}']")
        assert struck(page, f"[data-pass='{DOUBTFUL}'] .figure") == {True}
        assert struck(page, ".pass .figure") == {True}
        assert "in doubt" in (page.text_content(f"[data-pass='{DOUBTFUL}']") or "")
        assert "Edges of a scale were missed" in (page.text_content(".doubt-box") or "")
        page.click("[data-pass='15'] button")
        page.wait_for_selector("[data-shown='15']")
        assert struck(page, ".pass .figure") == {False}
        assert page.locator(".doubt-box").count() == 0


def test_passes_are_filtered_by_part_and_operation(browser: Browser, lathe: Waytell) -> None:
    with opened(browser, lathe.url) as page:
        page.select_option("[data-filter='part']", "2")
        expect(page.locator("[data-pass]")).to_have_count(5)
        page.select_option("[data-filter='operation']", "face the bush")
        expect(page.locator("[data-pass]")).to_have_count(2)
        page.wait_for_selector("[data-shown='7']")
        page.select_option("[data-filter='part']", "")
        expect(page.locator("[data-pass]")).to_have_count(12)


def test_parts_tell_sizes_verdicts_and_that_five_are_too_few(browser: Browser, lathe: Waytell) -> None:
    with opened(browser, lathe.url) as page:
        page.click("text=Parts")
        page.wait_for_selector("[data-batch='bush'] canvas")
        said = page.text_content("[data-batch='bush']") or ""
        assert "5 parts" in said
        assert "Not yet meaningful: below 50 parts" in said
        # 9.004 mm of radius is over the limit of 9.000 by more than U: 18.008 mm across.
        fifth = page.text_content("[data-part='5']") or ""
        assert "18.008" in fifth
        assert "✕ outside limits" in fifth
        assert "✓ within limits" in (page.text_content("[data-part='1']") or "")
        assert "1 pass in doubt" in (page.text_content("[data-part='3']") or "")


def test_files_are_taken_away_from_the_page(browser: Browser, lathe: Waytell, tmp_path: Path) -> None:
    with opened(browser, lathe.url, "#files") as page:
        for words, name in (("Passes (CSV)", "passes.csv"), ("Section (DXF)", "section-30.dxf")):
            with page.expect_download() as coming:
                page.click(f"text={words}")
            assert coming.value.suggested_filename == name
            coming.value.save_as(tmp_path / name)
    with (tmp_path / "passes.csv").open(encoding="utf-8", newline="") as lines:
        assert len(list(csv.DictReader(lines))) == 30
    drawing = ezdxf.filemanagement.readfile(tmp_path / "section-30.dxf")
    assert len(drawing.modelspace().query("LWPOLYLINE")) == 1


def test_the_report_opens_with_its_style_and_its_drawing(browser: Browser, lathe: Waytell) -> None:
    page = browser.new_page()
    faults: list[str] = []
    page.on("console", lambda message: faults.append(message.text) if message.type == "error" else None)
    page.goto(f"{lathe.url}/api/export/report.html")
    assert page.eval_on_selector(".thick", "e => getComputedStyle(e).strokeWidth") == "2.6px"
    assert page.eval_on_selector("s", "e => getComputedStyle(e).textDecorationLine") == "line-through"
    # As paper: A4 is 210 mm wide, 180 mm of it inside the margins, 96 pixels an inch.
    page.emulate_media(media="print")
    page.set_viewport_size({"width": round(180 / 25.4 * 96), "height": 900})
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert [fault for fault in faults if "favicon" not in fault] == []
    page.close()


def test_figures_follow_the_units_of_the_person(browser: Browser, lathe: Waytell) -> None:
    with opened(browser, lathe.url, "#passes/15") as page:
        page.wait_for_selector("[data-shown='15']")
        assert "⌀\u00a02.000 mm" in (page.text_content(".figures-row") or "")
        lathe.act("choose_units", units={"length": "inch", "x_as": "radius"})
        # 1 mm of radius is 0.0394 inch.
        page.wait_for_selector(".figures-row:has-text('R\u00a00.0394 inch')")
        lathe.act("choose_units", units={"length": "mm", "x_as": "diameter"})
        page.wait_for_selector(".figures-row:has-text('2.000 mm')")


@pytest.mark.parametrize(("width", "height"), [(1280, 800), (800, 1280), (390, 844)])
@pytest.mark.parametrize("place", ["#passes/17", "#parts", "#files"])
def test_all_fits_the_screen_and_can_be_hit_with_a_finger(
    browser: Browser, lathe: Waytell, place: str, width: int, height: int
) -> None:
    with opened(browser, lathe.url, place, width, height) as page:
        page.wait_for_selector("[data-shown='17'], .parts, .files")
        fits_and_can_be_hit(page, "main, main > section", "button, a, select")


def test_everything_is_reached_with_the_keyboard(browser: Browser, lathe: Waytell) -> None:
    with opened(browser, lathe.url) as page:
        page.locator("[data-pass='29'] button").focus()
        page.keyboard.press("Enter")
        page.wait_for_selector("[data-shown='29']")
        assert page.get_attribute("[data-pass='29'] button", "aria-pressed") == "true"


def test_the_cut_page_leads_here_and_this_page_leads_back(browser: Browser, lathe: Waytell) -> None:
    page = browser.new_page()
    page.goto(lathe.url)
    page.click("text=Review")
    page.wait_for_selector("main.passes-screen")
    page.click("text=To the cut")
    page.wait_for_selector("#cut")
    page.close()


def test_a_pass_that_is_taken_now_appears_by_itself_and_a_lost_server_is_told(browser: Browser, tmp_path: Path) -> None:
    with BoardServer(seed=7) as board, waytell("run", "--source", board.url, "--data", str(tmp_path)) as running:
        running.wait_until_live()
        set_up(running, board, SEAT)
        page = browser.new_page()
        page.goto(f"{running.url}/review")
        page.wait_for_selector("text=No pass taken yet")
        Hands(board).turn(11.6, -6.0)
        page.wait_for_selector("[data-pass='1']", timeout=15_000)
        page.wait_for_selector("[data-shown='1']")
        assert "turning" in (page.text_content("article.pass h2") or "")
        assert page.locator(".chart canvas").count() == 3
        assert page.locator("[data-pass='1'] .spark polyline").count() == 1
        assert page.locator("[role=alert]").count() == 0
        running.kill()
        page.wait_for_selector("text=The server does not answer", timeout=15_000)
        # What was there stays to be read.
        assert page.locator("[data-pass='1']").count() == 1
        page.close()
