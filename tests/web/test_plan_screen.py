"""The Plan page in a real browser against a real server: an invented bush is typed from its drawing and handed over.

The bush: bronze bar of 24 mm, turned to 18 h8 up to 22 mm, bored 10 H7, parted off at 30 mm.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from support import browser as browsing
from support.browser import fits_and_can_be_hit
from support.running import Waytell, waytell

SIZES = [(1280, 800), (800, 1280), (390, 844)]
GENERAL = {"tolerance_class": None, "upper_mm": None, "lower_mm": None}
BUSH: dict[str, Any] = {
    "name": "wagon bush", "note": "invented", "material": "phosphor bronze", "bar": {"diameter_mm": 24.0},
    "set_ups": [{"out_mm": 42.0}],
    "features": [
        {"kind": "face"},
        {"kind": "turned", "diameter": {"mm": 18.0, "tolerance_class": "h8"}, "to": 22.0},
        {"kind": "hole", "diameter_mm": 9.0, "to_mm": 34.0},
        {"kind": "bore", "diameter": {"mm": 10.0, "tolerance_class": "H7"}, "to": 34.0},
        {"kind": "part_off", "at_mm": 30.0},
    ],
}  # fmt: skip
SPACER = """
format = "waytell-part"
version = 1
name = "wagon spacer"
material = "aluminium alloy"

[bar]
diameter_mm = 16.0

[[set_ups]]
out_mm = 30.0

[[features]]
kind = "face"

[[features]]
kind = "turned"
diameter = 12.0
to = { mm = 15.0, upper_mm = 0.0, lower_mm = -0.1 }

