"""The proving sheet: what was found, how sure, how it drifted; on A4, with nothing from elsewhere."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from playwright.sync_api import Request

from export.elements import Elements
from export.proving_samples import BUDGETS, DRIFTED, EMPTY, LINK, MAP, POSITIONING, PROVED, dated
from support.browser import chromium
from waytell.config import parse_config
from waytell.documents.config import Config
from waytell.documents.proving import Plot, Series
from waytell.export.plot_svg import LOOKS, MOST_MARKS, MOST_TICKS, plot_svg, ticks
from waytell.export.proving_sheet import proving_sheet
from waytell.export.proving_words import newest

MADE = "2031-05-04T12:00:00Z"
LATHE = '[machine]\nname = "invented lathe"\ntemperature_c = 18.0\n'


def lathe(more: str = "") -> Config:
    return parse_config(LATHE + more, "lathe.toml")


def words_of(text: str) -> str:
    return " ".join(" ".join(Elements(text).words).split())


@pytest.fixture(scope="module")
def sheet() -> str:
    return proving_sheet(PROVED, lathe(), MADE)


# -- what it tells -----------------------------------------------------------------------------------------------------


def test_the_sheet_needs_nothing_from_elsewhere(sheet: str) -> None:
    found = Elements(sheet).found
    assert not [tag for tag, _ in found if tag in ("script", "link", "img", "iframe", "object")]
    assert not [(tag, attributes) for tag, attributes in found if {"href", "src"} & set(attributes)]
    assert not re.search(r"@import|url\(", sheet)
    assert "@page { size: A4" in sheet


def test_machine_day_temperature_and_what_it_is_not_come_first(sheet: str) -> None:
    words = words_of(sheet)
    for said in ("invented lathe", MADE, "18 °C", "20 °C (ISO 1)", "no calibration certificate", "Measure the part."):
        assert said in words
    assert words.index("no calibration certificate") < words.index("± 0.0240 mm")
    assert "Never checked: which scale, fast winding, faced disc, temperature." in words


def test_each_newest_finding_is_told_with_its_figures_and_what_to_do(sheet: str) -> None:
    words = words_of(sheet)
    for one in newest(PROVED.proofs):
        assert words.count(one.proof.words) >= 2, "in short, then with its figures"
        if one.proof.do:
            assert (one.proof.do in words) is not one.used, "what is in use is done"
        assert all(quantity.name in words for quantity in one.proof.quantities)
    # Rounded up: 1.14 is told as no less.
    assert "largest error −6.0 1.2 µm" in words
    assert "taper 2.1 5.7 µm in 100 mm" in words
    assert "length of a count 5.0008 0.0003 µm" in words
    assert "compared with a gauge block of grade 1 (± 0.4 µm), 25 mm long, 6 captures, 5 µm a count, 17.5 °C" in words
    assert "Capture 7 left out." in words


def test_findings_come_in_the_order_of_work_and_older_ones_apart(sheet: str) -> None:
    words = words_of(sheet)
    titles = ["Link to the board:", "At rest, motor on:", "Known distance, carriage:", "Error map, carriage:",
              "Positioning, cross-slide:", "Two collars:", "Earlier findings"]  # fmt: skip
    places = [words.index(one) for one in titles]
    assert places == sorted(places)
    assert "12 2031-05-01 12:03 positioning, cross-slide" in words[places[-1] :]
    assert DRIFTED in words


def test_positioning_by_hand_is_called_no_test_to_the_standard(sheet: str) -> None:
    assert "A hand-wound slide is no test to the standard" in words_of(sheet)
    own = POSITIONING.model_copy(update={"notes": ("No test to the standard, says the check.",)})
    words = words_of(proving_sheet(PROVED.model_copy(update={"proofs": (dated(1, own),)}), lathe(), MADE))
    assert words.count("to the standard") == 1


def test_the_budget_names_each_share_and_doubles_with_the_diameter(sheet: str) -> None:
    words = words_of(sheet)
    for budget in BUDGETS:
        assert all(share.words in words for share in budget.shares)
        assert budget.helps_most in words
    # 11.96 um on the radius are 23.92 on the diameter; 4.642 um along.
    assert "X: ± 0.0240 mm on the diameter" in words
    assert "touching off 11.54 ∞ 90" in words
    assert "noise at rest 0.4 ∞ under 1" in words
    assert "Z: ± 0.0047 mm" in words
    assert "together 2.2 18 times k = 2.11" in words
    radii = words_of(proving_sheet(PROVED, lathe('[units]\nx_as = "radius"\n'), MADE))
    assert "X: ± 0.0120 mm on the radius" in radii


def test_the_map_in_use_is_told_place_by_place_and_one_not_in_use_is_not(sheet: str) -> None:
    words = words_of(sheet)
    assert "The map in use" in words
    assert MAP.gives.map is not None
    rows = re.findall(r"place, mm ((?:[\d.]+ )+)added, µm ((?:[−\d.]+ )+)", words)
    told = [pair for at, add in rows for pair in zip(at.split(), add.replace("−", "-").split(), strict=True)]
    assert [float(at) for at, _ in told] == list(MAP.gives.map.at_mm)
    assert [float(add) for _, add in told] == pytest.approx([1000 * one for one in MAP.gives.map.add_mm], abs=0.051)
    unused = PROVED.model_copy(update={"proofs": (dated(71, MAP),)})
    assert "The map in use" not in words_of(proving_sheet(unused, lathe(), MADE))


def test_an_inch_person_reads_inches() -> None:
    words = words_of(proving_sheet(PROVED, lathe('[units]\nlength = "inch"\n'), MADE))
    # 0.02392 / 25.4 = 0.000942; 5 / 25.4 = 0.197; 6.3 / 25.4 = 0.248.
    assert "X: ± 0.00095 inch on the diameter" in words
    assert "carriage 1 0.2 up" in words
    assert "reversal error 0.25" in words


def test_nothing_proved_is_said_and_still_a_sheet() -> None:
    words = words_of(proving_sheet(EMPTY, lathe(), MADE))
    assert "Nothing was proved yet" in words
    assert "No scale is set up." in words
    assert "<svg" not in proving_sheet(EMPTY, lathe(), MADE)


def test_words_from_outside_are_escaped() -> None:
    evil = '<img src="x">&'
    plot = Plot(across=evil, up=evil, series=(Series(name=evil, points=((0, 0), (1, 1))),))
    proof = LINK.model_copy(update={"words": evil, "notes": (evil,), "plots": (plot,)})
    now = PROVED.model_copy(update={"proofs": (dated(1, proof, compared=(evil,)),)})
    text = proving_sheet(now, Config.model_validate({"machine": {"name": evil}}), MADE)
    assert not [tag for tag, _ in Elements(text).found if tag == "img"]
    assert words_of(text).count(evil) >= 6


# -- plots -------------------------------------------------------------------------------------------------------------


def drawn(series: list[Series]) -> str:
    return str(plot_svg(Plot(across="place, mm", up="deviation, µm", series=tuple(series))))


def scale_of(svg: str, anchor: str, place: str) -> tuple[float, float]:
    """What a value is on the paper, as (at nought, a unit), read from the numbers along an axis."""
    found = re.findall(rf'text-anchor="{anchor}"[^>]*?{place}="([-\d.]+)"[^>]*>([−\d.]+)<', svg)
    (at, first), (to, last) = ((float(one), float(text.replace("−", "-"))) for one, text in (found[0], found[-1]))
    unit = (to - at) / (last - first)
    return at - unit * first, unit


def test_what_is_read_off_by_the_numbers_at_the_axes_is_what_was_plotted() -> None:
    points = ((-12.5, 3.25), (0.0, -1.5), (30.0, 8.0), (41.5, 7.75))
    svg = drawn([Series(name="on", points=points)])
    x0, x_unit = scale_of(svg, "middle", "x")
    # The numbers stand 4 below their line.
    y0, y_unit = scale_of(svg, "end", "y")
    line = re.findall(r'class="line line-0"[^>]* d="M([^"]*)"', svg)[0].split("L")
    read = [tuple(float(one) for one in place.split()) for place in line]
    back = [((x - x0) / x_unit, (y + 4 - y0) / y_unit) for x, y in read]
    for found, wanted in zip(back, points, strict=True):
        assert found == pytest.approx(wanted, abs=0.05)
    assert x_unit > 0 > y_unit, "up is up"


def test_lines_are_told_apart_by_dash_mark_and_word() -> None:
    names = ["one", "two", "three", "four", "five", "six"]
    svg = drawn([Series(name=name, points=((0, n), (1, n))) for n, name in enumerate(names)])
    dashes = re.findall(r'class="line line-(\d)" stroke-dasharray="([^"]*)"', svg)
    assert len(set(dashes)) == 6
    assert len(dashes) == 12, "each line, and its sample in the legend"
    assert len({look.dash for look in LOOKS}) == len(LOOKS)
    assert len({look.mark(0, 0) for look in LOOKS}) == len(LOOKS)
    assert [one for one in re.findall(r">([a-z]+)</text>", svg) if one in names] == names
    assert "one: 0 to 0; two: 1 to 1" in svg


def test_many_points_have_no_marks_and_no_points_no_plot() -> None:
    many = drawn([Series(name="all", points=tuple((n, n % 7) for n in range(MOST_MARKS + 1)))])
    assert many.count("mark-0") == 1, "only in the legend"
    assert drawn([Series(name="none", points=())]) == ""
    assert "none" not in drawn([Series(name="none", points=()), Series(name="some", points=((1, 1),))])


@given(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6))
def test_numbers_at_an_axis_are_round_few_and_within_it(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assume(high - low > 1e-6 * max(1.0, abs(low), abs(high)))
    found = ticks(low, high)
    assert 2 <= len(found) <= MOST_TICKS + 1
    span = high - low
    assert all(low - 1e-6 * span <= value <= high + 1e-6 * span for value in found)
    steps = {f"{b - a:.1e}" for a, b in pairwise(found)}
    assert len(steps) == 1
    assert steps.pop()[:3] in ("1.0", "2.0", "5.0")


# -- on paper ----------------------------------------------------------------------------------------------------------


def test_it_prints_on_a4_and_nothing_runs_over_its_edge(sheet: str, tmp_path: Path) -> None:
    file = tmp_path / "sheet.html"
    file.write_text(sheet, encoding="utf-8")
    asked: list[str] = []
    with chromium() as browser:
        page = browser.new_page()

        def note(request: Request) -> None:
            asked.append(request.url)

        page.on("request", note)
        page.goto(file.as_uri())
        page.emulate_media(media="print")
        # 210 mm less margins of 15 mm, at 96 dots an inch.
        page.set_viewport_size({"width": int(180 / 25.4 * 96), "height": 1000})
        over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        outside = page.evaluate(
            """[...document.querySelectorAll("svg text")].filter((text) => {
                const [inner, outer] = [text, text.closest("svg")].map((one) => one.getBoundingClientRect());
                return inner.left < outer.left || inner.right > outer.right || inner.bottom > outer.bottom + 1;
            }).map((text) => text.textContent)"""
        )
        printed = page.pdf(prefer_css_page_size=True)
    assert asked == [file.as_uri()]
    assert over == 0
    assert outside == []
    boxes = [tuple(float(n) for n in box.split()) for box in re.findall(rb"/MediaBox \[([^\]]*)\]", printed)]
    assert 3 <= len(boxes) <= 5
    for box in boxes:
        # ISO 216: A4 is 210 mm by 297 mm.
        assert box == pytest.approx((0, 0, 210 / 25.4 * 72, 297 / 25.4 * 72), abs=1)
