"""The Prove page in a real browser at a simulated lathe: checks from their beginning to what follows for the figures.

The carriage is set up with a count that is wrong in a known way, so that a known distance has something to find: a
slide wound by 20 mm really goes 20 mm (the simulated lathe's own truth), whatever the scale shows.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from support import browser as browsing
from support.at_lathe import set_up
from support.browser import fits_and_can_be_hit
from support.running import Waytell, figure, waytell
from waytell_bridge.simulated.serving import BoardServer

SIZES = [(1280, 800), (800, 1280), (390, 844)]
SEEN_WITHIN_S = 0.3
STANDS_AFTER_S = 0.6
TRUE_UM = 5.0
"""What a count of the simulated carriage's scale is."""
NEAR_UM, FAR_UM = 5.02, 10.0
"""As it is set up: a little wrong, so that figures only move; twice as long, so that nothing measured with it holds."""
BLOCK_MM = 20.0


def with_count(board: BoardServer, resolution_um: float) -> dict[str, Any]:
    scales = [
        one | ({"resolution_um": resolution_um} if one["slide"] == "carriage" else {}) for one in board.config["scales"]
    ]
    return board.config | {"scales": scales}


@pytest.fixture
def lathe(board: BoardServer, tmp_path: Path) -> Iterator[Waytell]:
    with waytell("run", "--source", board.url, "--data", str(tmp_path)) as running:
        running.wait_until_live()
        set_up(running, board)
        yield running


def opened(
    browser: Browser, url: str, place: str = "", width: int = 1280, height: int = 800
) -> AbstractContextManager[Page]:
    """What is refused is told on the page; the browser notes it as well."""
    return browsing.opened(browser, url, f"/prove{place}", width, height, told_anyway="409")


def proving(lathe: Waytell) -> dict[str, Any]:
    return dict(lathe.client.get("/api/proving").raise_for_status().json())


def newest(lathe: Waytell) -> dict[str, Any]:
    return dict(proving(lathe)["proofs"][0])


def quantity(proof: dict[str, Any], key: str) -> dict[str, Any]:
    return next(dict(one) for one in proof["quantities"] if one["key"] == key)


def shown_z(lathe: Waytell) -> float:
    """Once it is good: readings that come late for a moment are a busy computer's affair."""
    return float(figure(lathe.wait_for(lambda now: figure(now, "Z")["good"]), "Z")["value_mm"])


def wind(board: BoardServer, distance_mm: float, slide: str = "carriage") -> None:
    board.wind(slide, distance_mm, 15.0)  # type: ignore[arg-type]
    assert board.wait(30)
    # A slide has to stand for a moment before it is said to.
    time.sleep(STANDS_AFTER_S)


def captures(page: Page) -> int:
    return page.locator("[data-captured]").count()


def capture(page: Page, says: str | None = None) -> None:
    """Once the slide stands: types where it is, or takes what is suggested, with the keypad's keys alone.

    A busy computer lets readings come late for a moment: it is refused then, and one presses again.
    """
    before = captures(page)
    page.wait_for_selector("[data-stands='stands']")
    if says is not None:
        page.keyboard.type(says)
    until_s = time.monotonic() + 20
    while captures(page) == before and time.monotonic() < until_s:
        page.keyboard.press("Enter")
        page.wait_for_function(TAKEN_OR_REFUSED, arg=before)
    expect(page.locator("[data-captured]")).to_have_count(before + 1)


TAKEN_OR_REFUSED = """before => document.querySelectorAll("[data-captured]").length > before
  || document.querySelector(".capture .refusal p")"""


def measure_block(board: BoardServer, page: Page) -> None:
    """The two ends of a block of 20 mm, three times, always from the same side."""
    for _ in range(3):
        wind(board, -1.0)
        wind(board, 1.0)
        capture(page)
        wind(board, BLOCK_MM)
        capture(page)
        wind(board, -BLOCK_MM)


def prove_distance(board: BoardServer, page: Page) -> None:
    page.click("[data-check='distance']")
    page.click("label:has-text('carriage')")
    page.click("text='Begin'")
    page.wait_for_selector("[data-under-way='distance']")
    measure_block(board, page)
    expect(page.locator("[data-deed='finish']")).to_be_enabled()
    page.keyboard.press("/")
    page.wait_for_selector("[data-proof]")