[[features]]
kind = "part_off"
at_mm = 20.0
"""


@pytest.fixture
def lathe(tmp_path: Path) -> Iterator[Waytell]:
    # A board is not needed to plan.
    with waytell("run", "--source", str(tmp_path / "no-such-port"), "--data", str(tmp_path / "data")) as running:
        yield running


@pytest.fixture(scope="module")
def with_bush(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Waytell]:
    """A lathe that keeps the bush; tests that only look share it."""
    folder = tmp_path_factory.mktemp("data")
    with waytell("run", "--source", str(folder / "no-such-port"), "--data", str(folder)) as running:
        running.done("use_part", part=BUSH)
        yield running


def opened(
    browser: Browser, url: str, place: str = "", width: int = 1280, height: int = 800
) -> AbstractContextManager[Page]:
    """What the server refuses while one types is told on the page; the browser notes it as well."""
    return browsing.opened(browser, url, f"/plan{place}", width, height, told_anyway="422")


def field(page: Page, label: str, text: str) -> None:
    page.locator(f".answer label.field:has-text('{label}') input").first.fill(text)


def go_on(page: Page) -> None:
    page.click(".answer button[type='submit']")


def add(page: Page, kind: str, **texts: str) -> None:
    """Adds a feature; names of fields with _ for a space."""
    if page.get_attribute("[data-question='add'] > button", "aria-expanded") == "false":
        page.click("[data-question='add'] > button")
    page.click(f"[data-add='{kind}']")
    for label, text in texts.items():
        field(page, label.replace("_", " "), text)


def begin_bush(page: Page) -> None:
    """One question after the other, with the keyboard."""
    expect(page.locator("[data-question='name'] input").first).to_be_focused()
    page.keyboard.type("wagon bush")
    page.keyboard.press("Enter")
    page.click(".answer label:has-text('phosphor bronze')")
    go_on(page)
    field(page, "Diameter of the bar", "24")
    page.keyboard.press("Enter")
    field(page, "Length out of the chuck", "42")
    page.keyboard.press("Enter")


def turn_18_h8(page: Page) -> None:
    add(page, "turned", Diameter="18", Up_to_a_shoulder="22")
    page.locator(".answer .choice label:has-text('a class')").first.click()
    field(page, "Tolerance class", "h8")


def steps(page: Page) -> list[str]:
    return page.locator("[data-step] .what b").all_text_contents()


def test_typing_a_bush_draws_it_and_plans_its_operations(browser: Browser, lathe: Waytell) -> None:
    with opened(browser, lathe.url) as page:
        begin_bush(page)
        page.wait_for_selector("[data-target]")
        bare = page.get_attribute("[data-target]", "d")
        add(page, "face")
        page.wait_for_selector("[data-step='1']")
        turn_18_h8(page)
        expect(page.locator("[data-step]")).to_have_count(3)
        turned = page.get_attribute("[data-target]", "d")
        assert turned
        assert turned != bare
        # The feature that is open is marked with a heavy line and in words.
        assert "feature 2: turned diameter" in (page.text_content("[data-emphasis]") or "")
        page.locator("[data-step='3'] > button").click()
        # h8 over 10 up to 18 mm is 0/-0.027: ISO 286-1:2010, table 1 (IT8, 27 micrometres).
        expect(page.locator("[data-limits]")).to_contain_text("17.973 to 18.000 mm")
        assert page.get_attribute("[data-stock]", "d") != page.get_attribute("[data-target]", "d")


def test_turns_follow_from_cutting_speed_and_diameter(browser: Browser, with_bush: Waytell) -> None:
    with opened(browser, with_bush.url) as page:
        plan = with_bush.client.get("/api/plan").json()["planned"]["plan"]
        first = plan["steps"][0]
        shown = float(page.locator("[data-step='1'] .figure-cell b").first.text_content() or "")
        # v = pi d n: n = 1000 v / (pi d), common in every textbook of the trade.
        assert shown == pytest.approx(1000 * first["speed"]["vc_m_min"] / (3.14159 * 24), rel=0.01)
        assert (page.text_content(".common") or "").startswith("Before the spindle starts")
        assert "Your machine's manual, local rules and a qualified person come first" in page.inner_text(".common")


def test_a_contradiction_is_told_with_its_numbers_and_the_way_out_leads_there(browser: Browser, lathe: Waytell) -> None:
    lathe.done("use_part", part=BUSH)
    with opened(browser, lathe.url) as page:
        page.wait_for_selector("[data-step]")
        page.click("[data-feature='4'] > button")
        field(page, "Diameter", "19")
        page.wait_for_selector(".contradictions")
        said = page.text_content(".contradictions") or ""
        assert "19" in said
        assert "18" in said
        assert page.locator("[data-step]").count() == 0
        # The drawing stays, and says that it is that of before.
        assert "as it was before" in (page.text_content("[data-old='true'] figcaption") or "")
        # What was typed stays.
        assert page.locator(".answer input").first.input_value() == "19"
        page.click("text=Open feature 2")
        page.wait_for_selector("[data-feature='2'] .answer")
        page.keyboard.press("Control+z")
        page.wait_for_selector("[data-step]")
        assert page.locator(".contradictions").count() == 0


def test_what_cannot_be_read_is_told_beside_the_form_and_stays(browser: Browser, lathe: Waytell) -> None:
    lathe.done("use_part", part=BUSH)
    with opened(browser, lathe.url) as page:
        page.wait_for_selector("[data-step]")
        page.click("[data-question='bar'] > button")
        field(page, "Diameter of the bar", "2a")
        page.wait_for_selector('.part-form .refusal:has-text("is not a number")')
        field(page, "Diameter of the bar", "9000")
        page.wait_for_selector('.part-form .refusal:has-text("5000")')
        assert page.locator(".answer input").first.input_value() == "9000"
        assert lathe.client.get("/api/plan").json()["part"]["bar"]["diameter_mm"] == 24.0


def test_typing_is_undone_and_done_again_word_by_word(browser: Browser, lathe: Waytell) -> None:
    lathe.done("use_part", part=BUSH)
    with opened(browser, lathe.url) as page:
        page.wait_for_selector("[data-step]")
        page.click("[data-question='name'] > button")
        expect(page.locator("[data-question='name'] input").first).to_be_focused()
        page.keyboard.type("long bush")
        bold = page.locator("[data-question='name'] > button b")
        expect(bold).to_have_text("long bush")
        page.click("[data-feature='5'] > button")
        field(page, "Where the part ends", "31")
        page.keyboard.press("Control+z")
        expect(page.locator("[data-feature='5'] > button b")).to_have_text("at 30")
        page.keyboard.press("Control+z")
        expect(bold).to_have_text("wagon bush")
        page.keyboard.press("Control+y")
        expect(bold).to_have_text("long bush")
        page.click("[data-deed='redo']")
        expect(page.locator("[data-feature='5'] > button b")).to_have_text("at 31")
        expect(page.locator("[data-deed='redo']")).to_be_disabled()


def test_features_are_moved_and_taken_out(browser: Browser, lathe: Waytell) -> None:
    lathe.done("use_part", part=BUSH)
    with opened(browser, lathe.url) as page:
        page.click("[data-feature='3'] > button")
        page.click("[data-move='up']")
        kinds = "[...document.querySelectorAll('.feature')].map(e => e.dataset.kind).join(' ')"
        page.wait_for_function(f"{kinds} === 'face hole turned bore part_off'")
        page.click("[data-remove]")
        page.wait_for_function(f"{kinds} === 'face turned bore part_off'")


def test_a_part_file_goes_in_and_comes_out_as_it_was(browser: Browser, lathe: Waytell, tmp_path: Path) -> None:
    file = tmp_path / "spacer.toml"
    file.write_text(SPACER, encoding="utf-8")
    with opened(browser, lathe.url) as page:
        page.set_input_files("[data-file]", file)
        expect(page.locator("[data-question='name'] > button b")).to_have_text("wagon spacer")
        page.wait_for_selector("[data-step]")
        page.click("[data-deed='keep']")
        page.wait_for_selector("[data-kept='true']")
        with page.expect_download() as coming:
            page.click("text=Part file")
        coming.value.save_as(tmp_path / "out.toml")
        out = tomllib.loads((tmp_path / "out.toml").read_text(encoding="utf-8"))
        assert out["features"][1]["to"] == {"mm": 15.0, "upper_mm": 0.0, "lower_mm": -0.1}
        assert [one["kind"] for one in out["features"]] == ["face", "turned", "part_off"]
        # What came out goes in again and says the same: nothing is left to keep.
        page.set_input_files("[data-file]", tmp_path / "out.toml")
        expect(page.locator("[data-deed='keep']")).to_be_disabled()
        (tmp_path / "broken.toml").write_text('name = "no part"', encoding="utf-8")
        page.set_input_files("[data-file]", tmp_path / "broken.toml")
        page.wait_for_selector(".keeping .refusal p")


def test_an_operation_is_chosen_for_the_lathe(browser: Browser, lathe: Waytell) -> None:
    lathe.done("use_part", part=BUSH)
    with opened(browser, lathe.url) as page:
        page.click("text=The bar is in the chuck")
        page.wait_for_selector("[data-step='1'][data-state='next']")
        state = lathe.state()
        assert state["work"]["stock"]["diameter_mm"] == 24.0
        page.click("[data-step='2'] > button")
        page.click("[data-use='2']")
        page.wait_for_selector("[data-step='2'] .state:has-text('chosen at the lathe')")
        planned = lathe.client.get("/api/plan").json()["planned"]["plan"]["steps"][1]
        assert lathe.state()["operation"] == planned["operation"]
        assert lathe.state()["operation"]["planned_rpm"] == planned["speed"]["rpm"]
        assert lathe.state()["tool"]["tool"]["name"] == planned["tool"]
        page.click("[data-deed='take-back']")
        lathe.wait_for(lambda now: now["operation"] is None)


def test_a_part_that_was_only_typed_is_kept_before_its_operation_is_used(browser: Browser, lathe: Waytell) -> None:
    with opened(browser, lathe.url) as page:
        page.click("[data-deed='example']")
        page.click("[data-step='1'] > button")
        assert lathe.client.get("/api/plan").json()["part"] is None
        page.click("[data-use='1']")
        lathe.wait_for(lambda now: now["operation"] is not None)
        assert lathe.client.get("/api/plan").json()["part"]["name"] == "wagon bush"
        assert "nvented" in lathe.client.get("/api/plan").json()["part"]["note"]


def painted(page: Page, selector: str) -> int:
    """Pixels in the chart's own blue."""
    return int(
        page.evaluate(
            """selector => {
              const canvas = document.querySelector(selector);
              const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
              let blue = 0;
              for (let i = 0; i < data.length; i += 4) blue += data[i + 3] > 128 && data[i + 2] > data[i] + 60;
              return blue;
            }""",
            selector,
        )
    )


