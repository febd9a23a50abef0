"""The set-up sheet: what the plan says, to scale, on A4, with nothing from elsewhere."""

from __future__ import annotations

import math
import re
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from playwright.sync_api import Request
from shapely.geometry import LinearRing, Point, Polygon

from export.elements import Elements
from support.browser import chromium
from waytell.config import parse_config
from waytell.documents.config import Config
from waytell.documents.part import Part
from waytell.documents.plan import Plan
from waytell.export.section_svg import MARGIN, MARK_STEP, WIDTH, spread
from waytell.export.set_up_marks import marks_of
from waytell.export.set_up_sheet import set_up_sheet
from waytell.part_file import PART_EXAMPLE, read_part
from waytell.planning.planner import plan

MADE = "2031-05-04T12:00:00Z"
LATHE = """
[machine]
name = "invented lathe"
chuck_max_rpm = 1800
[[tools]]
name = "right-hand tool"
nose_radius_mm = 0.4
[[tools]]
name = "bar"
kind = "boring"
nose_radius_mm = 0.2
[[tools]]
name = "blade"
kind = "grooving"
width_mm = 2.0
[[tools]]
name = "drill 9"
kind = "drill"
diameter_mm = 9.0
"""
SPACER = """
name = "spacer"
note = "Invented example."
material = "aluminium alloy"
[bar]
diameter_mm = 25
[[set_ups]]
out_mm = 60
tailstock = true
[[features]]
kind = "face"
[[features]]
kind = "turned"
diameter = 22
to = 40
[[features]]
kind = "turned"
diameter = { mm = 14, upper_mm = 0.05, lower_mm = -0.05 }
to = 15
[[features]]
kind = "taper"
from_mm = 15
to_mm = 25
diameter = 16
end_diameter_mm = 20
[[features]]
kind = "groove"
from_mm = 30
to_mm = 33
diameter = 18
[[features]]
kind = "chamfer"
size_mm = 1
"""


def bush(**changes: str) -> Part:
    text = PART_EXAMPLE
    for name, value in changes.items():
        text = re.sub(rf"^{name} = .*$", f"{name} = {value}", text, flags=re.MULTILINE)
    return read_part(text, "bush.toml")


def lathe(more: str = "") -> Config:
    return parse_config(LATHE + more, "lathe.toml")


def planned(part: Part, config: Config) -> Plan:
    found = plan(part, config)
    assert found.plan is not None, found.contradictions
    return found.plan


def words_of(text: str) -> str:
    return " ".join(" ".join(Elements(text).words).split())


@pytest.fixture(scope="module")
def sheet() -> str:
    return set_up_sheet(planned(bush(), lathe()), lathe(), MADE)


# -- what it tells -----------------------------------------------------------------------------------------------------


def test_the_sheet_needs_nothing_from_elsewhere(sheet: str) -> None:
    found = Elements(sheet).found
    assert not [tag for tag, _ in found if tag in ("script", "link", "img", "iframe", "object")]
    assert not [(tag, attributes) for tag, attributes in found if {"href", "src"} & set(attributes)]
    assert not re.search(r"@import|url\((?!#)", sheet)
    assert "@page { size: A4" in sheet


def test_its_head_and_its_cautions_come_before_any_step(sheet: str) -> None:
    words = words_of(sheet)
    for said in ("wagon bush", "phosphor bronze", "invented lathe", MADE, "chuck 1800", "A key left in the chuck"):
        assert said in words
    assert words.index("a qualified person come first") < words.index("Face the end")


def test_every_size_of_the_drawing_has_its_limits_and_room_to_write(sheet: str) -> None:
    words = words_of(sheet)
    # ISO 286-1: IT7 over 10 up to 18 mm is 18 micrometres, IT8 over 6 up to 10 mm is 22; the upper deviation of h and
    # the lower of H are 0. ISO 2768-1, m: 0.2 over 6 up to 30 mm.
    assert "⌀ 16.000 ⌀ 15.982 ⌀ 16.000 h7 (ISO 286)" in words
    assert "⌀ 10.000 ⌀ 10.000 ⌀ 10.022 H8 (ISO 286)" in words
    assert "depth of the bore 24.000 23.800 24.200" in words
    assert "whole length 22.000 21.900 22.100" in words
    # Diameter and shoulder, bore and its depth, whole length.
    assert sum("write" in (one.get("class") or "") for _, one in Elements(sheet).found) == 5


def test_every_step_and_every_pass_can_be_ticked(sheet: str) -> None:
    found = planned(bush(), lathe())
    ticks = sum(one.get("class") == "tick" for _, one in Elements(sheet).found)
    sizes, common = 5, sum(one.code.startswith("common_") for one in found.cautions) - 1
    assert ticks == len(found.steps) + sum(len(step.passes) for step in found.steps) + sizes + common