def test_what_is_not_proved_is_told_so(browser: Browser, lathe: Waytell) -> None:
    with opened(browser, lathe.url) as page:
        expect(page.locator("[data-check]")).to_have_count(10)
        assert set(page.locator("[data-check] .verdict").all_inner_texts()) == {"not done"}
        assert "Nothing is proved yet" in page.inner_text(".list-side h2")
        # X is shown as a diameter: twice what the engine says of the radius.
        budgets = {one["axis"]: one for one in proving(lathe)["budgets"]}
        shown = float(page.inner_text("[data-budget='X'] .u-big").split("±")[1].split()[0])
        digit = 10.0 ** -budgets["X"]["decimals_mm"]
        assert 0 <= shown - 2e-3 * budgets["X"]["expanded_um"] < digit
        percents = [
            float(text.split()[0]) for text in page.locator("[data-budget='Z'] .share-number").all_inner_texts()
        ]
        assert sum(percents) == pytest.approx(100, abs=2)
        assert "k, for 95 %" not in page.inner_text("[data-budget='Z']")
        page.click("[data-budget='Z'] summary")
        expect(page.locator("[data-budget='Z'] .reckoned")).to_contain_text(f"{budgets['Z']['k']:.2f}")


def test_at_rest_with_the_keyboard_alone(browser: Browser, lathe: Waytell) -> None:
    with opened(browser, lathe.url) as page:
        page.locator("[data-check='rest']").focus()
        page.keyboard.press("Enter")
        # What opens takes the keyboard; from its heading one comes to the choice and the button.
        expect(page.locator(".panel h2")).to_be_focused()
        page.keyboard.press("Tab")
        page.wait_for_function("document.activeElement.checked")
        page.keyboard.press("Tab")
        expect(page.locator("text='Begin'")).to_be_focused()
        page.keyboard.press("Enter")
        page.wait_for_selector("[data-under-way='rest']")
        expect(page.locator("[data-live-lines]")).to_contain_text("counts from lowest to highest")
        expect(page.locator("[data-deed='finish']")).to_be_disabled()
        assert page.inner_text("#missing")
        expect(page.locator("[data-deed='finish']")).to_be_enabled(timeout=20_000)
        page.keyboard.press("Enter")
        page.wait_for_selector("[data-proof]")
        proof = newest(lathe)["proof"]
        assert proof["check"] == {"kind": "rest", "motor": "off"}
        assert proof["words"] in page.inner_text("[data-proof]")
        assert page.locator("[data-quantity]").count() == len(proof["quantities"]) > 0
        assert "1 of 2" in page.inner_text("[data-check='rest'] .verdict")
        assert proof["verdict"] in page.inner_text("[data-check='rest'] .verdict")


def test_a_known_distance_finds_what_a_count_really_is(browser: Browser, board: BoardServer, lathe: Waytell) -> None:
    lathe.done("use_config", config=with_count(board, FAR_UM))
    lathe.done("touch_off", axis="Z", at_mm=6.0)
    with opened(browser, lathe.url) as page:
        prove_distance(board, page)
        proof = newest(lathe)["proof"]
        assert proof["check"]["length_mm"] == BLOCK_MM
        assert proof["captures"] == 6
        assert proof["gives"]["resolution_um"] == TRUE_UM
        assert proof["words"] in page.inner_text("[data-proof]")
        # The simulated carriage's scale is 20 ppm off, a count here or there of 4000 is 250 ppm.
        count_um = float(page.inner_text("[data-quantity='resolution'] td:nth-child(2)"))
        assert count_um == pytest.approx(TRUE_UM, rel=5e-4)
        page.click("[data-deed='use']")
        # Nothing measured with the old count holds: that is told before anything is changed.
        expect(page.locator("[data-shift='Z']")).to_contain_text("touched off again")
        assert page.get_attribute("[data-shift='Z']", "data-void") == "true"
        shown_z(lathe)
        page.click("[data-deed='use-sure']")
        page.wait_for_selector("[data-use='used']")
        state = lathe.wait_for(lambda now: not figure(now, "Z")["good"])
        assert "not_referenced" in figure(state, "Z")["reasons"]
        page.click("[data-deed='take-back']")
        lathe.wait_for(lambda now: figure(now, "Z")["good"])