def test_other_depths_are_charted_with_plan_and_limit(browser: Browser, with_bush: Waytell) -> None:
    with opened(browser, with_bush.url) as page:
        page.click("[data-step='2'] > button")
        page.wait_for_selector(".what-if .chart canvas")
        assert painted(page, ".what-if canvas") > 300
        bending = page.get_attribute(".what-if .chart", "aria-label") or ""
        assert bending.startswith("bending of the work, µm, over the depth of a pass, ⌀ mm")
        assert "Limit" in bending
        page.click(".what-if label:has-text('power')")
        page.wait_for_selector(".what-if .chart[aria-label^='power from the motor']")
        limit = float(with_bush.client.get("/api/config").json()["machine"]["motor_power_w"])
        told = page.get_attribute(".what-if .chart", "aria-label") or ""
        most = float(re.findall(r"Limit ([\d.]+)\.", told)[0])
        assert 0 < most <= limit


def test_each_value_of_a_material_tells_where_it_is_from(browser: Browser, with_bush: Waytell) -> None:
    with opened(browser, with_bush.url, "#tables") as page:
        page.wait_for_selector(".values")
        page.click("label:has-text('phosphor bronze')")
        value = page.locator("[data-material='phosphor bronze'] [data-value='kc11_n_mm2']")
        assert not value.locator(".source p").is_visible()
        value.locator("summary").click()
        tables = with_bush.client.get("/api/plan/tables").json()
        bronze = next(one for one in tables["materials"] if one["name"] == "phosphor bronze")
        assert value.locator(".source p").inner_text() == bronze["kc11_n_mm2"]["source"]
        assert page.locator(".source").count() == 8