def test_a_step_tells_tool_speed_and_where_the_slide_stands(sheet: str) -> None:
    words = words_of(sheet)
    found = planned(bush(), lathe())
    for step in found.steps:
        assert step.words in words
        assert step.tool in words
        # v_c = pi d n (ISO 3002-1): the bar of 20 mm is cut at its largest.
        assert f"{step.speed.rpm:.0f} {step.speed.vc_m_min:.0f} m/min" in words
    first = found.steps[0]
    assert first.speed.vc_m_min == pytest.approx(math.pi * 0.020 * first.speed.rpm)
    # The middle of 15.982 and 16.000.
    assert "finish, 0.200 on ⌀: ⌀ 15.991 spring: ⌀ 15.991" in words
    assert "skim, 0.300 deep: Z 0.700" in words
    # 26 mm at full diameter, and the point of 118 degrees: 4.5 / tan 59 = 2.704.
    assert "drill to Z −28.704" in words
    assert "part off to ⌀ 10.011: Z −25.000" in words


def test_it_speaks_the_persons_units() -> None:
    config = lathe('[units]\nlength = "inch"\nx_as = "radius"\n')
    words = words_of(set_up_sheet(planned(bush(), config), config, MADE))
    # 15.982 / 25.4 = 0.62921, 16.000 / 25.4 = 0.62992; a size stays a diameter. 15.991 / 2 / 25.4 = 0.31478.
    assert "⌀ 0.6299 ⌀ 0.6292 ⌀ 0.6299 h7 (ISO 286)" in words
    assert "R 0.3148" in words
    assert "Numbers in inch, in sentences in mm" in words


def test_of_one_set_up_only_that_is_told() -> None:
    found = planned(bush(), lathe())
    words = words_of(set_up_sheet(found, lathe(), MADE, 2))
    assert "Set-up 2: turned round" in words
    assert "whole length" in words
    assert "Part off" not in words
    with pytest.raises(ValueError, match="no set-up 3: the part has 2"):
        set_up_sheet(found, lathe(), MADE, 3)


def test_what_is_to_heed_with_this_part_stands_with_its_step() -> None:
    config = Config()
    found = planned(bush(), config)
    lacking = [one for one in found.cautions if one.code == "no_tool"]
    assert lacking
    words = words_of(set_up_sheet(found, config, MADE))
    for one in lacking:
        assert f"{one.step} {one.words} {one.do}" in words
    assert "none entered" in words
    # They belong to set-up 1.
    assert lacking[0].words not in words_of(set_up_sheet(found, config, MADE, 2))


def test_names_cannot_become_part_of_the_page() -> None:
    config = lathe().model_copy(update={"machine": lathe().machine.model_copy(update={"name": "<script>1</script>"})})
    part = bush(name="'<script>alert(1)</script>'", note="'<img src=x onerror=alert(1)>'")
    found = Elements(set_up_sheet(planned(part, config), config, MADE)).found
    assert not [tag for tag, _ in found if tag in ("script", "img")]


# -- the drawing -------------------------------------------------------------------------------------------------------


def test_the_target_is_drawn_to_scale(sheet: str) -> None:
    thick = [one["d"] or "" for tag, one in Elements(sheet).found if tag == "path" and one.get("class") == "thick"]
    found = planned(bush(), lathe())
    assert len(thick) == len(found.set_ups) == 2
    for drawn, set_up in zip(thick, found.set_ups, strict=True):
        points = [tuple(float(n) for n in pair.split()) for pair in re.findall(r"[ML]([-\d.]+ [-\d.]+)", drawn)]
        wide, high = (max(p[n] for p in points) - min(p[n] for p in points) for n in (0, 1))
        west, south, east, north = Polygon(set_up.target).bounds
        assert wide / high == pytest.approx((east - west) / (north - south), rel=1e-3)


@pytest.mark.parametrize("part", [bush(), read_part(SPACER, "spacer.toml")], ids=["bush", "spacer"])
def test_every_feature_is_numbered_once_on_its_own_surface(part: Part) -> None:
    found = planned(part, lathe())
    numbers = []
    for set_up in found.set_ups:
        outline = LinearRing(set_up.target)
        for mark in marks_of(part, set_up):
            numbers.append(mark.number)
            # A number stands at the size of the drawing; the target lies in the middle of its limits.
            assert outline.distance(Point(mark.z_mm, mark.radius_mm)) < 0.11, part.features[mark.number - 1]
    assert sorted(numbers) == list(range(1, len(part.features) + 1))
    text = set_up_sheet(found, lathe(), MADE)
    assert len(re.findall(r'class="mark-number"', text)) == len(part.features)


@given(st.lists(st.floats(-100, 800), max_size=20).map(sorted))
def test_numbers_in_a_row_keep_their_order_and_do_not_cover_each_other(wanted: list[float]) -> None:
    found = spread(wanted)
    assert all(b - a >= MARK_STEP - 1e-6 for a, b in pairwise(found))
    assert all(MARGIN - 1e-6 <= x <= WIDTH - MARGIN + 1e-6 for x in found)


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
        printed = page.pdf(prefer_css_page_size=True)
    assert asked == [file.as_uri()]
    assert over == 0
    boxes = [tuple(float(n) for n in box.split()) for box in re.findall(rb"/MediaBox \[([^\]]*)\]", printed)]
    assert 2 <= len(boxes) <= 4
    for box in boxes:
        # ISO 216: A4 is 210 mm by 297 mm.
        assert box == pytest.approx((0, 0, 210 / 25.4 * 72, 297 / 25.4 * 72), abs=1)