def test_what_moves_is_told_before_a_finding_is_used(browser: Browser, board: BoardServer, lathe: Waytell) -> None:
    lathe.done("use_config", config=with_count(board, NEAR_UM))
    lathe.done("touch_off", axis="Z", at_mm=6.0)
    with opened(browser, lathe.url) as page:
        prove_distance(board, page)
        wind(board, 10.0)
        lathe.wait_for(lambda now: figure(now, "Z").get("value_mm", 0) > 15.9)
        page.reload()
        page.click("[data-deed='use']")
        shift = newest(lathe)["shifts"][-1]
        assert shift["axis"] == "Z"
        assert page.inner_text("[data-shift='Z']") == shift["words"]
        # 10 mm from where Z was touched off, shown with a count of 5.02 instead of 5.
        assert newest(lathe)["proof"]["gives"]["scale_factor"] == pytest.approx(TRUE_UM / NEAR_UM, rel=5e-4)
        assert shift["now_mm"] - shift["then_mm"] == pytest.approx(10 * (NEAR_UM / TRUE_UM - 1), abs=0.012)
        before = shown_z(lathe)
        page.click("[data-deed='keep-old']")
        page.wait_for_selector("[data-use='offered']")
        assert shown_z(lathe) == pytest.approx(before, abs=0.006)
        page.click("[data-deed='use']")
        page.click("[data-deed='use-sure']")
        page.wait_for_selector("[data-use='used']")
        assert shown_z(lathe) == pytest.approx(shift["then_mm"], abs=0.006)


def test_captures_are_judged_left_out_and_taken_in_again(browser: Browser, board: BoardServer, lathe: Waytell) -> None:
    lathe.done("begin_check", check={"kind": "distance", "slide": "carriage", "length_mm": BLOCK_MM})
    with opened(browser, lathe.url) as page:
        # It is under way already: the page opens there.
        page.wait_for_selector("[data-under-way='distance']")
        capture(page)
        wind(board, BLOCK_MM)
        # A decimal comma, and a place that is not the one suggested: the slide stands 0.050 mm beyond it.
        capture(page, "19,95")
        row = page.locator("[data-captured='2']")
        expect(row).to_contain_text("19.950")
        shown = float(row.locator(".off").inner_text().split()[0])
        assert shown == pytest.approx(0.05, abs=0.008)
        assert row.locator(".off").inner_text().endswith("too much")
        row.locator("button").click()
        expect(row).to_have_attribute("data-left-out", "true")
        assert proving(lathe)["check"]["captures"][1]["left_out"]
        expect(row.locator("button")).to_have_text("Take in again")
        row.locator("button").click()
        expect(row).to_have_attribute("data-left-out", "false")
        page.fill("[data-says]", "two")
        page.click("[data-deed='capture']")
        expect(page.locator(".capture .refusal")).to_contain_text('"two" is not a number')
        assert page.input_value("[data-says]") == "two"


def test_a_capture_while_the_slide_moves_is_refused_and_costs_nothing(
    browser: Browser, board: BoardServer, lathe: Waytell
) -> None:
    lathe.done("begin_check", check={"kind": "map", "slide": "carriage"})
    with opened(browser, lathe.url) as page:
        page.wait_for_selector("[data-under-way='map'] [data-stands='stands']")
        board.wind("carriage", 40.0, 4.0)
        page.wait_for_selector("[data-stands='moves']")
        assert page.get_attribute("[data-deed='capture']", "data-ready") == "false"
        page.fill("[data-says]", "7.5")
        page.keyboard.press("Enter")
        expect(page.locator(".capture .refusal")).to_contain_text("moves")
        assert page.input_value("[data-says]") == "7.5"
        assert captures(page) == 0
        assert board.wait(30)
        capture(page)
        assert proving(lathe)["check"]["captures"][0]["says_mm"] == 7.5


def test_a_map_is_plotted_put_in_use_and_out_again(browser: Browser, board: BoardServer, lathe: Waytell) -> None:
    with opened(browser, lathe.url) as page:
        page.click("[data-check='map']")
        page.click("label:has-text('carriage')")
        page.click("text='Begin'")
        page.wait_for_selector("[data-under-way='map']")
        for place in (0, 10, 20, 30):
            wind(board, -1.0)
            wind(board, 1.0)
            # The blocks are truly 0.010 mm longer each than the scale shows.
            capture(page, f"{place * 1.001:.3f}")
            wind(board, 10.0)
        page.keyboard.press("/")
        page.wait_for_selector("[data-proof]")
        page.wait_for_selector(".chart canvas")
        assert blue(page) > 100
        assert "true less shown" in (page.get_attribute(".chart", "aria-label") or "")
        page.click("[data-deed='use']")
        page.click("[data-deed='use-sure']")
        page.wait_for_selector("[data-use='used']")
        (scale,) = [one for one in proving(lathe)["scales"] if one["slide"] == "carriage"]
        assert scale["mapped"]
        assert scale["placed"]
        board.fault("restart")
        # Counts began anew: the map waits for its stop, and the page asks for it.
        page.wait_for_selector(".list-side [data-stop='carriage'][data-placed='false']")
        lathe.wait_until_live()
        wind(board, -40.0)
        page.click(".list-side [data-stop='carriage'] button")
        expect(page.locator(".list-side [data-stop='carriage']")).to_have_count(0)
        (scale,) = [one for one in proving(lathe)["scales"] if one["slide"] == "carriage"]
        assert scale["placed"]
        page.click("[data-deed='unuse']")
        page.click("[data-deed='unuse-sure']")
        page.wait_for_selector("[data-use='offered']")
        assert not any(one["mapped"] for one in proving(lathe)["scales"])