def test_materials_tools_and_the_lathe_are_changed_and_kept(browser: Browser, lathe: Waytell) -> None:
    with opened(browser, lathe.url, "#tables") as page:
        page.wait_for_selector(".values")
        page.click("label:has-text('phosphor bronze')")
        page.click("text=Change these, or enter a material of your own")
        page.fill("label.field:has-text('Density') input", "8800")
        page.click("text=Keep as your own")
        page.wait_for_selector("text=Take your own entry out")
        config = lathe.client.get("/api/config").json()
        assert [(one["name"], one["density_kg_m3"]["value"]) for one in config["materials"]] == [
            ("phosphor bronze", 8800.0)
        ]
        lathe_section = page.locator("section[aria-label='The lathe']")
        lathe_section.locator("label:has-text('Speeds of belts') input").fill("100 250 600 1500")
        lathe_section.locator("label:has-text('Highest speed marked') input").fill("1400")
        lathe_section.locator("text=Keep these").click()
        expect(lathe_section.locator(".sent")).to_contain_text("taken over")
        machine = lathe.client.get("/api/config").json()["machine"]
        assert (machine["speeds_rpm"], machine["chuck_max_rpm"]) == ([100.0, 250.0, 600.0, 1500.0], 1400.0)
        tools = page.locator("section[aria-label='Tools']")
        tools.locator("label:has-text('a usual')").first.click()
        tools.locator("text=Keep this tool").click()
        expect(tools.locator("tbody tr")).to_have_count(2)
        assert len(lathe.client.get("/api/config").json()["tools"]) == 2