def blue(page: Page) -> int:
    """Pixels of a plot in its own blue."""
    return int(
        page.evaluate(
            """() => {
              const canvas = document.querySelector(".chart canvas");
              const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
              let count = 0;
              for (let i = 0; i < data.length; i += 4) count += data[i + 3] > 128 && data[i + 2] > data[i] + 60;
              return count;
            }"""
        )
    )


def test_giving_up_asks_once(browser: Browser, lathe: Waytell) -> None:
    lathe.done("begin_check", check={"kind": "disc"})
    with opened(browser, lathe.url) as page:
        page.click("[data-deed='give-up']")
        page.click("text='Go on'")
        assert proving(lathe)["check"] is not None
        page.click("[data-deed='give-up']")
        page.click("[data-deed='give-up-sure']")
        page.wait_for_selector("[data-kind='disc']")
        assert proving(lathe)["check"] is None


# Looks at the page in every frame and notes when what is live came to be struck through.
WATCHER = """() => {
  window.seen = [];
  let last = "";
  const look = () => {
    const place = document.querySelector(".live");
    const lines = document.querySelector("[data-live-lines]");
    const struck = place && getComputedStyle(lines).textDecorationLine.includes("line-through");
    const now = [place?.dataset.doubtful, struck, document.querySelector("[data-live-move]")?.textContent].join("|");
    if (now !== last) window.seen.push([(performance.timeOrigin + performance.now()) / 1000, now]);
    last = now;
    requestAnimationFrame(look);
  };
  look();
}"""
CALM = """seconds => {
  const [since, what] = window.seen.at(-1);
  return what.startsWith("false|false") && (performance.timeOrigin + performance.now()) / 1000 - since > seconds;
}"""


def struck_after(page: Page, since_s: float, within_s: float = 5.0) -> float:
    until_s = time.monotonic() + within_s
    while time.monotonic() < until_s:
        for at_s, what in page.evaluate("window.seen"):
            if at_s >= since_s and what.startswith("true|true"):
                return float(at_s) - since_s
        time.sleep(0.02)
    raise AssertionError(f"never struck through: {page.evaluate('window.seen')}")


def test_lines_that_are_no_longer_live_are_struck_through_at_once(
    browser: Browser, board: BoardServer, lathe: Waytell
) -> None:
    lathe.done("begin_check", check={"kind": "winding", "slide": "carriage"})
    with opened(browser, lathe.url) as page:
        page.wait_for_selector("[data-stands='stands']")
        page.evaluate(WATCHER)
        page.wait_for_function(CALM, arg=0.5, timeout=20_000)
        move = page.inner_text("[data-live-move]")
        pulled_s = time.time()
        board.fault("unplug", seconds=1.5)
        assert struck_after(page, pulled_s) < SEEN_WITHIN_S
        assert page.get_attribute("[data-live-stands]", "data-stands") == "unknown"
        assert page.get_attribute("[data-deed='capture']", "data-ready") == "false"
        # The reason stands where the next move stood.
        doubts = [one["words"] for one in lathe.state()["doubts"]]
        assert page.inner_text("[data-live-move]") in doubts
        assert move not in doubts
        page.wait_for_function(CALM, arg=0.3, timeout=20_000)


def test_a_lost_server_strikes_the_lines_and_is_told(browser: Browser, board: BoardServer, tmp_path: Path) -> None:
    with waytell("run", "--source", board.url, "--data", str(tmp_path)) as running:
        running.wait_until_live()
        set_up(running, board)
        running.done("begin_check", check={"kind": "winding", "slide": "carriage"})
        page = browser.new_page()
        page.goto(f"{running.url}/prove")
        page.wait_for_selector("[data-stands='stands']")
        page.evaluate(WATCHER)
        page.wait_for_function(CALM, arg=0.5, timeout=20_000)
        gone_s = time.time()
        running.kill()
        assert struck_after(page, gone_s) < SEEN_WITHIN_S
        assert "No word from the server" in page.inner_text("[data-live-move]")
        expect(page.locator("[data-silent]")).to_be_visible()
        page.close()