def test_lengths_follow_the_units_of_the_person(browser: Browser, lathe: Waytell) -> None:
    lathe.done("use_part", part=BUSH)
    with opened(browser, lathe.url) as page:
        lathe.done("choose_units", units={"length": "inch", "x_as": "radius"})
        # 18 mm are 0.70866 inch; on a drawing a diameter stays a diameter.
        page.wait_for_selector("[data-feature='2'] b:has-text('0.70866 h8')")
        # Nothing was typed: it still says what is kept, to the last digit.
        assert page.get_attribute("[data-kept]", "data-kept") == "true"
        page.wait_for_selector("[data-step='2'] .passes-cell:has-text('R\u00a00.0')")
        lathe.done("choose_units", units={"length": "mm", "x_as": "diameter"})
        page.wait_for_selector("[data-feature='2'] b:has-text('18 h8')")


@pytest.mark.parametrize(("width", "height"), SIZES)
@pytest.mark.parametrize("place", ["", "#tables"])
def test_all_fits_the_screen_and_can_be_hit_with_a_finger(
    browser: Browser, with_bush: Waytell, place: str, width: int, height: int
) -> None:
    with opened(browser, with_bush.url, place, width, height) as page:
        page.wait_for_selector(".values, [data-step]")
        if not place:
            page.click("[data-feature='2'] > button")
            page.click("[data-step='2'] > button")
            page.wait_for_selector(".what-if canvas")
        fits_and_can_be_hit(page, "main, main > div, main > div > div", "button, a, summary, .choice label, .file")


def test_everything_is_reached_with_the_keyboard(browser: Browser, with_bush: Waytell) -> None:
    with opened(browser, with_bush.url) as page:
        page.locator("[data-step='2'] > button").focus()
        page.keyboard.press("Enter")
        page.wait_for_selector("[data-detail='2']")
        assert page.get_attribute("[data-step='2'] > button", "aria-expanded") == "true"
        assert "operation 2" in (page.text_content("[data-emphasis]") or "")
        page.locator("[data-question='bar'] > button").focus()
        page.keyboard.press("Space")
        # What opens takes the keyboard.
        expect(page.locator("[data-question='bar'] input").first).to_be_focused()


def test_a_load_of_the_page_stays_light(browser: Browser, with_bush: Waytell) -> None:
    page = browser.new_page()
    sizes: dict[str, int] = {}
    page.on("response", lambda answer: sizes.update({answer.url: len(answer.body())}))
    page.goto(f"{with_bush.url}/plan")
    page.wait_for_selector("[data-step]")
    files = {url: size for url, size in sizes.items() if "/static/" in url or url == f"{with_bush.url}/plan"}
    assert len(files) > 20
    assert sum(files.values()) < 200_000
    page.close()


def test_the_cut_page_and_review_lead_here_and_this_page_leads_back(browser: Browser, with_bush: Waytell) -> None:
    page = browser.new_page()
    for start in ("/", "/review"):
        page.goto(with_bush.url + start)
        page.click("a[href='plan']")
        page.wait_for_selector("main.plan-screen")
        page.click("text=To the cut")
        page.wait_for_selector("#cut")
    page.goto(with_bush.url + "/plan")
    with page.expect_popup() as sheet:
        page.click("text=Set-up sheet")
    expect(sheet.value.locator("body")).to_contain_text("wagon bush")
    page.close()


def test_a_lost_server_is_told_and_what_was_typed_stays(browser: Browser, lathe: Waytell) -> None:
    page = browser.new_page()
    page.goto(f"{lathe.url}/plan")
    expect(page.locator("[data-question='name'] input").first).to_be_focused()
    page.keyboard.type("wagon bush")
    lathe.kill()
    page.wait_for_selector("text=The server does not answer", timeout=15_000)
    expect(page.locator("[data-question='name'] > button b")).to_have_text("wagon bush")
    page.close()