def test_lengths_follow_the_units_of_the_person(browser: Browser, board: BoardServer, lathe: Waytell) -> None:
    lathe.done("begin_check", check={"kind": "distance", "slide": "carriage", "length_mm": 25.4})
    with opened(browser, lathe.url) as page:
        capture(page)
        wind(board, 25.4)
        lathe.done("choose_units", units={"length": "inch", "x_as": "radius"})
        expect(page.locator("[data-says]")).to_have_value("1")
        capture(page)
        assert proving(lathe)["check"]["captures"][1]["says_mm"] == pytest.approx(25.4)
        expect(page.locator("[data-captured='2'] td").first).to_have_text("1.0000")
        page.click("[data-place='trust']")
        expect(page.locator("[data-budget='X'] .u-big")).to_contain_text("inch")
        expect(page.locator("[data-budget='X'] .soft").filter(has_text="on the radius")).to_have_count(1)


def test_all_fits_the_screen_and_can_be_hit_with_a_finger(browser: Browser, board: BoardServer, lathe: Waytell) -> None:
    with opened(browser, lathe.url) as page:
        fits(page)
        for kind in ("distance", "temperature", "collars"):
            page.click(f"[data-check='{kind}']")
            page.wait_for_selector(f"[data-kind='{kind}']")
            fits(page)
        page.click("[data-place='trust']")
        page.wait_for_selector("[data-budget]")
        fits(page)
        lathe.done("begin_check", check={"kind": "distance", "slide": "carriage", "length_mm": BLOCK_MM})
        page.goto(f"{lathe.url}/prove#distance/carriage")
        page.wait_for_selector("[data-under-way]")
        for place in range(4):
            capture(page)
            wind(board, BLOCK_MM * (-1) ** place)
        page.wait_for_selector(".so-far")
        fits(page)
        page.click("[data-deed='finish']")
        page.wait_for_selector("[data-proof]")
        fits(page)


def fits(page: Page) -> None:
    """At each size: what is shown follows the window."""
    controls = "button, a, summary, .choice label, input[type='text']"
    for width, height in reversed(SIZES):
        page.set_viewport_size({"width": width, "height": height})
        page.wait_for_timeout(100)
        fits_and_can_be_hit(page, "main, main > div, main > div > section", controls)


def test_the_list_lies_where_the_pressing_hand_is_not_in_the_way(browser: Browser, lathe: Waytell) -> None:
    with opened(browser, lathe.url) as page:
        left = "document.querySelector('.list-side').getBoundingClientRect().left"
        assert page.evaluate(left) == 0
        page.click("label:has-text('left hand')")
        page.wait_for_function(f"{left} > 600")
        page.reload()
        page.wait_for_selector(".list-side")
        page.wait_for_function(f"{left} > 600")


def test_night_is_dark_and_nothing_moves_by_itself(browser: Browser, lathe: Waytell) -> None:
    context = browser.new_context(color_scheme="dark", reduced_motion="reduce")
    page = context.new_page()
    page.goto(f"{lathe.url}/prove")
    page.wait_for_selector("main")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(20, 24, 29)"
    moving = """all => all.map(e => getComputedStyle(e))
      .filter(style => style.transitionDuration !== "0s" || style.animationName !== "none").length"""
    assert page.eval_on_selector_all("*", moving) == 0
    context.close()


def test_a_load_of_the_page_stays_light(browser: Browser, lathe: Waytell) -> None:
    page = browser.new_page()
    sizes: dict[str, int] = {}
    page.on("response", lambda answer: sizes.update({answer.url: len(answer.body())}))
    page.goto(f"{lathe.url}/prove")
    page.wait_for_selector("[data-check]")
    files = {url: size for url, size in sizes.items() if "/static/" in url or url == f"{lathe.url}/prove"}
    assert len(files) > 20
    assert sum(files.values()) < 200_000
    page.close()


def test_the_other_pages_lead_here_and_this_page_leads_back(browser: Browser, lathe: Waytell) -> None:
    page = browser.new_page()
    for start in ("/", "/plan", "/review"):
        page.goto(lathe.url + start)
        page.click("a[href='prove']")
        page.wait_for_selector("main.prove-screen")
        page.click("text=To the cut")
        page.wait_for_selector("#cut")
    page.goto(f"{lathe.url}/prove")
    with page.expect_popup() as sheet:
        page.click("text=Proving sheet")
    expect(sheet.value.locator("body")).to_contain_text("simulated lathe")
    page.close()
